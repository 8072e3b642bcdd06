"""Every number in every sentence, with what it is: a pattern for each thing that is said, and the check of its numbers against the JSON.
Names of tasks, runs, limits, lanes, people and files stand as one word in guillemets. A number that no pattern takes is a fault: a
sentence was written that this table does not know."""
import math
import re
from rounding import by, change, factor, half_up, hmm, number_word, of100, of100_words, percent, same, short, signed, whole

N = r"(fewer than 1|more than 99|\d+)"
H = r"(\u2212?\d+:\d\d)"
NAME = "\u00ab[^\u00bb]*\u00bb"
END = r"((?:just (?:over|under) )?[<>]?[\d.]+)"
BETWEEN = r"\d+:\d\d to \d+:\d\d"
CHANGE = r"([+\u2212]?[\d.]+)"
P = r"([\u2212]?<?[\d.]+ %)"
MIN = r"([\u2212]?[\d.]+) min"
BY_RULES = r"(?: by the plan and its drop rules)?"
WORD = r"(no|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|\d+)"


def allowed(confidence):
    return f"{100 * (1 - confidence):.6g}"


def end_is(shown, value):
    """An end of an interval: as a count, or, beside what is wanted, with as many decimals as it takes."""
    if shown.startswith(("just", "<", ">")) or "." not in shown:
        return shown == of100(value) or shown.startswith("just")
    return abs(float(shown) - 100 * value) <= 0.5 * 10 ** -len(shown.split(".")[1]) + 1e-9


def eq(shown, value, show):
    return same(shown, value, show) or f"'{shown}' where it is {show(value)}"


def ends(m, i, interval):
    lo, hi = (m.group(i) or "").strip(), (m.group(i + 1) or "").strip()
    ok = end_is(lo, interval[0]) and (not hi or end_is(hi, interval[1]))
    return ok or f"'{lo} to {hi}' where it is {100 * interval[0]:.2f} to {100 * interval[1]:.2f}"


def all_of(*answers):
    wrong = [a for a in answers if a is not True]
    return True if not wrong else "; ".join(str(a) for a in wrong)


def holds(condition, why):
    return True if condition else why


def over(m, s, limit=0, group=1):
    return eq(m.group(group), s["forecast"]["limits"][limit]["probability_over"], of100_words)


def could_be(m, s):
    """"it could be fewer than 1 or as many as 17": of the first limit. An end that reads as the number itself is left out."""
    f = s["forecast"]["limits"][0]
    (lo, hi), mean, text = f["interval"], of100(f["probability_over"]), m.group(0)
    small = re.search(r"as few as ([\d.]+)", text)
    big = re.search(r"as many as ([\d.]+)", text)
    return all_of(end_is(small.group(1), lo) if small else of100(lo) in ({"<1"} if "fewer than 1" in text else {mean}) or f"'{text}' where it is {lo}",
                  end_is(big.group(1), hi) if big else of100(hi) in ({">99"} if "more than 99" in text else {mean}) or f"'{text}' where it is {hi}")


def limit_is(m, s, group):
    return eq(m.group(group), s["forecast"]["limits"][0]["minutes"], hmm)


def needed(s):
    """Finish at the wanted confidence, where it is one of the quantiles that are given."""
    f, c = s["forecast"], s["forecast"]["confidence"]
    key = f"{c:g}"
    if key not in f["finish"]["quantiles_min"]:
        return None
    return f["finish"]["quantiles_min"][key], f["finish"]["quantiles_interval_min"][key]


def finishes_by(m, s):
    """Of the forecast, and of the worse answer whose 95 of 100 come latest, named by what it assumes."""
    mine, worse = s["forecast"]["finish"]["quantiles_min"], [b for b in s["forecast"]["beside"][1:] if b["assumption"] != "nothing forgotten"]
    last = max(worse, key=lambda b: b["finish_p95_min"], default=None)
    assumed = last and m.group(4) and (last["assumption"] in m.group(4) or (last["assumption"] == "both together") == ("gap and judged" in m.group(4)))
    return all_of(*[eq(m.group(i + 1), mine[k], hmm) for i, k in enumerate(("0.5", "0.8", "0.95"))], holds((m.group(4) is None) == (last is None), "a worse answer, or none"),
                  True if last is None or not m.group(4) else all_of(holds(assumed, f"it is {last['assumption']}"),
                      *[eq(m.group(5 + i), last[f"finish_p{k}_min"], hmm) for i, k in enumerate((50, 80, 95))]))


def any_second(m, s):
    f = s["forecast"]
    return all_of(eq(m.group(1), f["any_limit_over"], of100_words), holds(m.group(2) == number_word(len(f["limits"])), "how many"),
                  True if m.group(3) is None else ends(m, 3, f["any_limit_over_interval"]), eq(m.group(5), f["second_any_limit_over"], of100_words),
                  holds(m.group(8) is None or end_is(m.group(8), f["second_any_limit_over_hi"]), f"to {f['second_any_limit_over_hi']}"))


def takes(m, s):
    need = needed(s)
    if need is None:
        return True
    gap = half_up(need[0]) - half_up(s["forecast"]["limit_min"])
    right = {"more than there is": gap > 0, "less than there is": gap < 0, None: gap == 0}[m.group(6)]
    ends = [half_up(x) - half_up(s["forecast"]["limit_min"]) for x in need[1]]
    between = m.group(7) is None or sorted([int(m.group(7)), int(m.group(9))]) == sorted(abs(x) for x in ends)
    return all_of(holds(between, "the gap's interval"), holds(m.group(8) is None or ends[0] < 0 < ends[1], "less or more"),
                  eq(m.group(1), s["forecast"]["confidence"], percent), eq(m.group(2), need[0], hmm), eq(m.group(3), need[1][0], hmm),
                  eq(m.group(4), need[1][1], hmm), holds(m.group(5) is None or int(m.group(5)) == abs(gap), "the gap"), holds(right, "more or less"))


def takes_there(m, s):
    e = s["forecast"]["excursion_answer"]
    gap, ends = half_up(e["limit_needed_min"]) - half_up(s["forecast"]["limit_min"]), e["limit_needed_interval_min"] or (None, None)
    right = {"more": gap > 0, "less": gap < 0, None: gap == 0}[m.group(5)]
    return all_of(eq(m.group(1), e["limit_needed_min"], hmm), m.group(2) is None or eq(m.group(2), ends[0], hmm), m.group(3) is None or eq(m.group(3), ends[1], hmm),
                  holds(m.group(4) is None or int(m.group(4)) == abs(gap), "the gap"), holds(right, "more or less"))


def rehearsed(m, s):
    r, dropped = s["forecast"]["rehearsed"], any(f["code"] == "work-dropped" for f in s["check"]["findings"])
    ruled = re.search(rf"with work done that the plan drops on such a day; by its drop rules it was (over|within) {H} \({H}\)"
                      rf"|(\w+) of the (\w+) did work that the plan drops on such a day, and had the drop rules been kept, (\w+) of the (\w+) would have been over {H} \({H} to {H}\)", m.group(0))
    count = lambda n: number_word(n) if n else "none"
    return all_of(holds(r["complete"] == 0 or ("by the plan and its drop rules" in m.group(0)) == dropped, "whether work was dropped"),
                  holds((ruled is None) == (r["past_drop_rule"] == 0), "whether work was done past its rule"),
                  True if ruled is None or not ruled.group(1) else all_of(limit_is(ruled, s, 2), eq(ruled.group(3), r["least_by_rules_min"], hmm), holds((ruled.group(1) == "over") == (r["over_by_rules"] == 1), "over by the rules")),
                  True if ruled is None or ruled.group(1) else all_of(limit_is(ruled, s, 8), eq(ruled.group(9), r["least_by_rules_min"], hmm), eq(ruled.group(10), r["most_by_rules_min"], hmm),
                                                                                holds(ruled.groups()[3:7] == (count(r["past_drop_rule"]), count(r["complete"]), count(r["over_by_rules"]), count(r["complete"])), "how many did it, or are over by the rules")),
                  holds(m.group(1) is None or m.group(1) == number_word(r["complete"]), "how many are complete"),
                  holds(m.group(2) is None or m.group(2) == (number_word(r["over"]) if r["over"] else "none"), "how many are over"),
                  True if m.group(4) is None else all_of(limit_is(m, s, 3), eq(m.group(4), r["least_min"], hmm), eq(m.group(5), r["most_min"], hmm)),
                  True if m.group(6) is None else all_of(eq(m.group(8), r["least_min"], hmm), holds((m.group(6) == "over") == (r["over"] == 1), "over or within"), limit_is(m, s, 7)),
                  True if m.group(9) is None else all_of(limit_is(m, s, 9), holds(r["complete"] == 0, "some are complete")),
                  holds((m.group(10) or m.group(12) or "no") == number_word(r["incomplete_over"]), "incomplete ones that are over"))


def planned(m, s):
    f = s["forecast"]["finish"]
    gap = half_up(f["quantiles_min"]["0.5"]) - half_up(f["planned_min"])
    said = 0 if m.group(2) is None else int(m.group(2)) * (1 if m.group(3) == "before" else -1)
    return all_of(eq(m.group(1), f["planned_min"], hmm), holds(said == gap, f"{gap} min"))


def carriers(m, s):
    f = s["forecast"]
    share = {"a slow or fast day": f["run_effect_share"], "who does it": f["people_share"], "what is not yet known": f["parameter_share"],
             "several causes acting together": f["interaction_share"]}
    answers = []
    for who, shown in ((m.group(1), m.group(2)), (m.group(3), m.group(4))):
        if who is None:
            continue
        tasks = re.fullmatch(WORD + r" tasks?", who.lower())
        if tasks:
            best = sorted((t["variance_share"] for t in f["tasks"]), reverse=True)
            n = next(i for i in range(len(best) + 1) if number_word(i) == tasks.group(1))
            answers.append(eq(shown, sum(best[:n]), percent))
        else:
            answers.append(eq(shown, share[who.lower()], percent))
    return all_of(*answers)


def trend(m, t, first=1):
    mid, (lo, hi) = t["per_doubling"], t["per_doubling_interval"]
    return all_of(eq(m.group(first), 100 * mid, signed), eq(m.group(first + 1), 100 * lo, signed), eq(m.group(first + 2), 100 * hi, signed))


def trend_shown(m, t):
    return all_of(trend(m, t), holds(bool(m.group(4)) == (sign(t) == 0), "shown or not"))


def sign(t):
    """Of a trend that is shown; 0 where none is, or where an end of its interval reads as 0 %."""
    lo, hi = t["per_doubling_interval"] if t else (0, 0)
    return -1 if hi <= -0.0005 else 1 if lo >= 0.0005 else 0


