# Vector output. px of the canvas are px here; a point of size 1 has a radius of 0.375 of the font size.
font_units_per_px = 1
point_per_px = 1 / 4.875
set terminal svg size canvas_width,canvas_height dynamic noenhanced font "DejaVu Sans,13"
