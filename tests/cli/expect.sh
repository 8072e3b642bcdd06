# Sourced by the cases. Each runs in an empty scratch folder; $TOP is the source tree, $WETRUN the program.
set -u
fail() { echo "$*"; exit 1; }
skip() { echo "$*"; exit 77; }

# expect STATUS command …: runs it, keeps its output in ./out and ./err
expect() {
  wanted=$1; shift
  "$@" >out 2>err </dev/null
  got=$?
  [ "$got" -eq "$wanted" ] || { echo "-- err:"; cat err; fail "exit status $got, wanted $wanted: $*"; }
}
in_err() { grep -qF -- "$1" err || { cat err; fail "standard error lacks: $1"; }; }
in_out() { grep -qF -- "$1" out || { head -n 40 out; fail "standard output lacks: $1"; }; }
not_in() { ! grep -qF -- "$2" "$1" || fail "$1 holds: $2"; }
empty() { [ ! -s "$1" ] || { cat "$1"; fail "$1 is not empty"; }; }
# json EXPRESSION: true for the object in ./out, as Python sees it (d)
json() { python3 -S -c "import json,sys; d=json.load(open('out')); sys.exit(not (${1}))" || fail "not so in the JSON: $1"; }
# golden NAME FILE: the same bytes as tests/cli/golden/NAME
golden() {
  if [ "${UPDATE:-}" = 1 ]; then cp "$2" "$TOP/tests/cli/golden/$1"; fi
  diff -u "$TOP/tests/cli/golden/$1" "$2" || fail "differs from tests/cli/golden/$1"
}
# narrow FILE: no line wider than 80 columns
narrow() {
  python3 - "$1" <<'P' || fail "$1 is wider than 80 columns"
import sys, unicodedata
wide = lambda s: sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in s)
bad = [l for l in open(sys.argv[1], encoding="utf-8").read().splitlines() if wide(l) > 80]
for l in bad[:5]: print(wide(l), l)
sys.exit(bool(bad))
P
}
campaign() { cp -r "$TOP/datasets/petrel-7" campaign; chmod -R u+w campaign; }
