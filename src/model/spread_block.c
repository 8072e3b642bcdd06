/* Spreads. rho moves with the skew part h of every error integrated out, then h is drawn again; given h the
 * residuals of a task enter by three sums, so that all spreads move often at little cost. Without skew the same
 * with rho = 0. The common law of log sigma moves with every sigma (what its cells say weighed against that law),
 * then once more given them. Widths are fixed and nothing adapts, so the chain stays a Markov chain. */
#include "chain.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_math.h>
#include <math.h>
#include <string.h>
#include "wetrun/model/skew_normal.h"

static double square(double x)
{
    return x * x;
}

static double normal(struct wr_chain *chain)
{
    return wr_luck_normal(&chain->luck);
}

static bool accept(struct wr_chain *chain, double log_ratio)
{
    return log_ratio >= 0 || log(wr_luck_uniform(&chain->luck)) < log_ratio;
}

static double n_cells(const struct wr_cells *cells, size_t task)
{
    return (double)(cells->first[task + 1] - cells->first[task]);
}

/* ---- skew ---- */

/* Residuals in units of their sigma, the sum and the sum of squares of which stay while rho and the common scale
 * move. */
struct unit_residuals {
    double sum, squares;
};

static struct unit_residuals take_unit_residuals(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct unit_residuals all = {0.0, 0.0};

    for (size_t k = 0; k < cells->n_task; k++) {
        double per_sigma = 1.0 / chain->sigma[k];
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            chain->unit_res[i] = chain->res[i] * per_sigma;
            all.sum += chain->unit_res[i];
            all.squares += square(chain->unit_res[i]);
        }
    }
    wr_log_phi_sum_take(&chain->unit_sum, chain->unit_res, cells->n_cell, chain->far_out);
    return all;
}

/* Log likelihood of all residuals under the skew-normal error, and rho's prior, up to a constant, with every sigma
 * by one factor: with x = e/scale + rho C0 and slope = rho/sqrt(1 - rho^2) the density of e is 2/scale phi(x)
 * Phi(slope x). */
static double skew_logp(const struct wr_chain *chain, const struct wr_cells *cells, const struct unit_residuals *all,
                        double rho, double log_factor)
{
    double per = wr_skew_unit(rho) * exp(-log_factor), offset = rho * WR_SKEW_C0, n = (double)cells->n_cell;
    double slope = rho / sqrt(1.0 - rho * rho);
    double tails = wr_log_phi_sum_at(&chain->unit_sum, cells->block, cells->phi, slope * per, slope * offset);

    return tails - 0.5 * (per * per * all->squares + offset * (2.0 * per * all->sum + n * offset)) + n * log(per) +
           wr_prior_log_ratio(&cells->priors, WR_COMMON_RHO, &cells->priors.rho_score, rho);
}

/* Returns the log likelihood where it ends. */
static double move_rho(struct wr_chain *chain, const struct wr_cells *cells, const struct unit_residuals *all)
{
    double most = cells->priors.rho_most, log_now = skew_logp(chain, cells, all, chain->rho, 0.0);
    struct wr_slice slice = wr_slice_start(&chain->luck, -most, most, chain->rho, log_now);

    while (wr_slice_next(&chain->luck, &slice))
        if (wr_slice_holds(&slice, skew_logp(chain, cells, all, slice.at, 0.0))) break;
    chain->rho = slice.at;
    return slice.log_density;
}

static double least_sigma(const struct wr_chain *chain, const struct wr_cells *cells)
{
    double least = INFINITY;

    for (size_t k = 0; k < cells->n_task; k++) least = fmin(least, chain->sigma[k]);
    return least;
}

/* All sigmas and s0 by one factor, which given h would creep. The slice's bounds are about as wide as the factor
 * is known, with no change anywhere between them. */
static void move_scale(struct wr_chain *chain, const struct wr_cells *cells, const struct unit_residuals *all,
                       double log_now)
{
    const struct wr_priors *p = &cells->priors;
    double s0_info = 1.0 / square(p->log_s0_sd), off = chain->log_s0 - p->log_s0_mean,
           least = least_sigma(chain, cells);
    double wide = 5.0 / sqrt(1.5 * (double)cells->n_cell + s0_info), low = -wide * wr_luck_uniform(&chain->luck);
    struct wr_slice slice = wr_slice_start(&chain->luck, low, low + wide, 0.0, log_now - 0.5 * s0_info * square(off));

    while (wr_slice_next(&chain->luck, &slice)) {
        double log_at = -INFINITY;
        if (least * exp(slice.at) >= p->sigma_least)
            log_at = skew_logp(chain, cells, all, chain->rho, slice.at) - 0.5 * s0_info * square(off + slice.at);
        if (wr_slice_holds(&slice, log_at)) break;
    }
    chain->log_s0 += slice.at;
    for (size_t k = 0; k < cells->n_task; k++) chain->sigma[k] *= exp(slice.at);
}

