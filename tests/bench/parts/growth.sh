#!/bin/bash
# How the work grows: with the tasks, with the trials, with the rehearsals. Tables, and growth.svg where gnuplot is.
engine=$B/tests/bench_engine plan=datasets/reference-40/plan.csv
thin=3; [ "$ROUNDS" -lt 3 ] && thin=$ROUNDS # rounds here: the curves say little more with more of them

progress "growth: tasks"
for n in 10 20 50 100 200 500 1000 2000; do
  rm -f "$scratch/g" "$scratch/few"
  for ((round = 1; round <= thin; round++)); do
    tell g "$engine" chain $n 1e6
    tell few "$engine" chain $n 262144
  done
  echo "$n $(median g) $(calc %.4f "$(median g) * $n * 1e-3") $(median few)" >>"$scratch/growth_tasks"
done
progress "growth: trials"
for n in 1e4 1e5 1e6 1e7 1e8; do
  rm -f "$scratch/g"
  for ((round = 1; round <= thin; round++)); do timed g "$engine" forecast $plan $n 1; done
  echo "$(calc %d $n) $(median g)" >>"$scratch/growth_trials"
done
for n in 3 6 12 30 60 120 500 2000 5000; do
  progress "growth: $n rehearsals"
  campaign=$scratch/runs-$n; mkdir "$campaign"
  awk -F, -v runs=$n -v out="$campaign" -f $here/many_runs.awk $plan
  for command in check fit forecast; do
    rm -f "$scratch/g.$command"
    for ((round = 1; round <= thin; round++)); do timed g.$command "$B/wetrun" $command --quiet --threads 1 "$campaign"; done
  done
  echo "$n $(sed 1d "$campaign/runs.csv" | wc -l) $(median g.check) $(median g.fit) $(median g.forecast)" >>"$scratch/growth_runs"
  rm -rf "$campaign"
done

echo
echo "## Growth"
if have gnuplot; then
  gnuplot -e "tasks='$scratch/growth_tasks'; trials='$scratch/growth_trials'; runs='$scratch/growth_runs'; out='$scratch/growth.svg'" \
    $here/growth.gp >&2
  echo
  echo "![growth](growth.svg)"
fi
echo
echo "Plain trials, one million of them, and the 262,144 that a forecast takes by itself. Times of single tasks are counted on the first"
echo "65,536, or fewer beyond 500 tasks, which shows where trials are few."
echo
echo "| tasks | ns per task and trial | CPU s per million trials | ns with 262,144 trials |"
echo "| --- | --- | --- | --- |"
awk '{ printf "| %d | %s | %s | %s |\n", $1, $2, $3, $4 }' "$scratch/growth_tasks"
echo
echo "| trials, 40 tasks | CPU s, whole process |"
echo "| --- | --- |"
awk '{ printf "| %d | %s |\n", $1, $2 }' "$scratch/growth_trials"
echo
echo "Rehearsals of 40 tasks in four steps each (\`many_runs.awk\`), whole processes on one thread. Of more than 60 rehearsals the model takes"
echo "the last 60, and says so: from there on only reading and replaying them grows."
echo
echo "| rehearsals | rows of the log | check, CPU s | fit, CPU s | forecast, CPU s |"
echo "| --- | --- | --- | --- | --- |"
awk '{ printf "| %d | %d | %s | %s | %s |\n", $1, $2, $3, $4, $5 }' "$scratch/growth_runs"
