. "$TOP/tests/cli/expect.sh"
campaign
expect 0 "$WETRUN" forecast --trials 20000 campaign; narrow out; in_err "Caution"; cp out table
expect 0 "$WETRUN" forecast --trials 20000 --format json campaign
json "d['command'] == 'forecast' and d['seed'] == 1 and d['version']"
json "d['trials'] >= 20000 and d['limit_min'] == 390"
json "0 <= d['overrun']['interval'][0] <= d['overrun']['probability'] <= d['overrun']['interval'][1] <= 1"
json "d['overrun']['interval_level'] == 0.9 and d['overrun']['mc_error'] > 0"
json "sorted(map(float, d['finish']['quantiles_min'])) == [0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99]"
json "[t['variance_share'] for t in d['tasks']] == sorted((t['variance_share'] for t in d['tasks']), reverse=True)"
json "0.8 < sum(t['variance_share'] for t in d['tasks']) + d['run_effect_share'] + d['parameter_share'] + d['people_share'] < 1.1"
json "d['any_limit_over'] >= max(l['probability_over'] for l in d['limits'])"
json "{'crew', 'busy_min', 'waiting_min', 'finish_p50_min'} <= set(d['crews'][0])"
json "{'task', 'median_min', 'sd_min', 'on_longest_path', 'variance_share', 'dropped'} <= set(d['tasks'][0])"
json "d['verdict'] in ('inside', 'not inside', 'not enough rehearsals to tell')"
cp out one
expect 0 "$WETRUN" forecast --trials 20000 --format json --threads 1 campaign; cmp out one || fail "bytes differ with --threads 1"
expect 0 "$WETRUN" forecast --trials 20000 --format json --threads 3 campaign; cmp out one || fail "bytes differ with --threads 3"
expect 0 "$WETRUN" forecast --trials 20000 --format json --seed 2 campaign; ! cmp -s out one || fail "the seed changes nothing"
json "d['overrun']['mc_error'] <= (d['overrun']['interval'][1] - d['overrun']['interval'][0]) / 20"
json "len(d['overrun']['interval_mc_error']) == 2 and min(d['finish']['quantiles_mc_error_min'].values()) > 0"
# more trials buy a surer probability: four times as many, half the error, that itself known to 13 of 100
# (three tasks will do)
mkdir short; for f in plan runs; do grep -E '^(run|task|P7-.*,(OUT|A-REACH|A-UNPLUG)|OUT|A-REACH|A-UNPLUG),' campaign/$f.csv >short/$f.csv; done
set -- --limit 0:58 --confidence 0.9 --format json short
expect 0 "$WETRUN" forecast --trials 4000 "$@"; usual=$(python3 -c "import json; print(json.load(open('out'))['overrun']['mc_error'])")
expect 0 "$WETRUN" forecast --trials 1048576 "$@"; json "d['draws'] == 8000 and d['overrun']['mc_error'] < 0.75 * $usual"
# no limit is assumed
rm campaign/limits.csv
expect 0 "$WETRUN" forecast --trials 4000 --format json campaign; json "d['limit_min'] is None and d['overrun'] is None"
expect 2 "$WETRUN" cutoff campaign; in_err "--limit"
expect 2 "$WETRUN" cutoff --limit 6:30 campaign; in_err "--confidence"
expect 2 "$WETRUN" pad campaign; in_err "--confidence"
expect 2 "$WETRUN" ready campaign; in_err "--limit"
# the excursion is another thing than the next rehearsal, and says so
expect 0 "$WETRUN" forecast --trials 4000 --limit 6:30 --for excursion campaign; in_out "the excursion"
rm campaign/history.csv
expect 0 "$WETRUN" forecast --trials 4000 --limit 6:30 --for excursion campaign; in_err "face value"
# people: whose day it is is said where nobody named them
expect 0 "$WETRUN" forecast --trials 4000 --people EV1=KV,EV2=OM campaign; not_in out "at random"
expect 2 "$WETRUN" forecast --trials 4000 --people EV9=KV campaign; in_err "EV9"
# named in part: of KV+OM, TS+RA and OM+KV the first puts OM into both lanes, and is none
expect 0 "$WETRUN" forecast --trials 4000 --people EV1=OM campaign
tr '\n' ' ' < out | grep -q "(done by OM in EV1, the rest as in one of the two rehearsed line-ups at random)" || fail "OM is not placed"
expect 0 "$WETRUN" forecast --trials 4000 --format json --people EV1=OM campaign; json "d['line_ups'] == 2"
sed 's/,TS\([+,]\)/,KV\1/; s/\([+,]\)RA,/\1OM,/' campaign/runs.csv > pair.csv; mv pair.csv campaign/runs.csv # now there are two, and one way to do it
expect 0 "$WETRUN" forecast --trials 4000 --format json --people EV1=OM,EV2=KV campaign; cp out whole
expect 0 "$WETRUN" forecast --trials 4000 --format json --people EV1=OM campaign
python3 -c "import json; a, b = (json.load(open(f)) for f in ('out', 'whole')); assert (a['finish']['quantiles_min'], a['line_ups']) == (b['finish']['quantiles_min'], 1)" || fail "OM is in two lanes"
# a gap longer than any rehearsed: both answers unasked, whichever of them is the forecast; without one, none
rm -r campaign; campaign
expect 0 "$WETRUN" forecast --trials 4000 --format json campaign; json "d['beside'] == [] and d['gap'] is None"
expect 0 "$WETRUN" forecast --trials 4000 --format json --on 2031-04-10 campaign; json "d['beside'] == [] and not d['gap']['longer_than_any']"
expect 0 "$WETRUN" forecast --trials 4000 --format json --on 2031-06-01 campaign
json "d['gap'] == {'since_last_days': 59, 'longest_between_days': 7, 'longer_than_any': True}"
json "[b['assumption'] for b in d['beside']] == ['nothing forgotten (above)', '10 % allowed for the gap']"
json "d['beside'][0]['probability_over'] == d['overrun']['probability'] < d['beside'][1]['probability_over']"
# and what the finish and the limit needed leave open spans them: no opening sentence is narrower than what stands below it
json "d['finish']['intervals_span_answers'] and d['finish']['quantiles_interval_min']['0.95'][1] > d['beside'][1]['finish_p95_min']"
json "d['limits'][0]['probability_over'] <= d['any_limit_over'] < d['second_any_limit_over'] < d['second_any_limit_over_hi'] and d['second_any_limit_over'] >= d['beside'][1]['probability_over']"
json "'with 10 % allowed for the gap' in d['answer'] and 'by the worst answer' in d['answer']"
cp out gap; expect 0 "$WETRUN" pad --trials 4000 --format json --confidence 0.95 --on 2031-06-01 campaign
json "d['finish_quantile_interval_min'] == $(python3 -c "import json; print(json.load(open('gap'))['finish']['quantiles_interval_min']['0.95'])")"
expect 0 "$WETRUN" forecast --trials 4000 --on 2031-06-01 campaign; narrow out; in_out "59 days lie between"; in_out "allowed for the gap"
tr '\n' ' ' <out | grep -q "To be inside with 90 %, as if nothing was forgotten, it takes.* With 10 % allowed for the gap it takes [0-9]:[0-9][0-9]\." || fail "which answer a limit is of is not said"
in_out "The table of limits is the first answer's, as if nothing was forgotten."; in_out "From and to span both answers"
# of two answers no limit is kept, and no criterion met, that both do not bear: 7:10 is inside on a day that follows the last rehearsal
FEW="--trials 4000 --limit 7:10"
expect 0 "$WETRUN" forecast $FEW --format json campaign; json "d['verdict'] == 'inside' and d['second_answers'] == []"
expect 0 "$WETRUN" forecast $FEW --format json --on 2031-06-01 campaign; cp out two
json "d['verdict'] == d['limits'][0]['verdict'] == 'not enough rehearsals to tell' and '10 % allowed for the gap' in d['answer']"
json "[(s['assumption'], s['limit']) for s in d['second_answers']] == [('10 % allowed for the gap', l['limit']) for l in d['limits']]"
json "d['second_answers'][0]['probability_over'] == d['beside'][1]['probability_over'] and d['overrun']['interval'][1] < 0.1 < d['second_answers'][0]['interval'][1]"
second() { python3 -c "import json; s = json.load(open('two'))['second_answers'][$1]; print(s['probability_over'])"; }
expect 0 "$WETRUN" forecast $FEW --format json --on 2031-06-01 --gap-allowance 10 campaign # the same, asked for: the first answer now
json "all(abs(l['probability_over'] - s) < 1e-9 for l, s in zip(d['limits'], ($(second 0), $(second 1), $(second 2))))"
expect 0 "$WETRUN" cutoff $FEW --format json --on 2031-06-01 campaign; json "{l['verdict'] for l in d['limits']} == {'not enough rehearsals to tell'}"
json "d['limits'][0]['second_answer']['probability_over'] == $(second 0) and [s['limit'] for s in d['second_answers']] == [l['limit'] for l in d['limits']]"
expect 0 "$WETRUN" cutoff $FEW --format csv --on 2031-06-01 campaign; in_out "10 % allowed for the gap"
expect 0 "$WETRUN" cutoff $FEW --format json campaign; json "d['limits'][0]['verdict'] == 'inside' and d['limits'][0]['second_answer'] is None"
expect 1 "$WETRUN" ready $FEW --format json campaign; json "{'overrun': 'met'}.items() <= {c['criterion']: c['evidence'] for c in d['criteria']}.items()"
expect 1 "$WETRUN" ready $FEW --format json --on 2031-06-01 campaign
json "{'overrun': 'not enough evidence'}.items() <= {c['criterion']: c['evidence'] for c in d['criteria']}.items()"
expect 0 "$WETRUN" cutoff $FEW --on 2031-06-01 --format json --now OUT@0:00-0:22 campaign; cp out two # during the day: of the day, by the same way
json "d['limits'][0]['verdict'] == 'not enough rehearsals to tell'"
day=$(python3 -c "import json; print([l['second_answer']['probability_over'] for l in json.load(open('two'))['limits']])")
expect 0 "$WETRUN" cutoff $FEW --on 2031-06-01 --format json --now OUT@0:00-0:22 --gap-allowance 10 campaign
json "all(abs(l['probability_over'] - s) < 1e-9 for l, s in zip(d['now']['limits'], $day))"
for command in ready cutoff pad "whatif --drop HINGE" runs-needed fit; do
  "$WETRUN" $command --trials 512 --limit 7:10 --on 2031-06-01 campaign > out 2> err || [ $? -eq 1 ] || fail "$command"
  tr '\n' ' ' < out > flat; grep -q "59 days lie between" flat && grep -q "With 10 % allowed for the gap, of 100 rehearsals go over: excursion [0-9]" flat || fail "$command keeps the worse answer back"
