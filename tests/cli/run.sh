#!/bin/sh
# Runs every tests/cli/cases/*.sh in a scratch folder of its own and counts. Usage: run.sh PROGRAM [case …]
# A case is a shell script that sources tests/cli/expect.sh; it fails by calling `fail`. UPDATE=1 rewrites golden files:
# read the diff before you commit it.
set -u
top=$(pwd)
WETRUN=$(cd "$(dirname "$1")" && pwd)/$(basename "$1"); shift
export WETRUN TOP="$top"
unset GNUTERM GNUPLOT_LIB LC_ALL LANG LANGUAGE COLUMNS
passed=0 failed=0 skipped=0
results=$(mktemp -d)
trap 'rm -rf "$results"' EXIT
# the longest first, so that all processors end together
long="decisions many_campaigns series forecast payloads refusals pictures edges against terminal"
[ $# -gt 0 ] || { cd tests/cli/cases && set -- $(for case in $long; do ls "$case.sh"; done) *.sh && cd "$top"; }
for case; do basename "$case" .sh; done | awk '!seen[$0]++' >"$results/cases"
# as many at once as there are processors
xargs -P "$(getconf _NPROCESSORS_ONLN)" -I NAME sh -c '
  scratch=$(mktemp -d)
  (cd "$scratch" && sh "$TOP/tests/cli/cases/NAME.sh") >"$1/NAME.log" 2>&1
  echo $? >"$1/NAME.status"
  times >"$1/NAME.took"
  rm -rf "$scratch"' sh "$results" <"$results/cases"
while read -r name; do
  case $(cat "$results/$name.status") in
  0) passed=$((passed + 1)) ;;
  77) skipped=$((skipped + 1)); echo "skipped $name: $(tail -n 1 "$results/$name.log")" ;;
  *) failed=$((failed + 1)); echo "FAILED $name"; sed 's/^/    /' "$results/$name.log" | tail -n 40 ;;
  esac
done <"$results/cases"
echo "cli: the longest, in seconds of processors:" $(for took in "$results"/*.took; do
  tail -n 1 "$took" | tr ms '  ' | awk -v name="$(basename "$took" .took)" '{ printf "%.0f %s\n", 60 * ($1 + $3) + $2 + $4, name }'
done | sort -rn | head -n 5)
echo "cli: $passed passed, $failed failed, $skipped skipped"
[ "$failed" -eq 0 ]
