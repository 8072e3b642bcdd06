/* Special functions that GSL lacks, or gives only where they do not underflow. */
#pragma once

/* log of the standard normal distribution function; accurate in both tails, finite down to x = -1e150. */
double wr_log_normal_cdf(double x);
double wr_log_normal_pdf(double x, double sd); /* mean 0 */

/* Standard normal density over upper tail, phi(x) / (1 - Phi(x)); 0 far to the left. */
double wr_normal_hazard(double x);

double wr_normal_quantile(double prob); /* 0 < prob < 1 */
double wr_t_quantile(double prob, double df);

/* log Q(shape, x), Q the regularised upper incomplete gamma function; shape > 0, x >= 0. Beyond the reach of doubles
 * Q itself is 0 while its log is an ordinary number: there by the continued fraction of Legendre
 * (Abramowitz and Stegun 6.5.31). */
double wr_log_gamma_q(double shape, double x);

/* Quantile of the beta distribution, 0 < prob < 1, shapes from 0.1 up; holds where GSL's own inverse gives no number
 * (shapes like 4 and 1e5). */
double wr_beta_quantile(double prob, double a, double b);
