. "$TOP/tests/cli/expect.sh"
# three excursions; the first is the campaign of that folder on the same days
cp -r "$TOP/datasets" all; chmod -R u+w all
expect 0 "$WETRUN" series all/petrel-series; narrow out; in_out "Petrel 9"; in_out "petrel-series: a series of excursions, at pool pace"; in_err "Decision support only"; cp out shown
expect 0 "$WETRUN" series -f csv all/petrel-series; [ "$(wc -l <out)" = 4 ] || fail "not one row per excursion"; in_out "second_probability_over"
expect 0 "$WETRUN" series -f json all/petrel-series; cp out series.json
json "d['excursions'][0]['carried_on_to_it'] is None and d['excursions'][0]['over_added'] == 0"
json "all(e['probability_over'] >= e['over_without'] for e in d['excursions'])"
json "d['interval'][0] <= d['any_excursion_over'] <= d['interval'][1]"
json "[c['gain'] for c in d['changes']] == sorted((c['gain'] for c in d['changes']), reverse=True) and len(d['changes']) == 9"
# few trials make no certainty: an interval, if any, that is not much narrower than that of many, and no gain
for few in 1000 4096 16384; do
  expect 0 "$WETRUN" series -f json --trials $few --seed 5 all/petrel-series; cp out few.json
  python3 - <<'P' || fail "$few trials make an interval narrower, or show a gain"
import json
few, many = json.load(open('few.json')), json.load(open('series.json'))
for a, b in zip([few] + few['excursions'], [many] + many['excursions']):
    a, b = (x['interval'] if 'limits' not in x else x['limits'][0]['interval'] for x in (a, b))
    assert a is None or a[1] - a[0] > 0.6 * (b[1] - b[0]), (a, b)
assert all(c['interval'] is None or c['interval'][0] <= 0 for c in few['changes'])
P
done
expect 0 "$WETRUN" forecast -f json --on 2031-04-18 all/petrel-7 # the date that series.csv has
python3 - <<'P' || fail "the first excursion is not what forecast says of it"
import json
one, all = json.load(open('out')), json.load(open('series.json'))
first = all['excursions'][0]
assert len(one['limits']) == len(first['limits']) == 3
for a, b in zip(one['limits'], first['limits']):
    for key in 'limit', 'minutes', 'probability_over', 'interval', 'mc_error': assert a[key] == b[key], (key, a, b)
    assert b['over_without'] == b['probability_over']
for key, point in ('finish_p50_min', '0.5'), ('finish_p90_min', '0.9'), ('finish_p50_without_min', '0.5'):
    assert first[key] == one['finish']['quantiles_min'][point], key
    assert b['second_probability_over'] == one['second_answers'][one['limits'].index(a)]['probability_over']
# drops are counted on the days of the series, not on forecast's: 65536 of each
dropped = {t['task']: t['dropped'] for t in one['tasks']}
for c in all['carried_on'][:2]: assert abs(c['dropped'] - dropped[c['task']]) < 4 * (2 * .11 * .89 / 65536) ** .5, c
P
# two answers: the days of the gap are counted from the log, the worse one of the first excursion is what it says with the allowance asked for
tr '\n' ' ' < shown > flat
for words in "15 days lie between the last rehearsal and Petrel 7, at most 7 between any two" "In Petrel 8 14 of 14 tasks rest on judgement" \
    "With 10 % allowed for the gap before Petrel 7, and Petrel 8 and Petrel 9 judged 20 % short" "by the worse of two answers in [0-9]" \
    "An excursion with rehearsals is an earlier campaign to those after it"; do grep -q "$words" flat || fail "the series does not say: $words"; done
