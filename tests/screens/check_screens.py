"""No two screens disagree. For the demonstration and six made campaigns: every number in every sentence and table of the report's page and
of each command is held against the JSON and against what it is defined as; P falls with the limit, moments to begin by rise with it, pads
and shares add up, and nothing is called a finding whose interval allows the contrary.
Usage: check_screens.py WETRUN FOLDER [NAME …]; names of made campaigns, or petrel-7. The report and its page need a browser."""
import csv, io, json, pathlib, re, sys
from made_campaigns import MADE
from meanings import check_meanings
from rounding import by, change, half_up, hmm, of100, of100_words, percent, same
from screens import COMMANDS, Refused, Screens, ask, prose_and_rows
from sentences import check_sentences, reads_as_some
from tables import COLUMNS, PAGE, TERMINAL, check_table, further

HERE = pathlib.Path(__file__).resolve()
sys.path.insert(0, str(HERE.parents[1] / "browser"))
from browser import Browser

# Of the whole study in the report, of what the command needs when it is asked alone.
APART = ("command", "seed", "inputs", "options", "caution", "forecast_of", "line_ups", "sampler", "findings", "doubt", "may_be_firm", "kept_open_by", "candidates", "no_candidate", "candidates_are", "second_answers", "excursion_answer", "history_unused")


def differences(a, b, path=""):
    """Where two JSON values differ."""
    if isinstance(a, dict) and isinstance(b, dict):
        keys = [k for k in set(a) | set(b) if k not in APART]
        return [d for k in sorted(keys) for d in (differences(a.get(k), b.get(k), f"{path}.{k}"))]
    if isinstance(a, list) and isinstance(b, list) and len(a) == len(b):
        return [d for i, (x, y) in enumerate(zip(a, b)) for d in differences(x, y, f"{path}[{i}]")]
    return [] if a == b else [f"{path}: {str(a)[:60]} and {str(b)[:60]}"]


def check_formats(name, s):
    """A command's JSON is the report's; its CSV has the numbers of its JSON."""
    faults = []
    for command, own in s.json.items():
        if command in s.report and not (s.trials and command in OTHER_TRIALS):
            faults += [f"{name}, {command}: report.json and the command differ: {d}" for d in differences(own, s.report[command])[:3]]
        rows = csv_rows(command, own)
        if rows is None:
            faults.append(f"{name}, {command}: csv_rows does not say which rows of its JSON those of its CSV are")
        for row, of in zip(s.csv[command], rows or []):
            for key, text in row.items():
                if key in of and not same_cell(text, of[key]):
                    faults.append(f"{name}, {command}: CSV has {key} '{text}', JSON {of[key]}")
        if rows is not None and len(rows) != len(s.csv[command]):
            faults.append(f"{name}, {command}: CSV has {len(s.csv[command])} rows, JSON {len(rows)}")
    return faults


def csv_rows(command, j):
    if command == "cutoff":
        return [t for l in j["limits"] for t in l["tasks"]]
    if command == "whatif" and j["base"]["limits"]:
        ends = [j["base"]["interval"] or (None, None)] + [(None, None)] * len(j["base"]["limits"])  # of the first limit alone
        return [{**a, **a["limits"][i], "gain_lo": a["limits"][i]["gain_interval"][0], "gain_hi": a["limits"][i]["gain_interval"][1],
                 "gain_lo_se": a["limits"][i]["gain_interval_mc_error"][0], "gain_hi_se": a["limits"][i]["gain_interval_mc_error"][1],
                 "gain_se": a["limits"][i]["mc_error"], "base_probability_over": base["probability_over"],
                 "base_probability_over_lo": ends[i][0], "base_probability_over_hi": ends[i][1]}
                for i, base in enumerate(j["base"]["limits"]) for a in j["alternatives"]]
    if command == "runs-needed":
        return [r for l in (j, *j["other_limits"]) for r in l["further"]]
    key = {"check": "findings", "compare": "runs", "backtest": "runs", "ready": "criteria", "whatif": "alternatives"}
    return j.get(key.get(command, "tasks"))


