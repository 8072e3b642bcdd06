#!/bin/sh
# What the tables of the program list, help, plots/ and other tables list, and the other way round. (The commands, charts
# and options of wetrun(1) and the criteria of wetrun-files(5) are put in by the program itself.)
# Usage: check_lists.sh PROGRAM. The program's own lists are read from its tables, not from what it prints.
set -u
export LC_ALL=C
program=$1
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
bad=0
same() { # same WHAT: the lists said and listed
  sort -o "$scratch/said" "$scratch/said"; sort -o "$scratch/listed" "$scratch/listed"
  [ -s "$scratch/listed" ] || { echo "no $1 found in their table" >&2; bad=1; }
  diff "$scratch/listed" "$scratch/said" >"$scratch/diff" && return
  sed -n "s|^< \(.*\)|$2 does not name the ${1%s} \1|p; s|^> \(.*\)|$2 names \1, which is in no table of $1|p" "$scratch/diff" >&2
  bad=1
}

sed -n 's/^ *\[\(WR_RESULT_[A-Z_]*\)\] = .*/\1/p' src/study/results.c >"$scratch/listed"
sed -n '/define WR_RESULT_TABLE/,/^enum/s/^ *ROW(\([A-Z_]*\), .*/WR_RESULT_\1/p' include/wetrun/study/study.h >"$scratch/said"
same results WR_RESULT_TABLE
# a row without a time would only show as it is asked for
awk '/^ *\[WR_RESULT_[A-Z_]*\] = / { id = $1; row = "" } id != "" { row = row $0 } /\},$/ && id != "" {
       if (row !~ /\.usual = /) print id " of src/study/results.c has no usual time"
       id = "" }' src/study/results.c >"$scratch/said"
