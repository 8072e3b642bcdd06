"""Every refusal says what to type. A table of refusals provoked at the command line, and every message of a refusal in the
source. A way out is a command, an option, what there is to choose from, or an imperative behind the reason ("…: write 0.9").
The campaign is invented. Usage: refusals.py PROGRAM SOURCE-TREE, in an empty folder."""
import json, os, re, subprocess, sys

PROGRAM, TOP = os.path.abspath(sys.argv[1]), sys.argv[2]
DO = "write|add|leave|name|put|take|correct|make|use|install|log|fill|hold|try|raise|say|begin|end|let"
WAY_OUT = re.compile(r"(?:[:;,(?] ?(?:and |or |so )?(?:%s)\b.)|did you mean|there are: |`wetrun |(?<!^)--[a-z]" % DO)


def has_way_out(message):
    """What is refused stands in front (--limit: …), and is no way out."""
    return WAY_OUT.search(re.sub(r"^(wetrun: )?(--[a-z-]+:? ?|row rejected: )?", "", message))


PLAN = ["task,title,crew,after,planned,low,likely,high,median,sdlog,not_before,kind", "OUT,Leave the lock,EV1+EV2,,20,,,,,,,transit",
        "MAST,Raise the mast,EV1,,45,,,,,,,assembly", "CABLE,Lay the cable,EV2,,40,,,,,,,assembly", "IN,Back inside,EV1+EV2,,15,,,,,,,transit"]
LIMITS = ["limit,crew,from,to,minutes,confidence", "excursion,all,,,2:30,0.9"]
LOG = ["run,date,basin,task,crew,performer,start,end,hold,outcome"]
for r in range(4):
    for task, crew, who, begin, end in (("OUT", "EV1+EV2", "ANN+BOB", 0, 20 + r), ("MAST", "EV1", "ANN", 20 + r, 64 + r), ("CABLE", "EV2", "BOB", 20 + r, 59 + 2 * r),
                                        ("IN", "EV1+EV2", "ANN+BOB", 66 + r, 81 + r)):
        LOG.append(f"K{r+1},2031-03-{5+7*r:02d},{'east' if r % 2 else 'west'},{task},{crew},{who},9:{begin:02d}" .replace("9:6", "10:0") +
                   f",{9+end//60}:{end%60:02d},,")
BASE = {"runs.csv": LOG, "plan.csv": PLAN, "limits.csv": LIMITS}
cases = []


def refused(words, command, status=2, **files):
    """files: name_csv=lines, or None to leave it out"""
    cases.append((words, command, status, {k.replace("_", ".", 1) if "_" in k else k: v for k, v in files.items()}))


def row(lines, n, **change):
    """The lines with cells of row n changed."""
    header = lines[0].split(",")
    cells = lines[n].split(",")
    for k, v in change.items():
        cells[header.index(k)] = v
    return lines[:n] + [",".join(cells)] + lines[n + 1:]


# ---- what is typed ----
refused("`wetrun --help`", "")
refused("`wetrun --help`", "frobnicate")
refused("did you mean '--limit'", "forecast --limt 3")
refused("`wetrun forecast --help`", "forecast --frobnicate")
refused("write --limit H:MM", "forecast --limit")
refused("write --quiet alone", "forecast --quiet=3")
refused("name another file", "check --out runs.csv")
refused("write wetrun forecast", "forecast a b")
refused("write wetrun debrief", "debrief")
refused("`wetrun check`", "debrief .")
refused("write --trials 1000", "forecast --trials many")
refused("write --seed 7", "forecast --seed x")
refused("write --format csv", "forecast --format xml")
refused("write 0.9", "forecast --confidence 0.2")
refused("write 0.99", "forecast --confidence 0.99999")
refused("write --strictness 0.9", "ready --strictness 2")
refused("write h:mm", "forecast --limit 2.30")
refused("write 26, or 0:26", "forecast --limit soon")
refused("write --run-effect 0.1", "forecast --run-effect 0")
refused("write --precision 0.1", "forecast --precision 0")
refused("write 0.001 for 0.1 of 100", "forecast --precision 0.5")
refused("leave --trials out", "forecast --precision 0.001 --trials 1000")
refused("write --precision ", "forecast --precision 0.00001 --limit 1:23")
refused("add limits.csv or --limit H:MM", "forecast --precision 0.001", limits_csv=None)
refused("write --gap-allowance 10", "forecast --gap-allowance -3")
refused("write --run-effect-prior 0.1,0.5", "forecast --run-effect-prior a,b")
for prior in ("-0.1", "0", "0.1,", "0.1,0", "0.1,-1", "0.1,0.5,2", "," + "9" * 90, "1" * 90, "2.1", "0.1,11"):
    refused("write --run-effect-prior 0.1,0.5", "forecast --run-effect-prior " + prior)
