/* Run effects, learning and people, with the task centres integrated out: what all tasks of a run share.
 *
 * Notation, adj = y less the skew part: cell i of task k in run r has precision w[k]. Integrating mu[k] out of
 *     adj[i] ~ N(mu[k] + b[r] + x[i]'u, 1/w[k]),   mu[k] ~ N(level[k], omega^2)
 * leaves, with P[k] = n[k] w[k] + 1/omega^2, m[k] = (w[k] sum adj + level[k]/omega^2)/P[k], s[k] = sum x[i] and
 * e[i] = w[k] (adj[i] - m[k]), a quadratic form in (b, u) with
 *     A[r,r'] = sum_k w[k] 1{r = r'} - w[k]^2/P[k]  over tasks with cells in r and r'      (precision of b)
 *     V       = sum_k w[k] sum x x' - w[k]^2/P[k] s s'                                       (precision of u)
 *     B[.,r]  = sum_k w[k] x[i] - w[k]^2/P[k] s[k]                                           (cross)
 *     g[r] = sum e,   l = sum e x                                                            (linear parts)
 * With A = U diag(lambda) U' and the prior b ~ N(0, tau^2), b integrates out for every tau at the cost of
 * v = tau^2/(1 + tau^2 lambda):
 *     V(tau) = V - BU diag(v) BU',   l(tau) = l - BU (v U'g),
 *     log p(tau | y) = log prior - 1/2 sum log(1 + tau^2 lambda) + 1/2 sum v (U'g)^2 - log det L + 1/2 |L^-1 l(tau)|^2
 * where L L' = V(tau) + prior precisions of u. All that depends on tau is linear in v, so one row per eigenvector
 * holds [lower triangle of BU BU', BU U'g, (U'g)^2] and a grid point costs one weighted sum of rows.
 * Drawing tau and kappa with b and u integrated out keeps the chain from sticking at 0. */
#include "chain.h"

#include <gsl/gsl_math.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include <string.h>

/* In-place Cholesky factor L of a packed lower triangle, the diagonal held as its reciprocal, together with
 * half = L^-1 half. The matrices are of the order of the number of people and there are 80 of them a sweep: GSL's
 * general routine would cost more than all the rest. False when the matrix is not positive definite. */
static bool cholesky_solve(double *m, double *half, size_t n, double *log_det, double *squares)
{
    struct wr_log_product reciprocal = {1.0, 0.0};

    *squares = 0.0;
    for (size_t i = 0; i < n; i++) {
        double *row_i = m + wr_packed(i), left = row_i[i], z = half[i];
        for (size_t j = 0; j < i; j++) {
            const double *row_j = m + wr_packed(j);
            double sum = row_i[j];
            for (size_t k = 0; k < j; k++) sum -= row_i[k] * row_j[k];
            row_i[j] = sum * row_j[j];
            left -= row_i[j] * row_i[j];
            z -= row_i[j] * half[j];
        }
        if (!(left > 0.0)) return false;
        row_i[i] = 1.0 / sqrt(left);
        half[i] = z * row_i[i];
        *squares += half[i] * half[i];
        wr_log_product_times(&reciprocal, row_i[i]);
    }
    *log_det = -reciprocal.log_sum - log(reciprocal.product);
    return true;
}

/* u = L'^-1 u */
static void back_solve(const double *m, double *u, size_t n)
{
    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++) u[i] -= m[wr_packed(k) + i] * u[k];
        u[i] *= m[wr_packed(i) + i];
    }
}

/* element (i, j), without the call and the range check of gsl_matrix_get */
static double element(const gsl_matrix *m, size_t i, size_t j)
{
    return m->data[i * m->tda + j];
}

