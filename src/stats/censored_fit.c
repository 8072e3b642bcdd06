#include "wetrun/stats/censored_fit.h"

#include <gsl/gsl_sf_psi.h>
#include <math.h>
#include <stdbool.h>
#include "surface.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"

#define EQUAL_TIMES 1e-9 /* relative difference below which completed times count as one and the same */

struct sample { /* times divided by the geometric mean of the completed ones: the fit then knows no unit */
    const double *time; /* scaled */
    const double *y;    /* log of the scaled times */
    const enum wr_seen *seen;
    size_t n, n_done;
    double log_unit;
};

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

struct kernel_part {
    double value, d1, d2; /* of log density or log survival, in z */
};

static struct kernel_part normal_density(double z)
{
    return (struct kernel_part){-0.5 * z * z - 0.5 * log(2 * M_PI), -z, -1};
}
static struct kernel_part normal_survival(double z)
{
    double h = wr_normal_hazard(z);
    return (struct kernel_part){wr_log_normal_cdf(-z), -h, -h * (h - z)};
}
static struct kernel_part least_value_density(double z) /* smallest extreme value: log of a Weibull time */
{
    double e = exp(z);
    return (struct kernel_part){z - e, 1 - e, -e};
}
static struct kernel_part least_value_survival(double z)
{
    double e = exp(z);
    return (struct kernel_part){-e, -e, -e};
}
static struct kernel_part logistic_survival(double z)
{
    double q = 1 / (1 + exp(-z));
    return (struct kernel_part){z > 0 ? -z - log1p(exp(-z)) : -log1p(exp(z)), -q, -q * (1 - q)};
}
static struct kernel_part logistic_density(double z)
{
    struct kernel_part s = logistic_survival(z);
    return (struct kernel_part){z + 2 * s.value, 1 + 2 * s.d1, 2 * s.d2};
}

struct kernel {
    struct kernel_part (*density)(double), (*survival)(double);
};

struct concave_shape {
    double value, da, db, daa, dab, dbb; /* a shift, b slope */
};

static struct concave_shape log_scale_shape(const struct kernel *k, const struct sample *s, double a, double b)
{
    struct concave_shape g = {0};

