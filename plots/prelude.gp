# The look that all charts share. The program sends numbers and data blocks first, then this file, then the chart's own.
#
# Inks. Data are shades of one blue-green; ember says only "past the limit, missing, cut short". Lanes and groups differ
# by place and shape, never by hue, so that nothing is lost in grey or to a colour-blind reader.
ink = "#14232B"; tide = "#0B4F6C"; stone = "#5F6C74"; ember = "#CC6F14"; foam = "#82B2C4"; mist = "#C6D9E0"
line = "#E3ECEF"; wash = "#EEF4F6"; paper = "#FFFFFF"

set encoding utf8
set datafile separator "\t"
unset key
unset border
unset xtics
unset ytics

# The plot area is the whole canvas. First axes: the chart's data, widened so that data meet the program's px;
# second axes: px from the upper left corner.
set lmargin at screen 0; set rmargin at screen 1; set tmargin at screen 1; set bmargin at screen 0
set xrange [x_at_left : x_at_right] noextend
set yrange [y_at_bottom : y_at_top] noextend
set x2range [0 : canvas_width] noextend
set y2range [canvas_height : 0] noextend
px_x = 1.0 * (x_at_right - x_at_left) / canvas_width  # data per px

# Texts come placed, cut and escaped: style, x, y, text. A style is three times the face plus the alignment.
face_name(f, weight) = sprintf("DejaVu Sans%s,%g", weight, face_px[f + 1] * font_units_per_px)
array face_weight[10] = [":Bold", "", "", ":Bold", "", "", ":Bold", ":Bold", ":Bold", ""]
array face_ink[10]; face_ink[1] = ink; face_ink[2] = stone; face_ink[3] = ink; face_ink[4] = ink; face_ink[5] = stone
face_ink[6] = ink; face_ink[7] = ink; face_ink[8] = ink; face_ink[9] = ink; face_ink[10] = tide
align_name(a) = a == 0 ? "left" : a == 1 ? "center" : "right"
NOTES = ""
do for [s = 0:29] {
  if (exists(sprintf("note_style_%d", s))) {
    NOTES = NOTES . sprintf( \
      ", $notes using ($1 == %d ? $2 : NaN):3:4 axes x2y2 with labels noenhanced %s font '%s' tc rgb '%s'", \
      s, align_name(s % 3), face_name(s / 3, face_weight[s / 3 + 1]), face_ink[s / 3 + 1])
  }
}

# Upright grid lines at $ticks.
GRID = "$ticks using 1:(y_first):(0):(y_last - y_first) with vectors nohead lw 1 lc rgb line"

# The lens: how every forecast spread is drawn. Thin line: 95 of 100; middle: 80; tall: 50; white gap: the median.
# Rows of $rows: 1 row, 2 to 8 the 2.5, 10, 25, 50, 75, 90 and 97.5 % points. Height and lightness say the same twice.
lens_scale = narrow ? .6 : 1
lens_part(from, to, half, colour) = sprintf( \
  "$rows using 5:($1 + mark_drop):%d:%d:($1 + mark_drop - %g):($1 + mark_drop + %g) with boxxyerror lc rgb '%s'", \
  from, to, half * lens_scale, half * lens_scale, colour)
LENS = lens_part(2, 8, .07, foam) . ", " . lens_part(3, 7, .24, foam) . ", " . lens_part(4, 6, .34, tide) . \
  ", $rows using 5:($1 + mark_drop - .36 * lens_scale):(0):(.72 * lens_scale) with vectors nohead lw 2.5 lc rgb paper"

set style fill solid noborder
