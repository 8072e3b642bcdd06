. "$TOP/tests/cli/expect.sh"
campaign
expect 0 "$WETRUN" forecast --trials 20000 campaign; narrow out; in_err "Caution"; cp out table
expect 0 "$WETRUN" forecast --trials 20000 --format json campaign
json "d['command'] == 'forecast' and d['seed'] == 1 and d['version']"
json "d['trials'] >= 20000 and d['limit_min'] == 390"
json "0 <= d['overrun']['interval'][0] <= d['overrun']['probability'] <= d['overrun']['interval'][1] <= 1"
json "d['overrun']['interval_level'] == 0.9 and d['overrun']['mc_error'] > 0"
json "sorted(map(float, d['finish']['quantiles_min'])) == [0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99]"
json "[t['variance_share'] for t in d['tasks']] == sorted((t['variance_share'] for t in d['tasks']), reverse=True)"
json "0.8 < sum(t['variance_share'] for t in d['tasks']) + d['run_effect_share'] + d['parameter_share'] + d['people_share'] < 1.1"
json "d['any_limit_over'] >= max(l['probability_over'] for l in d['limits'])"
json "{'crew', 'busy_min', 'waiting_min', 'finish_p50_min'} <= set(d['crews'][0])"
json "{'task', 'median_min', 'sd_min', 'on_longest_path', 'variance_share', 'dropped'} <= set(d['tasks'][0])"
json "d['verdict'] in ('inside', 'not inside', 'not enough rehearsals to tell')"
cp out one
expect 0 "$WETRUN" forecast --trials 20000 --format json --threads 1 campaign; cmp out one || fail "bytes differ with --threads 1"
expect 0 "$WETRUN" forecast --trials 20000 --format json --threads 3 campaign; cmp out one || fail "bytes differ with --threads 3"
expect 0 "$WETRUN" forecast --trials 20000 --format json --seed 2 campaign; ! cmp -s out one || fail "the seed changes nothing"
json "d['overrun']['mc_error'] <= (d['overrun']['interval'][1] - d['overrun']['interval'][0]) / 20"
json "len(d['overrun']['interval_mc_error']) == 2 and min(d['finish']['quantiles_mc_error_min'].values()) > 0"
# more trials buy a surer probability: four times as many, half the error, that itself known to 13 of 100
usual=$(python3 -c "import json; print(json.load(open('one'))['overrun']['mc_error'])")
expect 0 "$WETRUN" forecast --trials 1048576 --format json campaign; json "d['draws'] == 8000 and d['overrun']['mc_error'] < 0.75 * $usual"
# no limit is assumed
rm campaign/limits.csv
expect 0 "$WETRUN" forecast --trials 20000 --format json campaign; json "d['limit_min'] is None and d['overrun'] is None"
expect 2 "$WETRUN" cutoff campaign; in_err "--limit"
expect 2 "$WETRUN" cutoff --limit 6:30 campaign; in_err "--confidence"
expect 2 "$WETRUN" pad campaign; in_err "--confidence"
expect 2 "$WETRUN" ready campaign; in_err "--limit"
# the excursion is another thing than the next rehearsal, and says so
expect 0 "$WETRUN" forecast --trials 20000 --limit 6:30 --for excursion campaign; in_out "the excursion"
rm campaign/history.csv
expect 0 "$WETRUN" forecast --trials 20000 --limit 6:30 --for excursion campaign; in_err "face value"
# people
expect 0 "$WETRUN" forecast --trials 20000 --people EV1=KV,EV2=OM campaign
expect 2 "$WETRUN" forecast --trials 20000 --people EV9=KV campaign; in_err "EV9"
# a comma-decimal locale changes nothing
expect 0 env LC_ALL=de_DE.UTF-8 LANG=de_DE.UTF-8 "$WETRUN" forecast --trials 20000 --format json --limit 6:30 campaign; cp out german
expect 0 "$WETRUN" forecast --trials 20000 --format json --limit 6:30 campaign; cmp out german || fail "the locale matters"
