# Who carries the finish-time variance: one mark for each hundredth, counted from zero.
# $dots: 1 x (the middle of its hundredth), 2 row, 3 kind (0 a task, 1 one of the strongest, 2 shared by all tasks)
# mark_px: radius of a mark; split_row: the row that parts tasks from what they share, if there is that
if (exists("split_row")) {
  set arrow 1 from second margin, first split_row - .42 to second canvas_width - margin, first split_row - .42 \
    nohead lw 1 dt 3 lc rgb stone
}
size(factor) = mark_px * point_per_px * factor
STRONGEST = has_strongest ? \
  ", $dots using ($3 == 1 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps size(1.15) lc rgb tide" : ""
OTHERS = has_others ? \
  ", $dots using ($3 == 0 ? $1 : NaN):($2 + mark_drop) with points pt 7 ps size(.8) lc rgb foam" . \
  ", $dots using ($3 == 0 ? $1 : NaN):($2 + mark_drop) with points pt 6 ps size(.8) lw 1 lc rgb stone" : ""
SHARED = has_shared ? \
  ", $dots using ($3 == 2 ? $1 : NaN):($2 + mark_drop) with points pt 4 ps size(.85) lw 1.6 lc rgb ink" : ""
plot @GRID @STRONGEST @OTHERS @SHARED @NOTES