/* |h| given a cell's residual is normal(rho (e/scale + rho C0), 1 - rho^2) above 0. Leaves |h| - C0 in shift. */
static void draw_skew_parts(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, sd = sqrt(1.0 - rho * rho), unit = wr_skew_unit(rho);

    struct wr_luck luck = chain->luck; /* in registers, as the sums are */

    for (size_t k = 0; k < cells->n_task; k++) {
        double per_scale = unit / chain->sigma[k], cross = 0.0;
        const double *res = chain->res;
        double *shift = chain->shift;
        for (size_t i = cells->first[k], end = cells->first[k + 1]; i < end; i++) {
            double mean = rho * (res[i] * per_scale + rho * WR_SKEW_C0);
            shift[i] = mean + sd * wr_luck_normal_above(&luck, -mean / sd) - WR_SKEW_C0;
            cross += res[i] * shift[i];
        }
        chain->skew_cross[k] = cross;
    }
    chain->luck = luck;
}

/* From |h| - C0 to minutes' logs, and the precision of what is left. */
static void scale_skew_parts(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, unit = wr_skew_unit(rho);

    for (size_t k = 0; k < cells->n_task; k++) {
        double scale = chain->sigma[k] / unit;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) chain->shift[i] *= scale * rho;
        chain->w[k] = 1.0 / ((1.0 - rho * rho) * square(scale));
    }
}

/* ---- spreads given h ---- */

/* Given h the log likelihood of log sigma = s is -n s - quad t^2/2 + lin t with t = exp(-s), up to a constant. */
static double loglik(const struct wr_chain *chain, const struct wr_cells *cells, size_t task, double log_sigma)
{
    double t = exp(-log_sigma);

    return (chain->lin[task] - 0.5 * chain->quad[task] * t) * t - n_cells(cells, task) * log_sigma;
}

/* Its top, where t = (lin + sqrt(lin^2 + 4 n quad)) / (2 quad), with the second and the third derivative there.
 * They aim the moves below, which leave the posterior alone whatever they are. */
static void take_peaks(struct wr_chain *chain, const struct wr_cells *cells)
{
    double rho = chain->rho, unit = wr_skew_unit(rho), rest = 1.0 - rho * rho;
    double most = 1.0 / cells->priors.sigma_least;

    for (size_t k = 0; k < cells->n_task; k++) {
        double n = n_cells(cells, k), quad = unit * unit * chain->sse[k] / rest;
        double lin = unit * rho * chain->skew_cross[k] / rest;
        double t = fmin(0.5 * (lin + sqrt(lin * lin + 4.0 * n * quad)) / quad, most);
        bool seen = n > 0 && t > 0;
        chain->quad[k] = quad;
        chain->lin[k] = lin;
        chain->peak[k] = seen ? -log(t) : 0.0;
        chain->info[k] = seen ? n + quad * t * t : 0.0;
        chain->lean[k] = seen ? n + 3.0 * quad * t * t : 0.0;
        chain->log_sigma[k] = log(chain->sigma[k]);
        chain->loglik[k] = loglik(chain, cells, k, chain->log_sigma[k]);
    }
}

/* Where the common law has log sigma of a task. */
static double middle(const struct wr_chain *chain, const struct wr_cells *cells, size_t task)
{
    return chain->log_s0 + chain->d * cells->length_dev[task];
}

/* What log sigma follows, nearly, given the common law, whose precision is `per`: normal about its own peak and
 * the middle, and to the right of both where its likelihood leans. */
struct near_law {
    double mean, precision;
};

static struct near_law near_law(const struct wr_chain *chain, const struct wr_cells *cells, size_t task, double per)
{
    double precision = per + chain->info[task];
    double mean = (per * middle(chain, cells, task) + chain->info[task] * chain->peak[task]) / precision;

    return (struct near_law){mean + 0.5 * chain->lean[task] / square(precision), precision};
}

/* walk: a step from where it is, which gets out of a tail; else a fresh draw, a little wider than the near law. */
static void move_each_sigma(struct wr_chain *chain, const struct wr_cells *cells, bool walk)
{
    double per = 1.0 / square(chain->omega_s), least = log(cells->priors.sigma_least);

    for (size_t k = 0; k < cells->n_task; k++) {
        struct near_law law = near_law(chain, cells, k, per);
        double sd = (walk ? 2.2 : 1.1) / sqrt(law.precision), now = chain->log_sigma[k];
        double tried = (walk ? now : law.mean) + sd * normal(chain), step = tried - now;
        if (tried < least) continue;
        double log_tried = loglik(chain, cells, k, tried);
        double change = log_tried - chain->loglik[k];
        change -= 0.5 * per * step * (tried + now - 2.0 * middle(chain, cells, k));
        if (!walk) change += 0.5 * step * (tried + now - 2.0 * law.mean) / square(sd);
        if (!accept(chain, change)) continue;
        chain->log_sigma[k] = tried;
        chain->loglik[k] = log_tried;
    }
}

