#include "chain.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/gsl_own.h"

struct sd_law { enum wr_common which; bool lognormal; double most, scale, logsd; struct wr_score_law learnt; };

/* Points of a standard deviation's grid, denser towards 0, and the log prior mass of the cell around each. */
static void make_grid(struct wr_sd_grid *grid, size_t n, const struct wr_priors *p, const struct sd_law *law)
{
    double most = -INFINITY, sum = 0.0;

    grid->n = n;
    for (size_t i = 0; i < n; i++) {
        double low = law->most * pow((double)i / (double)n, 1.5),
               high = law->most * pow((double)(i + 1) / (double)n, 1.5);
        double sd = 0.5 * (low + high), off = log(sd / law->scale) / law->logsd;
        grid->sd[i] = sd;
        grid->log_prior[i] = (law->lognormal ? -0.5 * off * off - log(sd) : -log1p(sd * sd / (law->scale * law->scale)))
                             + log(high - low) + wr_prior_log_ratio(p, law->which, &law->learnt, sd);
        most = fmax(most, grid->log_prior[i]);
    }
    for (size_t i = 0; i < n; i++) sum += exp(grid->log_prior[i] - most);
    for (size_t i = 0; i < n; i++) grid->log_prior[i] -= most + log(sum);
}

static void make_grids(struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;

    const struct sd_law kappa = {WR_COMMON_KAPPA, false, p->kappa_most, p->kappa_scale, 1.0, p->kappa_score};
    const struct sd_law tau = {WR_COMMON_TAU, p->tau_lognormal, p->tau_most, p->tau_scale, p->tau_logsd, p->tau_score};

    make_grid(&cells->kappa, WR_KAPPA_POINTS, p, &kappa);
    if (p->tau_fixed > 0) {
        cells->tau = (struct wr_sd_grid){.n = 1, .sd = {p->tau_fixed}};
    } else {
        make_grid(&cells->tau, WR_TAU_POINTS, p, &tau);
    }
}

static void take_plan(struct wr_cells *cells, const double *log_planned)
{
    const double common = log(10.0); /* without a plan: any level will do, a moves it */
    double n = (double)cells->n_task, sum = 0.0;

    cells->plan_dev = wr_arena_alloc(&cells->memory, cells->n_task, sizeof(double));
    for (size_t k = 0; k < cells->n_task; k++) sum += log_planned ? log_planned[k] : common;
    cells->plan_mean = cells->n_task ? sum / n : common;
    for (size_t k = 0; k < cells->n_task; k++) {
        cells->plan_dev[k] = log_planned ? log_planned[k] - cells->plan_mean : 0.0;
        cells->plan_ss += cells->plan_dev[k] * cells->plan_dev[k];
    }
    cells->level_mean = log_planned ? cells->priors.a_mean : 0.0;
    cells->level_sd = log_planned ? cells->priors.a_sd : cells->priors.a_sd_no_plan;
}

/* What a task's spread goes with: its planned length, or, where nothing was planned, the one logged. */
static void take_lengths(struct wr_cells *cells, bool planned)
{
    double sum = 0.0, n_seen = 0.0;

    cells->length_dev = wr_arena_alloc(&cells->memory, cells->n_task, sizeof(double));
    for (size_t k = 0; k < cells->n_task; k++) {
        double n = (double)(cells->first[k + 1] - cells->first[k]), length = cells->plan_dev[k];
        if (!planned)
            for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) length += cells->log_min[i] / n;
        cells->length_dev[k] = length;
        if (!planned && n == 0) continue;
        sum += length;
        n_seen++;
    }
    for (size_t k = 0; k < cells->n_task; k++) {
        bool seen = planned || cells->first[k + 1] > cells->first[k];
        cells->length_dev[k] = seen ? cells->length_dev[k] - sum / n_seen : 0.0;
        cells->length_ss += cells->length_dev[k] * cells->length_dev[k];
    }
}

/* Numbers the runs that have a cell; number[data->n_run], SIZE_MAX for the others. */
static void number_runs(struct wr_cells *cells, const struct wr_model_data *data, size_t *number)
{
    cells->data_run = wr_arena_alloc(&cells->memory, data->n_run, sizeof(size_t));
    for (size_t r = 0; r < data->n_run; r++) {
        bool seen = false;
        for (size_t k = 0; k < data->n_task; k++) seen |= data->obs[k * data->n_run + r] != WR_OBS_NONE;
        number[r] = seen ? cells->n_run : SIZE_MAX;
        if (seen) cells->data_run[cells->n_run++] = r;
    }
}

