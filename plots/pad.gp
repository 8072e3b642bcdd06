# Planned against needed, in minutes. Only what is missing is ember.
# $pads: 1 row, 2 median, 3 needed, 4 planned (NaN: none), 5 short          has_short has_planned
MISSING = has_short ? \
  ", $pads using ($5 == 1 ? $4 : NaN):($1 + mark_drop):($3 - $4):(0) with vectors nohead lw 6 lc rgb ember" : ""
PLANNED = has_planned ? \
  ", $pads using ($5 == 0 ? $3 : NaN):($1 + mark_drop):($4 - $3):(0) with vectors nohead lw 1.2 lc rgb stone" : ""
DIAMOND = has_planned ? \
  ", $pads using 4:($1 + mark_drop) with points pt 13 ps 5.5 * point_per_px lc rgb paper" . \
  ", $pads using 4:($1 + mark_drop) with points pt 12 ps 5.5 * point_per_px lw 1.8 lc rgb ink" : ""
plot @GRID, \
  $pads using 2:($1 + mark_drop):($3 - $2):(0) with vectors nohead lw 1.2 lc rgb stone @MISSING @PLANNED, \
  $pads using 2:($1 + mark_drop - .3 * lens_scale):(0):(.6 * lens_scale) with vectors nohead lw 2 lc rgb ink, \
  $pads using 3:($1 + mark_drop) with points pt 7 ps 5 * point_per_px lc rgb tide @DIAMOND @NOTES
