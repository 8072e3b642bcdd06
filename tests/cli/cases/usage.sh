. "$TOP/tests/cli/expect.sh"
expect 2 "$WETRUN"; in_err "a command is needed"; empty out
expect 2 "$WETRUN" frobnicate; in_err "no command 'frobnicate'"
expect 2 "$WETRUN" forecast --frob; in_err "no option '--frob'"
expect 2 "$WETRUN" forecast --trials; in_err "--trials needs a value: write --trials N"
expect 2 "$WETRUN" forecast --trials 1e5; in_err "'1e5' is not a whole number"
expect 2 "$WETRUN" whatif --search --changes 0; in_err "--changes: '0' is not a whole number above 0: write --changes 2"
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
# every command of the help is in the manual and the completion, and has a help of its own that fits a terminal, names its exit
# statuses and shows an example that can be typed (that the help lists all of them: make check-lists)
commands=$(sed -n 's/^  \([a-z-]*\)  *[a-z].*/\1/p' out)
[ -n "$commands" ] || fail "no commands listed"
# an empty name, as of an unset variable, is none: not the root's files, and no place to write
expect 2 "$WETRUN" check ''; in_err "unexpected ''"; expect 2 "$WETRUN" start ''; in_err "unexpected ''"
expect 2 "$WETRUN" check --out ''; in_err "--out needs a value"; expect 2 "$WETRUN" check --plan=; in_err "--plan needs a value"
"$WETRUN" --manual >manual; "$WETRUN" --complete 0 '' >complete
for c in $commands; do
  grep -q "^\.It Nm Cm $c" manual || fail "the manual does not list $c"
  grep -q "^$c	" complete || fail "the completion does not know $c"
  expect 0 "$WETRUN" "$c" --help; narrow out; in_out "Exit status"
  example=$(sed -n '/^Example/{n;s/^  wetrun //p}' out)
  [ -n "$example" ] || fail "$c --help shows no example"
  expect 0 "$WETRUN" $example --help
done
# an option that does nothing for a command is not in its help, and the command says that it does nothing
expect 0 "$WETRUN" check --help; not_in out "--seed"
expect 0 "$WETRUN" check --seed 2 "$TOP/datasets/petrel-7"; in_err "--seed changes nothing in what wetrun check says"
expect 0 "$WETRUN" check --seed 2 --quiet "$TOP/datasets/petrel-7"; not_in err "changes nothing"
expect 2 "$WETRUN" check --seed two; in_err "--seed"
expect 2 "$WETRUN" start --seed 2 there; in_err "no option '--seed'"; [ ! -e there ] || fail "written all the same"
# what is refused ends with what to type
expect 2 "$WETRUN" forecast --limit; in_err "write --limit H:MM"
expect 2 "$WETRUN" forecast --for pool; in_err "write --for excursion"
expect 2 "$WETRUN" chart; in_err "write wetrun chart finish"
expect 2 "$WETRUN" start a b; in_err "wetrun start [options] FOLDER"
expect 2 "$WETRUN" --completion csh; in_err "bash, zsh or fish"
# control sequences in what the user typed do not reach the terminal
expect 2 "$WETRUN" "$(printf '\033[31mred')"; ! grep -q "$(printf '\033')" err || fail "escape sequence on the terminal"
# progress with the time left on a terminal (where there is time for it), nothing of it in a pipe
long="runs-needed --trials 512 --threads 1 $TOP/datasets/petrel-7"
command -v script >/dev/null && {
  begun=$(date +%s)
  script -qec "'$WETRUN' $long" /dev/null </dev/null | tr '\r' '\n' >shown
  [ $(($(date +%s) - begun)) -lt 3 ] || grep -q '^rehearsing ahead *\[=* *\] *[0-9]* %' shown || fail "no progress on a terminal"; }
expect 0 "$WETRUN" $long; not_in err "rehearsing ahead"
# whatever the pages tell people to type can be typed
{ sed -n 's/^\.Dl wetrun //p' "$TOP/src/cmd/manual/wetrun.1.in"
  grep -oh '`wetrun [a-z][^`]*`' "$TOP"/src/cmd/manual/*.md | sed 's/^`wetrun //; s/`$//'; } | sort -u >typed
[ "$(wc -l <typed)" -gt 20 ] || fail "the pages tell people to type next to nothing"
while read -r line; do
  eval "expect 0 \"\$WETRUN\" $line --help"
done <typed

# said again, an option adds or is refused; a word for an unknown outcome is offered both meanings
expect 2 "$WETRUN" forecast --limit 5:00 --limit 6:00; in_err "write --limit 6:00 alone"
mkdir again
printf 'run,task,lane,start,end,outcome\nR1,A,EV1,0:00,0:10,halfway\nR1,B,EV1,0:10,0:20,done\n' >again/runs.csv
expect 3 "$WETRUN" check again --format csv; in_out "outcome,halfway,stopped"; in_out "outcome,halfway,skipped"
expect 2 "$WETRUN" cutoff "$TOP/datasets/petrel-7" --now A-LIFT@2:10 --now A-LIFT@2:20
in_err "'A-LIFT' is reported twice"
expect 0 "$WETRUN" chart pad "$TOP/datasets/petrel-7" --trials 4096 --picture svg -o pad.svg
grep -q "planned times are shorter than median and pad" pad.svg || fail "title of the pad chart"
