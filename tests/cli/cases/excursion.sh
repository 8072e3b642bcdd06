. "$TOP/tests/cli/expect.sh"
# Where there is a history of earlier excursions the answer for the next rehearsal is not all that is said: the one for the
# excursion stands beside it, is the one that is given when it is asked for, and nothing else goes by it.
campaign
expect 0 "$WETRUN" forecast campaign --for excursion -f json; cp out asked; json "d['excursion_answer'] is None and not d['history_unused']"
expect 0 "$WETRUN" forecast campaign --for excursion; cp out asked.text
expect 0 "$WETRUN" forecast campaign -f json; cp out unasked; in_err "uses no history of earlier excursions"
cat >same.py <<'P'
import json, re, sys
asked, beside = json.load(open("asked")), json.load(open(sys.argv[1]))["excursion_answer"]
assert beside["finish_p50_min"] == asked["finish"]["quantiles_min"]["0.5"], beside
assert beside["finish_p50_interval_min"] == asked["finish"]["quantiles_interval_min"]["0.5"], beside
assert len(beside["limits"]) == len(asked["limits"]) == 3
for a, b in zip(beside["limits"], asked["limits"]):
    assert all(a[key] == b[key] for key in ("limit", "probability_over", "interval", "mc_error")), (a, b)
assert beside["any_limit_over"] == asked["any_limit_over"] and beside["any_limit_over_interval"] == asked["any_limit_over_interval"]
percent = round(100 * asked["confidence"])
takes = re.search(rf"inside with {percent} %.{{0,40}} it takes a limit of (\d+):(\d\d) \(90 % interval (\d+):(\d\d) to (\d+):(\d\d)[,)]", " ".join(open("asked.text").read().split()))
shown = [60 * int(h) + int(m) for h, m in zip(takes.groups()[::2], takes.groups()[1::2])]
for at, value in zip(shown, [beside["limit_needed_min"]] + beside["limit_needed_interval_min"]):
    assert abs(at - value) <= 0.5 + 1e-9, (shown, beside)
assert beside["limits"][0]["probability_over"] > 2 * json.load(open("unasked"))["overrun"]["probability"], "the case tells nothing"
P
python3 same.py unasked || fail "the answer beside the forecast is not the one that is given when asked"
expect 0 "$WETRUN" forecast campaign -f csv
python3 - <<'P' || fail "the CSV has not the answer for the excursion"
import csv, json
asked, row = json.load(open("asked")), next(csv.DictReader(open("out")))
over = asked["overrun"]
for key, value in (("finish_p50_min", asked["finish"]["quantiles_min"]["0.5"]), ("probability_over", over["probability"]),
                   ("probability_over_lo", over["interval"][0]), ("probability_over_hi", over["interval"][1])):
    assert abs(float(row["excursion_" + key]) - value) < 1e-9, (key, row["excursion_" + key], value)