def same_cell(text, value):
    if value is None:
        return text == ""
    if isinstance(value, bool):
        return text == ("yes" if value else "no")
    if isinstance(value, (int, float)):
        return float(text) == float(value)
    return not isinstance(value, str) or text == value


# ---- what a search found ----

FOUND = (r"{rank}\. {name} All done by (\S+), as likely as not, ([\d.]+) min (earlier|later)\.(.*?) Costs (\d+) changes?"
         r"(?: and ([\d.]+) min of work not done)?\.")


def check_search(name, s):
    """Each change that is shown, with its numbers; nothing is called a gain that does not read as one."""
    if not s.search:
        return []
    faults, text, j = [], " ".join(s.search[0].split()), json.loads(s.search[1])
    for a in j["alternatives"]:
        m = re.search(FOUND.format(rank=a["rank"], name=re.escape(" ".join(a["alternative"].split()))), text)
        if not m:
            faults.append(f"{name}, search: rank {a['rank']}, {a['alternative']}, is not shown")
            continue
        saved = a["base_median_min"] - a["median_min"]
        want = [hmm(a["median_min"]), change(abs(saved)), "later" if saved < 0 else "earlier"]
        over = []
        for i, limit in enumerate(a["limits"]):
            sign = -1 if limit["gain"] < 0 else 1
            ends = sorted(100 * sign * x for x in limit["gain_interval"])
            gain = f"{'more' if sign < 0 else 'fewer'} by {change(100 * sign * limit['gain'])} ({change(ends[0])} to {change(ends[1])})"
            if abs(limit["gain"]) < 0.0005 and ends[1] - ends[0] < 0.1:
                gain = "as many as now"
            over.append(f"Over '{limit['limit']}': {of100_words(limit['probability_over'])} of 100, {gain}{not_helping(limit) if i == 0 else ''}.")
        if not j["base"]["limits"] or [m.group(i) for i in (1, 2, 3)] != want or m.group(4).split() != " ".join(over).split():
            faults.append(f"{name}, search, {a['alternative']}: '{m.group(0)}', where it is {want} {over}")
        if int(m.group(5)) != a["changes"] or (m.group(6) or "0.0") != change(a["left_out_min"]):
            faults.append(f"{name}, search, {a['alternative']}: costs {m.group(5)}, {m.group(6)}, where it is {a['changes']}, {a['left_out_min']}")
    return faults


def not_helping(limit):
    certain = abs(limit["gain"]) > 2 * limit["mc_error"]
    if certain and reads_as_some(limit["gain_interval"][0] - 2 * limit["gain_interval_mc_error"][0]):
        return ""
    return ", shown to make it worse" if certain and reads_as_some(-limit["gain_interval"][1] - 2 * limit["gain_interval_mc_error"][1]) else ", not shown to lower the risk"


# ---- words ----

# --trials means futures there, so that with days of its own the report and the command are two runs of it.
OTHER_TRIALS = ("runs-needed",)


class Names:
    """Names of the campaign's things become single words without digits."""

    def __init__(self, s):
        self.map, r = {}, s.report
        for t in r["forecast"]["tasks"]:
            self.add(t["title"]), self.add(t["task"])
        for v in ([x["run"] for x in r["check"]["runs"]] + [x["limit"] for x in r["forecast"]["limits"]] + r["check"]["lanes"]
                  + r["check"]["people"] + [r["forecast"]["campaign"]] + [i["file"] for i in r["forecast"]["inputs"]]
                  + [a["alternative"] for a in s.json.get("whatif", {}).get("alternatives", [])]):
            self.add(v)
        self.pattern = re.compile("|".join(rf"(?<![\w-]){re.escape(n)}(?![\w-])" for n in sorted(self.map, key=len, reverse=True)))

    def add(self, name):
        if name:
            self.map[name] = "\u00ab" + "".join(chr(97 + int(c)) for c in str(len(self.map))) + "\u00bb"

    def mask(self, text):
        return self.pattern.sub(lambda m: self.map[m.group(0)], text)


