#!/usr/bin/env python3
"""Write the demonstration data sets beside this file.

    python3 datasets/make_datasets.py [DIRECTORY]

Scenario, hardware, places and people are invented. Standard library only. The generator draws nothing but
random.random() of a seeded Mersenne Twister, which Python promises to keep, so the same bytes come out everywhere.
"""
import datetime
import math
import os
import random
import sys


class Luck:
    """Seeded chance: uniform, normal, exponential."""

    def __init__(self, seed):
        self.uniform = random.Random(seed).random

    def normal(self, sd=1.0):
        radius = math.sqrt(-2 * math.log(1 - self.uniform()))
        return sd * radius * math.cos(2 * math.pi * self.uniform())

    def exponential(self, mean):
        return -mean * math.log(1 - self.uniform())


class Task:
    """One row of a plan. median, sd: of the true time, minutes and log minutes. steps: rows in the log."""

    def __init__(self, name, crew, title, kind, median, sd, after="", steps=1, not_before=None, drop_after=None):
        self.name, self.crew, self.title, self.kind = name, crew, title, kind
        self.lanes, self.after = crew.split("+"), after.split()
        self.median, self.sd = median, sd
        self.steps, self.not_before, self.drop_after = steps, not_before, drop_after


def predecessors(tasks):
    """Names that each task waits for: the task before it in each of its lanes, and what `after` names."""
    last, result = {}, {}
    for t in tasks:
        result[t.name] = [last[lane] for lane in t.lanes if lane in last] + t.after
        last.update((lane, t.name) for lane in t.lanes)
    return result


def execute(tasks, seconds):
    """Begin and end of every task, in seconds since the first begin. seconds(task, earliest) says how long it stands
    idle before it begins and how long it then takes, or None if it is left out."""
    before, ended, times = predecessors(tasks), {}, {}
    for t in tasks:
        ready = max((ended[p] for p in before[t.name]), default=0)
        earliest = max(ready, 60 * (t.not_before or 0))
        took = seconds(t, earliest)
        if took is None:
            ended[t.name] = ready
            continue
        idle, length = took
        times[t.name] = (earliest + idle, earliest + idle + length)
        ended[t.name] = earliest + idle + length
    return times


def csv_field(text, delimiter=","):
    text = str(text)
    if any(c in text for c in delimiter + '"\r\n'):
        return '"' + text.replace('"', '""') + '"'
    return text


def write(folder, name, rows, delimiter=",", newline="\n", mark=""):
    """rows: lists of fields, or ready text lines."""
    os.makedirs(folder, exist_ok=True)
    lines = [r if isinstance(r, str) else delimiter.join(csv_field(f, delimiter) for f in r) for r in rows]
    with open(os.path.join(folder, name), "w", encoding="utf-8", newline="") as f:
        f.write(mark + newline.join(lines) + newline)


def hmm(minutes):
    return "" if minutes is None else f"{int(minutes) // 60}:{int(minutes) % 60:02d}"


# ---- Petrel 7: nine rehearsals ----------------------------------------------------------------------------------

