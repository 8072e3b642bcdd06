. "$TOP/tests/cli/expect.sh"
# What small campaigns meet: other plans, clocks, earlier campaigns, reports side by side. All invented: OUT, LAMP, CABLE
# and IN as five rehearsals have them, in a folder of that name; a factor makes all of it longer.
rehearse() { # FOLDER [FACTOR [FURTHER TASK]]
  mkdir -p "$1"
  python3 - "$@" <<'P'
import sys
folder, factor, more = sys.argv[1], float((sys.argv[2:] or ["1"])[0]), sys.argv[3:]
with open(folder + "/runs.csv", "w") as f:
    print("run,date,task,crew,performer,start,end", file=f)
    for r in range(5):
        at = {"EV1": 0.0, "EV2": 0.0}
        for k, (task, crew, minutes) in enumerate([("OUT", "EV1+EV2", 12), ("LAMP", "EV1", 20), ("CABLE", "EV2", 30)] +
                                                  [(t, "EV1", 10) for t in more] + [("IN", "EV1+EV2", 9)]):
            begin = max(at[lane] for lane in crew.split("+"))
            end = begin + factor * minutes * (1 + 0.05 * ((3 * r + 2 * k) % 5 - 2))
            for lane in crew.split("+"): at[lane] = end
            who = crew.replace("EV1", "Ann").replace("EV2", "Bob")
            print(f"R{r},2031-03-0{r + 1},{task},{crew},{who},{begin:.2f},{end:.2f}", file=f)
P
  printf 'task,crew,planned\nOUT,EV1+EV2,12\nLAMP,EV1,20\nCABLE,EV2,30\nIN,EV1+EV2,9\n' >"$1/plan.csv"
  printf 'limit,crew,from,to,minutes,confidence\nexcursion,all,,,60,0.9\n' >"$1/limits.csv"
}
W="$WETRUN"; T="--trials 2000"
rehearse one

# ---- logs of other names ----
# a folder whose logs are not called runs.csv is no campaign without rehearsals: it says so, first, and is not firm
mkdir other; cp one/plan.csv one/limits.csv other; for n in 1 2 3 4; do cp one/runs.csv "other/deck $n.csv"; done; mkdir other/folder.csv
printf 'pool,depth\neast,12\n' >other/pools.csv; printf 'run,task,start,end\n' >other/sheet.csv; cp one/runs.csv other/.hidden.csv
mv "other/deck 2.csv" "other/deck$(printf '\033')[31m.csv"
expect 0 "$W" forecast $T other; tr -s '\n ' ' ' <out >line; grep -q "^Doubtful.*step logs lie beside the plan (deck.\+m.csv, deck 1.csv, deck 3.csv and 1 more).* (logs-unread, " line || fail "$(cat line)"
narrow out; ! grep -q "$(printf '\033')" out || fail "escape sequence on the terminal"
rm other/deck?[1-4].csv other/deck*; expect 0 "$W" forecast $T other; ! grep -q logs-unread out || fail "no log, and yet: $(cat out)"
expect 0 "$W" forecast $T --runs one/runs.csv other; ! grep -q logs-unread out || fail "read, and yet: $(cat out)"

# ---- what is certain ----
# work whose minutes are given as known takes the same on every day: nothing is counted on days, nor said as if it were
mkdir fixed; printf 'task,crew,planned,drop_after,low,likely,high\nOUT,EV1,30,,30,30,30\nLAMP,EV1,40,20,40,40,40\nIN,EV1,35,,40,40,40\n' >fixed/plan.csv
expect 0 "$W" forecast --limit 1:20 --confidence 0.9 fixed; tr -s '\n ' ' ' <out >line
grep -q "None of 100 finishes go over the 1:20 limit, with no interval" line || fail "a limit that nothing can go over: $(cat line)"
grep -q "LAMP (dropped on all of 100)" line || fail "work that is always dropped: $(cat line)"
expect 0 "$W" forecast --limit 1:00 --confidence 0.9 fixed; tr -s '\n ' ' ' <out >line
grep -q "[Aa]ll of 100 finishes go over the 1:00 limit, with no interval" line || fail "a limit that nothing can keep: $(cat line)"
expect 0 "$W" forecast --format json --limit 1:00 --confidence 0.9 fixed; json "d['limits'][0]['probability_over'] == 1" # as numbers they are what they were
expect 0 "$W" pad --confidence 0.9 fixed; grep -q "^OUT .* all\$" out && grep -q "^IN .* none\$" out || fail "planned times that fixed work keeps or not: $(cat out)"
expect 0 "$W" forecast $T one; ! grep -q "[Nn]one of 100\|[Aa]ll of 100" out || fail "certain of what was simulated"

# ---- alternatives ----
expect 0 "$W" whatif $T -f json --swap LAMP=EV2 --also --swap CABLE=EV1 one # both change lanes: one timeline
json "len(d['alternatives']) == 1 and d['alternatives'][0]['alternative'] == 'swap LAMP=EV2, swap CABLE=EV1'"
expect 0 "$W" whatif $T -f json --limit 1:10 --also --plan one/plan.csv one
json "d['alternatives'][0]['probability_over'] < d['base']['probability_over']"
expect 2 "$W" whatif $T --also --drop LAMP one
in_err "--also joins a change to the one before it"
# clocks in another plan: their tasks must be there, and must not have a drop time; one of a single task may
printf 'limit,crew,from,to,minutes,confidence\nexcursion,all,,,60,0.9\nlamp,,LAMP,IN,45,0.9\n' >clock.csv
sed 's/^IN,/WAY IN,/' one/plan.csv >renamed.csv
expect 3 "$W" whatif $T --limits clock.csv --plan renamed.csv one; in_err "limit 'lamp' is about a task that this plan does not have"
printf 'task,crew,planned,drop_after\nOUT,EV1+EV2,12,\nLAMP,EV1,20,40\nCABLE,EV2,30,\nIN,EV1+EV2,9,\n' >begins.csv
printf 'task,crew,planned,drop_after\nOUT,EV1+EV2,12,\nLAMP,EV1,20,\nCABLE,EV2,30,50\nIN,EV1+EV2,9,\n' >ends.csv
expect 3 "$W" whatif $T --limits clock.csv --plan begins.csv one; in_err "task 'LAMP' has a drop time, and the limit 'lamp' begins with it"
printf 'limit,crew,from,to,minutes,confidence\nexcursion,all,,,60,0.9\ncable,,OUT,CABLE,50,0.9\n' >cable.csv
expect 3 "$W" whatif $T --limits cable.csv --plan ends.csv one; in_err "task 'CABLE' has a drop time, and the limit 'cable' ends with it"
printf 'limit,crew,from,to,minutes,confidence\nexcursion,all,,,60,0.9\nlamp,,LAMP,LAMP,25,0.9\n' >single.csv
expect 0 "$W" whatif $T -f json --limits single.csv --plan begins.csv one; json "[l['limit'] for l in d['alternatives'][0]['limits']] == ['excursion', 'lamp']"
# a drop time that no day reaches is worth nothing, and not told apart either
json "d['alternatives'][0]['share_better_than_base'] == 0.5 and d['alternatives'][0]['gain'] == 0"
rm one/limits.csv
expect 0 "$W" whatif $T -f json --plan begins.csv one; json "d['alternatives'][0]['probability_over'] is None"
rehearse one