refused("write --run-effect 0.1", "forecast --run-effect 2.1")
for percent in ("101", "10000", "1e30"):
    refused("write --gap-allowance 10", "forecast --gap-allowance " + percent)
for factor in ("101", "1e6", "1e308"):
    refused("is more than 100 times as long: write TASK=0.8", "whatif --scale MAST=" + factor)
for limit in ("1e-300", "0:00:00"):
    refused("not a time of a second or more: write h:mm", "forecast --limit " + limit)
refused("not less than a second: write h:mm", "forecast", 3, limits_csv=["limit,crew,minutes,confidence", "excursion,all,1e-300,0.9"])
refused("leave one out", "forecast --run-effect-prior 0.1 --run-effect 0.1")
refused("leave one out", "forecast --join-names --keep-names")
refused("write --on 2031-05-20", "forecast --on someday")
refused("write --drop TASK", "whatif --also")
refused("write --drop TASK", "whatif --drop MAST --also")
refused("write --people EV1=NAME", "forecast --people ANN")
refused("write one of EV1, EV2", "forecast --people PILOT=ANN")
refused("leave one of them out", "forecast --people EV1=ANN,EV1=BOB")
refused("name somebody else", "forecast --people EV1=ANN,EV2=ANN")
OTHERS = [row.replace("ANN", "CY") if row[:2] in ("K2", "K4") else row for row in LOG] # BOB is in EV2 whoever is in EV1
refused("name who is in the other lanes too", "forecast --people EV1=BOB", runs_csv=OTHERS)
for simulated in ("pad -c 0.9", "cutoff -c 0.9", "ready -c 0.9", "forecast", "whatif --drop MAST", "chart finish", "daysheet -c 0.9",
                  "report --out o", "debrief K1", "backtest", "check"): # no screen answers beside one that is refused
    refused("needs more than 99: write --trials 100", simulated + " --trials 99")
refused("write --trials 100", "pad --trials 1 -c 0.9")
refused("write --trials 100", "series --trials 99 .", **{"series.csv": ["excursion,campaign,date", "One,.,"]})
refused("write --trials 400", "pad --trials 300 -c 0.99", 3)
refused("write --trials 2000", "runs-needed --trials 3")
refused("leave --people out", "runs-needed --people EV1=ZED", 3)
refused("name another folder", "start .")
refused("bash, zsh or fish", "--completion csh")
refused("write wetrun start [options] FOLDER", "start a b")
# ---- names that are not there ----
refused("write one of OUT, MAST, CABLE, IN", "whatif --drop DOCKING")
refused("did you mean 'CABLE'", "whatif --drop CABEL")
refused("write one of OUT", "whatif --scale DOCKING=0.8")
refused("write one of transit, assembly", "whatif --scale kind:robotics=0.8")
refused("write TASK=0.8", "whatif --scale MAST")
refused("there is no plan.csv: put the plan", "whatif --plan other.csv", plan_csv=None, other_csv=PLAN)
for scale in ("MAST=-1", "MAST=much"):
    refused("write TASK=0.8", "whatif --scale " + scale)
for swap in ("MAST", "=EV2", "MAST=", "MAST=+EV2", "M" * 300 + "=EV2", "MAST=" + "E" * 300):
    refused("write TASK=EV2", "whatif --swap " + swap)
refused("write one of EV1, EV2", "whatif --swap MAST=PILOT")
refused("write it once", "whatif --swap MAST=EV1+EV1")
refused("write A,B", "whatif --drop ,MAST")
refused("leave it out", "whatif --drop MAST,")
for change in ("--drop MAST", "--scale MAST=0.9", "--plan plan.csv"):
    refused("write --plan FILE first", f"whatif {change} --also --plan plan.csv")
for command in ("whatif --drop MAST", "whatif --search --allow exchange", "pad", "cutoff"): # days in memory
    refused("write --trials ", command + " --trials 1000000000")