static void count_cells(struct wr_cells *cells, const struct wr_model_data *data)
{
    for (size_t i = 0; i < data->n_task * data->n_run; i++) {
        cells->n_cell += data->obs[i] != WR_OBS_NONE;
        cells->n_stopped += data->obs[i] == WR_OBS_STOPPED;
    }
}

static void allocate_cells(struct wr_cells *cells)
{
    size_t D = cells->n_effect;

    cells->first = wr_arena_alloc(&cells->memory, cells->n_task + 1, sizeof(size_t));
    cells->run = wr_arena_alloc(&cells->memory, cells->n_cell, sizeof(size_t));
    cells->log_min = wr_arena_alloc(&cells->memory, cells->n_cell, sizeof(double));
    cells->stopped = wr_arena_alloc(&cells->memory, cells->n_stopped, sizeof(size_t));
    cells->stopped_task = wr_arena_alloc(&cells->memory, cells->n_stopped, sizeof(size_t));
    cells->wide = wr_wide(D);
    cells->design = wr_arena_alloc(&cells->memory, cells->n_cell * cells->wide, sizeof(double));
    cells->design_sum = wr_arena_alloc(&cells->memory, cells->n_task * cells->wide, sizeof(double));
    cells->design_gram = wr_arena_alloc(&cells->memory, cells->n_task * wr_packed(D), sizeof(double));
    cells->design_outer = wr_arena_alloc(&cells->memory, cells->n_task * wr_packed(D), sizeof(double));
}

static bool same_tasks(const struct wr_model_data *data, size_t a, size_t b)
{
    for (size_t k = 0; k < data->n_task; k++)
        if ((data->obs[k * data->n_run + a] == WR_OBS_NONE) != (data->obs[k * data->n_run + b] == WR_OBS_NONE))
            return false;
    return true;
}

/* Runs with cells of the same tasks: most are, where there are many. */
static void find_alike(struct wr_cells *cells, const struct wr_model_data *data)
{
    WR_SCOPED size_t *first = WR_NEW_ARRAY(size_t, cells->n_run); /* run of each set */

    cells->alike = wr_arena_alloc(&cells->memory, cells->n_run, sizeof(size_t));
    cells->n_in_set = wr_arena_alloc(&cells->memory, cells->n_run, sizeof(double));
    for (size_t r = 0; r < cells->n_run; r++) {
        size_t set = 0;
        while (set < cells->n_alike && !same_tasks(data, first[set], cells->data_run[r])) set++;
        if (set == cells->n_alike) first[cells->n_alike++] = cells->data_run[r];
        cells->alike[r] = set;
        cells->n_in_set[set]++;
    }
    cells->is_in = wr_arena_alloc(&cells->memory, cells->n_task * cells->n_alike, sizeof(double));
    for (size_t k = 0; k < cells->n_task; k++)
        for (size_t set = 0; set < cells->n_alike; set++)
            cells->is_in[k * cells->n_alike + set] = data->obs[k * data->n_run + first[set]] != WR_OBS_NONE;
}

static void add_cell(struct wr_cells *cells, const struct wr_model_data *data, size_t task, size_t run, size_t cell)
{
    size_t D = cells->n_effect, learning = D - cells->n_person, from = task * data->n_run + run;
    double *x = cells->design + cell * cells->wide, *sum = cells->design_sum + task * cells->wide;
    double *gram = cells->design_gram + task * wr_packed(D);

    cells->log_min[cell] = data->log_min[from];
    if (learning) x[0] = log(data->order[run]) - log(data->target_order);
    for (size_t p = 0; p < cells->n_person; p++) x[learning + p] = data->person_weight[from * cells->n_person + p];
    for (size_t d = 0, at = 0; d < D; d++) {
        sum[d] += x[d];
        for (size_t c = 0; c <= d; c++, at++) gram[at] += x[d] * x[c];
    }
}

static void take_outer(struct wr_cells *cells)
{
    for (size_t k = 0; k < cells->n_task; k++) {
        const double *sum = cells->design_sum + k * cells->wide;
        double *outer = cells->design_outer + k * wr_packed(cells->n_effect);
        for (size_t d = 0; d < cells->n_effect; d++)
            for (size_t c = 0; c <= d; c++) *outer++ = sum[d] * sum[c];
    }
}

