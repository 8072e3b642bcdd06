"""Small campaigns with a bit of everything, and the commands that the sweeps run on them: every command, with what makes it
go another way. A run takes a moment, so that each can be swept in full."""
import os, sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(os.path.abspath(__file__))), "support"))
import own_lists

FEW = ["--trials", "256", "--threads", "1"]
LOG = """run,date,pool,task,step,crew,performer,start,end,hold,outcome
R1,2031-03-01,east,OUT,,EV1+EV2,KV+OM,09:00,09:12,,done
R1,2031-03-01,east,A,first half,EV1,KV,09:12,09:21,,done
R1,2031-03-01,east,A,second half,EV1,KV,09:21,09:30,,done
R1,2031-03-01,east,B,,EV2,OM,09:12,09:40,2,done
R1,2031-03-01,east,IN,,EV1+EV2,KV+OM,09:40,09:52,,done
R2,2031-03-02,east,OUT,,EV1+EV2,OM+KV,09:00,09:14,,done
R2,2031-03-02,east,A,,EV1,OM,09:14,09:35,,done
R2,2031-03-02,east,B,,EV2,KV,09:15,09:41,,stopped
R2,2031-03-02,east,IN,,EV1+EV2,OM+KV,09:41,09:54,,done
R3,2031-03-03,west,OUT,,EV1+EV2,KV+OM,09:00,09:11,,done
R3,2031-03-03,west,A,,EV1,KV,09:11,09:26,,done
R3,2031-03-03,west,B,,EV2,OM,09:11,09:35,,done
R3,2031-03-03,west,IN,,EV1+EV2,KV+OM,09:35,09:46,,done
R4,2031-03-04,west,OUT,,EV1+EV2,KV+OM,09:00,09:12,,done
R4,2031-03-04,west,A,,EV1,KV,09:12,09:27,,done
R4,2031-03-04,west,b,,EV2,OM,09:12,09:36,,done
R4,2031-03-04,west,IN,,EV1+EV2,KV+OM,09:36,09:46,,done
R5,2031-03-05,west,OUT,,EV1+EV2,KV+OM,09:00,09:13,,done
R5,2031-03-05,west,A,,EV1,KV,09:13,09:27,,done
R5,2031-03-05,west,B,,EV2,OM,09:13,09:37,,done
R5,2031-03-05,west,IN,,EV1+EV2,KV+OM,09:37,09:48,,done
"""
PLAN = """task,title,crew,after,planned,kind,not_before,drop_after,low,likely,high
OUT,Leave the lock,EV1+EV2,,12,transit,,,,,
A,Fasten the frame,EV1,,16,fastener,,,,,
B,Join the cables,EV2,,25,connector,,0:50,,,
C,Look at the joint,EV2,A,,handling,,,2,3,5
IN,Back to the lock,EV1+EV2,,11,transit,0:40,,,,
"""
FILES = {
    "c/runs.csv": LOG, "c/plan.csv": PLAN,
    "c/limits.csv": "limit,crew,from,to,minutes,confidence\nexcursion,all,,,60,0.9\nsupply,EV2,,,70,0.8\nwork,all,OUT,A,45,0.9\n",
    "c/history.csv": "excursion,kind,pool,flight\nP1,transit,20,18\nP1,fastener,30,37\nP2,transit,22,21\nP2,connector,19,24\n",
    "c/names.csv": "kind,from,to\ntask,b,B\n", "c/criteria.csv": "criterion,threshold\ncomplete-runs,4\n",
    "c/moves.csv": "move,task,to\ncrew,C,EV1\nexchange,B,C\ndrop,C,\nshorten,A,0.8\n",
    "c/reports.csv": "task,start,end\nOUT,0:00,0:13\nA,0:13,\n,0:20,\n",
    "earlier/runs.csv": LOG.replace("R5,", "R9,"), "earlier/plan.csv": PLAN.replace(",16,", ",14,"),
    "s/one/runs.csv": LOG, "s/one/plan.csv": PLAN, "s/two/plan.csv": PLAN.replace(",25,", ",20,"),
    "s/series.csv": "excursion,campaign,date\nOne,one,2031-04-18\nTwo,two,2031-05-09\n",
    "s/spill.csv": "task,from,to,setup,before,drop_after\nB,One,Two,4,,\n",
    "dressed/runs.csv": "Deck log;;;;\n;;;;\n" + "".join(
        ";".join(line.split(",")[i] for i in (0, 3, 5, 7, 8)) + "\n" for line in LOG.splitlines()).replace("09:", "9.")
        + "R6;A;EV1;10:00;9:00\n",
    "bare/runs.csv": "run,task,crew,minutes\n" + "".join(f"R{i},A,EV1,1{i}\nR{i},B,EV2,2{i}\n" for i in (1, 2, 3, 4)),
    "plan/plan.csv": PLAN.replace(",16,fastener,,,,,", ",,fastener,,,11,15,24"), "plan/deck.csv": LOG, "plan/pool.csv": "pool,depth\neast,12\n",
}
CHARTS = [c for c in own_lists.CHARTS if c not in ("backtest", "series")]  # which are drawn of others
PICTURES = {"finish": "png", "lanes": "pdf", "runs": "png"}
SHOWN = {
    **{c: [c, *FEW] for c in own_lists.RESULTS},
    "compare": ["compare", "--by", "pool"], "debrief": ["debrief", "R5", *FEW],
    "whatif": ["whatif", "--drop", "C", "--scale", "A=0.8", "--also", "--swap", "C=EV1", *FEW],
    "search": ["whatif", "--search", "--changes", "2", "--allow", "exchange,crew", *FEW],
    "now": ["cutoff", "--reports", "c/reports.csv", "--at", "B", *FEW],
    "clock": ["cutoff", "--start", "9:00", "--now", "OUT@9:00-9:12,A@9:13", *FEW],
    "against": ["forecast", "--against", "before:R4", *FEW], "against-another": ["forecast", "--against", "earlier", *FEW],
    "earlier": ["fit", "--earlier", "earlier", *FEW], "forecast-earlier": ["forecast", "--earlier", "earlier", *FEW],
    "split": ["compare", "--split", "R3"],
}
OTHERS = {
    "check": ["check", "--out", "w/c.txt", "--rejected", "w/rejected.csv", "--write-plan", "w/plan.csv", "--times", "w/t.csv", "c"],
    "check-shown": ["check", "c"], "check-csv": ["check", "-f", "csv", "c"], "check-json": ["check", "-f", "json", "c"],
    "check-dressed": ["check", "--times", "clock", "--join-names", "dressed"], "check-strict": ["check", "--times", "clock", "--join-names", "--strict", "dressed"],
    "forecast-bare": ["forecast", *FEW, "bare"], "forecast-plan": ["forecast", *FEW, "plan"],
    "forecast-for": ["forecast", *FEW, "--for", "excursion", "--people", "EV1=KV,EV2=OM", "--on", "2031-09-09", "c"],
    "alone": ["fit", *FEW, "--model", "alone", "--anonymous", "c"], "pad-plan": ["pad", *FEW, "plan", "--confidence", "0.8", "--limit", "70"],
    "forecast-out": ["forecast", *FEW, "--out", "w/f.json", "-f", "json", "c"],
    "logsheet": ["logsheet", "c"], "logsheet-csv": ["logsheet", "-f", "csv", "c"],
    "daysheet": ["daysheet", *FEW, "--out", "w/d.html", "c"], "daysheet-log": ["daysheet", "--log-only", "--out", "w/d.html", "c"],
    "series": ["series", *FEW, "s"], "series-csv": ["series", *FEW, "-f", "csv", "s"],
    "series-json": ["series", *FEW, "-f", "json", "--out", "w/s.txt", "s"],
    **{f"chart-{c}": ["chart", c, *FEW, "--out", f"w/{c}.{PICTURES.get(c, 'svg')}", "c"] for c in CHARTS},
    "chart-backtest-bare": ["chart", "backtest", *FEW, "--out", "w/b.svg", "bare"],
    "chart-series": ["chart", "series", *FEW, "--out", "w/s.svg", "s"],
    "manual": ["--manual"], "help": ["--help"], "help-criteria": ["ready", "--help"], "version": ["--version"],
    "start": ["start", "w/out"], "complete": ["--complete", "1", "debrief", "", "c"],
    "report": ["report", *FEW, "--out", "w/r", "c"],
    "report-new": ["report", *FEW, "--out", "w/new", "--against", "earlier", "--series", "s", "c"],
}
COMMANDS = {**{name + ("" if kind == "table" else "-" + kind): [*args, "-f", kind, "c"]
               for name, args in SHOWN.items() for kind in ("table", "csv", "json")}, **OTHERS}
COMMANDS.update({c: [c, *FEW, "c"] for c in own_lists.the_rest(COMMANDS.values())})


def write(top):
    for path, text in FILES.items():
        os.makedirs(os.path.dirname(os.path.join(top, path)), exist_ok=True)
        with open(os.path.join(top, path), "w") as f:
            f.write(text)
