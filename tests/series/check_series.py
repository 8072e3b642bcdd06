"""The numbers of a series by an implementation of its own, beside `wetrun series`.
Usage: check_series.py WETRUN SERIES [SEED[,SEED…] [NUMBER [option …]]]: so many simulated series a seed (default 6000). Prints how far apart the two are, in units of the Monte
Carlo error of both, and fails where that is more than chance.
Of the program it takes only the posterior draws of a rehearsed campaign (the data block of its day page). Tables, tasks' times, people, the law of a slow day
where nothing was rehearsed, networks, work carried on and what is counted are done here from their definitions: wetrun-files(5), wetrun-model(7), and the heads of
include/wetrun/decide/series.h, study/series.h and model/earlier.h. Three-point judgements are drawn as a beta distribution (PERT: Malcolm et al. 1959, from memory)."""
import array, base64, csv, json, math, pathlib, random, re, statistics, subprocess, sys, tempfile

NORMAL, FAR, N_DRAW, NEW = statistics.NormalDist(), math.inf, 2000, -1


# ---- what people wrote ----

def minutes(text):
    text = (text or "").strip()
    if ":" not in text:
        return float(text) if text else None
    h, m = text.split(":")
    return 60 * int(h) + float(m)


def rows_of(path):
    return list(csv.DictReader(open(path, newline=""))) if path.exists() else []


class Task:
    def __init__(self, row):
        self.name, self.lanes, self.after = row["task"], row["crew"].split("+"), [a for a in re.split(r"[+ ]", row.get("after") or "") if a]
        self.not_before = minutes(row.get("not_before")) or 0.0
        late = minutes(row.get("drop_after"))
        self.drop_after = FAR if late is None else late
        self.points = [minutes(row.get(c)) for c in ("low", "likely", "high")]
        self.home = None  # the excursion its times come from


class Excursion:
    def __init__(self, folder, row):
        self.name, self.folder, self.date = row["excursion"], folder / row["campaign"], row.get("date")
        self.tasks = [Task(r) for r in rows_of(self.folder / "plan.csv")]
        self.limits = [(r["limit"], None if r["crew"] == "all" else r["crew"].split("+"), r["from"], r["to"], minutes(r["minutes"]))
                       for r in rows_of(self.folder / "limits.csv")]
        self.rehearsed = (self.folder / "runs.csv").exists()
        for t in self.tasks:
            t.home = self

    def find(self, name):
        return next((t for t in self.tasks if t.name == name), None)

    def add_carried(self, task, spill):
        """A row for work of an earlier plan: before the task that is named, else before the last joint task of its lanes."""
        new = Task({"task": task.name, "crew": "+".join(task.lanes), "drop_after": spill["drop_after"]})
        new.home, new.points = task.home, task.points
        at = [n for n, t in enumerate(self.tasks) if (t.name == spill["before"] if spill["before"] else len(t.lanes) > 1 and set(t.lanes) & set(task.lanes))]
        self.tasks.insert(at[-1] if at else len(self.tasks), new)

    def settle(self):
        """Predecessors by number: the one before it in each lane, and those it names; what is walked comes after them."""
        last, number = {}, {t.name: n for n, t in enumerate(self.tasks)}
        self.before = []
        for n, t in enumerate(self.tasks):
            self.before.append(sorted({last[l] for l in t.lanes if l in last} | {number[a] for a in t.after}))
            last.update((l, n) for l in t.lanes)
        self.order, done = [], set()
        while len(done) < len(self.tasks):
            ready = [n for n in range(len(self.tasks)) if n not in done and all(p in done for p in self.before[n])]
            self.order += ready
            done |= set(ready)
        self.measured = []  # of each limit: tasks whose latest end counts, the task whose begin is taken off, minutes
        for _, lanes, begin, end, most in self.limits:
            ends = [number[end]] if begin else [n for n, t in enumerate(self.tasks) if not lanes or set(lanes) & set(t.lanes)]
            self.measured.append((ends, number[begin] if begin else None, most))


