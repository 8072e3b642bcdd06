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
 * where L L' = V(tau) + prior precisions of u. All that depends on tau is linear in v, so one row per eigenvalue
 * holds the sums over its eigenvectors of [lower triangle of BU BU', BU U'g, (U'g)^2], and a grid point costs one
 * weighted sum of rows.
 * Runs that have cells of the same tasks are alike in A: in a set of n of them, what sets them apart (b less the set's
 * mean) has the eigenvalue sum_k w[k] of the set's tasks, n - 1 times, and only the sets' means are left to a
 * decomposition, with A scaled by the roots of the sets' sizes. So neither the time of that, a cube, nor the number of
 * rows grows with rehearsals that are complete.
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
    memset(line->with_a, 0, (cells->n_alike + cells->n_effect) * sizeof *line->with_a);
    memset(line->with_c, 0, (cells->n_alike + cells->n_effect) * sizeof *line->with_c);
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
    for (size_t set = 0; set < cells->n_alike; set++) {
        double s = left * cells->is_in[task * cells->n_alike + set];
        line->with_a[set] += s;
        line->with_c[set] += s * dev;
    }
    for (size_t d = 0; d < cells->n_effect; d++) {
        double s = left * cells->design_sum[task * cells->wide + d];
        line->with_a[cells->n_alike + d] += s;
        line->with_c[cells->n_alike + d] += s * dev;
    }
}

/* Takes a and c out of the quadratic form in (b, u): less its cross terms times the inverse of theirs. */
static void integrate_plan_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    struct wr_plan_line *line = &chain->line;
    size_t S = cells->n_alike, D = cells->n_effect;
    double det = line->aa * line->cc - line->ac * line->ac, *l = chain->row + wr_packed(D), *by = chain->mean_cross;

    for (size_t i = 0; i < S + D; i++) {
        double a = (line->cc * line->with_a[i] - line->ac * line->with_c[i]) / det;
        double c = (line->aa * line->with_c[i] - line->ac * line->with_a[i]) / det;
        double pull = a * line->pull_a + c * line->pull_c;
        if (i < S) chain->mean_pull[i] = pull;
        else l[i - S] -= pull;
        for (size_t j = 0; j <= i; j++) {
            double shared = a * line->with_a[j] + c * line->with_c[j];
            if (i < S) chain->normal->data[i * chain->normal->tda + j] -= shared;
            else if (j < S) by[j * D + i - S] = shared;
            else chain->row[wr_packed(i - S) + j - S] -= shared;
        }
    }
    for (size_t r = 0; r < cells->n_run; r++) {
        size_t set = cells->alike[r];
        chain->pull_b[r] -= chain->mean_pull[set];
        for (size_t d = 0; d < D; d++)
            chain->cross[r * cells->wide + d] -= by[set * D + d] + chain->less[set * cells->wide + d];
    }
}

static void draw_plan_line(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_plan_line *line = &chain->line;
    double pull_a = line->pull_a, pull_c = line->pull_c;

    for (size_t i = 0; i < cells->n_run + cells->n_effect; i++) {
        bool is_run = i < cells->n_run;
        size_t at = is_run ? cells->alike[i] : cells->n_alike + i - cells->n_run;
        double value = is_run ? chain->b[i] : chain->u[i - cells->n_run];
        pull_a -= line->with_a[at] * value;
        pull_c -= line->with_c[at] * value;
    }
    double left = line->cc - line->ac * line->ac / line->aa;
    double c = (pull_c - line->ac / line->aa * pull_a) / left + wr_luck_normal(&chain->luck) / sqrt(left);
    chain->c = 1.0 + c;
    chain->a = cells->level_mean + (pull_a - line->ac * c) / line->aa + wr_luck_normal(&chain->luck) / sqrt(line->aa);
}

/* What A has beside its diagonal into chain->normal (lower triangle, by sets), the diagonal into own, g into pull_b, B
 * into cross, V and l into the base row. */