# ---- a clock that has ended before it begins ----
mkdir seal
printf 'task,crew,planned\nOUT,EV1+EV2,20\nSEAL,EV1,10\nPUMP,EV2,60\nMAST,EV1,60\nTEST,EV2,30\nIN,EV1+EV2,30\n' >seal/plan.csv
printf 'limit,crew,from,to,minutes,confidence\nexcursion,all,,,5:30,0.9\nseal,,TEST,SEAL,20,0.9\n' >seal/limits.csv
python3 - >seal/runs.csv <<'P'
print("run,task,crew,start,end")
for r, f in enumerate((1.02, 0.97, 1.05, 0.94, 1.01)):
    for task, crew, start, end in (("OUT", "EV1+EV2", 0, 20), ("SEAL", "EV1", 20, 29), ("PUMP", "EV2", 20, 84), ("MAST", "EV1", 29, 92),
                                   ("TEST", "EV2", 84, 116), ("IN", "EV1+EV2", 116, 147)):
        print(f"R{r},{task},{crew},{f * start + r % 2:.2f},{f * end + r % 2:.2f}")
P
expect 0 "$W" forecast $T seal; not_in out "[Ii]nside:"; head -n 1 out | grep -q "^Doubtful, for it rests on this: limit 'seal'" || fail "nothing is said of the clock"
not_in out "seal: inside"
expect 0 "$W" forecast $T -f json seal; json "all(l['verdict'] != 'inside' for l in d['limits']) and d['findings'][0]['code'] == 'clock-reversed'"
expect 1 "$W" ready $T -f json seal; json "all(c['evidence'] == 'not enough evidence' for c in d['criteria'] if c['criterion'] in ('overrun', 'other-limits'))"
sed -i 's/TEST,SEAL/SEAL,TEST/; s/,20,/,330 min,/' seal/limits.csv
expect 0 "$W" forecast $T -f json seal; json "[l['verdict'] for l in d['limits']] == ['inside', 'inside']"

# ---- the newest rehearsal first, and no dates ----
python3 - <<'P'
import csv, os
rows = list(csv.DictReader(open("one/runs.csv")))
for name, of_run, order in (("newest", lambda r: "S-" + r["run"][1:], -1), ("newest-dates", lambda r: r["date"], -1), ("oldest", lambda r: r["date"], 1)):
    os.makedirs(name, exist_ok=True)
    for f in ("plan.csv", "limits.csv"): open(f"{name}/{f}", "w").write(open(f"one/{f}").read())
    out = csv.DictWriter(open(f"{name}/runs.csv", "w", newline=""), ["run", "task", "crew", "performer", "start", "end"], extrasaction="ignore")
    out.writeheader()
    for run in sorted({r["run"] for r in rows})[::order]:
        out.writerows(dict(r, run=of_run(r)) for r in rows if r["run"] == run)
P
expect 0 "$W" forecast $T --limit 1:20 newest
head -n 1 out | grep -q "^Doubtful, for it rests on this: by their names" || fail "nothing is said of runs from the last to the first"
for c in forecast runs-needed cutoff; do
  expect 0 "$W" $c $T --limit 1:20 --confidence 0.9 newest; not_in out "[Ii]nside:\|: inside"
done
expect 0 "$W" forecast $T -f json --limit 1:20 newest; json "not d['may_be_firm'] and d['findings'][0]['code'] == 'runs-reversed'"
expect 1 "$W" ready $T -f json --limit 1:20 newest; json "[c['evidence'] for c in d['criteria'] if c['criterion'] == 'overrun'] == ['not enough evidence']"
printf 'kind,from,to\nrun,S-4,S-4\n' >newest/names.csv # so it was
expect 0 "$W" forecast $T -f json --limit 1:20 newest; json "d['may_be_firm'] and d['verdict'] == 'inside'"
# names that are dates order the runs, whichever way the log has them
expect 0 "$W" forecast $T -f json newest-dates; json "d['may_be_firm']"; cp out dated
expect 0 "$W" forecast $T -f json oldest; json "d['overrun'] == json.load(open('dated'))['overrun']"

# ---- minutes and no begin nor end ----
# the same five days with 2 min before each task, by the clock, in minutes, and the last two of them in minutes
python3 - <<'P'
import csv, os
rows, seen, shift = list(csv.DictReader(open("one/runs.csv"))), set(), {}
for r in rows: # each lane 2 min later before each of its tasks
    lanes = r["crew"].split("+")
    at = max(shift.get((r["run"], lane), 0.0) for lane in lanes) + 2
    for lane in lanes: shift[r["run"], lane] = at
    r["start"], r["end"] = (f"{float(r[k]) + at:.2f}" for k in ("start", "end"))
for name, by_minutes in (("clock", ()), ("minutes", ("R0", "R1", "R2", "R3", "R4")), ("mixed", ("R3", "R4"))):
    os.makedirs(name, exist_ok=True)
    for f in ("plan.csv", "limits.csv"): open(f"{name}/{f}", "w").write(open(f"one/{f}").read())
    out = csv.DictWriter(open(f"{name}/runs.csv", "w", newline=""), list(rows[0]) + ["minutes"])
    out.writeheader()
    for r in rows:
        took = f"{float(r['end']) - float(r['start']):.2f}"
        out.writerow(dict(r, start="", end="", minutes=took) if r["run"] in by_minutes else r)
