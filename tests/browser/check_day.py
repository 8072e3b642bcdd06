"""The day's page in a browser: a day typed in, kept over a reload, saved, loaded, exported, printed; nothing leaves the page.
Usage: check_day.py WETRUN FOLDER [PICTURES]. FOLDER is for what is written; PICTURES, if given, gets screenshots."""
import csv, json, pathlib, re, subprocess, sys
from browser import Browser
from accessible import check_accessible
from day_hands import card, check_answer, click_text, minutes, petrel, press, settled
from page_checks import check_quiet, check_no_overlap, reach_by_keyboard

wetrun, folder, pictures = sys.argv[1], pathlib.Path(sys.argv[2]).resolve(), sys.argv[3] if len(sys.argv) > 3 else None


def make(name, *words, status=0):
    path = folder / name
    done = subprocess.run([wetrun, "daysheet", *map(str, words), "--out", str(path), "--quiet"], capture_output=True, text=True)
    assert done.returncode == status, done.stderr
    return path


def say(b):
    return b.run("return document.querySelector('.say').textContent")


def picture(b, name, **how):
    if pictures:
        b.picture(f"{pictures}/{name}.png", **how)


def type_a_day(b):
    """The beginning of a slow day, by hand; the same in one line for `cutoff --now`."""
    report = []
    for n, (task, begin, end) in enumerate([("OUT", "0:00", "0:21"), ("A-REACH", "0:21", "0:36"), ("CAM-REACH", "0:21", "0:41"),
                                            ("A-UNPLUG", "0:36", "0:50"), ("A-FREE", "0:50", "1:17")]):
        press(b, task, "begin", begin)
        press(b, task, "end", end)
        report.append(f"{task}@{begin}-{end}")
    press(b, "CAM-OFF", "begin", "0:41")
    report.append("CAM-OFF@0:41")
    settled(b, 11)
    return ",".join(report)


def check_slack(b):
    """The slack is the minutes between the two times beside it, in both tables."""
    rows = b.run("return Array.from(document.querySelectorAll('table')).filter(t => t.textContent.includes('slack, min')).flatMap(t => {"
                 "const at = Array.from(t.tHead.rows[0].cells).findIndex(h => h.textContent.startsWith('usual start'));"
                 "return Array.from(t.tBodies[0].rows).map(r => Array.from(r.cells).slice(at, at + 3).map(x => x.textContent)) })")
    timed = [r for r in rows if all(r)]
    assert len(timed) > 20, rows
    for usual, by, slack in timed:
        assert minutes(by) - minutes(usual) == int(slack.replace("\u2212", "-")), (usual, by, slack)


def check_trouble(b):
    b.type(b.find("#time"), "never")
    b.click(b.run("return document.querySelectorAll('.task')[4].querySelectorAll('button.go')[1]"))
    assert "is no time: write h:mm" in say(b), say(b)
    b.run("document.getElementById('time').value = ''")
    for text, words in ("4.05", "may be 4:05, or 4.05 minutes"), ("0.25", "may be 6:00 as a fraction of a day"):
        set_field(b, card(b, "OUT"), "Begin", text)
        assert words in say(b), say(b)
    took = b.run("return document.querySelector('.verdict').textContent")
    set_field(b, card(b, "OUT"), "Hold", "30")
    assert "was held 30 min of the 21 min that it has taken: correct the hold" in say(b), say(b)
    set_field(b, card(b, "OUT"), "Hold", "5 min")
    settled(b, 12)
    held = b.run("return document.querySelector('.verdict').textContent")
    factor = lambda text: float(re.search(r"took ([0-9.]+) times", text)[1])
    assert factor(held) < factor(took) and "Holds of 5 min in all count as no work" in held, (took, held)
    b.click(b.run("return Array.from(document.querySelectorAll('.tools button')).find(x => x.textContent.startsWith('Undo'))"))
    settled(b, 11)
    press(b, "CAM-OFF", "end", "0:12")
    assert b.run("return document.querySelector('[role=alert]:not([hidden])').textContent").startswith("'Take the old camera head off its foot' ends before")
    b.click(b.run("return Array.from(document.querySelectorAll('.tools button')).find(x => x.textContent.startsWith('Undo'))"))
    settled(b, 11)
    assert b.run("return document.querySelector('.bar [role=alert]').hidden")