static void build_normal_equations(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t R = cells->n_run, S = cells->n_alike, D = cells->n_effect, packed = wr_packed(D), wide = cells->wide;
    double prior = 1.0 / (chain->omega * chain->omega), *e = chain->unit_res;

    memset(chain->row, 0, (packed + D + 1) * sizeof *chain->row);
    if (S > 0) gsl_matrix_set_zero(chain->normal);
    memset(chain->own, 0, S * sizeof *chain->own);
    memset(chain->pull_b, 0, R * sizeof *chain->pull_b);
    memset(chain->pull_u, 0, wide * sizeof *chain->pull_u);
    memset(chain->cross, 0, R * wide * sizeof *chain->cross);
    memset(chain->less, 0, S * wide * sizeof *chain->less);
    plan_line_start(chain, cells);
    for (size_t k = 0; k < cells->n_task; k++) {
        size_t from = cells->first[k], to = cells->first[k + 1];
        double w = chain->w[k], total = w * (double)(to - from) + prior, sum = 0.0;
        const struct wr_task_cells task = {.n = to - from, .n_effect = D, .n_alike = S, .run = cells->run + from,
                                           .design = cells->design + from * wide, .e = e + from,
                                           .sum = cells->design_sum + k * wide,
                                           .gram = cells->design_gram + k * packed,
                                           .outer = cells->design_outer + k * packed, .is_in = cells->is_in + k * S,
                                           .w = w, .shared = w * w / total};

        if (from == to) continue;
        for (size_t i = from; i < to; i++) sum += e[i] = chain->y[i] - chain->shift[i];
        double centre = (w * sum + prior * prior_level(cells, k)) / total;
        double left = w * prior / total;
        for (size_t i = from; i < to; i++) {
            e[i] = w * (e[i] - centre);
            chain->pull_b[cells->run[i]] += e[i];
        }
        cells->block->take_task(&task, chain->row, chain->pull_u, chain->cross, chain->less);
        for (size_t set = 0; set < S; set++) chain->own[set] += w * task.is_in[set];
        cells->block->share(chain->normal->data, chain->normal->tda, task.is_in, task.shared, S);
        add_to_plan_line(chain, cells, k, left, w * (sum - (double)(to - from) * centre));
    }
    memcpy(chain->row + packed, chain->pull_u, D * sizeof *chain->row);
    integrate_plan_line(chain, cells);
}

/* Another row: what goes with an eigenvalue that is one so many times, still without a share. */
static double *add_row(struct wr_chain *chain, size_t len, double eigenvalue, size_t times)
{
    double *row = chain->row + (chain->n_row + 1) * len;

    chain->lambda[chain->n_row] = fmax(eigenvalue, 0.0); /* A is positive semidefinite: below 0 only by rounding */
    chain->times[chain->n_row++] = times;
    memset(row, 0, len * sizeof *row);
    return row;
}

/* A direction's share in a row: its cross terms and its linear part. */
static void add_direction(double *row, const double *cross, double pull, size_t n_effect)
{
    size_t packed = wr_packed(n_effect);

    for (size_t d = 0, at = 0; d < n_effect; d++)
        for (size_t c = 0; c <= d; c++, at++) row[at] += cross[d] * cross[c];
    for (size_t d = 0; d < n_effect; d++) row[packed + d] += cross[d] * pull;
    row[packed + n_effect] += pull * pull;
}

/* Means over the sets of pull_b and cross, times the roots of their sizes, into mean_pull and mean_cross; what is left
 * of each run stays where it is. */
static void take_set_means(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t D = cells->n_effect;

    memset(chain->mean_pull, 0, cells->n_alike * sizeof *chain->mean_pull);
    memset(chain->mean_cross, 0, cells->n_alike * D * sizeof *chain->mean_cross);
    for (size_t r = 0; r < cells->n_run; r++) {
        size_t set = cells->alike[r];
        double per = 1.0 / sqrt(cells->n_in_set[set]);
        chain->mean_pull[set] += per * chain->pull_b[r];
        for (size_t d = 0; d < D; d++) chain->mean_cross[set * D + d] += per * chain->cross[r * cells->wide + d];
    }
    for (size_t r = 0; r < cells->n_run; r++) {
        size_t set = cells->alike[r];
        double per = 1.0 / sqrt(cells->n_in_set[set]);
        chain->pull_b[r] -= per * chain->mean_pull[set];
        for (size_t d = 0; d < D; d++) chain->cross[r * cells->wide + d] -= per * chain->mean_cross[set * D + d];
    }
}

/* A row for what sets the runs of each set apart. */
static void add_sets_apart(struct wr_chain *chain, const struct wr_cells *cells, size_t len)
{
    size_t D = cells->n_effect;

    for (size_t set = 0; set < cells->n_alike; set++) {
        if (!(cells->n_in_set[set] > 1)) continue;
        double *row = add_row(chain, len, chain->own[set], (size_t)cells->n_in_set[set] - 1);
        for (size_t r = 0; r < cells->n_run; r++)
            if (cells->alike[r] == set) add_direction(row, chain->cross + r * cells->wide, chain->pull_b[r], D);
    }
}

/* Turns the sets' means into the eigenvectors' frame; a row per eigenvector, then those of the sets. */
static bool rotate(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t S = cells->n_alike, D = cells->n_effect, len = wr_packed(D) + D + 1;

    chain->n_row = 0;
    if (S == 0) return true;
    take_set_means(chain, cells);
    for (size_t i = 0; i < S; i++)
        for (size_t j = 0; j <= i; j++) {
            double *at = chain->normal->data + i * chain->normal->tda + j;
            *at = *at * sqrt(cells->n_in_set[i] * cells->n_in_set[j]) + (i == j ? chain->own[i] : 0.0);
        }
    if (gsl_eigen_symmv(chain->normal, chain->values, chain->vectors, chain->eigen)) return false;
    for (size_t s = 0; s < S; s++) {
        double pull = 0.0, *bu = chain->rotated + s * D;
        memset(bu, 0, D * sizeof *bu);
        for (size_t set = 0; set < S; set++) {
            double v = element(chain->vectors, set, s);
            pull += v * chain->mean_pull[set];
            for (size_t d = 0; d < D; d++) bu[d] += v * chain->mean_cross[set * D + d];
        }
        add_direction(add_row(chain, len, chain->values->data[s], 1), bu, pull, D);
        chain->weight_b[s] = pull; /* U'g, kept until b is drawn */
    }
    add_sets_apart(chain, cells, len);
    return isfinite(chain->row[len + len - 1]);
}