refused("write h:mm", "whatif --limit 2.30")
for change in ("--drop IN", "--drop MAST,IN", "--scale IN=0", "--scale kind:transit=0", "--swap IN=EV1"):
    refused("their way back in", "whatif " + change)
CLOCK = LIMITS + ["mast loose,all,MAST,IN,1:10,0.9", "cable bare,all,OUT,CABLE,1:20,0.9"]
for change, words in (("--drop CABLE", "runs from the begin of 'OUT' to the end of 'CABLE': without 'CABLE' it cannot be kept"), ("--scale CABLE=0", "without 'CABLE' it cannot be kept"),
                      ("--drop OUT", "without 'OUT' it does not apply"), ("--drop OUT,CABLE", "without 'OUT' it does not apply"),
                      ("--drop MAST", "without 'MAST' it does not apply: leave it in, or add --limits FILE without that limit"),
                      ("--scale kind:assembly=0", "the limit 'mast loose'"), ("--plan sketch.csv --also --drop CABLE", "without 'CABLE' it cannot be kept")):
    refused(words, "whatif " + change, limits_csv=CLOCK, **{"sketch.csv": PLAN})
DROPPABLE = [PLAN[0] + ",drop_after"] + [line + (",1:30" if line[0] == "C" else ",") for line in PLAN[1:]]
BACKWARDS, ITS_PLAN = (open(f"{TOP}/datasets/petrel-7/{name}.csv", encoding="utf-8").read().split("\n") for name in ("runs", "plan"))
refused("(360 of the log's 367 rows were rejected): correct what `wetrun check` names", "forecast", 3, plan_csv=ITS_PLAN, limits_csv=None,
        runs_csv=[BACKWARDS[0].replace("start,end", "end,start")] + BACKWARDS[1:])
refused("it is the sd of log minutes, as 0.2, and no minutes", "forecast", 3, plan_csv=PLAN[:4] + ["NEW,New work,EV1,,,,,,30,5,,"] + PLAN[4:])
refused("ends with task 'CABLE', which has a drop time", "forecast", 3, limits_csv=CLOCK, plan_csv=DROPPABLE)
refused("task 'CABLE' has a drop time, and the limit 'cable bare' ends with it: leave its drop_after empty", "whatif --plan sketch.csv", 3, limits_csv=CLOCK,
        **{"sketch.csv": DROPPABLE})
refused("without 'CABLE' it cannot be kept: take the row out", "whatif --search", 3, limits_csv=CLOCK, **{"moves.csv": ["move,task", "drop,CABLE"]})
for times in ("0:00,0:20", ","):
    refused("take the row out, and the task out of the plan of the day (--plan FILE, a copy of the plan without it)", "cutoff --reports day.csv", 3,
            **{"day.csv": ["task,start,end,outcome", f"OUT,{times},skipped"]})
