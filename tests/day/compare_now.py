"""The page's own update beside `cutoff --now` on random partial days, in a browser.
On one day in four the begin of some tasks is not entered, on one only a few tasks are.
Usage: compare_now.py WETRUN DAYS CAMPAIGN [option …]; DAYS: how many, or FIRST:LAST. Prints how far apart they are in units of the Monte Carlo error that the two
state together, and fails where that is more than chance and the page's approximation (day_learn.js) explain. All days of one seed share luck and draws of the
model, and with them an error: so the days are dealt out to SHEETS pages and seeds, and a lean is judged by the spread of their means."""
import json, math, pathlib, subprocess, sys, tempfile
sys.path.insert(0, str(pathlib.Path(__file__).resolve().parents[1] / "browser"))
from browser import Browser, missing

wetrun, campaign, options = sys.argv[1], sys.argv[3], sys.argv[4:]
SHEETS = 8
first, last = (int(n) for n in (sys.argv[2] if ":" in sys.argv[2] else "1:" + sys.argv[2]).split(":"))


def rms(x):
    return math.sqrt(sum(v * v for v in x) / len(x)) if x else float("nan")


def share(x, beyond):
    return sum(abs(v) > beyond for v in x) / len(x) if x else float("nan")


class Found:
    """What the days of all sheets come to."""
    def __init__(self):
        self.over, self.late, self.worst, self.slow = [], [], [], []
        self.finish = {"0.05": [], "0.5": [], "0.8": [], "0.95": []}
        self.lean = {}  # sheet: minutes that the page is later
        self.left = self.reasons = self.silent = 0


def open_page(b, folder, sheet):
    page = pathlib.Path(folder) / f"day-{sheet}.html"
    subprocess.run([wetrun, "daysheet", campaign, *options, "--seed", str(sheet), "--out", str(page), "--quiet"], check=True, capture_output=True)
    b.open(page)
    b.wait("return document.documentElement.dataset.dropped !== undefined")
    b.run((pathlib.Path(__file__).parent / "partial_day.js").read_text() + "\nwindow.partialDay = partialDay;"
          "window.data = JSON.parse(document.getElementById('day-data').textContent); window.model = wetrunDay.model(data.forecast);"
          f"window.luck = wetrunDay.luck(data, model, 8000, 20011 + {sheet}); window.shared = wetrunDay.sharedLuck(data, model, 20013);")


