"""Small invented campaigns of every make, and every command on each of them in every format. Usage: many_campaigns.py PROGRAM [SEED …]
Whatever a campaign lacks, an answer keeps what is promised of all answers: a documented status, and with status 3 a message that says
what is missing; no number that is none, no certainty that nobody has, one of a thing in the singular, 80 columns; JSON whose probabilities
are some and lie within their intervals; CSV with as many fields in every row; and all formats of an answer say the same number."""
import csv
import io
import json
import os
import random
import re
import subprocess
import sys
import unicodedata

sys.path.insert(0, os.path.join(os.path.dirname(os.path.dirname(os.path.dirname(os.path.abspath(__file__)))), "support"))
import own_lists

FEW = ["--trials", "512", "--threads", "1"]
# "1 of 4 rehearsals" and "1 in 20 days" are fine; "1 tasks" is not. Plurals that are not the singular with an s have their own.
ONE_OF_MANY = re.compile(r"(?<![\w.,:/-])(?<!and )(?:1|one) (?:(?:more|further|complete|other|earlier|planned|last) )?"
                         r"(rehearsals|runs|tasks|rows|limits|lanes|days|trials|criteria|excursions|campaigns|minutes|line-ups|draws|"
                         r"notes|warnings|errors|people|persons|steps|holds|starts|changes|cases|finishes|chains)\b")
MANY_OF_ONE = re.compile(r"(?<![\w.,:/-])(?<!of )(?<!and )(?:two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|no other|[2-9]|[1-9][0-9]+) "
                         r"(?:(?:more|further|complete|other|earlier) )?(rehearsal|task|row|limit|lane|criterion|excursion|campaign)\b(?!-)")
NO_NUMBER = re.compile(r"(^|[^a-z])(-?nan|-?inf|infinity)([^a-z]|$)|(^|[^0-9.])(?<!of )(0|100) of 100", re.IGNORECASE)


