#!/bin/bash
# What a user waits for: every command on the bundled campaign.
campaign=datasets/petrel-7 commands="check fit forecast pad cutoff backtest runs-needed ready report"

# both FILE COMMAND…: adds elapsed and CPU seconds to a file
both() {
  local file=$1 seconds; shift
  seconds=$( { TIMEFORMAT='%R %U %S'; time "$@" >/dev/null 2>&1; } 2>&1 )
  awk '{ printf "%.3f %.3f\n", $1, $2 + $3 }' <<<"$seconds" >>"$scratch/$file"
}
for ((round = 1; round <= ROUNDS; round++)); do
  progress "commands: round $round of $ROUNDS"
  for command in $commands; do
    out=(); [ "$command" = report ] && out=(--out "$scratch/report")
    for threads in 1 2; do
      both "$command.$threads" "$B/wetrun" "$command" --quiet --threads $threads "${out[@]}" $campaign
    done
  done
done
echo
echo "## Commands on the bundled campaign"
echo
echo "Seconds from start to end, \`datasets/petrel-7\`: nine rehearsals, 28 tasks, three limits. The report holds all the others but for"
echo "\`runs-needed\` in brief, and ten charts drawn four times by gnuplot, its start included."
echo
echo "| command | one thread, elapsed | two threads, elapsed | two threads, CPU |"
echo "| --- | --- | --- | --- |"
for command in $commands; do
  echo "| $command | $(median $command.1 1) | $(median $command.2 1) | $(median $command.2 2) |"
done
