/* A quantity that was estimated once for each posterior draw: its mean, its spread over draws freed of what is only
 * noise of the estimation, and the errors of all that. Private to the room. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/sim/forecast.h"

/* Means over draws and replicates of what[draw * WR_REPLICATES + replicate]. */
struct wr_spread {
    double mean;
    double point_error;     /* of the mean, from the finite number of points: the spread of the replicates' means */
    double draw_error;      /* from the finite number of draws: batch means, less the points' share in them */
    double between, within; /* variance of the draws' means, and how much of it is noise of the points */
};
/* known: the draws do not differ, and what they seem to differ by is noise. by_draw[n_draw]: means over replicates. */
struct wr_spread wr_spread_over(const double *what, size_t n_draw, bool known, double *by_draw);

/* Where all draws met the same points: takes out of what[] by how much the replicates differ in all draws alike, which
 * is no noise between draws. Their means stay. */
void wr_level_replicates(double *what, size_t n_draw);

/* The stated probability with its interval and errors. by_draw[n_draw]: per draw, pulled together by as much as the
 * replicates disagree. */
void wr_probability_over(struct wr_probability *p, const double *what, size_t n_draw, bool known, double *by_draw);

/* One quantity per draw, estimated twice from points of their own: a[j] becomes their mean, pulled towards the mean
 * over draws so far that its variance is what the two have in common. Returns that mean. */
double wr_reconcile_halves(double *a, const double *b, size_t n_draw, bool known);
