# Every lane as a course that sinks through its tasks while time runs right. A row's upper edge is the spread of the
# start, its lower edge that of the end: flat is long, a step to the right is waiting.
# $band: quadrilaterals with a blank line between, 1 minutes, 2 row, 3 level (0, 1, 2: 95, 80, 50 of 100)
# $course: the median, two points for each task: 1 minutes, 2 row, 3 shared by several lanes
# $waits: two points for each wait (there may be none): 1 minutes, 2 row        limit
shade(level, colour) = sprintf( \
  "$band using ($3 == %d ? $1 : NaN):2 with filledcurves closed lc rgb '%s'", level, colour)
COURSE = shade(0, mist) . ", " . shade(1, foam) . ", " . shade(2, tide)
WAITS = has_waits ? \
  ", $waits using 1:2 with lines lw 6 lc rgb tide" . \
  ", $waits using 1:2 with lines lw 2.4 dt 3 lc rgb paper" : ""
SHARED = has_shared ? \
  ", $course using ($3 == 1 ? $1 : NaN):2 with points pt 7 ps 4.5 * point_per_px lc rgb paper" . \
  ", $course using ($3 == 1 ? $1 : NaN):2 with points pt 6 ps 4.5 * point_per_px lw 1.6 lc rgb ink" : ""
if (exists("limit")) {
  set arrow 1 from first limit, second limit_top_px to first limit, first y_last nohead lw 2 lc rgb ink front
}
plot @GRID, @COURSE, \
  $course using 1:2 with lines lw 4 lc rgb tide, $course using 1:2 with lines lw 1.6 lc rgb paper @WAITS @SHARED @NOTES
