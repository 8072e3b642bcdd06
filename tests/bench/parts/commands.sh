#!/bin/bash
# What a user waits for: every command on the bundled campaign.
campaign=datasets/petrel-7 commands="check fit forecast pad cutoff backtest runs-needed ready report"

judged() { "$@" || [ $? = 1 ]; } # 1: done, and a criterion is not met
for ((round = 1; round <= ROUNDS; round++)); do
  progress "commands: round $round of $ROUNDS"
  for command in $commands; do
    out=(); [ "$command" = report ] && out=(--out "$scratch/report")
    for threads in 1 2; do
      timed "$command.$threads" judged "$B/wetrun" "$command" --quiet --threads $threads "${out[@]}" $campaign
    done
  done
done
# During the day: nothing runs, one task runs, one runs and others have ended at times that nobody said, late in the day.
days=("OUT=0:20" "OUT=0:20,A-REACH@0:20" "A-UNPLUG@0:40,CAM-REACH=0:45" "SHADE@4:05")
for ((round = 1; round <= ROUNDS; round++)); do
  for i in "${!days[@]}"; do
    timed "now.$i" judged "$B/wetrun" cutoff --quiet --now "${days[i]}" $campaign
  done
done
echo
echo "## Commands on the bundled campaign"
echo
echo "Seconds from start to end, \`datasets/petrel-7\`: nine rehearsals, 28 tasks, three limits. The report holds all the others,"
echo "its cut-offs at other limits and wishes too, and its charts drawn four times by gnuplot, its start included."
echo
echo "| command | one thread, elapsed | two threads, elapsed | two threads, CPU |"
echo "| --- | --- | --- | --- |"
for command in $commands; do
  echo "| $command | $(median $command.1 2) | $(median $command.2 2) | $(median $command.2 1) |"
done
echo
echo "During the day, \`cutoff --now\`:"
echo
echo "| reported | elapsed | CPU |"
echo "| --- | --- | --- |"
for i in "${!days[@]}"; do
  echo "| \`${days[i]}\` | $(median now.$i 2) | $(median now.$i 1) |"
done