refused("what it would have taken is not known: use the page for the day", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,outcome", "OUT,0:00,0:20,Stopped"]})
refused("'partly' cannot be reported here: write done if it was", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,outcome", "OUT,0:00,0:20,partly"]})
for change in ("--drop CABLE --also --swap CABLE=EV1", "--swap CABLE=EV1 --also --drop CABLE", "--drop CABLE --also --scale CABLE=0.8"):
    refused("leave one of the two changes out", "whatif " + change)
for change in ("--drop CABLE --also --drop CABLE", "--drop CABLE,CABLE", "--swap CABLE=EV1 --also --swap CABLE=EV2", "--scale CABLE=0.5 --also --scale CABLE=2"):
    refused("'CABLE' is named twice in one alternative", "whatif " + change)
refused("'2:30' is the second in one alternative", "whatif --limit 2:00 --also --limit 2:30")
refused("write --drop TASK", "whatif")
refused("write exchange", "whatif --search --allow luck")
refused("moves.csv", "whatif --search")
refused("write --changes", "whatif --search --changes 9 --allow exchange")
refused("leave the other change out", "whatif --search --allow exchange --drop MAST")
refused("write one of OUT", "cutoff --at DOCKING")
refused("write one of OUT", "cutoff --now DOCKING@0:30")
refused("write TASK@H:MM", "cutoff --now MAST")
refused("goes beyond 59 in its minutes", "cutoff --now MAST@4:75")
refused("is beyond 59 in its minutes: write h:mm", "forecast --limit 4:75")
refused("is more minutes than could be meant: write h:mm", "forecast --limit 1e9")
refused("is too large to be meant: write minutes, or h:mm", "check", 3, **{"plan.csv": ["task,crew,planned", "OUT,EV1,1e9"]})
refused("is that many per cent, and a limit is to be kept more often than not: write 90 or 0.9", "forecast --confidence 9")
refused("is written with a decimal comma: write a point, as 0.9", "check", 3, **{"limits.csv": ["limit,crew,minutes,confidence", 'x,all,2:30,"0,9"']})
refused("write h:mm or h:mm:ss", "cutoff --now MAST@soon")
refused("may be 4:05, or 4.05 minutes (0:04:03): write the one that is meant", "cutoff --now MAST@4.05")
refused("may be 6:00 as a fraction of a day", "cutoff --now MAST=0.25")
refused("has no time: write TASK@H:MM", "cutoff --now MAST@")
refused("may be 1:34, or 134 minutes (2:14): write the one that is meant", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end", "OUT,134,", ",140,"]})
refused("was held 30 min of the 20 min that it has taken: correct the hold", "cutoff --reports day.csv", **{"day.csv": ["task,start,end,hold", "OUT,0:00,0:20,30"]})
refused("name it hold, minutes, step or outcome, or take it out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,pause", "OUT,0:00,0:20,5"]})
refused("name it hold, minutes, step or outcome, or take it out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,hold_s", "OUT,0:00,0:20,300"]})
refused("name it hold, minutes, step or outcome, or take it out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,elapsed time", "OUT,0:00,,20"]})
refused("minutes need the start of a task", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,minutes", "OUT,,0:20,20"]})
refused("correct the one that is wrong, or leave minutes out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,minutes", "OUT,0:00,0:20,30"]})
refused("write a column outcome that says done, or take the words out if it was", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end,note", "OUT,0:00,0:20,not complete: stopped"]})
refused("does not go on here: leave one of the two rows out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,start,end", "OUT,0:00,0:20", "OUT,0:10,0:30"]})
refused("name it hold, minutes, step or outcome, or take it out", "cutoff --reports day.csv", 3, **{"day.csv": ["task,part,start,end", "OUT,1,0:00,0:20"]})
refused("write the start of each of its rows", "cutoff --reports day.csv", 3, **{"day.csv": ["task,step,start,end", "OUT,first,,0:20"]})
refused("was still worked on at 0:20: correct one of the two", "cutoff --reports day.csv", **{"day.csv": ["task,step,start,end", "OUT,first,0:00,0:20", "MAST,,0:12,"]})
refused("leave one out", "cutoff --now OUT@0:01,OUT@0:02")
refused("correct one of the two", "cutoff --now OUT@0:20,@0:10")
refused("write H:MM, as 9:30", "cutoff --now OUT@9:20 --start soon")
refused("--start", "cutoff --now OUT@9:20")
refused("write one of K1, K2, K3, K4", "debrief THIRD")
refused("write one of K1, K2, K3, K4", "compare --split THIRD")
refused("name a later run", "compare --split K1")
refused("write one of basin", "compare --by weather")
refused("leave one out", "compare --by basin --split K3")
refused("there are: variance", "chart pie")
refused(".png, .svg or .pdf", "chart finish --out finish.bmp")
refused("leave one of them out", "chart finish --out finish.png --picture svg")
refused("write --width 800", "chart finish --out finish.png --width 3")
refused("write wetrun chart cutoff", "chart finish --out finish.png --now OUT@0:20")
refused("one of wetrun cutoff, chart", "report --now OUT@0:20")
refused("leave out --anonymous", "check --rejected rejected.txt --anonymous")
refused("before:RUN", "forecast --against elsewhere")
refused("`wetrun check`", "forecast --against before:THIRD")
refused("name a later one", "forecast --against before:K1")
refused("leave it out", "forecast --earlier .")
refused("leave it out", "forecast --earlier sketch", 3, **{"sketch/plan.csv": PLAN})
# ---- files that are not there ----
refused("`wetrun start FOLDER`", "check nowhere", 3)
refused("write the name of a file", "check --runs nowhere.csv", 3)
refused("name a file in it", "check --plan sketch", 3, **{"sketch/plan.csv": PLAN})
refused("make its folder first", "forecast --trials 400 --out nowhere/out.txt", 4)
refused("write the name of a file", "cutoff --reports nowhere.csv", 3)
refused("add limits.csv", "cutoff", limits_csv=None)
refused("add it to limits.csv", "pad --limit 2:30", limits_csv=None)
refused("`wetrun logsheet`", "debrief K1", runs_csv=None)
refused("`wetrun logsheet`", "compare", 3, runs_csv=None)
refused("log more first", "backtest", 3, runs_csv=None)
refused("add limits.csv", "whatif --limit 2:30", limits_csv=None)
# ---- columns of the log ----
refused("write run=Case", "check --columns Case")
refused("write run, task", "check --columns deck=Case")
refused("leave one of them out", "check --columns run=a,run=b")
refused("write run=", "check --columns run=")
refused("write run=", 'check --columns run="Dive')
refused("write a comma", 'check --columns run="Dive"no')
refused("leave one of them out", "check --columns run=basin,task=basin")
refused("write a name", "check --columns hold=pauses", 3)
refused("write run, task", "check --fill-down basin")
refused("--columns run=NAME", "check", 3, runs_csv=[LOG[0].replace("run,", "")] + [l.split(",", 1)[1] for l in LOG[1:]])
refused("name one of them otherwise", "check", 3, runs_csv=[LOG[0].replace("basin", "start")] + LOG[1:])
refused("write a header", "check --runs empty.csv", 3, **{"empty.csv": []})
refused("`wetrun logsheet`", "check", 3, runs_csv=None, plan_csv=None, limits_csv=None, **{"runs.csv": LOG[:1]})
refused("add the closing one", "check", 3, runs_csv=['"' + LOG[0]] + LOG[1:])
refused("--columns outcome=", "check", 3, runs_csv=[LOG[0].replace("outcome", "status")] + row(LOG, 2, outcome="stopped")[1:])
# ---- rows of the log ----
for words, change in (("use HH:MM", dict(start="soon")), ("correct one", dict(end="8:50")), ("write its start", dict(start="")), ("write it, or", dict(end="")),
                      ("write them", dict(start="", end="")), ("write it", dict(run="")), ("write it", dict(task="")), ("write 26", dict(hold="some")),
                      ("of 0 or more", dict(hold="-3")), ("correct the hold", dict(hold="600")), ("did you mean 'stopped'", dict(outcome="stoped")),
                      ("names.csv", dict(outcome="purple")), ("H:MM", dict(start="25:99")), ("write both alike", dict(start="12")),
                      ("write minutes", dict(hold="1e9"))):
    refused(words, "check --strict", 1, runs_csv=row(LOG, 6, **change))