class Campaign:
    """Written from a seed: how many runs, tasks, lanes and people, what is logged of them, and what stands beside the log."""

    def __init__(self, seed):
        self.dice = dice = random.Random(seed)
        self.folder = f"c{seed}"
        self.n_lane = dice.choice((1, 2, 2, 3))
        self.tasks = [f"T{k}" for k in range(dice.choice((1, 2, 4, 7, 11)))]
        self.n_run = dice.choice((0, 1, 2, 3, 4, 6, 9))
        self.clock = dice.random() < 0.7
        self.people = dice.choice(((), ("Ann", "Bob", "Cy"), ("Ann", "Bob", "Cy", "Dee", "Eli")))
        self.dates = dice.random() < 0.5
        self.judged = {t for t in self.tasks if dice.random() < 0.25} if self.n_run else set(self.tasks)
        self.planned = dice.random() < 0.6 or not self.n_run
        self.crew = {t: self.crew_of(k) for k, t in enumerate(self.tasks)}
        self.median = {t: dice.uniform(5, 40) for t in self.tasks}
        self.fixed = {t for t in sorted(self.judged) if dice.random() < 0.3}

    def crew_of(self, k):
        if self.n_lane > 1 and (k in (0, len(self.tasks) - 1) or self.dice.random() < 0.15):
            return "+".join(f"EV{i + 1}" for i in range(self.n_lane))
        return f"EV{k % self.n_lane + 1}"

    def write(self):
        os.makedirs(self.folder)
        if self.n_run:
            self.put("runs.csv", self.log())
        if self.judged or self.dice.random() < 0.6:
            self.put("plan.csv", self.plan())
        whole = sum(self.median.values()) / max(1, self.n_lane)
        limits = [("excursion", "all", "", "", whole * self.dice.choice((0.8, 1.1, 1.6)), "0.9")]
        if self.n_lane > 1:
            limits.append(("air of EV2", "EV2", "", "", whole, self.dice.choice(("0.95", ""))))
        if len(self.tasks) > 3:
            limits.append(("cold", "EV1" if self.n_lane > 1 else "all", self.tasks[0], self.tasks[-1], whole * 1.2, "0.8"))
        limits = limits[:self.dice.choice((0, 1, 3))]
        if limits:
            self.put("limits.csv", [("limit", "crew", "from", "to", "minutes", "confidence")] +
                     [(*row[:4], f"{row[4]:.1f}", row[5]) for row in limits])
        self.limits = limits
        if self.dice.random() < 0.4:
            self.put("history.csv", [("excursion", "kind", "pool", "flight"), ("Old 1", "a", "20", "23"), ("Old 1", "b", "30", "31"),
                                     ("Old 2", "a", "25", "33")])
        if self.dice.random() < 0.4:
            self.put("criteria.csv", [("criterion", "threshold"), ("complete-runs", "2"), ("record", "off"), ("task-done", "1")])

    def put(self, name, rows):
        with open(os.path.join(self.folder, name), "w", encoding="utf-8", newline="") as f:
            csv.writer(f, lineterminator="\n").writerows(rows)

    def plan(self):
        rows = [("task", "title", "kind", "crew", "after", "planned", "low", "likely", "high", "median", "sdlog", "not_before", "drop_after")]
        for k, t in enumerate(self.tasks):
            m = self.median[t]
            points = law = ("", "", "") if t not in self.judged else tuple(f"{f * m:.1f}" for f in (0.8, 1, 1.7))
            law = ("", "")
            if t in self.fixed:
                points, law = ("", "", ""), (f"{m:.1f}", self.dice.choice(("0", "0.2")))
            after = self.tasks[k - 2] if k > 2 and self.dice.random() < 0.3 else ""
            inner = 0 < k < len(self.tasks) - 2
            rows.append((t, f"Task {k}", "ab"[k % 2] if self.dice.random() < 0.8 else "", self.crew[t], after,
                         f"{m * self.dice.choice((0.7, 1, 1.4)):.1f}" if self.planned else "", *points, *law,
                         f"{k * 8}" if inner and self.dice.random() < 0.1 else "",
                         f"{sum(self.median.values()) / self.n_lane:.0f}" if inner and self.dice.random() < 0.25 else ""))
        return rows

    def log(self):
        dice, rows = self.dice, [("run", "date", "pool", "task", "crew", "performer", "start", "end", "minutes", "hold", "outcome")]
        for r in range(self.n_run):
            pace, at = dice.lognormvariate(0, 0.1), {f"EV{i + 1}": 540.0 for i in range(self.n_lane)}
            pair = dice.sample(self.people, self.n_lane) if len(self.people) >= self.n_lane else []
            who = {f"EV{i + 1}": name for i, name in enumerate(pair)}
            for t in self.tasks:
                if t in self.judged and dice.random() < 0.8:
                    continue
                lanes = self.crew[t].split("+")
                outcome = dice.choices(("done", "stopped", "skipped"), (20, 1, 1))[0]
                took = max(1, round(self.median[t] * pace * dice.lognormvariate(0, 0.2)))
                hold = dice.choice((0, 0, 0, 1)) if took > 2 else 0
                begin = max(at[lane] for lane in lanes)
                times = (f"{begin // 60:.0f}:{begin % 60:02.0f}", f"{(begin + took) // 60:.0f}:{(begin + took) % 60:02.0f}", "")
                if outcome == "skipped":
                    times = ("", "", "")
                elif not self.clock:
                    times = ("", "", took)
                rows.append((f"R{r + 1}", f"2031-03-{3 * r + 1:02}" if self.dates else "", ("deep", "shallow")[r % 2], t, self.crew[t],
                             dice.choice(("+", " + ", "+ ")).join(who[lane] for lane in lanes) if who else "", *times, hold or "", outcome))
                for lane in lanes:
                    at[lane] = begin + (took if outcome != "skipped" else 0)
        return rows

    def commands(self):
        """All that answer of one campaign as text, CSV and JSON."""
        asked = list(self.asked())
        return [[c, *FEW] for c in own_lists.the_rest(asked, {"start", "daysheet", "series", "chart", "report"})] + asked

    def asked(self):
        first = self.tasks[0]
        yield ["check"]
        yield ["forecast", *FEW]
        yield ["cutoff", *FEW]
        yield ["fit", *FEW]
        yield ["pad", *FEW]
        yield ["forecast", *FEW, "--for", "excursion"]
        yield ["fit", *FEW, "--learning", "off", "--no-skew", "--no-people"]
        yield ["forecast", *FEW, "--model", "alone"]
        yield ["compare"]
        yield ["compare", "--by", "pool"]
        yield ["debrief", *FEW]
        yield ["runs-needed", "--trials", "200", "--threads", "1"]
        yield ["whatif", *FEW, "--scale", f"{first}=0.5", "--limit", "2:00"]
        yield ["cutoff", *FEW, "--now", f"{first}@0:00-0:10,@0:15"]
        if len(self.tasks) > 2:
            yield ["whatif", *FEW, "--drop", self.tasks[1], "--swap", f"{self.tasks[1]}=EV1"]
        if self.n_run > 1:
            yield ["forecast", *FEW, "--against", f"before:R{self.n_run}"]
        if self.people:
            yield ["forecast", *FEW, "--people", "EV1=Ann", "--anonymous"]
        middle = self.tasks[len(self.tasks) // 2]
        yield ["forecast", *FEW, "--model", "alone", "--for", "excursion"]
        yield ["cutoff", *FEW, "--for", "excursion", "--now", f"{first}@0:00-0:14,{middle}@0:40"]
        yield ["cutoff", *FEW, "--now", f"{middle}@0:30-0:52,@1:00", "--start", "9:30"]
        yield ["cutoff", *FEW, "--model", "alone", "--now", f"{first}@0:00,@0:09", "--at", self.tasks[-1]]
        yield ["cutoff", *FEW, "--outside-hold", "--run-effect", "0.1"]
        yield ["whatif", *FEW, "--search", "--allow", "exchange,before,crew,drop,shorten", "--changes", "2"]
        yield ["pad", *FEW, "--confidence", "0.6", "--no-people"]
        yield ["debrief", *FEW, f"R{max(1, self.n_run - 1)}"]
        yield ["logsheet"]
        yield ["forecast", *FEW, "--gap-allowance", "5", "--on", "2031-12-01", "--three-point", "triangular"]


def wide(line):
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in line)