P
for c in clock mixed minutes; do expect 0 "$W" forecast $T -f json --limit 1:10 $c; cp out $c.json; done
json "d['verdict'] == 'not enough rehearsals to tell' and d['findings'][0]['code'] == 'minutes-alone' and d['may_be_firm']"
cp clock.json out; json "d['verdict'] == 'inside'"
cp mixed.json out # three whole days are too few; each task has what the others have before it
json "d['verdict'] != 'inside' and abs(d['finish']['quantiles_min']['0.5'] - json.load(open('clock.json'))['finish']['quantiles_min']['0.5']) < 0.5"
json "d['finish']['quantiles_min']['0.5'] - json.load(open('minutes.json'))['finish']['quantiles_min']['0.5'] > 3"
mkdir later # the count runs from the hatch, 14 min before the first step: said before anything else
cp one/plan.csv one/limits.csv later/
python3 - <<'P'
import csv
rows = list(csv.DictReader(open("one/runs.csv")))
out = csv.DictWriter(open("later/runs.csv", "w", newline=""), list(rows[0]))
out.writeheader()
for r in rows: out.writerow(dict(r, start=float(r["start"]) + 14, end=float(r["end"]) + 14))
P
expect 0 "$W" forecast $T --limit 1:10 later
head -n 2 out | tr '\n' ' ' | grep -q "^Doubtful, for it rests on this: in 5 of 5 runs in elapsed minutes the first step" || fail "14 min are lost unseen"
expect 0 "$W" forecast $T --limit 1:10 minutes; not_in out "Inside"
head -n 1 out | grep -q "^Doubtful, for it rests on this: the log has minutes" || fail "nothing is said of the time between tasks"
expect 0 "$W" check -f json mixed
json "[(r['finish_min'] is None, r['replay_min'] is None, r['finish_without_holds_min'] is None, r['kept_to_plan'] is None) for r in d['runs']] == [(i > 2,) * 4 for i in range(5)]"
expect 0 "$W" compare -f json mixed; json "all((r['lead_in_min'] is None) == (r['waiting'][0]['minutes'] is None) == (r['run'] in ('R3', 'R4')) for r in d['runs'])"
expect 0 "$W" debrief $T -f json R4 mixed; json "d['finish_without_holds_min'] is None and d['unlogged_min'] is None and all(t['lead_in_min'] is None for t in d['tasks'])"
expect 0 "$W" debrief $T R4 mixed; tr '\n' ' ' <out | grep -q "lead-ins and gaps not known" || fail "lead-ins are told that nobody knows"
expect 1 "$W" ready $T -f json --limit 1:10 minutes
json "not [c['criterion'] for c in d['criteria'] if c['evidence'] == 'met' and c['criterion'] not in ('task-done', 'record')]"
# its owner says that they hold it: then it is a log as any other, but for the order that nobody saw
expect 0 "$W" forecast $T --limit 1:10 minutes; tr '\n' ' ' <out | grep -q "if the minutes hold that as well, say --minutes-whole" || fail "no way to say so"
expect 0 "$W" forecast $T -f json --limit 1:10 --minutes-whole minutes; json "d['verdict'] == 'inside' and not d['findings'] and '--minutes-whole' in d['options']"
expect 0 "$W" forecast $T -f json --limit 1:10 --minutes-whole mixed; json "d['verdict'] == 'inside'"
expect 0 "$W" check -f json --minutes-whole minutes
json "[(r['finish_min'], r['replay_min'] is None, r['kept_to_plan']) for r in d['runs']] == [(None, False, None)] * 5"
json "[(f['severity'], '5 of 5 runs' in f['message']) for f in d['findings'] if f['code'] == 'minutes-alone'] == [('note', True)]"
"$W" ready $T -f json --limit 1:10 --minutes-whole minutes >out
json "(lambda e: e['overrun'] == 'met' and e['kept'] == 'not enough evidence')({c['criterion']: c['evidence'] for c in d['criteria']})"
# its own times through the plan are forecast and happen alike; beside others by the clock part of them would be the others'
expect 0 "$W" backtest $T -f json minutes; json "len(d['runs']) == 5"
expect 0 "$W" backtest $T minutes; tr '\n' ' ' <out | grep -q "of 5 complete rehearsals fell" || fail "5 by minutes are not on record"
expect 0 "$W" backtest $T -f json mixed; json "[r['run'] for r in d['runs']] == ['R0', 'R1', 'R2']"

# ---- a plan that lost its way in ----
cp -r clock outside; sed -i '/^IN,/d' outside/plan.csv
expect 0 "$W" forecast $T --limit 1:10 outside; not_in out "Inside"; head -n 1 out | grep -q "^Doubtful.*the plan has no 'IN'" || fail "the way in is not missed"
for c in clock outside; do expect 1 "$W" ready $T -f json --limit 1:10 $c; cp out $c.json; done
evidence() { cp $1.json out; json "[c['evidence'] for c in d['criteria'] if c['criterion'] == 'overrun'] == ['$2']"; }
evidence clock met; evidence outside 'not enough evidence'

# ---- people of whom the rehearsals tell nothing ----
# Ann had EV1 and Bob EV2 throughout: nothing says how long others take, and no answer about them may be firm
expect 0 "$W" forecast $T -f json --limit 1:20 --people EV1=ann,EV2=Bob one; json "d['verdict'] == 'inside' and d['doubt'] is None"
for others in EV1=Nov,EV2=Zed EV1=Bob,EV2=Ann EV2=Zed; do
  expect 0 "$W" forecast $T --limit 1:20 --people $others one; not_in out "Inside"
  head -n 1 out | grep -q "^Doubtful, for it rests on this: --people $others" || fail "the text does not begin with the doubt"
  tr '\n' ' ' <out | grep -q "cannot tell people apart" || fail "it is not said that people cannot be told apart"
  not_in out "for somebody unknown"
  expect 0 "$W" forecast $T -f json --limit 1:20 --people $others one
  json "d['verdict'] == d['limits'][0]['verdict'] == 'not enough rehearsals to tell' and not d['may_be_firm'] and 'people named' in d['doubt']"
  expect 0 "$W" forecast $T -f csv --limit 1:20 --people $others one; in_err "cannot tell people apart"
