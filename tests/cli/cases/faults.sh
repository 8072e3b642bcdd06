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

mkdir tiny; echo 'run,task,crew,minutes' > tiny/runs.csv
for r in 1 2 3; do printf 'R%d,A,EV1,1%d\nR%d,B,EV2,2%d\n' $r $r $r $((r * 2)) >> tiny/runs.csv; done
# a report is a set: what is drawn no more goes, what is not of the report stays; a failure leaves it as it was
expect 0 "$WETRUN" report --trials 500 --out set tiny; in_err "charts are in set"
echo mine > set/charts/notes.txt
expect 4 env PATH="$PWD/bin" "$WETRUN" report --trials 500 --out set tiny; in_err "without charts"; not_in err "charts are in"
[ "$(ls set/charts)" = notes.txt ] || fail "pictures of an earlier report beside a new page: $(ls set/charts)"
cp -r set before; rm -r set/report.json; mkdir set/report.json
expect 4 "$WETRUN" report --trials 500 --out set tiny; in_err "set/report.json"
cmp -s set/report.html before/report.html || fail "half a report was replaced"
[ "$(ls -A set)" = "$(ls -A before)" ] && [ "$(ls -A set/charts)" = notes.txt ] || fail "left over: $(ls -AR set)"
# one drawing that fails: how many are there is said
printf '#!/bin/sh\nscript=$(cat)\ncase $script in *pngcairo*) exit 3;; esac\necho "$script" | %s -d -\n' "$(command -v gnuplot)" > bin/gnuplot
expect 4 env PATH="$PWD/bin" "$WETRUN" report --trials 500 --out some tiny; in_err "charts"; [ -s some/report.html ] || fail "no page"
# what was read is never written over, by whatever name or option
cp -r tiny kept; mkdir sev; printf 'excursion,campaign,date\nOne,../kept,2031-04-18\n' > sev/series.csv; ln -s kept/runs.csv by-link
"$WETRUN" check --write-plan kept/plan.csv kept >/dev/null 2>&1; echo 'limit,crew,minutes,confidence
excursion,all,60,0.9' > kept/limits.csv; mkdir before-out; cp -r kept sev before-out/
spares() { expect 2 "$WETRUN" "$@"; in_err "name another file"; empty out; diff -r kept before-out/kept && diff -r sev before-out/sev || fail "written over: $*"; }
spares forecast --trials 500 --out kept/runs.csv kept; spares check --out by-link kept; spares check --rejected kept/limits.csv kept
spares check --write-plan ./kept/../kept/plan.csv kept; spares check --times kept/runs.csv kept; spares logsheet --out kept/plan.csv kept
spares daysheet --trials 500 --out kept/limits.csv kept; spares chart lanes --trials 500 --picture svg --out kept/runs.csv kept
spares series --trials 500 --out sev/series.csv sev; spares series --trials 500 --out kept/runs.csv sev
spares chart series --trials 500 --picture svg --out kept/runs.csv sev; spares chart series --trials 500 --picture svg --out sev/series.csv sev
spares forecast --trials 500 --against kept --out kept/runs.csv campaign; spares fit --anonymous --out kept/runs.csv kept
printf 'task,start,end\n%s,0:00,0:30\n' "$(sed -n '2s/,.*//p' kept/plan.csv)" > kept/day.csv; cp kept/day.csv before-out/kept
spares cutoff --trials 500 --reports kept/day.csv --out kept/day.csv kept
# nor is a file of the campaign that this command has no use for, nor one output by another
for f in moves criteria names history plan-rehearsed; do echo kept >kept/$f.csv; cp kept/$f.csv before-out/kept; done
spares check --plan kept/plan.csv --runs kept/runs.csv --limits kept/limits.csv --rejected kept/moves.csv campaign
rm kept/names.csv kept/history.csv kept/plan-rehearsed.csv before-out/kept/names.csv before-out/kept/history.csv before-out/kept/plan-rehearsed.csv
spares forecast --trials 500 --out kept/moves.csv kept; spares forecast --trials 500 --out ./kept/../kept/criteria.csv kept
rm kept/criteria.csv before-out/kept/criteria.csv; spares ready --trials 500 --out kept/criteria.csv kept; spares check --times kept/history.csv kept
spares series --trials 500 --out sev/spill.csv sev
# nor one of a campaign that it did not read: there is no log in it, or it is an earlier one that check has no use for
mkdir -p kept/earlier/bare kept/earlier/log; cp tiny/runs.csv kept/earlier/log; cp kept/limits.csv kept/earlier/bare
rm -rf before-out/kept; cp -r kept before-out/
spares forecast --trials 500 --out kept/earlier/bare/limits.csv kept; spares check --out kept/earlier/log/runs.csv kept
spares check --write-plan kept/earlier/log/runs.csv kept; spares forecast --trials 500 --out kept/earlier/bare/plan.csv kept
rm -r kept/earlier before-out/kept/earlier
# nor is a file made whose name stands for one of another kind
for f in names history criteria runs; do [ -e kept/$f.csv ] || spares check --write-plan kept/$f.csv kept; done
mkdir alone; for f in limits names runs; do expect 2 "$WETRUN" check --write-plan alone/$f.csv kept; in_err "name another file"; [ -e alone/$f.csv ] && fail "$f.csv was made"; done
expect 2 "$WETRUN" check --rejected alone/runs.csv kept; expect 2 "$WETRUN" fit --out alone/runs.csv kept; expect 0 "$WETRUN" check --write-plan alone/plan-rehearsed.csv kept
# nor is a table written over, whatever its name, but by its own kind; nor a sheet that may have been filled in
cp kept/runs.csv kept/rehearsal-9.csv; { echo 'Session;Work;Team;Began'; echo '1;OUT;EV1;9:12'; echo '1;IN;EV1;9:50'; } >kept/of-others.csv; cp kept/rehearsal-9.csv kept/of-others.csv before-out/kept
for f in rehearsal-9 of-others; do
    spares forecast --trials 500 --format json --out kept/$f.csv campaign; spares fit --format csv --out kept/$f.csv campaign; spares check --rejected kept/$f.csv campaign
    spares check --times kept/$f.csv campaign; spares check --write-plan kept/$f.csv campaign; spares logsheet --out kept/$f.csv campaign
