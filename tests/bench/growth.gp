# Growth of CPU time with tasks, trials and rehearsals; tasks, trials, runs: data files, out: the SVG. Inks as in plots/prelude.gp.
# All axes by powers of ten, the upright one the same in all three.
ink = "#14232B"; tide = "#0B4F6C"; stone = "#5F6C74"; foam = "#82B2C4"; line = "#E3ECEF"
set terminal svg size 1080,400 font "DejaVu Sans,12" background "#FFFFFF"
set output out
set multiplot layout 1,3 margins .06,.985,.16,.86 spacing .055
set logscale xy
unset key
unset border
set tics scale 0 textcolor rgb stone
set grid xtics ytics lc rgb line lw 1 lt 1
set format "10^{%T}"
set yrange [.001:10]
set style line 1 lc rgb tide lw 2 pt 7 ps .6
set style line 2 lc rgb foam lw 2 pt 7 ps .6
set style line 3 lc rgb stone lw 2 pt 7 ps .6
set style data linespoints

# Beside the last point of a curve, what it is.
name(file, last, y, text) = sprintf("%s every ::%d::%d using 1:(%s):('%s') with labels left offset .8,0", file, last, last, y, text)
head(what, of) = sprintf("{/:Bold %s}%s: CPU s", what, of)

set xlabel "tasks" textcolor rgb stone
set title head("Tasks", ", plain trials of one plan") textcolor rgb ink
set xrange [8:100000]
NAMES = name("tasks", 7, "$3", "1,000,000 trials") . " tc rgb tide, " . name("tasks", 7, "$4 * $1 * 262144e-9", "262,144 trials") . " tc rgb foam"
plot tasks using 1:3 ls 1, tasks using 1:($4 * $1 * 262144e-9) ls 2, @NAMES

set xlabel "trials"
set title head("Trials", " of 40 tasks, whole process")
set xrange [8000:1.2e8]
plot trials using 1:2 ls 1

set xlabel "rehearsals"
set title head("Rehearsals", " of 40 tasks, whole process")
set xrange [2:80000]
seen(y) = y < .001 ? .001 : y
NAMES = name("runs", 8, "$4", "fit") . " tc rgb tide, " . name("runs", 8, "$5", "forecast") . " tc rgb foam, " . \
  name("runs", 8, "seen($3)", "check") . " tc rgb stone"
plot runs using 1:4 ls 1, runs using 1:5 ls 2, runs using 1:(seen($3)) ls 3, @NAMES
unset multiplot
