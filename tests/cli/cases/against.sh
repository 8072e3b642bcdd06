# Two campaigns, two plans, or one campaign a rehearsal later, side by side: what changed, where from, and what is noise.
. "$TOP/tests/cli/expect.sh"
campaign
# the first nine tasks alone, to be quick
head -n 10 "$TOP/datasets/petrel-7/plan.csv" >campaign/plan.csv
ids=$(tail -n +2 campaign/plan.csv | cut -d, -f1 | paste -sd'|')
{ head -n 1 "$TOP/datasets/petrel-7/runs.csv"; grep -E "^[^,]*,[^,]*,[^,]*,($ids)," "$TOP/datasets/petrel-7/runs.csv"; } >campaign/runs.csv
printf 'limit,crew,minutes,confidence\nexcursion,all,125,0.9\nEV2 breathing supply,EV2,135,0.95\n' >campaign/limits.csv
against() { expect 0 "$WETRUN" forecast --trials 4000 --format json "$@" --against "$what" campaign; }
sum='abs(sum(p["change"] for p in a["parts"]) - a["overrun"]["change"]) < 1e-9'
part() { echo "{p['part']: p for p in d['against']['parts']}['$1']"; }
# itself: nothing has changed, in any way
expect 0 "$WETRUN" forecast --trials 4000 --against campaign campaign; narrow out; in_err "Caution"
tr '\n' ' ' <out | grep -qF "Nothing has changed." || { cat out; fail "it does not say that nothing has changed"; }
# a rehearsal later: the same by name and by a folder that holds the earlier rehearsals alone
cp -r campaign earlier; grep -v '^P7-9,' campaign/runs.csv >earlier/runs.csv
what=before:P7-9; against; cp out by_name
json "d['command'] == 'forecast' and d['overrun']['probability'] == d['against']['overrun']['after']"
json "len(d['against']['criteria']) > 5 and len(d['against']['tasks']) == 9"
what=earlier; against; cp out by_folder
python3 - <<'P' || fail "before:RUN is not the campaign without it"
import json, sys
a, b = (json.load(open(f))["against"] for f in ("by_name", "by_folder"))
sys.exit(not (a["overrun"] == b["overrun"] and a["tasks"] == b["tasks"] and a["limits"] == b["limits"] and a["runs_before"] == 8))
P
expect 0 "$WETRUN" forecast --trials 4000 --format json earlier; cp out alone
python3 - <<'P' || fail "what was then is not what the earlier campaign says by itself"
import json, sys
a, b = json.load(open("by_name"))["against"], json.load(open("alone"))
lo, hi = b["overrun"]["interval"]
sys.exit(not (a["overrun"]["before"] == b["overrun"]["probability"] and a["within_interval_before"] == (lo <= a["overrun"]["after"] <= hi)))
P
# another limit: its part is the difference of two forecasts, and there is no other
cp -r campaign tighter; sed -i 's/,125,/,120,/' tighter/limits.csv; what=tighter; against
json "(lambda a: $sum)(d['against'])"
json "$(part plan)['change'] == 0 and abs($(part limit)['change'] - d['against']['overrun']['change']) < 0.01"
json "abs($(part rehearsals)['change']) <= 3 * $(part rehearsals)['error']"
json "[l['minutes_before'] for l in d['against']['limits']][0] == 120 and d['against']['overrun']['change'] < 0"
# another limit behind the first alone: the first number stays, and it is not said that nothing has changed
cp -r campaign supply; sed -i 's/,135,/,90,/' supply/limits.csv
expect 0 "$WETRUN" forecast --trials 4000 --against campaign supply; cp out said
tr '\n' ' ' <said | grep -qF "Nothing has changed" && { cat said; fail "another limit is nothing"; }
tr -s '\n ' ' ' <said | grep -qF "go over “EV2 breathing supply”, " || { cat said; fail "the limit that changed is not named"; }
tr -s '\n ' ' ' <said | grep -qF "go over at least one limit, " || { cat said; fail "all limits together are not named"; }
expect 0 "$WETRUN" forecast --trials 4000 --format json --against campaign supply; cp out changed
expect 0 "$WETRUN" cutoff --trials 4000 --format json supply; cp out card
python3 - <<'P' || fail "times to begin by are not those of the card, whatever limit sets them"
import json, sys
a, rows = json.load(open("changed"))["against"], json.load(open("card"))["limits"]
assert a["overrun"]["change"] == 0 and a["any_overrun"]["change"] > 0.05 and a["same_rehearsals"]
of = {}
for l in rows:
    for r in l["tasks"]:
        of.setdefault(r["task"], []).append((r["reason"], r["latest_start_min"]))
turned = 0
for t in a["tasks"]:
    reasons = {r for r, _ in of[t["task"]]}
    if t["task"] == "OUT": continue
    if "never" in reasons:
        assert t["latest_start_after"] == "too late" and t["latest_start_after_min"] is None, t
        turned += t["latest_start_before"] == "found" and t["latest_start_before_min"] > 0
    elif reasons <= {"found"} or "found" in reasons:
        assert t["latest_start_after_min"] == min(m for r, m in of[t["task"]] if r == "found"), (t, of[t["task"]])