if [ -s "$scratch/said" ]; then cat "$scratch/said" >&2; bad=1; fi
# a maker that looks whether another result is there says so in its row: it would else be there by chance, in the report
awk '/^ *\[WR_RESULT_[A-Z_]*\] = / { id = $1; gsub(/.*RESULT_|\]/, "", id); maker = "wr_study_" tolower(id); rows[maker] = "" } maker in rows { rows[maker] = rows[maker] $0 }
     /^enum wr_status wr_study_[a-z_]*\(/ { maker = $3; sub(/\(.*/, "", maker) } /^}/ { maker = "" }
     match($0, /wr_study_has\(s, WR_RESULT_[A-Z_]*/) && maker in rows {
       id = substr($0, RSTART + 26, RLENGTH - 26)
       if (rows[maker] !~ "BIT\\(" id "\\)") print "the row of " maker " in src/study/results.c does not take in " id ", which it looks at" }' \
  src/study/results.c src/study/*.c >"$scratch/said"
if [ -s "$scratch/said" ]; then cat "$scratch/said" >&2; bad=1; fi
# what rests on the fitted model has the model's options, and nothing else
commands=include/wetrun/cmd/commands.h
grep -oE '^ *\[WR_RESULT_[A-Z_]*\] = \{\.rests_on' src/study/results.c | grep -o 'WR_RESULT_[A-Z_]*' >"$scratch/modelled"
sed -n '/define WR_COMMAND_TABLE/,/^$/p' $commands | tr '\\\n' '  ' | sed 's/ROW(/\n/g; s/$/\n/' | sed -n 's/^\([A-Z_]*\), wr_cmd_result, \([A-Z_]*\).*\.result = \([A-Z_]*\).*/\1 \2 \3/p' |
  while read -r id said result; do
    grep -qx "$result" "$scratch/modelled" && rests=WR_MODELLED || rests=WR_UNMODELLED
    [ "$said" = $rests ] || echo "the row $id of $commands says $said, and $result is $rests" >&2
  done 2>"$scratch/said"
if [ -s "$scratch/said" ]; then cat "$scratch/said" >&2; bad=1; fi

# what can be said has its option
sed -n '/^struct wr_settings {/,/^};/p' include/wetrun/cmd/settings.h | sed 's,/\*.*,,' | grep -oE '[*a-z_]+ *[,;]' | tr -d '*,; ' |
  grep -vxE 'study|name|idle|change|n_change|room_change|joined|n_joined|room_joined|target_said' | while read -r field; do
    grep -q "($field)" src/cmd/options.c || echo "struct wr_settings has $field, of which no row of src/cmd/options.c makes an option" >&2
  done 2>"$scratch/said"
# and is looked at by somebody
sed -n 's/^ *{"[a-z-]*", .*, [A-Z]*(\([a-z_]*\)), .*/\1/p' src/cmd/options.c | grep -vx join_next | sort -u | while read -r field; do
  grep -qE "(settings|s)(->|\.)$field\>" $(ls src/cmd/*.c src/main.c | grep -v '/options\.c$') ||
    echo "nobody looks at $field of struct wr_settings, which an option of src/cmd/options.c sets" >&2
done 2>>"$scratch/said"
grep -oE '\(study\.[a-z_.]*' src/cmd/options.c | sed 's/.*\.//' | sort -u | while read -r field; do
  grep -rqE "(->|\.)$field\>" src/study src/campaign src/model || echo "nobody looks at $field of the study's options, which an option of src/cmd/options.c sets" >&2
done 2>>"$scratch/said"
if [ -s "$scratch/said" ]; then cat "$scratch/said" >&2; bad=1; fi

sed -n 's/^ *ROW([A-Z_]*, wr_cmd_.* \.name = "\([a-z-]*\)".*/\1/p' $commands >"$scratch/listed"
n_command=$(wc -l <"$scratch/listed")
$program --help | sed -n 's/^  \([a-z-]*\)  *[a-z].*/\1/p' >"$scratch/said"
same commands "wetrun --help"

# what a command prints is looked at by a test: on the line that runs it, behind it, or on the next
while read -r command; do
  awk -v run="expect [01] .*\"[$]WETRUN\" $command( |;|$)" -v look='in_out|json |grep|cmp |diff |python3' '
    run_before && !/WETRUN/ && $0 ~ look { found = 1 }
    { run_before = 0 }
    match($0, run) { behind = substr($0, RSTART + RLENGTH); sub(/"[$]WETRUN".*/, "", behind); found += behind ~ look; run_before = 1 }
    END { exit !found }' tests/cli/cases/*.sh || { echo "no case in tests/cli/cases runs $command and looks at what it prints" >&2; bad=1; }
done <"$scratch/listed"
python3 tests/support/own_lists.py || bad=1

sed -n '/define WR_CHART_TABLE/,/^$/s/^ *ROW(WR_CHART_[A-Z]*, "\([a-z]*\)".*/\1/p' include/wetrun/present/chart.h >"$scratch/listed"
n_chart=$(wc -l <"$scratch/listed")
ls plots/*.png | sed 's,plots/\(.*\)\.png,\1,' >"$scratch/said"
same charts plots/
while read -r chart; do [ -s "plots/$chart.gp" ] || { echo "the chart $chart has no script plots/$chart.gp" >&2; bad=1; }; done <"$scratch/listed"
sed -n '/^enum wr_place/,/^};/p' include/wetrun/present/chart.h | grep -o 'WR_AT_[A-Z]*' | sort -u >"$scratch/listed"
cat src/present/page*.c | grep -o 'page_figures(out, page, WR_AT_[A-Z]*' | sed 's/.* //' >"$scratch/said"
same places src/present/page_readers.c
# the table of the page that a chart's rows lead to is one that the page has
for table in $(sed -n '/define WR_CHART_TABLE/,/^$/p' include/wetrun/present/chart.h | grep -o '"t-[a-z-]*"'); do
  grep -q "$table" src/present/page*.c || { echo "a row of WR_CHART_TABLE names the table $table, which the page does not have" >&2; bad=1; }
done
# a family's file without its row would be compiled and never fitted
ls src/stats/family_*.c | sed 's,.*/family_\(.*\)\.c,\1,' >"$scratch/said"
sed -n '/define WR_FAMILY_TABLE/,/^$/p' include/wetrun/stats/family.h | grep -o 'ROW(WR_[A-Z]*, [a-z]*)' | sed 's/.*, \(.*\))/\1/' >"$scratch/listed"
same families src/stats/

# what is handed on whole: a member that nobody fills would be zero, and look like something that is missing
members() { # members STRUCT HEADER
  sed -n "/^struct $1 {/,/^};/p" "include/wetrun/$2" | tr '\n' ' ' | sed 's,/\*[^*]*\*/,,g; s/^[^{]*{//' |
    grep -oE '[a-z_0-9]+(\[[^]]*\])* *[;,]' | tr -d ' ;,' | sed 's/\[.*//'
}
filled() { # filled STRUCT HEADER: a function of src/ that begins one names each member
  cat src/*/*.c | awk "/struct $1 [a-z]* = \{|\(struct $1\)\{/,/^\}/" >"$scratch/said"
  for member in $(members "$1" "$2"); do
    grep -q "\.$member =\( \|$\)" "$scratch/said" || { echo "nobody in src/ fills $member of struct $1 ($2)" >&2; bad=1; }
  done
}
for header in decide/ready.h:wr_ready_input present/chart.h:wr_chart_input decide/basis.h:wr_basis present/page.h:wr_page \
    $(cd include/wetrun && grep -oE '^struct wr_[a-z_]*_result ' present/*_view.h | sed 's/struct //'); do filled "${header#*:}" "${header%:*}"; done
# what is in the report is on its page, not in its JSON alone; the forecast and the prices, which it shows, always are
for id in $(grep -o '\.in_report = [^,]*' $commands | grep -o 'BIT(WR_RESULT_[A-Z_]*' | sed 's/BIT(WR_RESULT_//' | grep -vxE 'FORECAST|PRICES'); do
  grep -q "IF_MADE($id," src/cmd/cmd_report.c || { echo "src/cmd/cmd_report.c does not give the page the result $id, which is in the report" >&2; bad=1; }
done
for member in $(members wr_page present/page.h); do
  grep -q "page->$member\>" src/present/page*.c || { echo "no file of the page looks at $member of struct wr_page" >&2; bad=1; }
done

files=src/cmd/manual/wetrun-files.5.in
sed -n '/define WR_CRITERION_TABLE/,/^$/s/^ *ROW(WR_CRIT_[A-Z_]*, "\([a-z-]*\)", WR_CRITERION_.*/\1/p' \
  include/wetrun/campaign/criteria.h >"$scratch/listed"
n_criterion=$(wc -l <"$scratch/listed")
[ "$n_criterion" -gt 0 ] || { echo "no criteria found in their table" >&2; bad=1; }
while read -r name; do
  grep -q "^ \*   $name  *[^ ]" include/wetrun/campaign/criteria.h || { echo "campaign/criteria.h does not say why $name is as it is" >&2; bad=1; }
done <"$scratch/listed"
for reading in $(sed -n '/define WR_READING_TABLE/,/^$/s/^ *X([A-Z_]*, \([a-z_]*\)).*/\1/p' include/wetrun/stats/three_point.h); do
  grep -qi "\<$reading\>" "$files" || { echo "$files does not name the reading $reading of three points" >&2; bad=1; }
  grep -q "kind !== \"$reading\"" src/present/day_days.js || { echo "day.bend of src/present/day_days.js does not know the reading $reading of three points" >&2; bad=1; }
done
page=src/cmd/manual/wetrun-study.3
grep -ohE 'wr_study_[a-z_]+\(' include/wetrun/study/study.h | tr -d '(' | sort -u >"$scratch/listed"
sed -n 's/^\.Nm \(wr_[a-z_]*\).*/\1/p' "$page" | sort -u >"$scratch/said"
same functions "$page"
# the rooms in the table of DEVELOPERS.md; the files that it names are there
sed -n 's/^[0-9][0-9]* \([a-z]*\)$/\1/p' src/FLOORS >"$scratch/listed"
sed -n 's/^| `\([a-z]*\)\/` |.*/\1/p' DEVELOPERS.md >"$scratch/said"
same rooms "the table of DEVELOPERS.md"
for file in $(grep -oE '`([a-z_]+/)+[A-Za-z_0-9.-]+\.(c|h|js|py|sh|mk|md|spec|[1-7])`' DEVELOPERS.md | tr -d '`' | grep -v NAME | sort -u); do
  [ -e "$file" ] || [ -e "src/$file" ] || [ -e "include/wetrun/$file" ] || { echo "DEVELOPERS.md names $file, which is not there" >&2; bad=1; }
done
# the version stands in two places that cannot read each other
grep -qx "Version: *$(sed -n 's/^VERSION := //p' Makefile)" .ci/wetrun.spec || { echo ".ci/wetrun.spec has another version than the Makefile" >&2; bad=1; }
grep -q "^## $(sed -n 's/^VERSION := \([0-9]*\.[0-9]*\).*/\1/p' Makefile)" src/cmd/manual/changes.md || { echo "changes.md has no section of this version" >&2; bad=1; }
[ "$bad" = 0 ] && echo "lists: $n_command commands, $n_chart charts, $n_criterion criteria are those that are written about"
exit "$bad"