def check_words(name, s):
    names, faults = Names(s), []
    criteria = sorted({names.mask(c[k]) for c in s.report.get("ready", {}).get("criteria", []) for k in ("asked", "found")}, key=len, reverse=True)
    everything = {**s.report, "whatif": s.json.get("whatif", {}), "debrief": s.json.get("debrief", {})}
    for kind, text in s.blocks:
        text = names.mask(text)
        faults += check_sentences(f"{name}, page, {kind}", mark_share(text, s) if kind == "li" else text, everything, criteria if kind == "li" else [])
    everything.update({c: s.json[c] for c in OTHER_TRIALS if c in s.json})
    for command, text in s.text.items():
        paragraphs, tables = prose_and_rows(text)
        for p in paragraphs:
            faults += check_sentences(f"{name}, {command}", names.mask(p), everything, criteria if command == "ready" else [])
        faults += check_terminal(f"{name}, {command}", command, tables, everything, s)
    return faults


def mark_share(text, s):
    """The carriers of the first screen: a share followed by as many marks."""
    m = re.fullmatch(r"(.*?)(<?[\d.]+) %([\u25cf\u25a1]*)", text)
    if not m:
        return text
    f = s.report["forecast"]
    shares = [t["variance_share"] for t in f["tasks"]] + [f[k] for k in ("run_effect_share", "people_share", "parameter_share", "interaction_share")]
    near = [x for x in shares if m.group(2) == ("<0.1" if x < 0.0005 else f"{100 * x:.1f}" if 100 * x < 9.95 else f"{half_up(100 * x)}")]
    assert near and any(abs(len(m.group(3)) - 100 * x) <= 1 for x in near), f"marks and share differ: {text}"
    return m.group(1)


# Rows of no single task, below the strongest ones.
SHARED = {"(slow or fast day, all tasks)": "run_effect_share", "(who does it)": "people_share", "(what is not yet known)": "parameter_share",
          "(several of these together)": "interaction_share"}


def check_shared_rows(where, rows, f):
    faults, named = [], [r for r in rows if r[0] and not r[0].startswith("(")]
    rest = sum(sorted((t["variance_share"] for t in f["tasks"]), reverse=True)[len(named):])
    for text, shown in (r for r in rows if r[0].startswith("(")):
        share = rest if text.startswith("(the other ") else f[SHARED[text]]
        if not same(shown, share, percent):
            faults.append(f"{where}: {text} {shown}, where it is {share}")
    return faults


def check_terminal(where, command, tables, everything, s):
    faults, seen = [], 0
    for edges, head, rows in tables:
        padded = [h.ljust(edges[-1][1] + 40) for h in head]
        heads = []
        for i, (a, b) in enumerate(edges):
            left = edges[i - 1][1] if i else 0
            heads.append(" ".join(" ".join(h[left:b].split()) for h in padded).strip())
        for (of, tell), what in TERMINAL.items():
            if of == command and tell in heads:
                columns, wanted = what
                of = wanted(everything)
                if columns == "drivers":
                    faults += check_shared_rows(where, rows, everything["forecast"])
                if command == "backtest":  # the second is of forecasts from the rehearsals before it only
                    of, seen = (everything["backtest"]["predecessors_only"]["runs"] if seen else of), seen + 1
                if columns == "further":  # one table for each limit
                    of, seen = (further(everything[command]["other_limits"][seen - 1]) if seen else of), seen + 1
                faults += check_table(where, heads, rows, columns, of)
                break
    return faults


def check_page_tables(name, s):
    faults = []
    for table, shown in s.tables.items():
        if table in PAGE:
            columns, wanted = PAGE[table]
            faults += check_table(f"{name}, page, {table}", shown["head"], shown["rows"], columns, wanted(s.report))
        elif re.fullmatch(r"t-further-\d+", table):
            of = further(s.report["runs-needed"]["other_limits"][int(table[10:]) - 2])
            faults += check_table(f"{name}, page, {table}", shown["head"], shown["rows"], "further", of)
        elif re.fullmatch(r"t-cutoff-\d+", table):
            limit = s.report["cutoff"]["limits"][int(table[9:]) - 1]
            rows = [t for t in limit["tasks"] if t["reason"] != "not-before-limit"]
            faults += check_table(f"{name}, page, {table}", shown["head"], shown["rows"], "cutoffs", rows)
    return faults