def trend_named(said, t):
    return holds(sign(t) == {"shorter": -1, "longer": 1, "settle (converge)": -1, "do not settle": 1}.get(said, 0), f"a trend that its interval does not show: {t}")


def told_tasks(m, s):
    """Which tasks get shorter, which longer, each with its own change."""
    answers = []
    for said in re.findall(r"(shorter|longer): ([^;]*)", m.group(0)):
        told = [t["per_doubling"] for t in s["compare"]["task_trends"] if t["told"] and (t["per_doubling"] > 0) == (said[0] == "longer")]
        shown = re.findall(rf"\({CHANGE} %\)", said[1])
        answers += [holds(len(shown) == len(told), f"{len(told)} tasks get {said[0]}"), *[eq(a, 100 * b, signed) for a, b in zip(shown, told)]]
    return all_of(*answers)


def crosses(interval):
    return interval[0] <= 0 <= interval[1]


def own_share(more_min):
    return "would pad twice: it asks" if more_min > 0 else "would fall short: it asks only" if more_min < 0 else "asks the same:"


def pad_sentence(m, s):
    p = s["pad"]
    short_of = sum(is_short(t) for t in p["tasks"])
    planned = sum(t["planned_min"] is not None for t in p["tasks"])
    reserve = half_up(p["finish_quantile_min"]) - half_up(p["median_timeline_min"])
    between = re.search(rf"90 % interval {H} to {H}", m.group(0))
    between_is = p["finish_quantile_interval_min"]
    return all_of(holds((between is None) == (between_is is None), "an interval, or none"),
                  True if not between else all_of(eq(between.group(1), between_is[0], hmm), eq(between.group(2), between_is[1], hmm)),
                  eq(m.group(1), 100 * p["confidence"], lambda x: f"{x:.6g}"), eq(m.group(2), p["finish_quantile_min"], hmm),
                  eq(m.group(3), p["median_timeline_min"], hmm), holds(int(m.group(4)) == reserve, f"a reserve of {reserve}"),
                  eq(m.group(5), p["factor"], factor), holds((int(m.group(6)), int(m.group(7))) == (short_of, planned), f"{short_of} of {planned} short"),
                  holds(int(m.group(8)) == sum(t["probability_planned_enough"] is not None and t["probability_planned_enough"] < 0.5 for t in p["tasks"]), "missed"),
                  holds(m.group(10) == own_share(half_up(p["padded_twice"]["finish_min"]) - half_up(p["finish_quantile_min"])), "twice or short"),
                  eq(m.group(11), p["padded_twice"]["finish_min"], hmm), eq(m.group(12), p["padded_twice"]["probability_inside"], of100_words))


def missing_tenths(t):
    """As median, pad and planned time are shown."""
    return half_up(10 * t["median_min"]) + half_up(10 * t["pad_min"]) - half_up(10 * t["planned_min"])


def is_short(t):
    return t["planned_min"] is not None and t["missing_min"] is not None and missing_tenths(t) > 0


def pad_clock(m, s):
    """Of one clock: what the padded timeline takes, against the limit as limits.csv has it."""
    allowed = [l["minutes"] for l in s["forecast"]["limits"]]
    gap = lambda c: half_up(c["padded_timeline_min"]) - half_up(c["allowed_min"])
    return any_of(all_of(eq(m.group(2), c["padded_timeline_min"], hmm), holds(int(m.group(3) or 0) == max(gap(c), 0), f"{gap(c)} min more"),
                         eq(m.group(4), c["allowed_min"], hmm), True if m.group(5) is None and c["median_timeline_min"] <= 0 else eq(m.group(5), c["median_timeline_min"], hmm), holds(c["allowed_min"] in allowed, "no such limit"),
                         holds((m.group(1) == "breaks") == (gap(c) > 0) == c["padded_is_over"], "over or not")) for c in s["pad"]["clocks"])


def planned_short(m, s):
    return holds(m.group(1) == number_word(sum(is_short(t) for t in s["pad"]["tasks"]) - 1), "how many")


def record(m, r):
    return all_of(holds(int(m.group(1)) == r["inside80"] and int(m.group(2)) == r["forecasts"], "the record"))


def needed_limits(s):
    return [s["runs-needed"], *s["runs-needed"]["other_limits"]]


def any_of(answers):
    """Right of one limit at least; where several are told nothing of the text says which, but for the names."""
    answers = list(answers)
    return True if True in answers else str(answers[0])


def needed_now(m, s):
    return any_of(all_of(eq(m.group(1), l["overrun"]["probability"], of100_words), eq(m.group(2), l["limit_min"], hmm), ends(m, 3, l["overrun"]["interval"]),
                         holds(m.group(5) == allowed(l["confidence"]), "wanted")) for l in needed_limits(s))


SIDE = {"\u201cinside\u201d": "clear_inside", "\u201cnot inside\u201d": "clear_outside"}


def allow(m, s):
    """What is missing most, in tenths as chart and table say it."""
    return eq(m.group(1), max(missing_tenths(t) for t in s["pad"]["tasks"] if t["missing_min"] is not None) / 10, short)


def widths(match, s):
    """Rehearse so many times: from what width to what, and what the answer would then be."""
    m = Shift(match, (1 if match.group(1) else 2, 5, 6, 9, 7, 8))
    have = sum(r["complete"] for r in s["compare"]["runs"])

    def of(l):
        rows = l["further"]
        n = next(r for r in rows if number_word(r["further_runs"]) == m.group(1))
        decimals = 1 if n["width"] < 0.1 else 0
        width = lambda x: f"{x:.{decimals}f}"
        told = [(SIDE[w], c) for w, c in re.findall(rf"(\u201c[a-z ]+\u201d) in {N}", m.group(0))]
        return all_of(eq(m.group(2) or m.group(4), 100 * rows[0]["width"], width), True if m.group(3) is None else eq(m.group(3), 100 * n["width"], width),
                      True if m.group(3) is None else by_how_much(m.group(5), m.group(6), rows[0], n),
                      holds((match.group(2) is not None) == ((n["clear_inside"] or 0) + n["clear_outside"] < 0.1), "it may tell"),
                      holds((match.group(3) is not None) == (have < 4 and half_up(100 * (n["clear_inside"] or 0)) > 0), "the rule of four"),
                      match.group(3) is None or holds(match.group(3) == ("none", "one", "two", "three")[have] and match.group(4) == m.group(1), "complete, and after how many"),
                      holds((m.group(3) is not None) == (rows[0]["width"] - n["width"] >= 2 * math.hypot(n["width_error"], rows[0]["width_error"])), "narrower than the error, or not"),
                      *[eq(c, n[k], of100_words) for k, c in told],
                      holds({k for k, c in told} == {k for k in SIDE.values() if half_up(100 * (n[k] or 0)) > 0}, "a side that is left out"))
    return any_of(of(l) for l in needed_limits(s))


def widths_beside(m, s):
    """The same of a further limit, after one of the numbers of rehearsals that were looked at."""
    def of(now, n):
        width = lambda x: f"{x:.{1 if n['width'] < 0.1 else 0}f}"
        told = [(SIDE[w], c) for w, c in re.findall(rf"(\u201c[a-z ]+\u201d) in {N}", m.group(0))]
        return all_of(eq(m.group(1) or m.group(5), 100 * now["width"], width), m.group(2) is None or eq(m.group(2), 100 * n["width"], width),
                      m.group(2) is None or by_how_much(m.group(3), m.group(4), now, n),
                      *[eq(c, n[k], of100_words) for k, c in told],
                      holds({k for k, c in told} == {k for k in SIDE.values() if half_up(100 * (n[k] or 0)) > 0}, "a side that is left out"))
    return any_of(of(l["further"][0], n) for l in needed_limits(s) for n in l["further"][1:])


def clear_after(m, s):
    def of(l):
        rows, answers = l["further"][1:], []
        if any(r["clear_inside"] is None for r in rows) and re.search("\u201cinside\u201d after", m.group(0)):
            return "a chance that the second answer stands in the way of"
        never = re.search(rf"not after {WORD}, with fewer than four complete rehearsals then, but after {WORD} in {N} of 100", m.group(0))
        if never:
            answers += [holds(never.group(1) == number_word(rows[0]["further_runs"]) and rows[0]["clear_inside"] == 0, "that it cannot be"),
                        holds(never.group(2) == number_word(rows[-1]["further_runs"]), "after how many"), eq(never.group(3), rows[-1]["clear_inside"], of100_words)]
        for side, first, n, last, most in re.findall(rf"(\u201c[a-z ]+\u201d) after {WORD} in {N} of 100 cases(?:, after {WORD} in {N})?", m.group(0)):
            chance = [r[SIDE[side]] for r in rows]
            answers += [holds(first == number_word(rows[0]["further_runs"]), "after how many"), eq(n, chance[0], of100_words)]
            answers += [holds(last == number_word(rows[-1]["further_runs"]), "after how many"), eq(most, chance[-1], of100_words)] if last else []
        if not answers:
            answers = [holds(all(half_up(100 * (r[k] or 0)) == 0 for r in rows for k in SIDE.values()), "it may become clear")]
        return all_of(*answers, holds(("is clear now" in m.group(0)) == (l["verdict"] != "not enough rehearsals to tell"), "clear now or not"))
    return any_of(of(l) for l in needed_limits(s))


def narrower(m, s):
    return any_of(by_how_much(m.group(1), m.group(2), l["further"][0], l["further"][1]) for l in needed_limits(s))


def by_how_much(by, error, now, then):
    """The share by which the interval is narrower, and its error as that of a ratio of two widths that err on their own."""
    if not now["width"] or not then["width"]:
        return "an interval of no width has nothing to narrow"
    ratio = then["width"] / now["width"]
    return all_of(holds(then["narrower_by"] is not None, "it cannot be told"), eq(by, 1 - ratio, percent),
                  eq(error, ratio * math.hypot(then["width_error"] / then["width"], now["width_error"] / now["width"]), percent))


def not_told_narrower(m, s):
    return any_of(holds(abs(l["further"][0]["width"] - l["further"][1]["width"]) < 2 * math.hypot(l["further"][0]["width_error"], l["further"][1]["width_error"])
                        and l["further"][1]["narrower_by"] is None, "it can be told") for l in needed_limits(s))


def any_limit(m, s):
    """"NAME, 6:30: 6 of 100 go over, by the worst answer 23": of one limit of the campaign."""
    return any_of(all_of(eq(m.group(1), l["minutes"], hmm), eq(m.group(2), l["probability_over"], of100_words),
                         True if m.group(3) is None else eq(m.group(3), l["second_probability_over"], of100_words)) for l in s["forecast"]["limits"])


