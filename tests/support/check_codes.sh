#!/bin/sh
# The finding codes of wetrun-findings(7) are those of the program: each in the tables is a string of the source, and each that the
# source gives to a finding is in the tables.
set -eu
export LC_ALL=C
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT

page=src/cmd/manual/wetrun-findings.7
sed -n 's/^\.It \(Sy .*\)/\1/p' $page | grep -oE 'Sy [a-z][a-z-]*' | sed 's/^Sy //' | sort -u >"$scratch/said"
# after a severity, as the code of a function that adds one, or beside a severity in a table
cat src/*/*.c | tr '\n' ' ' |
  grep -oE '(WR_ERROR|WR_WARNING|WR_NOTE|reject\(|complain\(|add_finding\(|open_question\(|report\(d, |sheet_error\(|sheet_error_at\(|sheet_warn\()[^;"]{0,80}"[a-z]+(-[a-z]+)+"' |
  grep -oE '"[a-z-]+"$' | tr -d '"' | sort -u >"$scratch/given"
status=0
while read -r code; do
  grep -rqF "\"$code\"" src || { echo "$page names the finding '$code', which nothing gives" >&2; status=1; }
done <"$scratch/said"
grep -vxFf "$scratch/said" "$scratch/given" >"$scratch/missing" && {
  echo "findings that $page does not name:" $(cat "$scratch/missing") >&2; status=1; }
[ "$status" = 0 ] && echo "finding codes: $(wc -l <"$scratch/said") named in wetrun-findings(7), $(wc -l <"$scratch/given") seen given"
exit "$status"