/* A into chain->normal (lower triangle), g into pull_b, B into cross, V and l into the base row. */
static void build_normal_equations(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t R = cells->n_run, D = cells->n_effect, packed = wr_packed(D);
    double prior = 1.0 / (chain->omega * chain->omega), *V = chain->row, *l = chain->row + packed;

    memset(chain->row, 0, (packed + D + 1) * sizeof *chain->row);
    if (R > 0) gsl_matrix_set_zero(chain->normal);
    memset(chain->pull_b, 0, R * sizeof *chain->pull_b);
    memset(chain->cross, 0, R * D * sizeof *chain->cross);
    for (size_t k = 0; k < cells->n_task; k++) {
        size_t from = cells->first[k], to = cells->first[k + 1];
        double w = chain->w[k], total = w * (double)(to - from) + prior, sum = 0.0, shared = w * w / total;
        const double *s = cells->design_sum + k * D, *gram = cells->design_gram + k * packed;

        if (from == to) continue;
        for (size_t i = from; i < to; i++) sum += chain->y[i] - chain->shift[i];
        double centre = (w * sum + prior * wr_task_level(chain, cells, k)) / total;
        for (size_t i = from; i < to; i++) {
            size_t r = cells->run[i];
            double e = w * (chain->y[i] - chain->shift[i] - centre), *a = chain->normal->data + r * chain->normal->tda;
            const double *x = cells->design + i * D;
            double *cross = chain->cross + r * D;
            chain->pull_b[r] += e;
            a[r] += w;
            for (size_t j = from; j <= i; j++) a[cells->run[j]] -= shared;
            for (size_t d = 0; d < D; d++) {
                l[d] += e * x[d];
                cross[d] += w * x[d] - shared * s[d];
            }
        }
        for (size_t d = 0, at = 0; d < D; d++)
            for (size_t c = 0; c <= d; c++, at++) V[at] += w * gram[at] - shared * s[d] * s[c];
    }
}

/* Turns b into the eigenvectors' frame and fills one row per eigenvector. */
static bool rotate(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t R = cells->n_run, D = cells->n_effect, packed = wr_packed(D), len = packed + D + 1;

    if (R == 0) return true;
    if (gsl_eigen_symmv(chain->normal, chain->values, chain->vectors, chain->eigen)) return false;
    for (size_t s = 0; s < R; s++) {
        double pull = 0.0, *bu = chain->rotated + s * D, *row = chain->row + (s + 1) * len, *lambda;
        memset(bu, 0, D * sizeof *bu);
        for (size_t r = 0; r < R; r++) {
            double v = element(chain->vectors, r, s);
            pull += v * chain->pull_b[r];
            for (size_t d = 0; d < D; d++) bu[d] += v * chain->cross[r * D + d];
        }
        for (size_t d = 0, at = 0; d < D; d++)
            for (size_t c = 0; c <= d; c++, at++) row[at] = bu[d] * bu[c];
        for (size_t d = 0; d < D; d++) row[packed + d] = bu[d] * pull;
        row[packed + D] = pull * pull;
        chain->weight_b[s] = pull; /* U'g, kept until b is drawn */
        lambda = chain->values->data + s;
        if (!(*lambda > 0.0)) *lambda = 0.0; /* A is positive semidefinite: below 0 only by rounding */
    }
    return isfinite(chain->row[len + packed + D]);
}

/* V(tau), l(tau) and the quadratic form of b into `tried`; returns - 1/2 sum log(1 + tau^2 lambda). */
static double fold_runs(struct wr_chain *chain, const struct wr_cells *cells, double tau)
{
    size_t len = wr_packed(cells->n_effect) + cells->n_effect + 1;
    struct wr_log_product growth = {1.0, 0.0};

    memcpy(chain->tried, chain->row, len * sizeof *chain->tried);
    for (size_t s = 0; s < cells->n_run; s++) {
        double grow = 1.0 + tau * tau * chain->values->data[s], v = tau * tau / grow;
        const double *row = chain->row + (s + 1) * len;
        wr_log_product_times(&growth, grow);
        for (size_t i = 0; i < len; i++) chain->tried[i] -= v * row[i];
    }
    return -0.5 * (growth.log_sum + log(growth.product));
}

/* Factor of V(tau) + prior and L^-1 l(tau), from `tried`. */
static bool factor_effects(struct wr_chain *chain, const struct wr_cells *cells, double kappa, double *log_det,
                           double *squares)
{
    size_t D = cells->n_effect, packed = wr_packed(D), learning = D - cells->n_person;

    memcpy(chain->factor, chain->tried, packed * sizeof *chain->factor);
    memcpy(chain->half, chain->tried + packed, D * sizeof *chain->half);
    for (size_t d = 0; d < D; d++)
        chain->factor[wr_packed(d) + d] += d < learning ? chain->gamma_precision : 1.0 / (kappa * kappa);
    if (learning) chain->half[0] += chain->gamma_precision * cells->priors.gamma_mean;
    return cholesky_solve(chain->factor, chain->half, D, log_det, squares);
}

