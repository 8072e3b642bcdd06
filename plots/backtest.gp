# Forecasts made without a rehearsal, and what it then did. x is minutes.
# $rows: 1 row, 2 to 8 the lens      $happened: 1 minutes, 2 row, 3 outside the 80       has_inside has_outside
INSIDE = has_inside ? \
  ", $happened using ($3 == 0 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps 5 * point_per_px lc rgb ink" : ""
OUTSIDE = has_outside ? \
  ", $happened using ($3 == 1 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps 5 * point_per_px lc rgb ember" . \
  ", $happened using ($3 == 1 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps 2.2 * point_per_px lc rgb paper" : ""
plot @GRID, @LENS, \
  $happened using 1:($2 + mark_drop) with points pt 7 ps 6.2 * point_per_px lc rgb paper @INSIDE @OUTSIDE @NOTES
