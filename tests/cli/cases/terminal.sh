. "$TOP/tests/cli/expect.sh"
# On a terminal: as wide as that is, a bar for what takes time, and no picture.
campaign
python3 "$TOP/tests/cli/support/terminal.py" "$WETRUN" campaign || fail "on a terminal"