# ---- what is not known ----

class Posterior:
    """Draws of a rehearsed campaign."""
    def __init__(self, wetrun, campaign, earlier, options, scratch):
        page = pathlib.Path(scratch) / "day.html"
        taught = [word for folder in earlier for word in ("--earlier", str(folder))]
        subprocess.run([wetrun, "daysheet", str(campaign), *taught, *options, "--out", str(page), "--quiet"], check=True, capture_output=True)
        data = json.loads(re.search(r'id="day-data"[^>]*>(.*?)</script>', page.read_text(), re.S).group(1))
        f = data["forecast"]
        self.n, self.people, self.line_ups, self.lanes = f["draws"], data["people"], f["line_ups"], data["lanes"]
        self.centre, self.spread, self.q = (self.unpack(f[k]) for k in ("pool", "spread", "q"))
        self.tau, self.rho, self.kappa = (self.unpack(f[k])[0] for k in ("tau", "rho", "kappa"))
        self.row = {t["id"]: int(s["row"]) for t, s in zip(data["tasks"], f["source"])}

    def unpack(self, rows):
        whole = array.array("H", base64.b64decode(rows["data"]))
        if sys.byteorder == "big":
            whole.byteswap()
        return [[lo + step * v for v in whole[i * self.n:(i + 1) * self.n]] for i, (lo, step) in enumerate(zip(rows["lo"], rows["step"]))]


    def join(self, earlier):
        """Whoever rehearsed in an earlier excursion too is the same person, draw by draw (model/shared_people.h)."""
        there = {name: next((p.q[p.people.index(name)] for p in earlier if name in p.people and p.q), None) for name in self.people} if self.q else {}
        shared = [n for n in self.people if there.get(n)]
        if not shared:
            return
        own, other = [self.q[self.people.index(n)] for n in shared], [there[n] for n in shared]
        s, r = covariances(own), root(covariances(other))
        back = inverse(r)
        way, m, m_other = times(times(back, root(times(times(r, s), r))), back), [statistics.fmean(x) for x in own], [statistics.fmean(x) for x in other]
        by = [[m[i] + sum(way[i][k] * (other[k][j] - m_other[k]) for k in range(len(shared))) - own[i][j] for j in range(self.n)] for i in range(len(shared))]
        rest = self.centre + [q for n, q in enumerate(self.q) if n >= len(self.people) or self.people[n] not in shared]
        solve = inverse(s)
        slopes = [[sum(covariance(row, own[k]) * solve[k][i] for k in range(len(shared))) for i in range(len(shared))] for row in rest]
        for row, slope in zip(rest + own, slopes + [[float(i == k) for k in range(len(shared))] for i in range(len(shared))]):
            row[:] = [v + sum(a * by[i][j] for i, a in enumerate(slope)) for j, v in enumerate(row)]


# ---- a little algebra: matrices as lists of rows ----

def times(a, b):
    return [[sum(x * y for x, y in zip(row, column)) for column in zip(*b)] for row in a]


def inverse(a):
    n, a = len(a), [row + [float(i == k) for k in range(len(a))] for i, row in enumerate(a)]
    for i in range(n):
        best = max(range(i, n), key=lambda r: abs(a[r][i]))
        a[i], a[best] = a[best], a[i]
        a[i] = [v / a[i][i] for v in a[i]]
        for r in range(n):
            if r != i:
                a[r] = [v - a[r][i] * u for v, u in zip(a[r], a[i])]
    return [row[n:] for row in a]


def root(a):
    """Of a covariance matrix, by the iteration of Denman and Beavers (1976, from memory)."""
    y, z = a, [[float(i == k) for k in range(len(a))] for i in range(len(a))]
    for _ in range(60):
        y, z = [[[(v + w) / 2 for v, w in zip(r, s)] for r, s in zip(p, inverse(q))] for p, q in ((y, z), (z, y))]
    return y


