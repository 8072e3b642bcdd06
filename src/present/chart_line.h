/* A fitted straight line of log minutes on log order, with its 90 % band, as the charts draw it. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/decide/compare.h"

/* The band is half as wide as t s sqrt(1/n + (x - mean x)^2 / Sxx), in which t s / sqrt(Sxx) is half the width of the
 * slope's interval (simple linear regression; from memory of any textbook on it). */
struct chart_line { /* start as {0} */
    bool known;
    double base_log, level_log, slope; /* log minutes; level at order 1 */
    double slope_half, mean_x, sxx_by_n;
    double last_order;
    size_t n;
};

/* One more place in time that the line was fitted to; all of them before chart_line_fit. */
void chart_line_place(struct chart_line *line, double order);
void chart_line_fit(struct chart_line *line, const struct wr_trend *trend, double base_log);

enum chart_side { SIDE_MIDDLE, SIDE_LOW, SIDE_HIGH };
double chart_line_at(const struct chart_line *line, enum chart_side side, double order); /* minutes */
