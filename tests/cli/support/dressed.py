"""One small campaign, written down in many ways. Each way is either read as the plain files are (the task-by-run table and
the limits are the same), or refused (exit status
2 or 3, or its rows rejected) with the words that say what to type, or taken as it stands and called doubtful before anything else.
Nothing else may happen.
The campaign is invented. Usage: dressed.py PROGRAM, in an empty folder."""
import csv, json, os, re, subprocess, sys

PROGRAM = sys.argv[1]
COLUMNS = ["run", "date", "task", "crew", "performer", "start", "end", "hold", "outcome"]
TASKS = [("OUT", "Leave the lock", "EV1+EV2", 20), ("MAST", "Raise the mast", "EV1", 45), ("CABLE", "Lay the cable", "EV2", 40),
         ("SAMPLE", "Take samples", "EV1", 30), ("IN", "Back inside", "EV1+EV2", 15)]


def base_rows():
    """Starts and ends in seconds since midnight."""
    rows = []
    for r in range(4):
        at = 9 * 3600 + 600 * r
        free = {"EV1": at, "EV2": at}
        for k, (task, _, crew, planned) in enumerate(TASKS):
            lanes = crew.split("+")
            begin = max(free[l] for l in lanes)
            took = 60 * (planned + 7 * ((r * 5 + k * 3) % 5) - 9)
            outcome = "stopped" if (r, task) == (1, "CABLE") else "skipped" if (r, task) == (2, "SAMPLE") else "done"
            hold = 3 if (r, task) == (0, "MAST") else 0
            if outcome == "skipped":
                rows.append(dict(run=f"K{r+1}", day=3 + 8 * r, task=task, crew=crew, start=None, end=None, hold=0, outcome=outcome))
                continue
            rows.append(dict(run=f"K{r+1}", day=3 + 8 * r, task=task, crew=crew, start=begin, end=begin + took, hold=hold, outcome=outcome))
            for l in lanes:
                free[l] = begin + took
    return rows


PEOPLE = {"EV1": "ANN", "EV2": "BOB"}
HMM = lambda s: "" if s is None else f"{s//3600:02d}:{s//60%60:02d}"


class Log:
    """How the log is written. Every part may be changed; by default it is the plain form."""
    def __init__(self, **change):
        self.delimiter, self.end, self.above, self.below, self.encoding = ",", "\n", "", "", "utf-8"
        self.header = dict((c, c) for c in COLUMNS)
        self.columns = list(COLUMNS)
        self.time = HMM
        self.date = lambda d: f"2031-03-{d:02d}"
        self.hold = lambda h: str(h) if h else ""
        self.outcome = lambda o: "" if o == "done" else o
        self.run = self.task = self.crew = self.performer = lambda x, row=None: x
        self.extra = None      # (row cells, index) -> cells
        self.lines = lambda lines: lines
        for k, v in change.items():
            if k == "rename":
                self.header.update(v)
            else:
                setattr(self, k, v)

    def text(self):
        lines = [self.delimiter.join(self.header[c] for c in self.columns)]
        for i, row in enumerate(base_rows()):
            people = "+".join(PEOPLE[l] for l in row["crew"].split("+"))
            cell = dict(run=self.run(row["run"], i), date=self.date(row["day"]), task=self.task(row["task"], i),
                        crew=self.crew(row["crew"], i), performer=self.performer(people, i), start=self.time(row["start"]),
                        end=self.time(row["end"]), hold=self.hold(row["hold"]), outcome=self.outcome(row["outcome"]))
            cells = [cell[c] for c in self.columns]
            if self.extra:
                cells = self.extra(cells, i)
            lines.append(self.delimiter.join(cells))
        lines = self.lines(lines)
        return (self.above + self.end.join(lines) + self.end + self.below).encode(self.encoding)


def plan_text(crew=lambda c, i: c, planned=str, after="", header="task,title,crew,after,planned", delimiter=",", above="", end="\n"):
    rows = [header.replace(",", delimiter)]
    for i, (task, title, lanes, minutes) in enumerate(TASKS):
        rows.append(delimiter.join([task, title, crew(lanes, i), after if task == "SAMPLE" else "", planned(minutes)]))
    return (above + end.join(rows) + end).encode()


LIMITS = b"limit,crew,from,to,minutes,confidence\nexcursion,all,,,2:30,0.9\nunpowered,,MAST,CABLE,1:40,0.9\n"
PLAN = plan_text(after="CABLE")
cases = []


def read(name, runs=None, plan=PLAN, limits=LIMITS, names=None, args=(), rows=20):
    cases.append((name, runs or Log().text(), plan, limits, names, list(args), rows))


def refused(name, words, runs=None, plan=PLAN, limits=LIMITS, names=None, args=()):
    cases.append((name, runs or Log().text(), plan, limits, names, list(args), words))


def ampm(s):
    return "" if s is None else f"{(s//3600-1)%12+1}:{s//60%60:02d} {'AM' if s < 43200 else 'PM'}"


