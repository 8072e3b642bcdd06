. "$TOP/tests/cli/expect.sh"
# an empty campaign can be used at once: nothing rejected, nothing found, a log sheet
expect 0 "$WETRUN" start mine; narrow out; in_out "mine/runs.csv"; in_out "wetrun check mine"
expect 0 "$WETRUN" check mine; in_out "2 rows read: 2 accepted, 0 rejected"; in_out "no errors, 3 warnings"
# a run and limits that are nobody's are told from the first word on
in_out "example-limit"; in_out "run-is-plan"
expect 0 "$WETRUN" forecast mine; in_out "Doubtful, for it rests on this: run 'EXAMPLE' counts as a rehearsal"; in_out "more of the kind"
expect 0 "$WETRUN" logsheet mine; in_out "MAST"
expect 0 "$WETRUN" forecast mine
# the example deleted, only headers left in the log: a campaign that has not begun
head -n 1 mine/runs.csv >header; cp header mine/runs.csv
expect 0 "$WETRUN" check mine; in_out "no rehearsal is logged yet"
expect 0 "$WETRUN" logsheet mine; in_out "MAST"
expect 0 "$WETRUN" forecast mine; in_out "nothing was rehearsed"
expect 3 "$WETRUN" check --runs header --plan mine/plan.csv; in_err "no rows below the header"
# a log that was destroyed is none that has not begun: without a header that can be read nothing is said of it
printf '\n# to come\n\n' | cat header - >mine/runs.csv; expect 0 "$WETRUN" check mine; in_out "no rehearsal is logged yet"
destroyed() {
  expect 3 "$WETRUN" check mine --strict -q; in_err "mine/runs.csv"; in_err "$1"; not_in out "no rehearsal is logged yet"
  expect 3 "$WETRUN" forecast mine; in_err "$1"; empty out
}
head -c 25657 /dev/zero >mine/runs.csv; destroyed "a NUL byte: put a whole copy of the file in its place"
: >mine/runs.csv; destroyed "it is empty: write a header, as run,task,crew,start,end (\`wetrun start FOLDER\` writes one)"
printf ' \n\n\t\n' >mine/runs.csv; destroyed "it is empty: write a header"
echo overwritten >mine/runs.csv; destroyed "the header has no column 'run'"
rm mine/runs.csv; expect 0 "$WETRUN" check mine -q
mkdir bare; cp header bare/runs.csv; expect 3 "$WETRUN" check bare; in_err "no rows below the header"
expect 0 "$WETRUN" start again; cp again/runs.csv mine/runs.csv
# what is there stays as it is, and nothing is left of what could not be written whole
cp mine/plan.csv before
expect 2 "$WETRUN" start mine; in_err "is there already"; cmp -s before mine/plan.csv || fail "the plan was written over"
mkdir half; mkdir half/runs.csv
expect 2 "$WETRUN" start half; in_err "half/runs.csv is there already"; [ ! -e half/plan.csv ] || fail "half of a campaign was written"
: >file
expect 4 "$WETRUN" start file/mine; [ -f file ] || fail "the file is gone"
expect 2 "$WETRUN" start; in_err "write wetrun start"
# a log sheet sent back as it was handed out: not a question of what stands above, for nothing does
expect 0 "$WETRUN" logsheet "$TOP/datasets/petrel-7" --format csv; mv out sheet.csv
n=$(($(wc -l <sheet.csv) - 1)); petrel=$TOP/datasets/petrel-7
for runs in "--runs sheet.csv" "--runs $petrel/runs.csv --runs sheet.csv"; do
  # shellcheck disable=SC2086  # several words
  expect 3 "$WETRUN" check "$petrel" $runs -q; in_err "none of $n rows names a run or has a time"; in_err "or leave the file out"; not_in err fill-down
done
# with times and no run it lacks only that; with one in its first row it is asked about as before
python3 -c "
import csv
rows = list(csv.DictReader(open('sheet.csv')))
for name, run in (('timed', ''), ('first', 'R1')):
    with open(name + '.csv', 'w', newline='') as f:
        w = csv.DictWriter(f, rows[0].keys()); w.writeheader()
        for i, r in enumerate(rows): w.writerow(dict(r, start='9:%02d' % i, end='9:%02d' % (i + 1), run='' if i else run))"
expect 3 "$WETRUN" check "$petrel" --runs timed.csv -q; in_err "none of $n rows names a run: write one in every row, or in the first and add --fill-down run"
expect 3 "$WETRUN" check "$petrel" --runs first.csv -q; in_err "do they belong to the run above? add --fill-down run"