def session(m, s):
    best, of = s["runs-needed"]["sessions"][0], s["runs-needed"]["sessions_limit"]
    at = [l["limit"] for l in s["forecast"]["limits"]].index(of)
    limit = needed_limits(s)[0] if at == 0 else next(l for l in s["runs-needed"]["other_limits"] if l["limit"] == of)
    one = limit["further"][1]
    return all_of(eq(m.group(1), best["variance_removed"], percent), eq(m.group(2), best["variance_removed_error"], percent),
                  eq(m.group(3), one["variance_removed"], percent), holds(limit["verdict"] == "not enough rehearsals to tell", "it is clear"), holds(best["variance_removed"] >= 2 * best["variance_removed_error"], "within its error"))


def criterion(m, s):
    text = m.group(0).rstrip(".")
    return holds(any(text == c["asked"] or text == c["found"] for c in s["ready"]["criteria"]), "no criterion says that")


def watch(m, s):
    """Minutes between two moments as the card shows them."""
    rows = [r for l in s["cutoff"]["limits"] for r in l["tasks"] if r["reason"] == "found" and by(r["latest_start_min"]) == m.group(1)
            and "at least until then" not in (r["note"] or "")]
    gaps = [int(r["latest_start_min"] + 1 / 60000) - half_up(r["typical_start_min"]) for r in rows]
    return holds((int(m.group(3)) if m.group(2) == "only" else -int(m.group(2))) in gaps, f"slack {gaps}")


def eighty(m, s):
    t = s["forecast"]["finish"]["quantiles_min"]
    return all_of(eq(m.group(1), t["0.1"], hmm), eq(m.group(2), t["0.9"], hmm))


def own_task(m, s):
    best = max(s["forecast"]["tasks"], key=lambda t: t["variance_share"])
    return eq(m.group(1), best["variance_share"], percent)


def out_of_reach(m, s):
    limit = next(l for l in s["cutoff"]["limits"] if hmm(l["minutes"]) == m.group(1) and percent(l["confidence"]) == m.group(2))
    gap = half_up(limit["limit_needed_min"]) - half_up(limit["minutes"])
    return all_of(eq(m.group(3), limit["limit_needed_min"], hmm), holds(int(m.group(4)) == gap, f"{gap} min"),
                  holds(limit["probability_over"] > 1 - limit["confidence"], "it is kept"))


def no_slack(m, s):
    """Beside what little another limit leaves: this one is likelier not kept than the wish allows, even begun on time."""
    return holds(any(hmm(l["minutes"]) == m.group(1) and l["is_clock"] == (m.group(2) is None) and l["probability_over"] > 1 - l["confidence"] for l in s["cutoff"]["limits"]), "it is kept")


def not_kept(m, s):
    """Advice to shorten: of a limit that is certainly not inside; a clock runs whether the day began on time or not."""
    return holds(any(hmm(l["minutes"]) == m.group(1) and percent(l["confidence"]) == m.group(2) and l["verdict"] == "not inside"
                     and l["is_clock"] == (m.group(3) is None) for l in s["cutoff"]["limits"]), "it may be kept")


def cutoff_limit(m, s):
    limit = next(l for l in s["cutoff"]["limits"] if hmm(l["minutes"]) == m.group(1) and of100_words(l["confidence"]) == m.group(2)
                 and of100_words(l["probability_over"]) == m.group(3))
    same_one = [f for f in s["forecast"]["limits"] if f["limit"] == limit["limit"]]
    return all_of(holds(of100(same_one[0]["probability_over"]) == of100(limit["probability_over"]), "forecast says another"),
                  holds(limit["verdict"] == same_one[0]["verdict"], "forecast has another verdict"),
                  True if m.group(4) is None else ends(m, 4, same_one[0]["interval"]))


def wanted_of(m, s):
    return holds(any(hmm(l["minutes"]) == m.group(1) and of100_words(l["confidence"]) == m.group(2) for l in s["cutoff"]["limits"]), "no limit is that")


def sooner_on_clock(m, s):
    rows = [t for l in s["cutoff"]["limits"] if l["is_clock"] for t in l["tasks"]]
    return any_of(eq(m.group(1), t["latest_start_min"], by) for t in rows if t["latest_start_min"] is not None)


def waiting_of_lanes(m, s):
    shown = re.findall(r"\d+:\d\d", m.group(0))
    are = [hmm(w["minutes"]) for r in s["compare"]["runs"] for w in r["waiting"] if w["minutes"] is not None]
    return holds(shown == are, "the waiting of each lane")


def exactly_at_bold(m, s):
    """As many as may go over each limit that sets a time of the card or of a clock's; no more than that where the time is not the limit's own."""
    limits, sets, notes = s["cutoff"]["limits"], [], []
    for group in [[l for l in limits if not l["is_clock"]]] + [[l] for l in limits if l["is_clock"]]:
        for rows in zip(*(l["tasks"] for l in group)):
            if any(r["reason"] in ("never", "too-few", "start") or (r["reason"] == "found" and r["latest_start_min"] < 0) for r in rows):
                continue
            found = [(r["latest_start_min"], i) for i, r in enumerate(rows) if r["reason"] == "found"]
            if found:
                sets.append(group[min(found)[1]]["limit"])
                notes.append(rows[min(found)[1]]["note"])
    other = [any(note in n for n in notes) for note in ("later it is dropped", "at least until then", "early for it", "usually just when it may begin")]
    return all_of(holds(re.findall(r"([\d.]+) over", m.group(1)) == [allowed(l["confidence"]) for l in limits if l["limit"] in sets], f"set by {sorted(set(sets))}"),
                  holds([w in m.group(0) for w in ("its drop time", "hardly a day begins later", "it is put early", "just when it may")] == other, f"no more than that: {other}"))


def whatif_best(m, s):
    a = s["whatif"]["alternatives"][0]
    sign = -1 if m.group(2) == "more" else 1
    lo, hi = sorted((sign * a["gain_lo"], sign * a["gain_hi"]))
    return all_of(eq(m.group(1), a["probability_over"], of100_words), eq(m.group(3), 100 * sign * a["gain"], change),
                  eq(m.group(4), 100 * lo, change), eq(m.group(5), 100 * hi, change))


def reads_as_some(p):
    return half_up(1000 * p) >= 1 and p > 0


def shown_to_help(m, s):
    a = s["whatif"]["alternatives"][0]
    alone, first = len(s["whatif"]["alternatives"]) == 1, a["share_better_than_next"] >= 0.9
    certain = abs(a["gain"]) > 2 * a["gain_se"]
    helps, harms = certain and reads_as_some(a["gain_lo"] - 2 * a["gain_lo_se"]), certain and reads_as_some(-a["gain_hi"] - 2 * a["gain_hi_se"])
    what = "shown to make it worse" if harms else "not shown to lower the risk" if s["whatif"]["base"]["limits"] else "not shown to help"
    want = (f"which is {what}" if alone else f"Highest in rank, but {what}") if not helps else "Best" if first else "Highest in rank, but not told apart"
    return holds(m.group(0).startswith(want), f"should begin: {want}")


def as_they_stand(m, s):
    """How many are not carried over, and by the history's own factor how much longer their kinds take outside."""
    factors = {c["kind"]: c["factor"] for c in s["forecast"]["carry_over"]}
    judged = [t for t in s["fit"]["tasks"] if t["source"] in ("judgement", "known before")]
    return all_of(holds(int(m.group(1)) == len(judged), "how many are judged or known"),
                  *(eq(text, factors[kind], factor) for kind, text in re.findall(r"(?:pool: |, )([^,:]+?) ([\d.]+) times", m.group(0))))


GAIN = rf"{CHANGE}(?: \({CHANGE} to {CHANGE}\))?"  # without an interval where nothing is unknown


def sooner_helps(r):
    lo = r["always_gain_lo"] - 2 * r["always_gain_lo_se"] if r["always_gain_lo"] is not None else r["always_gain"] - 2 * r["always_gain_se"]
    return r["always_gain"] > 2 * r["always_gain_se"] and reads_as_some(lo)


def gain_is(r, shown):
    return all_of(holds(bool(shown[1]) == (r["always_gain_lo"] is not None), "whether there is an interval"),
                  *(eq(text, 100 * r["always_gain" + end], change) for text, end in zip(shown, ("", "_lo", "_hi")) if text))


def left_out(m, s):
    return any_of(all_of(holds(sooner_helps(r), "not shown"), eq(m.group(1), r["over_always_dropped"], of100_words), gain_is(r, m.groups()[1:4])) for r in s["forecast"]["drop_rules"])


def left_out_further(m, s):
    helping = [r for r in s["forecast"]["drop_rules"] if sooner_helps(r)]
    shown = re.findall(rf"fewer by {GAIN}", m.group(0))
    return all_of(holds(len(shown) == len(helping), "how many are shown to"), *(gain_is(r, g) for r, g in zip(helping, shown)))


def rules_rest(m, s):
    rows = s["forecast"]["drop_rules"]
    worst = 100 * max(r[f"{of}_gain_se"] for r in rows for of in ("rule", "always", "all_rules"))
    return all_of(holds({int(m.group(1))} == {r["days_per_draw"] for r in rows}, "how many days"), holds(m.group(2) == ("below 0.01" if worst < 0.01 else f"{worst:.2g}"), f"up to {worst}"))


def nearer_end(x):
    return "<0.1" if x > 0 and change(x) == "0.0" else change(x)


def rules_buy(m, s):
    sign = -1 if m.group(1).startswith("add") else 1
    return any_of(rules_buy_of(m, r, sign) for r in s["forecast"]["drop_rules"])


def rules_buy_of(m, r, sign):
    lo, hi = sorted((sign * r["all_rules_gain_lo"], sign * r["all_rules_gain_hi"]))
    return all_of(eq(m.group(2), 100 * sign * r["all_rules_gain"], change), eq(m.group(3), 100 * lo, nearer_end), eq(m.group(4), 100 * hi, change),
                  holds(reads_as_some(sign * r["all_rules_gain"]), "not shown"))


DROP_GAIN = rf"{NAME}(?: \({NAME}\))?, (?:fewer|more) by {GAIN}"


def drop_gains(m, s):
    """Of single drop times, or of all of them together: each is a rule's own."""
    of = [100 * r[key] for r in s["forecast"]["drop_rules"] for key in ("rule_gain", "all_rules_gain", "always_gain")]
    return all_of(*(any_of(eq(mid, abs(x), change) for x in of) for mid in re.findall(rf"(?:fewer|more) by {GAIN}", m.group(0)) for mid in mid[:1]))


