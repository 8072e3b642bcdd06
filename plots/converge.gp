# Single tasks over the rehearsals, in panels. The program lays the panels out: x and y are px of the plot area, y down.
# $levels: 1 and 2 where a level line begins, 3 its length     $done, $stopped: 1 and 2 where a time stands
# $trend: 1 x, 2 line, 3 and 4 what the data leave open (90 %), cut at the panel; 5 to 7 the same, NaN outside of it; a blank
# line between panels    has_trend has_done has_stopped
LEVELS = "$levels using 1:2:3:(0) with vectors nohead lw 1 lc rgb line"
TREND = has_trend ? \
  ", $trend using 1:3:4 with filledcurves lc rgb wash" . \
  ", $trend using 1:6 with lines lw 1.2 dt 2 lc rgb stone, $trend using 1:7 with lines lw 1.2 dt 2 lc rgb stone" . \
  ", $trend using 1:5 with lines lw 2.5 lc rgb tide" : ""
DONE = has_done ? \
  ", $done using 1:2 with points pt 7 ps 3.6 * point_per_px lc rgb paper" . \
  ", $done using 1:2 with points pt 6 ps 3.6 * point_per_px lw 1.5 lc rgb ink" : ""
STOPPED = has_stopped ? ", $stopped using 1:2 with points pt 9 ps 5.5 * point_per_px lc rgb ember" : ""
plot @LEVELS @TREND @DONE @STOPPED @NOTES