def check_kept(b, page):
    before = b.run("return document.querySelector('h1').textContent")
    b.open(page)
    settled(b, 11)
    assert b.run("return document.querySelector('h1').textContent") == before, "another answer after a reload"


def check_files(b, page):
    """What is saved is what is loaded; the step log is one that wetrun reads."""
    b.run("const r = Array.from(document.querySelectorAll('label')).find(l => l.textContent.startsWith('Run')).querySelector('input');"
          "r.value = 'P7-day'; r.dispatchEvent(new Event('change'))")
    settled(b, 12)
    click_text(b, "Save to a file")
    saved = b.downloaded("petrel-7-P7-day-day.json")
    click_text(b, "Step log")
    runs = b.downloaded("petrel-7-P7-day-runs.csv")
    (folder / "round").mkdir(exist_ok=True)
    (folder / "round/runs.csv").write_bytes(runs.read_bytes())
    (folder / "round/plan.csv").write_bytes((petrel / "plan.csv").read_bytes())
    done = subprocess.run([wetrun, "check", str(folder / "round"), "--format", "json", "--times", str(folder / "times.csv")], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["rows"] == {"read": 5, "accepted": 5, "rejected": 0, "duplicate": 0}, found["rows"]
    times = (folder / "times.csv").read_text()
    assert re.search(r"P7-day,A-FREE,done,27(\.0*)?,0", times), times
    log = json.loads(saved.read_text())
    assert len(log["entries"]) == 12
    before = b.run("return document.querySelector('h1').textContent")
    click_text(b, "Start anew")
    b.accept()
    settled(b, 0)
    assert "before the day" in b.run("return document.querySelector('.verdict').textContent")
    b.type(b.find("input[type=file]"), str(saved))
    settled(b, 12)
    assert b.run("return document.querySelector('h1').textContent") == before, "another answer from the file"
    # another day in its place: asked first, and Undo brings this one back; what can be read of it is taken
    (folder / "part.json").write_text('{"format": "wetrun day log 1", "entries": [{"task": "OUT", "what": "begin", "value": 0}, {"task": "OUT", "what": "end", "value": -1}]}')
    b.type(b.find("input[type=file]"), str(folder / "part.json"))
    b.accept()
    settled(b, 1)
    assert "entry 2 cannot be read" in say(b), say(b)
    click_text(b, "Undo")
    settled(b, 12)
    assert b.run("return document.querySelector('h1').textContent") == before, "the day that was replaced is gone"
    # a run's name that could not be read again is not taken
    long = ("const r = Array.from(document.querySelectorAll('label')).find(l => l.textContent.startsWith('Run')).querySelector('input');"
            "r.value = 'x'.repeat(arguments[0]); r.dispatchEvent(new Event('change'))")
    b.run(long, 201)
    assert say(b) == "Not entered: at most 200 characters.", say(b)
    settled(b, 12)
    for n, bad in enumerate(("no json", '{"format": "wetrun day log 1", "entries": [{"task": "OUT", "what": "begin", "value": "<b>"}]}',
                             '{"format": "wetrun day log 1", "entries": [{"task": "NONE", "what": "begin", "value": 1}]}')):
        (folder / f"bad{n}.json").write_text(bad)
        b.type(b.find("input[type=file]"), str(folder / f"bad{n}.json"))
        b.wait("return /not a saved log|cannot be read|does not have/.test(document.querySelector('.say').textContent)")
    settled(b, 12)


def check_beyond(page, end, wanted, then=(), now=None):
    """A first task longer than on 999 of 1000 days is said as `cutoff --now` says it, and so is the time before a later
    one; one of the usual length is not. With `now` the last task still runs."""
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        press(b, "OUT", "begin", "0:00")
        press(b, "OUT", "end", end)
        for task, begun, ended in then:
            press(b, task, "begin", begun)
            if ended:
                press(b, task, "end", ended)
        if now:
            b.type(b.find("#time"), now)
            click_text(b, "It is now")
        settled(b, 2 + 2 * len(then))
        shown = b.run("const p = document.querySelector('.beyond'); return p.hidden ? '' : p.textContent")
        picture(b, "day-out-" + end.replace(":", ""))
        # however odd the day, its numbers are shown, as the command shows them
        assert b.run("return document.querySelector('h1').textContent").startswith("All done: half of such days by") and b.run("return !!document.querySelector('.limits').offsetParent")
    said = subprocess.run([wetrun, "cutoff", str(petrel), "--now", ",".join(["OUT@0:00-" + end] + [f"{k}@{x}" + (f"-{y}" if y else "") for k, x, y in then] + ([f"@{now}"] if now else [])), "--at", "IN"], capture_output=True, text=True, check=True).stdout
    assert bool(shown) == wanted and ("999 of" in " ".join(said.split())) == wanted, (end, shown)
    assert " ".join(shown.split()) in " ".join(said.split()), (shown, said)


def check_too_little(page):
    """A first task done sooner than on 1000 days: doubtful, as the command has it, and no limit is said to be kept."""
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        press(b, "OUT", "begin", "0:00")
        press(b, "OUT", "end", "0:03")
        settled(b, 2)
        head = b.run("return document.querySelector('h1').textContent")
        limits = b.run("return Array.from(document.querySelectorAll('.limits > *')).map(x => x.textContent)")
    said = subprocess.run([wetrun, "cutoff", str(petrel), "--now", "OUT@0:00-0:03", "--at", "IN"], capture_output=True, text=True, check=True).stdout
    words = "done at 0:03 in 3 min, its hold left out, as on fewer than one of 1000 days forecast"
    assert words in head and words in " ".join(said.split()), (head, said)
    assert all("cannot be said, for what was entered is doubtful." in x for x in limits), limits


def check_lengthy(page):
    """Several tasks that nobody timed, in more time than on 999 of 1000 days: said as `cutoff --now` says it."""
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        press(b, "OUT", "begin", "0:00")
        press(b, "OUT", "end", "0:20")
        press(b, "A-LIFT", "begin", "1:43")
        settled(b, 3)
        shown = b.run("const p = document.querySelector('.beyond'); return p.hidden ? '' : p.textContent")
    said = subprocess.run([wetrun, "cutoff", str(petrel), "--now", "OUT@0:00-0:20,A-LIFT@1:43", "--at", "IN"], capture_output=True, text=True, check=True).stdout
    assert "longer than they take on 999 of 1000" in shown and " ".join(shown.split()) in " ".join(said.split()), (shown, said)


def check_beside_clock():
    """Work that a clock's end waits for beside the clock is named, as `cutoff --now` names it."""
    (folder / "beside").mkdir(exist_ok=True)
    for name in ("runs.csv", "plan.csv"):
        (folder / "beside" / name).write_bytes((petrel / name).read_bytes())
    (folder / "beside" / "limits.csv").write_text("limit,minutes,confidence,from,to\nexcursion,6:30,0.9,,\nopen bay,2:30,0.9,A-UNPLUG,B-LIFT\n")
    with Browser() as b:
        b.open(make("beside.html", folder / "beside"))
        settled(b, 0)
        press(b, "OUT", "begin", "0:00")
        press(b, "OUT", "end", "0:20")
        settled(b, 2)
        shown = b.run("return document.querySelectorAll('.limits > *')[1].textContent")
    said = " ".join(subprocess.run([wetrun, "cutoff", str(folder / "beside"), "--now", "OUT@0:00-0:20"], capture_output=True, text=True, check=True).stdout.split())
    start = shown.index("Its end also waits for work")
    assert "Take the old camera head off its foot" in shown[start:] and " ".join(shown[start:].split()) in said, (shown, said)


def check_drop_notes():
    """Where hardly a day begins the work later, the time to drop it by says so, as the begin-by does."""
    late = folder / "late"
    late.mkdir(exist_ok=True)
    (late / "runs.csv").write_bytes((petrel / "runs.csv").read_bytes())
    (late / "plan.csv").write_text((petrel / "plan.csv").read_text().replace(",5:10\n", ",9:50\n").replace(",5:25\n", ",9:50\n"))
    (late / "limits.csv").write_text("limit,minutes,confidence\nexcursion,10:00,0.9\n")
    with Browser() as b:
        b.open(make("late.html", late))
        b.wait("return document.documentElement.dataset.dropped === '0'")
        rows = b.run("return Array.from(Array.from(document.querySelectorAll('table')).find(t => /Get-ahead work/.test(t.caption.textContent)).tBodies[0].rows).map(r => r.cells[3].textContent)")
    assert len(rows) == 2 and all(row.endswith(", at least until then, for hardly a day begins later") for row in rows), rows


def check_past_drop_time(page):
    """Work whose drop time has passed before it began is not shown as if it were there to be begun, or to be left out."""
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        press(b, "SHADE", "begin", "5:00")
        b.type(b.find("#time"), "5:15")
        click_text(b, "It is now")
        settled(b, 2)
        due, state, struck = b.run("const c = document.querySelectorAll('.task')[arguments[0]]; return [c.querySelector('.due').textContent, c.dataset.state, getComputedStyle(c.querySelector('.name')).textDecorationLine]", card(b, "STAGE-CLAMPS"))
        tables = b.run("return Array.from(document.querySelectorAll('.scroll table')).map(t => [t.caption.textContent, Array.from(t.tBodies[0].rows).map(r => r.textContent).filter(x => /mast clamps/.test(x))])")
        picture(b, "day-past-drop-time", whole=True)
    assert due == "past its drop time, 5:10 \u00b7 if it is begun all the same, enter that", due
    assert (state, struck) == ("out", "line-through"), (state, struck)
    for caption, rows in tables:
        assert not any("NaN" in row for row in rows), (caption, rows)
        assert all("past its drop time" in row and "too late" not in row for row in rows) and not (rows and caption == "Get-ahead work"), (caption, rows)
    assert any(rows for _, rows in tables)


def check_doubt(page):
    """Work that nobody timed, done in no time: said first, no limit kept or forecast on it, nothing to begin by; then corrected."""
    def shown(b):
        b.wait("return document.documentElement.dataset.dropped === document.documentElement.dataset.settled")
        return b.run("return [document.querySelector('h1').textContent, Array.from(document.querySelectorAll('.limits > *')).map(x => x.textContent), "
                     "Array.from(document.querySelectorAll('.due')).map(x => x.textContent).join(''), Array.from(document.querySelectorAll('section')).filter(x => /Begin by|What to drop/.test(x.textContent) && x.offsetParent).length]")
    for rows, n, first in (([("IN", "0:00", "0:13")], 27, "Leave the lock"), ([("OUT", "0:00", "0:20"), ("IN", "0:30", None)], 26, "Climb to battery bay A"), ([("OUT", "0:00", "0:20"), ("A-LIFT", "0:40", None)], 3, "Climb to battery bay A")):
        with Browser() as b:
            b.open(page)
            settled(b, 0)
            count = 0
            for task, *times in rows:
                for what, time in zip(("begin", "end"), times):
                    if time:
                        press(b, task, what, time)
                        count += 1
            settled(b, count)
            head, limits, due, sections = shown(b)
            assert head.startswith("Doubtful: '") and f"the {n} tasks that must be done before and have no end, '{first}" in head, head
            assert len(limits) == 3 and all("cannot be said, for what was entered is doubtful." in x for x in limits) and not due and not sections, (limits, due, sections)
            picture(b, f"day-doubt-{n}")
        said = subprocess.run([wetrun, "cutoff", str(petrel), "--now", ",".join(f"{k}@{x}" + (f"-{y}" if y else "") for k, x, y in rows)], capture_output=True, text=True, check=True).stdout
        assert said.startswith("Doubtful") and f"the {n} tasks that must be done before" in " ".join(said.split()), said
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        press(b, "OUT", "begin", "0:00")
        press(b, "OUT", "end", "0:20")
        press(b, "A-LIFT", "begin", "0:40")
        settled(b, 3)
        click_text(b, "Undo")
        settled(b, 2)
        assert shown(b)[0].startswith("All done: half of such days by") and shown(b)[3] == 2, shown(b)


def check_no_task(page):
    """How late it is changes nothing of the forecast while no task is entered."""
    shown = "return [document.querySelector('h1').textContent, document.querySelector('.limits').textContent, document.querySelector('.verdict').textContent]"
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        before = b.run(shown)
        b.type(b.find("#time"), "0:20")
        click_text(b, "It is now")
        settled(b, 1)
        assert b.run(shown) == before and before[2] == "No task is entered yet: this is the forecast before the day.", (before, b.run(shown))


def check_unreadable_kept(page):
    """What was kept and cannot be read is said, put aside, offered, and never written over; a day that does not fit together has a head
    that says so from the first."""
    good = '{"format": "wetrun day log 1", "entries": [{"task": "OUT", "what": "begin", "value": 20}, {"task": "OUT", "what": "end", "value": 10}]}'
    for spoilt in ("{{{", "[" * 100000, good.replace("20", "1e308"), good):
        with Browser() as b:
            b.open(page)
            settled(b, 0)
            press(b, "OUT", "begin", "0:00")
            key = b.run("return Object.keys(localStorage)[0]")
            b.run("localStorage.setItem(arguments[0], arguments[1])", key, spoilt)
            b.open(page)
            aside = "return document.querySelector('main > [role=alert]').hidden"
            if spoilt == good:
                b.wait("return document.querySelector('h1').textContent === 'No answer until what was entered is corrected.'")
                assert b.run(aside), "a day that can be read is called unreadable"
                continue
            rest = 1 if "1e308" in spoilt else 0  # the entry that can be read is on the page
            settled(b, rest)
            assert not b.run(aside), "nothing is said of what cannot be read"
            press(b, "A-REACH" if rest else "OUT", "begin", "0:11")
            settled(b, rest + 1)
            click_text(b, "Save what cannot be read")
            assert b.downloaded("petrel-7-unread.txt").read_text() == spoilt
            b.open(page)
            settled(b, rest + 1)
            assert not b.run(aside)
            # another page of the same browser spoils what is kept: what is on this one stays
            b.run("localStorage.setItem(arguments[0], 'x'); window.dispatchEvent(new StorageEvent('storage', { key: arguments[0] }))", key)
            settled(b, rest + 1)
            assert b.run("return localStorage.getItem(arguments[0])", key + " unread") == spoilt + "\nx", "what was put aside first is gone"
            click_text(b, "Throw it away")
            b.accept()
            b.wait(aside)


def check_left_out(b):
    b.click(b.run("return Array.from(document.querySelectorAll('table button')).find(x => x.textContent.includes('cable reel'))"))
    settled(b, 13)
    assert b.run("return document.querySelectorAll('.task[data-state=out]').length") == 1
    click_text(b, "Undo")
    settled(b, 12)


def check_paper(b, name, heads):
    pdf = folder / (name + ".pdf")
    b.pdf(pdf, page={"width": 21.0, "height": 29.7}, background=True)
    pages = subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout.split("\f")[:-1]
    assert 1 <= len(pages) <= 4, f"{len(pages)} sheets"
    for number, text in enumerate(pages, 1):
        assert "outcome" in text, f"sheet {number} of {name} has no heads"
        assert f"{number} of {len(pages)}" in text, f"sheet {number} of {name} has no page number"
    for head in heads:
        assert head in pages[0], head


def check_hostile():
    """A plan whose texts try to be markup, code and commands: shown as text, and back in the step log as they were."""
    bad = folder / "hostile"
    bad.mkdir(exist_ok=True)
    (bad / "plan.csv").write_text('task,title,crew,planned\n"</script><b>","<img src=x onerror=alert(1)>",EV1,10\n'
                                  '"A\u2028B","]]>--><!--\u202eevil",EV2,12\n"=1+1","q"" \'\\u003c",EV1+EV2,9\n', encoding="utf-8")
    with Browser() as b:
        b.open(make("hostile.html", bad))
        assert b.run("return document.querySelectorAll('.task').length") == 3 and b.run("return document.querySelectorAll('main b, main img').length") == 0
        assert "\u202e" not in b.run("return document.body.innerText")
        for n, (begin, end) in enumerate((("0:00", "0:10"), ("0:00", "0:12"), ("0:12", "0:20:30"))):
            for what, at in enumerate((begin, end)):
                b.type(b.find("#time"), at)
                b.click(b.run("return document.querySelectorAll('.task')[arguments[0]].querySelectorAll('button.go')[arguments[1]]", n, what))
        click_text(b, "Step log")
        runs = b.downloaded("hostile-runs.csv")
        (bad / "runs.csv").write_bytes(runs.read_bytes())
        check_quiet(b)
    done = subprocess.run([wetrun, "check", str(bad), "--format", "json"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["rows"]["accepted"] == 3 and found["runs"][0]["complete"], found
    assert not [f for f in found["findings"] if f["severity"] == "error"], found["findings"]


def check_log_page():
    """Without a forecast the page is a log sheet: no number of the model on it, and no caution about one."""
    with Browser() as b:
        b.open(make("log.html", petrel, "--log-only"))
        assert b.run("return document.getElementById('answer')") is None
        assert "no forecast" in b.run("return document.getElementById('about').textContent")
        kept = b.run("return Array.from(document.querySelectorAll('.task')).map((t, k) => t.querySelector('option[value=skipped]') ? -1 : k).filter(k => k >= 0)")
        assert kept == [card(b, "IN")], f"the way back in alone may not be left out, not {kept}"
        picture(b, "log-1024")
        check_accessible(b, "log page")
        check_quiet(b)


def check_way_in_stopped(page):
    """A way back in that was stopped is no end of the day, and keeps no limit, with all done before it or left out."""
    with Browser() as b:
        b.open(page)
        settled(b, 0)
        tasks = b.run("return JSON.parse(document.getElementById('day-data').textContent).tasks.map(t => t.id)")
        for id in tasks:
            if id not in ("OUT", "IN"):
                set_field(b, card(b, id), "Outcome", "skipped")
        for id, begin, end in ("OUT", "0:00", "0:20"), ("IN", "0:20", "0:50"):
            press(b, id, "begin", begin)
            press(b, id, "end", end)
        set_field(b, card(b, "IN"), "Outcome", "stopped")
        settled(b, len(tasks) + 3)
        head, limits, beyond = b.run("return ['h1', '.limits', '.beyond'].map(q => document.querySelector(q).textContent)")
        assert head.startswith("Not all is done: ") and "was stopped at 0:50, before it was complete" in head, head
        assert "kept" not in limits and "was stopped before it was complete" in limits, limits
        assert "nothing here says that anybody is inside" in beyond, beyond
        set_field(b, card(b, "IN"), "Outcome", "done")
        settled(b, len(tasks) + 4)
        head, limits = b.run("return ['h1', '.limits'].map(q => document.querySelector(q).textContent)")
        assert head == "All is done at 0:50." and "took 0:50: kept." in limits, (head, limits)


def check_pauses_refused():
    """A pause that is no part of its task is not taken, nor an end while it is put down; what the step log leaves out is said as it is saved;
    a complaint goes with what was wrong."""
    with Browser() as b:
        b.open(make("pauses.html", petrel, "--log-only"))
        n = card(b, "OUT")
        ends = "return document.querySelectorAll('.task')[arguments[0]].querySelector('.times').textContent"
        press(b, "OUT", "begin", "0:20")
        set_field(b, n, "Put down", "0:40-")
        set_field(b, n, "End", "1:20")
        assert "was put down at 0:40 and not taken up again" in say(b) and "to 1:20" not in b.run(ends, n), (say(b), b.run(ends, n))
        click_text(b, "Step log")
        assert say(b).startswith("Not in the step log yet") and b.run("return JSON.parse(document.getElementById('day-data').textContent).tasks[arguments[0]].title", n) in say(b), say(b)
        set_field(b, n, "Put down", "")
        set_field(b, n, "End", "1:20")
        assert b.run(ends, n) == "0:20 to 1:20" and say(b) == "", (b.run(ends, n), say(b))
        for text in "0:05-0:10", "2:00-2:30", "0:30-":
            set_field(b, n, "Put down", text)
            assert "put down" in say(b) and b.run(ends, n) == "0:20 to 1:20", (text, say(b), b.run(ends, n))
        set_field(b, n, "Put down", "0:30-0:40")
        assert b.run(ends, n) == "0:20 to 1:20, in 2 steps" and say(b) == "", (b.run(ends, n), say(b))
        set_field(b, n, "Hold", "x")
        assert "is no number of minutes" in say(b), say(b)
        set_field(b, n, "Hold", "5")
        assert say(b) == "" and b.run(ends, n).endswith("hold 5 min"), (say(b), b.run(ends, n))


# An invented rehearsal of the sketch's plan, in elapsed minutes: begin, stretches put down, end, hold, outcome.
SKETCH = {"OUT": (0, [], 20, 0, "done"), "MAST": (20, [(27, 31)], 37, 0, "done"), "REEL": (20, [], 38, 0, "done"), "CLAMPS": (37, [(50, 50), (60, 72)], 88, 9, "done"),
          "PAY-OUT": (38, [], 70, 0, "done"), "LAY": (88, [], 116, 0, "done"), "TRAY": (70, [], 85, 2.5, "done"), "TIE": (116, [], 137, 0, "stopped"),
          "JOIN": (137, [(150, 155)], 166, 12, "done"), "TEST": (166, [], 181, 0, "done"), "COVER": (166, [], 184, 0, "done"), "LAMP": None, "CLOSE": (181, [], 190, 0, "done"),
          "IN": (190, [], 226, 0, "done")}


def set_field(b, n, label, text):
    b.run("const i = Array.from(document.querySelectorAll('.task')[arguments[0]].querySelectorAll('label')).find(l => l.textContent.startsWith(arguments[1])).querySelector('input, select');"
          "i.value = arguments[2]; i.dispatchEvent(new Event('change'))", n, label, text)


def finish_the_rest(b, hmm):
    """Corrects what made the rehearsal incomplete, and exports it again."""
    set_field(b, card(b, "TIE"), "Outcome", "done")
    set_field(b, card(b, "LAMP"), "Outcome", "done")
    set_field(b, card(b, "LAMP"), "Begin", hmm(184))
    set_field(b, card(b, "LAMP"), "End", hmm(189))
    click_text(b, "Step log")
    clean = folder / "clean"
    clean.mkdir(exist_ok=True)
    (clean / "plan.csv").write_bytes((petrel.parent / "petrel-8-sketch/plan.csv").read_bytes())
    (clean / "runs.csv").write_bytes(b.downloaded("alone-runs.csv").read_bytes())


def check_clean():
    """A whole rehearsal logged without a forecast: nothing to find in it, and it kept to the plan."""
    done = subprocess.run([wetrun, "check", str(folder / "clean"), "--format", "json"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["findings"] == [] and found["rows"]["rejected"] == 0, found
    assert found["runs"][0]["complete"] and found["runs"][0]["kept_to_plan"], found["runs"]


def check_plan_alone():
    """A campaign that is a plan and nothing else: a rehearsal with pauses, holds, stopped and left out work is logged on the page, and read with the same minutes."""
    alone = folder / "alone"
    alone.mkdir(exist_ok=True)
    (alone / "runs.csv").unlink(missing_ok=True)
    (alone / "plan.csv").write_bytes((petrel.parent / "petrel-8-sketch/plan.csv").read_bytes())
    hmm = lambda m: f"{m // 60}:{m % 60:02d}"
    with Browser() as b:
        b.open(make("alone.html", alone))
        for task, done in SKETCH.items():
            n = card(b, task)
            if not done:
                set_field(b, n, "Outcome", "skipped")
                continue
            begin, pauses, end, hold, outcome = done
            press(b, task, "begin", hmm(begin))
            for down, up in pauses:
                for at in (down, up):
                    b.type(b.find("#time"), hmm(at))
                    b.click(b.run("return Array.from(document.querySelectorAll('.task')[arguments[0]].querySelectorAll('button.small')).find(x => x.offsetParent)", n))
            press(b, task, "end", hmm(end))
            if hold:
                set_field(b, n, "Hold", str(hold))
            set_field(b, n, "Outcome", outcome)
        assert "in 3 steps" in b.run("return document.querySelectorAll('.task')[arguments[0]].textContent", card(b, "CLAMPS"))
        click_text(b, "Step log")
        (alone / "runs.csv").write_bytes(b.downloaded("alone-runs.csv").read_bytes())
        (pathlib.Path(b.folder) / "alone-runs.csv").unlink()
        finish_the_rest(b, hmm)
        check_quiet(b)
    done = subprocess.run([wetrun, "check", str(alone), "--format", "json", "--times", str(folder / "alone.csv")], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    found = json.loads(done.stdout)
    assert found["rows"] == {"read": 18, "accepted": 18, "rejected": 0, "duplicate": 0}, found["rows"]
    assert [f["code"] for f in found["findings"]] == ["run-incomplete"], found["findings"]  # true: work was stopped and left out
    check_clean()
    read = {r["task"]: r for r in csv.DictReader((folder / "alone.csv").open())}
    for task, done in SKETCH.items():
        if not done:
            assert read[task]["state"] == "skipped", read[task]
            continue
        begin, pauses, end, hold, outcome = done
        worked = end - begin - sum(up - down for down, up in pauses) - hold
        assert read[task]["state"] == outcome and abs(float(read[task]["active_min"]) - worked) < 1e-6, (worked, read[task])
        assert abs(float(read[task]["hold_min"]) - hold) < 1e-6, read[task]


def main():
    page = make("day.html", petrel)
    assert page.stat().st_size < 1_500_000
    check_beyond(page, "0:18", False)
    check_beyond(page, "0:40", True)
    check_too_little(page)
    check_beyond(page, "3:00", True)
    check_no_task(page)
    check_unreadable_kept(page)
    check_doubt(page)
    check_beside_clock()
    check_drop_notes()
    check_past_drop_time(page)
    check_lengthy(page)
    check_beyond(page, "0:18", True, [("A-UNPLUG", "2:30", "2:43")])
    check_beyond(page, "0:18", True, [("A-REACH", "0:18", None)], now="1:30")
    with Browser() as b:
        b.size(1024, 900)
        b.open(page)
        settled(b, 0)
        picture(b, "day-1024-before")
        report = type_a_day(b)
        check_answer(b, wetrun, report)
        check_slack(b)
        check_trouble(b)
        check_kept(b, page)
        check_files(b, page)
        check_left_out(b)
        for width in (1024, 390):
            for scheme in ("light", "dark"):
                b.size(width, 900)
                b.colours(scheme)
                check_no_overlap(b, f"day page, {width} px")
                check_accessible(b, f"day page, {width} px, {scheme}")
                picture(b, f"day-{width}-{scheme}", whole=True)
        b.colours("light")
        b.size(1024, 900)
        reach_by_keyboard(b, "day page")
        check_paper(b, "day", ["petrel-7: step log, run P7-day", "Decision support only"])
        on_paper = b.run("return document.querySelector('.sheet p').textContent")
        for words in ("excursion, limit 6:30, inside in 90 of 100", "EV2 breathing supply, limit 6:45, inside in 95 of 100"):
            assert words in on_paper, on_paper
        ms = [int(x) for x in b.run("return [document.documentElement.dataset.answerMs, document.documentElement.dataset.cardMs]")]
        check_quiet(b)
    check_way_in_stopped(page)
    check_pauses_refused()
    check_log_page()
    check_hostile()
    check_plan_alone()
    print(f"day page: a day typed beside `cutoff --now`, kept, saved, loaded, exported and printed (last answer in {ms[0]} ms, with cut-offs {ms[1]} ms)")


main()