void wr_cells_init(struct wr_cells *cells, const struct wr_model_data *data, const struct wr_priors *priors,
                   const struct wr_log_phi *phi)
{
    size_t cell = 0, stopped = 0, *number = WR_NEW_ARRAY(size_t, data->n_run);

    *cells = (struct wr_cells){.n_task = data->n_task, .n_person = data->n_person,
                               .n_effect = data->n_person + (priors->learning ? 1 : 0), .priors = *priors};
    make_grids(cells);
    take_plan(cells, data->log_planned);
    number_runs(cells, data, number);
    find_alike(cells, data);
    count_cells(cells, data);
    allocate_cells(cells);
    for (size_t k = 0; k < data->n_task; k++) {
        cells->first[k] = cell;
        for (size_t r = 0; r < data->n_run; r++) {
            enum wr_obs obs = data->obs[k * data->n_run + r];
            if (obs == WR_OBS_NONE) continue;
            cells->run[cell] = number[r];
            add_cell(cells, data, k, r, cell);
            if (obs == WR_OBS_STOPPED) {
                cells->stopped[stopped] = cell;
                cells->stopped_task[stopped++] = k;
            }
            cell++;
        }
    }
    cells->first[data->n_task] = cell;
    take_lengths(cells, data->log_planned != NULL);
    wr_free(number);
    take_outer(cells);
    cells->phi = phi;
    wr_ziggurat_build(&cells->ziggurat);
    cells->block = wr_grid_block_best();
}

void wr_cells_release(struct wr_cells *cells)
{
    wr_arena_release(&cells->memory);
}

void wr_chain_init(struct wr_chain *chain, const struct wr_cells *cells, uint64_t seed, size_t number)
{
    size_t C = cells->n_cell, K = cells->n_task, R = cells->n_run, S = cells->n_alike, D = cells->n_effect;
    size_t packed = wr_packed(D), len = packed + D + 1, side = S ? S : 1;
    struct wr_grid_work *at = &chain->at;
    double **by_cell[] = {&chain->y, &chain->shift, &chain->f, &chain->res, &chain->unit_res};
    double **by_task[] = {&chain->mu,     &chain->sigma,   &chain->w,         &chain->sse,       &chain->skew_cross,
                          &chain->loglik, &chain->place,   &chain->log_sigma, &chain->log_tried, &chain->loglik_tried,
                          &chain->quad,   &chain->lin,     &chain->peak,      &chain->info,      &chain->lean,
                          &chain->mean,   &chain->mean_var};
    const struct {
        double **at;
        size_t n;
    } other[] = {{&chain->b, R},
                 {&chain->weight_b, S},
                 {&chain->pull_b, R},
                 {&chain->mean_pull, S},
                 {&chain->own, S},
                 {&chain->off, R},
                 {&chain->lambda, R},
                 {&chain->cross, R * cells->wide},
                 {&chain->less, S * cells->wide},
                 {&chain->pull_u, cells->wide},
                 {&chain->rotated, S * D},
                 {&chain->mean_cross, S * D},
                 {&chain->u, D},
                 {&chain->row, (R + 1) * len},
                 {&at->folded, len * WR_GRID_WIDE},
                 {&at->prior, D * WR_GRID_WIDE},
                 {&at->factor, packed * WR_GRID_WIDE},
                 {&at->half, D * WR_GRID_WIDE},
                 {&chain->line.with_a, S + D},
                 {&chain->line.with_c, S + D},
                 {&chain->chance, WR_TAU_POINTS}};

    *chain = (struct wr_chain){0};
    for (size_t i = 0; i < sizeof by_cell / sizeof *by_cell; i++)
        *by_cell[i] = wr_arena_alloc(&chain->memory, C, sizeof(double));
    chain->far_out = wr_arena_alloc(&chain->memory, C, sizeof *chain->far_out);
    for (size_t i = 0; i < sizeof by_task / sizeof *by_task; i++)
        *by_task[i] = wr_arena_alloc(&chain->memory, K, sizeof(double));
    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        *other[i].at = wr_arena_alloc(&chain->memory, other[i].n, sizeof(double));
    chain->times = wr_arena_alloc(&chain->memory, R, sizeof(size_t));
    chain->normal = wr_gsl_matrix(side, side);
    chain->vectors = wr_gsl_matrix(side, side);
    chain->values = wr_gsl_vector(side);
    chain->eigen = wr_gsl_eigen_symmv(side);
    wr_luck_init(&chain->luck, &cells->ziggurat, seed, number);
}

void wr_chain_release(struct wr_chain *chain)
{
    WR_FREE(chain->normal, chain->vectors, chain->values, chain->eigen);
    wr_arena_release(&chain->memory);
}

/* Stopped cells start somewhere above their bound, as if errors were normal. */
static void impute_stopped(struct wr_chain *chain, const struct wr_cells *cells)
{
    memcpy(chain->y, cells->log_min, cells->n_cell * sizeof *chain->y);
    for (size_t k = 0; k < cells->n_task; k++) chain->w[k] = 1.0 / (chain->sigma[k] * chain->sigma[k]);
    wr_stopped_block(chain, cells);
}