done
for i in 1 2; do expect 0 "$WETRUN" fit --format csv --out alone/fit.csv kept; expect 0 "$WETRUN" check --times alone/times.csv --write-plan alone/mine.csv kept; done
expect 0 "$WETRUN" fit --format json --out alone/fit.json kept; expect 0 "$WETRUN" forecast --trials 500 --out alone/fit.json kept
for i in 1 2; do expect 0 "$WETRUN" logsheet --format csv --out alone/sheet.csv kept; done
sed -i '2s/.*/&x/' alone/sheet.csv; cp alone/sheet.csv filled; expect 2 "$WETRUN" logsheet --format csv --out alone/sheet.csv kept
in_err "may be a sheet that was filled in"; cmp -s filled alone/sheet.csv || fail "a filled sheet was written over"
mkdir empty; printf 'task,crew,planned\nA,EV1,20\n' >empty/plan.csv; expect 0 "$WETRUN" logsheet --format csv --out empty/runs.csv empty; [ -s empty/runs.csv ] || fail "no sheet"
mkdir outs; ln -s . outs/again; echo old >outs/old; ln -s old outs/link
twice() { expect 2 "$WETRUN" check "$@" kept; in_err "name another file"; empty out; [ "$(ls outs)" = "again
link
old" ] && [ "$(cat outs/old)" = old ] || fail "half of it was written"; }
twice --out outs/o --rejected outs/o --format csv; twice --write-plan outs/all --times outs/again/all
twice --rejected outs/old --times outs/link; in_err "--rejected and --times both name outs/link"
twice --write-plan ./outs/p --rejected "$PWD/outs/p"
expect 0 "$WETRUN" check --out /dev/null --rejected /dev/null --times outs/times kept; [ -s outs/times ] || fail "no times"
expect 0 "$WETRUN" check --write-plan outs/plan.csv kept; expect 0 "$WETRUN" check --write-plan outs/plan.csv kept
# a run of no minutes at all
mkdir none; printf 'run,task,crew,minutes\nR0,A,EV1,0\n' > none/runs.csv
expect 0 "$WETRUN" report --trials 500 --out nothing none; [ -s nothing/charts/lanes.svg ] || fail "no lanes"
# what a log tells that was nearly all rejected is no forecast
cp -r "$TOP/datasets/petrel-7" swapped; sed -i '1s/start,end/end,start/' swapped/runs.csv
for of in fit forecast "pad --confidence 0.9"; do expect 3 "$WETRUN" $of --trials 2000 swapped; in_err "360 of the log's 367 rows were rejected"; done
# a trend that is open beyond all measure: the picture ends at three times the longest, 15:00, and says so
mkdir open; printf 'run,task,crew,start,end\nR1,A,EV1,0:00,0:10\nR2,A,EV1,0:00,5:00\nR3,A,EV1,0:00,0:10\nR4,A,EV1,0:00,5:00\n' > open/runs.csv
expect 0 timeout 60 "$WETRUN" chart runs --trials 500 --picture svg open; grep -q 'ends at three times' out || fail "no word of what is cut off"
grep -q '>12:00<' out && ! grep -q '>16:00<' out || fail "another end of the picture"
# wrong usage is wrong usage; more than can be known is refused with what it would take
expect 2 "$WETRUN" pad --trials 64 campaign; in_err "write --trials 100"
expect 2 "$WETRUN" cutoff --trials 64 campaign; in_err "write --trials 100"
expect 2 "$WETRUN" pad --confidence 0.999999 campaign; in_err "above 0.999"
expect 3 "$WETRUN" pad --confidence 0.999 --trials 1000 campaign; in_err "write --trials 4000"
expect 2 "$WETRUN" forecast --limit 1e308 campaign; in_err "1e308"
# `ready` gives 0 for nothing but all criteria met
awk -F, 'NR == 1 || $1 == "P7-8" || $1 == "P7-9"' "$TOP/datasets/petrel-7/runs.csv" > campaign/runs.csv
printf 'criterion,threshold\nplanned-missed,1\nplanned-path,1\noverrun,0.99\nother-limits,0.99\n' > campaign/criteria.csv
expect 1 "$WETRUN" ready --trials 2000 --format json campaign; json "d['not_enough_evidence'] > 0"
rm campaign/criteria.csv
# a standard file that is closed: nothing is written into another in its place
"$WETRUN" forecast --trials 2000 --out whole.txt campaign >&- 2>&- || fail "a whole file, and status $?"
head -n 1 whole.txt | grep -q '^Found\|^Inside\|^Not\|^Doubtful\|^Not enough\|^[A-Z]' || fail "not the answer: $(head -n 1 whole.txt)"
! grep -q Caution: whole.txt || fail "messages in the file"
"$WETRUN" forecast --trials 2000 campaign >&- 2>err; [ $? -eq 4 ] || fail "closed standard output"; in_err "standard output"
# links to nowhere are no place for a file, and no absent file
ln -s /nowhere/at/all link.txt; expect 4 "$WETRUN" check --out link.txt campaign; in_err "it is a link to nowhere"; not_in err "make its folder"
expect 4 "$WETRUN" check --out link.txt campaign; in_err link.txt
rm campaign/limits.csv; ln -s /nowhere campaign/limits.csv
expect 3 "$WETRUN" forecast campaign; in_err "limits.csv: cannot be opened"
