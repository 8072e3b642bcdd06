"""Another plan beside the one that there is: what is said of how a task differs, and limits found again. Usage: other_plans.py PROGRAM
All that is invented; what a row says of a changed cell is what that cell is. Nothing was rehearsed: the judgements are all there is."""
import csv
import io
import json
import os
import subprocess
import sys

HEAD = ["task", "kind", "crew", "after", "planned", "low", "likely", "high", "median", "sdlog", "not_before", "drop_after"]
BASE = [["OUT", "move", "EV1+EV2", "", "15", "10", "12", "20", "", "", "", ""],
        ["MAST", "build", "EV1", "", "40", "30", "35", "60", "", "", "20", ""],
        ["CABLE", "build", "EV2", "", "30", "20", "25", "40", "", "", "", ""],
        ["COUNT", "look", "EV2", "MAST", "10", "", "", "", "8", "0.2", "", "120"],
        ["IN", "move", "EV1+EV2", "", "15", "10", "12", "20", "", "", "", ""]]
LIMITS = "limit,crew,from,to,minutes,confidence\nexcursion,all,,,120,0.9\nair of EV2,EV2,,,130,0.9\nopen,all,MAST,IN,100,0.9\n"
bad = 0


def text_of(rows):
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([HEAD, *rows])
    return out.getvalue()


def edited(task, **cells):
    rows = [row[:] for row in BASE]
    for row in rows:
        if row[0] == task:
            for name, value in cells.items():
                row[HEAD.index(name)] = value
    return rows


def run(*args, status=0):
    p = subprocess.run([sys.argv[1], *args], capture_output=True, text=True, check=False)
    must(p.returncode == status, f"{args}: status {p.returncode}: {p.stderr}")
    return p.stdout if status == 0 else p.stderr


def must(so, what):
    global bad
    if not so:
        bad += 1
        print(what)


def against(rows, limits=LIMITS):
    with open("now/plan.csv", "w") as f:
        f.write(text_of(rows))
    if os.path.exists("now/limits.csv"):
        os.remove("now/limits.csv")
    if limits:
        with open("now/limits.csv", "w") as f:
            f.write(limits)
    return json.loads(run("forecast", "--trials", "512", "-q", "-f", "json", "--against", "before", "now"))["against"]


def plan_words(rows):
    return {t["task"]: t["plan"] for t in against(rows)["tasks"]}


def edits():
    for task, cells, words in (
            ("MAST", {}, ""), ("MAST", {"crew": "EV2"}, "other lanes"), ("MAST", {"after": "CABLE"}, "waits for other work"),
            ("COUNT", {"after": ""}, "waits for other work"), ("COUNT", {"after": "CABLE"}, "waits for other work"),
            ("MAST", {"planned": ""}, "another planned time"), ("MAST", {"planned": "41"}, "another planned time"),
            ("COUNT", {"drop_after": "100"}, "another drop_after"), ("MAST", {"not_before": ""}, "another not_before"),
            ("MAST", {"low": "29"}, "another judgement"), ("MAST", {"likely": "36"}, "another judgement"),
            ("MAST", {"high": "61"}, "another judgement"), ("COUNT", {"median": "9"}, "another judgement"),
            ("COUNT", {"sdlog": "0.3"}, "another judgement"),
            ("MAST", {"planned": "41", "high": "61"}, "another planned time, another judgement")):
        words_of = plan_words(edited(task, **cells))
        must(words_of[task] == words, f"{task} {cells}: {words_of[task]}")
        others = {k: v for k, v in words_of.items() if k != task and v}
        must(not others or "crew" in cells, f"{task} {cells}: {others}")
    swapped = [BASE[0], BASE[1], BASE[3], BASE[2], BASE[4]]
    words_of = plan_words(swapped)
    must(words_of["CABLE"] == words_of["COUNT"] == "another place in its lane", f"swapped: {words_of}")
    words_of = plan_words([row for row in BASE if row[0] != "CABLE"])
    must(words_of["CABLE"] == "gone" or "no longer" in words_of["CABLE"], f"without: {words_of}")
    must(not any(v for k, v in words_of.items() if k != "CABLE"), f"without: {words_of}")


