# What is odd is said, before the answer and with --quiet too; what was read is what the checksum is of.
. "$TOP/tests/cli/expect.sh"
campaign
# a run pasted again under another name; a run dated a century back; a run of which nothing is left
grep '^P7-9,' campaign/runs.csv | sed 's/^P7-9/P7-10/' >> campaign/runs.csv
sed -i 's/^P7-2,2031-/P7-2,1931-/' campaign/runs.csv
echo 'P7-11,2031-04-20,west basin,MAST,,EV1,KV,9:00,,,' >> campaign/runs.csv
expect 0 "$WETRUN" check campaign -f json
for code in run-repeats date-far run-lost; do json "any(f['code'] == '$code' for f in d['findings'])"; done
json "d['lost_runs'] == ['P7-11']"
expect 0 "$WETRUN" check campaign; narrow out; in_out "is taken for a step log"; in_out "(P7-11)"
expect 1 "$WETRUN" check campaign --strict
rm -r campaign; campaign
# a slip of ten hours: in a table of its own, and in the answer's first sentence
sed -i 's/^\(P7-7,.*,CAM-AIM,.*,\)11:21:24/\121:21:24/' campaign/runs.csv
expect 0 "$WETRUN" check campaign -f json
json "any(i['what'] == 'step' and i['task'] == 'CAM-AIM' and i['run'] == 'P7-7' and i['read_min'] > 600 for i in d['implausible'])"
expect 0 "$WETRUN" forecast campaign --trials 400; narrow out
head -n 1 out | grep -q '^Doubtful' || fail "the first sentence does not say that the input is implausible"
expect 1 "$WETRUN" ready campaign --trials 400 -q; head -n 1 out | grep -q '^Doubtful' || fail "ready does not say it"
in_err "6 rows of the log were rejected and other rows have them right"; in_err "takes 10:14 as read"
expect 0 "$WETRUN" forecast campaign --trials 400 -f json
json "d['doubt'] and any(f['code'] == 'implausible-step' for f in d['findings']) and d['sampler']['rhat_worst'] < 1.1"
# a step that only a remark calls stopped counts as done: said first
rm -r campaign; campaign
mkdir remarks; cp campaign/plan.csv campaign/limits.csv remarks
python3 - <<'P'
import csv
rows = list(csv.DictReader(open("campaign/runs.csv", newline="")))
with open("remarks/runs.csv", "w", newline="") as f:
    w = csv.DictWriter(f, [c for c in rows[0] if c != "outcome"] + ["Remarks"], extrasaction="ignore"); w.writeheader()
    w.writerows(dict(r, Remarks="stopped - bolt jammed" if i == 0 else "") for i, r in enumerate(rows))
P
expect 0 "$WETRUN" forecast remarks --trials 400 -q
head -n 1 out | grep -q "^Doubtful.*column 'Remarks' says" || fail "a remark that says stopped is passed over"
expect 0 "$WETRUN" forecast remarks --trials 400 --columns outcome=- -q; not_in out "Remarks"
rm -r campaign; campaign
# where everything was stopped no answer is firm
mkdir stopped; cp campaign/plan.csv campaign/limits.csv stopped
python3 - <<'P'
import csv
rows = list(csv.DictReader(open("campaign/runs.csv", newline="")))
with open("stopped/runs.csv", "w", newline="") as f:
    w = csv.DictWriter(f, rows[0].keys()); w.writeheader()
    for r in rows: r["outcome"] = "stopped"; w.writerow(r)