sys.exit(turned == 0)
P
tr -s '\n ' ' ' <said | grep -qE "[0-9]+ tasks? (is|are) too late now" || { cat said; fail "what became too late is not counted"; }
# the wanted confidence alone
cp -r campaign surer; sed -i 's/,125,0.9/,125,0.95/' surer/limits.csv
expect 0 "$WETRUN" forecast --trials 4000 --against campaign surer
tr -s '\n ' ' ' <out | grep -qF "“excursion” is wanted with 95 % confidence now, with 90 % then." || { cat out; fail "the wish that changed is not said"; }
grep -qF "Nothing has" out && fail "another wish is nothing"
# another plan for the same rehearsals: its part is all there is, beside noise
grep -v '^A-FREE,' campaign/plan.csv | sed 's/A-FREE//' >shorter.csv; what=shorter.csv; against
json "[t['plan'] for t in d['against']['tasks'] if t['task'] == 'A-FREE'] == ['new']"
# what only one of them has shows its time there
json "[(t['median_before_min'], t['median_after_min']) for t in d['against']['tasks'] if t['task'] == 'A-FREE'] == [(None, t['median_min']) for t in d['tasks'] if t['task'] == 'A-FREE']"
# A-FREE is not in the earlier plan, so that plan and rehearsals cannot be told apart there
json "$(part plan)['change'] is None"
expect 0 "$WETRUN" forecast --trials 4000 --plan shorter.csv --against campaign/plan.csv campaign
in_out "measured anew"; grep -qF "what the rehearsals tell" out && fail "the same rehearsals told something new"
expect 0 "$WETRUN" forecast --trials 4000 --format json --plan shorter.csv --against campaign/plan.csv campaign
json "$(part plan)['change'] < -0.02 and abs($(part rehearsals)['change']) <= 4 * $(part rehearsals)['error'] + 0.005"
json "[t['plan'] for t in d['against']['tasks'] if t['task'] == 'A-FREE'] == ['gone']"
json "[t['median_before_min'] > 5 and t['median_after_min'] is None for t in d['against']['tasks'] if t['task'] == 'A-FREE'] == [True]"
# what the plan says otherwise is said of each task, in words
sed -e 's/$/,,,/; 1s/,,,$/,low,likely,high/' \
  -e '/^A-REACH,/s/,12,/,15,/' -e '/^CAM-REACH,/s/transit,,,/transit,,100,/' -e '/^A-UNPLUG,/s/,EV1,,/,EV1,CAM-REACH,/' \
  -e '/^CAM-OFF,/s/connector,,/connector,30,/' -e '/^A-FREE,/s/,23,fastener,,,,,/,,fastener,,,20,23,40/' \
  -e '/^A-SEAT,/s/,EV1,/,EV1+EV2,/' campaign/plan.csv >edited.csv
expect 0 "$WETRUN" forecast --trials 2000 --format json --against edited.csv campaign
json "{t['task']: t['plan'] for t in d['against']['tasks']} == {'OUT': '', 'A-REACH': 'another planned time', 'CAM-REACH': 'another drop_after',
  'A-UNPLUG': 'waits for other work', 'CAM-OFF': 'another not_before', 'A-FREE': 'another planned time, another judgement', 'A-LIFT': '',
  'A-STOW': '', 'A-SEAT': 'other lanes'}"
{ sed -n 1,4p campaign/plan.csv; sed -n 6p campaign/plan.csv; sed -n 5p campaign/plan.csv; sed -n 7,10p campaign/plan.csv | sed '/^A-STOW/s/A-LIFT//'; } >moved.csv
expect 0 "$WETRUN" forecast --trials 2000 --format json --against moved.csv campaign
json "{t['task']: t['plan'] for t in d['against']['tasks'] if t['plan']} == {'A-STOW': 'waits for other work'}"
{ sed -n 1,6p campaign/plan.csv; sed -n 8p campaign/plan.csv; sed -n 7p campaign/plan.csv; sed -n 9,10p campaign/plan.csv; } >moved.csv
expect 0 "$WETRUN" forecast --trials 2000 --format json --against moved.csv campaign
json "{t['task']: t['plan'] for t in d['against']['tasks'] if t['plan']} == {k: 'another place in its lane' for k in ('A-FREE', 'A-LIFT', 'A-SEAT')}"
# a clock of the earlier plan that would end before it begins in the later one: no minutes are within it there, and no part is told
cp -r campaign clocked; printf 'limit,crew,from,to,minutes,confidence\nbay A,all,A-FREE,A-LIFT,40,0.9\n' >clocked/limits.csv
{ sed -n 1,6p campaign/plan.csv; sed -n 8p campaign/plan.csv; sed -n 7p campaign/plan.csv; sed -n 9,10p campaign/plan.csv; } >turned.csv
what=clocked; expect 0 "$WETRUN" forecast --trials 2000 --format json --plan turned.csv --against clocked campaign
json "$(part plan)['change'] is None and $(part limit)['change'] is not None and $(part rehearsals)['change'] is None"
expect 2 "$WETRUN" forecast --against nowhere campaign; in_err "before:RUN"
expect 2 "$WETRUN" forecast --against before:P7-1 campaign; in_err "none before it"
expect 2 "$WETRUN" forecast --against before:P8 campaign; in_err "no rehearsal 'P8'"
expect 2 "$WETRUN" pad --against earlier campaign