done
expect 1 "$W" ready $T -f json --limit 1:20 one # the planned times are those of half the days
json "all(c['evidence'] == 'met' for c in d['criteria'] if c['criterion'] == 'overrun')"
expect 1 "$W" ready $T -f json --limit 1:20 --people EV2=Zed one
json "all(c['evidence'] == 'not enough evidence' and 'not of the people named' in c['found'] for c in d['criteria'] if c['criterion'] in ('overrun', 'planned-missed', 'planned-path'))"
expect 0 "$W" cutoff $T -f json --limit 1:20 --now LAMP=0:40 --people EV2=Zed one; not_in out '"inside"'
expect 0 "$W" daysheet $T --limit 1:20 --people EV2=Zed -o day.html one; grep -q '"rehearsals":0' day.html || fail "the day's page may say inside"
expect 0 "$W" chart finish $T --limit 1:20 --people EV2=Zed -o finish.svg one; in_err "Doubtful"

# ---- side by side ----
# half as long: beyond what was said; a limit without a confidence; a criterion that one of them leaves out
rehearse half 0.5
printf 'limit,crew,minutes,confidence\nexcursion,all,60,0.9\nsuit,EV1,70,\n' >half/limits.csv
sed '$s/$/0.8/' half/limits.csv >one/limits.csv
printf 'criterion,threshold\nunlogged,off\n' >half/criteria.csv
expect 0 "$W" forecast $T -f json --against half one; cp out slower
expect 0 "$W" forecast $T -f json --against one half; cp out faster
python3 - <<'P' || fail "half as long is not told as that"
import json
for name, factor in ("slower", 2), ("faster", 0.5):
    a = json.load(open(name))["against"]
    for t in a["tasks"]:
        assert t["median_state"] == "changed" and abs(t["median_after_min"] / t["median_before_min"] / factor - 1) < 0.1, t
    wished = [0.9, 0.9], [None, 0.8] if name == "slower" else [0.8, None]
    assert [[l["confidence_before"], l["confidence_after"]] for l in a["limits"]] == list(wished), a["limits"]
    assert "unlogged" not in [c["criterion"] for c in a["criteria"]] and len(a["criteria"]) > 3
P
# as many tasks, one of another name: another plan, and both are listed
rehearse other; sed -i 's/LAMP/VALVE/' other/plan.csv other/runs.csv
expect 0 "$W" forecast $T -f json --against other one
json "{t['task']: t['plan'] for t in d['against']['tasks'] if t['task'] in ('LAMP', 'VALVE')} == {'LAMP': 'new', 'VALVE': 'gone'}"
# what was rehearsed then, and rests on a known law now
rehearse planned; sed -i '/LAMP/d' planned/runs.csv
printf 'task,crew,planned,median,sdlog\nOUT,EV1+EV2,12,,\nLAMP,EV1,,25,0.1\nCABLE,EV2,30,,\nIN,EV1+EV2,9,,\n' >planned/plan.csv
expect 0 "$W" forecast $T -f json --against one planned
json "[(t['timed_before'], t['timed_after'], t['median_state'], abs(t['median_after_min'] - 25) < 0.5) for t in d['against']['tasks'] if t['task'] == 'LAMP'] == [(5, 0, 'changed', True)]"

# ---- earlier campaigns ----
# a file and a link to nowhere among them teach nothing; one that is named as well counts once; a lone log is one itself
rehearse late; mkdir late/earlier; rehearse late/earlier/first 1.01; rehearse late/earlier/second 1.1
echo notes >late/earlier/README; ln -s nowhere late/earlier/gone
expect 0 "$W" forecast $T -f json --earlier late/earlier/first late
json "sorted(c['campaign'] for c in d['earlier']['campaigns']) == ['first', 'second']"
not_in err README; not_in err gone
rehearse alone; rehearse alone/earlier 1.01
expect 0 "$W" forecast $T -f json alone; json "len(d['earlier']['campaigns']) == 1 and d['earlier']['campaigns'][0]['rehearsals'] == 5"
printf 'excursion,kind,pool,flight\nX1,transit,12,15\nX2,transit,20,26\nX2,fastener,30,33\n' >late/history.csv
expect 0 "$W" forecast $T -f json --for excursion late
json "d['earlier']['without']['quantiles_min']['0.5'] > 60" # carried over there as well
# this campaign itself, in a copy whose runs have other names or by a link, and one earlier campaign in two folders are told
# already: left out, and said
rehearse copied; mkdir copied/earlier; cp -r late/earlier/first copied/earlier/a; ln -s .. copied/earlier/loop
expect 0 "$W" forecast $T -f json copied; json "[c['campaign'] for c in d['earlier']['campaigns']] == ['a']"
tr '\n' ' ' <err | grep -q "copied/earlier/loop is left out.* as run 'R0' of this campaign" || { cat err; fail "a link to the campaign"; }
mv copied/earlier/loop loop; mkdir copied/earlier/m copied/earlier/n; cp copied/plan.csv copied/earlier/m; cp copied/plan.csv copied/earlier/n
sed 's/^R/Day /; s/2031-03/2030-05/' copied/runs.csv >copied/earlier/m/runs.csv; sed '/^R[24]/d' late/earlier/first/runs.csv >copied/earlier/n/runs.csv
expect 0 "$W" forecast $T -f json copied; json "[c['campaign'] for c in d['earlier']['campaigns']] == ['a']"
tr '\n' ' ' <err | grep -q "copied/earlier/m is left out.* its run 'Day 0' .* as run 'R0' of this campaign" || { cat err; fail "a copy with other names"; }
rm -r copied/earlier/m; expect 0 "$W" forecast $T -f json copied; json "[c['campaign'] for c in d['earlier']['campaigns']] == ['a']"
tr '\n' ' ' <err | grep -q "copied/earlier/n is left out.* of the earlier campaign a," || { cat err; fail "an earlier campaign in part again"; }
rm -r copied/earlier/a copied/earlier/n; mv loop copied/earlier/loop
expect 0 "$W" forecast $T -f json copied; json "d['earlier'] is None"; cp out none
expect 0 "$W" forecast $T -f json --no-earlier copied
python3 -c "
import json
a, b = (json.load(open(f)) for f in ('out', 'none')); assert a['finish'] == b['finish'] and a['overrun'] == b['overrun']" || fail "twins teach"
# what would keep the answers of an earlier campaign open is no note: one day pasted under every name
mkdir -p pasted/earlier; cp copied/runs.csv copied/plan.csv copied/limits.csv pasted; cp -r late/earlier/first pasted/earlier/first
expect 0 "$W" forecast $T -f json pasted; json "'earlier-doubtful' not in [f['code'] for f in d['findings']]"
python3 - pasted/earlier/first/runs.csv <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1])))
names = list(dict.fromkeys(r["run"] for r in rows))
day = [r for r in rows if r["run"] == names[0]]
w = csv.DictWriter(open(sys.argv[1], "w", newline=""), rows[0]); w.writeheader()
for name in names: w.writerows({**r, "run": name} for r in day)
P
expect 0 "$W" forecast $T -f json pasted; json "'earlier-doubtful' in [f['code'] for f in d['findings']]"
# one whose rehearsals tell no time teaches nothing
rm -r copied/earlier; mkdir -p copied/earlier/idle; cp copied/plan.csv copied/earlier/idle; printf 'run,task,crew,start,end,outcome
R1,LAMP,EV1,,,skipped
' >copied/earlier/idle/runs.csv
expect 0 "$W" forecast $T copied; tr '\n' ' ' <err | grep -q "no rehearsal in copied/earlier/idle has a time that counts" || { cat err; fail "idle"; }
# this campaign goes another way: its days differ by half where theirs hardly did
rehearse wild; mkdir wild/earlier; for c in 1 2 3 4; do rehearse wild/earlier/c$c 1.0$c; done
python3 - wild/runs.csv <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1])))
for r in rows:
    f = [0.4, 2.5, 0.5, 2, 1][int(r["run"][1])]
    r["start"], r["end"] = f"{f * float(r['start']):.2f}", f"{f * float(r['end']):.2f}"
