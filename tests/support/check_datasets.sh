#!/bin/sh
# The bundled data sets are what their generator writes, to the byte.
set -eu
command -v python3 >/dev/null || { echo "datasets: not compared, there is no python3"; exit 0; }
new=$(mktemp -d)
trap 'rm -rf "$new"' EXIT
python3 -B datasets/make_datasets.py "$new"
bad=0
for f in $(cd "$new" && find . -type f | sort); do
  cmp "$new/$f" "datasets/$f" || bad=1
done
[ $bad = 0 ] && echo "datasets: as generated"
exit $bad