expect 0 "$WETRUN" forecast -f json --on 2031-04-18 --gap-allowance 10 all/petrel-7; cp out allowed.json
cp series.json out
json "[l['second_probability_over'] for l in d['excursions'][0]['limits']] == [l['probability_over'] for l in __import__('json').load(open('allowed.json'))['limits']]"
json "d['second_answer']['any_excursion_over'] > d['any_excursion_over'] and [e['judged_tasks'] for e in d['excursions']] == [0, 14, 11]"
json "(d['excursions'][0]['since_last_days'], d['excursions'][0]['longest_between_days'], d['excursions'][1]['since_last_days']) == (15, 7, None)"
json "all(e['second_probability_over'] > e['probability_over'] for e in d['excursions'])"
# a date within the usual time calls for no second answer of it; without one that is said
mkdir near; cp -r all/petrel-7 near/a; printf 'excursion,campaign,date\nOne,a,2031-04-05\n' > near/series.csv
expect 0 "$WETRUN" series --trials 4000 -f json near; json "d['second_answer'] is None and d['second_in_words'] == '' and d['excursions'][0]['since_last_days'] == 2"
printf 'excursion,campaign,date\nOne,a,\n' > near/series.csv
expect 0 "$WETRUN" series --trials 4000 -f json near; json "'How long before One its last rehearsal lies is not known' in d['second_in_words']"
# what is wrong with a later campaign stands above the answer as well, under its name, and so does a history that it has
mkdir late; cp -r all/petrel-8-sketch late/a; cp -r all/petrel-7 late/b; sed -i '/^IN,/d' late/b/plan.csv
printf 'excursion,campaign,date\nOne,a,\nTwo,b,\n' > late/series.csv
expect 0 "$WETRUN" series --trials 4000 late; head -n 2 out | tr '\n' ' ' | grep -q "^Doubtful, for it rests on this: b: the plan has no 'IN'" || fail "a doubt of the second campaign is not said"
in_out "Earlier excursions (history.csv) are not used"
# so does a column of the series' own files that is not read; one that is spelt otherwise is
cp all/petrel-series/spill.csv spill.kept; sed -i '1s/setup,before/set-up min,in front of/' all/petrel-series/spill.csv
expect 0 "$WETRUN" series --trials 4000 all/petrel-series; in_err "passed over: 'in front of'"
head -n 3 out | tr '\n' ' ' | grep -q "^Doubtful, for it rests on this: petrel-series: .*header of spill.csv" || fail "a column of spill.csv that is not read is not said"
cp spill.kept all/petrel-series/spill.csv; sed -i '1s/date/persons/' all/petrel-series/series.csv
expect 0 "$WETRUN" series --trials 4000 -f json all/petrel-series; in_out "'persons'"
# of two files each is named, and check, which takes no series, is not asked to
sed -i '1s/setup/readying/' all/petrel-series/spill.csv
expect 0 "$WETRUN" series --trials 4000 all/petrel-series; in_err "'persons'"; in_err "'readying'"; in_out "named with the warnings"
cp spill.kept all/petrel-series/spill.csv
sed -i '1s/persons/date/' all/petrel-series/series.csv
# all of it by an implementation of its own
python3 "$TOP/tests/series/check_series.py" "$WETRUN" all/petrel-series 3 2000 >found || { cat found; fail "the series is not what its definition says"; }
# who rehearsed for both excursions is one person; the demonstration again, in part and with two other people, as a second one
mkdir both; cp -r all/petrel-7 both/a; cp -r all/petrel-7 both/b; cp -r all/petrel-8-sketch both/c
printf 'excursion,campaign,date\nOne,a,\nTwo,b,\nThree,c,\n' > both/series.csv
printf 'task,from,to,setup,before,drop_after\nSTAGE-REEL,One,Three,4,REEL,\n' > both/spill.csv
sed -i '/^STAGE\|^HINGE/d' both/b/plan.csv
sed -i '/^P7-[125]/d; /,STAGE\|,HINGE/d; s/RA/YY/' both/b/runs.csv
# TS is slow in both: the runs of that pair take 1.4 times as long
python3 - both/a/runs.csv both/b/runs.csv <<'P'
import csv, sys
def minutes(t): return sum(int(x) * f for x, f in zip(t.split(":"), (60, 1, 1 / 60)))
for path in sys.argv[1:]:
    rows, begun = list(csv.DictReader(open(path))), {}
    for r in rows:
        for c in ("start", "end"):
            try: m = minutes(r[c])
            except (ValueError, AttributeError): continue
            begun.setdefault(r["run"], m)
            if r["run"] in ("P7-3", "P7-5", "P7-7", "P7-9"):
                m = begun[r["run"]] + 1.4 * (m - begun[r["run"]])
                r[c] = "%02d:%02d:%02d" % (m // 60, m % 60, m * 60 % 60)
    csv.DictWriter(open(path, "w", newline=""), rows[0]).writerows([dict(zip(rows[0], rows[0]))] + rows)
P
expect 0 "$WETRUN" series --trials 4000 both; narrow out; in_out "one pace in both."
expect 0 "$WETRUN" series --trials 4000 --anonymous -f json both; cp out letters.json
expect 0 "$WETRUN" series --trials 4000 -f json both
json "d['people_in_words'] == 'KV, OM and TS rehearsed for One and Two: one pace in both. RA is known from One alone: their pace in another excursion cannot be known. YY is known from Two alone: their pace in another excursion cannot be known. Nobody rehearsed for Three: work that was rehearsed elsewhere is done there by the line-ups of Two.'"
json "[(p['person'], p['rehearsed_for'], p['one_pace_in_all']) for p in d['people']][1:4] == [('OM', ['One', 'Two'], True), ('TS', ['One', 'Two'], True), ('RA', ['One'], False)]"
json "all((lambda a: a['excursions'] == d['excursions'] and [p['rehearsed_for'] for p in a['people']] == [p['rehearsed_for'] for p in d['people']])(__import__('json').load(open('letters.json'))) for _ in [0])"
grep -q '"KV"\|"OM"' letters.json && fail "--anonymous shows a name"
python3 "$TOP/tests/series/check_series.py" "$WETRUN" both 1 800 --people EV1=OM,EV2=TS >found || { cat found; fail "a series with the same people is not what its definition says"; }
# who flies, by the file: the first excursion is what forecast says of these two
cp -r all named
printf 'excursion,campaign,date,people\nPetrel 7,../petrel-7,,EV1=OM;EV2=TS\nPetrel 8,../petrel-8-sketch,,"EV2=KV, EV1=ZZ"\nPetrel 9,../petrel-9-sketch,,\n' > named/petrel-series/series.csv
expect 0 "$WETRUN" series -f json named/petrel-series; cp out named.json
json "d['people_in_words'].endswith('In Petrel 7 series.csv puts OM into EV1 and TS into EV2. In Petrel 8 series.csv puts somebody new into EV1 and KV into EV2.')"
expect 0 "$WETRUN" forecast -f json --people EV1=OM,EV2=TS named/petrel-7
python3 -c "
import json
a, b = json.load(open('out'))['limits'], json.load(open('named.json'))['excursions'][0]['limits']
assert [(l['probability_over'], l['interval']) for l in a] == [(l['probability_over'], l['interval']) for l in b]" || fail "not the people of series.csv"
expect 0 "$WETRUN" series --trials 4000 named/petrel-series; not_in out "at random"; head -n 1 out | grep -q "^Doubtful" || fail "nobody doubts somebody new"
expect 2 "$WETRUN" series --people EV1=KV named/petrel-series; in_err "leave one of the two out"
# of one excursion alone some excursion is that one
mkdir lone; printf 'excursion,campaign,date\nOne,../named/petrel-7,2031-04-18\n' > lone/series.csv
expect 0 "$WETRUN" series -f json lone
json "(lambda l: (d['any_excursion_over'], d['interval']) != (l['probability_over'], l['interval']))(d['excursions'][0]['limits'][0])"
cp out lone.json; expect 0 "$WETRUN" forecast -f json --on 2031-04-18 named/petrel-7 # over any of its limits
json "(lambda l: (d['any_limit_over'], d['any_limit_over_interval']) == (l['any_excursion_over'], l['interval']))(json.load(open('lone.json')))"
# named in part: the line-up that has OM in EV2 is none
sed 's/EV1=OM;EV2=TS/EV1=OM/' named/petrel-series/series.csv > part.csv; cp -r named part; mv part.csv part/petrel-series/series.csv
expect 0 "$WETRUN" series -f json part/petrel-series; cp out part.json
json "'In Petrel 7 series.csv puts OM into EV1; the rest is as in rehearsed line-ups, at random.' in d['people_in_words']"
expect 0 "$WETRUN" forecast -f json --people EV1=OM part/petrel-7
python3 -c "
import json
a, b = json.load(open('out'))['limits'], json.load(open('part.json'))['excursions'][0]['limits']
assert [(l['probability_over'], l['interval']) for l in a] == [(l['probability_over'], l['interval']) for l in b]" || fail "OM is in two lanes"
expect 0 "$WETRUN" series --trials 4000 --anonymous -f json named/petrel-series; grep -q '"KV"\|OM into' out && fail "--anonymous shows who flies"
# work that is put down at a time goes on as far as it is not done
sed '1s/$/,stop/;2,3s/$/,5:00/;4s/$/,/' "$TOP/datasets/petrel-series/spill.csv" > all/petrel-series/spill.csv
expect 0 "$WETRUN" series -f json all/petrel-series
json "all(0 < c['stopped'] < c['dropped'] <= 1 for c in d['carried_on'][:2]) and d['carried_on'][2]['stopped'] is None"
# nothing to say where things go: by the names of the tasks
rm all/petrel-series/spill.csv
expect 0 "$WETRUN" series -f json --trials 4000 all/petrel-series; json "d['carried_on'] == [] and d['changes'] == []"
expect 0 "$WETRUN" series --trials 4000 all/petrel-series; in_out "spill.csv says what may be"
printf 'task,from,to,setup\nLAMP,Petrel 8,Petrel 7,\n' > all/petrel-series/spill.csv
expect 3 "$WETRUN" series all/petrel-series; in_err "spill.csv:2:15"
printf 'task,from,to,setup\nNOSUCH,Petrel 7,Petrel 8,\n' > all/petrel-series/spill.csv
expect 3 "$WETRUN" series all/petrel-series; in_err "all/petrel-series/spill.csv:2:1: excursion 'Petrel 7': the plan has no task 'NOSUCH'"
printf 'task,from,to,before\nSTAGE-REEL,Petrel 7,Petrel 8,NOSUCH\n' > all/petrel-series/spill.csv
expect 3 "$WETRUN" series all/petrel-series; in_err "all/petrel-series/spill.csv:2:30: before: excursion 'Petrel 8': the plan has no task 'NOSUCH'"
printf 'excursion,campaign,date\nTwo,b,2031-06-06\nOne,a,2031-05-09\n' > both/series.csv
expect 3 "$WETRUN" series both; in_err "series.csv:3:7: 2031-05-09 is before the date of 'Two'"
printf 'task,from,to\nSTAGE-REEL,Petrel 8,Petrel 9\n' > all/petrel-series/spill.csv
expect 3 "$WETRUN" series all/petrel-series; in_err "all/petrel-series/spill.csv:2:1: nothing carries 'STAGE-REEL' to excursion 'Petrel 8'"
# what is always done to its end does not go on: the later excursion would be without it, and look early
printf 'task,from,to\nIN,One,Two\n' > both/spill.csv
printf 'excursion,campaign,date\nOne,a,\nTwo,b,\n' > both/series.csv
expect 3 "$WETRUN" series both; in_err "both/spill.csv:2:1: 'IN' is the last task of"
printf 'task,from,to,stop\nIN,One,Two,6:00\n' > both/spill.csv
expect 3 "$WETRUN" series both; in_err "their way back in"
printf 'task,from,to\nOUT,One,Two\n' > both/spill.csv
expect 3 "$WETRUN" series both; in_err "both/spill.csv:2:1: 'OUT' has no drop time in 'One' and the row no stop"
expect 3 "$WETRUN" series all/petrel-7; in_err "series.csv"
# the chart of a series, and that of none
expect 0 "$WETRUN" chart series --trials 4000 --picture svg "$TOP/datasets/petrel-series"; in_out "</svg>"; in_out "Petrel 8"
expect 3 "$WETRUN" chart series --picture svg all/petrel-7; in_err "series.csv"
# the report of one of the excursions has a section on all of them, with the numbers of the command
expect 0 "$WETRUN" report --trials 4000 --quiet --series "$TOP/datasets/petrel-series" --out r "$TOP/datasets/petrel-7"
grep -q 'id="t-series"' r/report.html || fail "the page has no series"
python3 "$TOP/tests/screens/meanings.py" r/report.html || fail "a column is explained as another"
expect 0 "$WETRUN" series --trials 4000 -f json "$TOP/datasets/petrel-series"
python3 - <<'P' || fail "the report's series is not the command's"
import json
a, b = json.load(open('out')), json.load(open('r/report.json'))['series']
for key in ('any_excursion_over', 'interval', 'left_over', 'excursions', 'changes'): assert a[key] == b[key], key
P
expect 3 "$WETRUN" report --trials 400 --quiet --series nowhere --out r2 "$TOP/datasets/petrel-8-sketch"; in_err "--series"; [ ! -e r2 ] || fail "a report was begun"