done
expect 0 "$WETRUN" runs-needed --trials 256 --limit 7:10 --confidence 0.9 --format json --on 2031-06-01 campaign # no chance of what the gap alone stands against
json "d['verdict'] == 'not enough rehearsals to tell' and all(r['clear_inside'] is None for r in d['further'][1:]) and 'shortly before the day' in d['answer']"
expect 0 "$WETRUN" daysheet --limit 7:10 --on 2031-06-01 campaign; in_out "With 10 % allowed for the gap, of 100 rehearsals go over: excursion"; in_out '"second":true'
expect 0 "$WETRUN" daysheet --limit 7:10 campaign; not_in out "allowed for the gap"
expect 0 "$WETRUN" forecast --trials 4000 --format json --gap-allowance 15 campaign
json "[b['assumption'] for b in d['beside']] == ['allowance as asked (above)', 'nothing forgotten']"
json "d['beside'][0]['probability_over'] == d['overrun']['probability'] > d['beside'][1]['probability_over']"
# a gap and judgement without a record: both may be so at once, which is as with the allowance asked for and judges short
python3 - <<'EOF'
import csv
rows = list(csv.DictReader(open("campaign/plan.csv")))
for row in rows:
    row.update(zip(("low", "likely", "high"), (9, 16, 30) if row["task"] == "CAM-REACH" else ("", "", "")))