/* What all log sigma as tried add to the log likelihood, into loglik_tried. False: one is out of bounds. */
static bool add_tried(struct wr_chain *chain, const struct wr_cells *cells, double *sum)
{
    double least = log(cells->priors.sigma_least);

    for (size_t k = 0; k < cells->n_task; k++) {
        if (chain->log_tried[k] < least) return false;
        chain->loglik_tried[k] = loglik(chain, cells, k, chain->log_tried[k]);
        *sum += chain->loglik_tried[k];
    }
    return true;
}

static void take_tried(struct wr_chain *chain, const struct wr_cells *cells)
{
    memcpy(chain->log_sigma, chain->log_tried, cells->n_task * sizeof *chain->log_sigma);
    memcpy(chain->loglik, chain->loglik_tried, cells->n_task * sizeof *chain->loglik);
}

/* What (log s0, d) follow, nearly, with every sigma integrated out by its near law: d normal, and log s0 given d
 * normal about s0 + slope (its d - d). */
struct near_line {
    double s0, d, s0_sd, d_sd, slope;
};

static struct near_line near_line(const struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double per = 1.0 / square(chain->omega_s), a = 1.0 / square(p->log_s0_sd), b = 0.0, c = 1.0 / square(p->d_sd);
    double x = a * p->log_s0_mean, y = c * p->d_mean;

    for (size_t k = 0; k < cells->n_task; k++) {
        double l = cells->length_dev[k], precision = per + chain->info[k], known = per * chain->info[k] / precision;
        double pull = known * chain->peak[k] + 0.5 * per * chain->lean[k] / square(precision);
        a += known;
        b += known * l;
        c += known * l * l;
        x += pull;
        y += pull * l;
    }
    double left = c - b * b / a, d = (y - b * x / a) / left;
    return (struct near_line){(x - b * d) / a, d, 1.0 / sqrt(a), 1.0 / sqrt(left), -b / a};
}

/* log density of (log s0, d): their prior's over the near line's */
static double line_weight(const struct wr_priors *p, const struct near_line *law, double log_s0, double d)
{
    double along = (d - law->d) / law->d_sd, off = (log_s0 - law->s0 - law->slope * (d - law->d)) / law->s0_sd;
    double prior = square((log_s0 - p->log_s0_mean) / p->log_s0_sd) + square((d - p->d_mean) / p->d_sd);

    return 0.5 * (square(along) + square(off) - prior);
}

/* The line that the spreads follow, drawn afresh; every sigma goes with it as far as its own cells let it. */
static void move_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct near_line law = near_line(chain, cells);
    double per = 1.0 / square(chain->omega_s), d = law.d + law.d_sd * normal(chain);
    double log_s0 = law.s0 + law.slope * (d - law.d) + law.s0_sd * normal(chain);
    double change =
        line_weight(&cells->priors, &law, log_s0, d) - line_weight(&cells->priors, &law, chain->log_s0, chain->d);

    for (size_t k = 0; k < cells->n_task; k++) {
        double rise = log_s0 - chain->log_s0 + (d - chain->d) * cells->length_dev[k];
        double step = rise * per / (per + chain->info[k]), off = chain->log_sigma[k] - middle(chain, cells, k);
        chain->log_tried[k] = chain->log_sigma[k] + step;
        change -= chain->loglik[k] + 0.5 * per * (step - rise) * (2.0 * off + step - rise);
    }
    if (!add_tried(chain, cells, &change) || !accept(chain, change)) return;
    take_tried(chain, cells);
    chain->log_s0 = log_s0;
    chain->d = d;
}

/* log of what the prior of omega_s has over a half-normal law */
static double log_prior_ratio(const struct wr_priors *p, double omega_s)
{
    return wr_prior_log_ratio(p, WR_COMMON_OMEGA_S, &p->omega_s_score, omega_s);
}

/* log density at another omega_s over its half-normal prior, every log sigma keeping its place in its near law (in
 * units of that law's sd, which is the Jacobian). */