/* Every lane at its own tau, or all at the same. */
static void fold_runs(struct wr_chain *chain, const struct wr_cells *cells, const double *tau, size_t n)
{
    for (size_t l = 0; l < WR_GRID_WIDE; l++) chain->at.tau[l] = tau[n > 1 ? l : 0];
    cells->block->fold(&chain->at, chain->row, chain->lambda, chain->times, chain->n_row, cells->n_effect);
}

static bool factor_effects(struct wr_chain *chain, const struct wr_cells *cells, const double *kappa, size_t n)
{
    size_t D = cells->n_effect, learning = D - cells->n_person;
    struct wr_grid_work *at = &chain->at;
    double precision[WR_GRID_WIDE];

    for (size_t l = 0; l < WR_GRID_WIDE; l++) {
        double sd = kappa[n > 1 ? l : 0];
        precision[l] = 1.0 / (sd * sd);
    }
    for (size_t d = 0; d < D; d++)
        for (size_t l = 0; l < WR_GRID_WIDE; l++)
            at->prior[d * WR_GRID_WIDE + l] = d < learning ? chain->gamma_precision : precision[l];
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

/* A part of b along a direction of that eigenvalue, given u: its linear part less its cross terms times u. */
static double draw_along(struct wr_chain *chain, const struct wr_cells *cells, double eigenvalue, double pull,
                         const double *cross)
{
    double tau2 = chain->tau * chain->tau, v = tau2 / (1.0 + tau2 * eigenvalue);

    for (size_t d = 0; d < cells->n_effect; d++) pull -= cross[d] * chain->u[d];
    return v * pull + sqrt(v) * wr_luck_normal(&chain->luck);
}

/* What sets the runs of each set apart: drawn for every run as if it were free, then less the set's mean. */
static void draw_runs_apart(struct wr_chain *chain, const struct wr_cells *cells)
{
    double *mean = chain->mean_pull;

    memset(mean, 0, cells->n_alike * sizeof *mean);
    for (size_t r = 0; r < cells->n_run; r++) {
        size_t set = cells->alike[r];
        bool alone = !(cells->n_in_set[set] > 1);
        chain->off[r] = alone ? 0.0
                              : draw_along(chain, cells, chain->own[set], chain->pull_b[r],
                                           chain->cross + r * cells->wide);
        mean[set] += chain->off[r] / cells->n_in_set[set];
    }
    for (size_t r = 0; r < cells->n_run; r++) chain->off[r] -= mean[cells->alike[r]];
}

/* n_effect is known where this is inlined, so that there is no loop: learning and two crews of two, or learning alone,
 * are most campaigns. */
static inline __attribute__((always_inline)) void take_effects(struct wr_chain *chain, const struct wr_cells *cells,
                                                               size_t n_effect)
{
    const double *x = cells->design, *u = chain->u, *b = chain->b;
    double *restrict f = chain->f;

    for (size_t i = 0; i < cells->n_cell; i++, x += cells->wide) {
        double sum = b[cells->run[i]];
        for (size_t d = 0; d < n_effect; d++) sum += x[d] * u[d];
        f[i] = sum;
    }
}

static void draw_effects(struct wr_chain *chain, const struct wr_cells *cells)
{
    size_t S = cells->n_alike, D = cells->n_effect;

    for (size_t d = 0; d < D; d++) chain->u[d] = chain->at.half[d * WR_GRID_WIDE] + wr_luck_normal(&chain->luck);
    back_solve(chain, D);
    draw_runs_apart(chain, cells);
    double *mean = chain->mean_pull;
    memset(mean, 0, S * sizeof *mean);
    for (size_t s = 0; s < S; s++) {
        double along = draw_along(chain, cells, chain->lambda[s], chain->weight_b[s], chain->rotated + s * D);
        for (size_t set = 0; set < S; set++) mean[set] += element(chain->vectors, set, s) * along;
    }
    for (size_t r = 0; r < cells->n_run; r++)
        chain->b[r] = chain->off[r] + mean[cells->alike[r]] / sqrt(cells->n_in_set[cells->alike[r]]);
    switch (D) {
    case 1: take_effects(chain, cells, 1); break;
    case 3: take_effects(chain, cells, 3); break;
    case 5: take_effects(chain, cells, 5); break;
    default: take_effects(chain, cells, D); break;
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