def covariance(a, b):
    x, y = statistics.fmean(a), statistics.fmean(b)
    return sum((u - x) * (v - y) for u, v in zip(a, b)) / (len(a) - 1)


def covariances(rows):
    return [[covariance(a, b) for b in rows] for a in rows]


def half_cauchy(scale, most):
    """Distribution function and quantile of a half-Cauchy below `most`."""
    whole = math.atan(most / scale)
    return lambda x: math.atan(x / scale) / whole, lambda p: scale * math.tan(p * whole)


def taught_score(told):
    """Mean and sd of the next campaign's normal score from what earlier ones say (y, e), as model/earlier.h has it."""
    if not told:
        return 0.0, 1.0
    points, step = [], 3.0 / 120
    for i in range(120):
        between = (i + 0.5) * step
        variances = [between ** 2 + e ** 2 for _, e in told]
        precision = 4 + sum(1 / v for v in variances)
        mean = sum(y / v for (y, _), v in zip(told, variances)) / precision
        log = -0.5 * (sum(math.log(v) + y * y / v for (y, _), v in zip(told, variances)) + math.log(precision) - precision * mean ** 2)
        points.append((log - 0.5 * (math.log(between / 0.74) / 0.4) ** 2 - math.log(between), mean, 1 / precision + between ** 2))
    most = max(p[0] for p in points)
    weights = [math.exp(p[0] - most) for p in points]
    mean = sum(w * p[1] for w, p in zip(weights, points)) / sum(weights)
    return mean, math.sqrt(sum(w * (p[2] + p[1] ** 2) for w, p in zip(weights, points)) / sum(weights) - mean ** 2)


def tells(posterior):
    cdf, _ = half_cauchy(0.10, 0.8)
    scores = [NORMAL.inv_cdf(min(max(cdf(t), 1e-12), 1 - 1e-12)) for t in posterior.tau]
    m, v = statistics.fmean(scores), statistics.variance(scores)
    return m / (1 - v), math.sqrt(v / (1 - v))


# ---- days ----

class World:
    def __init__(self, wetrun, folder, seed, options, scratch):
        self.random = random.Random(1000003 * seed)
        self.legs = [Excursion(folder, r) for r in rows_of(folder / "series.csv")]
        self.spills = rows_of(folder / "spill.csv")
        number = {e.name: n for n, e in enumerate(self.legs)}
        for s in self.spills:
            s["from"], s["to"] = number[s["from"]], number[s["to"]]
            s["setup"], s["stop"], s["before"] = minutes(s["setup"]) or 0.0, minutes(s.get("stop")), s.get("before") or ""
            if not self.legs[s["to"]].find(s["task"]):
                self.legs[s["to"]].add_carried(next(t for e in reversed(self.legs[:s["from"] + 1]) if (t := e.find(s["task"]))), s)
        told, _quantile = [], half_cauchy(0.10, 0.8)[1]
        for e in self.legs:
            e.settle()
            before = [x for x in self.legs[:number[e.name]] if x.rehearsed]
            e.posterior = Posterior(wetrun, e.folder, [x.folder for x in before], ["--seed", str(seed), *(["--on", e.date] if e.date else []), *options], scratch) if e.rehearsed else None
            if e.posterior:
                e.posterior.join([x.posterior for x in before])
            e.tau_law = taught_score(told)
            if e.posterior:
                told.append(tells(e.posterior))
            e.team = next((x.posterior for x in reversed(self.legs[:number[e.name] + 1]) if x.posterior), None)
        for s in self.spills:
            s["from_task"], s["to_task"] = (next(n for n, t in enumerate(self.legs[s[w]].tasks) if t.name == s["task"]) for w in ("from", "to"))

    def day(self, e, j, score):
        """Minutes of all tasks of an excursion, given draw j and the normal score of how much days differ where nothing was rehearsed."""
        r, p = self.random, e.posterior
        tau = p.tau[j] if p else half_cauchy(0.10, 0.8)[1](NORMAL.cdf(e.tau_law[0] + e.tau_law[1] * score))
        b = r.gauss(0, tau)
        who = dict(zip(e.team.lanes, r.choice(e.team.line_ups))) if e.team else {}
        pace = {l: e.team.q[p][j] if p >= 0 else r.gauss(0, e.team.kappa[j]) if p == NEW else 0.0 for l, p in who.items()}
        found, level = [], {}
        for t in e.tasks:
            home = t.home.posterior
            if home and home not in level:  # an effect is against the others of its campaign
                both = [n for n in e.team.people if n in home.people] if home is not e.team and home.q and e.team.q else []
                level[home] = statistics.fmean(home.q[home.people.index(n)][j] - e.team.q[e.team.people.index(n)][j] for n in both) if both else 0.0
            if home:
                rho, row = home.rho[j], home.row[t.name]
                skew = (rho * (abs(r.gauss(0, 1)) - math.sqrt(2 / math.pi)) + math.sqrt(1 - rho * rho) * r.gauss(0, 1)) / math.sqrt(1 - 2 * rho * rho / math.pi)
                found.append(math.exp(home.centre[row][j] + level[home] + b + statistics.fmean(pace[l] for l in t.lanes) + home.spread[row][j] * skew))
            else:
                low, likely, high = t.points
                found.append(math.exp(b) * (low + (high - low) * r.betavariate(1 + 4 * (likely - low) / (high - low), 1 + 4 * (high - likely) / (high - low))))
        return found