def compare(b, sheet, n, found):
    part = 0.08 + 0.88 * (n * 0.6180339887 % 1)
    page = b.run("return partialDay.answer(wetrunDay, data, model, luck, shared, partialDay.make(wetrunDay, data, model, ...arguments))", n, part, 0 if n % 4 else 5, 0.3 if n % 4 == 2 else 1)
    if "trouble" in page:
        found.left += 1
        return
    found.slow.append(page["milliseconds"])
    at = [w for t in page["ahead"][:: max(1, len(page["ahead"]) // 3)] for w in ("--at", t)] or ["--at", page["rows"][0]["task"]] if page["rows"] else []
    done = subprocess.run([wetrun, "cutoff", campaign, *options, "--seed", str(100 + sheet), "--now", page["report"], *at, "--format", "json", "--quiet"],
                          capture_output=True, text=True)
    if done.returncode:
        found.left += 1
        return
    now = json.loads(done.stdout)
    assert set(page["doubted"]) == set(now["now"].get("doubted", [])), (n, page["doubted"], now["now"].get("doubted"))
    assert page["byRule"] == [now["now"]["dropped_by_rule"], now["now"]["done_or_dropped"]], (n, page["byRule"], now["now"])
    if page["doubted"]:
        found.left += 1
        return
    assert set(page["notBegun"]) == set(now["now"]["taken_as_not_begun"]), (n, page["notBegun"], now["now"]["taken_as_not_begun"])
    found.silent += len(page["notBegun"]) > 0
    for mine, its in zip(page["limits"], now["now"]["limits"]):
        if its["probability_over"] is not None and any(0.01 < p < 0.99 for p in (mine["over"], its["probability_over"])):
            found.over.append((mine["over"] - its["probability_over"]) / math.hypot(mine["error"], its["mc_error"]))
            found.worst.append((round(found.over[-1], 1), n, round(mine["over"], 3), round(its["probability_over"], 3), page["report"][-40:]))
    for key, apart in found.finish.items():
        apart.append(page["finish"][key] - now["now"]["quantiles_min"][key])
    rows = {(r["limit"], r["task"]): r for r in page["rows"]}
    for limit in now["limits"]:
        for row in limit["tasks"]:
            mine = rows.get((limit["limit"], row["task"]))
            if not mine or row["reason"] not in ("found", "never") or mine["reason"] not in ("found", "never"):
                continue
            if row["reason"] != mine["reason"]:
                found.reasons += 1
            elif row["reason"] == "found" and mine.get("error") and row["mc_error_min"]:
                apart = mine["at"] + mine["early"] - row["latest_start_min"] - row["early_min"]  # as estimated, before either is put early
                found.late.append(apart / math.hypot(mine["error"], row["mc_error_min"], 0.1))
                found.lean.setdefault(sheet, []).append(apart)


def report_and_judge(found):
    n, over, late = len(found.slow), found.over, found.late
    assert n > 0, "no day could be compared"
    print(f"page beside cutoff --now, {n} days ({found.left} left out), {pathlib.Path(campaign).name} {' '.join(options)}")
    print(f"  P over a limit: {len(over)} compared, rms of the difference {rms(over):.2f} stated errors, mean {sum(over) / max(1, len(over)):+.2f}, beyond 3: {100 * share(over, 3):.1f} %")
    for key, apart in found.finish.items():
        print(f"  finish, {key}: rms {rms(apart):.2f} min, mean {sum(apart) / n:+.2f}, largest {max(map(abs, apart)):.1f}")
    print(f"  cut-offs: {len(late)} compared, rms {rms(late):.2f} stated errors, mean {sum(late) / max(1, len(late)):+.2f}, beyond 3: {100 * share(late, 3):.1f} %; {found.reasons} found by one and too late to the other")
    print(f"  something is taken as not begun by both on {found.silent} days")
    print(f"  an answer with its cut-offs took {sum(found.slow) / n:.0f} ms in the mean, {max(found.slow)} at most")
    for w in sorted(found.worst, key=lambda w: -abs(w[0]))[:5]:
        print("   ", *w, file=sys.stderr)
    assert rms(over) < 1.6 and sum(abs(v) > 3 for v in over) <= max(2, 0.06 * len(over)), "P: further apart than stated"
    assert rms(found.finish["0.5"]) < 1.5 and rms(found.finish["0.95"]) < 4, "the finish: too far apart"
    # sixteen parts of the draws understate the error of a crossing where few days count
    assert rms(late) < 1.6 and sum(abs(v) > 3 for v in late) <= max(3, 0.06 * len(late)), "cut-offs: further apart than stated"
    means = [sum(v) / len(v) for v in found.lean.values()]
    if len(means) < SHEETS:
        return
    mean = sum(means) / len(means)
    error = math.sqrt(sum((m - mean) ** 2 for m in means) / (len(means) - 1) / len(means))
    print(f"  cut-offs: the page is {abs(mean):.2f} min {'later' if mean > 0 else 'earlier'} in the mean, error {error:.2f} over {len(means)} seeds")
    assert mean < 2.5 * error and mean < 1, "cut-offs: the page leans late"  # 2.5: by chance in one of 100 such runs


def main():
    if missing():
        print(f"page beside cutoff --now: skipped, no {missing()} here")
        return
    found = Found()
    with tempfile.TemporaryDirectory() as folder, Browser() as b:
        for sheet in range(1, SHEETS + 1):
            mine = [n for n in range(first, last + 1) if n % SHEETS == sheet % SHEETS]
            if mine:
                open_page(b, folder, sheet)
            for n in mine:
                compare(b, sheet, n, found)
    report_and_judge(found)


main()