log = [line for line in open("campaign/runs.csv") if ",CAM-REACH," not in line]
with open("campaign/plan.csv", "w", newline="") as out:
    table = csv.DictWriter(out, list(rows[0]))
    table.writeheader(), table.writerows(rows)
open("campaign/runs.csv", "w").writelines(log)
EOF
rm -f campaign/history.csv
BOTH="--trials 4000 --limit 7:10 --on 2031-06-01 --for excursion"
expect 0 "$WETRUN" forecast $BOTH --format json --gap-allowance 10 campaign; cp out asked
expect 0 "$WETRUN" forecast $BOTH --format json campaign; cp out two
json "[b['assumption'] for b in d['beside'][1:]] == ['10 % allowed for the gap', 'judged 20 % short', 'both together']"
json "(lambda asked: [d['beside'][3]['probability_over'], d['beside'][3]['probability_over_hi']] == [asked['probability_over'], asked['probability_over_hi']])([b for b in json.load(open('asked'))['beside'] if b['assumption'] == 'judged 20 % short'][0])"
json "d['beside'][3]['probability_over'] > max(b['probability_over'] for b in d['beside'][:3])"
expect 0 "$WETRUN" cutoff $BOTH --format json campaign; json "d['limits'][0]['second_answer']['probability_over'] == json.load(open('two'))['beside'][3]['probability_over']"
expect 0 "$WETRUN" forecast $BOTH campaign; narrow out; in_out "four answers"; not_in out "two answers"
expect 0 "$WETRUN" pad $BOTH campaign; in_out "So there are four answers"; not_in out "two answers"
# what is judged is taken as it stands: said wherever the excursion is spoken of, with the history's factor of its kind where that is longer
printf 'excursion,kind,pool,flight\nP1,transit,20,40\nP2,transit,20,40\nP3,transit,20,40\n' > campaign/history.csv
for command in forecast pad ready cutoff; do
  "$WETRUN" $command --trials 4000 --for excursion campaign > out 2> err || [ $? -eq 1 ] || fail "$command"
  tr '\n' ' ' < out > flat; grep -q "1 task (Take the new camera head out to the docking ring) is judged or known from elsewhere, and no carry-over .*must be minutes of the excursion; by the history .*: transit [12]\.[0-9]* times" flat || fail "$command keeps back what is not carried over"
