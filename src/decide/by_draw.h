/* Means per posterior draw of something simulated, cleaned of the finite number of days per draw. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* mean[draw] of value[trial]; trial i belongs to draw i mod n_draw. The means are then drawn towards their common mean
 * until their variance is what lies between draws: the variance of the means less what the scatter within draws puts
 * into it (the estimate of a variance component by the method of moments). Where that would be most of it, what is left
 * is as much chance, and the means stay as they are: spread too wide, never falsely narrow; then true comes back.
 * n_trial >= n_draw. */
bool wr_by_draw_means(const double *value, size_t n_trial, size_t n_draw, double *mean);
