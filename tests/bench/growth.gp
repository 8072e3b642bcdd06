# Growth of CPU time with tasks, trials and rehearsals; tasks, trials, runs: data files, out: the SVG. Both axes by powers of ten.
ink = "#14232B"; tide = "#0B4F6C"; stone = "#5F6C74"; foam = "#82B2C4"; line = "#E3ECEF"
set terminal svg size 1080,380 font "DejaVu Sans,12" background "#FFFFFF"
set output out
set multiplot layout 1,3 margins .06,.97,.16,.84 spacing .07
set logscale xy
unset key
unset border
set tics scale 0 textcolor rgb stone
set grid xtics ytics lc rgb line lw 1 lt 1
set format "10^{%T}"
set style line 1 lc rgb tide lw 2 pt 7 ps .6
set style line 2 lc rgb foam lw 2 pt 7 ps .6
set style line 3 lc rgb stone lw 2 pt 7 ps .6
set title "{/:Bold Tasks}, one million trials: CPU s" textcolor rgb ink
plot tasks using 1:3 with linespoints ls 1
set title "{/:Bold Trials} of 40 tasks: CPU s" textcolor rgb ink
plot trials using 1:2 with linespoints ls 1
set title "{/:Bold Rehearsals} of 40 tasks: CPU s" textcolor rgb ink
set xrange [2:100000]
name(column, text) = sprintf("runs every ::8::8 using 1:%d:('%s') with labels left offset .8,0", column, text)
NAMES = name(4, "fit") . " tc rgb tide, " . name(5, "forecast") . " tc rgb foam, " . name(3, "check") . " tc rgb stone"
plot runs using 1:4 with linespoints ls 1, runs using 1:5 with linespoints ls 2, \
  runs using 1:($3 < .001 ? .001 : $3) with linespoints ls 3, @NAMES
unset multiplot
