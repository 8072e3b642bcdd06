#!/bin/sh
# run.sh WETRUN FOLDER [CHECK…]: opens the pages in a browser, for all checks or some. What is not installed is said to be
# skipped, and that is no failure.
set -eu
wetrun=$1 folder=$2 here=$(dirname "$0")
shift 2
[ $# -gt 0 ] || set -- numbers day whole_day report hostile screens now
mkdir -p "$folder"
for tool in chromium chromedriver pdftotext python3; do
  command -v $tool >/dev/null || { echo "browser: skipped, no $tool here"; exit 0; }
done
have_axe() {
  AXE=$folder/node_modules/axe-core/axe.min.js
  if [ ! -e "$AXE" ] && command -v npm >/dev/null; then
    npm install --silent --no-save --no-audit --no-fund --prefix "$folder" axe-core >/dev/null 2>&1 || true
  fi
  if [ -e "$AXE" ]; then export AXE; else unset AXE; echo "browser: accessibility checker skipped, axe-core could not be had from npm"; fi
}
case " $* " in *" day "* | *" report "*) have_axe ;; esac
export PYTHONDONTWRITEBYTECODE=1
for check; do
  case $check in
  numbers)
    if command -v node >/dev/null; then node "$here/../day/check_numbers.js"; node "$here/../day/check_moved.js"
    else echo "browser: the page's arithmetic skipped, no node here"; fi ;;
  screens) python3 "$here/../screens/check_screens.py" "$wetrun" "$folder" ;;
  now) python3 "$here/../day/compare_now.py" "$wetrun" "${DAYS:-4}" datasets/petrel-7 ;;
  *) python3 "$here/check_$check.py" "$wetrun" "$folder" ${PICTURES:+"$PICTURES"} ;;
  esac
done
