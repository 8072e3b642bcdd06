. "$TOP/tests/cli/expect.sh"
offers() { offered=$1; shift; expect 0 "$WETRUN" --complete "$@"; cut -f1 out | grep -qxF -- "$offered" || { cat out; fail "not offered: $offered for $*"; }; }
demo=$TOP/datasets/petrel-7
printf 'run,task,minutes\nZ9,T,3\n' >odd.csv; printf 'Lauf,Was,Min\nZ9,T,3\n' >odd2.csv
offers forecast 0 fore
offers --limit 1 forecast --li
offers excursion 2 forecast --for ''
offers cutoff 1 chart c
offers P7-9 1 debrief '' "$demo"
offers P7-5 3 compare "$demo" --split P7-
offers before:P7-8 3 forecast "$demo" --against before:
offers HINGE 3 whatif "$demo" --drop H
offers HINGE,BEAM 3 whatif "$demo" --drop HINGE,B
offers folders 1 forecast ''
offers files 2 forecast --plan ''
offers none 2 forecast --seed ''
offers csv 2 forecast -f ''; offers json 2 forecast --format ''
offers clock 2 check --times ''
offers folders 2 forecast --earlier ''
offers folders 2 forecast --quiet ''
offers folders 2 debrief P7-9 ''
# the campaign is the word that belongs to no option, and --runs and --columns say how its log is read
offers P7-3 3 debrief --trials 500 '' "$demo"
offers Z9 3 debrief --runs odd.csv ''; offers Z9 5 debrief --columns run=Lauf,task=Was,minutes=Min --runs odd2.csv ''
offers folders 3 forecast -f csv ''; offers folders 2 forecast -fx ''; offers folders 2 forecast --nosuch ''
offers P7-3 1 debrief '' --nosuch "$demo"; offers P7-3 1 debrief '' "$demo" ''
for last in --runs --columns; do offers P7-3 1 debrief '' "$demo" $last; done # whose value is not there yet
expect 0 "$WETRUN" --complete 1 check --see; [ "$(cat out)" = none ] || fail "an option that check does not take"
expect 0 "$WETRUN" --complete 7 check; expect 0 "$WETRUN" --complete 3; expect 0 "$WETRUN" --complete 1 nosuch ''
# a name that a terminal could obey is not offered
mkdir odd; printf 'run,task,minutes\nok $(id),T,3\n"bad\033[31m",T,4\n' >odd/runs.csv
expect 0 "$WETRUN" --complete 1 debrief '' odd; in_out 'ok $(id)'; ! grep -q "$(printf '\033')" out || fail "an escape sequence is offered"

# in the shells that are there
PATH=$(dirname "$WETRUN"):$PATH; export PATH
cp -r odd "odd one"; touch "a file"
command -v bash >/dev/null && {
  "$WETRUN" --completion bash >bash.sh
  bash -c '. ./bash.sh; compopt() { :; }
    ask() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); _wetrun; printf "%s\n" "${COMPREPLY[@]}"; }
    ask wetrun fore; ask wetrun debrief ""; cd odd; ask wetrun debrief ""; cd '"'$demo'"'; ask wetrun forecast --against before : P7-8; ask wetrun forecast --for = exc' >out 2>err
  empty err; in_out forecast; in_out 'ok\ \$\(id\)'; grep -qx P7-8 out || { cat out; fail "before:RUN"; }; }
command -v zsh >/dev/null && { "$WETRUN" --completion zsh >_wetrun; expect 0 zsh -n _wetrun; }
command -v fish >/dev/null && {
  "$WETRUN" --completion fish >wetrun.fish
  expect 0 fish -c 'source wetrun.fish; complete -C "wetrun chart fin"; cd odd; complete -C "wetrun debrief "'
  in_out finish; in_out 'ok '; }
exit 0
