#!/bin/bash
# The section on reading step logs; called by run_bench.sh. BENCH_MEGABYTES=200 a log.
megabytes=${BENCH_MEGABYTES:-200}
"$B/tests/bench_ingest" "$megabytes" "$ROUNDS" >"$scratch/ingest.csv"

echo
echo "## Reading a step log of $megabytes MB"
echo
echo "Every check on, against libcsv alone with callbacks that do nothing (\`bench_ingest.c\` says what each log is). Steps kept: records in"
echo "memory; of one step of one run at most 33, however many rows it has. Memory is the most used up to that line; the system's share of
wetrun's time is mostly for handing it out, and varies with the machine."
echo
echo "| log | rows | steps kept | libcsv alone, MB/s | wetrun, MB/s | ratio | system's share | memory, MB |"
echo "| --- | --- | --- | --- | --- | --- | --- | --- |"
sed 1d "$scratch/ingest.csv" | tr ',' ' ' | while read -r log rows steps plain ours ratio system memory; do
  echo "| $log | $rows | $steps | $plain | $ours | $ratio | $system | $memory |"
done