def whatif_errors(m, s):
    """The largest error of what the rows show."""
    rows = s["whatif"]["alternatives"]
    fewer = [l["mc_error"] for a in rows for l in a["limits"]] + [a["any_limit_gain_mc_error"] for a in rows if len(a["limits"]) > 1]
    said = lambda e, least: f"below {least}" if e < least else f"{e:.2g}"
    return all_of(holds(m.group(1) is None or m.group(1) == said(100 * max(fewer), 0.01), f"of 100, {100 * max(fewer or [0])}"),
                  holds(m.group(2) == said(max(a["median_saved_mc_error_min"] for a in rows), 0.001), "minutes"))


def whatif_harm(m, s):
    return any_of(all_of(eq(m.group(1), l["probability_over"], of100_words), eq(m.group(2), -100 * l["gain"], change), holds(reads_as_some(-l["gain_interval"][1] - 2 * l["gain_interval_mc_error"][1]) and -l["gain"] > 2 * l["mc_error"], "not shown"),
                         eq(m.group(3), -100 * l["gain_interval"][1], change), eq(m.group(4), -100 * l["gain_interval"][0], change)) for a in s["whatif"]["alternatives"] for l in a["limits"])


def whatif_helps(m, s):
    return any_of(all_of(eq(m.group(1), l["probability_over"], of100_words), eq(m.group(2), 100 * l["gain"], change), holds(reads_as_some(l["gain_interval"][0] - 2 * l["gain_interval_mc_error"][0]) and l["gain"] > 2 * l["mc_error"], "not shown"),
                         eq(m.group(3), 100 * l["gain_interval"][0], change), eq(m.group(4), 100 * l["gain_interval"][1], change)) for a in s["whatif"]["alternatives"] for l in a["limits"])


def debrief_first(m, s):
    d, left_out = s["debrief"], (m.group(2) or "").startswith(" without")
    return all_of(eq(m.group(1), d["finish_without_holds_min"], hmm), eq(m.group(4), d["predicted_p50_min"], hmm),
                  eq(m.group(5), d["interval80_min"][0], hmm), eq(m.group(6), d["interval80_min"][1], hmm),
                  holds(left_out == (d["left_out"] > 0) and (not left_out or m.group(3) == number_word(d["left_out"])), "what is left out"),
                  holds((m.group(7) or hmm(d["finish_without_holds_min"])) == hmm(d["by_plan_min"]), "the time that is ranked"), eq(m.group(8), d["rank"], of100_words))


def debrief_change(m, s):
    c, f = s["debrief"]["change"], s["forecast"]
    return all_of(eq(m.group(1), c["p50_after_min"], hmm), eq(m.group(2), c["p50_before_min"], hmm),
                  eq(m.group(1), f["finish"]["quantiles_min"]["0.5"], hmm), eq(m.group(3), f["limits"][0]["probability_over"], of100_words),
                  eq(m.group(4), f["limits"][0]["minutes"], hmm), ends(m, 5, c["overrun_after"]["interval"]), eq(m.group(7), c["overrun_before"]["probability"], of100_words),
                  ends(m, 8, c["overrun_before"]["interval"]), eq(m.group(10), 100 * (1 - f["limits"][0]["confidence"]), "{:g}".format))


def total(m, s):
    q = s["fit"]["without_model"]["quantiles_min"]
    return all_of(holds(int(m.group(1)) == s["fit"]["without_model"]["runs"], "the totals"), eq(m.group(3), q["0.5"], hmm),
                  eq(m.group(4), q["0.1"], hmm), eq(m.group(5), q["0.9"], hmm),
                  holds((m.group(2) is not None) == s["fit"]["without_model"]["all_work_done"], "whether rules were lifted"))


def left_out_totals(m, s):
    w = s["fit"]["without_model"]
    return all_of(holds(m.group(1).lower() == number_word(w["left_out"]), "how many are left out"), holds(m.group(2) == number_word(len(s["check"]["runs"])), "how many there are"),
                  eq(m.group(3), w["left_out_longest_min"], hmm))


def off_totals(m, s):
    w = s["fit"]["without_model"]
    off = 100 * (w["forecast_by_totals"] - 1)
    return all_of(holds(m.group(1) == ("less than 1" if abs(off) < 0.95 else f"{half_up(abs(off))}"), "how far off"),
                  holds((m.group(2) == "below") == (off < 0), "to which side"), holds(int(m.group(3)) == w["runs"], "the totals"),
                  holds((m.group(4) is not None) == w["all_work_done"], "whether rules were lifted"),
                  holds((m.group(5) is not None) == (w["p_spread"] < 0.01), "whether they scatter more"),
                  holds((m.group(6) == "more") == w["beyond_chance"], "whether chance explains it"),
                  holds((m.group(6) is None) == (not w["beyond_chance"] and (w["own_trend"] or {}).get("learning_unshown", False)), "whether the totals show that learning"))


def own_trend(m, s):
    """What moved the totals, and what they show by themselves."""
    t = s["fit"]["without_model"]["own_trend"]
    slopes = [t["moved_by_slope_log"], t["slope_log"], *t["interval"]]
    return all_of(*[eq(m.group(1 + i), 100 * math.expm1(LN2 * v), signed) for i, v in enumerate(slopes)],
                  *[eq(m.group(5 + i), v, hmm) for i, v in enumerate(t["middle_interval_min"])])


def effect(e, scale=1.0):
    """value (lo to hi) of a logarithm, as per cent, signed."""
    import math
    return [100 * math.expm1(x * scale) for x in (e["value"], *e["interval"])]


def per_cent_of_log(m, e, first, scale=1.0, show=signed):
    import math
    values = [100 * math.expm1(x * scale) for x in ([e.get("sd_log", e.get("slope_log"))] + list(e["interval"]))]
    return all_of(*[eq(m.group(first + i), v, show) for i, v in enumerate(values)])


LN2 = 0.6931471805599453
def second_answers(text, s):
    """Those of the forecast that the text names by what they assume."""
    named = [a for a in s["forecast"]["second_answers"] if a["assumption"] in text]
    return [a for a in named if a["assumption"] == max((n["assumption"] for n in named), key=len)]  # both together name each alone


def go_over(said, lo, hi, a):
    mine = all_of(eq(said, a["probability_over"], of100_words), holds(lo is None or end_is(lo, a["interval"][0]), f"from {a['interval'][0]}"),
                  holds(hi is None or end_is(hi, a["interval"][1]), f"to {a['interval'][1]}"))
    return mine


def second_of_all(m, s):
    """The worse answer on every limit, in the limits' order."""
    said, of = re.findall(rf"{NAME} {N}(?: \({END} to {END}\))?", m.group(0)), second_answers(m.group(0), s)
    return all_of(holds(len(said) == len(of), "one for each limit"), *[go_over(n, lo or None, hi or None, a) for (n, lo, hi), a in zip(said, of)])


def second_of_one(m, s):
    """Of one limit, before the day or during it; with the upper point where a criterion says it."""
    of = second_answers(m.group(0), s) + [{**l["second_answer"]} for l in s["cutoff"]["limits"] if l["second_answer"]]
    points = [p for p in (s["ready"]["overrun"]["second_upper_point"], s["ready"].get("other_limits_second_upper_point")) if p is not None]
    return all_of(any_of(go_over(m.group(1), m.group(2), m.group(3), a) for a in of),
                  holds(m.group(4) is None or any(end_is(m.group(4), p) for p in points), f"upper points {points}"))


def second_is(said, value, show):
    return all_of(holds((said is None) == (value is None), "a worse answer, or none"), True if said is None else eq(said, value, show))


def worst_is(said, lo, hi, limit, s):
    """The worst of the excursion's worse answers on a limit, or that none reaches it."""
    of = [a for a in s["forecast"]["excursion_answer"]["second_answers"] if a["limit"] == limit]
    worst = max(of, key=lambda a: a["interval"][1], default=None)
    return all_of(holds((said is None) == (worst is None), "a worse answer, or none"), True if said is None else go_over(said, lo, hi, worst))


def excursion_of_all(m, s):
    """The answer for the excursion on every limit, in the limits' order, and on any of them; the worst one behind each."""
    e, count = s["forecast"]["excursion_answer"], rf"{N}(?: \({END} to {END}\))?{WORST}"
    said, any_of_them = re.findall(rf"{NAME} {count}", m.group(0)), re.search(rf"at least one of them {count}", m.group(0))
    part = [all_of(go_over(n, lo or None, hi or None, a), worst_is(worst or None, wlo or None, whi or None, a["limit"], s))
            for (n, lo, hi, worst, wlo, whi), a in zip(said, e["limits"])]
    n, lo, hi, worst, _, whi = any_of_them.groups()
    return all_of(holds(len(said) == len(e["limits"]), "one for each limit"), *part, go_over(n, lo, hi, {"probability_over": e["any_limit_over"], "interval": e["any_limit_over_interval"]}),
                  second_is(worst, e["second_any_limit_over"], of100_words), holds(whi is None or end_is(whi, e["second_any_limit_over_hi"]), f"to {e['second_any_limit_over_hi']}"))


def excursion_of_first(m, s):
    first = s["forecast"]["excursion_answer"]["limits"][0]
    return all_of(go_over(m.group(1), m.group(3), m.group(4), first), eq(m.group(2), s["forecast"]["limit_min"], hmm), worst_is(*m.groups()[4:7], first["limit"], s))


def excursion_of_one(m, s):
    """Beside a criterion, which may be of any limit."""
    return any_of([all_of(go_over(m.group(1), m.group(2), m.group(3), a), worst_is(*m.groups()[3:6], a["limit"], s)) for a in s["forecast"]["excursion_answer"]["limits"]])


