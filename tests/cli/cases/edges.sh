. "$TOP/tests/cli/expect.sh"
# Numbers on the edge: an honest width, or a refusal that says what is missing; never a number that is none.
python3 "$TOP/tests/cli/support/edge_campaigns.py" || fail "no campaigns"
sound() { # in the words: no number that is none, no certainty that nobody has
  ! grep -qiE '(^|[^a-z])(nan|inf|infinity)([^a-z]|$)|(^|[^0-9.])(0|100) of 100' "$1" || { cat "$1"; fail "$2: a number that is none"; }
}
sound_json() {
  python3 -S - "$1" <<'P' || fail "$2: a number that is none"
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
    [ $c != seconds ] || trials="$trials --minutes-in minutes" # steps of seconds are asked about
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
