# Finish of every rehearsal, the trend, and the forecast for the next one. y is minutes, upwards.
# $levels: minutes of the level lines     $runs: 1 place, 2 minutes, 3 kind (0 first line-up, 1 second; 2, 3 incomplete)
# $trend: 1 place, 2 minutes, 3 and 4 what the data leave open (90 %)    has_trend; has_first has_second has_short has_short_second
# $rows: one row, 1 place of the next, 2 to 8 its lens; has_next      limit_level: minutes, if one was given
LEVELS = "$levels using (x_first):1:(x_last - x_first):(0) with vectors nohead lw 1 lc rgb line"
shown(y) = y < y_first ? y : NaN
TREND = has_trend ? \
  ", $trend using 1:3:4 with filledcurves lc rgb wash" . \
  ", $trend using 1:(shown($3)) with lines lw 1.2 dt 2 lc rgb stone" . \
  ", $trend using 1:(shown($4)) with lines lw 1.2 dt 2 lc rgb stone" . \
  ", $trend using 1:(shown($2)) with lines lw 2.5 lc rgb tide" : ""
upright(from, to, half_px, colour) = sprintf( \
  ", $rows using 1:5:($1 - %g * px_x):($1 + %g * px_x):%d:%d with boxxyerror lc rgb '%s'", \
  half_px, half_px, from, to, colour)
NEXT = has_next ? upright(2, 8, 1.5, foam) . upright(3, 7, 6, foam) . upright(4, 6, 9, tide) . \
  ", $rows using ($1 - 10 * px_x):5:(20 * px_x):(0) with vectors nohead lw 2.5 lc rgb paper" : ""
FIRST = has_first ? ", $runs using ($3 == 0 ? $1 : NaN):2 with points pt 7 ps 5 * point_per_px lc rgb ink" : ""
SECOND = has_second ? \
  ", $runs using ($3 == 1 ? $1 : NaN):2 with points pt 7 ps 5 * point_per_px lc rgb paper" . \
  ", $runs using ($3 == 1 ? $1 : NaN):2 with points pt 6 ps 5 * point_per_px lw 1.8 lc rgb ink" : ""
SHORT = has_short ? ", $runs using ($3 == 2 ? $1 : NaN):2 with points pt 9 ps 6.5 * point_per_px lc rgb ember" : ""
OPEN = has_short_second ? \
  ", $runs using ($3 == 3 ? $1 : NaN):2 with points pt 9 ps 6.5 * point_per_px lc rgb paper" . \
  ", $runs using ($3 == 3 ? $1 : NaN):2 with points pt 8 ps 6.5 * point_per_px lw 1.8 lc rgb ember" : ""
if (exists("limit_level")) {
  set arrow 1 from x_first, limit_level to x_last, limit_level nohead lw 2 lc rgb ink front
}
plot @LEVELS @TREND @NEXT @FIRST @SECOND @SHORT @OPEN @NOTES
