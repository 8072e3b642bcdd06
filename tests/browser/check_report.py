"""The report's page in a browser: quiet, whole, within reach of the keyboard, slider and sorting right, printed with heads.
Usage: check_report.py WETRUN FOLDER [PICTURES]."""
import json, pathlib, re, subprocess, sys
from browser import Browser, ENTER, RIGHT
from accessible import check_accessible
sys.path.append(str(pathlib.Path(__file__).resolve().parents[1] / "screens"))
from made_campaigns import MADE
from page_checks import check_no_overlap, check_quiet, reach_by_keyboard

wetrun, folder, pictures = sys.argv[1], pathlib.Path(sys.argv[2]).resolve(), sys.argv[3] if len(sys.argv) > 3 else None
petrel = pathlib.Path(__file__).resolve().parents[2] / "datasets/petrel-7"


def check_slider(b):
    """A step to the right says another limit, and more of it is never riskier."""
    def say():
        return b.run("return [document.getElementById('try-limit').getAttribute('aria-valuetext'), document.getElementById('try-out').textContent]")

    b.run("document.getElementById('try-limit').focus()")
    seen = [say()]
    for _ in range(8):
        b.keys(RIGHT)
        seen.append(say())
    limits = [int(h) * 60 + int(m) for h, m in (s[0].split(":") for s in seen)]
    assert limits == sorted(set(limits)), seen
    assert all("shows when to begin" in s[1] or "No times to begin by" in s[1] for s in seen[1:]), "what the card shows of a limit tried is not said"
    risk = [0.5 if s[1].startswith("fewer than 1") else float(re.match(r"(?:more than )?(\d+) of 100 go", s[1]).group(1)) for s in seen]
    assert risk == sorted(risk, reverse=True), seen
    b.click(b.find("#try-back"))
    assert say() == seen[0], "the way back leads elsewhere"


CARD = "const t = document.getElementById('t-card').closest('table'); const heads = Array.from(t.tHead.rows[0].cells).map(h => h.textContent.replace(/\\s+/g, ' ').trim());"


def column(b, name):
    return b.run(CARD + "const c = heads.findIndex(h => h.startsWith(arguments[0])); return Array.from(t.tBodies[0].rows).map(r => r.cells[c].textContent)", name)


def slide(b, at, wish):
    b.run("const s = document.getElementById('try-limit'), w = document.getElementById('try-wish'); s.value = arguments[0]; w.value = arguments[1];"
          "s.dispatchEvent(new Event('input')); w.dispatchEvent(new Event('change'))", at, wish)


def above_card(b):
    return b.run("return ['#fig-cutoff h3', '#card-verdicts', '#card-reach'].map(q => { const e = document.querySelector(q); return e && !e.hidden ? e.textContent.replace(/\\s+/g, ' ').trim() : ''; })")


def in_order(cells, up):
    """Whole minutes by their value, what is none of them behind."""
    numbers = [int(c.replace("\u2212", "-")) for c in cells if re.fullmatch("[-\u2212]?[0-9]+", c)]
    assert len(numbers) > 3 and numbers == sorted(numbers, reverse=not up), cells
    if up:
        assert all(re.fullmatch("[-\u2212]?[0-9]+", c) for c in cells[:len(numbers)]), cells


