# Pixels, one and a half for each px of the canvas, so that charts stay sharp on paper and slides. Sizes of type are
# points at 96 dpi here; a point of size 1 has a radius of about 3 px.
sharpness = 1.5
font_units_per_px = .75
point_per_px = 1 / 3.0
set terminal pngcairo size canvas_width * sharpness,canvas_height * sharpness noenhanced font "DejaVu Sans,9.75" \
  fontscale sharpness linewidth sharpness pointscale sharpness background "#FFFFFF"
