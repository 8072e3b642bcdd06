/* Run effects, learning and people, with the task centres and their line on the plan integrated out: what all tasks of
 * a run share.
 *
 * Notation, adj = y less the skew part: cell i of task k in run r has precision w[k]. Integrating mu[k] out of
 *     adj[i] ~ N(mu[k] + b[r] + x[i]'u, 1/w[k]),   mu[k] ~ N(level[k], omega^2),   level at the prior means of a and c
 * leaves, with P[k] = n[k] w[k] + 1/omega^2, m[k] = (w[k] sum adj + level[k]/omega^2)/P[k], s[k] = sum x[i] and
 * e[i] = w[k] (adj[i] - m[k]), a quadratic form in (b, u) with
 *     A[r,r'] = sum_k w[k] 1{r = r'} - w[k]^2/P[k]  over tasks with cells in r and r'      (precision of b)
 *     V       = sum_k w[k] sum x x' - w[k]^2/P[k] s s'                                       (precision of u)
 *     B[.,r]  = sum_k w[k] x[i] - w[k]^2/P[k] s[k]                                           (cross)
 *     g[r] = sum e,   l = sum e x                                                            (linear parts)
 * a and c are in it as two more effects whose prior does not change, and are integrated out next (plan_line).
 * With A = U diag(lambda) U' and the prior b ~ N(0, tau^2), b integrates out for every tau at the cost of
 * v = tau^2/(1 + tau^2 lambda):
 *     V(tau) = V - BU diag(v) BU',   l(tau) = l - BU (v U'g),
 *     log p(tau | y) = log prior - 1/2 sum log(1 + tau^2 lambda) + 1/2 sum v (U'g)^2 - log det L + 1/2 |L^-1 l(tau)|^2
 * where L L' = V(tau) + prior precisions of u. All that depends on tau is linear in v, so one row per eigenvector
 * holds [lower triangle of BU BU', BU U'g, (U'g)^2] and a grid point costs one weighted sum of rows.
 * Drawing tau and kappa with b and u integrated out keeps the chain from sticking at 0. */
#include "chain.h"

#include <gsl/gsl_math.h>
#include <math.h>
#include <string.h>

/* u = L'^-1 u, with the factor of lane 0 */
static void back_solve(const struct wr_chain *chain, size_t n)
{
    const double *m = chain->at.factor;
    double *u = chain->u;

    for (size_t i = n; i-- > 0;) {
        for (size_t k = i + 1; k < n; k++) u[i] -= m[(wr_packed(k) + i) * WR_GRID_WIDE] * u[k];
        u[i] *= m[(wr_packed(i) + i) * WR_GRID_WIDE];
    }
}

/* element (i, j), without the call and the range check of gsl_matrix_get */
static double element(const gsl_matrix *m, size_t i, size_t j)
{
    return m->data[i * m->tda + j];
}

/* a and c are two more effects, whose cells are a task's all alike. */
static double prior_level(const struct wr_cells *cells, size_t task)
{
    return cells->plan_mean + cells->level_mean + cells->plan_dev[task];
}

static void plan_line_start(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct wr_plan_line *line = &chain->line;

    line->aa = 1.0 / (cells->level_sd * cells->level_sd);
    line->cc = 1.0 / (cells->priors.c_sd * cells->priors.c_sd);
    line->ac = line->pull_a = line->pull_c = 0.0;
    memset(line->with_a, 0, (cells->n_run + cells->n_effect) * sizeof *line->with_a);
    memset(line->with_c, 0, (cells->n_run + cells->n_effect) * sizeof *line->with_c);
}

/* left: what a cell still says with the task's centre integrated out; pull: of its cells. */
static void add_to_plan_line(struct wr_chain *chain, const struct wr_cells *cells, size_t task, double left,
                             double pull)
{
    struct wr_plan_line *line = &chain->line;
    double n = (double)(cells->first[task + 1] - cells->first[task]), dev = cells->plan_dev[task];

    line->aa += left * n;
    line->ac += left * n * dev;
    line->cc += left * n * dev * dev;
    line->pull_a += pull;
    line->pull_c += pull * dev;
    for (size_t i = cells->first[task]; i < cells->first[task + 1]; i++) {
        line->with_a[cells->run[i]] += left;
        line->with_c[cells->run[i]] += left * dev;
    }
    for (size_t d = 0; d < cells->n_effect; d++) {
        double s = left * cells->design_sum[task * cells->n_effect + d];
        line->with_a[cells->n_run + d] += s;
        line->with_c[cells->n_run + d] += s * dev;
    }
}