PETREL_7 = [
    Task("OUT", "EV1+EV2", "Leave the lock and hook on to the spine line", "transit", 18, .13),
    Task("A-REACH", "EV1", "Climb to battery bay A with the bolt driver", "transit", 12, .16),
    Task("CAM-REACH", "EV2", "Take the new camera head out to the docking ring", "transit", 16, .18),
    Task("A-UNPLUG", "EV1", "Unplug worn-out module A", "connector", 13, .24, steps=2),
    Task("CAM-OFF", "EV2", "Take the old camera head off its foot", "connector", 22, .24, steps=2),
    Task("A-FREE", "EV1", "Back out the five bolts of module A", "fastener", 22, .26, steps=2),
    Task("A-LIFT", "EV1", "Draw module A and hang it on the bay line", "handling", 10, .22),
    Task("A-STOW", "EV2", "Fetch module A and stow it in the carrier", "handling", 17, .22, after="A-LIFT"),
    Task("A-SEAT", "EV1", "Seat the fresh module A and drive its bolts", "fastener", 26, .30, steps=3),
    Task("CAM-ON", "EV2", "Fit the new camera head on its foot", "fastener", 28, .28, steps=2),
    Task("A-PLUG", "EV1", "Plug in module A and read its lamp", "connector", 13, .24),
    Task("CAM-AIM", "EV2", "Aim the camera head with the people indoors", "inspection", 12, .28, not_before=125),
    Task("B-UNPLUG", "EV1", "Go to bay B and unplug worn-out module B", "connector", 15, .22, steps=2),
    Task("SLOT", "EV2", "Make room for module B in the carrier", "handling", 11, .26),
    Task("B-FREE", "EV1", "Back out the five bolts of module B", "fastener", 20, .26),
    Task("B-LIFT", "EV1+EV2", "Turn module B out of its tight bay, one at each handle", "handling", 13, .24),
    Task("B-SEAT", "EV1", "Seat the fresh module B and drive its bolts", "fastener", 24, .28, steps=3),
    Task("B-STOW", "EV2", "Stow module B in the carrier", "handling", 15, .20),
    Task("DRUM-LOCK", "EV2", "Lock the sunshade drum", "mechanism", 14, .30),
    Task("B-PLUG", "EV1", "Plug in module B and read its lamp", "connector", 12, .24),
    Task("BRIDGE", "EV1", "Bridge the shade gap with the folding beam", "handling", 18, .26, after="DRUM-LOCK"),
    Task("SHADE", "EV1+EV2", "Re-tension the sunshade, one at each corner", "mechanism", 33, .34, steps=2),
    Task("BEAM", "EV1", "Take the folding beam back in", "handling", 12, .20),
    Task("DRUM-FREE", "EV2", "Free the sunshade drum and watch one turn", "mechanism", 12, .28),
    Task("HINGE", "EV1", "Sample the radiator hinge for wear, three swabs", "inspection", 26, .28, after="DRUM-FREE",
         steps=3),
    Task("STAGE-CLAMPS", "EV2", "Stage the mast clamps for Petrel 8", "handling", 17, .22, drop_after=310),
    Task("STAGE-REEL", "EV2", "Stage the cable reel for Petrel 8", "handling", 18, .24, drop_after=325),
    Task("IN", "EV1+EV2", "Count the tools, go back in and shut the hatch", "transit", 34, .16),
]
STEP_NAMES = {1: [""], 2: ["first half", "second half"], 3: ["one", "two", "three"]}
PEOPLE = {"KV": -.03, "OM": .02, "TS": .05, "RA": -.02}  # log factor of each person's pace
LEARNING = -.07                                          # slope of log minutes on log(run number)
DAY_SD = .03                                             # run effect, sd of log minutes
# who in EV1 and EV2, first start of the day (s), pool, whole minutes only
RUNS_7 = [("KV+OM", "09:12", "east basin", True), ("KV+OM", "09:05", "east basin", True),
          ("TS+RA", "09:20", "west basin", False), ("KV+OM", "08:58", "east basin", False),
          ("TS+RA", "13:10", "west basin", False), ("OM+KV", "20:47", "west basin", False),
          ("TS+RA", "09:01", "east basin", False), ("KV+OM", "09:16", "west basin", False),
          ("TS+RA", "08:55", "west basin", False)]
HOLDS_7 = {("P7-1", "A-SEAT"): 6, ("P7-1", "SHADE"): 9, ("P7-2", "CAM-ON"): 4, ("P7-3", "B-LIFT"): 5,
           ("P7-4", "A-FREE"): 3, ("P7-5", "SHADE"): 7, ("P7-6", "CAM-OFF"): 4, ("P7-7", "HINGE"): 6,
           ("P7-8", "BRIDGE"): 3, ("P7-9", "SHADE"): 4}
LEFT_OUT_7 = {("P7-1", "STAGE-REEL"), ("P7-5", "STAGE-CLAMPS"), ("P7-5", "STAGE-REEL")}
CUT_OFF_7 = {("P7-1", "HINGE"): .55, ("P7-5", "CAM-ON"): .8}  # share of the last step that was done
UNTRIED_7 = {("P7-1", "A-SEAT")}                              # last step not attempted
NO_NAME_7 = {("P7-6", "SLOT"), ("P7-8", "B-PLUG")}            # performer not written down