def binding(rows):
    """Of a task's rows for the limits on elapsed time: what the card says it must be begun by, and what sets that."""
    never = [r for r in rows if r["reason"] == "never" or (r["reason"] == "found" and r["latest_start_min"] < 0)]
    if never:
        late = [r for r in never if r["typical_start_min"] > 0]
        strict = [r for r in late if r["reason"] == "found" or r["second_from_min"] is None]
        if strict:
            return "too late", strict[0]["limit"]
        return ("only later", late[0]["limit"]) if late else ("too late", never[0]["limit"])  # even begun on time
    if any(r["reason"] == "start" for r in rows):
        return "the start", "\u2013"
    if any(r["reason"] == "too-few" for r in rows):
        return "cannot tell", "\u2013"
    found = sorted((r for r in rows if r["reason"] == "found"), key=lambda r: r["latest_start_min"])
    if not found:
        return "no matter", "\u2013"
    return by(found[0]["latest_start_min"]), "its drop time" if "later it is dropped" in found[0]["note"] else found[0]["limit"]


def check_marks_of_the_card(name, table, row, at, rows):
    """A disc for each full ten of the share that begins in time, as it is shown; beyond the range is said, and of no other."""
    faults, found = [], sorted((r for r in rows if r["reason"] == "found"), key=lambda r: r["latest_start_min"])
    marks = row[at["of ten starts"]]
    if row[at["begin by"]][:1].isdigit():
        if marks.count("\u25cf") != half_up(100 * found[0]["share_in_time"]) // 10 or len(marks) != 10:
            faults.append(f"{name}, {table}, {row[0]}: {marks} for a share of {found[0]['share_in_time']}")
        for words in ("at least until then", "not known to better than", "too late"):
            note = re.sub(r"too late for \u201c[^\u201d]*\u201d, whose clock stands below", "", row[at["note"]])
            if (words in note) != (words in found[0]["note"]):
                faults.append(f"{name}, {table}, {row[0]}: {row[at['note']]}, where the note is {found[0]['note']}")
    drop = rows[0]["drop_after_min"]
    if ("the plan drops it after" in row[at["note"]]) != (drop is not None) or (drop is not None and hmm(drop) not in row[at["note"]]):
        faults.append(f"{name}, {table}, {row[0]}: {row[at['note']]}, where the drop time is {drop}")
    later = drop is not None and row[at["begin by"]][:1].isdigit() and row[at["set by"]] != "its drop time"
    late = drop is not None and row[at["begin by"]] in ("too late", "only later")  # of it as well it is said whether to leave it out
    if not late and ("later, leave it out for the limit" in row[at["note"]] or "leaving it out sooner is not shown to help the limit" in row[at["note"]]) != later:
        faults.append(f"{name}, {table}, {row[0]}: {row[at['note']]}, begin by {row[at['begin by']]}, dropped after {drop}")
    return faults


def check_console_card(name, s):
    """Bold is the earliest over the limits on elapsed time; a clock's card is of its limit alone."""
    faults, limits = [], s.report.get("cutoff", {}).get("limits", [])
    for table, shown in s.tables.items():
        clock = re.fullmatch(r"t-clock-(\d+)", table)
        if table != "t-card" and not clock:
            continue
        of = [limits[int(clock.group(1)) - 1]] if clock else [l for l in limits if not l["is_clock"]]
        at = {h: i for i, h in enumerate(shown["head"])}
        for row in shown["rows"]:
            rows = [t for l in of for t in l["tasks"] if t["title"] == row[at["task"]] and t["task"] == row[0]]
            want, set_by = binding(rows)
            faults += check_marks_of_the_card(name, table, row, at, rows)
            if row[at["begin by"]] != want or not row[at["set by"]].startswith(set_by):
                faults.append(f"{name}, {table}, {row[0]}: begin by {row[at['begin by']]}, set by {row[at['set by']]}, where it is {want}, {set_by}")
    return faults


# ---- what must add up, rise and fall ----

