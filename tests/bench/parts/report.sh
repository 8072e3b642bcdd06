#!/bin/bash
# Where a report's time goes, part by part: of the bundled campaign, and of one with 60 rehearsals of 40 tasks.
campaign=$scratch/report-60; mkdir "$campaign"
awk -F, -v runs=60 -v out="$campaign" -f $here/many_runs.awk datasets/reference-40/plan.csv

# of FILE NAME: median of a column over the rounds
rounds_of() { for ((round = 1; round <= $2; round++)); do progress "report: $1, round $round of $2"; "$B/tests/bench_report" "$3" 1 >>"$scratch/parts.$1"; done; }
rounds_of nine "$ROUNDS" datasets/petrel-7
rounds_of sixty 1 "$campaign"

# names in the order of the first round, medians of own and children's seconds
medians() { awk -F'\t' '
  !($1 in n) { order[++k] = $1 }
  { v[$1, ++n[$1]] = $2 + $3; if ($3 > 0.001) child[$1] = 1 }
  END { for (i = 1; i <= k; i++) { p = order[i]; m = n[p]
      for (a = 1; a <= m; a++) for (b = a + 1; b <= m; b++) if (v[p, b] < v[p, a]) { t = v[p, a]; v[p, a] = v[p, b]; v[p, b] = t }
      printf "%s\t%.4f\n", p, m % 2 ? v[p, (m + 1) / 2] : (v[p, m / 2] + v[p, m / 2 + 1]) / 2 } }' "$scratch/parts.$1"; }
medians nine >"$scratch/medians.nine"
medians sixty >"$scratch/medians.sixty"

echo
echo "## Where a report's time goes"
echo
echo "CPU seconds of its parts, each made by itself and once on one thread (\`bench_report.c\`), gnuplot's own in the charts': of"
echo "\`datasets/petrel-7\`, and of 60 rehearsals of 40 tasks (\`many_runs.awk\`; one round). The page and the JSON take a hundredth of it."
echo
echo "| part | petrel-7, CPU s | of 100 | 60 rehearsals of 40 tasks, CPU s | of 100 |"
echo "| --- | --- | --- | --- | --- |"
awk -F'\t' 'NR == FNR { a[$1] = $2; sum_a += $2; next } { b[$1] = $2; sum_b += $2; order[++k] = $1 }
  END { for (i = 1; i <= k; i++) { p = order[i]; printf "| %s | %.3f | %.0f | %.3f | %.0f |\n", p, a[p], 100 * a[p] / sum_a, b[p], 100 * b[p] / sum_b }
        printf "| all | %.3f | | %.3f | |\n", sum_a, sum_b }' "$scratch/medians.nine" "$scratch/medians.sixty"