P
# asked for the rehearsal, or without a history, there is nothing beside, and the rest is the same to the last digit
expect 0 "$WETRUN" forecast campaign --for rehearsal -f json; cp out rehearsal; json "d['history_unused'] and d['excursion_answer'] is None"
mkdir bare; cp campaign/*.csv bare; rm bare/history.csv
expect 0 "$WETRUN" forecast bare -f json; cp out bare.json; in_err "may go differently"; json "d['excursion_answer'] is None and not d['history_unused']"
python3 - <<'P' || fail "the answer for the excursion moves that for the rehearsal"
import json
unasked, rehearsal, bare = (json.load(open(name)) for name in ("unasked", "rehearsal", "bare.json"))
for key in unasked:
    if key not in ("excursion_answer", "history_unused", "caution", "inputs", "campaign", "findings", "options"):
        assert unasked[key] == rehearsal[key] == bare[key], key
P
expect 0 "$WETRUN" forecast campaign --for rehearsal; not_in out "Earlier excursions"
expect 0 "$WETRUN" forecast bare; not_in out "Earlier excursions"
# in words, before any number that may be taken for one of the excursion
said() { tr -s '\n ' ' ' <"$1" >line; grep -qF -- "$2" line || { head -n 20 "$1"; fail "not said: $2"; }; }
of=$(python3 -c "
import json; a = json.load(open('asked')); n = lambda p: '<1' if 100 * p < 1 else '%.0f' % (100 * p)
print('%s of 100 excursions go over the 6:30 limit (%s to %s)' % (n(a['overrun']['probability']), *map(n, a['overrun']['interval'])))")
expect 0 "$WETRUN" forecast campaign; narrow out; said out "Earlier excursions (history.csv) are not used in this, which is about the next rehearsal, at pool pace. For the excursion, with them, half of the finishes come by"
for c in pad cutoff runs-needed "whatif --drop HINGE"; do
  expect 0 "$WETRUN" $c campaign; narrow out; said out "not used in this, which is about the next rehearsal, at pool pace: with them $of, and \`--for excursion\`"
done
expect 1 "$WETRUN" ready campaign; said out "with them $of"; said out "upper point 19; of the next rehearsal; of the excursion ${of%% *} of 100 (2 to"
expect 1 "$WETRUN" ready campaign --for rehearsal; cp out alone; tr -s '\n ' ' ' <alone >line; not_in line "of the excursion"
# the day costs nothing, and is told from the excursion all the same
expect 0 "$WETRUN" cutoff campaign --now SHADE@4:05; said out "at pool pace: \`--for excursion\` answers for the excursion."
expect 0 "$WETRUN" cutoff campaign --now SHADE@4:05 -f json; json "d['history_unused'] and d['excursion_answer'] is None"
expect 0 "$WETRUN" daysheet campaign --out day.html; grep -qF "Earlier excursions (history.csv) are not used" day.html || fail "the day's page keeps silent"
# the page: on the first screen whole, above the work of each reader, and before all advice
expect 0 "$WETRUN" report campaign --trials 4000 --out page; python3 - "$of" <<'P' || fail "the page may be taken for one about the excursion"
import html, json, re, sys
page = open("page/report.html", encoding="utf-8").read()
plain = re.sub(r"\s+", " ", html.unescape(re.sub(r"<script.*?</script>|<[^>]*>", " ", page, flags=re.S)))
first = plain[:plain.index("If you train the crew")]
assert first.count("For the excursion, with them, half of the finishes come by") == 1, first
assert "Do next Look at the excursion before you decide on it" in plain, "no advice"
for part in ("If you plan the timeline", "If you sit at the console", "If you review readiness"):
    assert "which is about the next rehearsal, at pool pace" in plain[plain.index(part):][:3000], part
P
expect 0 "$WETRUN" forecast campaign --trials 4000 -f json
json "json.load(open('page/report.json'))['forecast']['excursion_answer'] == d['excursion_answer'] is not None"
expect 0 "$WETRUN" report campaign --trials 4000 --for rehearsal --out page; grep -qF "Look at the excursion" page/report.html && fail "who asks for the rehearsal is told of the excursion"
# after a long gap both have a worse answer: the excursion's own stands beside it, and the rehearsal's is not taken for it
expect 0 "$WETRUN" forecast campaign --for excursion --on 2031-06-30; cp out asked.text
expect 0 "$WETRUN" forecast campaign --for excursion --on 2031-06-30 -f json; cp out asked
expect 0 "$WETRUN" forecast campaign --on 2031-06-30 -f json; cp out gap; python3 same.py gap || fail "another answer after a gap"
cat >worse.py <<'P'
import json
asked, here = json.load(open("asked")), json.load(open("gap"))
beside = here["excursion_answer"]
assert beside["second_answers"] == asked["second_answers"] and len(asked["second_answers"]) == 3
assert beside["second_finish_p50_min"] == asked["beside"][1]["finish_p50_min"] > asked["beside"][0]["finish_p50_min"]
assert beside["second_any_limit_over"] == asked["second_any_limit_over"] and beside["second_any_limit_over_hi"] == asked["second_any_limit_over_hi"]
n = lambda p: '<1' if 100 * p < 1 else '%.0f' % (100 * p)
count = lambda a, text="": n(a["probability_over"]) + text + " (%s to %s)" % tuple(map(n, a["interval"]))
first, worse, pool = asked["limits"][0], asked["second_answers"][0], here["second_answers"][0]
assert worse["probability_over"] > pool["probability_over"] + 0.1, "the case tells nothing"
print("with them, as if nothing was forgotten, %s, with 10 %% allowed for the gap %s, and" % (
    count(first, " of 100 excursions go over the 6:30 limit"), count(worse, " of 100 go over")))
print("; both of the next rehearsal; of the excursion %s, with 10 %% allowed for the gap %s" % (count(first, " of 100"), count(worse, " of 100 go over")))
print("With 10 %% allowed for the gap, of 100 rehearsals go over: excursion %s;" % count(pool))
print("and of 100 go over: excursion %s, by the worst answer %s;" % (count(first), count(worse)))
P
python3 worse.py >of || fail "the excursion's worse answer is not the one that is given when asked"
for c in pad cutoff runs-needed "whatif --drop HINGE"; do
  expect 0 "$WETRUN" $c campaign --on 2031-06-30; narrow out; said out "$(sed -n 1p of)"; said out "$(sed -n 3p of)"
done
expect 1 "$WETRUN" ready campaign --on 2031-06-30; said out "$(sed -n 1p of)"; said out "$(sed -n 2p of)"
expect 0 "$WETRUN" forecast campaign --on 2031-06-30 -f csv; python3 - <<'P' || fail "the CSV has another worse answer of the excursion"
import csv, json
row, worse = next(csv.DictReader(open("out"))), json.load(open("asked"))["second_answers"][0]
assert row["excursion_second_assumption"] == worse["assumption"]
for column, value in ("", worse["probability_over"]), ("_hi", worse["interval"][1]):
    assert abs(float(row["excursion_second_probability_over" + column]) - value) < 1e-9, column
P
# what nobody is credited with is not said to be
expect 0 "$WETRUN" report campaign --on 2031-06-30 --trials 4000 --out held; grep -q "Learning is credited" held/report.html && fail "no learning is credited after a gap"
said held/report.html "Learning is held at the last rehearsal, since the gap after it is longer than any between two."
expect 0 "$WETRUN" runs-needed campaign --learning off --trials 4000; said out "Learning was left out."; said out "what the crew learns was left out"
expect 0 "$WETRUN" forecast campaign --on 2031-06-30; said out "$(sed -n 4p of)"; said out "with them, as if nothing was forgotten, half of the finishes come by"
# a history of other work than was rehearsed bears no firm answer
sed -i '2,$s/,[a-z]*,/,other,/' campaign/history.csv
expect 0 "$WETRUN" forecast campaign -f json; json "not d['excursion_answer']['may_be_firm'] and d['may_be_firm']"
expect 0 "$WETRUN" forecast campaign; said out "this answer may not be firm"
exit 0