def check_sums(name, s):
    r, faults = s.report, []
    f, p = r["forecast"], r.get("pad")
    shares = sum(t["variance_share"] for t in f["tasks"]) + sum(f[k] for k in ("run_effect_share", "people_share", "parameter_share", "interaction_share"))
    if abs(shares - 1) > 1e-6:
        faults.append(f"{name}: shares of variance add up to {shares}")
    if p and "t-checkpoints" in s.tables:
        rows, head = s.tables["t-checkpoints"]["rows"], s.tables["t-checkpoints"]["head"]
        minutes = lambda t: sum(int(x) * y for x, y in zip(t.split(":"), (60, 1)))
        last = rows[-1]
        reserve = minutes(last[head.index("allow until")]) - minutes(last[head.index("median timeline")])
        total = sum(int(row[head.index("reserve of stretch, min")].replace("\u2212", "-")) for row in rows)
        if len(r["check"]["lanes"]) == 2 and total != reserve:
            faults.append(f"{name}: the stretches add up to {total} min, the reserve is {reserve}")
        for c in p["checkpoints"]:  # of four times, each half a minute off at most
            if abs(c["stretch_reserve_shown_min"] - c["stretch_reserve_min"]) >= 2:
                faults.append(f"{name}: the stretch to {c['title']} has a reserve of {c['stretch_reserve_shown_min']} min as shown, {c['stretch_reserve_min']} unrounded")
        for t in p["tasks"]:
            if t["missing_min"] is not None and abs(t["median_min"] + t["pad_min"] - t["planned_min"] - t["missing_min"]) > 1e-6:
                faults.append(f"{name}, {t['task']}: median, pad and what is missing do not add up")
    return faults


DOUBT = re.compile(r"Doubtful, for it rests on this: .*? about (\d+) of 100 would go over (\d+:\d\d)\. ")


def leading_count(say):
    say = DOUBT.sub("", say, count=1)
    m = re.match(r"(?:Fewer than |More than )?(\d+) of 100", say)
    return (0 if say.startswith("Fewer") else 100 if say.startswith("More") else int(m.group(1)))


def check_monotone(name, s):
    faults, f = [], s.report["forecast"]
    for what, values in (("quantiles", [f["finish"]["quantiles_min"][k] for k in f["finish"]["quantiles_min"]]),
                         ("probabilities along the limit", [-c["probability_over"] for c in f["limit_curve"]])):
        if values != sorted(values):
            faults.append(f"{name}: {what} are out of order")
    t = s.tried
    if not t:
        return faults
    for wish, says in zip(t["wish"], t["say"]):
        counts = [leading_count(x) for x in says]
        if counts != sorted(counts, reverse=True):
            faults.append(f"{name}: wanted {wish}, of 100 over the limit {counts}: more for a longer limit")
        doubts = [(DOUBT.match(say), limit, count) for say, limit, count in zip(says, t["limit"], counts)]
        longer = [(int(m[1]), m[2], limit, count) for m, limit, count in doubts if m]
        allowed = 100 - float(wish.split()[0])
        if any(at != limit or not count <= n or n < int(allowed) or count > half_up(allowed) for n, at, limit, count in longer):
            faults.append(f"{name}: wanted {wish}, in doubt for tasks that get longer: {longer}")
        if [n for n, *_ in longer] != sorted((n for n, *_ in longer), reverse=True):
            faults.append(f"{name}: wanted {wish}, with tasks that get longer more go over a longer limit: {longer}")
    given = t["say"][t["given"][1]][t["given"][0]]
    if leading_count(given) != min(100, half_up(100 * f["limits"][0]["probability_over"])):
        faults.append(f"{name}: the page's slider says '{given[:40]}' of the limit as it is")
    return faults + check_cards(name, t) + check_said_of_cards(name, s) + check_said_on_clocks(name, s)


def moment(text):
    """Minutes to begin by; too late is before any of them."""
    if text in ("too late", "only later"):
        return -1
    m = re.fullmatch(r"(\d+):(\d\d)", text)
    return 60 * int(m.group(1)) + int(m.group(2)) if m else None


