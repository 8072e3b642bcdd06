# The engine: whole processes beside their peers, inner loops, threads, error for less, growth.
engine=$B/tests/bench_engine gsl=$B/tests/bench_peer_gsl plan=datasets/reference-40/plan.csv
tasks=40

python=
for p in /usr/bin/python3 python3; do
  have "$p" && "$p" -c 'import numpy' 2>/dev/null && { python=$p; break; }
done
for ((round = 1; round <= ROUNDS; round++)); do
  progress "engine: round $round of $ROUNDS"
  cpu ours "$engine" forecast $plan 1e7 1
  [ -n "$python" ] && cpu numpy32 "$python" $here/peer_numpy.py $plan 1e7 float32
  cpu ours_million "$engine" forecast $plan 1e6 1
  [ -n "$python" ] && cpu numpy64 "$python" $here/peer_numpy.py $plan 1e6 float64
  cpu gsl_ziggurat "$gsl" ziggurat $plan 1e6
  cpu gsl_lognormal "$gsl" lognormal $plan 1e6
  have Rscript && cpu r Rscript $here/peer_r.R $plan 1e6
  for k in plain sse2 avx2 avx512; do
    "$engine" trials $plan 4e6 1 $k >>"$scratch/kernel_$k" 2>/dev/null || rm -f "$scratch/kernel_$k"
  done
  tell skewed "$engine" skewed $plan 2e6 1
  tell one "$engine" trials $plan 1e7 1
  tell two "$engine" trials $plan 1e7 2
done

row() { # FILE TRIALS WHAT OURS: one line of the table
  [ -s "$scratch/$1" ] || { echo "| $3 | not installed here | | |"; return; }
  local s; s=$(median "$1")
  echo "| $3 | $2 | $s | $(calc %.2f "$s * 1e9 / $2 / $tasks") | $(calc %.1f "$s / $2 / ($4)") |"
}
ours=$(median ours)
echo
echo "## Plain trials, whole processes, one thread"
echo
echo "The 40-task reference network (\`datasets/reference-40\`), known lognormal tasks, one run effect: percentiles of the finish, two"
echo "overrun probabilities, longest path, shares of variance. All of these print the same figures. ns is per task and trial."
echo
echo "| way | trials | CPU s | ns | CPU s per trial, ours = 1 |"
echo "| --- | --- | --- | --- | --- |"
row ours 1e7 "wetrun's engine" "$ours / 1e7"
row numpy32 1e7 "numpy, vectorised in chunks, single precision (\`peer_numpy.py\`)" "$ours / 1e7"
row ours_million 1e6 "wetrun's engine" "$ours / 1e7"
row numpy64 1e6 "numpy, double precision" "$ours / 1e7"
row gsl_ziggurat 1e6 "plain C, GSL's ziggurat and exp (\`bench_peer_gsl.c\`)" "$ours / 1e7"
row gsl_lognormal 1e6 "plain C, \`gsl_ran_lognormal\`" "$ours / 1e7"
row r 1e6 "R, vectorised in chunks (\`peer_r.R\`)" "$ours / 1e7"
echo
echo "## Inner loops"
echo
echo "The plain trials alone, one thread, the same bytes from each. A figure of 1.1 to 2.1 ns was reasoned and measured for such loops on"
echo "another processor (AVX-512 to SSE2, 3.5 GHz, idle)."
echo
echo "| instructions | ns per task and trial, median | least |"
echo "| --- | --- | --- |"
for k in plain sse2 avx2 avx512; do
  if [ -s "$scratch/kernel_$k" ]; then echo "| $k | $(median kernel_$k) | $(least kernel_$k) |"
  else echo "| $k | this processor has none | |"; fi
done
echo "| best, skewed errors, 4000 posterior draws in the trials | $(median skewed) | $(least skewed) |"
echo
echo "Two threads: $(median two 2) ns elapsed against $(median one 2) with one (least: $(least two 2) against $(least one 2)), for"
echo "$(median two) against $(median one) ns of CPU time. Elapsed times mean something only on an idle machine: see the load average."

progress "engine: error for less"
echo
echo "## The same error for less"
echo
echo "P(over) of the reference network from quasi-random points with the run effect integrated, 40 seeds: their actual standard deviation,"
echo "and what plain trials of the same standard deviation would cost."
echo
echo "| points in all | limit, min | P(over) | sd over seeds | CPU s | plain trials, CPU s | ratio |"
echo "| --- | --- | --- | --- | --- | --- | --- |"
for per_copy in 256 1024 4096; do
  "$engine" points $plan $per_copy 40 |
    awk -v n=$per_copy '{ printf "| %d | %s | %.5f | %.2e | %.4f | %.3g | %.0f |\n", n * 16, $1, $2, $3, $4, $5, $6 }'
done

progress "engine: growth"
: >"$scratch/growth_tasks"
: >"$scratch/growth_trials"
for n in 10 20 50 100 200 500 1000 2000; do
  trials=$(calc %d "1e8 / $n")
  rm -f "$scratch/g"
  for ((round = 1; round <= 3; round++)); do tell g "$engine" chain $n "$trials"; done
  echo "$n $(median g) $(calc %.4f "$(median g) * $n * 1e-3")" >>"$scratch/growth_tasks"
done
for n in 1e4 1e5 1e6 1e7 1e8; do
  rm -f "$scratch/g"
  rounds=3; [ $n = 1e8 ] && rounds=1
  for ((round = 1; round <= rounds; round++)); do cpu g "$engine" forecast $plan $n 1; done
  echo "$(calc %d $n) $(median g)" >>"$scratch/growth_trials"
done
echo
echo "## Growth"
echo
echo "![growth](growth.svg)"
echo
echo "Plain trials, 10^8 task-trials each. Times of single tasks are counted on the first 16,384 to 65,536 trials, which is a large part of"
echo "the work where there are many tasks and so few trials."
echo
echo "| tasks | ns per task and trial | CPU s per million trials |"
echo "| --- | --- | --- |"
awk '{ printf "| %d | %s | %s |\n", $1, $2, $3 }' "$scratch/growth_tasks"
echo
echo "| trials, 40 tasks | CPU s, whole process |"
echo "| --- | --- |"
awk '{ printf "| %d | %s |\n", $1, $2 }' "$scratch/growth_trials"
if have gnuplot; then
  gnuplot -e "tasks='$scratch/growth_tasks'; trials='$scratch/growth_trials'; out='$scratch/growth.svg'" $here/growth.gp >&2 &&
    mv "$scratch/growth.svg" $here/growth.svg
fi
