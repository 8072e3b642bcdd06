# What debrief says of a run: of the forecast that it changes as forecast says it, of what happened by the plan that the
# run followed. Campaigns are invented; what is expected is another command's own word, or the files'.
. "$TOP/tests/cli/expect.sh"
T="--trials 4000"
python3 - <<'P'
import math, os, random
rnd = random.Random(23)
plan = [("OUT", "EV1+EV2", "15", ""), ("FOOT", "EV1", "25", ""), ("CABLE", "EV2", "30", ""), ("LAMP", "EV1", "20", ""),
        ("PLUG", "EV2", "18", ""), ("IN", "EV1+EV2", "24", "")]
def clock(s): return "%d:%02d:%02d" % (s // 3600, s // 60 % 60, s % 60)
def write(folder, n, plan=plan, now=None, limits="excursion,all,1:50,0.9\n"):
    os.makedirs(folder)
    put = lambda name, text: open(f"{folder}/{name}", "w").write(text)
    table = lambda rows: "task,crew,planned,low,likely,high\n" + "".join(f"{t},{c},{p},{j}\n" for t, c, p, j in [(*r[:3], r[3] or ",,") for r in rows])
    put("plan.csv", table(now or plan)); put("limits.csv", "limit,crew,minutes,confidence\n" + limits)
    if now: put("plan-rehearsed.csv", table(plan))
    rows = []
    for r in range(1, n + 1):
        free, pace = {"EV1": 32400, "EV2": 32400}, rnd.gauss(-.12 * math.log(r), .05)
        for task, crew, minutes, _ in plan:
            lanes = crew.split("+"); start = max(free[l] for l in lanes) + 30
            end = start + round((120 if (folder, task) == ("less", "LAMP") else 60) * float(minutes) * math.exp(pace + rnd.gauss(0, .12)))
            for l in lanes: free[l] = end
            rows.append(f"R{r},{task},{crew},{'Ada+Bo' if r % 2 else 'Bo+Ada'},2031-{3 + r:02d}-01,{clock(start)},{clock(end)},done")
    put("runs.csv", "run,task,crew,performer,date,start,end,outcome\n" + "\n".join(rows) + "\n")
new, less = plan[:5] + [("SEAL", "EV1", "", "4,6,10")] + plan[5:], [p for p in plan if p[0] != "LAMP"]
write("three", 3); write("six", 6); write("two", 5, limits="excursion,all,2:08,0.9\nEV1 supply,EV1,2:40,0.95\n")
write("new", 5, now=new); write("less", 5, now=less)
write("derived", 4); os.remove("derived/plan.csv")
P
[ -d derived ] || fail "the campaigns could not be made"
cp -r "$TOP/datasets/petrel-7" demo; chmod -R u+w demo
# without the last run: what the campaign said before it
without() { # FOLDER RUN OPTION …
  folder=$1 run=$2; shift 2
  expect 0 "$WETRUN" debrief "$run" $T -f json "$@" "$folder"; cp out debriefed
  expect 0 "$WETRUN" forecast $T -f json --against "before:$run" "$@" "$folder"
  json "(lambda c, a, f: c['p50_before_min'] == a['half_min']['before'] and c['p50_after_min'] == a['half_min']['after'] and c['overrun_before']['probability'] == a['overrun']['before'] and c['overrun_after']['probability'] == f['overrun']['probability'] and c['verdict'] == f['verdict'])(json.load(open('debriefed'))['change'], d['against'], d)"
}
without three R3; without six R6; without two R5 --on 2031-12-24; without new R5; without less R5; without derived R4
without six R6 --people EV1=Bo,EV2=Ada --anonymous; without demo P7-9 --for excursion
# the answer of the forecast: its verdict, what it lacks, and every second answer; of which limit
says() { tr -s '\n ' ' ' <out | grep -qF -- "$1" || { cat out; fail "it does not say: $1"; }; }
answers() { # FOLDER RUN OPTION …
  folder=$1 run=$2; shift 2
  expect 0 "$WETRUN" forecast $T -f json "$@" "$folder"; cp out forecast
  expect 0 "$WETRUN" debrief "$run" $T -f json "$@" "$folder"
  json "(lambda f: d['second_answers'] == f['second_answers'] and d['second_answers'] and d['caution'] == f['caution'] and all(d['change'][k] == f['limits'][0][k] for k in ('limit', 'confidence', 'verdict', 'second_probability_over', 'second_probability_over_hi')))(json.load(open('forecast')))"
  expect 0 "$WETRUN" debrief "$run" $T "$@" "$folder"
}
answers two R5 --on 2032-06-01
says "2:08 limit “excursion” (90 % interval"; says "So there are two answers"
says "not enough rehearsals to tell, for with 10 % allowed for the gap"
answers new R5; says "If judged 20 % short"
expect 0 "$WETRUN" debrief R3 $T --limit 3:40 three; says "not enough rehearsals to tell, for three rehearsals are complete, and with fewer than four"
expect 0 "$WETRUN" debrief R5 $T --limit 3:00 less; says "wanted: at most 10): inside"
# the plan changed since: what happened is of the plan that was followed, evidence of the one that is forecast, and said
for f in new less; do
  expect 0 "$WETRUN" check -f json $f; json "all(r['complete'] for r in d['runs'])"; cp out checked
  expect 0 "$WETRUN" debrief R4 $T -f json $f
  json "d['complete'] and d['finish_without_holds_min'] == next(r['finish_without_holds_min'] for r in json.load(open('checked'))['runs'] if r['run'] == 'R4')"
done
expect 0 "$WETRUN" debrief R4 $T -f json new
json "d['rank'] is None and d['by_plan_min'] is None and not d['by_plan_complete'] and [t['remark'] for t in d['tasks'] if t['task'] == 'SEAL'] == ['new since then']"
expect 0 "$WETRUN" debrief R4 $T new; says "R4: done at"; says "The two cannot be compared: the plan that is forecast has “SEAL”"; not_in out "not logged"; not_in out "at least"
by="by the plan that is forecast (new: SEAL)"
says "no rehearsal is complete $by"
expect 0 "$WETRUN" forecast $T new; says "no rehearsal is complete $by, and"; says "no rehearsal was complete $by, so none"
expect 1 "$WETRUN" ready $T new; says "0 of 5 rehearsals are complete $by"; says "with no complete rehearsals $by it cannot"
expect 0 "$WETRUN" runs-needed $T new; says "no rehearsal is complete $by"
expect 0 "$WETRUN" backtest $T new; says "No complete rehearsal $by could be held"
expect 0 "$WETRUN" report $T --out page new; grep -q "none complete $by" page/report.html || fail "the page does not say by which plan"
expect 0 "$WETRUN" forecast $T less; says "of the five complete rehearsals"; not_in out "that is forecast" # complete by both plans
sed -i '/^R5,LAMP,/s/done/stopped/' less/runs.csv
expect 0 "$WETRUN" forecast $T less; says "complete rehearsals by the plan that is forecast (without LAMP)"
expect 0 "$WETRUN" debrief R5 $T less; says "R5: not complete, at least"; says "Its times through the plan that is forecast, of which nothing is missing, end at"
# one time is ranked, and named, by debrief and by backtest
for f in less six; do
  expect 0 "$WETRUN" backtest -f json $f; cp out record
  expect 0 "$WETRUN" debrief R4 -f json $f
  json "next((r['actual_min'], r['rank']) for r in json.load(open('record'))['runs'] if r['run'] == 'R4') == (d['by_plan_min'], d['rank'])"
done
expect 0 "$WETRUN" debrief R4 less; says "Its times through the plan that is forecast end at"; cp out debriefed
expect 0 "$WETRUN" backtest less; says "Happened: the run's own times through the plan that is forecast, without holds."
happened=$(sed -n 's/^R4  *\([0-9:]*\) .*/\1/p' out | head -n 1)
tr '\n' ' ' <debriefed | grep -q "that is forecast end at $happened\." || fail "debrief and backtest rank two times"
# which pace: what was expected of a rehearsal, and what is forecast of the excursion
expect 0 "$WETRUN" debrief P7-9 $T demo; says "tasks held against the forecast"; not_in out "tasks judged" # judgement is another thing
expect 0 "$WETRUN" debrief P7-9 $T --for excursion demo; says "at pool pace, 80 of 100"; says "What it changes for the excursion, with the carry-over of history.csv: all done by"
expect 0 "$WETRUN" debrief R6 $T --for excursion six; says "What it changes for the excursion, with pool time at face value: all done by"
# without the run nothing can be forecast: a task that only it had
sed 's/^R1,LAMP,/R1,OUT,/; /^R[2-5],LAMP,/d' six/runs.csv | sed '/^R1,OUT,.*9:[2-5]/d' >one.csv
sed -i 's/^LAMP,EV1,20,/LAMP,EV1,,/' six/plan.csv
expect 0 "$WETRUN" debrief R6 $T --runs one.csv six; says "(without this run nothing could be forecast); "
# what can be read only once is read once
cat three/runs.csv | "$WETRUN" debrief R3 $T -q --plan three/plan.csv --limits three/limits.csv --runs /dev/stdin >out 2>err || { cat err; fail "a log from a pipe"; }
says "without this run"
# work that the plan drops so late is missing from no run that skipped it, and what the run is held against has it not
cp -r six rules
awk -F, 'NR == 1 { print $0 ",drop_after"; next } { print $0 "," ($1 == "LAMP" ? "0:30" : "") }' six/plan.csv >rules/plan.csv
awk -F, -v OFS=, '$1 == "R6" && $2 == "LAMP" { $6 = $7 = ""; $8 = "skipped" } { print }' six/runs.csv >rules/runs.csv
expect 0 "$WETRUN" check -f json rules; json "all(r['complete'] for r in d['runs']) and [f['code'] for f in d['findings']].count('work-dropped') == 1"
expect 0 "$WETRUN" forecast $T rules; says "of the six complete rehearsals by the plan and its drop rules"
expect 0 "$WETRUN" debrief R6 $T rules; says "; without one task that it skipped and the plan may drop the other rehearsals"; says "finishes are earlier than that. Of"
expect 0 "$WETRUN" debrief R5 $T rules; says "; with nothing dropped the other rehearsals"