def check_cards(name, t):
    faults, n = [], len(t["wish"])
    for i, card in enumerate(t.get("card", [])):
        for later, what in ((i + n, "a longer limit"), (i - 1 if i % n else None, "less confidence")):
            if later is None or later >= len(t["card"]):
                continue
            for task, cells in card.items():
                a, b = moment(cells[0]), moment(t["card"][later][task][0])
                if a is not None and b is not None and b < a:
                    faults.append(f"{name}, task {task}: begin by {cells[0]}, and {t['card'][later][task][0]} for {what}")
    return faults


def check_said_of_cards(name, s):
    """A card that is tried names its own limit and what is wanted of it, and of the others what is wanted of them as given."""
    faults, t, limits = [], s.tried, s.report.get("cutoff", {}).get("limits", [])
    words = [f"{l['limit']}, {hmm(l['minutes'])}, wanted inside in {of100_words(l['confidence'])} of 100" for l in limits]
    for i, about in enumerate(t.get("about", [])):
        at, wish = t["at"][i // len(t["wish"])], t["wish"][i % len(t["wish"])]
        mine = f"{limits[0]['limit']}, {t['limit'][at]}, wanted inside in {wish.split()[0]} of 100"
        elapsed = [mine] + [w for l, w in zip(limits[1:], words[1:]) if not l["is_clock"]]
        if about[4] != "Begin by, elapsed time: for " + "; ".join(elapsed) or about[7] != mine or not about[5].startswith(mine + ": "):
            faults.append(f"{name}, tried {t['limit'][at]} and {wish}: the card is said to be '{about[4]}', '{about[5]}', '{about[7]}'")
        over = about[6] and re.search(r"([\d.]+) over " + re.escape(limits[0]["limit"]) + r"[,.;]", about[6])
        if over and abs(float(over.group(1)) - (100 - float(wish.split()[0]))) > 1e-6:
            faults.append(f"{name}, tried {t['limit'][at]} and {wish}: {about[6]}")
    if "about" in t and [w for w in words[1:] if w not in t["kept"]]:
        faults.append(f"{name}: what is tried leaves {words[1:]}, and says '{t['kept']}'")
    return faults


ELAPSED = re.compile(r"(?:sooner|only later|too late) for \u201c(.*?)\u201d, (\d+:\d\d)(?:, if this clock begins as usual: by (\d+:\d\d) elapsed)?")


def check_said_on_clocks(name, s):
    """Behind the times of a clock stands the limit on elapsed time that the card tried has for the same work, where that asks for it sooner on a
    day on which the clock begins as usual, and no other."""
    faults, t, r = [], s.tried, s.report
    for i, clocks in enumerate(t.get("clock", [])):
        for clock, notes in clocks.items():
            limit, begins = r["cutoff"]["limits"][int(clock) - 1], r["forecast"]["limits"][int(clock) - 1]["from"]
            usual = next(row["typical_start_min"] for row in r["cutoff"]["limits"][0]["tasks"] if row["task"] == begins)
            for k, note in notes.items():
                task, (begin, set_by, *_, of_card, _) = r["check"]["tasks"][int(k)], t["card"][i][k]
                m, at, own = ELAPSED.search(note), moment(begin), next(row for row in limit["tasks"] if row["task"] == task)
                where = f"{name}, tried {t['limit'][t['at'][i // len(t['wish'])]]} and {t['wish'][i % len(t['wish'])]}, clock {clock}, {task}"
                if m and (f"{m[1]}, {m[2]}" != set_by or (m[3] or begin) != begin):
                    faults.append(f"{where}: '{m[0]}', where the card has {begin} for {set_by}")
                if own["reason"] != "found" or at is None or set_by == "its drop time" or "at least until then" in of_card:
                    continue
                gap = usual + own["latest_start_min"] - at  # of two moments as shown
                if (gap > 2 and not m) or (gap < 0 and m):
                    faults.append(f"{where}: '{note}', where the card has {begin} and the clock usually {hmm(usual + own['latest_start_min'])}")
    return faults


def check_findings(name, s):
    """A verdict, a trend and a task told apart say no more than their intervals."""
    r, faults = s.report, []
    complete = next((c["value"] for c in r.get("ready", {}).get("criteria", []) if c["criterion"] == "complete-runs"), 4)
    for limit in r["forecast"]["limits"]:
        if limit["confidence"] is None:
            continue
        lo, hi = limit["interval"]
        allowed, verdict = 1 - limit["confidence"], limit["verdict"]
        if verdict == "inside" and complete < 4:
            faults.append(f"{name}, {limit['limit']}: 'inside' on {complete} complete rehearsals, fewer than the criterion takes")
        lo_error, hi_error = limit.get("interval_mc_error") or (0, 0)
        if (verdict == "inside" and hi + 1.6 * hi_error > allowed + 1e-9) or (verdict == "not inside" and lo - 1.6 * lo_error <= allowed):
            faults.append(f"{name}, {limit['limit']}: '{verdict}', and its interval is {lo} to {hi}")
    for t in r.get("fit", {}).get("tasks", []):
        if t["source"] != "judgement" and not t["median_lo_min"] <= t["median_min"] <= t["median_hi_min"]:
            faults.append(f"{name}, {t['task']}: a median of {t['median_min']} outside its interval")
        if t["source"] == "rehearsals" and t["done"] + t["stopped"] == 0:
            faults.append(f"{name}, {t['task']}: said to rest on rehearsals that never timed it")
    for t in r.get("compare", {}).get("task_trends", []):
        if t["told"] and t["per_doubling_lo"] <= 0 <= t["per_doubling_hi"]:
            faults.append(f"{name}, {t['task']}: a trend is named that its own interval allows to be none")
    for limit in r.get("cutoff", {}).get("limits", []):
        for t in limit["tasks"]:
            late = t["reason"] == "found" and t["latest_start_min"] >= t["typical_start_min"]
            if late and t["probability_inside_at_typical"] is not None and t["probability_inside_at_typical"] < limit["confidence"] - 1e-9:
                faults.append(f"{name}, {t['task']}: may begin as usual, and then keeps the limit with {t['probability_inside_at_typical']}")
    return faults


def ask_all(wetrun, name, folder, work):
    """The demonstration as it is, a made campaign with fewer days, which is all the same to what is compared."""
    made = next((c for c in MADE if c.name == name), None)
    if made:
        folder = work / name.replace(" ", "-")
        made.write(folder)
        change = ["--scale", f"{made.task[0]['id']}=0.8", "--drop", made.task[0]["id"]]
        last, trials = f"R{made.n_run}", made.trials
        on = ["--on", made.on] if made.on else []
    else:
        change, last, trials = ["--scale", "SHADE=0.8", "--drop", "STAGE-REEL"], "P7-9", None
        on = []
    options = {**COMMANDS, "whatif": change, "debrief": [last]}
    options = {c: [*more, *(on if c not in ("check", "compare") else [])] for c, more in options.items()}
    s = Screens(wetrun, folder, work / f"{name.replace(' ', '-')}-report", trials, options, on)
    try:
        s.search = [ask(wetrun, "whatif", ["--search", *on], folder, trials, form) for form in ("table", "json")]
    except Refused:
        s.search = None
    return s


def main():
    wetrun, work = sys.argv[1], pathlib.Path(sys.argv[2]).resolve() / "screens"
    names = sys.argv[3:] or [c.name for c in MADE] + ["petrel-7"]
    faults, n = [], 0
    with Browser() as b:
        b.size(1280, 900)
        for name in names:
            s = ask_all(wetrun, name, HERE.parents[2] / "datasets" / name, work)
            s.read_page(b)
            n += len(s.blocks) + len(s.tables)
            faults += [f"{name}: {f}" for f in check_meanings(s.page_file)]
            for check in (check_formats, check_search, check_words, check_page_tables, check_console_card, check_sums, check_monotone, check_findings):
                faults += check(name, s)
    for f in faults:
        print(f"screens: {f}")
    if faults:
        sys.exit(f"screens: {len(faults)} disagreements")
    print(f"screens: {len(names)} campaigns, {n} blocks of text and tables: no number disagrees with another, or with what it is")


if __name__ == "__main__":
    main()
