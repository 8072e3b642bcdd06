# Every refusal ends with what to type.
. "$TOP/tests/cli/expect.sh"
python3 "$TOP/tests/cli/support/refusals.py" "$WETRUN" "$TOP" || fail "a refusal leaves its reader without a way out"