w = csv.DictWriter(open(sys.argv[1], "w", newline=""), rows[0]); w.writeheader(); w.writerows(rows)
P
expect 0 "$W" fit $T wild; tr '\n' ' ' <err | grep -qF "this campaign speaks against the earlier ones" || { cat err; fail "it is not said that days differ"; }
# nor is one of them like the others
rehearse usual 1.05; mv wild/earlier usual
mv wild usual/earlier/wild
expect 0 "$W" fit $T usual; tr '\n' ' ' <err | grep -qF "the earlier campaign wild speaks against the others" || { cat err; fail "it is not said which differs"; }
in_out " wild"
# on the page, without a limit: what they taught, and what it would be without them
rm late/limits.csv
expect 0 "$W" forecast $T -f json late; json "d['earlier']['without']['overrun'] is None and d['earlier']['without']['quantiles_min']['0.5'] > 40"
expect 0 "$W" forecast $T late; tr '\n' ' ' <out | grep -qF "With them half of the finishes come by 0:" || { cat out; fail "a limit that nobody gave"; }
expect 0 "$W" report $T --for excursion --out page late
grep -q "The priors rest on 2 earlier campaigns" page/report.html || fail "the page is silent of the earlier campaigns"

# ---- forecasts ----
expect 0 "$W" report $T --for excursion --out page one; grep -q "taken at face value" page/report.html || fail "pool times are taken for those of flight in silence"
expect 0 "$W" report $T --model alone --out page one
grep -qF "It takes rehearsals, and the model that pools all tasks." page/report.html || fail "what further rehearsals add is not said to be missing"
rm one/limits.csv
expect 0 "$W" report $T --run-effect 0.2 --out page one; grep -q "with the default prior half of the finishes" page/report.json || fail "what the rehearsals alone say is not beside"
expect 0 "$W" report $T --model alone --run-effect 0.2 --out page one; not_in page/report.json "with the default prior"
rehearse one
expect 0 "$W" fit $T --for excursion one; in_out "the excursion"
printf 'excursion,kind,pool,flight\nX1,transit,12,15\nX2,transit,20,26\nX2,fastener,30,33\n' >one/history.csv
expect 0 "$W" fit $T -f json --for excursion one; json "d['without_model'] is not None and d['without_model']['p_centre'] is None"
rm one/history.csv
# tasks that get longer while all else is learned: three are named, the others counted
mkdir longer; python3 - <<'P'
with open("longer/plan.csv", "w") as f:
    print("task,crew,planned", file=f)
    for k in range(14): print(f"T{k:02},EV1,20", file=f)
with open("longer/runs.csv", "w") as f:
    print("run,task,start,end", file=f)
    for r in range(8):
        at = 0
        for k in range(14):
            minutes = 20 * (r + 1) ** (0.35 if k < 4 else -0.45) * (1 + 0.02 * ((3 * r + 5 * k) % 5 - 2))
            print(f"R{r},T{k:02},{at:.2f},{at + minutes:.2f}", file=f)
            at += minutes