def no_constant(text):
    raise ValueError(text)


def walk(x, path=""):
    """Probabilities are some, and lie within their intervals."""
    if isinstance(x, dict):
        for k, v in x.items():
            if isinstance(v, float) and k.startswith("prob") and not 0 <= v <= 1:
                yield f"{path}.{k} is {v}"
            yield from walk(v, f"{path}.{k}")
        bounds = x.get("interval")
        if isinstance(bounds, list) and None not in bounds and isinstance(x.get("probability"), float):
            # a few draws far from the rest may draw the mean beyond 90 in 100 of them, but not by a count of a hundred
            if not bounds[0] - 0.005 <= x["probability"] <= bounds[1] + 0.005:
                yield f"{path}: {x['probability']} is not within {bounds}"
    elif isinstance(x, list):
        for i, v in enumerate(x):
            yield from walk(v, f"{path}[{i}]")


class Trial:
    def __init__(self, program, campaign):
        self.program, self.campaign, self.bad, self.n = program, campaign, 0, 0

    def wrong(self, args, what):
        self.bad += 1
        print(f"{self.campaign.folder}: {' '.join(args)}: {what}")

    def run(self, args, form):
        self.n += 1
        p = subprocess.run([self.program, *args, "-f", form, "-q", self.campaign.folder], capture_output=True,
                           stdin=subprocess.DEVNULL, timeout=300)
        out, err = p.stdout.decode(), p.stderr.decode()
        if p.returncode not in (0, 1, 2, 3):
            self.wrong(args, f"status {p.returncode}: {err}")
        if p.returncode in (2, 3) and (out if args[0] != "check" else False):
            self.wrong(args, f"status {p.returncode}, and output: {out[:200]}")
        if p.returncode in (2, 3) and len(err) < 20:
            self.wrong(args, f"status {p.returncode} without a word: {err}")
        self.words(args, err)
        return p.returncode, out

    def words(self, args, text):
        whole = " ".join(text.split())
        prose = " ".join(" ".join(line for line in text.splitlines() if "  " not in line.strip()).split())
        for rule, what, flat in ((NO_NUMBER, "a number that is none", whole), (ONE_OF_MANY, "one in the plural", prose),
                                 (MANY_OF_ONE, "several in the singular", prose)):
            found = rule.search(flat)
            if found:
                self.wrong(args, f"{what}: …{flat[max(0, found.start() - 60):found.end() + 40]}…")

    def check(self, args):
        status, out = self.run(args, "table")
        self.words(args, out)
        for line in out.splitlines():
            if wide(line) > 80:
                self.wrong(args, f"wider than 80 columns: {line}")
        status_json, out = self.run(args, "json")
        if status != status_json:
            self.wrong(args, f"status {status}, and with JSON {status_json}")
        if status_json in (0, 1):
            try:
                for what in walk(json.loads(out, parse_constant=no_constant)):
                    self.wrong(args, what)
            except ValueError as e:
                self.wrong(args, f"JSON: {e}")
        status_csv, out = self.run(args, "csv")
        if status != status_csv:
            self.wrong(args, f"status {status}, and with CSV {status_csv}")
        if len({len(row) for row in csv.reader(io.StringIO(out)) if row}) > 1:
            self.wrong(args, f"CSV with rows of several widths: {out[:300]}")


def main(program, seeds):
    bad = n = 0
    for seed in seeds:
        campaign = Campaign(seed)
        campaign.write()
        trial = Trial(program, campaign)
        for args in campaign.commands():
            trial.check(args)
        bad, n = bad + trial.bad, n + trial.n
    print(f"many campaigns: {n} answers, {bad} wrong")
    return bad > 0


if __name__ == "__main__":
    sys.exit(main(os.path.abspath(sys.argv[1]), [int(s) for s in sys.argv[2:]] or (3, 8, 9, 16, 24)))
