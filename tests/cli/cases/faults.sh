. "$TOP/tests/cli/expect.sh"
campaign
# a full disk and a closed pipe are failed writes: exit status 4, a message, nothing half-written
if [ -w /dev/full ]; then
  "$WETRUN" check campaign > /dev/full 2>err; [ $? -eq 4 ] || fail "full disk"; in_err "standard output"
fi
mkfifo pipe; (exec 3<pipe; exec 3<&-) & "$WETRUN" forecast --trials 20000 --format json campaign > pipe 2>err; status=$?; wait
[ $status -eq 4 ] || fail "closed pipe: exit status $status"
expect 4 "$WETRUN" check --out nowhere/out.txt campaign; in_err "nowhere/out.txt"; [ ! -e nowhere ] || fail "made a folder"
echo before > target; chmod a-w .; 
if [ "$(id -u)" != 0 ]; then expect 4 "$WETRUN" check --out target campaign; [ "$(cat target)" = before ] || fail "half-written"; fi
chmod u+w .
# no gnuplot: a chart fails with what to do; the report writes page and JSON without charts, and says so
mkdir bin; for t in sh env cat; do ln -s "$(command -v $t)" bin/; done
expect 4 env PATH="$PWD/bin" "$WETRUN" chart finish --trials 20000 --out c.png campaign; in_err "gnuplot"; [ ! -e c.png ] || fail "a picture of nothing"
expect 4 env PATH="$PWD/bin" "$WETRUN" report --trials 20000 --out rep campaign; in_err "without charts"
[ -s rep/report.html ] && [ -s rep/report.json ] || fail "no page or no JSON"
[ -z "$(ls rep/charts 2>/dev/null)" ] || fail "charts without gnuplot"
python3 -c "import json; json.load(open('rep/report.json'))" || fail "the JSON is none"
# a gnuplot that dies
printf '#!/bin/sh\nread line\nkill -9 $$\n' > bin/gnuplot; chmod +x bin/gnuplot
expect 4 env PATH="$PWD/bin" "$WETRUN" chart finish --trials 20000 --out c.png campaign; in_err "gnuplot"; [ ! -e c.png ] || fail "a picture of nothing"
printf '#!/bin/sh\nexit 3\n' > bin/gnuplot
expect 4 env PATH="$PWD/bin" "$WETRUN" chart finish --trials 20000 --out c.png campaign; in_err "gnuplot"
