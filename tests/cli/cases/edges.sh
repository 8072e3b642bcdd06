. "$TOP/tests/cli/expect.sh"
# Numbers on the edge: an honest width, or a refusal that says what is missing; never a number that is none.
python3 - <<'P' || fail "no campaigns"
import os
def put(name, rows, limit="60", confidence="0.9", plan=None):
    os.makedirs(name)
    if rows:
        with open(name + "/runs.csv", "w") as f:
            f.write("run,task,crew,performer,minutes,outcome\n" + "".join(",".join(map(str, r)) + "\n" for r in rows))
    with open(name + "/limits.csv", "w") as f:
        f.write(f"limit,crew,minutes,confidence\nexcursion,all,{limit},{confidence}\n")
    if plan:
        with open(name + "/plan.csv", "w") as f:
            f.write(plan)
def runs(n, minutes=lambda r, k: 10 + k + (r * 7 + k * 3) % 5, outcome="done", tasks=3):
    return [(f"R{r}", f"T{k}", f"EV{1 + k % 2}", "x", minutes(r, k), outcome) for r in range(n) for k in range(tasks)]
def chain(n):
    return "task,crew,low,likely,high\n" + "".join(f"T{i},EV1,1,2,3\n" for i in range(n))
put("one-run", runs(1)); put("two-runs", runs(2)); put("all-equal", runs(5, lambda r, k: 10), "30")
put("one-task", runs(4, tasks=1), "14"); put("one-cell", runs(1, tasks=1), "14"); put("no-minutes", runs(4, lambda r, k: 0), "12")
put("seconds", runs(5, lambda r, k: 0.05 + 0.01 * ((r + k) % 3)), "0:00:12"); put("all-stopped", runs(4, outcome="stopped"))
put("all-skipped", runs(4, outcome="skipped")); put("days", runs(5, lambda r, k: 3000 + 100 * ((r + k) % 3)), "9000")
put("small-limit", runs(4), "0.001"); put("huge-limit", runs(4), "1000000000"); put("large-limit", runs(4), "9999999")
put("half", runs(4), confidence="0.5"); put("just-above", runs(4), confidence="0.501"); put("rare", runs(4), confidence="0.999")
put("too-rare", runs(4), confidence="0.999999")
put("lanes-32", [(f"R{r}", f"T{k}", f"L{k}", f"p{k}", 10 + (r + k) % 4, "done") for r in range(3) for k in range(32)], "20")
put("lanes-50", [(f"R{r}", f"T{k}", f"L{k}", f"p{k}", 10 + (r + k) % 4, "done") for r in range(3) for k in range(50)], "20")
put("people-30", [(f"R{r}", f"T{k}", "EV1", f"p{(r * 4 + k) % 30}", 10 + (r + k) % 4, "done") for r in range(8) for k in range(4)])
put("chain-2000", None, "4200", plan=chain(2000))
P
sound() { # in the words: no number that is none, no certainty that nobody has
  ! grep -qiE '(^|[^a-z])(nan|inf|infinity)([^a-z]|$)|(^|[^0-9.])(0|100) of 100' "$1" || { cat "$1"; fail "$2: a number that is none"; }
}
sound_json() {
  python3 - "$1" <<'P' || fail "$2: a number that is none"
import json, sys
def bad(x): raise ValueError(x)
def walk(x, key=""):
    if isinstance(x, dict):
        for k, v in x.items(): walk(v, k)
    elif isinstance(x, list):
        for v in x: walk(v, key)
    elif isinstance(x, float) and key.startswith("prob") and not 0 <= x <= 1:
        raise ValueError((key, x))
walk(json.load(open(sys.argv[1]), parse_constant=bad))
P
}
for c in one-run two-runs all-equal one-task one-cell no-minutes seconds all-stopped small-limit large-limit just-above rare lanes-32 people-30; do
  for command in check forecast pad cutoff ready; do
    trials="--trials 4000"; [ $command != check ] || trials=
    # shellcheck disable=SC2086  # none or two words
    "$WETRUN" $command $trials $c > out 2>err </dev/null; case $? in 0|1) ;; *) cat err; fail "$command $c" ;; esac
    sound out "$command $c"; sound err "$command $c"
    "$WETRUN" $command $trials -f json $c > out 2>err </dev/null; sound_json out "$command $c"
  done
done
expect 0 "$WETRUN" report --trials 4000 --out rep one-cell
expect 0 "$WETRUN" report --trials 4000 --out rep all-stopped; sound_json rep/report.json report
# what a line predicts beyond what can be: a width below nothing, a probability past either end
expect 0 "$WETRUN" runs-needed --trials 400 all-equal; not_in out "-0"
expect 0 "$WETRUN" runs-needed --trials 400 -f json all-equal
json "all(0 <= r[k] <= 1 for r in d['further'] for k in ('width', 'interval_lo', 'interval_hi', 'probability_over', 'clear_inside', 'clear_outside'))"
# so little says little: one rehearsal leaves the forecast wide, and nothing is firm
expect 0 "$WETRUN" forecast --trials 4000 -f json one-run; json "d['may_be_firm'] is False or d['overrun']['interval'][1] - d['overrun']['interval'][0] > 0.1 or d['overrun']['interval'][1] > 0.01"
# refusals name what is missing and what to type
expect 3 "$WETRUN" forecast all-skipped; in_err "was never rehearsed"; in_err "there is no plan"; not_in err "plan:0"
expect 3 "$WETRUN" forecast huge-limit; in_err "limits.csv:2"
expect 3 "$WETRUN" forecast half; in_err "not above 0.5"
expect 3 "$WETRUN" forecast too-rare; in_err "above 0.999"
expect 3 "$WETRUN" forecast lanes-50; in_err "the 32 that a plan holds"
expect 3 "$WETRUN" forecast days; in_err "--minutes-in"
expect 0 "$WETRUN" forecast --trials 4000 --minutes-in minutes days; sound out days
expect 0 "$WETRUN" forecast --trials 400 -f json chain-2000; sound_json out chain-2000