def walk(e, taken, out, lifted, stops):
    """Begins and ends; out: tasks that are not to be done; stops: {task: when it is put down}."""
    begin, end, dropped = [0.0] * len(taken), [0.0] * len(taken), set()
    for k in e.order:
        at = max((end[p] for p in e.before[k]), default=0.0)
        if k in out:
            begin[k] = end[k] = at
            continue
        at = max(at, e.tasks[k].not_before)
        begin[k] = end[k] = at
        if at > e.tasks[k].drop_after and k not in lifted:
            dropped.add(k)
        else:
            end[k] = at + (min(taken[k], max(0.0, stops[k] - at)) if k in stops else taken[k])
    return begin, end, dropped


def series(w, days, kind=None, chosen=None):
    """One simulated series: {over: by limit of every leg, first: of the first limits, carried: by spill, waits: after every leg,
    more: minutes carried on to every leg, left}. kind: None as it is, "alone"
    nothing is carried on, or a decision about spill `chosen`: "rule-lifted", "moved", "given-up"."""
    left, over, first, carried, waits, finish, more, lost = [0.0] * len(w.spills), [], [], [False] * len(w.spills), [], [], [], False
    for n, (e, day) in enumerate(zip(w.legs, days)):
        taken, out, part, lifted, stops = list(day), set(), [1.0] * len(day), set(), {}
        comes = [s for s in range(len(w.spills)) if w.spills[s]["to"] == n]
        out |= {w.spills[s]["to_task"] for s in comes}
        more.append(0.0)
        for s in comes:
            k = w.spills[s]["to_task"]
            if left[s] > 0 and k in out:
                out.discard(k)
                part[k] = left[s]
                taken[k] = part[k] * day[k] + w.spills[s]["setup"]
                more[n] += taken[k]
            left[s] = 0.0
        asked = set(range(len(day))) - out
        goes = [s for s in range(len(w.spills)) if w.spills[s]["from"] == n]
        for s in goes:
            k = w.spills[s]["from_task"]
            if s == chosen and kind == "rule-lifted":
                lifted.add(k)
            elif s == chosen:
                out.add(k)
            if w.spills[s]["stop"] is not None and k not in lifted:
                stops[k] = w.spills[s]["stop"]
        begin, end, dropped = walk(e, taken, out, lifted, stops)
        for s in goes:
            k = w.spills[s]["from_task"]
            undone = 1.0 if k in dropped or (s == chosen and kind == "moved") else 0.0 if k in out else 1 - (end[k] - begin[k]) / taken[k]
            left[s] = 0.0 if kind == "alone" or k not in asked else undone * part[k]
            left[s] = left[s] if left[s] > 1e-9 else 0.0
            carried[s] = left[s] > 0
        lost = lost or any(w.spills[s]["to_task"] in dropped & asked and w.spills[s]["to_task"] not in [w.spills[g]["from_task"] for g in goes] for s in comes)
        passed = [max((end[x] for x in ends), default=0.0) - (begin[clock] if clock is not None else 0.0) > most for ends, clock, most in e.measured]
        over += passed
        first.append(passed[0])
        finish.append(max(end))
        waits.append(any(left) or (n == len(w.legs) - 1 and lost))
    return {"over": over, "first": first, "carried": carried, "waits": waits, "finish": finish, "more": more, "left": lost}


