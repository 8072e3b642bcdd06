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
for case in ${*:-"$top"/tests/cli/cases/*.sh}; do
  name=$(basename "$case" .sh)
  scratch=$(mktemp -d)
  (cd "$scratch" && sh "$top/tests/cli/cases/$name.sh") >"$scratch/.log" 2>&1
  case $? in
  0) passed=$((passed + 1)) ;;
  77) skipped=$((skipped + 1)); echo "skipped $name: $(tail -n 1 "$scratch/.log")" ;;
  *) failed=$((failed + 1)); echo "FAILED $name"; sed 's/^/    /' "$scratch/.log" | tail -n 40 ;;
  esac
  rm -rf "$scratch"
done
echo "cli: $passed passed, $failed failed, $skipped skipped"
[ "$failed" -eq 0 ]