FIRST_IS = r"(?:as if nothing was forgotten(?:, and as judged)?|as judged)"
ASSUMED = r"(?:[Ww]ith 10 % allowed for the gap(?: and judged 20 % short)?|[Ii]f judged 20 % short)"  # WR_BESIDE_GAP_PERCENT and WR_JUDGED_SHORT_BY, as JSON says them
WORST = rf"(?:, by the worst answer {N}(?: \({END} to {END}\))?)?"
ANY = lambda m, s: True
DEFINED = [  # levels and definitions, the same whatever the campaign
    r"[Ff]ewer than 5 of 100 days", r"begun by then on fewer than 10 of 100 days", r"more than 95 of 100 days", r"outside what 80 of 100 (take|forecast times)", r"80 of 100 forecast finishes", r"How many of 100 go over a limit",
    r"Intervals are 90 %", r"(\d+) other tasks may remove as much", r"Drawn of [\w]+: [^;]*; \d+ at most, on narrow screens \d+",
    r"90 % interval\b", r"\(90 % interval\)", r"lens below holds 50, 80 and 95 of 100", r"50, 80 and 95 of 100", r"of 100\b(?= 90 %| forecast| days| executions|, against)",
    r"outside the 80\.", r"upper 95 % point", r"A-?128612|CR-128612|CR\S*-128612|\S+-128612", r"M-151", r"\b19(72|75)\b", r"one in a hundred",
    r"ranks near 0 or 100 %", r"80 % band", r"95 % band", r"8 times in 10", r"No single task carries 1 %", r"Beyond 2 sd|beyond 2 sd", r"of 100$", r"SHA-256 [0-9a-f]{64}",
    r"fewer than 5 of 100 days", r"fitted again in \d+ sweeps", r"\d+ simulated futures", r"and \d+ that a regression", r"seed \d+", r"\d+ trials",
    r"wetrun [\d.]+", r"--trials \d+", r"over \d+ draws", r"outside what 80 of 100 (take|forecast times)", r"90 % confidence(?=;)",
    r"\d+ chains, \d+ draws; largest R-hat [\d.]+ \([\w ]+\), smallest effective sample \d+ \([\w ]+\)",
    r"median_interval", r"begins later, or not known to better than 5 min", r"80 of 100 forecast finishes", r"Monte Carlo error of .*?[\d.]+ of 100, of the median finish [\d.]+ min",
    r"Monte Carlo error of the reserve [\d.]+ min, of single pads up to [\d.]+ min", r"lowest AICc [^.]*\.", r"\bto 100 %", r"below 0\.001",
    r"(18|19|20)\d\d-\d\d-\d\d", r"up to \d\d\d\d-\d\d-\d\d", r"Wanted: inside with .*$", r"--confidence [\d.]+", r"--limit \d:\d\d",
]

