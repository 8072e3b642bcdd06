. "$TOP/tests/cli/expect.sh"
# planned times that no plan can mean, and flight times that no work takes: no answer that rests on them is firm, nor may
# they overrule the rehearsals without a word
campaign; T="--trials 400"
said() { tr -s '\n ' ' ' <"$1" | grep -qF -- "$2" || { cat "$1"; fail "$1 does not say: $2"; }; }

doubted='implausible-planned history-odd history-faster'
# finds "CODE …" FOLDER: of these the check finds those, and no other
finds() { in_set=$1; expect 0 "$WETRUN" check "$2" -f json; json "{f['code'] for f in d['findings']} & set('$doubted'.split()) == set('$in_set'.split())"; }

# four complete rehearsals of 5:40 to 6:21, and a plan as it is, a tenth of it, ten times it
mkdir four; grep -E '^(run|P7-[6-9]),' campaign/runs.csv >four/runs.csv; cp campaign/plan.csv campaign/limits.csv campaign/history.csv four
for k in 0.1 10; do
  cp -r four plan-$k
  python3 - four/plan.csv $k >plan-$k/plan.csv <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1])))
out = csv.DictWriter(sys.stdout, rows[0].keys(), lineterminator="\n")
out.writeheader()
for r in rows:
    r["planned"] = r["planned"] and "%g" % (float(r["planned"]) * float(sys.argv[2]))
    out.writerow(r)
P
done
expect 0 "$WETRUN" forecast four $T -f json; json "d['may_be_firm'] and d['kept_open_by'] == []"
half=$(python3 -S -c "import json; print(json.load(open('out'))['finish']['quantiles_min']['0.5'])")
finds "" four; finds "" campaign
for k in 0.1 10; do
  expect 1 "$WETRUN" check plan-$k --strict; in_out "plan.csv: warning: typically the rehearsals took"; in_out "[implausible-planned]"
  not_in out "what may move an answer: none"
  for for in rehearsal excursion; do
    expect 0 "$WETRUN" forecast plan-$k --for $for $T -f json
    json "not d['may_be_firm'] and d['kept_open_by'] == ['implausible-planned'] and 'what the plan allots' in d['doubt']"
    json "d['verdict'] == 'not enough rehearsals to tell' and d['answer'].startswith('Doubtful: Cannot be told for a doubt of the files')"
    expect 1 "$WETRUN" ready plan-$k --for $for $T; not_in out "Met: at most 10 of 100"; not_in out "Not met: at most 10 of 100"
    head -n 1 out | grep -q "^Doubtful" || fail "a review is not told first"
  done
  # how tasks compare is left of such a plan, and the day is as long as the rehearsals have it
  expect 0 "$WETRUN" forecast plan-$k $T -f json; json "abs(d['finish']['quantiles_min']['0.5'] - $half) < 10"
  expect 0 "$WETRUN" forecast plan-$k --run-effect 0.05 $T; in_err "the run effect was given from outside"
  python3 -c "import re,sys; h, m = re.search(r'half of\s+the finishes by (\d+):(\d\d)', open('err').read()).groups(); sys.exit(abs(60 * int(h) + int(m) - $half) > 10)" || fail "the default beside is drawn to the plan"
  for command in pad cutoff runs-needed backtest fit "whatif --drop CAM-AIM" "chart finish --out c.svg"; do
    # shellcheck disable=SC2086  # two words or more
    expect 0 "$WETRUN" $command plan-$k --trials 400; cat out err >both; said both "typically the rehearsals took"
  done
  expect 0 "$WETRUN" report plan-$k --out page-$k --trials 400; said page-$k/report.html "typically the rehearsals took"
done

# one planned time, a digit more or less: all seven complete rehearsals speak against it
for to in 4 400; do
  mkdir one-$to; cp campaign/*.csv one-$to
  python3 - campaign/plan.csv $to >one-$to/plan.csv <<'P'
import csv, sys
rows = list(csv.DictReader(open(sys.argv[1])))
out = csv.DictWriter(sys.stdout, rows[0].keys(), lineterminator="\n")
out.writeheader()
longest = max((r for r in rows if r["planned"]), key=lambda r: float(r["planned"]))
longest["planned"] = sys.argv[2]
out.writerows(rows)
P
  finds implausible-planned one-$to; json "[r['what'] for r in d['implausible']] == ['planned']"
  expect 0 "$WETRUN" forecast one-$to $T -f json; json "d['kept_open_by'][0] == 'implausible-planned' and 'is allotted $to min' in d['doubt']"
done

# flight times: a decimal mark lost in a column or a row, columns exchanged
history() { mkdir "$1"; cp campaign/*.csv "$1"; awk -F, -v OFS=, "NR > 1 { $2 } 1" campaign/history.csv >"$1/history.csv"; }
history pool-tenfold '$3 *= 10'; history flight-tenfold '$4 *= 10'; history one-row 'if (NR == 3) $4 *= 10'
history one-row-short 'if (NR == 3) $4 /= 10'; history exchanged 't = $3; $3 = $4; $4 = t'
history meant 'if (NR == 3) { $3 = $3 " min"; $4 = $4 * 10 " min" }'
for h in pool-tenfold flight-tenfold one-row one-row-short exchanged; do
  code=history-odd; [ $h != exchanged ] || code=history-faster
  expect 1 "$WETRUN" check $h --strict; in_out "[$code]"; said out "of them of the excursion alone"
  expect 0 "$WETRUN" forecast $h --for excursion $T -f json
  json "not d['may_be_firm'] and d['kept_open_by'] == ['history-doubtful'] and d['answer'].startswith('Doubtful: Cannot be told for a doubt of the files')"
  json "'$code' in [f['code'] for f in d['findings']]"
  expect 1 "$WETRUN" ready $h --for excursion $T; not_in out "Met: at most 10 of 100"; not_in out "Not met: at most 10 of 100"
  # the next rehearsal has no need of them: it is as firm as it was, and what is said of the excursion beside it is not
  expect 0 "$WETRUN" forecast $h $T -f json; json "d['may_be_firm'] and not d['excursion_answer']['may_be_firm']"
  expect 0 "$WETRUN" forecast $h $T; said out "so that this answer may not be firm."
done
# exchanged in one excursion: asked wherever the excursion is spoken of, and open it keeps nothing
history one-exchanged 'if ($1 == "Petrel 5") { t = $3; $3 = $4; $4 = t }'
for for in "" "--for excursion"; do expect 0 "$WETRUN" forecast one-exchanged $for $T; in_out history-one-faster; done
expect 0 "$WETRUN" forecast one-exchanged --for rehearsal $T; not_in out history-one-faster
expect 0 "$WETRUN" forecast one-exchanged --for excursion $T -f json; json "not any('history' in code for code in d['kept_open_by'])"
expect 0 "$WETRUN" forecast campaign $T; not_in out "history-one-faster"
finds "" meant
expect 0 "$WETRUN" forecast campaign --for excursion $T -f json; json "d['may_be_firm']"
