. "$TOP/tests/cli/expect.sh"
# Surroundings that change no result, and limits of the shell that are refused in words.
cp -r "$TOP/datasets/petrel-9-sketch" plan; campaign
forecast() { expect 0 "$@" "$WETRUN" forecast --trials 2000 --format json plan; cmp out usual || fail "it matters: $*"; }
expect 0 "$WETRUN" forecast --trials 2000 --format json plan; cp out usual
forecast env TZ=Pacific/Kiritimati; forecast env TZ=:/nonexistent; forecast env TZ=
expect 0 "$WETRUN" check campaign; cp out checked
expect 0 env TZ=America/St_Johns "$WETRUN" check campaign; cmp out checked || fail "the time zone matters to check"
# a terminal for gnuplot that is not there is not asked for
expect 0 env GNUTERM=nonsense "$WETRUN" chart lanes --trials 500 --out lanes.png plan
# few files and little memory: an answer, or what is missing, and nothing half written; not of a program that counts (make coverage), for it writes its counts under the same limits
if ! grep -q '\.gcda' "$WETRUN"; then
  forecast sh -c 'ulimit -n 5; exec "$@"' few
  expect 4 sh -c 'ulimit -n 6; exec "$WETRUN" report --trials 500 --out report plan'
  in_err "Too many open files"; python3 -c "import json; json.load(open('report/report.json'))" || fail "half a report"
  expect 4 sh -c 'ulimit -f 10; exec "$WETRUN" report --trials 500 --out small plan'; in_err "File too large"; [ -z "$(ls -R small 2>/dev/null)" ] || fail "left: $(ls -R small)"
  expect 5 sh -c 'ulimit -v 20000; exec "$WETRUN" forecast --trials 100000 --format json plan'; in_err "out of memory"; empty out
fi
# a locale with decimal commas, made here: asking for one that is not there would test nothing
command -v localedef >/dev/null || skip "decimal commas: no localedef here"
localedef -i de_DE -f UTF-8 ./de_DE.UTF-8 2>/dev/null
[ "$(LOCPATH=$PWD LC_ALL=de_DE.UTF-8 locale decimal_point 2>/dev/null)" = , ] || skip "decimal commas: the locale cannot be made here"
forecast env LOCPATH="$PWD" LC_ALL=de_DE.UTF-8
expect 0 env LOCPATH="$PWD" LC_ALL=de_DE.UTF-8 "$WETRUN" check campaign; cmp out checked || fail "the locale matters to check"
