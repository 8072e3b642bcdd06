# Rehearsal times of each task on the model's spread. x is the logarithm (base 10) of minutes.
# $rows: 1 row, 2 to 8 the lens     $runs (there may be none): 1 time, 2 row, 3 stopped, so at least this long
RUNS = has_done ? \
  ", $runs using ($3 == 0 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps 3.4 * point_per_px lc rgb paper" . \
  ", $runs using ($3 == 0 ? $1 : NaN):($2 + mark_drop) with points pt 6 ps 3.2 * point_per_px lw 1.3 lc rgb ink" : ""
STOPPED = has_stopped ? \
  ", $runs using ($3 == 1 ? $1 : NaN):($2 + mark_drop):(26 * px_x):(0) with vectors nohead lw 2 lc rgb ember" . \
  ", $runs using ($3 == 1 ? $1 : NaN):($2 + mark_drop) with points pt 9 ps 5 * point_per_px lc rgb ember" : ""
plot @GRID, @LENS @RUNS @STOPPED @NOTES
