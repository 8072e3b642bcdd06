# The card for the console: text first, the slack from zero, ten starts as ten marks, a line to write on.
# $slacks: 1 row, 2 minutes from the usual start to the latest, 3 negative (wide only)      has_slack has_lack
# $starts: 1 px, 2 row, 3 too late      $lines: 1 row, 2: it ends in a line to write on      write_px: where the line to write on begins
RULES = "$lines using (margin):($1 + .5):(canvas_width - 2 * margin):(0) axes x2y1 with vectors nohead lw 1 lc rgb line"
STEM = has_slack || has_lack ? \
  ", $slacks using (0):1:2:(0) with vectors nohead lw 2 lc rgb foam" . \
  ", $slacks using (0):($1 - .3):(0):(.6) with vectors nohead lw 2 lc rgb ink" : ""
SLACK = has_slack ? \
  ", $slacks using ($3 == 0 ? $2 : NaN):1 with points pt 7 ps 5 * point_per_px lc rgb tide" : ""
LACK = has_lack ? \
  ", $slacks using ($3 == 1 ? $2 : NaN):1 with points pt 7 ps 5 * point_per_px lc rgb ember" . \
  ", $slacks using ($3 == 1 ? $2 : NaN):1 with points pt 7 ps 2.2 * point_per_px lc rgb paper" : ""
DISC = "pt 7 ps 3.2 * point_per_px lc rgb tide"
RING = "pt 6 ps 3 * point_per_px lw 1.6 lc rgb ember"
UNDER = "nohead lw 1 lc rgb stone"
INTIME = has_in_time ? \
  ", $starts using ($3 == 0 ? $1 : NaN):($2 + mark_drop) axes x2y1 with points " . DISC : ""
LATE = has_late ? \
  ", $starts using ($3 == 1 ? $1 : NaN):($2 + mark_drop) axes x2y1 with points " . RING : ""
WRITE = narrow ? "" : \
  ", $lines using ($2 > 0 ? write_px : NaN):($1 + .36):(canvas_width - margin - write_px):(0) axes x2y1 with vectors " . UNDER
FRAME = narrow ? "" : ", " . GRID
plot @RULES @FRAME @STEM @SLACK @LACK @INTIME @LATE @WRITE @NOTES