def rel(s):  # elapsed since the first start of the run is enough: any constant shift cancels
    return None if s is None else s - 9 * 3600 + 6000


def told(name, code, runs, plan=PLAN, names=None, limits=LIMITS):
    """Taken as it stands; but the finding of that code begins the forecast."""
    cases.append((name, runs, plan, limits, names, [], ("told", code)))


# ---- times ----
HALF = lambda s: "" if s is None else f"{((s + 9600) // 3600 - 1) % 12 + 1}:{(s + 9600) // 60 % 60:02d}"  # 11:40 to 2:39
refused("twelve-hours", "--times 12h says that they are of a clock of twelve hours", Log(time=HALF).text())
read("twelve-hours-said", Log(time=HALF).text(), args=["--times", "12h"])
read("semicolons", Log(delimiter=";").text())
read("tabs", Log(delimiter="\t").text())
read("bars", Log(delimiter="|").text())
read("seconds", Log(time=lambda s: HMM(s) + (":00" if s is not None else "")).text())
read("am-pm", Log(time=ampm).text())
read("am-pm-small", Log(time=lambda s: ampm(s).lower().replace(" ", "")).text())
read("am-pm-points", Log(time=lambda s: ampm(s).replace("AM", "a.m.").replace("PM", "p.m.")).text())
read("h", Log(time=lambda s: HMM(s).replace(":", "h")).text())
read("h-blank", Log(time=lambda s: HMM(s).replace(":", " h ")).text())
read("one-digit", Log(time=lambda s: "" if s is None else f"{s//3600}:{s//60%60}").text())
refused("point", "--times clock or --times elapsed", Log(time=lambda s: HMM(s).replace(":", ".")).text())
read("point-said", Log(time=lambda s: HMM(s).replace(":", ".")).text(), args=["--times", "clock"])
read("point-zeros-dropped", Log(time=lambda s: HMM(s).replace(":", ".").rstrip("0").rstrip(".")).text(), args=["--times", "clock"])
refused("comma-clock", "--times clock or --times elapsed", Log(delimiter=";", time=lambda s: HMM(s).replace(":", ",")).text())
read("comma-clock-said", Log(delimiter=";", time=lambda s: HMM(s).replace(":", ",")).text(), args=["--times=clock"])
read("no-separator", Log(time=lambda s: HMM(s).replace(":", "")).text())
refused("no-separator-no-zero", "--times clock or --times elapsed", Log(time=lambda s: HMM(s).replace(":", "").lstrip("0")).text())
read("no-separator-said", Log(time=lambda s: HMM(s).replace(":", "").lstrip("0")).text(), args=["--times", "clock"])
fraction = lambda s: "" if s is None else f"{s/86400:.6f}"
refused("day-fraction", "--times day or --times elapsed", Log(time=fraction).text())
read("day-fraction-said", Log(time=fraction).text(), args=["--times", "day"])
read("day-fraction-comma", Log(delimiter=";", time=lambda s: fraction(s).replace(".", ",")).text(), args=["--times", "day"])
elapsed = lambda s: "" if s is None else f"{rel(s)/60:g}"
read("elapsed", Log(time=elapsed).text())
read("elapsed-comma", Log(delimiter=";", time=lambda s: "" if s is None else f"{rel(s)/60:.2f}".replace(".", ",")).text())
refused("elapsed-seconds", "--minutes-in seconds", Log(time=lambda s: "" if s is None else str(rel(s)), hold=lambda h: str(60 * h)).text())
read("elapsed-seconds-said", Log(time=lambda s: "" if s is None else str(rel(s)), hold=lambda h: str(60 * h)).text(), args=["--minutes-in", "seconds"])
read("elapsed-hmm", Log(time=lambda s: HMM(None if s is None else s - 9 * 3600)).text(), args=["--times", "elapsed"])
read("past-midnight", Log(time=lambda s: "" if s is None else HMM(s + 14 * 3600 + 1800)).text())
read("stamps", Log(time=lambda s: "" if s is None else "2031-03-03T" + HMM(s)).text())
read("stamps-written", Log(time=lambda s: "" if s is None else "3.3.2031 " + HMM(s)).text())
read("stamps-am-pm", Log(time=lambda s: "" if s is None else "3/13/2031 " + ampm(s), date=lambda d: "").text(), args=["--dates", "mdy"])

marked = lambda mark, clock=HMM: lambda s: "" if s is None else clock(s) + mark
bare = lambda s: HMM(s).replace(":", "")
read("zone", Log(time=marked("Z", bare)).text())
read("zone-colon", Log(time=marked(" UTC")).text())
read("zone-no-zero", Log(time=lambda s: marked("z", bare)(s).lstrip("0")).text())
refused("zone-of-some", "with the mark at all of them or at none", Log(time=lambda s: marked("Z" if s and s < 36000 else "", bare)(s)).text())
read("hours-mark", Log(time=marked("h", bare)).text())
read("hours-word", Log(time=marked(" hrs", bare)).text())
read("about", Log(time=lambda s: "" if s is None else "~" + HMM(s).lstrip("0")).text())
read("about-ca", Log(time=lambda s: "" if s is None else "ca. " + HMM(s) if s > 36000 else HMM(s)).text())
read("about-elapsed", Log(time=lambda s: "" if s is None else "~" + HMM(s - 9 * 3600)).text(), args=["--times", "elapsed"])
refused("in-doubt", "write it without its question mark", Log(time=lambda s: HMM(s) + ("?" if s is not None and s % 7 == 0 else "")).text(), args=["--strict"])