P
expect 0 "$W" report $T --out page longer; python3 - <<'P' || fail "tasks that get longer are not named"
import json
said = [f["message"] for f in json.load(open("page/report.json"))["check"]["findings"] if f["code"] == "task-lengthens"]
assert len(said) == 1 and said[0].startswith("4 tasks are shown to get longer"), said
assert all(f"'T0{k}', +" in said[0] for k in range(3)) and "; and 1 more" in said[0], said
P
# What a task that gets longer costs by its own trend is what the timeline costs with it so long, on other days.
expect 0 "$W" forecast -f json "$TOP/datasets/petrel-7"; cp out forecast.json
expect 0 "$W" whatif --scale BRIDGE=1.43 -f json "$TOP/datasets/petrel-7"; python3 - forecast.json out <<'P' || fail "what a task that gets longer costs is not what the same timeline costs"
import json, re, sys
forecast, whatif = (json.load(open(name)) for name in sys.argv[1:])
said = next(f["message"] for f in forecast["findings"] if f["code"] == "task-lengthens")
by_trend, minutes = (int(re.search(p, said).group(1)) for p in (r"about (\d+) of 100 would go over", r"by its own trend (\d+)"))
median = next(t["median_min"] for t in forecast["tasks"] if t["task"] == "BRIDGE")
assert abs(minutes / median / 1.43 - 1) < 0.05, (minutes, median)
over = 100 * whatif["alternatives"][0]["probability_over"]
assert abs(by_trend - over) < 1.6 and by_trend > 100 * forecast["limits"][0]["probability_over"], (by_trend, over)
P
# Work that gets stuck now and then, on four of fourteen tasks: the others may as well, said of the limit that it costs most,
# and where a limit is kept only if they do not, no answer is firm. Without it nothing is said.
mkdir jammed steady; python3 - <<'P'
jam = (7, 3), (2, 8), (3, 3), (5, 11), (6, 5)
for name, factor in ("jammed", 2.2), ("steady", 1):
    open(name + "/plan.csv", "w").write("task,crew,planned\n" + "".join(f"T{k:02},EV1,20\n" for k in range(14)))
    open(name + "/limits.csv", "w").write("limit,crew,minutes,confidence\nexcursion,all,5:35,0.9\n")
    with open(name + "/runs.csv", "w") as f:
        print("run,task,start,end", file=f)
        for r in range(8):
            at = 0
            for k in range(14):
                minutes = 20 * (1 + 0.01 * ((3 * r + 5 * k + r * k) % 9 - 4)) * (factor if (r, k) in jam else 1)
                print(f"R{r},T{k:02},{at:.2f},{at + minutes:.2f}", file=f)
                at += minutes
P
for l in 5:10 5:35 6:00; do expect 0 "$W" forecast $T -f json --limit $l jammed; cp out "jam$l"; done
expect 0 "$W" forecast $T -f json --limit 5:10 steady; cp out "jam0"
python3 - <<'P' || fail "what gets stuck now and then is not told of the limits that rest on it"
import json, re
seen = {}
for name in "0", "5:10", "5:35", "6:00":
    d = json.load(open("jam" + name))
    said = [(f["code"], f["message"]) for f in d["findings"] if "stuck" in f["code"]]
    assert len(said) == (name != "0"), said
    seen[name] = (said[0][0] if said else None, d["limits"][0]["verdict"], d["limits"][0]["interval"][1])
    for code, message in said:
        assert "5 of 112 times" in message and "at least 2.1 times" in message and "on 4 of 14 tasks" in message, message
        mean, hi = map(int, re.search(r"about (\d+) of 100 \(perhaps (\d+)\) would go over", message).groups())
        assert 100 * d["limits"][0]["probability_over"] + 1 < mean < hi and (hi > 10) == (name != "6:00"), message
assert [seen[x][0] for x in ("5:10", "5:35", "6:00")] == ["tasks-stuck", "stuck-decides", "tasks-stuck"], seen
assert seen["5:10"][2] > 0.1 > seen["5:35"][2], seen
assert seen["5:35"][1] != "inside" and seen["6:00"][1] == seen["0"][1] == "inside", seen
P
expect 0 "$W" forecast $T --limit 5:35 jammed; in_out "Doubtful, for it rests on this: work got stuck now and then"
in_out "Cannot be told for a doubt of the forecast"
expect 0 "$W" report $T --limit 5:35 --out page jammed; grep -qF "Work got stuck now and then: 5 of 112" page/report.html || fail "the page does not say what gets stuck"
# Learning that is not shown is credited all the same: what that takes off the finish is said, as the forecast without it
# has it; of a trend that is shown nothing is said.
mkdir open shown; cp longer/plan.csv longer/limits.csv open; cp longer/plan.csv longer/limits.csv shown
python3 - <<'P'
for name, slope in ("open", -0.03), ("shown", -0.12):
    with open(name + "/runs.csv", "w") as f:
        print("run,task,start,end", file=f)
        for r in range(7):
            at, day = 0, (1.05, 0.98, 1.05, 0.95, 1.03, 0.96, 1.01)[r]
            for k in range(14):
                minutes = 20 * day * (r + 1) ** slope * (1 + 0.02 * ((3 * r + 5 * k) % 5 - 2))
                print(f"R{r},T{k:02},{at:.2f},{at + minutes:.2f}", file=f)
                at += minutes