def clock(second, start_of_day, to_the_minute):
    s = start_of_day + second
    text = f"{s // 3600 % 24:02d}:{s // 60 % 60:02d}"
    return text if to_the_minute else f"{text}:{s % 60:02d}"


def step_lengths(luck, seconds, n, unit):
    """Cuts a task's active time into n steps of whole units, each at least one."""
    share = [.6 + luck.uniform() for _ in range(n)]
    cuts = [max(unit, round(seconds * s / sum(share) / unit) * unit) for s in share]
    return cuts


def rehearsal(luck, number, crew, start, pool, to_the_minute, date):
    """The rows of one run."""
    run, unit = f"P7-{number}", 60 if to_the_minute else 1
    people = dict(zip(("EV1", "EV2"), crew.split("+")))
    day = luck.normal(DAY_SD)
    start_of_day = int(start[:2]) * 3600 + int(start[3:]) * 60 + (0 if to_the_minute else int(60 * luck.uniform()))
    plan_of_steps = {}

    def seconds(t, _earliest):
        pace = sum(PEOPLE[people[lane]] for lane in t.lanes) / len(t.lanes)
        active = 60 * t.median * math.exp(LEARNING * math.log(number) - LEARNING * math.log(10) + day + pace
                                          + luck.normal(t.sd))
        idle = int(luck.exponential(.5 * 60) // unit) * unit if luck.uniform() < .5 and t.name != "OUT" else 0
        cuts = step_lengths(luck, active, t.steps, unit)
        gaps = [int(luck.exponential(30) // unit) * unit if luck.uniform() < .3 else 0 for _ in cuts[1:]]
        if (run, t.name) in LEFT_OUT_7:
            return None
        if (run, t.name) in CUT_OFF_7:
            cuts[-1] = max(unit, int(cuts[-1] * CUT_OFF_7[run, t.name]) // unit * unit)
        if (run, t.name) in UNTRIED_7:
            cuts[-1] = gaps[-1] = 0
        hold = 60 * HOLDS_7.get((run, t.name), 0)
        held = max(range(len(cuts)), key=lambda i: cuts[i])  # the longest step is the one held up
        plan_of_steps[t.name] = [(c, hold if i == held else 0, ([0] + gaps)[i]) for i, c in enumerate(cuts)]
        return idle, sum(cuts) + hold + sum(gaps)

    times, rows = execute(PETREL_7, seconds), []
    for t in PETREL_7:
        who = "" if (run, t.name) in NO_NAME_7 else "+".join(people[lane] for lane in t.lanes)
        head, tail = [run, str(date), pool, t.name], [t.crew, who]
        if t.name not in times:
            rows.append((9e9, head + [""] + tail + ["", "", "", "skipped"]))
            continue
        at = times[t.name][0]
        for i, (active, hold, gap) in enumerate(plan_of_steps[t.name]):
            step, last = STEP_NAMES[t.steps][i], i == t.steps - 1
            if last and (run, t.name) in UNTRIED_7:
                rows.append((at, head + [step] + tail + ["", "", "", "skipped"]))
                continue
            begin, end = at + gap, at + gap + active + hold
            outcome = "stopped" if last and (run, t.name) in CUT_OFF_7 else "done"
            rows.append((begin, head + [step] + tail + [clock(begin, start_of_day, to_the_minute),
                                                        clock(end, start_of_day, to_the_minute),
                                                        hold // 60 if hold else "", outcome]))
            at = end
    return [row for _, row in sorted(rows, key=lambda r: r[0])]  # as it was written down on the deck


def index_of(rows, run, task, step=None):
    return next(i for i, r in enumerate(rows) if not isinstance(r, str) and r[0] == run and r[3] == task
                and (step is None or r[4] == step))


def shifted(text, minutes):
    h, m = int(text[:2]), int(text[3:5])
    return f"{(h * 60 + m + minutes) // 60 % 24:02d}:{(h * 60 + m + minutes) % 60:02d}{text[5:]}"


def plant_flaws(rows):
    """Slips of the pen, each written once and then again as it should be; and one clock that was off."""
    def slip(run, task, change, step=None):
        i = index_of(rows, run, task, step)
        bad = change(list(rows[i]))
        rows.insert(i, bad)

    slip("P7-2", "A-LIFT", lambda r: r[:7] + [r[8], r[7]] + r[9:])                    # begin and end exchanged
    slip("P7-3", "CAM-REACH", lambda r: r[:7] + [r[7].replace("0", "O", 1)] + r[8:])  # the letter O in a time
    slip("P7-4", "B-STOW", lambda r: r[:9] + ["95"] + r[10:])                         # hold longer than the step
    slip("P7-6", "BEAM", lambda r: r[:10] + ["dnoe"])                                 # no such outcome
    slip("P7-7", "A-PLUG", lambda r: ",".join(r[:8]))                                 # line broken off
    slip("P7-8", "DRUM-LOCK", lambda r: r[:9] + ["-2"] + r[10:])                      # negative hold
    slip("P7-9", "B-UNPLUG", lambda r: r, step="second half")                         # the same row twice
    i = index_of(rows, "P7-5", "DRUM-FREE")                                           # a watch four minutes slow
    rows[i][7], rows[i][8] = shifted(rows[i][7], -4), shifted(rows[i][8], -4)


def planned_minutes(luck, t):
    return max(5, round(t.median * math.exp(luck.normal(.10)) * 1.02))


def petrel_7(folder):
    luck, first = Luck("petrel-7/219"), datetime.date(2031, 2, 6)
    rows = []
    for i, (crew, start, pool, to_the_minute) in enumerate(RUNS_7):
        rows += rehearsal(luck, i + 1, crew, start, pool, to_the_minute, first + datetime.timedelta(weeks=i))
    plant_flaws(rows)
    head = ["run", "date", "pool", "task", "step", "crew", "performer", "start", "end", "hold", "outcome"]
    write(folder, "runs.csv", [head] + rows)
    write(folder, "plan.csv", [["task", "title", "crew", "after", "planned", "kind", "not_before", "drop_after"]] +
          [[t.name, t.title, t.crew, " ".join(t.after), planned_minutes(luck, t), t.kind, hmm(t.not_before),
            hmm(t.drop_after)] for t in PETREL_7])
    write(folder, "limits.csv", [
        ["limit", "crew", "from", "to", "minutes", "confidence"],
        ["excursion", "all", "", "", 390, .9],
        ["EV2 breathing supply", "EV2", "", "", 405, .95],
        ["bay A without power", "all", "A-UNPLUG", "A-PLUG", 115, .9]])
    factor = {"transit": .97, "fastener": 1.06, "connector": 1.08, "handling": 1.01, "mechanism": 1.07,
              "inspection": 1.03}
    history = [["excursion", "kind", "pool", "flight"]]
    for excursion in ("Petrel 3", "Petrel 4", "Petrel 5", "Petrel 6"):
        day = luck.normal(.04)
        for kind, carried in factor.items():
            if luck.uniform() < .15:
                continue  # no such work on that excursion
            pool = 25 + 70 * luck.uniform()
            history.append([excursion, kind, f"{pool:.1f}", f"{pool * carried * math.exp(day + luck.normal(.06)):.1f}"])
    # What the planners allow to be changed: read by `whatif --search`.
    write(folder, "moves.csv", [
        ["move", "task", "to"],
        ["crew", "A-STOW", "EV1"], ["exchange", "SLOT", "B-FREE"], ["exchange", "B-STOW", "DRUM-LOCK"],
        ["before", "DRUM-LOCK", "SLOT"], ["crew", "DRUM-LOCK", "EV1"], ["exchange", "STAGE-CLAMPS", "STAGE-REEL"],
        ["crew", "HINGE", "EV2"], ["crew", "BEAM", "EV2"],
        ["drop", "STAGE-CLAMPS", ""], ["drop", "STAGE-REEL", ""], ["shorten", "HINGE", "0.67"],
    ])
    write(folder, "history.csv", history)


# ---- Petrel 2: the campaign of the tutorial, one file per rehearsal -------------------------------------------------

PETREL_2 = [
    Task("OUT", "EV1+EV2", "Leave the lock with the beacon", "transit", 14, .12),
    Task("CLIMB", "EV1", "Climb to the foot of the mast", "transit", 12, .16),
    Task("DRUM", "EV2", "Carry the cable drum to the mast", "handling", 15, .18),
    Task("FOOT", "EV1", "Bolt the beacon foot to the mast", "fastener", 27, .22, steps=2),
    Task("LAY", "EV2", "Lay the cable in its clips", "handling", 24, .20),
    Task("LIFT", "EV1+EV2", "Lift the beacon on to its foot", "handling", 16, .20),
    Task("BOLTS", "EV1", "Drive the beacon's bolts", "fastener", 22, .22),
    Task("PLUG", "EV2", "Plug in the cable and seal it", "connector", 18, .24),
    Task("LAMP", "EV1", "Watch the lamp through ten flashes", "inspection", 11, .15, after="PLUG"),
    Task("PATCH", "EV2", "Patch the torn blanket, if time allows", "handling", 17, .24, drop_after=115),
    Task("IN", "EV1+EV2", "Count the tools, go back in and shut the hatch", "transit", 22, .13),
]
PLANNED_2 = {"OUT": 15, "CLIMB": 12, "DRUM": 14, "FOOT": 25, "LAY": 25, "LIFT": 15, "BOLTS": 20, "PLUG": 18, "LAMP": 12,
             "PATCH": 18, "IN": 24}
HOLDS_2 = {(1, "FOOT"): 5, (2, "LIFT"): 4, (5, "PLUG"): 3}
STARTS_2 = ["09:10", "09:04", "09:15", "13:02", "09:08", "09:06", "09:11", "08:58"]


def petrel_2_rehearsal(luck, number):
    """The rows of one run, as they were written down on the deck, to the minute."""
    day, start = luck.normal(.04), int(STARTS_2[number - 1][:2]) * 3600 + int(STARTS_2[number - 1][3:]) * 60
    parts = {}

    def seconds(t, _earliest):
        active = 60 * t.median * math.exp(-.06 * math.log(number / 8) + day + luck.normal(t.sd))
        hold = 60 * HOLDS_2.get((number, t.name), 0)
        idle = 60 * int(luck.exponential(.6)) if t.name != "OUT" else 0
        cuts = step_lengths(luck, active, t.steps, 60)
        if (number, t.name) == (1, "PATCH"):
            cuts = [int(.5 * cuts[0]) // 60 * 60]  # cut off
        parts[t.name] = [(cut, hold if i == 0 else 0) for i, cut in enumerate(cuts)]
        return idle, sum(cuts) + hold

    times, rows = execute(PETREL_2, seconds), []
    for t in PETREL_2:
        at = times[t.name][0]
        for i, (cut, hold) in enumerate(parts[t.name]):
            outcome = "stopped" if (number, t.name) == (1, "PATCH") else "done"
            rows.append((at, [f"B-{number}", str(datetime.date(2031, 9, 1) + datetime.timedelta(weeks=number - 1)), t.name,
                              ["", "lower bolts", "upper bolts"][i + 1 if t.steps == 2 else 0], t.crew,
                              {"EV1": "LB", "EV2": "NT", "EV1+EV2": "LB+NT"}[t.crew], clock(at, start, True),
                              clock(at + cut + hold, start, True), hold // 60 if hold else "", outcome]))
            at += cut + hold
    return [row for _, row in sorted(rows, key=lambda r: r[0])]


def petrel_2(folder):
    luck = Luck("petrel-2/1")
    head = ["run", "date", "task", "step", "crew", "performer", "start", "end", "hold", "outcome"]
    for number in range(1, len(STARTS_2) + 1):
        rows = petrel_2_rehearsal(luck, number)
        if number == 3:  # a slip of the pen: the letter O
            row = next(r for r in rows if r[2] == "LIFT")
            row[6] = row[6].replace("0", "O")
        write(folder, f"rehearsal-{number}.csv", [head] + rows)
    write(folder, "plan.csv", [["task", "title", "crew", "after", "planned", "kind", "drop_after"]] +
          [[t.name, t.title, t.crew, " ".join(t.after), PLANNED_2[t.name], t.kind, hmm(t.drop_after)] for t in PETREL_2])
    write(folder, "limits.csv", [["limit", "crew", "from", "to", "minutes", "confidence"],
                                 ["excursion", "all", "", "", "2:45", .9],
                                 ["mast without power", "all", "LIFT", "PLUG", 50, .9]])


# ---- Petrel shed: a log and no plan -----------------------------------------------------------------------------

SHED = [
    Task("Lay out the tools", "red+blue", "", "", 9, .15),
    Task("Mount the practice frame", "red", "", "", 14, .22),
    Task("Sort the swab tubes", "blue", "", "", 11, .20),
    Task("Drive the frame bolts", "red", "", "", 21, .28),
    Task("Rig the drum, slack side", "blue", "", "", 18, .25),
    Task("Turn the frame over", "red+blue", "", "", 7, .20),
    Task("Drive the back bolts", "red", "", "", 16, .28),
    Task("Rig the drum; tight side", "blue", "", "", 20, .30),
    Task("Label the tubes", "blue", "", "", 8, .18),
    Task("Check the bolts with the gauge", "red", "", "", 12, .22),
    Task("Put everything back", "red+blue", "", "", 13, .16),
]


def petrel_shed(folder):
    luck = Luck("petrel-shed/1")
    rows = [["Session", "Work", "Team", "Began", "Ended", "Bench"]]
    for session in range(4):
        opened = datetime.datetime(2031, 1, 7 + 2 * session, 14, int(20 * luck.uniform()), 0)
        day = luck.normal(.06)

        def seconds(t, _earliest):
            return int(luck.exponential(15)), round(60 * t.median * math.exp(day + luck.normal(t.sd)))

        times = execute(SHED, seconds)
        zero = min(begin for begin, _ in times.values())
        for t in sorted(SHED, key=lambda t: times[t.name]):
            begin, end = (opened + datetime.timedelta(seconds=s - zero) for s in times[t.name])
            rows.append([f"shed {'abcd'[session]}", t.name, t.crew, begin.isoformat() + "Z", end.isoformat() + "Z",
                         "oak" if session % 2 else "steel"])
    write(folder, "runs.csv", rows, delimiter=";", newline="\r\n", mark="\ufeff")


# ---- Petrel 8 sketch: judgement only ----------------------------------------------------------------------------

SKETCH = [  # task, title, crew, after, low, likely, high, drop_after
    ("OUT", "Leave the lock, pick up what Petrel 7 staged", "EV1+EV2", "", 14, 20, 34, ""),
    ("MAST", "Climb the mast", "EV1", "", 10, 14, 24, ""),
    ("REEL", "Carry the cable reel to the mast foot", "EV2", "", 12, 17, 31, ""),
    ("CLAMPS", "Fix three mast clamps", "EV1", "", 24, 36, 70, ""),
    ("PAY-OUT", "Pay out the cable along the spine", "EV2", "", 22, 30, 58, ""),
    ("LAY", "Lay the cable into the clamps", "EV1", "PAY-OUT", 18, 26, 50, ""),
    ("TRAY", "Open the tray at the spine end", "EV2", "", 9, 13, 28, ""),
    ("TIE", "Tie the cable down", "EV1", "", 14, 20, 40, ""),
    ("JOIN", "Join the cable at the spine end, one holds and one turns", "EV1+EV2", "", 16, 24, 52, ""),
    ("TEST", "Test the line with the people indoors", "EV2", "", 10, 14, 35, ""),
    ("COVER", "Close the clamp covers", "EV1", "", 12, 16, 30, ""),
    ("LAMP", "Fit the spare mast lamp", "EV1", "", 13, 19, 38, "3:45"),
    ("CLOSE", "Close the tray", "EV2", "TEST", 6, 9, 18, ""),
    ("IN", "Count the tools, go back in and shut the hatch", "EV1+EV2", "", 26, 34, 55, ""),
]


def petrel_8_sketch(folder):
    write(folder, "plan.csv", [["task", "title", "crew", "after", "low", "likely", "high", "drop_after"]] +
          [list(r) for r in SKETCH])
    write(folder, "limits.csv", [["limit", "crew", "from", "to", "minutes", "confidence"],
                                 ["excursion", "all", "", "", 330, .9],
                                 ["line dead", "all", "JOIN", "TEST", 75, .9]])


# ---- Petrel 9 sketch, and Petrel 7 to 9 in a row ------------------------------------------------------------------

SKETCH_9 = [  # task, title, crew, after, low, likely, high, drop_after
    ("OUT", "Leave the lock with the lamp test box", "EV1+EV2", "", 13, 19, 33, ""),
    ("BOOM", "Climb to the end of the boom", "EV1", "", 11, 16, 29, ""),
    ("BOX", "Carry the test box to the boom foot", "EV2", "", 9, 13, 25, ""),
    ("JOINT-OFF", "Take the stiff boom joint off its pins", "EV1", "", 22, 33, 66, ""),
    ("LEADS", "Lead the test wires to the joint", "EV2", "", 15, 22, 44, ""),
    ("JOINT-ON", "Seat the fresh boom joint, one holds and one drives the pins", "EV1+EV2", "", 26, 38, 74, ""),
    ("SWING", "Swing the boom through its range", "EV1", "", 14, 20, 40, ""),
    ("READ", "Read the test box at six stations", "EV2", "", 24, 34, 60, ""),
    ("BRUSH", "Brush the grit off the joint cover", "EV1", "SWING", 8, 12, 24, ""),
    ("STOW", "Stow the old joint", "EV2", "", 10, 15, 30, ""),
    ("IN", "Count the tools, go back in and shut the hatch", "EV1+EV2", "", 26, 34, 55, ""),
]


def petrel_9_sketch(folder):
    write(folder, "plan.csv", [["task", "title", "crew", "after", "low", "likely", "high", "drop_after"]] +
          [list(r) for r in SKETCH_9])
    write(folder, "limits.csv", [["limit", "crew", "from", "to", "minutes", "confidence"],
                                 ["excursion", "all", "", "", 300, .9]])


def petrel_series(folder):
    write(folder, "series.csv", [["excursion", "campaign", "date"], ["Petrel 7", "../petrel-7", "2031-04-18"],
                                 ["Petrel 8", "../petrel-8-sketch", "2031-05-09"],
                                 ["Petrel 9", "../petrel-9-sketch", "2031-06-06"]])
    write(folder, "spill.csv", [["task", "from", "to", "setup", "before", "drop_after"],
                                ["STAGE-CLAMPS", "Petrel 7", "Petrel 8", 4, "REEL", ""],
                                ["STAGE-REEL", "Petrel 7", "Petrel 8", 4, "REEL", ""],
                                ["LAMP", "Petrel 8", "Petrel 9", 9, "", "3:50"]])


# ---- Reference 40: a network for measuring the engine -----------------------------------------------------------

def reference_40(folder):
    """Two lanes, 18 tasks in each and 4 joint ones, 8 links from one lane to the other."""
    luck, rows, number = Luck("reference-40/1"), [], 0
    alone = {"EV1": [], "EV2": []}

    def add(crew, after, low, high):
        nonlocal number
        number += 1
        median, sd = low * (high / low) ** luck.uniform(), .12 + .26 * luck.uniform()
        rows.append([f"N{number:02d}", f"Work item {number}", crew, after, f"{median:.2f}", f"{sd:.3f}"])
        return rows[-1][0]

    add("EV1+EV2", "", 12, 18)
    for stretch in range(3):
        for i in range(6):
            for lane, other in (("EV1", "EV2"), ("EV2", "EV1")):
                here = 6 * stretch + i
                linked = (lane == "EV1" and here in (2, 4, 9, 15)) or (lane == "EV2" and here in (3, 8, 11, 16))
                alone[lane].append(add(lane, alone[other][-1 if lane == "EV2" else -2] if linked else "", 6, 26))
        add("EV1+EV2", "", 10, 24)
    write(folder, "plan.csv", [["task", "title", "crew", "after", "median", "sdlog"]] + rows)
    write(folder, "limits.csv", [["limit", "crew", "from", "to", "minutes", "confidence"],
                                 ["excursion", "all", "", "", 398, .95]])


def main():
    root = sys.argv[1] if len(sys.argv) > 1 else os.path.dirname(os.path.abspath(__file__))
    for name, make in (("petrel-7", petrel_7), ("petrel-2", petrel_2), ("petrel-shed", petrel_shed), ("petrel-8-sketch", petrel_8_sketch),
                       ("petrel-9-sketch", petrel_9_sketch), ("petrel-series", petrel_series),
                       ("reference-40", reference_40)):
        make(os.path.join(root, name))


if __name__ == "__main__":
    main()