# ---- dates ----
read("date-points", Log(date=lambda d: f"{d}.3.2031").text())
read("date-short", Log(date=lambda d: f"2031-3-{d}").text())
read("date-slashes-told", Log(date=lambda d: f"{d}/3/2031").text())
read("date-slashes-us", Log(date=lambda d: f"3/{d}/2031").text())
refused("date-slashes-open", "--dates dmy or --dates mdy", Log(date=lambda d: f"{d//3}/{d//4}/2031").text())
read("date-slashes-said", Log(date=lambda d: f"{d//3+1}/4/2031").text(), args=["--dates", "dmy"])

# ---- above, below, between ----
read("title", Log(above="Petrel mast, rehearsal log,,,,,,,\n").text())
read("title-blank", Log(above="Rehearsal log\n\n,,,,\n").text())
read("comments", Log(above="# exported on deck\n# by ANN\n").text())
read("sep", Log(delimiter=";", above="sep=;\n").text())
read("sep-quoted", Log(delimiter="|", above='"sep=|"\n').text())
read("byte-order-mark", Log(encoding="utf-8-sig").text())
read("utf16", Log(encoding="utf-16").text())
read("utf16-no-mark", Log(encoding="utf-16-le").text())
read("crlf", Log(end="\r\n").text())
read("cr", Log(end="\r").text())
read("empty-rows", Log(lines=lambda l: [x for y in l for x in (y, ",,,,,,,,")]).text())
read("comment-rows", Log(lines=lambda l: l[:4] + ["# break for lunch,,,,,,,,"] + l[4:]).text())
read("footer", Log(below="\nTotal,,,,,,,12,\nend of the log\n").text())
read("footer-sum-of-times", Log(below="Total,,,,,,2:31,12,\n,,,,,,2:31,,\n").text())
read("sum-within", Log(lines=lambda l: l[:6] + ["Total,,,,,,2:31,12,"] + l[6:]).text())
read("sum-as-task", Log(lines=lambda l: l[:6] + ["K1,,Total,,,09:00,11:31,12,"] + l[6:], below=",,Sum of all,,,,2:31,,\nAll,,,,,09:00,11:40,,\n").text())
read("left-off", Log(lines=lambda l: [x.rstrip(",") for x in l]).text())
read("surplus", Log(lines=lambda l: [x + ",,," for x in l]).text())
merged = Log(run=lambda x, i: x if i % 5 == 0 else "")
refused("merged", "add --fill-down run; else write the run in every row", merged.text())
read("merged-said", merged.text(), args=["--fill-down", "run"])

# ---- columns ----
read("columns-any-order", Log(columns=list(reversed(COLUMNS))).text())
read("columns-capital", Log(rename=dict((c, c.upper()) for c in COLUMNS)).text())
read("column-unit", Log(rename={"hold": "Holds (min)", "start": "Start (hh:mm)"}).text())
refused("column-status", "--columns outcome=", Log(rename={"outcome": "status"}).text())
read("column-status-said", Log(rename={"outcome": "status"}).text(), args=["--columns", "outcome=status"])
refused("column-result", "--columns outcome=", Log(rename={"outcome": "result"}, outcome=lambda o: o).text())
refused("column-held", "--columns hold=", Log(rename={"hold": "held"}).text())
refused("column-pause", "--columns hold=", Log(rename={"hold": "pause [s]"}, hold=lambda h: str(60 * h)).text())
refused("column-diver-hold", '--columns hold="diver hold"', Log(rename={"hold": "diver hold"}).text())
for name in ("dead time", "Diver", "Wait (min)", "time lost"):
    told("column-" + name, "column-unread", Log(rename={"hold": name}).text())
    read("column-said-" + name, Log(rename={"hold": name}).text(), args=["--columns", f'hold="{name}"'])
read("column-divers", Log(lines=lambda l: [l[0] + ",divers"] + [r + ",2" for r in l[1:]]).text())
read("column-held-said", Log(rename={"hold": "held"}).text(), args=["--columns", "hold=held"])
elsewhere = Log(rename={"run": "Case", "task": "Activity", "start": "Begin", "end": "Finish"})
refused("columns-elsewhere", "--columns run=Case,task=Activity,start=Begin,end=Finish", elsewhere.text())
read("columns-elsewhere-said", elsewhere.text(), args=["--columns", "run=Case,task=Activity,start=Begin,end=Finish"])
read("columns-by-names", elsewhere.text(), names=b"kind,from,to\ncolumn,Case,run\ncolumn,Activity,task\ncolumn,Begin,start\ncolumn,Finish,end\n")
refused("columns-from-elsewhere", '--columns run="Session No",task=Activity,start=Begin,end="End time",crew=Team',
        Log(rename={"run": "Session No", "task": "Activity", "start": "Begin", "end": "End time", "crew": "Team"}).text())
