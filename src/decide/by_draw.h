/* Means per posterior draw of something simulated, cleaned of the finite number of days per draw. */
#pragma once

#include <stddef.h>

/* mean[draw] of value[trial], weighted; weight NULL: all 1. Trial i belongs to draw i mod n_draw. The means are then
 * drawn towards their common mean until their variance is what lies between draws: the variance of the means less what
 * the scatter within draws puts into it (the estimate of a variance component by the method of moments). A draw without
 * weight gets the common mean. */
void wr_by_draw_means(const double *value, const double *weight, size_t n_trial, size_t n_draw, double *mean);