refused("put the field in quotes", "check --strict", 1, runs_csv=LOG[:3] + [LOG[3] + ",x"] + LOG[4:])
refused("take it out", "check --strict", 1, runs_csv=LOG[:3] + LOG[:1] + LOG[3:])
refused("--join-names", "check", 3, runs_csv=row(LOG, 6, run="k2"))
refused("--dates dmy", "check", 3, runs_csv=[l.replace("2031-03-05", "5/4/2031").replace("2031-03-12", "6/4/2031").replace("2031-03-19", "7/4/2031")
                                             .replace("2031-03-26", "8/4/2031") for l in LOG])
BACKWARDS = [l.replace("CABLE,Lay the cable,EV2,,", "CABLE,Lay the cable,EV2,MAST,") for l in PLAN]
refused("would end before it begins", "forecast", 3, plan_csv=BACKWARDS, limits_csv=LIMITS + ["mast open,all,CABLE,MAST,30,0.9"])
refused("would end before it begins", "whatif --plan later.csv", 3, later_csv=BACKWARDS, limits_csv=LIMITS + ["mast open,all,CABLE,MAST,30,0.9"])
refused("--times 12h says", "check", 3, runs_csv=[re.sub(r"(\d+):(\d\d)", lambda m: f"{(int(m[1]) + 2) % 12 + 1}:{m[2]}", l) for l in LOG])
refused("--times clock", "check", 3, runs_csv=[re.sub(r"(\d):(\d\d)", r"\1.\2", l) for l in LOG])
refused("--minutes-in minutes, seconds", "check", 3, runs_csv=[LOG[0]] + [re.sub(r",(\d+):(\d\d),(\d+):(\d\d),", lambda m: ",%d,%d," % tuple(
    60 * (60 * int(m[a]) + int(m[a + 1]) - 530) for a in (1, 3)), l) for l in LOG[1:]])
