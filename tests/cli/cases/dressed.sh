# More than a hundred ways to write down the same campaign: each is read right, or refused with what to type.
. "$TOP/tests/cli/expect.sh"
command -v python3 >/dev/null || skip "no python3"
python3 "$TOP/tests/cli/support/dressed.py" "$WETRUN" || fail "something was misread"
