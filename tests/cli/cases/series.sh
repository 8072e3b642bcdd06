. "$TOP/tests/cli/expect.sh"
# three excursions; the first is the campaign of that folder on the same days
cp -r "$TOP/datasets" all; chmod -R u+w all
expect 0 "$WETRUN" series all/petrel-series; narrow out; in_out "Petrel 9"; in_err "Decision support only"
expect 0 "$WETRUN" series -f csv all/petrel-series; [ "$(wc -l <out)" = 4 ] || fail "not one row per excursion"
expect 0 "$WETRUN" series -f json all/petrel-series; cp out series.json
json "d['excursions'][0]['carried_on_to_it'] is None and d['excursions'][0]['over_added'] == 0"
json "all(e['probability_over'] >= e['over_without'] for e in d['excursions'])"
json "d['interval'][0] <= d['any_excursion_over'] <= d['interval'][1]"
json "[c['gain'] for c in d['changes']] == sorted((c['gain'] for c in d['changes']), reverse=True) and len(d['changes']) == 9"
expect 0 "$WETRUN" forecast -f json all/petrel-7
python3 - <<'P' || fail "the first excursion is not what forecast says of it"
import json
one, all = json.load(open('out')), json.load(open('series.json'))
first = all['excursions'][0]
for a, b in zip(one['limits'], first['limits']):
    assert abs(a['probability_over'] - b['probability_over']) < 5 * (b['probability_over'] / all['trials']) ** .5 + 0.002, (a, b)
assert abs(one['finish']['quantiles_min']['0.5'] - first['finish_p50_min']) < 0.5
dropped = {t['task']: t['dropped'] for t in one['tasks']}
for c in all['carried_on'][:2]: assert abs(c['dropped'] - dropped[c['task']]) < 0.01, c
P
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
expect 3 "$WETRUN" series all/petrel-series; in_err "no task 'NOSUCH'"
printf 'task,from,to\nSTAGE-REEL,Petrel 8,Petrel 9\n' > all/petrel-series/spill.csv
expect 3 "$WETRUN" series all/petrel-series; in_err "nothing carries 'STAGE-REEL' to excursion 'Petrel 8'"
expect 3 "$WETRUN" series all/petrel-7; in_err "series.csv"
# the chart of a series, and that of none
expect 0 "$WETRUN" chart series --picture svg "$TOP/datasets/petrel-series"; in_out "</svg>"; in_out "Petrel 8"
expect 3 "$WETRUN" chart series --picture svg all/petrel-7; in_err "series.csv"
# the report of one of the excursions has a section on all of them, with the numbers of the command
expect 0 "$WETRUN" report --quiet --series "$TOP/datasets/petrel-series" --out r "$TOP/datasets/petrel-7"
grep -q 'id="t-series"' r/report.html || fail "the page has no series"
expect 0 "$WETRUN" series -f json "$TOP/datasets/petrel-series"
python3 - <<'P' || fail "the report's series is not the command's"
import json
a, b = json.load(open('out')), json.load(open('r/report.json'))['series']
for key in ('any_excursion_over', 'interval', 'left_over', 'excursions', 'changes'): assert a[key] == b[key], key
P
expect 3 "$WETRUN" report --quiet --series nowhere --out r2 "$TOP/datasets/petrel-7"; in_err "--series"; [ ! -e r2 ] || fail "a report was begun"
