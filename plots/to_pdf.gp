# One page of the canvas's size, a px of the canvas 1/96 inch. Sizes of type are points; the terminal makes fonts larger than asked
# by a third, which fontscale takes back.
font_units_per_px = .75
point_per_px = 1 / 3.0
set terminal pdfcairo size canvas_width / 96.0,canvas_height / 96.0 noenhanced font "DejaVu Sans,9.75" \
  fontscale .75 linewidth .75 pointscale .75 background "#FFFFFF"
