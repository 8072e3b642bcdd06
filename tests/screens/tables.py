"""Every table of numbers: which numbers of the JSON stand in which column, and how they are shown."""
import math
from rounding import beside, by, change, count, factor, hmm, half_up, interval, of100, percent, same, short, signed, whole, yes

RANGE = lambda lo, hi, show: lambda r: "judged" if r[lo] is None else f"{show(r[lo])} to {show(r[hi])}"
SLACK = lambda r: None if r["latest_start_min"] is None else whole(int(r["latest_start_min"] + 1 / 60000) - half_up(r["typical_start_min"]))

MISSING = lambda r: None if r["missing_min"] is None else change((half_up(10 * r["median_min"]) + half_up(10 * r["pad_min"]) - half_up(10 * r["planned_min"])) / 10)

WAITING = lambda r: Either(" / ".join(hmm(w["minutes"] + hair) for w in r["waiting"]) for hair in (0, -1e-9, 1e-9))


OPEN = lambda r: "none" if r["interval"] is None else interval(*r["interval"], 1 - r["confidence"])
LOG_CHANGE = lambda key: lambda r: None if r[key] is None else signed(100 * math.expm1(r[key])) + " %"


def inside_band(r):
    """Where both clocks show the same, on which side it fell outside."""
    if r["interval80_min"] is None:
        return None
    (lo, hi), at = r["interval80_min"], r["actual_min"]
    if lo <= at <= hi:
        return "yes"
    near, side = (lo, "before") if at < lo else (hi, "after")
    return f"no, just {side}" if hmm(at) == hmm(near) else "no"


def plus_minus(error):
    shown = 100 * error
    return f" \u00b1 {max(shown, 0.1) if shown < 0.05 else shown:.{1 if shown < 0.95 else 0}f}"


def width(r):
    return f"{100 * r['width']:.1f}" + (plus_minus(r["width_error"]) if r["further_runs"] or r["width_error"] else "")


def narrower(r):
    return r["narrower_by"] and f"{percent(r['narrower_by'])} \u00b1 {percent(r['narrower_by_error'])}"


def further(limit):
    """Its rows now and after further rehearsals; of now alone the ends stand beside what is wanted."""
    return [{**r, "bound": None if r["further_runs"] else 1 - limit["confidence"]} for r in limit["further"]]


def clear(key):
    """Of now it is one or the other; of further rehearsals a share, or no: with too few complete ones, whatever they show."""
    def shown(r):
        if r[key] is None:
            return None
        if not r["further_runs"]:
            return "it is" if r[key] else "no"
        share = of100(r[key]) + plus_minus(r[key + "_error"])
        return Either({share, "no"}) if key == "clear_inside" and r[key] == r[key + "_error"] == 0 else share
    return shown


def gain(key):
    return lambda r: f"{change(100 * r[key])} ({change(100 * r[key + '_lo'])} to {change(100 * r[key + '_hi'])})"


class Either(set):
    """Texts of which each would be right: of a number that lies on a half but for its last bit."""


def verdict_said(r):
    """To people an open verdict says what keeps it open, which is not the row's to know."""
    if r["verdict"] != "not enough rehearsals to tell":
        return r["verdict"]
    return Either({r["verdict"]} | {f"cannot be told for a doubt of the {what}" for what in ("files", "forecast")})