no_crew = lambda **names: Log(columns=[c for c in COLUMNS if c != "crew"], rename=names).text()
refused("people-as-lanes", "run=Dive,crew=Diver", no_crew(run="Dive", performer="Diver"), plan=None)
refused("people-beside-a-plan", "run=Dive,performer=Diver", no_crew(run="Dive", performer="Diver"))
refused("no-crew-but-people", "--columns crew=Diver", no_crew(performer="Diver"), plan=None)
refused("columns-with-help", '--columns run=Session,task=Activity,start=From,end=Until,crew=Suit,hold="Diver help",outcome="Finished?"',
        Log(rename={"run": "Session", "task": "Activity", "start": "From", "end": "Until", "crew": "Suit", "hold": "Diver help", "outcome": "Finished?"}).text())
refused("column-missing", "the header has no column 'task'", Log(columns=[c for c in COLUMNS if c != "task"]).text())

# ---- names ----
refused("runs-alike", "--join-names", Log(run=lambda x, i: x.lower() if i % 5 == 2 else x).text())
read("runs-joined", Log(run=lambda x, i: x.lower() if i % 5 == 2 else x).text(), args=["--join-names"])
read("runs-joined-blanks", Log(run=lambda x, i: x.replace("K", "K ") if i % 5 == 2 else x).text(), args=["--join-names"])
read("runs-by-names", Log(run=lambda x, i: "first" if x == "K1" and i == 2 else x).text(), names=b"kind,from,to\nrun,first,K1\n")
read("tasks-as-the-plan", Log(task=lambda x, i: x.lower()).text())
read("tasks-by-title", Log(task=lambda x, i: dict((t[0], t[1]) for t in TASKS)[x]).text())
read("tasks-by-names", Log(task=lambda x, i: "POLE" if x == "MAST" else x).text(), names=b"kind,from,to\ntask,pole,MAST\n")
read("lanes-as-the-plan", Log(crew=lambda x, i: x.lower().replace("ev", "Ev ")).text())
refused("people-alike", "--join-names", Log(performer=lambda x, i: x.lower() if i % 5 == 1 else x).text())
read("people-joined", Log(performer=lambda x, i: x.lower() if i % 5 == 1 else x).text(), args=["--join-names"])
for joiner in (" & ", "/", " and ", " + "):
    read("crew" + joiner.strip(), Log(crew=lambda x, i: x.replace("+", joiner)).text())
read("crew-comma", Log(crew=lambda x, i: '"%s"' % x.replace("+", ", ")).text())
read("crew-both", Log(crew=lambda x, i: "both" if "+" in x else x).text())
read("crew-all", Log(crew=lambda x, i: "ALL" if "+" in x else x).text())
read("outcome-words", Log(outcome=lambda o: "Complete" if o == "done" else o.upper()).text())
refused("outcome-other", "names.csv", Log(outcome=lambda o: "cut off" if o == "stopped" else o).text(), args=["--strict"])
read("outcome-by-names", Log(outcome=lambda o: "cut off" if o == "stopped" else o).text(), names=b"kind,from,to\noutcome,cut off,stopped\n")
read("outcome-yes", Log(outcome=lambda o: "yes" if o == "done" else o).text())
read("outcome-tick", Log(outcome=lambda o: "\u2713" if o == "done" else o).text())
refused("outcome-x", "outcome,x,done or outcome,x,skipped", Log(outcome=lambda o: "x" if o == "done" else o).text())
refused("outcome-no", "outcome,no,stopped or outcome,no,skipped", Log(outcome=lambda o: "no" if o == "stopped" else o).text(), args=["--strict"])
read("outcome-x-by-names", Log(outcome=lambda o: "x" if o == "done" else o).text(), names=b"kind,from,to\noutcome,x,done\n")
read("hold-minute-sign", Log(hold=lambda h: f"{h}'" if h else "").text())
read("hold-unit", Log(hold=lambda h: f"{h} min" if h else "").text())
read("hold-hmm", Log(hold=lambda h: f"0:{h:02d}").text())

MINUTES = [c for c in COLUMNS if c not in ("start", "end")]
as_minutes = lambda show: Log(lines=lambda l: [",".join(MINUTES[:5] + ["minutes"] + MINUTES[5:])] + [
    ",".join([*c[:5], show(i), *c[7:]]) for i, c in enumerate(x.split(",") for x in l[1:])]).text()
