. "$TOP/tests/cli/expect.sh"
# Without a limit nothing is said about going over one, in any format: times alone are compared, forecast and drawn.
mkdir runs; {
  echo "run,date,task,crew,performer,minutes,pool"
  for r in 1 2 3 4 5 6; do
    printf 'R%d,2031-03-0%d,OUT,EV1+EV2,,%d,deep\n' $r $r $((12 + r % 3))
    printf 'R%d,2031-03-0%d,LAMP,EV1,,%d,deep\n' $r $r $((20 + (r * 5) % 7))
    printf 'R%d,2031-03-0%d,CABLE,EV2,,%d,deep\n' $r $r $((30 + (r * 3) % 5))
    printf 'R%d,2031-03-0%d,IN,EV1+EV2,,%d,deep\n' $r $r $((9 + r % 2))
  done; } >runs/runs.csv
printf 'task,title,crew,drop_after\nOUT,Out,EV1+EV2,\nLAMP,Swap the lamp,EV1,\nCABLE,Lay the cable,EV2,30\nIN,In,EV1+EV2,\n' >runs/plan.csv
silent() { ! tr "\n" " " <"$1" | grep -qiE "goes? over the|of 100 finishes" || { cat "$1"; fail "$2 speaks of going over a limit"; }; }
expect 0 "$WETRUN" forecast --trials 2000 runs; silent out forecast; in_out "No limit was given"
expect 0 "$WETRUN" forecast --trials 2000 -f json runs; json "d['overrun'] is None and d['limits'] == [] and d['finish']['quantiles_min']['0.5'] > 50"
expect 0 "$WETRUN" whatif --trials 2000 --drop LAMP --drop CABLE runs; silent out whatif; in_out "all done by"
expect 0 "$WETRUN" whatif --trials 2000 -f json --drop LAMP --drop CABLE runs
json "d['base']['probability_over'] is None and d['base']['any_limit_over'] is None"
# both lanes wait for the longer work, so that leaving the cable out saves what it takes beyond the lamp
json "[a['alternative'] for a in d['alternatives']] == ['drop CABLE', 'drop LAMP'] and d['alternatives'][0]['mean_saved_min'] > 3 > 1 > d['alternatives'][1]['mean_saved_min']"
expect 0 "$WETRUN" whatif --trials 2000 --search runs; silent out "whatif --search"
expect 0 "$WETRUN" debrief R6 --trials 2000 runs; silent out debrief
expect 0 "$WETRUN" debrief R6 --trials 2000 -f json runs
json "d['change']['overrun_before'] is None and d['change']['overrun_after'] is None and d['change']['p50_before_min'] > 50"
expect 0 "$WETRUN" debrief R1 --trials 2000 -f json runs; json "d['run'] == 'R1'"
expect 0 "$WETRUN" backtest --trials 2000 runs; silent out backtest
expect 0 "$WETRUN" report --trials 2000 --out page runs
python3 - <<'P' || fail "the page speaks of a limit that nobody gave"
import json, re
d = json.load(open("page/report.json"))
html = re.sub(r"(?s)<(script|style|svg).*?</\1>", "", open("page/report.html").read())
text = re.sub(r"<[^>]+>", " ", html)
assert d["forecast"]["overrun"] is None and "cutoff" not in d and "runs_needed" not in d, list(d)
assert "No limit was given" in text and not re.search(r"goes? over the", text), re.search(r".{80}goes? over the.{80}", text)
P
expect 0 "$WETRUN" chart limit --trials 2000 --out l.svg runs # how often any limit would be passed
expect 2 "$WETRUN" chart cutoff --trials 2000 --out c.svg runs; in_err "limit"; [ ! -e c.svg ] || fail "a chart of no limit"
expect 0 "$WETRUN" chart finish --trials 2000 --out f.svg runs; ! sed 's/\(safety\|medical\) limits//g' f.svg | grep "limit" || fail "a limit in a chart of none" # but for the caution's
# what is left out of the model is said to be, and is no number
expect 0 "$WETRUN" fit --learning off runs; in_out "Learning from run to run was left out."
expect 0 "$WETRUN" fit --learning off --no-skew -f json runs; json "d['learning'] is None and d['skew'] is None"
# groups: one alone, two without a common task, and two that differ beyond chance
expect 0 "$WETRUN" compare --by pool runs; in_out "one group"
mkdir apart; sed -e '/LAMP/s/deep/tank/; /LAMP/s/R\([1-6]\)/S\1/' -e '/,OUT,\|,IN,/d' runs/runs.csv >apart/runs.csv
expect 0 "$WETRUN" compare --by pool apart; in_out "no chain of common tasks"
expect 0 "$WETRUN" compare --by pool -f json apart
mkdir far; { echo "run,date,task,crew,minutes,pool"
  for r in 01 02 03 04 05 06 07 08 09 10 11 12 13 14 15 16; do
    n=${r#0}; odd=$((n % 2)); pool=deep; [ $odd = 0 ] || pool=tank
    for t in 1 2 3 4; do printf 'R%s,2031-03-%s,T%d,EV1,%d.%d,%s\n' $r $r $t $((10 + 5 * t + odd * (4 + 2 * t))) $(((n * t * 7) % 10)) $pool; done
  done; } >far/runs.csv
expect 0 "$WETRUN" compare --by pool far; in_out "beyond chance"; in_out "below 0.001"; in_out "Tasks that differ"
expect 0 "$WETRUN" compare --by pool -f json far; # of the 12,870 ways to choose 8 of 16 runs only this one and its mirror are as far apart
json "abs(d['groups'][0]['p'] - 2 / 12870) < 1e-12 and d['groups'][0]['exact']"
