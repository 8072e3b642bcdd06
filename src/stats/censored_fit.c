#include "wetrun/stats/censored_fit.h"

#include <math.h>
#include "family_row.h"
#include "wetrun/base/memory.h"

#define EQUAL_TIMES 1e-9 /* relative difference below which completed times count as one and the same */

static bool is_done(const enum wr_seen *seen, size_t i)
{
    return !seen || seen[i] == WR_SEEN_DONE;
}

double wr_censored_loglik(const struct wr_law *law, const double *time_min, const enum wr_seen *seen, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += is_done(seen, i) ? wr_law_log_pdf(law, time_min[i]) : wr_law_log_sf(law, time_min[i]);
    return sum;
}

/* Reasons that hold for every family. */
static enum wr_status check_sample(const double *time_min, const enum wr_seen *seen, size_t n, struct wr_error *err)
{
    double least = INFINITY, most = 0, longest_stop = 0;
    size_t n_done = 0;

    if (n < 2) return wr_fail(err, WR_E_TOO_FEW, "%zu time%s: no spread to estimate", n, n == 1 ? "" : "s");
    for (size_t i = 0; i < n; i++) {
        double t = time_min[i];
        if (!isfinite(t) || !(t > 0))
            return wr_fail(err, WR_E_DOMAIN, "time %zu is %g: not above 0 and finite", i + 1, t);
        if (is_done(seen, i)) {
            n_done++;
            least = fmin(least, t);
            most = fmax(most, t);
        } else {
            longest_stop = fmax(longest_stop, t);
        }
    }
    if (!n_done)
        return wr_fail(err, WR_E_NO_MAXIMUM, "all %zu were stopped: the longer the durations the likelier, without end",
                       n);
    if (most - least > EQUAL_TIMES * most || longest_stop > most * (1 + EQUAL_TIMES)) return WR_OK;
    return wr_fail(err, WR_E_NO_MAXIMUM,
                   n_done == 1 ? "one completed time and none stopped above it: no spread to estimate"
                               : "all completed times are equal and none stopped above them: no spread to estimate");
}

/* --- families with a location and a scale on log t: lognormal, Weibull, log-logistic ---
 * z = slope y - shift. In (shift, slope) the log-likelihood of a log-concave density is concave, censored values
 * included, so Newton with halved steps finds the one maximum from anywhere. */

struct concave_shape {
    double value, da, db, daa, dab, dbb; /* a shift, b slope */
};

static struct concave_shape log_scale_shape(const struct fit_terms *k, const struct fit_sample *s, double a, double b)
{
    struct concave_shape g = {0};

    for (size_t i = 0; i < s->n; i++) {
        double y = s->y[i], z = b * y - a;
        struct fit_term p = is_done(s->seen, i) ? k->density(z) : k->survival(z);
        g.value += p.value;
        g.da -= p.d1;
        g.db += p.d1 * y;
        g.daa += p.d2;
        g.dab -= p.d2 * y;
        g.dbb += p.d2 * y * y;
    }
    double d = (double)s->n_done;
    g.value += d * log(b);
    g.db += d / b;
    g.dbb -= d / (b * b);
    return g;
}

bool wr_fit_log_scale(const struct fit_terms *k, const struct fit_sample *s, double *location, double *scale)
{
    double most = 0, a = 0, b;

    for (size_t i = 0; i < s->n; i++) most = fmax(most, fabs(s->y[i]));
    b = 2 / most;
    struct concave_shape g = log_scale_shape(k, s, a, b);
    for (int round = 0; round < 200; round++) {
        double det = g.daa * g.dbb - g.dab * g.dab, share = 1;
        if (!(det > 0)) return false;
        double step_a = (g.dab * g.db - g.dbb * g.da) / det, step_b = (g.dab * g.da - g.daa * g.db) / det;
        double gain = step_a * g.da + step_b * g.db; /* Newton decrement: twice what is still to be had */
        if (gain < 1e-9 && b + step_b > 0) {         /* quadratic by now: the last step leaves less than its square */
            a += step_a;
            b += step_b;
            *location = a / b;
            *scale = 1 / b;
            return isfinite(a) && isfinite(b);
        }
        for (;; share *= 0.5) {
            if (share < 1e-12) return false;
            if (!(b + share * step_b > 0)) continue;
            struct concave_shape next = log_scale_shape(k, s, a + share * step_a, b + share * step_b);
            if (next.value >= g.value + 1e-4 * share * gain) {
                a += share * step_a;
                b += share * step_b;
                g = next;
                break;
            }
        }
    }
    return false;
}

