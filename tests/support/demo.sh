#!/bin/sh
# The main job on bundled data: checks the log, forecasts, writes page and charts, says where they are.
# Usage: demo.sh PROGRAM
set -eu
program=$1
campaign=datasets/petrel-7
out=build/demo

echo "Outpost Petrel, excursion 7: invented data, invented people, invented hardware."
echo "Its log holds rows that are wrong on purpose. They are rejected below, one by one, as in a log of your own."
echo
"$program" forecast "$campaign"
echo
"$program" report --out "$out" "$campaign"
echo "The page:   $out/report.html"
echo "The charts: $out/charts/"
echo "The JSON:   $out/report.json"
