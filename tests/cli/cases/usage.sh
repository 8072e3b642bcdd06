. "$TOP/tests/cli/expect.sh"
expect 2 "$WETRUN"; in_err "a command is needed"; empty out
expect 2 "$WETRUN" frobnicate; in_err "no command 'frobnicate'"
expect 2 "$WETRUN" forecast --frob; in_err "no option '--frob'"
expect 2 "$WETRUN" forecast --trials; in_err "--trials needs a value"
expect 2 "$WETRUN" forecast --trials 1e5; in_err "'1e5' is not a whole number"
expect 2 "$WETRUN" forecast --confidence 1; in_err "not between 0 and 1"
expect 2 "$WETRUN" forecast --limit 6:75; in_err "h:mm"
expect 2 "$WETRUN" forecast --limit 6.30; in_err "minutes, or hours and minutes?"
expect 2 "$WETRUN" forecast --limits-in 3; in_err "did you mean '--limits'?"
expect 2 "$WETRUN" forecast --format xml; in_err "table, csv or json"
expect 2 "$WETRUN" forecast a b; in_err "unexpected 'b'"
expect 2 "$WETRUN" debrief; in_err "needs RUN"
expect 2 "$WETRUN" whatif --also; in_err "there is none"
expect 2 "$WETRUN" chart nosuch; in_err "there is no chart 'nosuch'"
expect 3 "$WETRUN" check nowhere; in_err "neither runs.csv nor plan.csv"
expect 3 "$WETRUN" check --runs nowhere.csv; in_err "nowhere.csv"
expect 0 "$WETRUN" --version; in_out "wetrun "
expect 0 "$WETRUN" --help; narrow out
# every command that the README names is in the help, the manual and the completion, and has a help of its own that fits a
# terminal and names its exit statuses (that the README names them all: make check-lists)
"$WETRUN" --manual >manual; "$WETRUN" --completion >completion
for c in $(sed -n '/^| command | answers |/,/^$/s/^| `\([a-z-]*\)[` ].*/\1/p' "$TOP/README.md"); do
  grep -q "^  $c  *[a-z]" out || fail "wetrun --help does not list $c"
  grep -q "^\.B wetrun $c " manual || fail "the manual does not list $c"
  grep -q "^ *$c) words=" completion || fail "the completion does not know $c"
done
for c in $(sed -n '/^| command | answers |/,/^$/s/^| `\([a-z-]*\)[` ].*/\1/p' "$TOP/README.md"); do
  expect 0 "$WETRUN" "$c" --help; narrow out; in_out "Exit status"; in_out "--seed"
done
[ -n "$c" ] || fail "no commands listed"
# control sequences in what the user typed do not reach the terminal
expect 2 "$WETRUN" "$(printf '\033[31mred')"; ! grep -q "$(printf '\033')" err || fail "escape sequence on the terminal"
