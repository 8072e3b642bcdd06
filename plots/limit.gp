# How many of a hundred pass a limit, against that limit, with what the rehearsals leave open.
# $curve: 1 minutes, 2 of 100, 3 and 4 the 90 % interval by all answers, 5 of 100 by the worst one
# $levels: of 100      $ticks: minutes      wanted: at most so many of 100 (if said)
# limit, $bracket: the excursion limit and its forecast, 1 minutes, 2 end of the interval, 3 of 100; two rows, two more
# if has_worst
LEVELS = "$levels using (x_first):1:(x_last - x_first):(0) with vectors nohead lw 1 lc rgb line"
BRACKET = ""
if (exists("limit")) {
  set arrow 1 from limit, y_first to limit, y_last nohead lw 2 lc rgb ink front
  BRACKET = ", $bracket using ($1 - 5 * px_x):2:(10 * px_x):(0) with vectors nohead lw 2 lc rgb ink" . \
    ", $bracket using ($0 == 0 ? $1 : NaN):3 with points pt 7 ps 6 * point_per_px lc rgb ink"
  if (has_worst > 0) {
    BRACKET = BRACKET . ", $bracket using ($0 == 2 ? $1 : NaN):3 with points pt 6 lw 1.5 ps 6 * point_per_px lc rgb ink"
  }
}
if (exists("wanted")) {
  set arrow 2 from x_first, wanted to x_last, wanted nohead lw 1.5 dt 4 lc rgb ember front
}
plot @LEVELS, \
  $curve using 1:3:4 with filledcurves lc rgb wash, \
  $curve using 1:3 with lines lw 1.2 dt 2 lc rgb stone, $curve using 1:4 with lines lw 1.2 dt 2 lc rgb stone, \
  $curve using 1:5 with lines lw 1.2 lc rgb tide, \
  $curve using 1:2 with lines lw 3 lc rgb tide @BRACKET @NOTES
