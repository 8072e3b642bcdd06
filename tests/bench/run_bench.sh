#!/bin/bash
# Measures speed beside what is installed, and writes tests/bench/RESULTS.md (and growth.svg, where gnuplot is).
# Run by `make bench` at the top of the source tree: run_bench.sh BUILD_FOLDER. BENCH_ROUNDS=5 rounds, interleaved, so that
# a busy minute hits all alike; medians. Each file of parts/ writes a section to its standard output, and ends where anything
# that it measures fails; then nothing is written. Peers that are not installed are said to be missing.
set -u
export LC_ALL=C
B=$1
ROUNDS=${BENCH_ROUNDS:-5}
here=tests/bench
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
export B ROUNDS here scratch

# timed FILE COMMAND…: adds the command's CPU seconds (user + system) and elapsed seconds to a file
timed() {
  local file=$1 seconds; shift
  seconds=$( { TIMEFORMAT='%U %S %R'; time "$@" >/dev/null 2>"$scratch/stderr"; } 2>&1 ) ||
    { echo "bench: failed: $*" >&2; tail -n 5 "$scratch/stderr" >&2; return 1; }
  awk '{ printf "%.3f %.3f\n", $1 + $2, $3 }' <<<"$seconds" >>"$scratch/$file"
}
# tell FILE COMMAND…: adds what the command prints to a file, one line
tell() { local file=$1; shift; "$@" >>"$scratch/$file"; }
# median FILE [COLUMN]
median() { awk -v c="${2:-1}" '{ print $c }' "$scratch/$1" | sort -g | awk '{ v[NR] = $1 } END { print NR % 2 ? v[(NR + 1) / 2] : (v[NR / 2] + v[NR / 2 + 1]) / 2 }'; }
least() { awk -v c="${2:-1}" '{ print $c }' "$scratch/$1" | sort -g | head -1; }
calc() { awk "BEGIN { printf \"$1\", $2 }"; }
have() { command -v "$1" >/dev/null; }
progress() { echo "bench: $*" >&2; }
export -f timed tell median least calc have progress

{
  echo "# What \`make bench\` measured"
  echo
  echo "Written by \`tests/bench/run_bench.sh\` on $(date -u +%Y-%m-%d), commit $(git rev-parse --short HEAD 2>/dev/null || echo unknown)."
  echo "$(sed -n 's/^model name[^:]*: //p' /proc/cpuinfo | head -1), $(nproc) processors, second-level cache $(($(getconf LEVEL2_CACHE_SIZE) / 1024)) KB," \
    "memory $(awk '/^MemTotal/ { printf "%.1f", $2 / 1048576 }' /proc/meminfo) GB, $(uname -sr), $(${CC:-cc} --version | head -1)."
  echo "Load average when it began: $(cut -d' ' -f1-3 /proc/loadavg). CPU time where nothing else is said; medians of $ROUNDS interleaved"
  echo "rounds; on a shared machine compare the ratios, not the seconds."
  for part in "$here"/parts/*.sh; do
    progress "$(basename "$part" .sh)"
    bash -euo pipefail "$part" || { echo "bench: $part failed" >&2; exit 1; }
  done
} >"$scratch/RESULTS.md" || exit 1
[ ! -e $here/RESULTS.md ] || {
  echo
  echo "## Before and after"
  echo
  echo "Rows that this file had before ($(sed -n 's/^Written by .* on \(.*\)\.$/\1/p' $here/RESULTS.md)) and has now. Where that was another"
  echo "machine, or a busier one, all of them moved together."
  echo
  echo "| what | figure | before | after | after / before |"
  echo "| --- | --- | --- | --- | --- |"
  while IFS=: read -r section column; do
    awk -F'|' -v section="$section" -v column="$column" -f $here/before_after.awk $here/RESULTS.md "$scratch/RESULTS.md"
  done <<'COLUMNS'
Commands on the bundled campaign:two threads, CPU
Plain trials, whole processes:ns
The sampler:its effective draws per CPU s
Where a report's time goes:petrel-7, CPU s
Where a report's time goes:60 rehearsals of 40 tasks, CPU s
Growth:check, CPU s
Growth:fit, CPU s
Growth:forecast, CPU s
Reading a step log:ratio
COLUMNS
} >"$scratch/before_after"
[ ! -e "$scratch/before_after" ] || cat "$scratch/before_after" >>"$scratch/RESULTS.md"
[ ! -e "$scratch/growth.svg" ] || mv "$scratch/growth.svg" "$here/growth.svg"
mv "$scratch/RESULTS.md" "$here/RESULTS.md"
echo "bench: wrote $here/RESULTS.md"
