/* Maximum-likelihood fit of one family to the times of one task.
 * Maximises  sum[done] log f(t) + sum[stopped] log S(t),  S = 1 - F: a stopped time is a lower bound
 * (right-censored), never a duration. Pure: the same arguments give the same bits, and times in another unit give the
 * same shape. Source: Lawless (2003), Statistical Models and Methods for Lifetime Data, 2nd ed., ch. 2 and 5
 * (from memory); concavity in (1/scale, location/scale): Burridge (1981), JRSS B 43, 41-45 (from memory).
 *
 * When there is a maximum. One completed time is enough if some stopped time lies above it; otherwise the completed
 * times must differ (by more than 1e-9 of their size: clock arithmetic leaves dust). With equal completed times and
 * nothing stopped above them the likelihood grows without bound as the spread goes to 0; with stopped times alone it
 * grows as the median goes to infinity. The inverse Gaussian may in addition want an infinite mean. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/family.h"

enum wr_seen { WR_SEEN_DONE, WR_SEEN_STOPPED };

struct wr_fit { /* a plain value: copy it freely, nothing to release */
    struct wr_law law;
    double loglik;        /* natural log; densities of the durations themselves, per minute */
    struct wr_maybe aicc; /* Akaike's criterion, corrected; n counts stopped times too; unknown for n <= 3 */
    size_t n_done, n_stopped;
};

/* time_min[n]: any order; seen[n], or NULL when all were completed. On WR_OK fills *fit, otherwise leaves it alone:
 *   WR_E_DOMAIN       a time is not finite or not > 0
 *   WR_E_TOO_FEW      fewer than two times
 *   WR_E_NO_MAXIMUM   see above; the message says which of the reasons
 *   WR_E_NO_CONVERGE  the search stopped short; no half-finished estimate comes back */
WR_MUST_CHECK enum wr_status wr_censored_fit(enum wr_family family, const double *time_min, const enum wr_seen *seen,
                                             size_t n, struct wr_fit *fit, struct wr_error *err);

/* The function that wr_censored_fit maximises, at any law. */
double wr_censored_loglik(const struct wr_law *law, const double *time_min, const enum wr_seen *seen, size_t n);