# ---- side by side ----

class Beside:
    def __init__(self):
        self.z, self.worst = [], []

    def share(self, what, flags, its, trials, legs):
        """The program's probability beside a share counted here. Draws of a rehearsed campaign are the same ones; where nothing was rehearsed the program has N_DRAW
        of how much days differ, here every series has its own: given a draw, the probability is taken to vary by half of its own standard deviation (stated
        Monte Carlo errors of the demonstration are at most that)."""
        n, p = len(flags), sum(flags) / len(flags)
        both = (sum(flags) + its * trials) / (n + trials)
        self.add(what, p, its, math.sqrt(both * (1 - both) * (1 / n + 1 / trials + sum(0.25 / N_DRAW for e in legs if not e.posterior))))

    def mean(self, what, values, its, its_error):
        """Of values that are -1, 0 or 1, which vary at least as their mean asks, even where none of the series here shows one."""
        variance = max(statistics.variance(values), abs(its) - its ** 2)
        self.add(what, statistics.fmean(values), its, math.hypot(math.sqrt(variance / len(values)), its_error))

    def add(self, what, mine, its, error):
        z = (mine - its) / error if error > 0 else 0.0 if abs(mine - its) < 1e-9 else FAR
        self.z.append(z)
        self.worst.append((abs(z), f"{what}: {mine:.5f} here, {its:.5f} there, {z:+.1f} errors"))


def correlation(w, number, linked):
    """Of the finishes of the first two excursions; not linked: with the second's days of another draw."""
    n, pairs = w.legs[0].posterior.n, []
    for _ in range(number):
        j = w.random.randrange(n)
        k = j if linked else w.random.randrange(n)
        pairs.append([max(walk(e, w.day(e, d, 0), set(), set(), {})[1]) for e, d in zip(w.legs, (j, k))])
    return statistics.correlation(*zip(*pairs))


