#!/bin/sh
# Runs every suite of RUNNER in a process of its own, as many at once as there are processors, and adds up what Check counts.
# Usage: unit.sh RUNNER
set -u
results=$(mktemp -d)
trap 'rm -rf "$results"' EXIT
"$1" --list >"$results/suites"
xargs -P "$(getconf _NPROCESSORS_ONLN)" -I SUITE sh -c '"$1" SUITE >"$2/SUITE" 2>&1 || { cat "$2/SUITE"; echo >"$2/SUITE.failed"; }' \
  sh "$1" "$results" <"$results/suites"
while read -r suite; do
  counted=$(grep '^[0-9]*%: Checks: ' "$results/$suite") || counted="100%"
  echo "$counted"
  # none of its tests failed, but it broke off, or a sanitizer had something to say at its end
  case $counted in 100%*) [ ! -e "$results/$suite.failed" ] || echo "0%: Checks: 1, Failures: 0, Errors: 1" ;; esac
done <"$results/suites" | awk -F '[^0-9]+' '{ n += $2; failures += $3; errors += $4 }
  END { printf "%d%%: Checks: %d, Failures: %d, Errors: %d\n", n ? 100 * (n - failures - errors) / n : 0, n, failures, errors
        exit n == 0 || failures + errors > 0 }'
