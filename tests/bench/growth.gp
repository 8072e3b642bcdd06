# Growth of the engine's CPU time; tasks, trials: data files, out: the SVG.
set terminal svg size 900,360 font "sans-serif,12" background "white"
set output out
set multiplot layout 1,2
set logscale xy
set key off
set grid lc rgb "#dddddd"
set format "10^{%T}"
set xlabel "tasks"
set ylabel "CPU seconds per million trials"
plot tasks using 1:3 with linespoints pt 7 lw 2 lc rgb "#1b5e8c"
set xlabel "trials, 40 tasks"
set ylabel "CPU seconds, whole process"
plot trials using 1:2 with linespoints pt 7 lw 2 lc rgb "#1b5e8c"
unset multiplot