def compare(wetrun, folder, seed, number, options, scratch, found):
    w = World(wetrun, folder, seed, options, scratch)
    if all(e.posterior for e in w.legs[:2]):
        print(f"  finishes of the first two: correlation {correlation(w, number, True):.3f}; if their draws were not linked {correlation(w, number, False):.3f}")
    done = subprocess.run([wetrun, "series", str(folder), "--seed", str(seed), *options, "-f", "json", "--quiet"], capture_output=True, text=True)
    assert done.returncode == 0, done.stderr
    its = json.loads(done.stdout)
    n_draw = next(e.posterior.n for e in w.legs if e.posterior)
    with_, alone = [], []
    changed = {(c["change"], next(s for s, p in enumerate(w.spills) if p["task"] == c["task"] and w.legs[p["from"]].name == c["from"])): (c, []) for c in its["changes"]}
    for i in range(number):
        j, score = w.random.randrange(n_draw), w.random.gauss(0, 1)
        days = [w.day(e, j, score) for e in w.legs]
        with_.append(series(w, days))
        alone.append(series(w, days, "alone"))
        for (kind, chosen), (_, list_) in changed.items():
            list_.append(series(w, days, kind, chosen))
    trials, at = its["trials"], 0
    for n, e in enumerate(its["excursions"]):
        for l in e["limits"]:
            what = f"{e['excursion']}, {l['limit']}"
            found.share(what, [r["over"][at] for r in with_], l["probability_over"], trials, [w.legs[n]])
            found.share(what + ", nothing carried on", [r["over"][at] for r in alone], l["over_without"], trials, [w.legs[n]])
            found.mean(what + ", what that adds", [a["over"][at] - b["over"][at] for a, b in zip(with_, alone)], l["added"], l["added_mc_error"])
            at += 1
        if e["carried_on_to_it"] is not None:
            found.share(e["excursion"] + ", gets more", [r["more"][n] > 0 for r in with_], e["carried_on_to_it"], trials, w.legs[:n])
            values = [r["more"][n] for r in with_ if r["more"][n] > 0]
            found.mean(e["excursion"] + ", minutes of it where it does", values, e["carried_mean_min"] / e["carried_on_to_it"],
                       statistics.stdev(values) / math.sqrt(e["carried_on_to_it"] * N_DRAW))
        found.share(e["excursion"] + ", half by", [r["finish"][n] < e["finish_p50_min"] for r in with_], 0.5, trials, [w.legs[n]])
        found.share(e["excursion"] + ", 90 by", [r["finish"][n] < e["finish_p90_min"] for r in with_], 0.9, trials, [w.legs[n]])
        found.share(e["excursion"] + ", all done by", [not r["waits"][n] for r in with_], e["all_done_by"], trials, w.legs[:n + 1])
    for s, c in enumerate(its["carried_on"]):
        found.share(f"{c['task']} carried on", [r["carried"][s] for r in with_], c["dropped"], trials, [w.legs[w.spills[s]["from"]]])
    found.share("some excursion over", [any(r["over"]) for r in with_], its["any_excursion_over"], trials, w.legs)
    found.share("left over", [r["left"] for r in with_], its["left_over"], trials, w.legs)
    found.share("excursions beyond those planned", [r["left"] for r in with_], its["expected_excursions"] - len(w.legs), trials, w.legs)
    for (kind, s), (c, results) in changed.items():
        what = f"{kind} {c['task']}"
        found.mean(what + ", gain", [any(a["over"]) - any(b["over"]) for a, b in zip(with_, results)], c["gain"], c["mc_error"])
        found.share(what + ", left over", [r["left"] for r in results], c["left_over"], trials, w.legs)
        for n, p in enumerate(c["probability_over"]):
            found.share(f"{what}, excursion {n + 1}", [r["first"][n] for r in results], p, trials, [w.legs[n]])


def main():
    wetrun, folder = sys.argv[1], pathlib.Path(sys.argv[2])
    seeds = [int(s) for s in sys.argv[3].split(",")] if len(sys.argv) > 3 else [1]
    number = int(sys.argv[4]) if len(sys.argv) > 4 else 6000
    found = Beside()
    with tempfile.TemporaryDirectory() as scratch:
        for seed in seeds:
            compare(wetrun, folder, seed, number, sys.argv[5:], scratch, found)
    rms = math.sqrt(sum(z * z for z in found.z) / len(found.z))
    print(f"series by an implementation of its own: {len(found.z)} numbers over {len(seeds)} seeds, {number} series each: rms {rms:.2f} errors, "
          f"mean {statistics.fmean(found.z):+.2f}, largest {max(found.worst)[0]:.1f}")
    for _, text in sorted(found.worst, reverse=True)[:5]:
        print("  " + text)
    # of 60 numbers a seed, many of the same series: beyond 4 errors by chance in one run of 300
    assert max(found.worst)[0] < 4 and rms < 1.6, "the series differs from its definition"


main()
