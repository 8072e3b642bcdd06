# Every excursion of a series: its finish with what is carried on to it, and its limit. x is minutes.
# $rows: 1 row, 2 to 8 the lens      $limits, $without: 1 minutes, 2 row      has_limit
LIMITS = has_limit ? \
  ", $limits using 1:($2 + mark_drop - .4 * lens_scale):(0):(.8 * lens_scale) with vectors nohead lw 5 lc rgb ember" : ""
plot @GRID, @LENS @LIMITS, \
  $without using 1:($2 + mark_drop) with points pt 7 ps 5.6 * point_per_px lc rgb ink, \
  $without using 1:($2 + mark_drop) with points pt 7 ps 3 * point_per_px lc rgb paper @NOTES