# Head of a column -> (key of the JSON row, how it is shown), or a function of the row. None: not looked at here.
TASK = {"id": ("task", str), "task": ("title", str)}
COLUMNS = {
    "limits": {"by the worst answer": ("second_probability_over", of100), "90 %: to": ("second_probability_over_hi", of100),
               "limit": ("limit", str), "lane": None, "allowed": ("minutes", hmm), "go over it, of 100": ("probability_over", of100),
               "90 % interval": OPEN, "wanted at most": lambda r: f"{100 * (1 - r['confidence']):.6g}", "verdict": verdict_said},
    "drivers": {**TASK, "lane": ("crew", str), "median min": ("median_min", short), "sd min": ("sd_min", short),
                "share of variance": ("variance_share", percent), "longest path": ("on_longest_path", percent), "dropped": ("dropped", percent)},
    "times": {**TASK, "done, timed": ("done", count), "stopped": ("stopped", count), "stop- ped": ("stopped", count), "skipped": ("skipped", count),
              "rests on": ("source", str), "median min": ("median_min", short), "90 % interval": RANGE("median_lo_min", "median_hi_min", short),
              "mean min": ("mean_min", short), "sd min": ("sd_min", short), "80 of 100 by": ("p80_min", short),
              "95 of 100 by": ("p95_min", short), "own median": ("own_median_min", short), "moved by factor": ("moved", factor)},
    "pads": {**TASK, "median min": ("median_min", change), "pad min": ("pad_min", change), "factor": ("factor", factor),
             "planned min": ("planned_min", change), "missing min": MISSING,
             "enough, of 100": ("probability_planned_enough", lambda p: beside(p, 0.5)), "waits anyway": ("waits", yes), "clock": lambda r: "over" if r["over_clock"] else ""},
    "checkpoints": {"checkpoint: ready to begin": ("title", str), "median timeline": ("median_timeline_min", hmm), "allow until": ("time_min", hmm),
                    "begin by": lambda r: by(r["latest_start_min"]) if r["latest_start_min"] is not None else "too late" if r["task"] and r["mark"] in ("late", "over") else None, "mark": ("mark", str), "reserve of stretch, min": ("stretch_reserve_shown_min", whole), "tasks at": ("percentile", percent), "kept, of 100": ("probability_kept", of100),
                    "all together": ("together_min", hmm)},
    "cutoffs": {**TASK, "usual start": ("typical_start_min", hmm), "begin by": ("latest_start_min", by), "slack min": SLACK,
                "inside if usual, of 100": ("probability_inside_at_typical", of100), "begin in time, of 100": ("share_in_time", lambda p: Either([of100(p), "all"]) if p == 1 else of100(p)),
                "note": ("note", str)},
    "runs": {"run": ("run", str), "date": ("date", str), "finish": ("finish_min", hmm), "active": ("active_min", hmm),
             "lead-in": ("lead_in_min", hmm), "unassigned": ("gap_min", hmm), "holds": ("hold_min", hmm),
             "off plan": ("off_plan_min", hmm), "waiting, lane by lane": WAITING, "done": ("done", count),
             "stopped": ("stopped", count), "skipped": ("skipped", count), "stop- ped": ("stopped", count), "skip- ped": ("skipped", count),
             "not known": ("unknown", count), "not logged": ("absent", count),
             "length": LOG_CHANGE("length_log"), "pace, alike": LOG_CHANGE("effect_log"), "complete": ("complete", yes)},
    "stood out": {"run": ("run", str), "what stood out": ("title", str), "longer (+) or shorter": lambda r: ("at least " if r["at_least"] else "") + signed(r["difference_min"]) + " min",
                  "times usual for the day": ("ratio", factor), "how far out, in sd": ("sd", factor)},
    "record": {"run": ("run", str), "happened": ("actual_min", hmm), "forecast median": ("predicted_p50_min", hmm),
               "80 %: from": lambda r: r["interval80_min"] and hmm(r["interval80_min"][0]),
               "95 %: from": lambda r: r["interval95_min"] and hmm(r["interval95_min"][0]), "rank": ("rank", percent),
               "score min": ("crps_min", short), "to": lambda r: r["interval80_min"] and hmm(r["interval80_min"][1]),
               "to again": lambda r: r["interval95_min"] and hmm(r["interval95_min"][1]),
               "inside 80 %": inside_band},
    "lanes": {"lane": ("crew", str), "busy": ("busy_min", hmm), "waiting": ("waiting_min", hmm), "half done by": ("finish_p50_min", hmm)},
    "drop rules": {"id": ("task", str), "work that may be dropped": ("title", str), "drop time": ("drop_after_min", hmm),
                   "dropped, of 100": ("dropped", of100), "limit": ("limit", str), "go over it, of 100": ("over_with_rule", of100),
                   "without the rule": ("over_without_rule", of100), "always dropped": ("over_always_dropped", of100),
                   "fewer by the rule, of 100 (90 % interval)": gain("rule_gain"),
                   "fewer if always dropped, of 100 (90 % interval)": gain("always_gain")},
    "further": {"further rehearsals": lambda r: "none (now)" if r["further_runs"] == 0 else count(r["further_runs"]),
                "90 % interval, on average": lambda r: interval(r["interval_lo"], r["interval_hi"], r["bound"]), "its width, of 100": width, "narrower by": narrower,
                "clear inside, of 100": clear("clear_inside"), "clear outside, of 100": clear("clear_outside")},
    "sessions": {"four times on one day": ("title", str), "takes": ("time_min", hmm),
                 "removed": ("variance_removed", percent), "\u00b1": ("variance_removed_error", percent)},
    "criteria": {"evidence": ("evidence", str), "asked": ("asked", str), "found": ("found", str)},
    "alternatives": {"rank": ("rank", count), "alternative": ("alternative", str), "half by": ("median_min", hmm),
                     "earlier, min": lambda r: change(r["base_median_min"] - r["median_min"]),
                     "go over it, of 100": ("probability_over", of100),
                     "fewer, of 100 (90 % interval)": gain("gain")},
    "debriefed": {"task": ("title", str), "took min": ("actual_min", short), "forecast min": ("forecast_min", short),
                  "80 of 100": RANGE("lo_min", "hi_min", short), "what stood out": ("remark", str)},
}

