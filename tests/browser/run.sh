#!/bin/sh
# run.sh WETRUN FOLDER: opens the pages in a browser. What is not installed is said to be skipped, and that is no failure.
set -eu
wetrun=$1 folder=$2 here=$(dirname "$0")
mkdir -p "$folder"
for tool in chromium chromedriver pdftotext python3; do
  command -v $tool >/dev/null || { echo "browser: skipped, no $tool here"; exit 0; }
done
AXE=$folder/node_modules/axe-core/axe.min.js
if [ ! -e "$AXE" ] && command -v npm >/dev/null; then
  npm install --silent --no-save --no-audit --no-fund --prefix "$folder" axe-core >/dev/null 2>&1 || true
fi
if [ -e "$AXE" ]; then export AXE; else unset AXE; echo "browser: accessibility checker skipped, axe-core could not be had from npm"; fi
if command -v node >/dev/null; then node "$here/../day/check_numbers.js"; node "$here/../day/check_moved.js"; else echo "browser: the page's arithmetic skipped, no node here"; fi
for check in day whole_day report hostile; do PYTHONDONTWRITEBYTECODE=1 python3 "$here/check_$check.py" "$wetrun" "$folder" ${PICTURES:+"$PICTURES"}; done
PYTHONDONTWRITEBYTECODE=1 python3 "$here/../screens/check_screens.py" "$wetrun" "$folder"
PYTHONDONTWRITEBYTECODE=1 python3 "$here/../day/compare_now.py" "$wetrun" "${DAYS:-4}" datasets/petrel-7