static double any_of(struct wr_luck *luck, const struct wr_sd_grid *grid)
{
    return grid->sd[(size_t)((double)grid->n * wr_luck_uniform(luck))];
}

void wr_chain_start(struct wr_chain *chain, const struct wr_cells *cells)
{
    const struct wr_priors *p = &cells->priors;
    struct wr_luck *luck = &chain->luck;

    chain->log_s0 = p->log_s0_mean + p->log_s0_sd * wr_luck_normal(luck);
    chain->d = p->d_mean + p->d_sd * wr_luck_normal(luck);
    chain->omega_s = p->omega_s_scale * (0.1 + fabs(wr_luck_normal(luck)));
    chain->gamma_precision = 1.0 / (p->gamma_sd * p->gamma_sd);
    chain->rho = p->skew ? p->rho_most * (2.0 * wr_luck_uniform(luck) - 1.0) : 0.0;
    chain->kappa = cells->n_person ? any_of(luck, &cells->kappa) : 0.0;
    chain->tau = any_of(luck, &cells->tau);
    chain->c = 1.0;
    chain->omega = p->omega_scale;
    double off = 0.0, n_seen = 0.0;
    for (size_t k = 0; k < cells->n_task; k++)
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++, n_seen++)
            off += cells->log_min[i] - wr_task_level(chain, cells, k);
    chain->a = n_seen > 0 ? off / n_seen : 0.0;
    for (size_t k = 0; k < cells->n_task; k++) {
        double sum = 0.25 * wr_task_level(chain, cells, k), n = 0.25;
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++, n++) sum += cells->log_min[i];
        chain->mu[k] = sum / n;
        chain->sigma[k] = fmax(exp(chain->log_s0 + chain->d * cells->length_dev[k]), p->sigma_least);
    }
    impute_stopped(chain, cells);
}

/* The run effect of a run that the draw does not know, as if errors were normal and stopped cells done. */
static void guess_run(struct wr_chain *chain, const struct wr_cells *cells, size_t r)
{
    double precision = 1.0 / (chain->tau * chain->tau), pull = 0.0;

    for (size_t k = 0; k < cells->n_task; k++)
        for (size_t i = cells->first[k]; i < cells->first[k + 1]; i++) {
            if (cells->run[i] != r) continue;
            double w = 1.0 / (chain->sigma[k] * chain->sigma[k]), rest = cells->log_min[i] - chain->mu[k];
            rest -= wr_cell_effects(cells, i, chain->u);
            precision += w;
            pull += w * rest;
        }
    chain->b[r] = pull / precision + wr_luck_normal(&chain->luck) / sqrt(precision);
}

void wr_chain_start_at(struct wr_chain *chain, const struct wr_cells *cells, const struct wr_model_data *data,
                       const struct wr_posterior *start, size_t at)
{
    size_t n = start->n_draw, D = cells->n_effect, learning = D - cells->n_person;
    double moved = log(data->target_order) - log(start->target_order);

    chain->log_s0 = log(start->s0[at]);
    chain->d = start->d[at];
    chain->omega_s = start->omega_s[at];
    chain->rho = cells->priors.skew ? start->rho[at] : 0.0;
    chain->kappa = start->kappa[at];
    chain->tau = start->tau[at];
    chain->a = start->a[at] + (learning ? start->gamma[at] * moved : 0.0);
    chain->c = start->c[at];
    chain->omega = start->omega[at];
    if (learning) {
        chain->u[0] = start->gamma[at];
        wr_draw_gamma_precision(chain, cells);
    }
    for (size_t p = 0; p < cells->n_person; p++) chain->u[learning + p] = start->q[p * n + at];
    for (size_t k = 0; k < cells->n_task; k++) { /* the centre belongs to the run that is forecast */
        chain->mu[k] = start->mu[k * n + at] + (learning ? start->gamma[at] * moved : 0.0);
        chain->sigma[k] = start->sigma[k * n + at];
    }
    for (size_t r = 0; r < cells->n_run; r++)
        if (cells->data_run[r] < start->n_run) chain->b[r] = start->b[cells->data_run[r] * n + at];
        else guess_run(chain, cells, r);
    for (size_t i = 0; i < cells->n_cell; i++)
        chain->f[i] = chain->b[cells->run[i]] + wr_cell_effects(cells, i, chain->u);
    impute_stopped(chain, cells);
}

bool wr_chain_sweep(struct wr_chain *chain, const struct wr_cells *cells)
{
    wr_spread_block(chain, cells);
    if (!wr_effects_block(chain, cells)) return false;
    wr_centre_block(chain, cells);
    wr_stopped_block(chain, cells);
    return true;
}