bool wr_fit_power(const struct fit_terms *k, const struct fit_sample *s, double *par)
{
    double location, scale;
    if (!wr_fit_log_scale(k, s, &location, &scale)) return false;
    par[0] = 1 / scale;
    par[1] = exp(location);
    return true;
}

double wr_fit_mean(const struct fit_sample *s)
{
    double sum = 0;
    for (size_t i = 0; i < s->n; i++) sum += s->time[i];
    return sum / (double)s->n;
}

double wr_fit_loglik(enum wr_family family, const struct fit_sample *s, double par0, double par1)
{
    struct wr_law law = {family, {par0, par1}};
    return wr_censored_loglik(&law, s->time, s->seen, s->n);
}

/* From the sample's unit. */
static void to_minutes(struct wr_law *law, double log_unit)
{
    for (int i = 0; i < WR_MOST_PARAMETERS; i++) {
        switch (wr_family_row(law->family)->parameter[i].unit) {
        case PAR_PLAIN: break;
        case PAR_MIN: law->par[i] *= exp(log_unit); break;
        case PAR_PER_MIN: law->par[i] /= exp(log_unit); break;
        case PAR_LOG_MIN: law->par[i] += log_unit; break;
        }
    }
}

/* time and y: room for n values each */
static struct fit_sample scaled_sample(const double *time_min, const enum wr_seen *seen, size_t n, double *time,
                                       double *y)
{
    struct fit_sample s = {.time = time, .y = y, .seen = seen, .n = n};

    for (size_t i = 0; i < n; i++) {
        y[i] = log(time_min[i]);
        if (!is_done(seen, i)) continue;
        s.n_done++;
        s.log_unit += y[i];
    }
    s.log_unit /= (double)s.n_done;
    for (size_t i = 0; i < n; i++) {
        y[i] -= s.log_unit;
        time[i] = exp(y[i]);
    }
    return s;
}

static enum wr_status fit_sample(enum wr_family family, const struct fit_sample *s, struct wr_law *law,
                                 struct wr_error *err)
{
    const struct family_row *row = wr_family_row(family);

    law->family = family;
    bool found = row->fit(s, law->par);
    double loglik = found && row->no_maximum ? wr_fit_loglik(family, s, law->par[0], law->par[1]) : -INFINITY;
    const char *why = row->no_maximum ? row->no_maximum(s, loglik) : NULL;
    if (why) return wr_fail(err, WR_E_NO_MAXIMUM, "%s", why);
    if (!found) return wr_fail(err, WR_E_NO_CONVERGE, "the search for the %s fit did not settle", row->name);
    return WR_OK;
}

enum wr_status wr_censored_fit(enum wr_family family, const double *time_min, const enum wr_seen *seen, size_t n,
                               struct wr_fit *fit, struct wr_error *err)
{
    WR_BUG_IF((unsigned)family >= WR_N_FAMILY);
    enum wr_status status = check_sample(time_min, seen, n, err);
    if (status != WR_OK) return status;

    WR_SCOPED double *room = WR_NEW_ARRAY(double, 2 * n);
    struct fit_sample s = scaled_sample(time_min, seen, n, room, room + n);
    struct wr_law law = {0};
    status = fit_sample(family, &s, &law, err);
    if (status == WR_OK) {
        to_minutes(&law, s.log_unit);
        double loglik = wr_censored_loglik(&law, time_min, seen, n), k = wr_family_n_parameter(family);
        double spare = (double)n - k - 1;
        struct wr_maybe aicc = spare > 0 ? wr_known(2 * k * (1 + (k + 1) / spare) - 2 * loglik) : WR_UNKNOWN;
        *fit = (struct wr_fit){law, loglik, aicc, s.n_done, n - s.n_done};
    }
    return status;
}
