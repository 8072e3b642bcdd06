. "$TOP/tests/cli/expect.sh"
# Earlier campaigns teach the priors: every prior beside the default, the forecast with and without.
campaign
others() { sed "/,IN,/s/:[0-9][0-9],,done\$/:$1,,done/"; } # of the log on standard input: rehearsals that end otherwise
mkdir -p campaign/earlier/first campaign/earlier/second campaign/earlier/empty elsewhere
head -n 130 campaign/runs.csv | others 54 > campaign/earlier/first/runs.csv
cp campaign/plan.csv campaign/earlier/first
sed 's/P7-/P5-/' campaign/runs.csv | others 55 > campaign/earlier/second/runs.csv
cp campaign/plan.csv campaign/earlier/second
expect 0 "$WETRUN" fit --trials 4000 campaign
in_out "2 earlier campaigns"; in_out "first: "; in_out "second: 9"; in_out "times over plan"; narrow out
in_err "earlier/empty has no runs.csv"
expect 0 "$WETRUN" forecast --trials 4000 campaign; in_out "; without them "; narrow out; cp out with
expect 0 "$WETRUN" forecast --trials 4000 --format json campaign
json "[c['campaign'] for c in d['earlier']['campaigns']] == ['first', 'second']"
json "all(p['default_lo'] < p['default'] < p['default_hi'] and p['taught_lo'] < p['taught'] < p['taught_hi'] for p in d['earlier']['priors'])"
json "{p['parameter'] for p in d['earlier']['priors']} >= {'tau', 'kappa', 'gamma', 'log_s0', 'd', 'omega_s', 'rho', 'a'} - {'rho', 'tau'}"
json "any('earlier/first/runs.csv' in i['file'] for i in d['inputs'])"
without=$(python3 -c "import json; print(json.load(open('out'))['earlier']['without']['quantiles_min']['0.5'])")
# without them the answer is the one that was shown beside
expect 0 "$WETRUN" forecast --trials 4000 --format json --no-earlier campaign
json "d['earlier'] is None and d['finish']['quantiles_min']['0.5'] == $without"
# named ones
mv campaign/earlier/second elsewhere/second; rm -r campaign/earlier
expect 0 "$WETRUN" forecast --trials 4000 --earlier elsewhere/second campaign; in_out "1 earlier campaign ("
expect 2 "$WETRUN" forecast --earlier campaign campaign; in_err "the campaign itself"
expect 2 "$WETRUN" forecast --earlier elsewhere/second --earlier elsewhere/../elsewhere/second campaign; in_err "twice"
ln -s earlier campaign/earlier # there, and cannot be opened: what it teaches is not left out unsaid
expect 3 "$WETRUN" forecast campaign; in_err "campaign/earlier: cannot be opened"; rm campaign/earlier
expect 3 "$WETRUN" forecast --earlier nowhere campaign; in_err "earlier campaign nowhere"
echo 'run,task' > elsewhere/second/runs.csv
expect 3 "$WETRUN" forecast --earlier elsewhere/second campaign; in_err "earlier campaign elsewhere/second"; empty out
# what judged times were worth there: a plan of judgement is restated, and it is said by whom
judge() { # FOLDER FACTOR: three points for every task of its plan, around FACTOR times the planned time
  python3 - "$1" "$2" <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1] + "/plan.csv")))
with open(sys.argv[1] + "/plan.csv", "w", newline="") as f:
    out = csv.writer(f)
    out.writerow(["task", "crew", "after", "low", "likely", "high"])
    for r in rows:
        m = float(sys.argv[2]) * float(r["planned"])
        out.writerow([r["task"], r["crew"], r["after"], 0.8 * m, m, 1.5 * m])
P
}
mkdir judged
for c in 1 2 3; do mkdir -p judged/earlier/c$c; cp campaign/plan.csv judged/earlier/c$c; others 5$c <campaign/runs.csv >judged/earlier/c$c/runs.csv; judge judged/earlier/c$c 0.6; done
cp campaign/plan.csv judged; judge judged 1
expect 0 "$WETRUN" forecast --trials 4000 --limit 6:30 judged; in_out "28 tasks rest on judgement. Tasks that were judged and then timed in earlier"; narrow out
expect 0 "$WETRUN" forecast --trials 4000 --format json --limit 6:30 judged
json "d['judgement']['earlier_campaigns'] and d['judgement']['restated'] and d['judgement']['bias']['factor'] > 1.2"
json "{'judged_bias', 'judged_off', 'judged_widening'} <= {p['parameter'] for p in d['earlier']['priors']}"
json "d['finish']['quantiles_min']['0.5'] > 1.15 * d['earlier']['without']['quantiles_min']['0.5']"
expect 0 "$WETRUN" fit --trials 4000 judged; in_out "times over those judged"; narrow out
expect 0 "$WETRUN" forecast --trials 4000 --format json --limit 6:30 --no-earlier judged; json "not d['judgement']['restated']"
