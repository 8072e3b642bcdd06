/* The skew-normal law of log minutes: location + A (|h| - C0) + B z with h, z standard normal, C0 = E|h| = sqrt(2/pi);
 * mean = location, sd^2 = A^2 (1 - C0^2) + B^2. Azzalini (1985), Scandinavian Journal of Statistics 12, 171-178.
 * The model's error of a task is such a law, standardised: e = (rho (|h| - C0) + sqrt(1 - rho^2) z) / unit(rho), -1 <
 * rho < 1. */
#pragma once

#include <math.h>

#define WR_SKEW_C0 0.79788456080286535588

static inline double wr_skew_unit(double rho)
{
    double c = WR_SKEW_C0 * rho;

    return sqrt(1.0 - c * c);
}

static inline double wr_skew_error(double rho, double h, double z)
{
    return (rho * (fabs(h) - WR_SKEW_C0) + sqrt(1.0 - rho * rho) * z) / wr_skew_unit(rho);
}

/* Of sd e: log density, and log P(more) with the half-normal part summed over 32 midpoints. */
double wr_skew_error_log_pdf(double x, double sd, double rho);
double wr_skew_error_log_tail(double x, double sd, double rho);

struct wr_skew_normal { double location, a, b; /* b > 0 */ };

/* From mean and sd of an error with skewness parameter rho, and an independent normal part of variance more. */
struct wr_skew_normal wr_skew_normal_of(double mean, double sd, double rho, double more);
double wr_skew_normal_cdf(const struct wr_skew_normal *s, double y);
double wr_skew_normal_pdf(const struct wr_skew_normal *s, double y);
/* E exp(power y): the mean of minutes for power 1, of their squares for power 2. */
double wr_skew_normal_moment(const struct wr_skew_normal *s, double power);

/* Owen's T(h, a) = 1/(2 pi) int_0^a exp(-h^2 (1 + x^2)/2) / (1 + x^2) dx; absolute error below 1e-14. */
double wr_owen_t(double h, double a);
