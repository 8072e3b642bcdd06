# A plan of judgement alone: its furthest finishes are years, and yet every number of it is of days.
. "$TOP/tests/cli/expect.sh"
cat >of.py <<'P'
# Half of those over by its own quantiles, intervals that hold what they are of, and a curve that ends with the days.
import json, sys

d = json.load(open("out"))
q = sorted((float(p), v) for p, v in d["finish"]["quantiles_min"].items())
half = d["limit_min"] + d["half_of_over_late_min"]
at = 1 - d["overrun"]["probability"] / 2
assert max([v for p, v in q if p <= at]) <= half <= min([v for p, v in q if p >= at] + [1e99]), (at, half, q)
for p, v in q:
    lo, hi = d["finish"]["quantiles_interval_min"]["%g" % p]
    assert lo <= v <= hi, (p, lo, v, hi)
curve = d["limit_curve"]
assert all(c["interval"][0] <= c["probability_over"] <= c["interval"][1] for c in curve)
assert curve[-1]["limit_min"] < 20 * q[4][1], curve[-1]
middle = [c for c in curve if 0.25 < c["probability_over"] < 0.75]
assert len(middle) >= 10, len(middle)
# where no sd is stated none means anything, and the others are of the size of the times
sds = [t["sd_min"] for t in d["tasks"]]
assert None in sds and all(t["mean_min"] is None for t in d["tasks"] if t["sd_min"] is None), sds
assert all(t["sd_min"] < 1.5 * t["p95_min"] for t in d["tasks"] if t["sd_min"] is not None), sds
assert d["finish"]["sd_min"] is None and d["finish"]["mean_min"] is None, d["finish"]
P
for seed in 1 2 3; do
  expect 0 "$WETRUN" forecast --seed $seed --format json "$TOP/datasets/petrel-2"; python3 of.py || fail "seed $seed"
done
printf "task,crew,planned\nA,EV1,0:10\nB,EV1,0:10\n" >plan.csv
expect 0 "$WETRUN" forecast --limit 0:20 --format json .; python3 of.py || fail "a plan of two tasks"
expect 0 "$WETRUN" forecast "$TOP/datasets/petrel-2"; narrow out; in_out "Where an end is the time itself"
in_out "A task without an sd: a few days far out would make it up."
expect 0 "$WETRUN" forecast "$TOP/datasets/petrel-7"; not_in out "Where an end is the time itself"; not_in out "without an sd"
expect 0 "$WETRUN" fit --format json "$TOP/datasets/petrel-2"
json "all(t['sd_min'] is None or t['sd_min'] < 1.5 * t['p95_min'] for t in d['tasks'])"
json "any(t['sd_min'] is None for t in d['tasks'])"
# between the percentiles that the table has, too, the limit needed is one of days
expect 0 "$WETRUN" forecast --confidence 0.85 "$TOP/datasets/petrel-2"; in_out "To be inside with 85 % it takes a limit of 5:"
# a changed plan has no mean either that its own 90 % point does not hold
expect 0 "$WETRUN" whatif --drop PATCH --format json "$TOP/datasets/petrel-2"
json "d['base']['mean_min'] is None and d['base']['p90_min'] < 1000"