# Table of the page, and (command, heads that tell it) of a terminal's -> columns, and where its rows are in the JSON.
PAGE = {
    "t-limits": ("limits", lambda j: j["forecast"]["limits"]), "t-tasks": ("drivers", lambda j: j["forecast"]["tasks"]),
    "t-times": ("times", lambda j: j["fit"]["tasks"]), "t-pads": ("pads", lambda j: j["pad"]["tasks"]),
    "t-checkpoints": ("checkpoints", lambda j: j["pad"]["checkpoints"]), "t-runs": ("runs", lambda j: j["compare"]["runs"]),
    "t-stood-out": ("stood out", lambda j: j["compare"]["stood_out"]), "t-backtest": ("record", lambda j: j["backtest"]["runs"]),
    "t-lanes": ("lanes", lambda j: j["forecast"]["crews"]), "t-drop": ("drop rules", lambda j: j["forecast"]["drop_rules"]),
    "t-further": ("further", lambda j: further(j["runs-needed"])), "t-sessions": ("sessions", lambda j: j["runs-needed"]["sessions"]),
    "t-criteria": ("criteria", lambda j: j["ready"]["criteria"]),
}
TERMINAL = {
    ("forecast", "wanted at most"): PAGE["t-limits"], ("forecast", "share of variance"): PAGE["t-tasks"],
    ("forecast", "half done by"): PAGE["t-lanes"], ("forecast", "without the rule"): PAGE["t-drop"],
    ("fit", "own median"): PAGE["t-times"], ("pad", "tasks at"): PAGE["t-checkpoints"], ("pad", "missing min"): PAGE["t-pads"],
    ("compare", "pace, alike"): PAGE["t-runs"], ("compare", "what stood out"): PAGE["t-stood-out"],
    ("backtest", "happened"): PAGE["t-backtest"], ("runs-needed", "narrower by"): PAGE["t-further"],
    ("runs-needed", "takes"): PAGE["t-sessions"], ("whatif", "alternative"): ("alternatives", lambda j: j["whatif"]["alternatives"]),
    ("debrief", "what stood out"): ("debriefed", lambda j: [t for t in j["debrief"]["tasks"] if t["remark"]]),
}
BLANK = ("-", "\u2013", "")


def name_of(row):
    return row.get("task") or row.get("run") or row.get("limit") or row.get("crew") or ""


def cell_is(shown, row, column):
    """None where it is right, else what it should be."""
    if column is None:
        return None
    if callable(column):
        want = column(row)
        if isinstance(want, Either):
            cut = shown[:-1] if shown.endswith("\u2026") else None
            return None if shown in want or (cut and any(w.startswith(cut) for w in want)) else sorted(want)
        right = (shown in BLANK and want is None) or shown == want or (want and shown.endswith("\u2026") and want.startswith(shown[:-1]))
        return None if right else want
    key, show = column
    value = row.get(key)
    if value is None or value == "":
        return None if shown in BLANK else "nothing"
    if show is str:
        cut = shown[:-1] if shown.endswith("\u2026") else None
        return None if shown == value or (cut is not None and value.startswith(cut)) else value
    return None if same(shown, value, show) else show(value)


def check_table(where, head, rows, columns, wanted):
    """Cells against the JSON's rows, in their order; a column that is not declared is a fault as well."""
    faults = []
    head = [h + " again" if h in head[:i] else h for i, h in enumerate(head)]
    unknown = [h for h in head if h not in COLUMNS[columns]]
    if unknown:
        faults.append(f"{where}: columns that no definition covers: {unknown}")
    rows = [r for r in rows if not r[0].startswith("(") and not (r[0] == "" and len(r) > 1 and r[1].startswith("("))]
    for shown, row in zip(rows, wanted):
        for h, cell in zip(head, shown):
            want = cell_is(cell, row, COLUMNS[columns].get(h))
            if want is not None:
                faults.append(f"{where}, {name_of(row)}, '{h}': shows '{cell}', the JSON has '{want}'")
    if rows and not wanted:
        faults.append(f"{where}: {len(rows)} rows of which the JSON has none")
    return faults