refused("write", "check", 3, runs_csv=[LOG[0]] + [re.sub(r"\d+:\d\d", "soon", l) for l in LOG[1:]])
# ---- the plan ----
for words, n, change in (("write low as well", 2, dict(likely="3", high="4")), ("the other way round", 2, dict(low="5", likely="3", high="9")),
                         ("the other way round", 2, dict(low="1", likely="9", high="3")), ("minutes above 0", 2, dict(low="0", likely="0", high="0")),
                         ("leave it empty", 2, dict(planned="0")), ("write sdlog as well", 2, dict(median="4")), ("write minutes", 2, dict(median="0", sdlog="1")),
                         ("write its id", 2, dict(task="")), ("name it otherwise", 3, dict(task="MAST")), ("write one of OUT", 3, dict(after="DOCKING")),
                         ("take one of them out", 1, dict(after="IN")), ("joined by +", 2, dict(crew="PX/PY")), ("write lanes", 2, dict(crew="EV1+")),
                         ("write it once", 2, dict(crew="EV1+EV1")), ("write 26, or 0:26", 2, dict(planned="long")), ("write h:mm:ss", 2, dict(planned="26:10")),
                         ("write a number from", 2, dict(median="3", sdlog="99")), ("--keep-names", 2, dict(crew="ev1"))):
    refused(words, "check", 3, plan_csv=row(PLAN, n, **change))
refused("name the one", "check", 3, plan_csv=["job" + PLAN[0][4:]] + PLAN[1:])
refused("name one of them otherwise", "check", 3, plan_csv=[PLAN[0].replace("kind", "crew")] + PLAN[1:])
refused("write a header line", "check", 3, plan_csv=[])
refused("`wetrun start FOLDER`", "check", 3, plan_csv=PLAN[:1])
refused("put the field in quotes", "check", 3, plan_csv=PLAN[:2] + [PLAN[2] + ",x"] + PLAN[3:])
refused("write its own quotes twice", "check", 3, plan_csv=PLAN[:2] + [PLAN[2].replace("Raise", 'Ra"ise')] + PLAN[3:])
refused("write low, likely and high", "check", 3, runs_csv=None, plan_csv=row(PLAN, 2, planned=""))
refused("add that column", "check", 3, plan_csv=None, limits_csv=None, runs_csv=[LOG[0].replace("crew", "boat")] + LOG[1:])
refused("column crew", "check", 3, runs_csv=None, plan_csv=row(PLAN, 2, crew=""))
# ---- limits, history, moves, criteria, names, reports, a series ----
for words, change in (("write a lane, or all", dict(crew="PILOT")), ("write to as well", {"from": "OUT"}), ("write one of OUT", {"from": "DOCKING", "to": "IN"}),
                      ("the other way round", {"from": "IN", "to": "OUT"}), ("write h:mm", dict(minutes="")), ("write one", dict(limit="")),
                      ("write h:mm", dict(minutes="2.30")), ("write 0.9", dict(confidence="0.1")), ("write 0.9", dict(confidence="high"))):
    refused(words, "check", 3, limits_csv=row(LIMITS, 1, **change))
refused("leave one out", "check", 3, limits_csv=LIMITS + LIMITS[1:])
refused("take it out", "check", 3, limits_csv=LIMITS + ["EXAMPLE supply of EV9,EV9,,,1:30,0.95"])
refused("add a row", "check", 3, limits_csv=LIMITS[:1])
rules = [PLAN[0] + ",drop_after"] + [line + ("," if line[:3] != "IN," else ",1:05") for line in PLAN[1:]]
refused("leave its drop_after empty", "forecast", 3, plan_csv=rules)
refused("leave its drop_after empty", "whatif --plan rules.csv", 3, rules_csv=rules)
H = "excursion,kind,pool,flight"
refused("write how long", "check", 3, history_csv=[H, "Petrel 1,transit,0,24"])
refused("write both in minutes", "check", 3, history_csv=[H, "Petrel 1,transit,20,1440"])
STRUCK = "take it out if it does not count; if that is its name, write it in quotes"
for name, lines in (("limits_csv", LIMITS), ("history_csv", [H, "Petrel 1,transit,20,24"]), ("plan_csv", PLAN), ("names_csv", ["kind,from,to", "run,K9,K1"])):
    refused(STRUCK, "check", 3, **{name: lines[:1] + ["#" + lines[1]] + lines[1:]})
