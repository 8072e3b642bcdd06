# A hundred forecast finishes. Every dot is one hundredth; bins begin at the limit, so no dot straddles it.
# $dots: 1 minutes, 2 px, 3 past the limit       $rows: one row, the lens of the finish
# $marks: 1 minutes, 2 px above, 3 px below: the percentiles that are named
# dot_px: distance of dots; base_px, lens_px: middle of the ground line and of the lens; limit, limit_top_px
radius = dot_px * .44 * point_per_px
bar(from, to, half, colour) = sprintf( \
  "$rows using 5:(lens_px):%d:%d:(lens_px - %g):(lens_px + %g) axes x1y2 with boxxyerror lc rgb '%s'", \
  from, to, half, half, colour)
WHOLE = bar(2, 8, 1.5, foam) . ", " . bar(3, 7, 6, foam) . ", " . bar(4, 6, 9, tide)
set arrow 1 from first x_first, second base_px to first x_last, second base_px nohead lw 1 lc rgb stone
if (exists("limit")) {
  set arrow 2 from first limit, second limit_top_px to first limit, second lens_px + 13 nohead lw 2 lc rgb ink front
}
INSIDE = has_inside ? ", $dots using ($3 == 0 ? $1 : NaN):2 axes x1y2 with points pt 7 ps radius lc rgb tide" : ""
OVER = has_over ? \
  ", $dots using ($3 == 1 ? $1 : NaN):2 axes x1y2 with points pt 7 ps radius lc rgb ember" . \
  ", $dots using ($3 == 1 ? $1 : NaN):2 axes x1y2 with points pt 7 ps radius * .45 lc rgb paper" : ""
plot @WHOLE @INSIDE @OVER, \
  $rows using 5:(lens_px - 10):(0):(20) axes x1y2 with vectors nohead lw 2.5 lc rgb paper, \
  $marks using 1:2:(0):($3 - $2) axes x1y2 with vectors nohead lw 1 lc rgb stone @NOTES
