#!/bin/sh
# The same bytes from gcc's and clang's build and on one thread and two: the engine's numbers to the last bit, and what
# the commands print. (One instruction set against another: tests/unit/sim.) Usage: check_same_bytes.sh GCC_BUILD CLANG_BUILD
set -eu
gcc=$1 clang=$2
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

same() { cmp "$scratch/a" "$scratch/b" || { echo "not the same bytes: $*" >&2; exit 1; }; }
"$gcc/tests/bench_engine" exact datasets/reference-40/plan.csv 50000 1 >"$scratch/a"
"$clang/tests/bench_engine" exact datasets/reference-40/plan.csv 50000 2 >"$scratch/b"
same engine
for command in fit forecast pad cutoff backtest "whatif --drop STAGE-REEL" "cutoff --outside-hold" \
  "cutoff --now OUT@0:00-0:20,A-REACH@0:20"; do
  # shellcheck disable=SC2086  # the command's own words
  "$gcc/wetrun" $command --quiet --format json --threads 1 datasets/petrel-7 >"$scratch/a" 2>"$scratch/err" || {
    cat "$scratch/err" >&2; exit 1; }
  # shellcheck disable=SC2086
  "$clang/wetrun" $command --quiet --format json --threads 2 datasets/petrel-7 >"$scratch/b" 2>"$scratch/err" || {
    cat "$scratch/err" >&2; exit 1; }
  same "$command"
done
echo "same bytes: gcc on one thread and clang on two agree"