    for (size_t i = 0; i < s->n; i++) {
        double y = s->y[i], z = b * y - a;
        struct kernel_part p = is_done(s->seen, i) ? k->density(z) : k->survival(z);
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

/* Fills location and scale of log t, in the sample's unit. */
static bool fit_log_scale(const struct kernel *k, const struct sample *s, double *location, double *scale)
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

static bool fit_lognormal(const struct sample *s, double *par)
{
    static const struct kernel normal = {normal_density, normal_survival};
    return fit_log_scale(&normal, s, &par[0], &par[1]);
}

static bool fit_power(const struct kernel *k, const struct sample *s, double par[2]) /* par = shape, scale */
{
    double location, scale;
    if (!fit_log_scale(k, s, &location, &scale)) return false;
    par[0] = 1 / scale;
    par[1] = exp(location);
    return true;
}

static bool fit_weibull(const struct sample *s, double *par)
{
    static const struct kernel least_value = {least_value_density, least_value_survival};
    return fit_power(&least_value, s, par);
}

static bool fit_loglogistic(const struct sample *s, double *par)
{
    static const struct kernel logistic = {logistic_density, logistic_survival};
    return fit_power(&logistic, s, par);
}

/* --- gamma and inverse Gaussian: one equation when complete, a surface in (log mean, log shape) when censored --- */

static double mean_of_times(const struct sample *s)
{
    double sum = 0;
    for (size_t i = 0; i < s->n; i++) sum += s->time[i];
    return sum / (double)s->n;
}

/* log shape - digamma(shape) and its derivative in log shape; from 50 up by the series, which does not cancel */
static double log_less_digamma(double shape, double *slope)
{
    if (shape > 50) { /* Abramowitz and Stegun 6.3.18 */
        double r = 1 / shape, s = r * r;
        *slope = -r * (0.5 + r * (1.0 / 6 - s * (1.0 / 30 - s * (1.0 / 42 - s / 30))));
        return r * (0.5 + r * (1.0 / 12 - s * (1.0 / 120 - s * (1.0 / 252 - s / 240))));
    }
    *slope = 1 - shape * gsl_sf_psi_1(shape);
    return log(shape) - gsl_sf_psi(shape);
}

static bool fit_gamma_complete(const struct sample *s, double *par)
{
    double mean = mean_of_times(s), gap = 0, slope;

    /* log of the mean - mean of the logs, from the relative deviations: they sum to 0 */
    for (size_t i = 0; i < s->n; i++) gap -= log1p((s->time[i] - mean) / mean);
    gap /= (double)s->n;
    if (!(gap > 0)) return false;
    double shape = (3 - gap + sqrt((gap - 3) * (gap - 3) + 24 * gap)) / (12 * gap);
    for (int round = 0; round < 100; round++) { /* Newton on log(log k - psi(k)) = log(gap), nearly straight in log k */
        double have = log_less_digamma(shape, &slope), step = -log(have / gap) * have / slope;
        if (!isfinite(step)) return false;
        shape *= exp(fmax(-2, fmin(2, step)));
        if (fabs(step) < 1e-11) {
            par[0] = shape;
            par[1] = shape / mean;
            return true;
        }
    }
    return false;
}

static double loglik_of(enum wr_family family, const struct sample *s, double par0, double par1)
{
    struct wr_law law = {family, {par0, par1}};
    return wr_censored_loglik(&law, s->time, s->seen, s->n);
}

static double gamma_surface(const void *arg, double log_mean, double log_shape)
{
    return loglik_of(WR_GAMMA, arg, exp(log_shape), exp(log_shape - log_mean));
}

static bool fit_gamma(const struct sample *s, double *par)
{
    double start[2];

    if (s->n_done == s->n) return fit_gamma_complete(s, par);
    if (!fit_lognormal(s, start)) return false;
    /* the gamma with about the median and the spread of the lognormal */
    double log_shape = -2 * log(fmin(start[1], 3));
    double at[2] = {start[0] + fmin(0.5 * start[1] * start[1], 2), log_shape};
    if (!wr_surface_top(gamma_surface, s, 60, at)) return false;
    par[0] = exp(at[1]);
    par[1] = exp(at[1] - at[0]);
    return true;
}

static double invgauss_surface(const void *arg, double log_mean, double log_shape)
{
    return loglik_of(WR_INVGAUSS, arg, exp(log_mean), exp(log_shape));
}

static bool fit_invgauss_complete(const struct sample *s, double *par)
{
    double mean = mean_of_times(s), sum = 0;

    /* 1/t - 1/mean summed, without the difference of nearly equal numbers: sum (t - mean) = 0 */
    for (size_t i = 0; i < s->n; i++) sum += (s->time[i] - mean) * (s->time[i] - mean) / (s->time[i] * mean * mean);
    par[0] = mean;
    par[1] = (double)s->n / sum;
    return isfinite(par[1]);
}

/* The best start on a coarse grid: the surface may have a flat far side where the mean is without meaning. */
static void best_invgauss_start(const struct sample *s, const double lognormal[2], double at[2])
{
    double best = -INFINITY;

    for (int i = 0; i < 12; i++) {
        for (int j = -3; j <= 3; j++) {
            double log_mean = lognormal[0] + 0.7 * i, log_shape = lognormal[0] - 2 * log(lognormal[1]) + j;
            double value = invgauss_surface(s, log_mean, log_shape);
            if (value > best) {
                best = value;
                at[0] = log_mean;
                at[1] = log_shape;
            }
        }
    }
}

static bool fit_invgauss(const struct sample *s, double *par)
{
    double lognormal[2], at[2] = {0, 0};

    if (s->n_done == s->n) return fit_invgauss_complete(s, par);
    if (!fit_lognormal(s, lognormal)) return false;
    best_invgauss_start(s, lognormal, at);
    if (!wr_surface_top(invgauss_surface, s, 60, at)) return false;
    par[0] = exp(at[0]);
    par[1] = exp(at[1]);
    return true;
}

/* Is the likelihood still rising as the mean of the inverse Gaussian goes to infinity? The limit is a proper law
 * (first passage without drift), so the question has an answer: the best shape there against the best found. */
static bool invgauss_wants_infinite_mean(const struct sample *s, double best_found)
{
    const double far = 1e12; /* in units of the geometric mean */
    double lo = -30, hi = 30, ratio = 0.6180339887498949;

    for (int i = 0; i < 100; i++) { /* golden section in log shape */
        double x1 = hi - ratio * (hi - lo), x2 = lo + ratio * (hi - lo);
        if (loglik_of(WR_INVGAUSS, s, far, exp(x1)) < loglik_of(WR_INVGAUSS, s, far, exp(x2))) lo = x1;
        else hi = x2;
    }
    return loglik_of(WR_INVGAUSS, s, far, exp(lo)) >= best_found;
}

static bool (*const fitters[])(const struct sample *, double *par) = {
    [WR_LOGNORMAL] = fit_lognormal,     [WR_GAMMA] = fit_gamma,       [WR_WEIBULL] = fit_weibull,
    [WR_LOGLOGISTIC] = fit_loglogistic, [WR_INVGAUSS] = fit_invgauss,
};
_Static_assert(sizeof fitters / sizeof *fitters == WR_N_FAMILY, "one fitter per family");

/* From the sample's unit back to minutes. */
static void to_minutes(struct wr_law *law, double log_unit)
{
    double unit = exp(log_unit);
    switch (law->family) {
    case WR_LOGNORMAL: law->par[0] += log_unit; break;
    case WR_GAMMA: law->par[1] /= unit; break;
    case WR_WEIBULL:
    case WR_LOGLOGISTIC: law->par[1] *= unit; break;
    case WR_INVGAUSS:
        law->par[0] *= unit;
        law->par[1] *= unit;
        break;
    case WR_N_FAMILY: WR_BUG_IF(true);
    }
}

/* time and y: room for n values each */
static struct sample scaled_sample(const double *time_min, const enum wr_seen *seen, size_t n, double *time, double *y)
{
    struct sample s = {.time = time, .y = y, .seen = seen, .n = n};

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

static enum wr_status fit_sample(enum wr_family family, const struct sample *s, struct wr_law *law,
                                 struct wr_error *err)
{
    bool censored_invgauss = family == WR_INVGAUSS && s->n_done < s->n;

    law->family = family;
    bool found = fitters[family](s, law->par);
    if (censored_invgauss &&
        invgauss_wants_infinite_mean(s, found ? loglik_of(family, s, law->par[0], law->par[1]) : -INFINITY))
        return wr_fail(err, WR_E_NO_MAXIMUM, "the larger the mean of the inverse Gaussian the likelier, without end");
    if (!found)
        return wr_fail(err, WR_E_NO_CONVERGE, "the search for the %s fit did not settle", wr_family_name(family));
    return WR_OK;
}

enum wr_status wr_censored_fit(enum wr_family family, const double *time_min, const enum wr_seen *seen, size_t n,
                               struct wr_fit *fit, struct wr_error *err)
{
    WR_BUG_IF((unsigned)family >= WR_N_FAMILY);
    enum wr_status status = check_sample(time_min, seen, n, err);
    if (status != WR_OK) return status;

    double *room = WR_NEW_ARRAY(double, 2 * n);
    struct sample s = scaled_sample(time_min, seen, n, room, room + n);
    struct wr_law law = {0};
    status = fit_sample(family, &s, &law, err);
    if (status == WR_OK) {
        to_minutes(&law, s.log_unit);
        double loglik = wr_censored_loglik(&law, time_min, seen, n), k = wr_family_n_parameter(family);
        double spare = (double)n - k - 1;
        struct wr_maybe aicc = spare > 0 ? wr_known(2 * k * (1 + (k + 1) / spare) - 2 * loglik) : WR_UNKNOWN;
        *fit = (struct wr_fit){law, loglik, aicc, s.n_done, n - s.n_done};
    }
    wr_free(room);
    return status;
}