refused(STRUCK, "whatif --search", 3, moves_csv=["move,task,to", "#drop,MAST,", "drop,CABLE,"])
refused("always means done, and cannot be read as 'skipped': write the outcome into the log", "check", 3, names_csv=["kind,from,to", "outcome,Done,skipped"])
refused("always means stopped, and cannot be read as 'done': write the outcome into the log", "check", 3, names_csv=["kind,from,to", "outcome,stopped,done"])
refused("is no column of a log: write run, task", "check", 3, names_csv=["kind,from,to", "column,Held,holds"])
refused("is a table of another kind, and would be written over: name another file", "forecast --trials 400 --out bare.csv", bare_csv=["a,b,c", "1,2,3", "4,5,6"])
refused("4 of 16 rows begin with '#'", "check", 3, runs_csv=[("#" if line.startswith("K1,") else "") + line for line in LOG])
refused("write it, or take the row out", "check", 3, history_csv=[H, "Petrel 1,,20,24"])
refused("leave the file out", "check", 3, history_csv=[H])
M = "move,task,to"
for words, move in (("write exchange", "swop,MAST,CABLE"), ("write one of OUT", "exchange,DOCKING,CABLE"), ("name another task", "exchange,MAST,MAST"),
                    ("write one, as EV1", "crew,MAST,PILOT"), ("write 0.6", "shorten,MAST,0"), ("leave it out", "drop,MAST,CABLE")):
    refused(words, "whatif --search", 3, moves_csv=[M, move])
refused("take the row out", "whatif --search", 3, moves_csv=[M, "drop,IN,"])
refused("leave one of the two rows out", "whatif --search", 3, moves_csv=[M, "drop,MAST,", "drop,MAST,"])
refused("add a row", "whatif --search", 3, moves_csv=[M])
C = "criterion,threshold"
for words, line in (("write one of ", "luck,3"), ("write a number, or off", "complete-runs,"), ("write a whole number", "complete-runs,3.5"),
                    ("write a number from", "complete-runs,-3")):
    refused(words, "ready", 3, criteria_csv=[C, line])
refused("leave one of the rows out", "ready", 3, criteria_csv=[C, "complete-runs,3", "complete-runs,4"])
N = "kind,from,to"
for words, lines in (("write run, task", ["boat,A,B"]), ("leave one of the two rows out", ["task,A,MAST", "task,A,CABLE"]), ("write the last name", ["task,A,B", "task,B,MAST"])):
    refused(words, "check", 3, names_csv=[N] + lines)
R = "task,start,end"
for words, line in (("write one of OUT", "DOCKING,0:10,"), ("write h:mm", "OUT,soon,"), ("write its start", ",0:10,0:20"), ("leave out", "OUT,,")):
    refused(words, "cutoff --reports now.csv", 3, **{"now.csv": [R, line]})
refused("add a row", "cutoff --reports now.csv", 3, **{"now.csv": [R]})
S = "excursion,campaign,date"
T = "task,from,to"
one = {f"{x}/{f}.csv": text for x in "abc" for f, text in (("plan", PLAN), ("limits", LIMITS))}
for words, series, spill in (("write one in column", [",a,"], None), ("name it otherwise", ["A,a,", "A,a,"], None), ("write it in column campaign", ["A,,"], None), ("add a row", [], None),
                             ("name the one meant", ["A,a,", "B,a,"], None), ("write YYYY-MM-DD", ["A,a,2031-02-30", "B,b,"], None), ("write YYYY-MM-DD", ["A,a,3/4/2031"], None),
                             ("in the order flown", ["A,a,2031-05-09", "B,b,", "C,c,2031-04-18"], None),
                             ("write one of A, B", ["A,a,", "B,b,"], ["MAST,A,LATER"]), ("write a later", ["A,a,", "B,b,"], ["MAST,B,A"]),
                             ("write its id", ["A,a,", "B,b,"], [",A,B"]), ("leave one of the two rows out", ["A,a,", "B,b,"], ["MAST,A,B", "MAST,A,B"]),
                             ("write one of OUT", ["A,a,", "B,b,"], ["DOCKING,A,B"])):
    refused(words, "series", 3, **{"series.csv": [S] + series, **({"spill.csv": [T] + spill} if spill else {}), **one})