static double at_omega_s(struct wr_chain *chain, const struct wr_cells *cells, double omega_s)
{
    double per = 1.0 / square(omega_s), sum = log_prior_ratio(&cells->priors, omega_s), product = 1.0;

    for (size_t k = 0; k < cells->n_task; k++) {
        struct near_law law = near_law(chain, cells, k, per);
        chain->log_tried[k] = law.mean + chain->place[k] / sqrt(law.precision);
        sum -= 0.5 * per * square(chain->log_tried[k] - middle(chain, cells, k));
        product *= per / law.precision;
        if (product > 1e-100) continue;
        sum += 0.5 * log(product);
        product = 1.0;
    }
    if (!add_tried(chain, cells, &sum)) return -INFINITY;
    return sum + 0.5 * log(product);
}

/* How unlike the tasks are, by u, its place in a half-normal prior. With sigmas fixed, or fixed in units of
 * omega_s, it would creep where prior and cells say about as much of a sigma; keeping their places it is all but
 * free of them. */
static void move_apart(struct wr_chain *chain, const struct wr_cells *cells)
{
    double now = erf(chain->omega_s / cells->priors.omega_s_scale * M_SQRT1_2), per = 1.0 / square(chain->omega_s);

    for (size_t k = 0; k < cells->n_task; k++) {
        struct near_law law = near_law(chain, cells, k, per);
        chain->place[k] = (chain->log_sigma[k] - law.mean) * sqrt(law.precision);
    }
    struct wr_slice slice = wr_slice_start(&chain->luck, 0.0, 1.0, now, at_omega_s(chain, cells, chain->omega_s));
    while (wr_slice_next(&chain->luck, &slice)) {
        double omega_s = cells->priors.omega_s_scale * gsl_cdf_ugaussian_Pinv(0.5 + 0.5 * slice.at);
        if (!wr_slice_holds(&slice, at_omega_s(chain, cells, omega_s))) continue;
        chain->omega_s = omega_s;
        take_tried(chain, cells);
        break;
    }
}

static double draw_normal(struct wr_chain *chain, double pull, double precision)
{
    return pull / precision + normal(chain) / sqrt(precision);
}

/* Metropolis in log omega_s; squares: of log sigma off its middle. */
static void move_omega_s(struct wr_chain *chain, const struct wr_cells *cells, double squares)
{
    const struct wr_priors *p = &cells->priors;
    double step = 0.35 * normal(chain), now = chain->omega_s, tried = now * exp(step);
    double prior = step - 0.5 * (square(tried) - square(now)) / square(p->omega_s_scale) + log_prior_ratio(p, tried) -
                   log_prior_ratio(p, now);
    double fit = -(double)cells->n_task * step - 0.5 * squares * (1.0 / square(tried) - 1.0 / square(now));

    if (accept(chain, prior + fit)) chain->omega_s = tried;
}

/* The common law given every sigma. */
static void move_hyper(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    double s0_prior = 1.0 / square(p->log_s0_sd), d_prior = 1.0 / square(p->d_sd), sum = 0.0, along = 0.0;
    double per = 1.0 / square(chain->omega_s), squares = 0.0;

    for (size_t k = 0; k < cells->n_task; k++) {
        sum += chain->log_sigma[k];
        along += chain->log_sigma[k] * cells->length_dev[k]; /* length_dev adds up to 0 */
    }
    chain->log_s0 = draw_normal(chain, per * sum + s0_prior * p->log_s0_mean, per * (double)cells->n_task + s0_prior);
    chain->d = draw_normal(chain, per * along + d_prior * p->d_mean, per * cells->length_ss + d_prior);
    for (size_t k = 0; k < cells->n_task; k++) squares += square(chain->log_sigma[k] - middle(chain, cells, k));
    move_omega_s(chain, cells, squares);
}

static void take_residuals(struct wr_chain *chain, const struct wr_cells *cells)
{
    for (size_t k = 0; k < cells->n_task; k++) {
        double mu = chain->mu[k], sum = 0.0, *res = chain->res;
        const double *y = chain->y, *f = chain->f;
        for (size_t i = cells->first[k], end = cells->first[k + 1]; i < end; i++) {
            res[i] = y[i] - mu - f[i];
            sum += square(res[i]);
        }
        chain->sse[k] = sum;
    }
}

void wr_spread_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    take_residuals(chain, cells);
    if (cells->priors.skew) {
        struct unit_residuals all = take_unit_residuals(chain, cells);
        double log_now = move_rho(chain, cells, &all);
        move_scale(chain, cells, &all, log_now);
        draw_skew_parts(chain, cells);
    }
    take_peaks(chain, cells);
    move_each_sigma(chain, cells, false);
    move_line(chain, cells);
    move_apart(chain, cells);
    move_each_sigma(chain, cells, true);
    move_hyper(chain, cells);
    for (size_t k = 0; k < cells->n_task; k++)
        chain->sigma[k] = fmax(exp(chain->log_sigma[k]), cells->priors.sigma_least);
    scale_skew_parts(chain, cells);
}
