. "$TOP/tests/cli/expect.sh"
campaign
# a finish is a lower bound only where something was left undone or the last of a lane is not known
expect 0 "$WETRUN" compare campaign; in_out "Not complete, so at least this long: P7-1, P7-5."; not_in out "All done, but"
sed '/^P7-9,.*,BRIDGE,/s/,[0-9:]*,\([^,]*\),done$/,,\1,done/' campaign/runs.csv > middle.csv
expect 0 "$WETRUN" compare --runs middle.csv campaign; in_out "All done, but how long some task took is not known: P7-9."
in_out "at least this long: P7-1, P7-5."
expect 1 "$WETRUN" ready --trials 4000 --runs middle.csv campaign
tr '\n' ' ' <out | tr -s ' ' >line; grep -qF "not in it: 1 hole of the log" line || fail "a hole of the log is passed over"
sed '/^P7-9,.*,IN,/s/,[0-9:]*,\([^,]*\),done$/,,\1,done/' campaign/runs.csv > last.csv
expect 0 "$WETRUN" compare --runs last.csv campaign; in_out "at least this long: P7-1, P7-5, P7-9."
# a step that all other runs have and one has no row of: its task is no time, and the run is not said to be complete
sed '/^P7-9,.*,SHADE,second half,/d' campaign/runs.csv > stepless.csv
expect 0 "$WETRUN" check --format json --runs stepless.csv campaign
json "[f['message'] for f in d['findings'] if f['code'] == 'time-unknown'][0].startswith(\"run 'P7-9': how long task 'SHADE' took is not known: 8 of 9 runs have a step 'second half' of it\")"
json "[r['complete'] for r in d['runs'] if r['run'] == 'P7-9'] == [False]"
expect 0 "$WETRUN" compare --runs stepless.csv campaign; in_out "at least this long: P7-1, P7-5, P7-9."
# where hardly more than half have it, it may be that they work so: that stands first
sed '/^P7-[6789],.*,SHADE,second half,/d' campaign/runs.csv > stepless.csv
expect 0 "$WETRUN" forecast --trials 400 --runs stepless.csv campaign
tr '\n' ' ' <out >line; grep -qF "Doubtful, for it rests on this: run 'P7-6': task 'SHADE' may lack a row: 5 of 9 runs have a step 'second half'" line || fail "a step in doubt does not stand first"
# what stands beside each other adds up
expect 0 "$WETRUN" pad --trials 4000 campaign; grep -E '^A-SEAT ' out >line
python3 -c "import re; m = re.findall(r'\u2212?\d+\.\d\b(?!\d)', open('line', encoding='utf-8').read()); assert len(m) == 4, m
a, b, c, d = (round(10 * float(x.replace('\u2212', '-'))) for x in m); assert a + b - c == d, m" || fail "median, pad and planned do not add up to what is missing"
# no checkpoint is late by one seed and in time by another
for seed in 1 2 3 4 5 6; do
  expect 0 "$WETRUN" pad --seed $seed --format json campaign
  python3 -c "import json; [print(c['task'], c['mark'] or 'none') for c in json.load(open('out'))['checkpoints']]"
done | sort -u >marks
grep -q " late$" marks && grep -q "^IN near$" marks || fail "which checkpoints are late is not as it was"
python3 -c "marks = {}
for line in open('marks'): marks.setdefault(line.split()[0], set()).add(line.split()[1])
assert not any({'late', 'none'} <= m or {'over', 'none'} <= m for m in marks.values()), marks" || fail "chance decides which checkpoint is late"
# a rehearsal's pace is against what is usual of all of them, itself included: the paces make up for each other; and is called that
expect 0 "$WETRUN" compare --format json campaign; json "abs(sum(r['effect_log'] for r in d['runs'])) < 1e-9"
json "all(r['length_log'] is not None for r in d['runs']) and abs(sum(r['length_log'] for r in d['runs'])) < 1e-9"
grep -q "against what is usual over all rehearsals, its own tasks included" "$TOP/src/present/quantities.c" || fail "the pace is called something else"
# a task's median is moved from its own by learning, and by no more than the other tasks tell without it: the definition names both
for learning in on off; do
  expect 0 "$WETRUN" fit --learning $learning --format json campaign
  python3 -c "import json, math; m = [math.log(t['moved']) for t in json.load(open('out'))['tasks']]; m = math.exp(sum(m) / len(m))