done
expect 0 "$WETRUN" forecast --trials 4000 --for excursion --format json campaign
json "['%.2f times' % [c['factor'] for c in d['carry_over'] if c['kind'] == 'transit'][0] in f['message'] for f in d['findings'] if f['code'] == 'not-carried-over'] == [True]"
expect 0 "$WETRUN" forecast --trials 4000 campaign; not_in out "not-carried-over"
rm campaign/history.csv
# judgement says nothing of a limit that nothing judged lies before: no second answer of it anywhere
JUDGED="--trials 4000 --on 2031-04-10"
expect 0 "$WETRUN" forecast $JUDGED --format json campaign
json "[l['limit'] for l in d['limits'] if l['second_probability_over'] is None] == ['bay A without power'] and [s['limit'] for s in d['second_answers']] == [l['limit'] for l in d['limits'][:2]]"
expect 0 "$WETRUN" forecast $JUDGED campaign; grep -q "^EV2 breathi.* judged 20" out || fail "no second answer of the supply"; ! grep -q "^bay A .* judged" out || fail "a second answer of bay A"
expect 0 "$WETRUN" pad $JUDGED campaign; tr '\n' ' ' < out > flat; grep -q "of 100 rehearsals go over: excursion [0-9<].*; EV2 breathing supply" flat || fail "no second answer"; not_in flat "; bay A"
rm -r campaign; campaign
# judgement shares the day: a run effect is heard on a plan of judgement, and then nothing is unknown; it has no record here, and that is said
sketch="$TOP/datasets/petrel-8-sketch"
expect 0 "$WETRUN" forecast --trials 4000 --format json "$sketch"; cp out usual
json "d['overrun']['interval'][1] > d['overrun']['interval'][0] and d['run_effect_share'] > 0.3"
json "d['judgement'] == {'tasks': 14, 'judged_and_timed': 0, 'earlier_campaigns': False, 'restated': False, 'bias': None, 'widening': None}"
json "d['beside'][1]['assumption'] == 'judged 20 % short' and d['beside'][1]['probability_over'] > d['beside'][0]['probability_over']"
for command in ready cutoff pad "cutoff --now OUT@0:00-0:22"; do
  "$WETRUN" $command --trials 512 "$sketch" > out 2> err || [ $? -eq 1 ] || fail "$command"
  tr '\n' ' ' < out > flat; grep -q "14 tasks rest on judgement, which has no record here.*If judged 20 % short, of 100 rehearsals go over: excursion [0-9]" flat ||
    fail "$command says nothing of judgement"
done
expect 0 "$WETRUN" forecast --trials 4000 "$sketch"; tr '\n' ' ' < out > flat # before the first table, where the first answer is undecided
sed 's/  of 100  .*//' flat | grep -q "if judged 20 % short [0-9]* of 100 go over (.*; wanted: at most 10.*by the worst answer.*if judged 20 % short by [0-9]*:" || fail "the opening has one answer"
in_out "The table of limits is the first answer's, as judged."
# what nobody timed has no interval of its own, and the finish's spans both answers: given parameters make nothing sure
expect 0 "$WETRUN" forecast --format json "$sketch"; cp out usual-days
json "d['finish']['intervals_span_answers'] and all(lo < d['finish']['quantiles_min'][q] < hi for q, (lo, hi) in d['finish']['quantiles_interval_min'].items())"
json "d['finish']['quantiles_interval_min']['0.5'][1] > d['beside'][1]['finish_p50_min'] > d['finish']['quantiles_min']['0.5'] + 30"
expect 0 "$WETRUN" fit "$sketch"; [ "$(grep -c "   *[0-9.]*  judged  " out)" = 14 ] || fail "a judged task has an interval"; not_in out "21 to 21"
expect 0 "$WETRUN" fit --format json "$sketch"
json "all(t['source'] == 'judgement' and t['median_min'] > 0 and t['median_lo_min'] is t['median_hi_min'] is t['p95_hi_min'] is None for t in d['tasks'])"
expect 0 "$WETRUN" forecast --trials 4000 --format json campaign; json "not d['finish']['intervals_span_answers']"
# one task that nobody rehearsed is named, and the others are of the log
cp -r campaign judged; sed -i '1s/$/,low,likely,high/; 2,$s/$/,,,/; $iCOIL,Coil the spare tether,EV1,,,stowage,,,8,12,20' judged/plan.csv
for command in forecast ready cutoff pad; do
  "$WETRUN" $command --trials 4000 judged > out 2> err || [ $? -eq 1 ] || fail "$command"
  tr '\n' ' ' < out > flat; grep -q "1 task rests on judgement (Coil the spare tether), which has no record here" flat || fail "$command does not name it"