P
expect 0 "$WETRUN" forecast stopped --limit 6:30 --confidence 0.9 --trials 400 -f json
json "not d['may_be_firm'] and 'enough' in d['verdict']"
# nor where nothing that was done took any time, whole holds or ends with their begins, or where one task did not
zero() { # FOLDER TASK: the log with the end of TASK ("": of every task) at its begin
  mkdir "$1"; cp campaign/plan.csv campaign/limits.csv "$1"
  python3 - "$1" "$2" <<'P'
import csv, sys
rows = list(csv.DictReader(open("campaign/runs.csv", newline="")))
with open(sys.argv[1] + "/runs.csv", "w", newline="") as f:
    w = csv.DictWriter(f, rows[0].keys()); w.writeheader()
    for r in rows:
        if not sys.argv[2]: r["start"] = "9:00"
        if sys.argv[2] in ("", r["task"]): r["end"] = r["start"]; r["hold"] = ""
        w.writerow(r)
P
}
zero untimed ""; zero way OUT; zero planless OUT; rm planless/plan.csv
for c in untimed way planless; do
  expect 0 "$WETRUN" forecast $c --limit 6:30 --confidence 0.9 --trials 400
  head -n 1 out | grep -q '^Doubtful' || fail "what is not timed is not said first"
  open="cannot be told for a doubt of the forecast"; [ $c != untimed ] || open="cannot be told for a doubt of the files" # its clock ends when it begins, too
  in_out "${open#?}"; not_in out "Inside:"
  expect 0 "$WETRUN" cutoff $c --limit 6:30 --trials 400; tr '\n' ' ' <out | tr -s ' ' | grep -q "excursion, $open" || fail "a card knows nothing of what is not timed"
  "$WETRUN" ready $c --limit 6:30 --confidence 0.9 --trials 400 >out 2>err </dev/null
  grep -A1 '^Not enough evidence: at most 10 of 100 go over 6:30' out | grep -q 'of 100' || fail "an overrun criterion is met"
done
# people under other names are the same people
expect 0 "$WETRUN" forecast campaign --people EV1=OM,EV2=RA --trials 400 -f json; json "d['overrun']['probability'] > 0"
python3 -c "import json; print(json.load(open('out'))['overrun']['probability'])" > named
expect 0 "$WETRUN" forecast campaign --people ev1=om,ev2=ra --anonymous --trials 400 -f json; not_in out '"OM"'
python3 -c "import json; print(json.load(open('out'))['overrun']['probability'])" > unnamed
cmp named unnamed || fail "--anonymous forecasts somebody else"
# kinds of work without a history
grep -v ',connector,' campaign/history.csv > h.csv
expect 0 "$WETRUN" forecast campaign --for excursion --history h.csv --trials 400; in_err "without history"
# one kind in three spellings is one, and a history of little of the work makes no answer firm
printf 'excursion,kind,pool,flight\nP3,Fastener,30,20\nP4,fasteners,30,20\nP5,FASTENER,30,20\n' > thrice.csv
expect 0 "$WETRUN" forecast campaign --for excursion --history thrice.csv --trials 400; not_in out "Inside"
head -n 1 out | grep -q "^Doubtful, for it rests on this: the history has the kinds" || fail "the text does not begin with the doubt"
expect 0 "$WETRUN" check campaign --history thrice.csv; in_out "history-kind"; in_out "'fasteners' (did you"; not_in out "FASTENER'"
expect 0 "$WETRUN" forecast campaign --history thrice.csv --trials 400; not_in err "fasteners" # the pool has no need of it
sed 's/^Petrel 3,./\U&/' campaign/history.csv > capital.csv; ! cmp -s capital.csv campaign/history.csv || fail "nothing is spelt otherwise"
expect 0 "$WETRUN" forecast campaign --for excursion --history capital.csv --trials 400 -f json; cp out capital
expect 0 "$WETRUN" forecast campaign --for excursion --trials 400 -f json
python3 -c "
import json
a, b = (json.load(open(f)) for f in ('out', 'capital')); assert a['finish'] == b['finish'] and a['overrun'] == b['overrun']" || fail "capitals move the answer"
# a link to nowhere is no absent file; a pipe is read once
ln -s nowhere broken.csv; cp -r campaign linked; ln -sf nowhere linked/limits.csv
expect 3 "$WETRUN" forecast linked; in_err "limits.csv"
mkfifo pipe; cat campaign/runs.csv > pipe & expect 0 "$WETRUN" check --runs pipe --plan campaign/plan.csv -f json
sum=$(sha256sum < campaign/runs.csv | cut -d' ' -f1)
json "any(i['file'] == 'pipe' and i['sha256'] == '$sum' for i in d['inputs'])"
# a folder in the run's place, and a run that is nearly one
expect 2 "$WETRUN" debrief campaign; in_err "needs RUN before it"
expect 2 "$WETRUN" debrief campaign P7-3; in_err "needs RUN before it (wetrun debrief P7-3 campaign)"
expect 2 "$WETRUN" debrief P7-33 campaign; in_err "did you mean 'P7-3'?"
expect 2 "$WETRUN" whatif campaign --drop CAM-AMI; in_err "did you mean 'CAM-AIM'?"
expect 2 "$WETRUN" whatif campaign --scale kind:transt=0.9; in_err "did you mean 'transit'?"
sed 's/^\(P7-3,.*,SLOT,,\)EV2/\1EV4/' campaign/runs.csv > lane.csv
expect 0 "$WETRUN" check --runs lane.csv --plan campaign/plan.csv; in_out "lane 'EV4'"
# a limit whose colon may be lost is asked about wherever one is typed, an alternative's as well
for command in "whatif" "cutoff --at HINGE" "forecast" "series"; do
  folder=campaign; [ "$command" != series ] || folder="$TOP/datasets/petrel-series"
  # shellcheck disable=SC2086  # two words or four
  expect 0 "$WETRUN" $command "$folder" --limit 630 --trials 400; tr '\n' ' ' < out > line
  grep -q "^Doubtful, .* is 630 minutes, 10:30, as read; .* if 6:30 is meant, write 6:30, else 10:30[. ]" line || fail "$command takes 630 for 10:30"