refused("minutes-mm-ss", "write all of them as h:mm:ss (0:26:10)", as_minutes(lambda i: f"{9 + 3 * (i % 5)}:{i:02d}"))
ditto = Log(run=lambda x, i: x if i % 5 == 0 else '""""', performer=lambda x, i: "ditto" if i % 5 == 4 and i > 4 else x)
refused("ditto", "--fill-down run,performer", ditto.text())
read("ditto-said", Log(run=ditto.run).text(), args=["--fill-down", "run"])
read("crew-row-by-row", Log(lines=lambda l: [y for x in l for y in
     ([x.replace("EV1+EV2", "EV1").replace("ANN+BOB", "ANN"), x.replace("EV1+EV2", "EV2").replace("ANN+BOB", "BOB")] if "EV1+EV2" in x else [x])]).text(),
     rows=28)
read("two-logs-of-one-run", Log(lines=lambda l: l + [x.replace(",09:00,09:11,", ",09:01,09:11,") for x in l if x.startswith("K1") and "OUT" in x]).text(), rows=21)

# ---- taken as they stand, and said before the first sentence ----
def again(name, change=lambda row: row, run="K1"):
    return lambda l: l + [change(",".join([name] + x.split(",")[1:])) for x in l if x.startswith(run + ",")]


def shifted(row, minutes):
    return re.sub(r"(\d\d):(\d\d)", lambda m: HMM(60 * (60 * int(m[1]) + int(m[2]) + minutes)), row)


told("pasted-again", "run-repeats", Log(lines=again("K9", lambda x: x.replace("2031-03-03", "2031-05-05"))).text())
told("one-rehearsal-in-two-logs", "runs-overlap", Log(lines=again("deck", lambda x: shifted(x, 20 if "MAST" in x else 3))).text())
told("the-plan-by-name", "run-is-plan", Log(run=lambda x, i: "Plan" if x == "K1" else x).text())
told("the-plan-by-minutes", "run-is-plan", Log(columns=[c for c in COLUMNS if c not in ("hold", "outcome", "performer")], lines=lambda l: l + [
    f"K0,2031-02-02,{t},{c},{HMM(60 * b)},{HMM(60 * (b + m))}" for (t, _, c, m), b in zip(TASKS, (540, 560, 560, 605, 635))]).text())
told("begun-again", "run-restarted", Log(lines=lambda l: l + [shifted(x, -120) for x in l if x.startswith("K1") and ("OUT" in x or "MAST" in x)]).text())
told("renamed-half-way", "never-together", Log(task=lambda x, i: "POLE" if x == "MAST" and i > 9 else x).text())
told("renamed-half-way-alone", "never-together", Log(task=lambda x, i: "POLE" if x == "MAST" and i > 9 else x).text(), plan=None)
told("many-rejected", "many-rejected", Log(lines=lambda l: [re.sub(r"\d\d:\d\d,(\d?),$", r"soon,\1,", x) if ",IN," in x else x for x in l]).text())
told("minutes-of-each-lane", "repeated-row", Log(lines=lambda l: ["run,task,minutes,crew"] + [f"K{r},{t},{m + r + (c2 == 'EV2')},{c2}"
     for r in range(4) for t, _, c, m in TASKS for c2 in c.split("+")]).text())