done
expect 0 "$WETRUN" fit --format json judged; json "[t['task'] for t in d['tasks'] if t['median_lo_min'] is None] == ['COIL']"
expect 0 "$WETRUN" daysheet judged; in_out "1 task rests on judgement (Coil the spare tether)"; in_out '"second":true'
# a judged task that ran long is likelier by the wider judgement, which then has the lower risk: neither answer is called the better
cp -r judged early; sed -i '/^COIL/d; 2aCOIL,Coil the spare tether,EV1,,,stowage,,,8,12,20' early/plan.csv
set -- --trials 4000 --limit 6:20 --now OUT@0:00-0:20,COIL@0:20,A-REACH@0:40 early
"$WETRUN" cutoff --format json "$@" > out 2> err; json "d['limits'][0]['second_answer']['probability_over'] < d['limits'][0]['probability_over']"
"$WETRUN" cutoff "$@" > out 2> err; tr "\n" " " < out > flat; ! sed "s,known to better than,,g" flat | grep -q better || fail "an answer is called the better"
grep -q "the numbers below are those as judged\." flat && grep -q "If judged 20 % short [0-9][^;]*; the times below are those as judged\." flat ||
  fail "it does not say which answer the times are"
for tau in 0.05 0.2; do
  expect 0 "$WETRUN" forecast --trials 4000 --format json --run-effect $tau "$sketch"; cp out tau-$tau
  json "d['overrun']['interval'] is None and d['finish']['quantiles_interval_min']['0.5'] is None"
done
json "d['finish']['sd_min'] > 2 * json.load(open('tau-0.05'))['finish']['sd_min']"
expect 0 "$WETRUN" forecast --trials 4000 --format json --run-effect-prior 0.02,0.1 "$sketch"
json "d['finish']['sd_min'] < json.load(open('usual'))['finish']['sd_min'] / 2"
expect 0 "$WETRUN" forecast --trials 4000 --run-effect 0.1 "$sketch"; narrow out; in_out "taken as known"; in_out "no record here"
# a campaign of seconds: every moment is shown to the minute, and that is said
mkdir seconds
{ echo run,task,start,end,crew; for r in 1 2 3; do echo "r$r,A,0:00:00,0:00:1$r,EV1"; echo "r$r,B,0:00:1$r,0:00:3$r,EV1"; done; } > seconds/runs.csv
expect 0 "$WETRUN" forecast --trials 2000 --times elapsed --limit 1 seconds; in_out "short-day"; in_err "are shown to the minute"
# tasks of tens of seconds: moments to the second, on the terminal and on the page
mkdir brief; printf 'task,title,crew,planned\nA,Open the latch,EV1,0:00:20\nB,Turn the valve,EV1,0:00:40\n' > brief/plan.csv
printf 'limit,crew,from,to,minutes,confidence\ninside,all,,,0:01:30,0.9\n' > brief/limits.csv
{ echo run,task,crew,start,end,outcome; for r in 1 2 3 4; do echo "R$r,A,EV1,9:00:00,9:00:2$r,done"; echo "R$r,B,EV1,9:00:2$r,9:01:0$r,done"; done; } > brief/runs.csv
expect 0 "$WETRUN" forecast --trials 4000 brief; in_out "the 0:01:30 limit"; in_out "finishes come by 0:01:0"; narrow out
expect 0 "$WETRUN" cutoff --trials 4000 brief; in_out "inside, 0:01:30"; narrow out
# where few draws far out make the probability, its interval holds it all the same
for limit in 9:00 11:00 4:30; do
  expect 0 "$WETRUN" forecast campaign --limit $limit --trials 400 -f json
  json "d['overrun']['interval'][0] <= d['overrun']['probability'] <= d['overrun']['interval'][1]"
done