/* Takes a and c out of the quadratic form in (b, u): less its cross terms times the inverse of theirs. */
static void integrate_plan_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct wr_plan_line *line = &chain->line;
    size_t R = cells->n_run, D = cells->n_effect;
    double det = line->aa * line->cc - line->ac * line->ac, *l = chain->row + wr_packed(D);

    for (size_t i = 0; i < R + D; i++) {
        double a = (line->cc * line->with_a[i] - line->ac * line->with_c[i]) / det;
        double c = (line->aa * line->with_c[i] - line->ac * line->with_a[i]) / det;
        double pull = a * line->pull_a + c * line->pull_c;
        if (i < R) chain->pull_b[i] -= pull;
        else l[i - R] -= pull;
        for (size_t j = 0; j <= i; j++) {
            double shared = a * line->with_a[j] + c * line->with_c[j];
            if (i < R) chain->normal->data[i * chain->normal->tda + j] -= shared;
            else if (j < R) chain->cross[j * D + i - R] -= shared;
            else chain->row[wr_packed(i - R) + j - R] -= shared;
        }
    }
}

static void draw_plan_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_plan_line *line = &chain->line;
    size_t R = cells->n_run;
    double pull_a = line->pull_a, pull_c = line->pull_c;

    for (size_t i = 0; i < R + cells->n_effect; i++) {
        double value = i < R ? chain->b[i] : chain->u[i - R];
        pull_a -= line->with_a[i] * value;
        pull_c -= line->with_c[i] * value;
    }
    double left = line->cc - line->ac * line->ac / line->aa;
    double c = (pull_c - line->ac / line->aa * pull_a) / left + wr_luck_normal(&chain->luck) / sqrt(left);
    chain->c = 1.0 + c;
    chain->a = cells->level_mean + (pull_a - line->ac * c) / line->aa + wr_luck_normal(&chain->luck) / sqrt(line->aa);
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
    plan_line_start(chain, cells);
    for (size_t k = 0; k < cells->n_task; k++) {
        size_t from = cells->first[k], to = cells->first[k + 1];
        double w = chain->w[k], total = w * (double)(to - from) + prior, sum = 0.0, shared = w * w / total;
        const double *s = cells->design_sum + k * D, *gram = cells->design_gram + k * packed;

        if (from == to) continue;
        for (size_t i = from; i < to; i++) sum += chain->y[i] - chain->shift[i];
        double centre = (w * sum + prior * prior_level(cells, k)) / total;
        double left = w * prior / total;
        for (size_t i = from; i < to; i++) {
            size_t r = cells->run[i];
            double e = w * (chain->y[i] - chain->shift[i] - centre);
            const double *x = cells->design + i * D;
            double *cross = chain->cross + r * D;
            chain->pull_b[r] += e;
            chain->normal->data[r * chain->normal->tda + r] += w;
            for (size_t d = 0; d < D; d++) {
                l[d] += e * x[d];
                cross[d] += w * x[d] - shared * s[d];
            }
        }
        cells->block->share(chain->normal->data, chain->normal->tda, cells->is_in + k * R, shared, R);
        for (size_t d = 0, at = 0; d < D; d++)
            for (size_t c = 0; c <= d; c++, at++) V[at] += w * gram[at] - shared * s[d] * s[c];
        add_to_plan_line(chain, cells, k, left, w * (sum - (double)(to - from) * centre));
    }
    integrate_plan_line(chain, cells);
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

/* Every lane at its own tau, or all at the same. */
static void fold_runs(struct wr_chain *chain, const struct wr_cells *cells, const double *tau, size_t n)
{
    for (size_t l = 0; l < WR_GRID_WIDE; l++) chain->at.tau[l] = tau[n > 1 ? l : 0];
    cells->block->fold(&chain->at, chain->row, chain->values->data, cells->n_run, cells->n_effect);
}

static bool factor_effects(struct wr_chain *chain, const struct wr_cells *cells, const double *kappa, size_t n)
{
    size_t D = cells->n_effect, learning = D - cells->n_person;
    struct wr_grid_work *at = &chain->at;

    for (size_t d = 0; d < D; d++)
        for (size_t l = 0; l < WR_GRID_WIDE; l++) {
            double sd = kappa[n > 1 ? l : 0];
            at->prior[d * WR_GRID_WIDE + l] = d < learning ? chain->gamma_precision : 1.0 / (sd * sd);
        }
    return cells->block->factor(at, D, learning ? chain->gamma_precision * cells->priors.gamma_mean : 0.0);
}

/* Index drawn with probability proportional to exp(log_chance). */
static size_t draw_index(struct wr_chain *chain, double *log_chance, size_t n)
{
    double most = log_chance[0], sum = 0.0;

    for (size_t i = 1; i < n; i++) most = fmax(most, log_chance[i]);
    for (size_t i = 0; i < n; i++) log_chance[i] = sum += exp(log_chance[i] - most);
    double at = sum * wr_luck_uniform(&chain->luck);
    size_t i = 0;
    while (i + 1 < n && log_chance[i] <= at) i++;
    return i;
}

