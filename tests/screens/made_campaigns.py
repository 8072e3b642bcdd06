"""Campaigns for holding screens against each other: all of it invented. Each is odd in its own way."""
import math, random

VERBS = ["Open", "Close", "Wipe", "Turn", "Lift", "Tie", "Check", "Brush", "Mark", "Ease"]
THINGS = ["the amber hatch", "the long rail", "the spare drum", "the tool net", "the north mast", "the lamp box", "the wide fan", "the soft cover"]
START = 9 * 60  # minutes after midnight


class Campaign:
    """lanes: how many; joint: every so many tasks one in which the first two lanes meet; limits: rows of limits.csv as functions of
    the plan's length in minutes; runs: how many rehearsals; drop: get-ahead work near the end; never: no day comes to it; judged: one task that rests on three points
    and that nobody rehearsed; on: the day of what is forecast; history: earlier excursions were
    slower than their rehearsals; late: factor by which rehearsals exceed the plan."""

    def __init__(self, name, tasks, runs, lanes=2, joint=5, late=1.0, learning=-0.05, limits=None, drop=False, never=False, trials=4000, slow=False, judged=False, on=None, history=False):
        self.name, self.n_run, self.trials, self.late, self.learning, self.slow, self.never = name, runs, trials, late, learning, slow, never
        self.judged, self.on, self.history = judged, on, history
        self.luck = random.Random(name)
        self.lanes = [f"EV{i + 1}" for i in range(lanes)]
        self.task = [self.make_task(k, tasks, joint, drop) for k in range(tasks)]
        self.limit_rows = limits or (lambda length: [("excursion", "all", "", "", round(1.15 * length), 0.9)])

    def make_task(self, k, n, joint, drop):
        both = joint and (k % joint == 0 or k == n - 1)
        lanes = self.lanes[:2] if both else [self.lanes[k % len(self.lanes)]]
        planned = self.luck.choice([8, 10, 12, 15, 20, 25]) if n < 50 else self.luck.choice([4, 5, 6, 8, 10])
        return {"id": f"{'ABCDEFGHJK'[k % 10]}{'RSTUVWXY'[k // 10 % 8]}", "title": f"{VERBS[k % 10]} {THINGS[k // 10 % 8]}", "lanes": lanes,
                "planned": planned, "true": planned * math.exp(self.luck.gauss(0, 0.15)), "drop": drop and k == n - 3}

    def walk(self, minutes):
        """Begins and ends when every task takes so long; a task waits for the one before it in each of its lanes."""
        free, when = {lane: 0.0 for lane in self.lanes}, []
        for t, took in zip(self.task, minutes):
            begin = max(free[lane] for lane in t["lanes"])
            for lane in t["lanes"]:
                free[lane] = begin + took
            when.append((begin, begin + took))
        return when

    def length(self):
        return max(end for _, end in self.walk([t["planned"] for t in self.task]))

    def write(self, folder):
        folder.mkdir(parents=True, exist_ok=True)
        plan = ["task,title,crew,planned,drop_after,low,likely,high"]
        for k, t in enumerate(self.task):
            after = f"{round((0.3 if self.never else 0.9) * self.length())}" if t["drop"] else ""
            plan.append(f"{t['id']},{t['title']},{'+'.join(t['lanes'])},{t['planned']},{after},{self.points(k, t)}")
        rows = ["run,date,task,crew,performer,start,end,hold,outcome"]
        for r in range(self.n_run):
            rows += self.run_rows(r)
        limits = ["limit,crew,from,to,minutes,confidence"] + [",".join(str(c) for c in row) for row in self.limit_rows(self.length())]
        for name, lines in (("plan.csv", plan), ("runs.csv", rows), ("limits.csv", limits)):
            (folder / name).write_text("\n".join(lines) + "\n")
        if self.history:
            rows = [f"Earlier {i},transit,100,{100 + 8 * i}" for i in range(1, 5)]
            (folder / "history.csv").write_text("\n".join(["excursion,kind,pool,flight", *rows]) + "\n")

    def is_judged(self, k):
        return self.judged and k == 1

    def points(self, k, t):
        return f"{t['planned'] * 0.8:.0f},{t['planned']},{t['planned'] * 1.6:.0f}" if self.is_judged(k) else ",,"

    def run_rows(self, r):
        pace = self.luck.gauss(0, 0.06) + self.learning * math.log(r + 1)
        took = [self.late * t["true"] * math.exp(pace + self.luck.gauss(0, 0.2)) for t in self.task]
        day, rows = r % 28 + 1, []
        for k, (t, (begin, end)) in enumerate(zip(self.task, self.walk(took))):
            if self.is_judged(k):
                continue
            clock = [f"{int(m) // 60:02d}:{int(m) % 60:02d}" for m in (START + begin, START + end)]
            skipped = t["drop"] and (self.never or self.luck.random() < 0.2)
            outcome = "skipped" if skipped else "stopped" if self.luck.random() < 0.01 else "done"
            hold = "2" if self.luck.random() < 0.05 and end - begin > 8 and not skipped else ""
            people = "+".join("KV" if lane == "EV1" else "OM" if lane == "EV2" else f"X{lane[-1]}" for lane in t["lanes"])
            rows.append(f"R{r + 1},2031-{r // 28 + 1:02d}-{day:02d},{t['id']},{'+'.join(t['lanes'])},{people},"
                        f"{'' if skipped else clock[0]},{'' if skipped else clock[1]},{hold},{outcome}")
        return rows


def two_limits(length):
    return [("excursion", "all", "", "", round(1.15 * length), 0.9), ("air", "EV1", "", "", round(1.1 * length), 0.95),
            ("dark", "all", "AS", "DS", round(0.3 * length), 0.9)]


def lane_too(length):
    return [("excursion", "all", "", "", round(1.6 * length), 0.9), ("air", "EV1", "", "", round(1.5 * length), 0.95)]


def hmm(minutes):
    """With a colon, as one that is meant: bare minutes so far above the rehearsals are doubted."""
    return f"{round(minutes) // 60}:{round(minutes) % 60:02d}"


def sure(length):
    return [("excursion", "all", "", "", round(1.15 * length), 0.9), ("power", "all", "", "", hmm(3 * length), 0.9)]


def over(length):
    return [("excursion", "all", "", "", round(length), 0.9)]


MADE = [
    Campaign("three tasks", 3, 6, joint=0),
    Campaign("eighty tasks", 80, 5, trials=2000, slow=True),
    Campaign("five lanes", 25, 6, lanes=5, limits=two_limits, drop=True),
    Campaign("two rehearsals", 12, 2, drop=True, limits=sure),
    Campaign("forty rehearsals", 10, 40, trials=2000, slow=True),
    Campaign("two answers", 12, 6, joint=4, limits=lane_too, judged=True, on="2031-06-01", history=True),
    Campaign("over the limit", 14, 7, late=1.3, limits=over, drop=True, never=True),
]