refused("write --trials ", "series --trials 1000000000", **{"series.csv": [S, "A,a,"], **one})
for words, people in (("write who flies as", "EV1"), ("leave one of them out", "EV1=AA;EV1=BB"), ("name somebody else", "EV1=AA;EV2=AA"), ("write one of its own", "EV9=AA")):
    refused(words, "series", 3, **{"series.csv": [S + ",people", "A,a,," + people], **one})
refused("leave one of the two out", "series --people EV1=BOB", **{"series.csv": [S + ",people", "A,a,,EV1=ANN"], **one})
refused("name who is in its other lanes too", "series", 3, **{"series.csv": [S + ",people", "A,a,,EV1=BOB"], "a/runs.csv": OTHERS, **one})


def provoke(case, at):
    words, command, status, files = case
    if re.match("cutoff|debrief|ready|whatif", command):
        command += " --model alone"  # what is refused does not depend on it, and the sampler takes half a second
    os.mkdir(at)
    for name, lines in {**BASE, **files}.items():
        if lines is None:
            continue
        os.makedirs(os.path.dirname(os.path.join(at, name)) or ".", exist_ok=True)
        with open(os.path.join(at, name), "w", encoding="utf-8") as f:
            f.write("".join(l + "\n" for l in lines))
    done = subprocess.run([PROGRAM] + command.split(), cwd=at, capture_output=True, text=True, errors="replace", stdin=subprocess.DEVNULL)
    if done.returncode != status:
        return f"exit status {done.returncode}, wanted {status}: {done.stderr.strip()[-300:]}"
    said = [done.stderr.strip().split("\n")[-1]] if status > 1 else []
    if command.startswith("check"):
        found = subprocess.run([PROGRAM] + command.split() + ["-f", "json"], cwd=at, capture_output=True, text=True, errors="replace", stdin=subprocess.DEVNULL)
        if found.stdout:
            said += [f["message"] for f in json.loads(found.stdout)["findings"] if f["severity"] == "error"]
    if not any(words in line for line in said):
        return f"lacks '{words}': {said}"
    return "".join(f"no way out: {line}" for line in said if not has_way_out(line))


# ---- the source: each message of a refusal, or the function that makes it ----
REFUSES = re.compile(r"\b(?:wr_fail\(\w+(?:->|\.)?\w*, WR_E_(?:USAGE|INPUT|TOO_FEW)|sheet_error(?:_at)?\(|log_reject\()")
ROOMS = ["campaign", "cmd", "decide", "network", "study", "timing"]
# what no command can bring about, or what others go on with
ELSEWHERE = {"no step log was named", "'%.60s' %s", "'%.*s': %s", "%zu futures cannot be picked from %zu", "excursion %zu has %zu trials, the first %zu",
             "%zu simulated futures are too few; at least %d are needed"}


def messages(text):
    for call in REFUSES.finditer(text):
        at, depth, cut = call.end(), 1, call.end()
        while depth and at < len(text):
            quoted = re.compile(r'"(?:\\.|[^"\\])*"').match(text, at)
            if quoted:
                at = quoted.end()
                continue
            depth += {"(": 1, ")": -1}.get(text[at], 0)
            at += 1
        literals = re.findall(r'"(?:\\.|[^"\\])*"(?:\s*"(?:\\.|[^"\\])*")*', text[cut:at])
        joined = [re.sub(r'"\s*"', "", l)[1:-1] for l in literals]
        joined = [l for l in joined if " " in l]
        if joined:
            yield text.count("\n", 0, call.start()) + 1, " ".join(joined)


bad, n_source = [], 0
for room in ROOMS:
    folder = os.path.join(TOP, "src", room)
    for name in sorted(os.listdir(folder)):
        if not name.endswith(".c"):
            continue
        for line, message in messages(open(os.path.join(folder, name), encoding="utf-8").read()):
            n_source += 1
            plain = re.sub(r"^(%s:)+(%zu:)*(1:)? ?|^%s(?=: )", "", message)
            if plain in ELSEWHERE or re.search(r"(^|: | is )%s$", plain) or has_way_out(message):
                continue
            bad.append(f"{room}/{name}:{line}: no way out in: {message}")
for i, case in enumerate(cases):
    trouble = provoke(case, f"case-{i}")
    if trouble:
        bad.append(f"{case[1] or '(nothing)'} {list(case[3].items())[:2] if case[3] else ''}: {trouble}")
print("\n".join(bad) or f"{len(cases)} refusals provoked, {n_source} messages read: each says what to type")
sys.exit(bool(bad))
