#!/bin/bash
# The engine: whole processes beside their peers, inner loops, threads, error for less.
engine=$B/tests/bench_engine gsl=$B/tests/bench_peer_gsl plan=datasets/reference-40/plan.csv
tasks=40

python=
for p in /usr/bin/python3 python3; do
  have "$p" && "$p" -c 'import numpy' 2>/dev/null && { python=$p; break; }
done
kernels=$("$engine" kernels)
for ((round = 1; round <= ROUNDS; round++)); do
  progress "engine: round $round of $ROUNDS"
  timed ours "$engine" forecast $plan 1e7 1
  [ -n "$python" ] && timed numpy32 "$python" $here/peer_numpy.py $plan 1e7 float32
  timed ours_million "$engine" forecast $plan 1e6 1
  [ -n "$python" ] && timed numpy64 "$python" $here/peer_numpy.py $plan 1e6 float64
  timed gsl_ziggurat "$gsl" ziggurat $plan 1e6
  timed gsl_lognormal "$gsl" lognormal $plan 1e6
  have Rscript && timed r Rscript $here/peer_r.R $plan 1e6
  for k in $kernels; do tell kernel_$k "$engine" trials $plan 4e6 1 $k; done
  tell skewed "$engine" skewed $plan 2e6 1
  timed one "$engine" forecast $plan 4e7 1
  timed two "$engine" forecast $plan 4e7 2
  tell load cut -d' ' -f1 /proc/loadavg
done

row() { # FILE TRIALS WHAT OURS: one line of the table
  [ -s "$scratch/$1" ] || { echo "| $3 | not installed here | | |"; return; }
  local s; s=$(median "$1")
  echo "| $3 | $2 | $s | $(calc %.2f "$s * 1e9 / $2 / $tasks") | $(calc %.1f "$s / $2 / ($4)") |"
}
peers() { # what is installed, with versions
  [ -z "$python" ] || "$python" -c 'import numpy, platform; print("numpy", numpy.__version__, "on Python", platform.python_version(), end=", ")'
  ! have Rscript || Rscript -e 'cat(sprintf("R %s, ", getRversion()))'
  echo "GSL $(pkg-config --modversion gsl)"
}
ours=$(median ours)
echo
echo "## Plain trials, whole processes, one thread"
echo
echo "The 40-task reference network (\`datasets/reference-40\`), known lognormal tasks, one run effect: percentiles of the finish, two"
echo "overrun probabilities, longest path, shares of variance. All of these print the same figures. ns is per task and trial. Peers here:"
echo "$(peers)."
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
echo "The plain trials alone, one thread, the same bytes from each. A figure of 2.1 ns with SSE2, 1.5 with AVX2 and 1.1 with AVX-512 was"
echo "measured for a prototype of such loops on another, idle processor of about 3.5 GHz."
echo
echo "| instructions | ns per task and trial, median | least | times the best |"
echo "| --- | --- | --- | --- |"
best=$(for k in $kernels; do median kernel_$k; done | sort -g | head -1)
for k in plain sse2 avx2 avx512; do
  if [ -s "$scratch/kernel_$k" ]; then
    echo "| $k | $(median kernel_$k) | $(least kernel_$k) | $(calc %.2f "$(median kernel_$k) / $best") |"
  else echo "| $k | this processor has none | | |"; fi
done
echo "| best, skewed errors, 4000 posterior draws in the trials | $(median skewed) | $(least skewed) | $(calc %.2f "$(median skewed) / $best") |"
echo
echo "A forecast of 4e7 trials, whole process: $(median two 2) s elapsed with two threads against $(median one 2) with one,"
echo "$(calc %.2f "$(median one 2) / $(median two 2)") times as fast, for $(median two) against $(median one) s of CPU time. Load average meanwhile: $(least load) to"
echo "$(sort -g "$scratch/load" | tail -1) (two threads make up to 2)."

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
