. "$TOP/tests/cli/expect.sh"
# Small campaigns of every make, and every command on each of them: what is promised of all answers. MANY="1 2 …": other ones.
# shellcheck disable=SC2086  # a word a campaign
python3 "$TOP/tests/cli/support/many_campaigns.py" "$WETRUN" ${MANY:-} || fail "an answer is not as promised"
