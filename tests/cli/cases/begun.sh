# A task that has begun has its lead-in behind it: of its minutes, as the rehearsals have them, only what is left of them
# counts from its begin on, and work that is reported from begin to end is no quicker for it.
. "$TOP/tests/cli/expect.sh"
mkdir campaign; python3 - <<'P'
import random
rnd = random.Random(3)
with open("campaign/runs.csv", "w") as log, open("campaign/limits.csv", "w") as limits:
    log.write("run,task,crew,start,end\n")
    for r in range(9):
        at = 0.0
        for k in range(6):
            at += 0 if k == 0 else 6 + rnd.uniform(-0.5, 0.5)
            minutes = 14 * rnd.lognormvariate(0, 0.03)
            log.write(f"R{r},T{k},EV1,{at:.2f},{at + minutes:.2f}\n")
            at += minutes
    limits.write("limit,crew,from,to,minutes,confidence\nexcursion,all,,,130,0.9\n")
P
now() { expect 0 "$WETRUN" cutoff campaign --trials 4000 --format json --learning off --now "$1"; cp out "$2"; }
# as usual: every task 14 min, 6 min after the one before it
now T3@60 begun; now T0@0-14,T1@20-34,T2@40-54,T3@60 reported; now T2=54,T3@60,@67 runs; now T2=54 ended; now T0@0,T1@20,T2@40,T3@60 begins
python3 - <<'P' || fail "the lead-in of a task that has begun is walked again, or its work taken for quick"
import json
def half(name):
    return json.load(open(name))["now"]["quantiles_min"]["0.5"]
for name in "begun", "reported", "runs", "ended", "begins":
    assert abs(half(name) - 114) < 1.5, (name, half(name))
for name in "reported", "begins":
    pace = json.load(open(name))["now"]
    assert abs(pace["seen_factor"] - 1) < 0.03, pace
P