told("misspelt-once", "lone-name", Log(task=lambda x, i: "MATS" if x == "MAST" and i < 5 else x).text(), plan=None)
crew_of = lambda x, i: x.replace("ANN", "CY") if i < 5 else x  # of the first run: else people make no difference
told("person-misspelt", "lone-person", Log(performer=lambda x, i: "ANM" if i == 16 else crew_of(x, i)).text())
told("the-whole-as-a-task", "covers-run", Log(lines=lambda l: l + ["K1,2031-03-03,Excursion,EV1+EV2,ANN+BOB,09:00,13:00,,"]).text())
told("hour-slip", "two-places", Log(lines=lambda l: [x if not x.startswith("K1,2031-03-03,MAST") else shifted(x, 60) for x in l]).text())
told("hour-slip-at-the-end", "implausible-step", Log(lines=lambda l: [re.sub(r",(\d\d):(\d\d),,$", lambda m: f",{int(m[1]) + 1:02d}:{m[2]},,", x) if x.startswith("K2") and ",IN," in x else x for x in l]).text())
told("hold-drawn-down", "hold-filled", Log(hold=lambda h: str(h or 1)).text())
told("lanes-exchanged", "run-other-crews", Log(crew=lambda x, i: {"EV1": "EV2", "EV2": "EV1"}.get(x, x) if i // 5 == 3 else x).text())
read("renamed-by-names", Log(task=lambda x, i: "POLE" if x == "MAST" and i > 9 else x).text(), names=b"kind,from,to\ntask,POLE,MAST\n")

# ---- plans ----
read("plan-semicolons", plan=plan_text(after="CABLE", delimiter=";"))
read("plan-title", plan=plan_text(after="CABLE", above="The plan,,,,\n"))
read("plan-hmm", plan=plan_text(after="CABLE", planned=lambda m: f"0:{m:02d}"))
read("plan-min", plan=plan_text(after="CABLE", planned=lambda m: f"{m} min"))
read("plan-comma-minutes", plan=plan_text(after="CABLE", delimiter=";", planned=lambda m: f"{m},0"))
refused("plan-mm-ss", "0:26:10", plan=plan_text(after="CABLE", planned=lambda m: f"{m}:10"))
read("plan-after-title", plan=plan_text(after="Lay the cable"))
read("plan-after-case", plan=plan_text(after="cable"))
read("plan-after-commas", plan=plan_text(after='"CABLE, OUT"'))
read("plan-after-and", plan=plan_text(after="OUT and CABLE"))
read("plan-after-ampersand", plan=plan_text(after="Leave the lock & cable"))
read("plan-after-titles", plan=plan_text(after="Leave the lock and Lay the cable"))
refused("plan-after-and-slip", "the plan has no task 'DOCKING'", plan=plan_text(after="CABLE and DOCKING"))
refused("plan-after-slip", "did you mean 'CABLE'?", plan=plan_text(after="CABEL"))
read("plan-both", plan=plan_text(after="CABLE", crew=lambda c, i: "both" if "+" in c else c))
read("plan-slash", plan=plan_text(after="CABLE", crew=lambda c, i: c.replace("+", "/")))
read("plan-ampersand", plan=plan_text(after="CABLE", crew=lambda c, i: c.replace("+", " & ")))
refused("plan-slash-alone", "write several joined by +", plan=plan_text(after="CABLE", crew=lambda c, i: "EV1/EV2"))
coded = lambda x, i: x.replace("BOB", "B\u00d6B" if i < 9 else "BO\u0308B")
refused("person-coded-in-two-ways", "differ in case, blanks or the coding of a letter only", Log(performer=coded).text())
read("person-coded-in-two-ways-told", Log(performer=coded).text(), names="kind,from,to\nperson,B\u00d6B,BOB\n".encode())
refused("plan-lanes-alike", "differ in case or blanks only", plan=plan_text(after="CABLE", crew=lambda c, i: c.lower() if i == 3 else c))
refused("plan-tasks-alike", "in case, blanks or the coding of a letter only", plan=plan_text(after="CABLE") + b"\ncable,,EV1,,12\n")
read("plan-cr", plan=plan_text(after="CABLE", end="\r"))
read("plan-column-unit", plan=plan_text(after="CABLE", header="Task,Title,Crew,After,Planned (min)"))

# ---- limits ----
L = "limit,crew,from,to,minutes,confidence\n"
read("limit-percent", limits=(L + "excursion,all,,,2:30,90 %\nunpowered,,MAST,CABLE,1:40,90\n").encode())
read("limit-p90", limits=(L + "excursion,all,,,2:30,P90\nunpowered,,MAST,CABLE,1:40,p90\n").encode())
refused("limit-p-point", "write 0.9 for 90 %", limits=(L + "excursion,all,,,2:30,P0.9\n").encode())
read("limit-minutes", limits=(L + "excursion,all,,,150,0.9\nunpowered,,MAST,CABLE,100 min,0.9\n").encode())
read("limit-h", limits=(L + "excursion,all,,,2h30,0.9\nunpowered,,MAST,CABLE,1h40,0.9\n").encode())
read("limit-both", limits=(L + "excursion,both,,,2:30,0.9\nunpowered,,mast,cable,1:40,0.9\n").encode())
read("limit-titles", limits=(L + "excursion,EV1+EV2,,,2:30,0.9\nunpowered,,Raise the mast,lay the cable,1:40,0.9\n").encode())
read("limit-semicolons", limits=(L + "excursion,all,,,2:30,0;9\n").replace(",", "|").replace(";", ",").encode() + b"unpowered||MAST|CABLE|1:40|0,9\n")
refused("limit-point", "write h:mm (2:30)", limits=(L + "excursion,all,,,2.30,0.9\n").encode())
refused("limit-half", "not above 0.5", limits=(L + "excursion,all,,,2:30,0.5\n").encode())
refused("limit-one", "not between 0 and 1", limits=(L + "excursion,all,,,2:30,1\n").encode())
refused("limit-slip", "did you mean 'MAST'?", limits=(L + "excursion,all,,,2:30,0.9\nx,,MATS,CABLE,1:40,0.9\n").encode())
refused("limit-option-point", "write h:mm", args=["--limit", "2.30"])
read("limit-title", limits=("Limits of the mast,,,,,\n" + LIMITS.decode()).encode())

# ---- what spreadsheets and people put in ----
read("zero-width", Log(task=lambda x, i: ("\u200b" if i % 3 else "\ufeff") + x, crew=lambda x, i: x.replace("+", "\u202f+\u00a0")).text())
read("formula", Log(time=lambda s: '"=""%s"""' % HMM(s) if s is not None else "").text())
read("nbsp", Log(time=lambda s: HMM(s) + "\u00a0", task=lambda x, i: x + "\u00a0").text())
read("apostrophe", Log(task=lambda x, i: "'" + x).text())
read("stroke-for-nothing", Log(time=lambda s: HMM(s) or "-", hold=lambda h: str(h) if h else "-").text())
read("long-stroke-for-nothing", Log(time=lambda s: HMM(s) or "\u2013", hold=lambda h: str(h) if h else "\u2014").text())
read("word-for-nothing", Log(time=lambda s: HMM(s) or "N/A", hold=lambda h: str(h) if h else "none").text())
refused("column-done", "--columns outcome=", Log(rename={"outcome": "Done?"}, outcome=lambda o: "y" if o == "done" else o).text())
refused("column-remark", "--columns outcome=", Log(rename={"outcome": "remark"}, outcome=lambda o: "fine" if o == "done" else o).text())
refused("column-hold-seconds", "with --minutes-in seconds", Log(rename={"hold": "hold (s)"}, hold=lambda h: str(60 * h)).text())
read("column-hold-seconds-said", Log(rename={"hold": "hold (s)"}, hold=lambda h: str(60 * h)).text(), args=["--columns", "hold=hold (s)", "--minutes-in", "seconds"])
read("crew-with", Log(crew=lambda x, i: x.replace("+", " with ")).text())
read("crew-line-below-line", Log(crew=lambda x, i: '"%s"' % x.replace("+", "\n")).text())
refused("runs-as-decimals", "--join-names", Log(run=lambda x, i: x[1:] + (".0" if i % 5 == 1 else "")).text())
read("names-kinds-as-columns", Log(performer=lambda x, i: x.replace("ANN", "Anna")).text(), names=b"kind,from,to\nperformer,Anna,ANN\n")
read("plan-predecessors", plan=plan_text(after="CABLE", header="task,title,crew,predecessors,duration (min)"))


# ---- what was misread without a word before ----
def later(i_from, i_to, minutes):
    return lambda c, i: [*c[:5], *(HMM(60 * (60 * int(t[:2]) + int(t[3:]) + minutes)) if t else t for t in c[5:7]), *c[7:]] if i_from <= i < i_to else c


told("an-hour-in-the-middle", "implausible-wait", Log(extra=later(8, 10, 60)).text())
told("a-break-nobody-wrote-down", "implausible-wait", Log(extra=later(18, 20, 30)).text())
told("one-run-under-two-names", "run-in-parts", Log(run=lambda x, i: x + " (again)" if i == 4 else x).text())
told("one-run-under-two-marks", "run-in-parts", Log(run=lambda x, i: f'"#{x}"' if i == 0 else x).text())
refused("rows-struck-out", "take them out if they do not count", Log(run=lambda x, i: "#" + x if i < 5 else x).text())
refused("limit-struck-out", "take it out if it does not count", limits=LIMITS.replace(b"exc", b"#long,all,,,9:00,0.9\nexc"))
told("skipped-and-timed", "skipped-but-timed", Log(extra=lambda c, i: c[:-1] + ["skipped"] if i == 12 else c).text())
told("planned-and-in-no-run", "planned-unlogged", Log(lines=lambda l: [x for x in l if ",SAMPLE," not in x]).text())
read("parts-by-names", Log(run=lambda x, i: x + " (again)" if i == 4 else x).text(), names=b"kind,from,to\nrun,K1 (again),K1\n")
refused("holds-in-hours", "--minutes-in hours", Log(hold=lambda h: f"{h / 60:.2f}" if h else "").text())
refused("holds-with-a-point", "hours and minutes are written h:mm (0:03)", Log(hold=lambda h: f"0.{h:02d}" if h else "").text())
refused("holds-in-seconds", 'hold="hold_s" with --minutes-in seconds', Log(rename={"hold": "hold_s"}, hold=lambda h: str(20 * h) if h else "").text())
refused("minutes-in-hours-and-no-plan", "--minutes-in hours", as_minutes(lambda i: f"{(9 + 7 * (i % 5)) / 60:.3f}"), plan=None)
refused("minutes-as-m-ss", "write all of them as h:mm:ss (0:09:10)", as_minutes(lambda i: f"{8 + i % 4}:{i:02d}"), plan=None)
read("plan-total", plan=PLAN + b"TOTAL,Sum of all,EV1+EV2,,150\n")
read("plan-summe", plan=PLAN + b"Summe,,,,150\n")
read("plan-gesamt", plan=PLAN + b"Gesamt,,,,150\n")
refused("plan-total-of-something", "a sum of the rows above? take the row out", plan=PLAN + b"TOTAL,Longest way,EV1+EV2,,110\n")
read("limit-total", limits=LIMITS + b"Total,,,,4:10,\n")
read("limit-no-colon", limits=(L + "excursion,all,,,0230,0.9\nunpowered,,MAST,CABLE,0140,0.9\n").encode())
ruled = lambda head, cell, more=b"": (lambda rows: "\n".join([rows[0] + "," + head] + [r + "," + (cell if r.startswith("SAMPLE") else "," * head.count(","))
                                      for r in rows[1:]]).encode() + b"\n" + more)(PLAN.decode().splitlines())
told("drop-after-nothing", "implausible-rule", Log().text(), plan=ruled("drop_after", "0"))
told("drop-after-a-time-of-day", "implausible-rule", Log().text(), plan=ruled("drop_after", "11:30"))
told("drop-after-no-colon", "implausible-rule", Log().text(), plan=ruled("drop_after", "205"))
told("drop-after-the-limits", "implausible-rule", Log().text(), plan=ruled("drop_after", "2:40"))
read("drop-after-in-minutes", plan=ruled("drop_after", "125"))
told("log-of-another-campaign", "other-campaign", Log(task=lambda t, i: "WX" + str("OUT MAST CABLE SAMPLE IN".split().index(t))).text(),
     limits=(L + "excursion,all,,,2:30,0.9\n").encode())
told("judged-in-hours", "implausible-judgement", Log().text(), plan=ruled("low,likely,high", "0.3,0.5,0.9"))
told("sdlog-too-wide", "implausible-judgement", Log().text(), plan=ruled("median,sdlog", ",", b"NEW,New work,EV1,,30,30,1.5\n"))
told("lane-limit-in-hours", "implausible-limit", Log().text(), limits=(L + "excursion,all,,,2:30,0.9\nair,EV1,,,3,0.9\n").encode())
told("clock-limit-in-hours", "implausible-limit", Log().text(), limits=(L + "excursion,all,,,2:30,0.9\nunpowered,,MAST,CABLE,2,0.9\n").encode())


def run(args):
    done = subprocess.run([PROGRAM] + args, stdin=subprocess.DEVNULL, capture_output=True, text=True)
    return done.returncode, done.stdout, done.stderr


def what_was_read(folder, args):
    """The task-by-run table with times since the run's start, and the limits."""
    status, out, err = run(["check", "-f", "json", *args, "--times", "times.csv", "--write-plan", "plan.csv", folder])
    if status not in (0, 1):
        return None, status, out + err
    check = json.loads(out)
    with open("times.csv", newline="") as f:
        table = [tuple(round(float(c), 3) if c.replace(".", "").isdigit() and i > 2 else c.upper().replace(" ", "") if i == 0 else c
                       for i, c in enumerate(row)) for row in csv.reader(f)]
    with open("plan.csv", newline="") as f:
        waits = [row["task"] for row in csv.DictReader(f) if "CABLE" in re.split("[; ,]+", row["after"])]
    os.remove("times.csv")
    limits = [(l["limit"], l["crew"], l["minutes"]) for l in check["limits"]]
    people = sorted(p.upper() for p in check["people"])
    rows = (check["rows"]["accepted"], check["rows"]["rejected"], limits, people, waits)
    return (table, rows), status, out


def folder_of(name, runs, plan, limits, names):
    folder = "c-" + name.replace("/", "slash").replace(" ", "")
    os.mkdir(folder)
    for file, bytes in (("runs.csv", runs), ("plan.csv", plan), ("limits.csv", limits), ("names.csv", names)):
        if bytes is not None:
            with open(os.path.join(folder, file), "wb") as f:
                f.write(bytes)
    return folder


base, status, out = what_was_read(folder_of("plain", Log().text(), PLAN, LIMITS, None), [])
assert base and base[1][0] == 20, out
failed = 0
def begins_with_it(folder, code):
    """The finding stands in check, and a forecast says that it is doubtful before it says anything else."""
    status, out, err = run(["check", "-f", "json", folder])
    if status not in (0, 1) or not any(f["code"] == code and f["severity"] != "note" for f in json.loads(out)["findings"]):
        return False, out + err
    status, out, err = run(["forecast", "--trials", "1000", folder])
    return status == 0 and out.startswith("Doubtful, for it rests on this: "), out + err


for name, runs, plan, limits, names, args, wanted in cases:
    folder = folder_of(name, runs, plan, limits, names)
    if isinstance(wanted, tuple):
        right, out = begins_with_it(folder, wanted[1])
        if not right:
            failed += 1
            print(f"{name}: not told as {wanted[1]}: {out[:400]}")
        continue
    got, status, out = what_was_read(folder, args)
    expected = (base[0], (wanted, *base[1][1:]))
    if isinstance(wanted, int) and got != expected:
        failed += 1
        print(f"{name}: not read as the plain files are ({status})")
        if got is None:
            print("   ", out.strip().splitlines()[-1])
        else:
            differ = [(a, b) for a, b in zip(base[0], got[0]) if a != b][:2]
            print("   ", differ, expected[1] if expected[1] != got[1] else "", got[1] if expected[1] != got[1] else "")
    elif isinstance(wanted, str) and (got is not None and got[1][1] == 0 or wanted not in out):
        failed += 1
        print(f"{name}: not refused with '{wanted}' ({status}): {out.strip().splitlines()[-1][:300] if out.strip() else ''}")
print(f"{len(cases)} ways of writing, {failed} wrong")
sys.exit(failed > 0)