static bool draw_tau(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_sd_grid *grid = &cells->tau;
    const struct wr_grid_work *at = &chain->at;
    const double *quadratic = at->folded + (wr_packed(cells->n_effect) + cells->n_effect) * WR_GRID_WIDE;

    for (size_t t = 0; grid->n > 1 && t < grid->n; t += WR_GRID_WIDE) {
        fold_runs(chain, cells, grid->sd + t, WR_GRID_WIDE);
        if (!factor_effects(chain, cells, &chain->kappa, 1)) return false;
        for (size_t l = 0; l < WR_GRID_WIDE; l++)
            chain->chance[t + l] = grid->log_prior[t + l] + at->growth[l] - 0.5 * quadratic[l] - at->log_det[l]
                                   + 0.5 * at->squares[l];
    }
    if (grid->n > 1) chain->tau = grid->sd[draw_index(chain, chain->chance, grid->n)];
    fold_runs(chain, cells, &chain->tau, 1);
    return true;
}

static bool draw_kappa(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_sd_grid *grid = &cells->kappa;
    const struct wr_grid_work *at = &chain->at;
    double n = (double)cells->n_person;

    if (cells->n_person > 0) {
        for (size_t t = 0; t < grid->n; t += WR_GRID_WIDE) {
            if (!factor_effects(chain, cells, grid->sd + t, WR_GRID_WIDE)) return false;
            for (size_t l = 0; l < WR_GRID_WIDE; l++)
                chain->chance[t + l] = grid->log_prior[t + l] - n * log(grid->sd[t + l]) - at->log_det[l]
                                       + 0.5 * at->squares[l];
        }
        chain->kappa = grid->sd[draw_index(chain, chain->chance, grid->n)];
    }
    return factor_effects(chain, cells, &chain->kappa, 1);
}

static void draw_effects(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t R = cells->n_run, D = cells->n_effect;

    for (size_t d = 0; d < D; d++) chain->u[d] = chain->at.half[d * WR_GRID_WIDE] + wr_luck_normal(&chain->luck);
    back_solve(chain, D);
    memset(chain->b, 0, R * sizeof *chain->b);
    for (size_t s = 0; s < R; s++) {
        double v = chain->tau * chain->tau / (1.0 + chain->tau * chain->tau * chain->values->data[s]);
        double pull = chain->weight_b[s];
        for (size_t d = 0; d < D; d++) pull -= chain->rotated[s * D + d] * chain->u[d];
        double along = v * pull + sqrt(v) * wr_luck_normal(&chain->luck);
        for (size_t r = 0; r < R; r++) chain->b[r] += element(chain->vectors, r, s) * along;
    }
    for (size_t i = 0; i < cells->n_cell; i++) {
        double f = chain->b[cells->run[i]];
        for (size_t d = 0; d < D; d++) f += cells->design[i * D + d] * chain->u[d];
        chain->f[i] = f;
    }
}

/* Inverse Gaussian with that mean and shape: Michael, Schucany and Haas (1976), The American Statistician 30, 88-90,
 * the smaller root written so that nothing cancels where the mean is large. */
static double inverse_gaussian(struct wr_luck *luck, double mean, double shape)
{
    double z = wr_luck_normal(luck), t = 0.5 * mean * z * z / shape;
    double root = mean / (1.0 + t + sqrt(t * (t + 2.0)));

    return wr_luck_uniform(luck) * (mean + root) <= mean ? root : mean * mean / root;
}

/* A double exponential is a normal law whose variance v is exponential with mean gamma_sd^2; given gamma its
 * inverse is inverse Gaussian (Park and Casella 2008, Journal of the American Statistical Association 103,
 * 681-686, from memory). The bounds keep the algebra finite where the chain passes 0. */
void wr_draw_gamma_precision(struct wr_chain *chain, const struct wr_cells *cells)
{
    const double least_slope = 1e-6, most_precision = 1e8;
    double sd = cells->priors.gamma_sd, slope = fmax(fabs(chain->u[0] - cells->priors.gamma_mean), least_slope);

    chain->gamma_precision =
        fmin(inverse_gaussian(&chain->luck, M_SQRT2 / (sd * slope), 2.0 / (sd * sd)), most_precision);
}

bool wr_effects_block(struct wr_chain *chain, const struct wr_cells *cells)
{
    build_normal_equations(chain, cells);
    if (!rotate(chain, cells) || !draw_tau(chain, cells) || !draw_kappa(chain, cells)) return false;
    draw_effects(chain, cells);
    draw_plan_line(chain, cells);
    if (cells->n_effect > cells->n_person) wr_draw_gamma_precision(chain, cells);
    return true;
}
