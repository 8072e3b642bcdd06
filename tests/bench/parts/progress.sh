#!/bin/bash
# What the progress line promises: its estimate of the time that is left, over what was left.
for n in 6 12 30; do
  mkdir "$scratch/progress-$n"
  awk -F, -v runs=$n -v out="$scratch/progress-$n" -f $here/many_runs.awk datasets/reference-40/plan.csv
done
"$B/tests/bench_progress" datasets/petrel-7 "$scratch"/progress-{6,12,30} >"$scratch/progress.csv"

echo
echo "## The progress line"
echo
echo "Its estimate of the time that is left over what was left, as it stood when a quarter, a half and three quarters of the CPU time had"
echo "gone by (\`bench_progress.c\`; one thread; a report without its charts). It shows after a second, and nothing below a second."
echo
echo "| campaign | command | CPU s | at 25 % | at 50 % | at 75 % |"
echo "| --- | --- | --- | --- | --- | --- |"
sed 1d "$scratch/progress.csv" | while IFS=, read -r folder command runs tasks whole at25 at50 at75; do
  echo "| $runs rehearsals of $tasks tasks | $command | $whole | $at25 | $at50 | $at75 |" | sed 's/| 0\.00 /| - /g'
done
