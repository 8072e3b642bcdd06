#!/bin/sh
# The main job on bundled data: checks the log, forecasts, writes page and charts, says where they are.
# Usage: demo.sh PROGRAM
set -eu
program=$1
campaign=datasets/petrel-7
out=build/demo

echo "Outpost Petrel, excursion 7: invented data, invented people, invented hardware."
echo
"$program" forecast "$campaign"
echo
"$program" report --out "$out" "$campaign"
echo "The page:   $out/report.html"
echo "The charts: $out/charts/"
echo "The JSON:   $out/report.json"