assert (.9 < m < .97) if '$learning' == 'on' else (.98 < m < 1.02), m" || fail "with learning $learning medians are moved elsewhere"
done
tr -d '\n' <"$TOP/src/present/quantities.c" | sed 's/" *"//g' | grep -q '"moved by factor",[^}]*learning up to the run that is forecast[^}]*what the other tasks tell' || fail "what moves a median is not said"
# a replay is of the order in which it was done, and the pause between a task's steps is a gap: the definitions say so
expect 0 "$WETRUN" check --format json campaign
json "any(not r['kept_to_plan'] for r in d['runs']) and all(abs(r['replay_min'] - r['finish_min']) < 0.01 for r in d['runs'])"
grep -A1 '"replay_min", "replayed"' "$TOP/src/present/quantities.c" | grep -q "in the order in which it was done" || fail "a replay is said to be the plan's"
printf 'run,task,step,start,end,crew\nR1,A,a,0,10,EV1\nR1,A,b,14,20,EV1\nR1,B,,20,30,EV1\nR2,A,a,0,10,EV1\nR2,A,b,10,17,EV1\nR2,B,,17,30,EV1\n' >paused.csv
expect 0 "$WETRUN" compare --format json --runs paused.csv; json "[r['gap_min'] for r in d['runs']] == [4, 0]"
grep -A1 '"gap_min", "unassigned"' "$TOP/src/present/quantities.c" | grep -q "between the steps of one task" || fail "a pause is said to be nobody's"
# groups: of two each other, of more each against all others; the split's ends; what cannot be grouped
expect 0 "$WETRUN" compare --by pool --format json campaign
json "d['groups'] and all(g['smallest_p_together'] >= g['smallest_p'] and g['runs'] + g['runs_against'] <= 9 for g in d['groups'])"
json "len(d['task_trends']) == 28 and d['spread_trend']['runs'] == 9 and d['runs_without_group'] == 0"
json "all(t['told'] == (t['holm_p'] is not None and t['holm_p'] <= 0.05) for t in d['task_trends'])"
expect 0 "$WETRUN" compare --split P7-2 --format json campaign; json "d['groups'][0]['runs_against'] == 1 and d['groups'][0]['in_order']"
expect 0 "$WETRUN" compare --split P7-9 --format json campaign; json "d['groups'][0]['runs'] == 1"
expect 2 "$WETRUN" compare --split P7-1 campaign; in_err "no rehearsal in one of the groups"
expect 2 "$WETRUN" compare --split P7-99 campaign; in_err "'P7-99'"
expect 2 "$WETRUN" compare --by weather campaign; in_err "'weather'"
expect 2 "$WETRUN" compare --by pool --split P7-5 campaign; in_err "leave one out"
# entries: none, some, and such that try to be code
awk -F, -v OFS=, 'NR == 1 { print $0, "mood"; next } { print $0, "" }' campaign/runs.csv > none.csv
expect 3 "$WETRUN" compare --by mood --runs none.csv --plan campaign/plan.csv; in_err "no rehearsal has an entry"
printf 'run,task,start,end,crew,mood\n' > few.csv
for r in 1 2 3 4 5 6 7; do
  case $r in 1|4) m='<b>$(id)</b>' ;; 2|5) m='=1+1' ;; 3|6) m=$(printf 'red\033[31m') ;; *) m= ;; esac
  printf 'R%d,A,0,1%d,EV1,%s\nR%d,B,20,3%d,EV1,%s\n' $r $r "$m" $r $((8 - r)) "$m"
done >> few.csv
expect 0 "$WETRUN" compare --by mood --runs few.csv; narrow out; in_out "1 rehearsal belongs to no group"; in_out "all comparisons looked at together"
! grep -q "$(printf '\033')" out || fail "escape sequence on the terminal"
expect 0 "$WETRUN" compare --by mood --format json --runs few.csv
json "[g['group'] for g in d['groups']] == ['<b>\$(id)</b>', '=1+1', 'red\x1b[31m'] and d['runs_without_group'] == 1"
# too few to forecast one from the others
head -n 5 few.csv > two.csv
expect 3 "$WETRUN" backtest --runs two.csv; in_err "at least 3"
expect 3 "$WETRUN" debrief R2 --runs two.csv --limit 1:00; in_err "at least two others"
expect 2 "$WETRUN" debrief R9 --runs few.csv --limit 1:00; in_err "'R9'"
# thresholds by option keep the bounds that the file has, and whole counts stay whole
expect 2 "$WETRUN" ready --trials 4000 --strictness 0.2 campaign; in_err "--strictness"
printf 'criterion,threshold\nkept,2.5\n' > campaign/criteria.csv
expect 3 "$WETRUN" ready --trials 4000 campaign; in_err "criteria.csv:2:6"
rm campaign/criteria.csv
# the record is the same whatever the threads
expect 0 "$WETRUN" backtest --trials 2000 --threads 1 --format json campaign; cp out one
expect 0 "$WETRUN" backtest --trials 2000 --threads 2 --format json campaign; cmp -s out one || fail "threads change the record"