def check_tried_card(b):
    """Another limit tried: what stands above the card is what the command says of that limit; the card sorts by its own values, and is printed whole."""
    tried = json.loads(b.run("return document.getElementById('try-data').textContent"))
    given = above_card(b)
    slide(b, tried["at"][0], tried["given"][1])
    limit, wish = tried["limit"][tried["at"][0]], tried["wish"][tried["given"][1]]
    head, verdicts, reach = above_card(b)
    done = subprocess.run([wetrun, "cutoff", str(petrel), "--trials", "20000", "--limit", limit, "--quiet"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    says = re.sub(r"\s+", " ", done.stdout)
    assert verdicts and verdicts in says, (verdicts, says[:900])
    assert reach and reach in says and f"{limit}, is not kept with {wish} confidence" in reach, (reach, says[:900])
    if given[0]:
        assert head != given[0] and head.startswith("Even begun on time"), head
        n = len([c for c in column(b, "begin by") if c == "too late"])
        assert n > 0 and "no start early enough" in head, (n, head)
        assert b.run("return getComputedStyle(document.querySelector('#fig-cutoff .chart')).display") == "none", "the picture of another limit stands over the card"
    note = b.run("return document.getElementById('card-note').textContent")
    tried_words, others = f"excursion, {limit}, wanted inside in {wish.split()[0]} of 100", "EV2 breathing supply, 6:45, wanted inside in 95 of 100"
    assert f"these times are for {tried_words}. " in note and "of 100 go" in note and "The other limits stay as they are: " + others in note, note
    said = b.run("return ['t-card', 'card-limit', 'card-exactly', 'try-out', 't-clock-3'].map(i => document.getElementById(i).textContent)")
    assert said[0] == f"Begin by, elapsed time: for {tried_words}; {others}" and said[1].startswith(tried_words + ": ") and f"for {tried_words}." in said[3], said
    assert said[4] == "Clock: bay A without power, 1:55, wanted inside in 90 of 100", said
    slide(b, tried["given"][0], len(tried["wish"]) - 1)
    said = b.run("return ['t-card', 'card-exactly', 't-clock-3'].map(i => document.getElementById(i).textContent)")
    assert "excursion, 6:30, wanted inside in 95 of 100" in said[0] and "5 over excursion, 10 over bay A without power" in said[1] and "90 of 100" in said[2], said
    slide(b, tried["at"][0], tried["given"][1])
    b.run(CARD + "t.tHead.rows[0].cells[heads.findIndex(h => h.startsWith('slack'))].querySelector('button').click()")
    in_order(column(b, "slack"), True)
    assert any(c.startswith("\u2212") for c in column(b, "slack")), "no slack below nothing to sort"
    last = len(tried["limit"]) - 1
    slide(b, last, 0)
    in_order(column(b, "slack"), True)
    loose = b.run("return Array.from(document.querySelectorAll('#t-card, #console td')).map(e => e.closest('tr')).filter(r => r && r.cells.length > 5)"
                  ".map(r => r.cells[r.cells.length - 2]).filter(e => e.textContent.length > 30 && getComputedStyle(e).whiteSpace === 'nowrap').map(e => e.textContent)")
    assert not loose, f"notes that do not wrap: {loose[:3]}"
    b.run("document.body.setAttribute('data-sheet', 'console')")
    sheet = printed(b, "console.pdf")
    b.run("document.body.removeAttribute('data-sheet')")
    assert re.search(r"slack.*began|began", sheet[0]), "the column to write in is off the paper"
    assert sum(text.count("began") for text in sheet) >= 2, "a card has lost its column to write in"
    assert all("If you sit at the console" in text and "decision support only" in text for text in sheet if "Clock: " in text), "a clock without its head"
    words = re.sub(r"\s+", " ", " ".join(sheet))
    assert words.count("sooner for") == 0 or words.count("as usual") >= words.count("sooner for"), "a note is cut off"
    b.click(b.find("#try-back"))
    in_order(column(b, "slack"), True)
    assert above_card(b) == given, "the way back leaves another limit above the card"
    b.run(CARD + "t.tHead.rows[0].cells[heads.findIndex(h => h.startsWith('slack'))].querySelector('button').click()")
    in_order(column(b, "slack"), False)


CLOCK = re.compile(r'<caption id="t-clock-3">.*?<tbody>(.*?)</tbody>', re.S)
H = r"\d+:\d\d"


def check_tried_clocks(b):
    """Another limit tried: behind the times on a clock stands what the report of that limit says, and the printed card tells what is said of the
    limits as given."""
    tried = json.loads(b.run("return document.getElementById('try-data').textContent"))
    notes = "return Array.from(document.querySelectorAll('tr[id^=\"t-clock-3-\"]')).map(r => r.cells[r.cells.length - 2].textContent)"
    given, seen = b.run(notes), []
    for n, at in enumerate((tried["at"][0], tried["at"][-1])):
        slide(b, at, tried["given"][1])
        shown, out = b.run(notes), folder / f"tried-{n}"
        subprocess.run([wetrun, "report", str(petrel), "--limit", tried["limit"][at], "--out", str(out), "--trials", "20000", "--quiet"], capture_output=True, text=True)
        rows = re.findall(r"<tr.*?</tr>", CLOCK.search((out / "report.html").read_text())[1], re.S)
        says = [re.sub("<.*?>", "", re.findall(r"<td.*?</td>", row, re.S)[-2]) for row in rows]
        assert [re.sub(H, "h:mm", x) for x in shown] == [re.sub(H, "h:mm", x) for x in says], (tried["limit"][at], shown, says)
        for mine, theirs in zip(re.findall(H, " ".join(shown)), re.findall(H, " ".join(says))):  # two searches among the same days
            assert abs(sum(int(x) * y - int(z) * y for x, z, y in zip(mine.split(":"), theirs.split(":"), (60, 1)))) <= 1, (shown, says)
        seen.append(shown)
    assert all("sooner for" in x for x in seen[0]) and not any(seen[1]) and given not in seen, "the case tells nothing"
    slide(b, 0, tried["given"][1])  # before any for which there is a card
    assert tried["at"][0] > 0 and all("was not worked out" in x for x in b.run(notes)), b.run(notes)
    slide(b, tried["at"][0], tried["given"][1])
    b.run("document.body.setAttribute('data-sheet', 'console')")
    words = re.sub(r"\s+", " ", " ".join(printed(b, "tried.pdf")))
    b.run("document.body.removeAttribute('data-sheet')")
    assert re.search(r"would go over .excursion., 6:30, where the forecast has", words) and "is of the limits as given." in words, words[:3000]
    b.click(b.find("#try-back"))
    assert b.run(notes) == given, "the way back leaves what a clock says of another limit"


def check_lengthening_follows(b):
    """What tasks that get longer would cost decides of some limits that may be tried and not of others: of the first and the last
    such limit and of their neighbours the page says what `forecast` says."""
    tried, decided = json.loads(b.run("return document.getElementById('try-data').textContent")), re.compile("Doubtful.* about ([0-9]+) of 100 would go over")
    wish = tried["given"][1]
    at = [i for i, say in enumerate(tried["say"][wish]) if decided.search(say)]
    assert at and at[0] > 0 and at[-1] + 1 < len(tried["limit"]), "the case tells nothing"
    for i in (at[0] - 1, at[0], at[-1], at[-1] + 1):
        slide(b, i, wish)
        mine = decided.search(b.run("return document.getElementById('try-out').textContent"))
        asked = [wetrun, "forecast", str(petrel), "--trials", "20000", "--limit", tried["limit"][i], "--format", "json", "--quiet"]
        found = [f["message"] for f in json.loads(subprocess.run(asked, capture_output=True, text=True, check=True).stdout)["findings"]
                 if f["code"] == "lengthening-decides"]
        assert bool(mine) == bool(found), (tried["limit"][i], mine, found)
        assert not mine or f"about {mine[1]} of 100 would go over 'excursion'" in found[0], (mine[0], found)
    b.click(b.find("#try-back"))


def check_second_answer(b):
    """Where there are two answers the worse one of the limit as given goes from above the card while another is tried, and its own comes."""
    done = subprocess.run([wetrun, "report", str(petrel.parent / "petrel-8-sketch"), "--out", str(folder / "judged"), "--trials", "2000", "--quiet"], capture_output=True, text=True)
    if done.returncode:
        return
    b.open(folder / "judged/report.html")
    above = "const e = document.getElementById('card-second'); return e.hidden ? '' : e.textContent"
    given, tried = b.run(above), json.loads(b.run("return document.getElementById('try-data').textContent"))
    assert "it then takes a limit of" in given, given
    slide(b, tried["at"][0], 0)
    shown, worse = b.run(above), re.search("if judged.*? go(es)? over", tried["say"][0][tried["at"][0]])[0]
    assert worse in shown and "it then takes a limit of" not in shown and "is left out while another limit is tried" in shown, shown
    assert worse in b.run("return document.getElementById('try-out').textContent")
    slide(b, 0, 0)  # before any for which there is a card
    assert tried["at"][0] > 0 and b.run(above) == "", b.run(above)
    assert "if judged" in b.run("return document.getElementById('card-note').textContent")
    b.click(b.find("#try-back"))
    assert b.run(above) == given


def check_sorting(b):
    """The head of a column sorts by value, up and then down, and says so."""
    for up in (True, False):
        b.run("const t = document.querySelector('table.sort'); window.t = t; window.c = Array.from(t.tHead.rows[0].cells).findIndex(h => h.classList.contains('n'));"
              "t.tHead.rows[0].cells[window.c].querySelector('button').focus()")
        b.keys(ENTER)
        assert b.run("return window.t.tHead.rows[0].cells[window.c].getAttribute('aria-sort')") == ("ascending" if up else "descending")
        value = b.run("return Array.from(window.t.tBodies[0].rows).map(r => Number(r.cells[window.c].getAttribute('data-v') ?? r.cells[window.c].textContent)).filter(v => !Number.isNaN(v))")
        assert len(value) > 3 and value == sorted(value, reverse=not up), value


def printed(b, name):
    pdf = folder / name
    b.pdf(pdf, page={"width": 21.0, "height": 29.7}, background=True)
    return subprocess.run(["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True).stdout.split("\f")[:-1]


def check_heads_have_company(pages, what):
    """What a head stands over begins on its sheet."""
    for head, below in (("What the numbers mean", "finish: "), ("Pads", "median"), ("Tasks in the forecast", "median")):
        alone = [n for n, text in enumerate(pages, 1) if re.search(rf"^ *{head}$", text, re.M) and below not in text.split(head, 1)[1]]
        assert not alone, f"{what}: '{head}' stands by itself at the foot of sheet {alone}"


def check_sheets_alone(b):
    """A sheet printed by itself: a caption is not torn in two, and the clocks stand on the card's own sheet."""
    for sheet in ("train", "plan", "console", "review"):
        captions = b.run("return Array.from(document.querySelectorAll('#' + arguments[0] + ' .sheet caption')).filter(c => !c.closest('details'))"
                         ".map(c => c.textContent.replace(/\\s+/g, ' ').trim())", sheet)
        b.run("document.body.setAttribute('data-sheet', arguments[0])", sheet)
        pages = [re.sub(r"\s+", " ", text) for text in printed(b, f"{sheet}.pdf")]
        b.run("document.body.removeAttribute('data-sheet')")
        torn = [c for c in captions if not any(c in text for text in pages)]
        assert captions and not torn, f"{sheet}: torn over two sheets of {len(pages)}: {torn}"
        if sheet == "console":
            assert any("Begin by, elapsed time: " in text and "Clock: " in text for text in pages), f"the clock stands by itself, {len(pages)} sheets"


def check_nothing_cut(b):
    """On a usual screen no table has columns out of sight."""
    cut = b.run("return Array.from(document.querySelectorAll('.scroll')).filter(s => s.scrollWidth > s.clientWidth + 1).map(s => s.getAttribute('aria-labelledby'))")
    assert not cut, f"tables wider than the page: {cut}"


def check_many_tasks(b):
    """Of eighty tasks some charts and tables are as long as a sheet: they are laid out so that few are left half empty."""
    made = next(c for c in MADE if c.name == "eighty tasks")
    made.write(folder / "eighty")
    done = subprocess.run([wetrun, "report", str(folder / "eighty"), "--out", str(folder / "eighty-report"), "--trials", "2000", "--quiet"], capture_output=True, text=True)
    if done.returncode:
        return
    b.open(folder / "eighty-report/report.html")
    pages = printed(b, "eighty.pdf")
    assert len(pages) <= 17, f"{len(pages)} sheets for eighty tasks"
    check_heads_have_company(pages, "eighty tasks")


def check_paper(b):
    pages = printed(b, "report.pdf")
    assert 4 <= len(pages) <= 20, f"{len(pages)} sheets"
    check_heads_have_company(pages, "petrel-7")
    for number, text in enumerate(pages, 1):
        assert f"{number} of {len(pages)}" in text, f"sheet {number} has no page number"
    assert "Decision support only" in pages[0]
    assert not [n for n, text in enumerate(pages, 1) if not text.strip()], "an empty sheet"
    assert re.search(r"Try another limit", "".join(pages)) is None, "the slider is printed"
    assert any("If you sit at the console" in text and "Begin by, elapsed time" in text and "Clock: " in text for text in pages), "the clock is cut off the card"


def main():
    done = subprocess.run([wetrun, "report", str(petrel), "--out", str(folder / "report"), "--trials", "20000", "--quiet"], capture_output=True, text=True)
    if done.returncode == 4 and "gnuplot" in done.stderr:
        print("report page: without charts, since gnuplot could not be run")
    else:
        assert done.returncode == 0, done.stderr
    with Browser() as b:
        b.size(1280, 900)
        b.open(folder / "report/report.html")
        check_slider(b)
        check_sorting(b)
        check_tried_card(b)
        check_tried_clocks(b)
        check_lengthening_follows(b)
        for width in (1280, 390):
            for scheme in ("light", "dark"):
                b.size(width, 900)
                b.colours(scheme)
                check_no_overlap(b, f"report, {width} px")
                check_accessible(b, f"report, {width} px, {scheme}")
        b.colours("light")
        b.size(1280, 900)
        reach_by_keyboard(b, "report")
        check_nothing_cut(b)
        check_paper(b)
        check_sheets_alone(b)
        b.colours("light", "print")
        assert b.run("return Array.from(document.querySelectorAll('thead')).every(h => getComputedStyle(h).display === 'table-header-group')"), \
            "a table that goes on on the next sheet loses its head"
        cut = b.run("return Array.from(document.querySelectorAll('.t bdi')).filter(e => getComputedStyle(e).overflowX !== 'visible' && e.scrollWidth > e.clientWidth).map(e => e.textContent)")
        assert not cut, f"titles that are printed cut: {cut[:3]}"
        check_quiet(b)
        b.colours("light")
        check_many_tasks(b)
        check_second_answer(b)
    print("report page: quiet, within reach of the keyboard, slider and sorting right, printed")


main()
