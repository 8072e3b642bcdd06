#include "chart_line.h"

#include <math.h>

void chart_line_place(struct chart_line *line, double order)
{
    double x = log(order), n = (double)++line->n;

    line->last_order = fmax(line->last_order, order);
    line->sxx_by_n += (x - line->mean_x) * (x - line->mean_x) * (n - 1) / n; /* the sum, until chart_line_fit */
    line->mean_x += (x - line->mean_x) / n;
}

void chart_line_fit(struct chart_line *line, const struct wr_trend *trend, double base_log)
{
    line->sxx_by_n /= (double)line->n;
    line->base_log = base_log;
    line->level_log = trend->level_log;
    line->slope = trend->slope_log;
    line->slope_half = (trend->hi - trend->lo) / 2;
    line->known = true;
}

double chart_line_at(const struct chart_line *line, enum chart_side side, double order)
{
    double x = log(order), from_mean = x - line->mean_x;
    double half = line->slope_half * sqrt(line->sxx_by_n + from_mean * from_mean);
    double y = line->base_log + line->level_log + line->slope * x;

    return exp(side == SIDE_LOW ? y - half : side == SIDE_HIGH ? y + half : y);
}