/* Index drawn with probability proportional to exp(log_chance). */
static size_t draw_index(const struct wr_chain *chain, double *log_chance, size_t n)
{
    double most = log_chance[0], sum = 0.0;

    for (size_t i = 1; i < n; i++) most = fmax(most, log_chance[i]);
    for (size_t i = 0; i < n; i++) log_chance[i] = sum += exp(log_chance[i] - most);
    double at = sum * gsl_rng_uniform(chain->rng);
    size_t i = 0;
    while (i + 1 < n && log_chance[i] <= at) i++;
    return i;
}

static bool draw_tau(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t quadratic = wr_packed(cells->n_effect) + cells->n_effect;
    const struct wr_sd_grid *grid = &cells->tau;
    double log_det, squares;

    if (grid->n > 1) {
        for (size_t t = 0; t < grid->n; t++) {
            double growth = fold_runs(chain, cells, grid->sd[t]);
            if (!factor_effects(chain, cells, chain->kappa, &log_det, &squares)) return false;
            chain->chance[t] = grid->log_prior[t] + growth - 0.5 * chain->tried[quadratic] - log_det + 0.5 * squares;
        }
        chain->tau = grid->sd[draw_index(chain, chain->chance, grid->n)];
    }
    fold_runs(chain, cells, chain->tau);
    return true;
}

static bool draw_kappa(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_sd_grid *grid = &cells->kappa;
    double log_det, squares, n = (double)cells->n_person;

    if (cells->n_person > 0) {
        for (size_t t = 0; t < grid->n; t++) {
            if (!factor_effects(chain, cells, grid->sd[t], &log_det, &squares)) return false;
            chain->chance[t] = grid->log_prior[t] - n * log(grid->sd[t]) - log_det + 0.5 * squares;
        }
        chain->kappa = grid->sd[draw_index(chain, chain->chance, grid->n)];
    }
    return factor_effects(chain, cells, chain->kappa, &log_det, &squares);
}

static void draw_effects(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t R = cells->n_run, D = cells->n_effect;

    for (size_t d = 0; d < D; d++) chain->u[d] = chain->half[d] + gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
    back_solve(chain->factor, chain->u, D);
    memset(chain->b, 0, R * sizeof *chain->b);
    for (size_t s = 0; s < R; s++) {
        double v = chain->tau * chain->tau / (1.0 + chain->tau * chain->tau * chain->values->data[s]);
        double pull = chain->weight_b[s];
        for (size_t d = 0; d < D; d++) pull -= chain->rotated[s * D + d] * chain->u[d];
        double along = v * pull + sqrt(v) * gsl_ran_gaussian_ziggurat(chain->rng, 1.0);
        for (size_t r = 0; r < R; r++) chain->b[r] += element(chain->vectors, r, s) * along;
    }
    for (size_t i = 0; i < cells->n_cell; i++) {
        double f = chain->b[cells->run[i]];
        for (size_t d = 0; d < D; d++) f += cells->design[i * D + d] * chain->u[d];
        chain->f[i] = f;
    }
}

/* Inverse Gaussian with that mean and shape: Michael, Schucany and Haas (1976), The American Statistician 30, 88-90, the
 * smaller root written so that nothing cancels where the mean is large. */
static double inverse_gaussian(const gsl_rng *rng, double mean, double shape)
{
    double z = gsl_ran_gaussian_ziggurat(rng, 1.0), t = 0.5 * mean * z * z / shape;
    double root = mean / (1.0 + t + sqrt(t * (t + 2.0)));

    return gsl_rng_uniform(rng) * (mean + root) <= mean ? root : mean * mean / root;
}

/* A double exponential is a normal law whose variance v is exponential with mean gamma_sd^2; given gamma its inverse is
 * inverse Gaussian (Park and Casella 2008, Journal of the American Statistical Association 103, 681-686, from memory).
 * The bounds keep the algebra finite where the chain passes 0. */
void wr_draw_gamma_precision(struct wr_chain *chain, const struct wr_cells *cells)
{
    const double least_slope = 1e-6, most_precision = 1e8;
    double sd = cells->priors.gamma_sd, slope = fmax(fabs(chain->u[0] - cells->priors.gamma_mean), least_slope);

    chain->gamma_precision =
        fmin(inverse_gaussian(chain->rng, M_SQRT2 / (sd * slope), 2.0 / (sd * sd)), most_precision);
}

bool wr_effects_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    build_normal_equations(chain, cells);
    if (!rotate(chain, cells) || !draw_tau(chain, cells) || !draw_kappa(chain, cells)) return false;
    draw_effects(chain, cells);
    if (cells->n_effect > cells->n_person) wr_draw_gamma_precision(chain, cells);
    return true;
}