done
# but times, trends and records rest on no limit: no doubt about one is said of them, nor noted, where no count over it stands
mkdir no-history; cp campaign/plan.csv campaign/runs.csv no-history
for command in fit compare "chart tasks" "chart converge"; do
  expect 0 "$WETRUN" $command no-history --limit 630 --trials 400 --quiet $(case $command in chart*) echo --out c.svg;; esac)
  not_in out "Doubtful"; not_in err "630"
done
expect 0 "$WETRUN" compare campaign --limit 630 -f json; json "d['doubt'] is None and d['may_be_firm'] and 'limit' not in str(d['findings'])"
expect 0 "$WETRUN" fit campaign --limit 630 --trials 400; grep -q "^Doubtful, .* 630 minutes" out || fail "a count over a doubted limit stands there without the doubt"
expect 0 "$WETRUN" chart finish no-history --limit 630 --trials 400 --out c.svg; in_err "630 minutes"
# nor is a limit that no day can come to evidence: a time of day, a digit too many; with its unit it is meant
for limit in 15:42 4050; do
  expect 0 "$WETRUN" forecast campaign --limit $limit --trials 400 --format json; json "not d['may_be_firm'] and 'limit' in d['doubt']"
  json "d['kept_open_by'] == ['limit-beyond'] and d['verdict'] == 'not enough rehearsals to tell' and d['answer'].startswith('Doubtful: Cannot be told for a doubt of the files: the numbers count only once the doubt is answered in the file')"
  expect 1 "$WETRUN" ready campaign --limit $limit --trials 400; not_in out "Met: at most 10 of 100"
done
expect 0 "$WETRUN" forecast campaign --limit "942 min" --trials 400 --format json; json "d['may_be_firm'] and d['kept_open_by'] == []"
# no number of rehearsals answers it, and cut-offs say what keeps them open
expect 0 "$WETRUN" runs-needed campaign --limit 15:42 --trials 400; not_in out "of 100 cases"; not_in out "Not enough rehearsals"
tr -s '\n ' ' ' <out | grep -q "cannot be told for a doubt of the files, for the numbers count only once the doubt is answered in the file, and no number of rehearsals answers it" || fail "rehearsals answer a doubt of a file"
expect 0 "$WETRUN" cutoff campaign --limit 15:42 --trials 400; tr -s '\n ' ' ' <out | grep -q "say of the limits: excursion, cannot be told for a doubt of the files;" || fail "a card knows nothing of the doubt"
expect 0 "$WETRUN" whatif campaign --limit 10:30 --limit 6:45 --trials 400; not_in out "Doubtful"
# flight times that are the pool's, copied or filled down, are no evidence that nothing carries over
for last in 99 13; do
  awk -F, -v OFS=, -v last=$last 'NR > 1 && NR <= last { $4 = $3 } 1' campaign/history.csv >same.csv
  expect 0 "$WETRUN" forecast campaign --history same.csv --trials 400 -f json; json "d['may_be_firm'] and not d['excursion_answer']['may_be_firm']"
  expect 0 "$WETRUN" forecast campaign --history same.csv --for excursion --trials 400 -f json; json "not d['may_be_firm'] and 'pool times' in d['doubt']"
