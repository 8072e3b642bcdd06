. "$TOP/tests/cli/expect.sh"
# Another plan beside the one that there is: how its tasks differ, and limits that are about them.
python3 "$TOP/tests/cli/support/other_plans.py" "$WETRUN" || fail "another plan"
