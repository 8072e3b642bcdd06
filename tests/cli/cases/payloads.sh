. "$TOP/tests/cli/expect.sh"
# A hundred hostile texts in every place that a text can come from, through every sink. `hostile.sh` follows a few by hand.
# Manual pages are no sink: they are written when the program is built, from its own tables and files, before any campaign is there.
P="$TOP/tests/cli/support/payloads.py"
look() { python3 "$P" look "$@" || fail "group $g: not text alone"; [ -z "$(find . -name '*OWNED*' -newer begun ! -path './folders/*')" ] || fail "group $g: ran text from a file"; }
# run COMMAND …: whatever it says of such input, it is one of its documented statuses, and its messages are text
run() { "$WETRUN" "$@" > out 2>err </dev/null; got=$?; case $got in 0|1|2|3) ;; *) cat err; fail "group $g: exit status $got: $*" ;; esac; said=$((said + 1)); cat err > said/$said; }
said=0; mkdir said words
few="--trials 400 --limit 1:00 --confidence 0.9"
alone="--trials 400 --model alone" # what a message quotes does not depend on it
set -- $(python3 "$P" count); groups=$1
[ "$2" -ge 100 ] || fail "only $2 payloads"
touch begun
g=${FROM:-0}
while [ "$g" -lt "$groups" ]; do
  c=make; python3 "$P" make "$g" g$g
  for c in check forecast; do
    trials=$few; [ $c != check ] || trials=
    for format in table csv json; do
      # shellcheck disable=SC2086  # several words
      run $c $trials -f $format g$g; mv out $c.$format
    done
    [ "$got" -le 1 ] || { cat err; fail "group $g: $c takes none of it"; }
  done
  # shellcheck disable=SC2086
  for c in pad cutoff compare logsheet; do run $c $few g$g; mv out $c.table; done
  run daysheet --trials 400 --out d.html g$g
  # shellcheck disable=SC2086
  for c in lanes tasks cutoff runs; do run chart $c $few --out $c.svg g$g; [ $got -eq 0 ] || { cat err; fail "chart $c"; }; done
  # shellcheck disable=SC2086
  run chart tasks $few --out t.pdf g$g
  # the command line, names of files and folders
  python3 "$P" words "$g" words
  for i in 0 1 2 3 4 5 6 7 8 9; do
    w=$(cat words/$i); w=${w%.}
    # shellcheck disable=SC2086
    case $(((i + g) % 3)) in # each text meets a third of these
    0) run check --columns "run=$w" g$g; run check "$w"; run whatif $alone --limit "$w" g$g; run compare --by "$w" g$g ;;
    1) run check --people "$w=$w" g$g; run check --runs "$w"; run whatif $alone --scale "$w=0.5" g$g; run debrief $alone "$w" g$g ;;
    2) run cutoff $alone --now "$w@0:10" g$g; run chart "$w" g$g; run whatif $alone --swap "$w=$w" g$g; run "$w" ;;
    esac
  done
  look terminal ./*.table said/* csv ./*.csv json ./*.json html d.html svg ./*.svg pdf t.pdf
  rm said/* ./*.table ./*.csv ./*.json d.html ./*.svg t.pdf
  g=$((g + 1))
done
# one report of all kinds of text, and a folder whose name is one
for g in 0 4; do
  [ -d g$g ] || python3 "$P" make $g g$g
  expect 0 "$WETRUN" report --trials 400 --out rep$g g$g
  look html rep$g/report.html json rep$g/report.json svg rep$g/charts/*.svg
done
mkdir folders; d="folders/<img src=x onerror=OWNED=1>"; cp -r g0 "$d"
expect 0 "$WETRUN" forecast --trials 400 "$d"
expect 0 "$WETRUN" daysheet --trials 400 --out d.html "$d"; look terminal out html d.html
