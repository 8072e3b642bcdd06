. "$TOP/tests/cli/expect.sh"
# Where there is a history of earlier excursions the answer for the next rehearsal is not all that is said: the one for the
# excursion stands beside it, is the one that is given when it is asked for, and nothing else goes by it.
campaign
expect 0 "$WETRUN" forecast campaign --for excursion -f json; cp out asked; json "d['excursion_answer'] is None and not d['history_unused']"
expect 0 "$WETRUN" forecast campaign -f json; cp out unasked; in_err "uses no history of earlier excursions"
cat >same.py <<'P'
import json, sys
asked, beside = json.load(open("asked")), json.load(open(sys.argv[1]))["excursion_answer"]
assert beside["finish_p50_min"] == asked["finish"]["quantiles_min"]["0.5"], beside
assert beside["finish_p50_interval_min"] == asked["finish"]["quantiles_interval_min"]["0.5"], beside
assert len(beside["limits"]) == len(asked["limits"]) == 3
for a, b in zip(beside["limits"], asked["limits"]):
    assert all(a[key] == b[key] for key in ("limit", "probability_over", "interval", "mc_error")), (a, b)
assert beside["any_limit_over"] == asked["any_limit_over"] and beside["any_limit_over_interval"] == asked["any_limit_over_interval"]
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
# a history of other work than was rehearsed bears no firm answer
sed -i '2,$s/,[a-z]*,/,other,/' campaign/history.csv
expect 0 "$WETRUN" forecast campaign -f json; json "not d['excursion_answer']['may_be_firm'] and d['may_be_firm']"
expect 0 "$WETRUN" forecast campaign; said out "this answer may not be firm"
exit 0
