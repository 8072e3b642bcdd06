. "$TOP/tests/cli/expect.sh"
# a log from elsewhere: other column names, semicolons, CRLF, no plan
columns=$(sed -n 's/.*--columns \(.*\) datasets.*/\1/p' "$TOP/datasets/petrel-shed/README.md" | head -n 1)
[ -n "$columns" ] || fail "its README names no columns"
eval "set -- $columns"
expect 0 "$WETRUN" forecast --trials 20000 --columns "$1" --limit 6:00 --confidence 0.9 "$TOP/datasets/petrel-shed"; narrow out
expect 0 "$WETRUN" check --columns "$1" --write-plan plan.csv "$TOP/datasets/petrel-shed"; [ -s plan.csv ] || fail "no plan"
# judgement alone: a number, and that no rehearsal stands behind it
expect 0 "$WETRUN" forecast --trials 20000 "$TOP/datasets/petrel-8-sketch"; in_out "nothing was rehearsed"
expect 0 "$WETRUN" forecast --trials 20000 --three-point triangular --format json "$TOP/datasets/petrel-8-sketch"
json "d['verdict'] == 'not enough rehearsals to tell'"
# every table fits a terminal
campaign
for c in check fit forecast pad compare ready backtest logsheet runs-needed; do
  "$WETRUN" $c --trials 4000 campaign > out 2>err </dev/null; case $? in 0|1) ;; *) cat err; fail "$c" ;; esac
  narrow out
done
expect 0 "$WETRUN" cutoff --at BRIDGE --at IN --trials 4000 campaign; narrow out; in_out "Bridge"
expect 0 "$WETRUN" debrief P7-9 --trials 4000 campaign; narrow out; [ "$(wc -l < out)" -le 48 ] || fail "more than one screen"
# letters in place of names, everywhere
for c in fit forecast compare logsheet; do
  expect 0 "$WETRUN" $c --trials 4000 --anonymous --format json campaign
  for name in KV OM TS RA; do not_in out "\"$name\""; done
done
expect 0 "$WETRUN" compare --by performer --anonymous campaign; for name in KV OM TS RA; do not_in out "$name"; done
# a filled logsheet is a log
expect 0 "$WETRUN" logsheet --format csv campaign; sed '1!s/^,,/P7-10,2031-04-10,/' out | awk -F, -v OFS=, 'NR==1 {print; next} {print}' > sheet.csv
[ "$(sed -n 's/^P7-10,2031-04-10,A-SEAT,\([a-z]*\),.*/\1/p' sheet.csv | tr '\n' ' ')" = "one two three " ] || fail "steps in another order than the log's rows"
head -n 1 sheet.csv | grep -q '^run,date,task,step,crew,performer,start,end,hold,outcome' || fail "columns of the logsheet"