P
expect 0 "$W" forecast $T open -f json; cp out credited; expect 0 "$W" forecast $T open -f json --learning off; cp out without
expect 0 "$W" forecast $T shown -f json; cp out told
python3 - <<'P' || fail "learning that is not shown is credited without a word, or said to be where it is not"
import json, re
credited, without, told = (json.load(open(name)) for name in ("credited", "without", "told"))
said = [[f["message"] for f in d["findings"] if f["code"] == "learning-open"] for d in (credited, without, told)]
assert [len(x) for x in said] == [1, 0, 0], said
minutes = int(re.search(r"about (\d+) min later", said[0][0]).group(1))
later = without["finish"]["quantiles_min"]["0.5"] - credited["finish"]["quantiles_min"]["0.5"]
assert minutes > 1 and abs(later - minutes) < 1 + 0.3 * minutes, (minutes, later) # the fit without it sees the days otherwise
P
# where late work is dropped, the minutes are those of the days forecast, and the slope is that of fit
mkdir ruled; cp open/* ruled; python3 - <<'P'
rows = open("ruled/plan.csv").read().splitlines()
head = rows[0].split(",")
if "drop_after" not in head: rows = [rows[0] + ",drop_after"] + [r + "," for r in rows[1:]]
rows[-2] = rows[-2].rsplit(",", 1)[0] + ",3:47"
open("ruled/plan.csv", "w").write("\n".join(rows) + "\n")
P
expect 0 "$W" forecast $T ruled -f json; cp out credited; expect 0 "$W" forecast $T ruled -f json --learning off; cp out without
expect 0 "$W" fit $T ruled -f json; cp out fitted
python3 - <<'P' || fail "the minutes of learning that is not shown leave out what the plan drops, or its slope is not that of fit"
import json, math, re
credited, without, fitted = (json.load(open(name)) for name in ("credited", "without", "fitted"))
said = [f["message"] for f in credited["findings"] if f["code"] == "learning-open"]
assert len(said) == 1 and 0.2 < credited["drop_rules"][0]["dropped"] < 0.8, (said, credited["drop_rules"])
minutes = int(re.search(r"about (\d+) min later", said[0]).group(1))
later = without["finish"]["quantiles_min"]["0.5"] - credited["finish"]["quantiles_min"]["0.5"]
assert abs(later - minutes) < 1 + 0.3 * minutes, (minutes, later)
assert f"{100 * (2 ** fitted['learning']['slope_log'] - 1):+.1f} % with each doubling" in said[0], (said, fitted["learning"])
P
# six short tasks learn, two long ones take ever longer: said first, with its minutes, and that the totals agree with what moved them is no comfort
mkdir shorts; python3 - >shorts/runs.csv <<'P'
import random
rnd = random.Random(1)
print("run,task,crew,start,end")
for r in range(7):
    at, day = 0, rnd.gauss(0, 0.01)
    for k in range(8):
        usual, slope, luck = (12 + k, -0.16, 0.1) if k < 6 else (100, 0.03, 0.04)
        minutes = usual * (r + 1) ** slope * rnd.lognormvariate(day, luck)
        print(f"R{r},T{k},EV1,{at:.2f},{at + minutes:.2f}")
        at += minutes
P
expect 0 "$W" forecast $T shorts; sed -n 1,4p out | tr '\n' ' ' | grep -q 'Doubtful, for it rests on this: short tasks drive the learning' || { cat out; fail "what short tasks learn is credited to long ones without a word"; }
expect 0 "$W" forecast $T -f json shorts; cp out credited; expect 0 "$W" forecast $T -f json --learning off shorts; cp out without
expect 0 "$W" fit -f json shorts; cp out fit.json; expect 0 "$W" fit shorts; tr -s '\n ' ' ' <out | grep -q 'the totals say nothing for the forecast' || fail "totals moved by the learning in question speak for it"
python3 - <<'P' || fail "the credit of short tasks is not what it is said to be"
import json, re
credited, without, fit = (json.load(open(name)) for name in ("credited", "without", "fit.json"))
said = [[f["message"] for f in d["findings"] if f["code"] == "learning-short-tasks"] for d in (credited, without, fit)]
assert [len(x) for x in said] == [1, 0, 1], said
minutes = int(re.search(r"about (\d+) min later", said[0][0]).group(1))
half, flat = (d["finish"]["quantiles_min"]["0.5"] for d in (credited, without))
lo, hi = fit["without_model"]["own_trend"]["middle_interval_min"]
assert half < lo < half + minutes < hi and minutes < flat - half, (half, minutes, lo, hi, flat) # the minutes fall a little
own = fit["without_model"]["own_trend"]
assert own["learning_unshown"] and own["moved_by_slope_log"] < own["interval"][0] and not fit["without_model"]["beyond_chance"], own
P
# in two lanes not all of what the tasks take less is off the finish: the minutes are those by which the totals' own trend lies later
mkdir two-lanes; awk -F, -v OFS=, 'NR == 1 { print; next } { k = substr($2, 2) % 2; if ($1 != run) { run = $1; at[0] = at[1] = 0 }
  took = $5 - $4; $3 = k ? "EV2" : "EV1"; $4 = at[k]; at[k] += took; $5 = at[k]; print }' shorts/runs.csv >two-lanes/runs.csv
expect 0 "$W" forecast $T -f json two-lanes; cp out credited; expect 0 "$W" fit -f json two-lanes; cp out fit.json
python3 - <<'P' || fail "the credit of short tasks is not what the totals of two lanes show"
import json, math, re
credited, fit = (json.load(open(name)) for name in ("credited", "fit.json"))
minutes = int(re.search(r"about (\d+) min later", [f["message"] for f in credited["findings"] if f["code"] == "learning-short-tasks"][0]).group(1))
lo, hi = fit["without_model"]["own_trend"]["middle_interval_min"]
assert abs(credited["finish"]["quantiles_min"]["0.5"] + minutes - math.sqrt(lo * hi)) < 2, (credited["finish"]["quantiles_min"]["0.5"], minutes, lo, hi)
P
# Held, there is no credit, and the task's own trend stands beside what is forecast: flight is 1.2 times pool.
{ echo excursion,kind,pool,flight; for i in 1 2 3 4 5 6 7 8 9; do echo "X$i,work,100,120"; done; } >longer/history.csv
sed -i '1s/$/,kind/;2,$s/$/,work/' longer/plan.csv
expect 0 "$W" forecast $T -f json longer; cp out pool.json
expect 0 "$W" forecast $T -f json --for excursion longer; python3 - pool.json out <<'P' || fail "what gets longer is said otherwise of the excursion than it is forecast"
import json, re, sys
pool, flight = ([f["message"] for f in json.load(open(name))["findings"] if f["code"] == "task-lengthens"] for name in sys.argv[1:])
assert "and yet credited" in pool[0] and "without that credit" in pool[0], pool
assert "credit" not in flight[0] and "up to the last of them" in flight[0], flight
own, carried = (int(re.search(r"'T00'.*?by its own trend (\d+)", said[0]).group(1)) for said in (pool, flight))
step = (9 / 8) ** 0.35 # of its own trend, from the last rehearsal to the next
assert abs(carried - own / step * 1.2) < 1.5, (own, carried)
P

# ---- reading ----
printf 'kind,from,to\nlane,EV1,EV2\nlane,deck,EV2\n' >one/names.csv
expect 0 "$W" check one; tr '\n' ' ' <out | tr -s ' ' | grep -qF "'EV1' is the plan's own name for something else than 'EV2'" || { cat out; fail "a lane of the plan is renamed in silence"; }
grep -qF "'deck' is the plan" out && fail "another name for a lane is doubted"
rm one/names.csv
rehearse new; printf '\n\nrun,task,start,end,crew\n' >new/runs.csv # not begun: the plan alone
sed -i '1s/$/,low,likely,high/;2,$s/$/,8,10,20/' new/plan.csv
expect 0 "$W" forecast $T new; in_out "nothing was rehearsed"
expect 0 "$W" report $T --out page new; grep -q "No rehearsals yet." page/report.html || fail "the page speaks of rehearsals"
grep -q "Nothing was rehearsed: tasks rest on judgement" page/report.html || fail "the page does not say what it rests on"
mkdir crowd; { echo "run,task,crew,performer,start,end"; for p in $(seq 1 28); do echo "R$p,A,EV1,Name$p,0,$((10 + p % 3))"; done; } >crowd/runs.csv
printf 'task,crew,planned\nA,EV1,10\n' >crowd/plan.csv
expect 0 "$W" compare $T --by performer --anonymous -f json crowd; grep -q Name out && fail "--anonymous shows a name"
grep -q '"P28"' out || fail "the letters end, and the people do not"
{ echo "run,task,crew,start,end"; for r in $(seq 1 63); do echo "R$r,A,EV1,0,$((10 + r % 3))"; done; } >crowd/runs.csv
expect 0 "$W" forecast $T -f json crowd; tr '\n' ' ' <err | grep -q "the last 60" || { cat err; fail "runs are left out in silence"; }
# a limit of which no confidence is wanted is not what a rehearsal would be held for
printf 'limit,crew,minutes,confidence\nexcursion,all,60,0.9\nsuit,EV1,70,\nair,EV2,70,0.95\n' >one/limits.csv
expect 0 "$W" runs-needed --trials 256 -f json one; json "[l['limit'] for l in d['other_limits']] == ['air']"
# what was rehearsed by another plan: what went and what came, all of it
rehearse edited; printf 'task,crew,planned,after\nOUT,EV1+EV2,12,\nLAMP,EV1,20,OLD\nOLD,EV2,5,\nOLDER,EV2,5,\nCABLE,EV2,30,\nIN,EV1+EV2,9,\n' >edited/plan-rehearsed.csv
printf 'task,crew,planned,after,low,likely,high\nOUT,EV1+EV2,12,,,,\nLAMP,EV1,20,NEW,,,\nNEW,EV2,,,4,5,8\nNEWER,EV2,,,4,5,8\nCABLE,EV2,30,,,,\nIN,EV1+EV2,9,,,,\n' >edited/plan.csv
expect 0 "$W" check -f json edited; grep -qF "without OLD, OLDER; new: NEW, NEWER; LAMP: waits for other work" out || { grep -n without out; fail "the edits are not all said"; }
# a log sixty times as long as its plan: its numbers may be seconds; said, or written with colons, they are what they are
rehearse quick 60
expect 3 "$W" forecast $T quick; in_err "--minutes-in minutes, seconds or hours"
expect 0 "$W" forecast $T --minutes-in minutes quick; expect 0 "$W" forecast $T -f json --minutes-in seconds quick
json "d['finish']['quantiles_min']['0.5'] < 60"
python3 - quick/runs.csv <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1])))
for r in rows:
    for c in "start", "end": r[c] = "2031-03-04T%02d:%02d:%02d" % (lambda s: (9 + s // 3600, s // 60 % 60, s % 60))(int(float(r[c]) / 60))
w = csv.DictWriter(open(sys.argv[1], "w", newline=""), rows[0]); w.writeheader(); w.writerows(rows)
P
expect 0 "$W" forecast $T quick
# the page tries other limits of the excursion: not where the first one runs from task to task
printf 'limit,crew,from,to,minutes,confidence\nlamp,,OUT,IN,50,0.9\n' >first.csv
expect 0 "$W" report $T --limits first.csv --out page one
not_in page/report.html 'id="try-box"'

# ---- a series ----
mkdir all; for c in a b; do rehearse all/$c; done
printf 'task,crew,planned,drop_after\nOUT,EV1+EV2,12,\nLAMP,EV1,20,15\nCABLE,EV2,30,12\nIN,EV1+EV2,9,\n' >all/a/plan.csv
printf 'excursion,campaign,date\nOne,a,\nTwo,b,\n' >all/series.csv
sed -i '/CABLE/d' all/b/plan.csv all/b/runs.csv
expect 0 "$W" series $T -f json all # by their names: LAMP goes on, CABLE has nowhere to go
json "[c['task'] for c in d['carried_on']] == ['LAMP']"
printf 'task,from,to,before\nLAMP,One,Two,NOSUCH\n' >all/spill.csv
expect 3 "$W" series $T all; in_err "before: excursion 'Two': the plan has no task 'NOSUCH'"
printf 'task,from,to,before\nLAMP,One,Two,IN\n' >all/spill.csv
expect 0 "$W" series $T -f json all; json "d['carried_on'][0]['task'] == 'LAMP'"
cp -r all/b all/c; sed -i '/LAMP/d' all/c/plan.csv all/c/runs.csv; cp -r all/c all/e
printf 'excursion,campaign,date\nOne,a,\nTwo,c,\nThree,e,\n' >all/series.csv
printf 'task,from,to,drop_after\nLAMP,One,Two,14\nLAMP,Two,Three,\n' >all/spill.csv
expect 0 "$W" series $T -f json all; json "[(c['from'], c['to']) for c in d['carried_on']] == [('One', 'Two'), ('Two', 'Three')]"
printf 'task,from,to\nLAMP,Two,Three\n' >all/spill.csv
expect 3 "$W" series $T all; in_err "nothing carries 'LAMP' to excursion 'Two'"
printf 'task,from,to\nCABLE,One,Two\nLAMP,Two,Three\n' >all/spill.csv # nor does other work
expect 3 "$W" series $T all; in_err "nothing carries 'LAMP' to excursion 'Two'"
printf 'task,from,to\nCABLE,One,Two\n' >all/spill.csv; sed -i 's/EV2/EV3/' all/c/plan.csv all/c/runs.csv
expect 3 "$W" series $T all; in_err "'CABLE' is work of lane 'EV2', which the plan it goes to does not have"

# ---- a threshold that is none ----
expect 2 "$W" ready $T --strictness 0.3 half; in_err "--strictness: 0.3 is no threshold for overrun: write a number from 0.5 to 0.999"
"$W" ready $T --strictness 0.8 -f json half >out 2>err; [ $? -le 1 ] || fail "a threshold is not taken"
json "[c['threshold'] for c in d['criteria'] if c['criterion'] == 'overrun'] == [0.8]"