def limits_then_and_now():
    """A limit that only one of the two has, one that is another, and none at all."""
    rows = {l["limit"]: l for l in against(BASE, LIMITS.replace("air of EV2,EV2,,,130", "air of EV1,EV1,,,110").replace("0.9\nopen", "0.8\nopen"))["limits"]}
    must(set(rows) == {"excursion", "air of EV1", "air of EV2", "open"}, f"limits: {set(rows)}")
    must(rows["air of EV1"]["minutes_before"] is None and rows["air of EV2"]["minutes_after"] is None, f"limits: {rows}")
    a = against(BASE, LIMITS.replace(",120,", ",110,"))
    parts = {p["part"]: p["change"] for p in a["parts"]}
    must(parts["plan"] == 0 and abs(parts["limit"] - a["overrun"]["change"]) < 0.02, f"a tighter limit: {a['overrun']}, {parts}")
    none = against(BASE, "")
    must(none["overrun"] is None and none["within_interval_before"] is None and none["parts"] == [], f"no limit: {none['overrun']}")
    must(none["half_min"]["change"] is not None, "no limit: the finish is still compared")


def a_limit_on_everybody():
    """On all lanes of the plan is on all lanes of the other plan: also on one that is new, and without one that is gone."""
    longer = BASE + [["DECK", "look", "EV3", "", "", "150", "160", "170", "", "", "", ""]]
    with open("longer.csv", "w") as f:
        f.write(text_of(longer))
    d = json.loads(run("whatif", "--trials", "512", "-q", "-f", "json", "--plan", "longer.csv", "before"))
    row = d["alternatives"][0]
    must(row["limits"][0]["probability_over"] > 0.9, f"work past the limit in a new lane is within it: {row['limits'][0]}")
    a = against(longer)
    parts = {p["part"]: p["change"] for p in a["parts"]}
    must(abs(parts["plan"] - a["overrun"]["change"]) < 0.02 and a["overrun"]["after"] > 0.9, f"against: {a['overrun']}, {parts}")
    alone = [[*row[:2], "EV1", *row[3:]] for row in BASE]
    with open("alone.csv", "w") as f:
        f.write(text_of(alone))
    said = run("whatif", "--trials", "512", "-q", "--plan", "alone.csv", "before", status=3)
    must("limit 'air of EV2' is about lane 'EV2', which this plan does not have" in said, said)
    with open("few.csv", "w") as f:
        f.write(text_of([row for row in BASE if row[0] != "MAST" and row[0] != "COUNT"]))
    said = run("whatif", "--trials", "512", "-q", "--plan", "few.csv", "before", status=3)
    must("limit 'open' is about a task that this plan does not have" in said, said)
    with open("all.csv", "w") as f:
        f.write("limit,crew,minutes,confidence\nexcursion,all,120,0.9\n")
    run("whatif", "--trials", "512", "-q", "--limits", "all.csv", "--plan", "alone.csv", "before")


def alternatives():
    """What is changed in one alternative acts together; by a kind it is each of its tasks."""
    def over(*change):
        d = json.loads(run("whatif", "--trials", "2048", "-q", "-f", "json", *change, "before"))
        return d["alternatives"][0]["mean_min"]
    must(over("--scale", "kind:build=0.5") == over("--scale", "MAST=0.5,CABLE=0.5"), "a kind is not its tasks")
    must(over("--scale", "kind:build=0.5") == over("--scale", "MAST=0.5", "--also", "--scale", "kind:build=1", "--also", "--scale", "CABLE=0.5"),
         "two changes are not one")
    must(over("--scale", "MAST=0") < over("--scale", "MAST=0.5"), "a task that takes no time")
    must(over("--drop", "MAST,CABLE") == over("--drop", "MAST", "--also", "--drop", "CABLE"), "two tasks left out are not two tasks left out")
    must(over("--swap", "CABLE=EV1") > over("--swap", "CABLE=EV2"), "work moved to the busier lane")
    must(over("--swap", "CABLE=EV1 ", "--also", "--drop", "COUNT") > 0, "a lane with a blank behind it")
    with open("same.csv", "w") as f:
        f.write(text_of(BASE))
    must(over("--plan", "same.csv", "--also", "--drop", "MAST") == over("--drop", "MAST"), "another timeline that is the same one")
    must(over("--plan", "same.csv", "--also", "--swap", "CABLE=EV1") == over("--swap", "CABLE=EV1"), "a swap in another timeline")


for folder in ("before", "now"):
    subprocess.run(["mkdir", folder], check=True)
    with open(folder + "/plan.csv", "w") as f:
        f.write(text_of(BASE))
    with open(folder + "/limits.csv", "w") as f:
        f.write(LIMITS)
edits()
limits_then_and_now()
a_limit_on_everybody()
with open("before/limits.csv", "w") as f:
    f.write(LIMITS.replace("open,all,MAST,IN,100,0.9\n", ""))  # a clock would keep its ends in the timeline
alternatives()
sys.exit(bad > 0)
