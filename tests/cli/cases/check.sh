. "$TOP/tests/cli/expect.sh"
campaign
expect 0 "$WETRUN" check campaign; narrow out
expect 0 "$WETRUN" check --format json --rejected rejected.txt --times times.csv --write-plan plan.csv campaign
json "d['rows']['read'] == d['rows']['accepted'] + d['rows']['rejected'] > 300"
json "d['rows']['rejected'] == 6 == sum(f['severity'] == 'error' for f in d['findings'])"
json "all(k in f for f in d['findings'] for k in ('severity', 'code', 'file', 'line', 'column', 'message'))"
json "all(abs(r['replay_min'] - r['finish_min']) < 0.5 / 60 for r in d['runs'] if r['complete'] and r['kept_to_plan'])"
json "sum(r['complete'] and r['kept_to_plan'] for r in d['runs']) >= 6"
# every rejected row comes back as it stood in the file
grep -v '^# ' rejected.txt > rows
[ "$(wc -l < rows)" -eq 6 ] || fail "not six rejected rows"
while IFS= read -r row; do grep -qxF -- "$row" campaign/runs.csv || fail "not verbatim: $row"; done < rows
head -n 1 times.csv | grep -q '^run,task,state,active_min,lead_in_min,hold_min' || fail "columns of --times"
# the states of a run are all its tasks, in the table too; what the answers speak of first is told from the rest
json "all(r['done'] + r['stopped'] + r['skipped'] + r['unknown'] + r['absent'] == 28 for r in d['runs'])"
json "sum(r['unknown'] for r in d['runs']) == 0"
expect 0 "$WETRUN" check campaign; in_out "Findings: 6 errors, 2 warnings, 5 notes; what may move an answer: 1"
# what only a forecast finds is missing where none is made, and that is said beside the count
for command in check compare "backtest --trials 2000"; do
  expect 0 "$WETRUN" $command campaign; tr '\n' ' ' < out | grep -q '1 warning.*; a forecast may find more (`forecast`)\. ' || fail "$command counts findings as if a forecast had been made"
done
expect 0 "$WETRUN" forecast --trials 2000 campaign; in_out "(task-lengthens, began-early)"
# one form for every date, however it was typed
mkdir typed; cp campaign/*.csv typed/; sed 's/2031-02-13/2031\/02\/13/' campaign/runs.csv > typed/runs.csv
expect 0 "$WETRUN" check typed; in_out "P7-2  2031-02-13"
json_of() { "$WETRUN" check --format json typed 2> /dev/null; }
json_of | grep -q '"date": "2031-02-13"' || fail "a date as typed"
# a plan that was written reads back as the same plan
expect 0 "$WETRUN" check --plan plan.csv --write-plan again.csv --runs campaign/runs.csv
cmp plan.csv again.csv || fail "the plan changed on its way"
expect 1 "$WETRUN" check --strict campaign
# plan and log that cannot be used: the line is named, the exit status is 3, the findings are still shown
printf 'task,crew,after,planned\nA,EV1,B,5\nB,EV1,,5\n' > cycle.csv
expect 3 "$WETRUN" check --plan cycle.csv --format json --runs campaign/runs.csv; in_err "cycle.csv:"
json "any(f['severity'] == 'error' and f['file'] == 'cycle.csv' for f in d['findings'])"
printf 'run,task,start\nR1,A,09:00\n' > short.csv
expect 3 "$WETRUN" check --runs short.csv; in_err "short.csv"
# a log of which every row is rejected is a log all the same
mkdir unusable; printf 'run,task,start,end\nA,B,9:00\n' > unusable/runs.csv
expect 3 "$WETRUN" check unusable; in_out "1 row read: 0 accepted, 1 rejected."; in_out "runs.csv:2"
# a row typed twice is accepted and counts once; a step that was stopped and then done to its end is no lower bound
mkdir twice; printf 'run,task,start,end,crew,outcome\nR1,A,9:00,9:10,EV1,stopped\nR1,A,9:10,9:30,EV1,\nR1,A,9:10,9:30,EV1,\n' > twice/runs.csv
expect 0 "$WETRUN" check twice; tr '\n' ' ' < out | grep -qF "3 rows read: 3 accepted (1 a duplicate, not counted again), 0 rejected." || fail "which rows count"
expect 0 "$WETRUN" check --format json twice
json "d['rows'] == {'read': 3, 'accepted': 3, 'rejected': 0, 'duplicate': 1} and d['runs'][0]['complete'] and d['runs'][0]['finish_min'] == 30"
json "[f['line'] for f in d['findings'] if f['code'] == 'stopped-then-done'] == [2]"