PATTERNS = [
    # the answer for the excursion beside the forecast's; its worse answer must not be taken for the forecast's
    (rf"[Ff]or the (?:{NAME}|excursion), with them,(?: as [a-z ,]+,)? half of the finishes come by {H}(?:, {ASSUMED} by {H})?|of the (?:{NAME}|excursion) (?:as [a-z ,]+, )?half of the finishes come by {H}(?:, {ASSUMED} by {H})?",
     lambda m, s: all_of(eq(m.group(1) or m.group(3), s["forecast"]["excursion_answer"]["finish_p50_min"], hmm), second_is(m.group(2) or m.group(4), s["forecast"]["excursion_answer"]["second_finish_p50_min"], hmm))),
    (rf", and of 100 go over: (?:{NAME} {N}(?: \({END} to {END}\))?{WORST}; )+at least one of them {N}(?: \({END} to {END}\))?{WORST}", excursion_of_all),
    (rf"{N} of 100 excursions go(?:es)? over the {H} limit(?: \({END} to {END}\))?(?:, {ASSUMED} {N} of 100 go(?:es)? over(?: \({END} to {END}\))?)?", excursion_of_first),
    (rf"of the (?:{NAME}|excursion) {N} of 100(?: \({END} to {END}\))?(?:, {ASSUMED} {N} of 100 go(?:es)? over(?: \({END} to {END}\))?)?", excursion_of_one),
    # a second answer
    (r"(\d+) days lie between the last rehearsal and this run, at most (\d+) between any two rehearsals",
     lambda m, s: holds([int(m.group(1)), int(m.group(2))] == [s["forecast"]["gap"][k] for k in ("since_last_days", "longest_between_days")], "the days")),
    (r"(\d+) tasks? rests? on judgement", lambda m, s: holds(int(m.group(1)) == s["forecast"]["judgement"]["tasks"], "the judged tasks")),
    (rf"{ASSUMED}, of 100 (?:rehearsals|excursions) go over: {NAME} {N}(?: \({END} to {END}\))?(?:; {NAME} {N}(?: \({END} to {END}\))?)*", second_of_all),
    (rf"{ASSUMED} {N} of 100(?: rehearsals| excursions)? go(?:es)? over(?: the limit)?(?: \({END} to {END}\))?(?:, upper point {END})?", second_of_one),
    (rf"For the (?:rehearsal|{NAME}|excursion) to keep (?:it|{NAME}) with {P} it then takes a limit of {H}",
     lambda m, s: any_of(all_of(eq(m.group(1), a["confidence"], percent), eq(m.group(2), a["limit_needed_min"], hmm)) 
                        for a in [*s["forecast"]["second_answers"], *s.get("runs-needed", {}).get("second_answers", [])] if a["limit_needed_min"])),  # which has trials of its own
    (rf"{ASSUMED} it takes {H}",
     lambda m, s: any_of(eq(m.group(1), a["limit_needed_min"], hmm) for a in s["forecast"]["second_answers"] if a["limit_needed_min"])),
    (r"as if nothing was, and with (\d+) % allowed for it|`?--gap-allowance (\d+)`? rests all of it on that",
     lambda m, s: holds(f"{m.group(1) or m.group(2)} % allowed for the gap" in [a["assumption"] for a in s["forecast"]["second_answers"]], "the allowance")),
    (r"as if judges were (\d+) % short in common, each time off by a fifth, and ranges a third too narrow",
     lambda m, s: holds(f"judged {m.group(1)} % short" in [a["assumption"] for a in s["forecast"]["second_answers"]], "how short")),
    # the answer
    (rf"[Aa]ll done by {H}, as likely as not \(without", None),
    (rf"What it changes for [^:]*: all done by {H}, as likely as not \(without this run {H}\); {N} of 100 goe?s? over the {H} limit(?: \u201c{NAME}\u201d)? \(90 % interval {END}(?: to {END})?; "
     rf"without this run {N}, {END}(?: to {END})?; wanted: at most ([\d.]+)\)", debrief_change),
    (rf"The timeline as it is: all done by {H}, as likely as not, {N} of 100 goe?s? over the limit",
     lambda m, s: all_of(eq(m.group(1), s["whatif"]["base"]["median_min"], hmm), eq(m.group(2), s["whatif"]["base"]["probability_over"], of100_words),
                         eq(m.group(1), s["forecast"]["finish"]["quantiles_min"]["0.5"], hmm), over(m, s, 0, 2))),
    (rf" {NAME}, {N} over at least one of the {WORD} limits", lambda m, s: all_of(
        eq(m.group(1), s["whatif"]["base"]["any_limit_over"], of100_words), holds(m.group(2) == number_word(len(s["forecast"]["limits"])), "how many"))),
    (rf"As it is, the timeline has a 90 % interval of {END}(?: to {END})? of 100 over the limit(?: \(wanted: at most ([\d.]+)\))?",
     lambda m, s: all_of(ends(m, 1, s["forecast"]["limits"][0]["interval"]), holds(s["whatif"]["base"]["interval"] == s["forecast"]["limits"][0]["interval"], "forecast has other ends"),
                         holds(s["whatif"]["base"]["verdict"] == s["forecast"]["limits"][0]["verdict"], "forecast has another verdict"), holds(not m.group(3) or m.group(3) == allowed(s["forecast"]["confidence"]), "what is wanted"))),
    (rf"; over at least one limit: {N} of 100", lambda m, s: eq(m.group(1), s["whatif"]["alternatives"][0]["any_limit_over"], of100_words)),
    (r"Best: |Highest in rank, but (?:not shown to (?:help|lower the risk)|shown to make it worse|not told apart from the next): |which is (?:not shown to (?:help|lower the risk)|shown to make it worse),", shown_to_help),
    (rf"But it makes {NAME} worse: {N} of 100, more by {CHANGE} \({CHANGE} to {CHANGE}\)", whatif_harm),
    (rf"Shown to lower the risk over {NAME}: '{NAME}', {N} of 100, fewer by {CHANGE} \({CHANGE} to {CHANGE}\)", whatif_helps),
    (rf"{NAME}'?,? {N} of 100, (fewer|more) by {CHANGE} \({CHANGE} to {CHANGE}\)", whatif_best),
    (rf"{NAME}'?,? {N} of 100, as many as now", lambda m, s: eq(m.group(1), s["whatif"]["alternatives"][0]["probability_over"], of100_words)),
    (rf"[Aa]ll done by {H}, as likely as not", lambda m, s: eq(m.group(1), s["forecast"]["finish"]["quantiles_min"]["0.5"], hmm)),
    (rf"{N} of 100 goe?s? over at least one of the {WORD} limits(?: \({END}(?: to {END})?\))?, by the worst answer {N}(?: \(({END} to )?{END}\))?", any_second),
    (rf"{N} of 100 goe?s? over at least one of the {WORD} limits \({END}(?: to {END})?\)",
     lambda m, s: all_of(eq(m.group(1), s["forecast"]["any_limit_over"], of100_words), holds(m.group(2) == number_word(len(s["forecast"]["limits"])), "how many"),
                         ends(m, 3, s["forecast"]["any_limit_over_interval"]))),
    (rf"{N} of 100 goe?s? over at least one of (?:the {WORD} limits|these limits)", lambda m, s: eq(m.group(1), s["forecast"]["any_limit_over"], of100_words)),
    (rf"Now {N} of 100 (?:finishes|days) goe?s? over the {H} limit(?: \u201c{NAME}\u201d)? \(90 % interval {END}(?: to {END})?; wanted: at most ([\d.]+)\)", needed_now),
    (rf"Now, and after further rehearsals: {NAME}, {H}", lambda m, s: any_of(eq(m.group(1), l["limit_min"], hmm) for l in needed_limits(s))),
    (rf"{NAME}, {H}: {N} of 100 goe?s? over(?:, by the worst answer {N})?", any_limit),
    (rf"{N} of 100 goe?s? over the {H} limit, by the worst answer {N}", lambda m, s: all_of(
        over(m, s), limit_is(m, s, 2), eq(m.group(3), s["forecast"]["limits"][0]["second_probability_over"], of100_words))),
    (rf"{NAME}, {H}, wanted inside in {N} of 100: {N} of 100 goe?s? over it(?: \(90 % interval {END}(?: to {END})?\))?", cutoff_limit),
    (rf"{NAME}, {H}, wanted inside in {N} of 100", wanted_of),
    (rf"Of 100 days on which a task begins exactly at its bold time about as many go over the limit that sets it as may: ([\d.]+ over {NAME}(?:, [\d.]+ over {NAME})*)"
     r"(?:; no more than that where (?:that is its drop time|hardly a day begins later|it is put early|it usually begins just when it may)(?:, or (?:hardly a day begins later|it is put early|it usually begins just when it may))*)?", exactly_at_bold),
    (rf"{NAME}, {H}, is not kept with {P} confidence(?:, even begun on time)?: that takes a limit of {H}, (\d+) min more", out_of_reach),
    (rf"{NAME}, {H}, is not kept with {P} confidence( even begun on time)?", not_kept),
    (rf"(?i){N} of 100 (?:such rehearsals |forecast finishes |finishes |such excursions )?goe?s? over (?:the {H} limit|it)",
     lambda m, s: all_of(over(m, s), True if m.group(2) is None else limit_is(m, s, 2))),
    (r"it could be (?:hardly another|(?:fewer than 1|as few as [\d.]+)(?: or (?:as many as [\d.]+|more than 99)|, hardly more)|as many as [\d.]+|more than 99)", could_be),
    (r"(?:[Ww]anted:?|the wish,) at most ([\d.]+)(?: of 100)?", lambda m, s: holds(m.group(1).rstrip(".") == allowed(s["forecast"]["confidence"]), "what is wanted")),
    (rf"the 90 % interval, {END}(?: to {END})?,", lambda m, s: ends(m, 1, s["forecast"]["limits"][0]["interval"])),
    (rf"For the (?:{NAME}|excursion), with its history, it takes {H}(?: \(90 % interval {H} to {H}(?:, by (?:both|all four) answers)?\))?, (?:(\d+) min (more|less) than there is|what there is)", takes_there),
    (rf"To be inside with {P}(?:, {FIRST_IS},)? it takes a limit of {H} \(90 % interval {H} to {H}(?:, by (?:both|all four) answers)?\): (?:(\d+) min (more than there is|less than there is)|what there is)(?: \((\d+) min( less)? to (\d+) min(?: more)?\))?", takes),
    (rf"Half of the finishes over {H} are over by (\d+) min or more(?:, {FIRST_IS})?",
     lambda m, s: all_of(limit_is(m, s, 1), eq(m.group(2), s["forecast"]["half_of_over_late_min"], whole))),
    (rf"Without a model: (?:in the pool, )?(?:of the {WORD} complete rehearsals{BY_RULES} {WORD.replace('no|', 'none|')} (?:was|were) over {H} \({H} to {H}, holds left out\)"
     rf"|the only complete rehearsal{BY_RULES} was (over|within) {H} \({H}, holds left out\)|no rehearsal was complete, so none stands against {H})(?:(?:, with work done that the plan drops on such a day; by its drop rules|; \w+ of the \w+ did work that the plan drops on such a day, and had the drop rules been kept,) [^.;]*?\([^)]*\))?(?:; (?:the incomplete (one)|of the {WORD} incomplete {WORD}) (?:was|were) over it all the same, holds left out)?", rehearsed),
    (rf"(\d+) tasks? \({NAME}(?:; {NAME})*(?:; and \d+ more)?\) (?:is|are) judged or known from elsewhere, and no carry-over from the pool applies: what the plan says is taken as it stands, and must be minutes of the excursion"
     rf"(?:; by the history work takes longer outside than in the pool: [^.]+? [\d.]+ times(?:, [^.]+? [\d.]+ times)*)?", as_they_stand),
    (rf"(?:Shown to lower the risk, left out from the start(?:, {FIRST_IS})?: |; ){NAME}, {N} of 100, fewer by {GAIN}", left_out),
    (rf"[Ee]ach drop time alone: (?:(?:; and |; )?{DROP_GAIN})+|he drop times?: (?:(?:, )?(?:fewer|more) by {GAIN}(?: \({NAME}\))?)+(?=, which only more)|; {DROP_GAIN}(?:; {DROP_GAIN})*(?=, which only more)", drop_gains),
    (r"Monte Carlo error of the differences (?:(?:up to )?(below 0\.01|[\d.e-]+) of 100, of how much earlier )?(?:up to )?(below 0\.001|[\d.e-]+) min", whatif_errors),
    (rf"Always dropped, shown to lower the risk further: .*?\), fewer by {GAIN}(?:; .*?\), fewer by {GAIN})*", left_out_further),
    (r"Always dropped, none of this is shown to lower the risk further", lambda m, s: holds(not any(map(sooner_helps, s["forecast"]["drop_rules"])), "one is")),
    (rf"Half of the finishes come by {H}, 80 of 100 by {H}, 95 of 100 by {H}(?:; ({ASSUMED}) by {H}, {H} and {H})?", finishes_by),
    (rf"Half of the finishes come by {H}, later than the median timeline ends, at {H}",
     lambda m, s: all_of(eq(m.group(1), s["forecast"]["finish"]["quantiles_min"]["0.5"], hmm), eq(m.group(2), s["pad"]["median_timeline_min"], hmm),
                         holds(half_up(s["forecast"]["finish"]["quantiles_min"]["0.5"]) > half_up(s["pad"]["median_timeline_min"]), "it is not later"))),
    (rf"By (?:the plan's (?:own|most likely) times|the times that the plan gives) all would be done by {H}, (?:(\d+) min (before|after) half of the finishes have come|as half of the finishes)(?:, {FIRST_IS})?", planned),
    (rf"\u00b7 limit {H} \u00b7", lambda m, s: limit_is(m, s, 1)),
    (rf"\u00b7 limits {H}(?:, {H})* \u00b7", lambda m, s: holds(re.findall(H, m.group(0)) == [hmm(l["minutes"]) for l in s["forecast"]["limits"]], "the limits")),
    (rf"((?:{WORD} tasks?|A slow or fast day|[Ww]hat is not yet known|[Ww]ho does it|[Ss]everal causes acting together|Three tasks|Two tasks|One task)) (?:carry|carries) {P} of what makes the finish uncertain(?:, (\D+?|\w+ tasks?) {P})?",
     lambda m, s: carriers(Shift(m, (1, 3, 4, 5)), s)),
    (rf"^.*?{P}[\u25cf\u25a1]*$", None),
    # advice
    (rf"Allow {MIN} more than planned for {NAME}", allow),
    (rf"{NAME}, {H}, is not kept as surely as wanted(, even begun on time)?", no_slack),
    (rf"it must begin by {H}, with (only) (\d+) min of slack(?:, for {NAME}(?:, read from when {NAME} begins)?)?(?:; {WORD} other tasks? ha(?:s|ve) as little)?", watch), (rf"it must begin by {H}, (\d+) min before (it usually does)?", lambda m, s: True),
    (rf"(?:Drop |, ){NAME}(?: if it cannot begin)? by {H}(?: \(the plan says {H}, which drops it less often\))?", ANY),
    (rf"With more trials it may be said \(--trials\) whether dropping {NAME} when late \(after {H}\)(?:; {NAME} when late \(after {H}\))* helps a limit: (?:that|each of these) alone",
     lambda m, s: all_of(*(any_of(all_of(eq(at, r["drop_after_min"], hmm), holds(r["rule_awaits_trials"], "more trials would not tell")) for r in s["forecast"]["drop_rules"]) for at in re.findall(rf"after {H}", m.group(0))))),
    (rf"(?:Do not count on dropping|Drop together, or count on none:) {NAME} when late \(after {H}\)(?:; {NAME} when late \(after {H}\))*: (?:that|each of these) alone is not shown to help any limit",
     lambda m, s: all_of(*(any_of(eq(at, r["drop_after_min"], hmm) for r in s["forecast"]["drop_rules"]) for at in re.findall(rf"after {H}", m.group(0))))),
    (rf"Mend the log first: {WORD} of its rows? (?:was|were) rejected, (?:the first )?(?:{NAME}|\S+?):\d+",
     lambda m, s: holds(m.group(1) == number_word(s["check"]["rows"]["rejected"]), "how many rows were rejected")),
    (rf"(?:Rehearse {WORD} more times? if the answer(?: on the limit {NAME})? is worth it|Rehearsing {WORD} more times? would hardly bring the answer(?: on the limit {NAME})?): (?:\u201cinside\u201d takes four complete rehearsals{BY_RULES}, of which there (?:is|are) (none|one|two|three); after {WORD} more )?the interval(?: would narrow from ([\d.]+) to about ([\d.]+) of 100, by about {P} \(\u00b1 {P}\)|, now ([\d.]+) of 100 wide, would (?:hardly narrow|rather widen, on average|narrow by no more than these simulations can tell)), and the answer be "
     rf"(?:\u201c[a-z ]+\u201d in {N} of 100 cases(?:, \u201cnot inside\u201d in {N})?|clear in fewer than 1 of 100 cases)", widths),
    (rf"On the limit {NAME}, after as many: the interval(?: would narrow from ([\d.]+) to about ([\d.]+) of 100, by about {P} \(\u00b1 {P}\)|, now ([\d.]+) of 100 wide, would (?:hardly narrow|rather widen, on average|narrow by no more than these simulations can tell)), and the answer be "
     rf"(?:\u201c[a-z ]+\u201d in {N} of 100 cases(?:, \u201cnot inside\u201d in {N})?|clear in fewer than 1 of 100 cases)", widths_beside),
    (r"(\d+) met \u00b7 (\d+) not met \u00b7 (\d+) not enough evidence",
     lambda m, s: holds(tuple(int(g) for g in m.groups()) == (s["ready"]["met"], s["ready"]["not_met"], s["ready"]["not_enough_evidence"]), "the tally")),
    (r"(\d+) of (\d+) criteria met, (\d+) not met(?:, for (\d+) there)?",
     lambda m, s: holds(int(m.group(1)) == s["ready"]["met"] and int(m.group(3)) == s["ready"]["not_met"] and int(m.group(4) or 0) == s["ready"]["not_enough_evidence"], "the tally")),
    (r"no criteri\w+ met", ANY),
    # rehearsals
    (rf"Rehearsals get (shorter|longer), by {P} to {P} with each doubling of their number",
     lambda m, s: (lambda t: all_of(trend_named(m.group(1), t),
                                    *[eq(m.group(2 + i), abs(v), percent) for i, v in enumerate(sorted(t["per_doubling_interval"], key=abs))]))(s["compare"]["length_trend"])),
    (rf"No trend is shown: with each doubling of their number rehearsals change by {CHANGE} % to {CHANGE} %",
     lambda m, s: (lambda t: all_of(trend_named(None, t), *[eq(m.group(1 + i), 100 * v, signed) for i, v in enumerate(t["per_doubling_interval"])]))(s["compare"]["length_trend"])),
    (r"The rehearsals get (shorter|longer)\.", lambda m, s: trend_named(m.group(1), s["compare"]["length_trend"])),
    (r"Whether the rehearsals get shorter or longer cannot be told yet", lambda m, s: trend_named(None, s["compare"]["length_trend"])),
    (r"Their tasks (settle \(converge\)|do not settle)", lambda m, s: trend_named(m.group(1), s["compare"]["spread_trend"])),
    (r"Whether their tasks settle \(converge\) cannot be told yet", lambda m, s: trend_named(None, s["compare"]["spread_trend"])),
    (rf"Minutes of their tasks together, each doubling of rehearsals: {CHANGE} % \({CHANGE} % to {CHANGE} %, 90 % interval", lambda m, s: trend(m, s["compare"]["length_trend"])),
    (rf"the minutes of their tasks together change by {CHANGE} % \(90 % interval {CHANGE} to {CHANGE} %\)(: no trend is shown)?", lambda m, s: trend_shown(m, s["compare"]["length_trend"])),
    (rf"each task counted alike, times change by {CHANGE} % \(90 % interval {CHANGE} to {CHANGE} %\)(: no trend is shown)?", lambda m, s: trend_shown(m, s["compare"]["trend"])),
    (rf"With each doubling of rehearsals times change by {CHANGE} %, each task counted alike(?:; their minutes together by {CHANGE} %)?",
     lambda m, s: all_of(*[eq(g, 100 * s["compare"][key]["per_doubling"], signed) for g, key in zip(m.groups(), ("trend", "length_trend")) if g],
                         holds(sign(s["compare"]["trend"]) != sign(s["compare"]["length_trend"]), "both show the same"))),
    (r"Not in the minutes: (\d+) rehearsals? of which less than three quarters were seen",
     lambda m, s: holds(int(m.group(1)) == sum(r["length_seen"] is not None and r["length_log"] is None for r in s["compare"]["runs"]), "how many runs")),
    (rf"changes by {CHANGE} % with each doubling \(90 % interval {CHANGE} to {CHANGE} %\): (it is not shown|the tasks settle|the tasks do not)",
     lambda m, s: all_of(trend(m, s["compare"]["spread_trend"]), trend_named({"the tasks settle": "shorter", "the tasks do not": "longer"}.get(m.group(4)), s["compare"]["spread_trend"]))),
    (rf"with each doubling of rehearsals (?:{WORD} gets? (?:shorter|longer): {NAME} \({CHANGE} %\)(?:, {NAME} \({CHANGE} %\))*(?:; )?)+", told_tasks),
    (r"(\d+) tasks? (?:is|are) shown to get longer over the rehearsals",
     lambda m, s: holds(int(m.group(1)) == sum(t["told"] and t["per_doubling"] > 0 for t in s["compare"]["task_trends"]), "how many tasks get longer")),
    (rf"{NAME}'?, {CHANGE} % with each doubling: the forecast takes (\d+) min(?:, without that credit (\d+))?, by its own trend (\d+)",
     lambda m, s: all_of(any_of(eq(m.group(1), 100 * t["per_doubling"], signed) for t in s["compare"]["task_trends"] if t["told"] and t["per_doubling"] > 0),
                         any_of(eq(m.group(2), t["median_min"], whole) for t in s["forecast"]["tasks"]), holds(int(m.group(3) or m.group(2)) >= int(m.group(2)), "credited with less"))),
    (rf"By (?:that|their own trends) about (\d+) of 100 would go over '?{NAME}'?, {H}, where the forecast has (\d+\.\d)",
     lambda m, s: all_of(any_of(abs(float(m.group(3)) - 100 * l["probability_over"]) < 0.051 and m.group(2) == hmm(l["minutes"]) for l in s["forecast"]["limits"]),
                         holds(float(m.group(1)) >= float(m.group(3)) - 0.5, "more would go over"))),
    (rf"all (\d+) that were done at least \d+ times|(?:Of|[Oo]f the) (\d+) tasks (?!held)(?:done at least \d+ times)?|all (\d+) looked at together",
     lambda m, s: holds(int(next(g for g in m.groups() if g)) == sum(t["per_doubling"] is not None for t in s["compare"]["task_trends"]), "how many tasks")),
    (rf"(?i){WORD} rehearsals took {H} to {H}", ANY), (rf"{WORD} more planned times? (?:is|are) shorter than median and pad", planned_short),
    (rf"most uncertain \({P} of it\)|most so {NAME} \({P} of it\)|most so \u201c{NAME}\u201d \({P} of it\)", lambda m, s: own_task(Shift(m, (next(i for i in (1, 2, 3) if m.group(i)),)), s)),
    (rf"{H} to {H}, 8 times in 10|(\d+) to (\d+) min, 8 times in 10", ANY),
    (rf"typically by {P} \(90 % interval {CHANGE} to {CHANGE} %\)",
     lambda m, s: (lambda e: all_of(eq(m.group(1), e[0] / 100, percent), eq(m.group(2), e[1], short), eq(m.group(3), e[2], short)))(
         effect({"value": s["fit"]["run_effect"]["sd_log"], "interval": s["fit"]["run_effect"]["interval"]}))),
    (rf"slow or fast by {P} \({CHANGE} to {CHANGE} %\), one twice as long by ([\d.]+) \(([\d.]+) to ([\d.]+)\) times that; tasks of one length differ in it by a factor of ([\d.]+) \(([\d.]+) to ([\d.]+)\)",
     lambda m, s: (lambda e: all_of(eq(m.group(1), e[0] / 100, percent), eq(m.group(2), e[1], short), eq(m.group(3), e[2], short)))(
         effect({"value": s["fit"]["spread"]["sd_log"], "interval": s["fit"]["spread"]["interval"]}))),
    (rf"In the forecast each doubling of the number of rehearsals changes the times by {CHANGE} % \({CHANGE} to {CHANGE} %\)( \(no trend is shown\))?",
     lambda m, s: all_of(per_cent_of_log(m, s["fit"]["learning"], 1, LN2), holds(bool(m.group(4)) == crosses(s["fit"]["learning"]["interval"]), "shown or not"))),
    # planning
    (rf"To be done in ([\d.]+) of 100 cases allow {H}(?: \(90 % interval {BETWEEN}(?:, by (?:both|all four) answers)?\))?: the median timeline of {H} and a reserve of (\d+) min, a factor of ([\d.]+)\. (\d+) of (\d+) planned times are shorter than median and pad, (\d+) missed more often than kept\. "
     rf"Padding every task to its own ([\d.]+) of 100 (would pad twice: it asks|would fall short: it asks only|asks the same:) {H}, which holds in {N} of 100", pad_sentence),
    (rf"The padded timeline (breaks|on) \u201c{NAME}\u201d: from the begin of \u201c{NAME}\u201d to the end of \u201c{NAME}\u201d it takes {H}"
     rf"(?:, (\d+) min more than| of) the {H} allowed(?: \(the median timeline {H}\))?", pad_clock),
    (rf"must begin sooner for \u201c{NAME}\u201d, a clock of its own: by {H} on it, {H} elapsed if it begins as usual", sooner_on_clock),
    (rf"Waiting, lane by lane:(?: {NAME}:(?: {NAME} \d+:\d\d,?)+)+", waiting_of_lanes),
    (rf"With these times every checkpoint is kept in {N} of 100; to keep all of them in the wanted share, the finish is at {H}",
     lambda m, s: all_of(eq(m.group(1), s["pad"]["probability_all_checkpoints_kept"], of100_words), eq(m.group(2), s["pad"]["together"]["finish_min"], hmm))),
    (rf"The timeline needs (\d+) min of reserve for {P} confidence(?: by the first of \w+ answers)?; (\d+) of (\d+) planned times (?:is|are) shorter than median and pad",
     lambda m, s: all_of(holds(int(m.group(1)) == half_up(s["pad"]["finish_quantile_min"]) - half_up(s["pad"]["median_timeline_min"]), "the reserve"), eq(m.group(2), s["pad"]["confidence"], percent))),
    (rf"(?:finish together|are done|is done) between {H} and {H}, 8 times in 10", eighty),
    (rf"waits longest, (\d+) min in all", lambda m, s: holds(int(m.group(1)) == max(half_up(c["waiting_min"]) for c in s["forecast"]["crews"]), "the longest wait")),
    (rf"limit that ([\d.]+) in 100 keep(?: lies)? anywhere from {H} to {H}",
     lambda m, s: True if needed(s) is None else all_of(eq(m.group(2), needed(s)[1][0], hmm), eq(m.group(3), needed(s)[1][1], hmm))),
    (rf"The (?:limit|rehearsals).*?{H}", ANY),
    (rf"{NAME} \(dropped on {N} of 100\)", lambda m, s: any_of(
        eq(m.group(1), r["dropped"], of100_words) for r in s["forecast"]["drop_rules"] + ((s["cutoff"]["now"] or {}).get("drops") or []))),
    (rf"With all of it done half of the finishes would come by {H}(?:, and {N} of 100 go(?:es)? over {H})?(?:, {FIRST_IS})?", lambda m, s: all_of(
        eq(m.group(1), s["forecast"]["drop_rules"][0]["finish_p50_all_done_min"], hmm),
        True if m.group(2) is None else all_of(eq(m.group(2), s["forecast"]["drop_rules"][0]["over_all_done"], of100_words), limit_is(m, s, 3)))),
    (rf"Not all work is in the {H} at its end", lambda m, s: eq(m.group(1), s["pad"]["finish_quantile_min"], hmm)),
    (rf"With all of it done {N} of 100 cases take {H}", lambda m, s: all_of(
        eq(m.group(1), s["pad"]["confidence"], of100_words), eq(m.group(2), s["pad"]["all_done_min"], hmm))),
    (r"[Ww]hat drop times change rests on (\d+) days of each draw; Monte Carlo error (?:up to )?(below 0\.01|[\d.e-]+) of 100", rules_rest),
    (r", (\d+) days of each of (\d+) draws? \(for when half are done: (\d+) trials\)",
     lambda m, s: holds([int(g) for g in m.groups()] == [s["whatif"][k] for k in ("days_per_draw", "draws", "trials")], "what it rests on")),
    (rf"(?:(?:[Tt]ogether t|[Tt])he drop times? |, )(takes?|adds?) {CHANGE} of 100 (?:off|to) those over the limit(?: {NAME})? \(90 % interval (<?[\d.]+) to {CHANGE}\)", rules_buy),
    (rf"leaves {H} as sure as the {P} wanted", lambda m, s: all_of(limit_is(m, s, 1), eq(m.group(2), s["cutoff"]["limits"][0]["confidence"], percent))),
    (rf"leaves {H} less sure than the {P} wanted", lambda m, s: all_of(limit_is(m, s, 1), eq(m.group(2), s["cutoff"]["limits"][0]["confidence"], percent),
        holds(("Even begun" in m.string) == (s["cutoff"]["limits"][0]["probability_over"] > 1 - s["cutoff"]["limits"][0]["confidence"]), "kept or not"))),
    (rf"(?:May be dropped: )?{NAME}, not begun after {H}", lambda m, s: any_of(eq(m.group(1), r["drop_after_min"], hmm) for r in s["forecast"]["drop_rules"])),
    (rf"(?<!begins later, or )[Nn]ot known to better than (\d+) min(?:, and put (\d+) min early for it)?", lambda m, s: holds(any(half_up(t["mc_error_min"]) == int(m.group(1)) > 4
                                                                  and half_up(t["early_min"]) == int(m.group(2) or 0) for l in s["cutoff"]["limits"] for t in l["tasks"]
                                                                  if t["mc_error_min"] is not None), "no cut-off has that error")),
    (rf"these times are for a limit of {H} and {P}", ANY),
    # the record, further rehearsals
    (rf"From the rehearsals before it only\. (\d+) of (\d+) complete rehearsals?", lambda m, s: record(m, s["backtest"]["predecessors_only"])),
    (rf", and (\d+) of (\d+) where forecast from earlier rehearsals only", lambda m, s: record(m, s["backtest"]["predecessors_only"])),
    (rf"^(\d+) of (\d+) complete rehearsals?", lambda m, s: record(m, s["backtest"])),
    (rf"though (\d+) cannot show much|Of (\d+), a sound forecast has (\d+) or more inside in (\d+) of 100|A sound forecast of (\d+) may well have none inside", ANY),
    (rf"Single tasks: (\d+) of (\d+) times \({P}\) inside the 80 % band, (\d+) inside the 95 % band",
     lambda m, s: (lambda t: all_of(holds(int(m.group(1)) == sum(x["inside80"] or 0 for x in t), "inside 80"), holds(int(m.group(2)) == sum(x["forecasts"] for x in t), "of all"),
                                    holds(int(m.group(4)) == sum(x["inside95"] or 0 for x in t), "inside 95")))(s["backtest"]["tasks"])),
    (r"Without any model: not enough to say\. It takes three totals, [^;]*; here (?:none counts|one counts|two count)", lambda m, s: holds(s["fit"]["without_model"] is None, "it is given")),
    (rf"(?:[A-Z][a-z]+|\d+) rehearsals? left out of the totals, too much of which is missing, took longer than that all the same, up to {H}",
     lambda m, s: holds(sum(n * int(x) for n, x in zip((60, 1), m.group(1).split(":"))) >= s["fit"]["without_model"]["quantiles_min"]["0.9"] - 1, "it is not longer")),
    (rf"(\w+) of the (\w+) rehearsals (?:is|are) left out of the totals, too much of which is missing: (?:it|the longest) took at least {H}", left_out_totals),
    (rf"from (\d+) totals alone(, with all work done, also what the plan may drop)?(?: \(in [a-z]+ of them the usual time stands in for what was not done or is not known(?:; [a-z]+ tasks? that no rehearsal timed counts? as planned or judged)?\))?: the next rehearsal's finish, in the pool, by {H} as likely as not, 80 of 100 from {H} to {H}", total),
    (r"[Tt]he forecast's middle lies (less than 1|\d+) % (above|below) that of the (\d+) replayed totals(?:, moved along the learning to the run that is forecast)?"
     r"((?:, | and )with all work done in both)?(, and these scatter more than it foresees)?(?:: (no more|more) than chance explains|\. But that learning, )", off_totals),
    (rf"But that learning, {CHANGE} % with each doubling, moved them; by their own trend, {CHANGE} % \(90 % interval {CHANGE} to {CHANGE} %\), the middle lies from {H} to {H}", own_trend),
    (rf"short tasks drive the learning that all are credited with: ([-+][\d.]+) % with each doubling of the rehearsals, where the minutes of all together change by ([-+][\d.]+) % \(90 % interval ([-+][\d.]+) to ([-+][\d.]+)\)\. By that trend half of the finishes would come about \d+ min later",
     lambda m, s: (lambda t: all_of(*[holds(m.group(2 + i) == f"{100 * v:+.1f}", "the minutes' trend") for i, v in enumerate((t["per_doubling"], *t["per_doubling_interval"]))],
                                    holds(float(m.group(1)) < float(m.group(2)), "what is credited is more")))(s["compare"]["length_trend"])),
    (rf"narrow the interval by about {P} \(\u00b1 {P}\)", narrower),
    (r"One more rehearsal would narrow the interval by no more than these simulations can tell", not_told_narrower),
    (r"The line lies at the middle height of the (\d+) complete rehearsals", lambda m, s: holds(int(m.group(1)) == sum(r["complete"] for r in s["compare"]["runs"]), "complete ones")),
    (r"The interval is less than 1 of 100 wide", lambda m, s: holds(any(l["further"][0]["width"] < 0.01 for l in needed_limits(s)), "it is wider")),
    (rf"the answer(?: on this limit)? (?:would be|is clear now, and would be) (?:clear in fewer than 1 of 100 cases, even after {WORD}"
     rf"|\u201c[a-z ]+\u201d (?:not after {WORD}, with fewer than four complete rehearsals then, but )?after {WORD} in {N} of 100 cases(?:, after {WORD} in {N})?(?:; \u201cnot inside\u201d after {WORD} in {N} of 100 cases(?:, after {WORD} in {N})?)?)", clear_after),
    (rf"would remove about {P} \(\u00b1 {P}\) of what is not known about the probability(?: to go over \u201c{NAME}\u201d)?, \w+ more rehearsals? {P}", session),
    (rf"that would remove most, of (\d+) tasks", lambda m, s: holds(int(m.group(1)) == len(s["runs-needed"]["sessions"]), "how many tasks")),
    # the log
    (r"(\d+) rows (?:of the log were )?read: (\d+) accepted(?: \((\d+) (?:a duplicate|duplicates), not counted again\))?, (\d+) rejected",
     lambda m, s: holds([int(g or 0) for g in m.groups()] == [s["check"]["rows"][k] for k in ("read", "accepted", "duplicate", "rejected")], "the rows")),
    (r"(\d+) tasks in (\d+) lanes", lambda m, s: holds(int(m.group(1)) == len(s["check"]["tasks"]) and int(m.group(2)) == len(s["check"]["lanes"]), "tasks and lanes")),
    (r"check of the step log, (\d+) runs?|Runs: (\d+) kept", lambda m, s: holds(int(m.group(1) or m.group(2)) == len(s["check"]["runs"]), "the runs")),
    (rf"(?:by|as in) one of the {WORD} rehearsed line-ups at random", lambda m, s: holds(m.group(1) == number_word(s["forecast"]["line_ups"]), "the line-ups")),
    (rf"done by {NAME} in {NAME}", ANY),
    (r"from (\d+) rehearsals|\u00b7 (\d+) rehearsals", lambda m, s: holds(int(m.group(1) or m.group(2)) == len(s["check"]["runs"]), "the rehearsals")),
    (r", (\d+) complete\b", lambda m, s: holds(int(m.group(1)) == sum(r["complete"] for r in s["check"]["runs"]), "the complete ones")),
    (r"a disc for each full ten of 100 in time, rounded to whole ones first", ANY),  # the discs themselves: check_marks_of_the_card
    (r"Findings: .*", ANY), (r"Found, and may move this: .*", ANY), (r":\d+(:\d+)?: (note|warning|error): .*", ANY),
    (rf"Work that the plan does not have is in none of these columns: (?:(?:; )?{NAME}, {H})+",
     lambda m, s: holds(re.findall(H, m.group(0)) == [hmm(r["off_plan_min"]) for r in s["compare"]["runs"] if r["off_plan_min"] > 0], "the times")),
    # one rehearsal
    (r"Forecast is the work that the run did: what it skipped and the plan may drop is left out, and nothing else is dropped", ANY),
    (rf"(?:done at|all done at|not complete, at least) {H} without holds(?:, though how long some work took is not known)?;( with nothing dropped| without {WORD} tasks? that it skipped and the plan may drop)? the other rehearsals led one to expect {H}(?: at pool pace)?, 80 of 100 from {H} to {H}\. (?:Its times through the plan that is forecast(?:, of which nothing is missing,)? end at {H}(?:, at least)?\. )?{N} of 100 forecast finishes are earlier than that", debrief_first),
    (r"Of (\d+) tasks held against the forecast (\d+) (?:was|were) slow and (\d+) fast", lambda m, s: holds([int(g) for g in m.groups()] == [s["debrief"][k] for k in ("judged", "slow", "fast")], "how many")),
    (r"about (\d+) would be by chance", lambda m, s: eq(m.group(1), 0.2 * s["debrief"]["judged"], lambda x: f"{x:.0f}")),
    (rf", and {MIN} more that may hold work whose time is not known", lambda m, s: eq(m.group(1), s["debrief"]["unknown_min"], short)),
    (rf"Holds {MIN}, lead-ins and gaps {MIN}", lambda m, s: all_of(eq(m.group(1), s["debrief"]["hold_min"], short), eq(m.group(2), s["debrief"]["unlogged_min"], short))),
    (rf"Waiting for others or for a set time: .*?min\.", lambda m, s: holds([float(x) for x in re.findall(r"([\d.]+) min", m.group(0))] == [float(short(w["minutes"])) for w in s["debrief"]["waiting"]], "the waits")),
    (rf"Ranks \d+ and \d+ are not told apart", ANY),
]


class Shift:
    """A match of which only these groups count."""

    def __init__(self, m, groups):
        self.m, self.groups = m, groups

    def group(self, i):
        return self.m.group(0) if i == 0 else self.m.group(self.groups[i - 1])


def check_sentences(where, text, screens, criteria):
    """Faults of one block of text whose names are masked."""
    faults, left = [], text
    for c in criteria:
        left = left.replace(c, " ")
    for pattern, check in PATTERNS:
        while True:
            m = re.search(pattern, left)
            if not m or m.group(0) == "":
                break
            if check:
                try:
                    answer = check(m, screens)
                except (StopIteration, KeyError, IndexError, TypeError) as e:
                    answer = f"nothing to hold it against ({type(e).__name__} {e})"
                if answer is not True:
                    faults.append(f"{where}: '{m.group(0)}': {answer}")
                left = left[:m.start()] + " \u2026 " + left[m.end():]
            else:
                break
    for pattern in DEFINED:
        left = re.sub(pattern, " ", left)
    if re.search(r"\d", left):
        faults.append(f"{where}: a number that no definition covers: '{left.strip()[:300]}' in '{text[:300]}'")
    return faults