done
# work in no run is named, and a time of it in hours asked about
for minutes in 40 0.67; do
  sed "s/^IN,/NEW,More work,EV1,,$minutes,handling,,\n&/" campaign/plan.csv >new.csv
  expect 0 "$WETRUN" forecast campaign --plan new.csv --plan-rehearsed campaign/plan.csv --trials 400; head -n 1 out | grep -q "^Doubtful, .*task 'NEW' is in no run" || fail "new work goes without a word"
done
# the answers, for scripts and in one sentence
expect 0 "$WETRUN" forecast campaign --trials 400 -f csv; head -n 1 out | grep -q 'finish_p50_min.*probability_over' || fail "no answer in the CSV"
expect 0 "$WETRUN" whatif campaign --drop CAM-AIM --trials 400 -f csv; head -n 1 out | grep -q 'base_probability_over' || fail "no base in the CSV"
expect 0 "$WETRUN" compare campaign; narrow out; sed -n 1,6p out | grep -q 'rehearsals get shorter' || fail "compare does not begin with its answer"
# tables are as wide as the terminal says, and 80 columns where it says nothing of use
COLUMNS=160 "$WETRUN" forecast campaign --trials 400 > wide 2>/dev/null
grep -q 'Back out the five bolts of module B' wide || fail "a wide terminal cuts titles"
COLUMNS=-3 "$WETRUN" forecast campaign --trials 400 > out 2>/dev/null; narrow out
# whoever reports during the day writes names as he does elsewhere; who is near is said
printf 'kind,from,to\ntask,Hatch,OUT\n' > names.csv
expect 0 "$WETRUN" cutoff campaign --names names.csv --trials 400 -f json --now 'Hatch=0:22, a-reach@0:22,Take the new camera head out to the docking ring@0:23'
json "d['now']['done'] == 1 and d['now']['running'] == 2"
expect 2 "$WETRUN" cutoff campaign --trials 400 --now 'OTU=0:22'; in_err "did you mean 'OUT'?"
expect 2 "$WETRUN" forecast campaign --trials 400 --people EVA1=OM; in_err "did you mean 'EV1'?"
printf 'criterion,threshold\ncomplete-rns,3\n' > criteria.csv
expect 3 "$WETRUN" ready campaign --trials 400 --criteria criteria.csv; in_err "did you mean 'complete-runs'?"
# a performer is in no finding that is to be anonymous
sed 's/^\(P7-3,.*,SLOT,,EV2,\)[A-Z]*,/\1om,/' campaign/runs.csv > alike.csv
expect 3 "$WETRUN" check --runs alike.csv --plan campaign/plan.csv; in_err "'om'"
expect 3 "$WETRUN" check --runs alike.csv --plan campaign/plan.csv --anonymous; not_in err "'om'"; not_in out "'om'"; in_err "the names of two performers"
# somebody who is nearly another moves what rests on people: not where the model leaves them out, nor once it is said who it is
sed 's/^\(P7-3,.*,SLOT,,EV2,\)RA,/\1AR,/' campaign/runs.csv > slip.csv; cmp -s slip.csv campaign/runs.csv && fail "no slip was made"
slip() { expect 0 "$WETRUN" forecast --runs slip.csv --plan campaign/plan.csv --limit 6:30 --trials 400 "$@"; }
slip; in_out "Doubtful, for it rests on this: 'AR' stands in this row only, and 'RA' in 1"; in_err "person,AR,RA (one)"
slip --anonymous; in_out "Doubtful, for it rests on this: somebody stands"; not_in out "'AR'"; not_in err "'AR'"
slip --no-people; not_in out "Doubtful"
slip --model alone; not_in out "Doubtful"
for row in person,AR,RA person,AR,AR; do printf 'kind,from,to\n%s\n' $row > names.csv; slip --names names.csv; not_in out "Doubtful"; done
# a plan's own name read as another: nothing of the log would be its own
printf 'kind,from,to\ntask,IN,OUT\nlane,EV1,EV2\ntask,OUT,OUT\n' > names.csv
expect 0 "$WETRUN" check -f csv campaign --names names.csv
[ "$(grep -c 'names-planned' out)" = 2 ] || fail "of two names of the plan that are read as others not both are said"
mkdir sub; mv names.csv sub/elsewhere.csv; expect 0 "$WETRUN" check campaign --names sub/elsewhere.csv; in_out "sub/elsewhere.csv:2:6: warning"
