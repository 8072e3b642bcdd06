/* One chain of the blocked Gibbs sampler, and the blocks of a sweep. Private to the room.
 *
 * The cells that count lie in one list ordered by task, then run. A cell's effects (learning, run, people) are
 *     f = b[run] + sum_d design[d] u[d],    u = (gamma if learning is on, then one q per person).
 * The skew error is e = scale (rho (|h| - C0) + sqrt(1 - rho^2) normal), scale = sigma / sqrt(1 - C0^2 rho^2),
 * C0 = sqrt(2/pi) = E|h|. Given h, the rest of a cell is normal with a precision w that its whole task shares. */
#pragma once

#include <gsl/gsl_eigen.h>
#include <gsl/gsl_matrix.h>
#include "grid_block.h"
#include "log_phi.h"
#include "log_phi_sum.h"
#include "luck.h"
#include "slice.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/duration_model.h"

enum { WR_TAU_POINTS = 48, WR_KAPPA_POINTS = 32 };

struct wr_sd_grid { /* a standard deviation that is drawn exactly, on a grid */
    size_t n;
    double sd[WR_TAU_POINTS], log_prior[WR_TAU_POINTS];
};

/* What all chains share; read only while they run. Runs without a cell have no part in the algebra: n_run counts the
 * others, and data_run says which they are. */
struct wr_cells {
    size_t n_task, n_run, n_person, n_effect, n_cell, n_stopped; /* n_effect = learning + n_person */
    size_t *first;       /* [n_task + 1] */
    size_t *run;         /* [n_cell] */
    size_t *data_run;    /* [n_run] ascending */
    size_t n_alike;      /* sets of runs that have cells of the same tasks */
    size_t *alike;       /* [n_run] the set that it is in */
    double *n_in_set;    /* [n_alike] runs */
    double *is_in;       /* [task * n_alike + set] 1 where there are cells */
    double *log_min;     /* [n_cell]; of stopped cells the lower bound */
    size_t *stopped;     /* [n_stopped] cells */
    size_t *stopped_task;
    size_t wide;         /* wr_wide(n_effect) */
    double *design;      /* [cell * wide + effect] */
    double *design_sum;  /* [task * wide + effect] over the task's cells */
    double *design_gram; /* [task * packed + lower triangle] sum of design design' over the task's cells */
    double *design_outer; /* the same of design_sum design_sum' */
    double *plan_dev;    /* [n_task] log planned less its mean; 0 without plan */
    double plan_mean, plan_ss;
    double *length_dev;  /* [n_task] log length of the task less its mean */
    double length_ss;
    double level_mean, level_sd; /* prior of a */
    struct wr_sd_grid tau, kappa;
    struct wr_priors priors;
    const struct wr_log_phi *phi; /* borrowed */
    struct wr_ziggurat ziggurat;
    const struct wr_grid_block *block; /* what works the grid points here */
    struct wr_arena memory;
};

/* a and c integrated out with the task centres: their precision, and their cross terms with [n_alike + n_effect]. */
struct wr_plan_line {
    double aa, ac, cc, pull_a, pull_c, *with_a, *with_c;
};

struct wr_chain {
    struct wr_luck luck;
    /* state */
    double *y;      /* [n_cell] log minutes, stopped ones imputed */
    double *shift;  /* [n_cell] skew part of the error; within the spread block |h| - C0 */
    double *f;      /* [n_cell] effects */
    double *mu, *sigma;  /* [n_task] */
    double *w;      /* [n_task] precision of a cell given h */
    double *b;      /* [n_run] */
    double *u;      /* [n_effect] */
    double tau, kappa, rho, log_s0, d, omega_s, a, c, omega;
    double gamma_precision; /* 1/v: given v, gamma is normal with variance v */
    /* scratch */
    double *res, *unit_res;                                /* [n_cell] residuals, and in units of sigma */
    size_t *far_out;                                       /* [n_cell] room for unit_sum */
    struct wr_log_phi_sum unit_sum;                        /* of unit_res */
    double *log_sigma, *log_tried, *loglik, *loglik_tried; /* [n_task] spread_block.c says what these are */
    double *quad, *lin, *peak, *info, *lean, *place;       /* [n_task] */
    double *mean, *mean_var;                               /* [n_task] of the cells' means: see centre_block.c */
    double *sse;    /* [n_task] sum of squared residuals */
    double *skew_cross; /* [n_task] sum of residual times (|h| - C0) */
    double *cross;  /* [n_run * wide] */
    double *less, *pull_u; /* [n_alike * wide], [wide] scratch */
    double *rotated, *mean_cross; /* [n_alike * n_effect] */
    double *pull_b; /* [n_run] */
    double *weight_b, *mean_pull, *own; /* [n_alike] */
    double *off;    /* [n_run] scratch */
    double *row;    /* [(n_run + 1) * row_len] base row, then one per eigenvalue: see effects_block.c */
    double *lambda; /* [n_run] of those rows */
    size_t *times;  /* [n_run] how often each is one */
    size_t n_row;
    struct wr_grid_work at; /* at the grid points in work */
    struct wr_plan_line line;
    double *chance; /* [grid points] */
    gsl_matrix *normal, *vectors; /* [n_alike, n_alike] */
    gsl_vector *values;
    gsl_eigen_symmv_workspace *eigen;
    struct wr_arena memory;
};

void wr_cells_init(struct wr_cells *cells, const struct wr_model_data *data, const struct wr_priors *priors,
                   const struct wr_log_phi *phi);
void wr_cells_release(struct wr_cells *cells);

void wr_chain_init(struct wr_chain *chain, const struct wr_cells *cells, uint64_t seed, size_t number);
void wr_chain_release(struct wr_chain *chain);
/* Scattered starting values, different for every chain. */
void wr_chain_start(struct wr_chain *chain, const struct wr_cells *cells);
/* Starting values from one draw of another posterior over the same tasks and people. */
void wr_chain_start_at(struct wr_chain *chain, const struct wr_cells *cells, const struct wr_model_data *data,
                       const struct wr_posterior *start, size_t at);
/* One sweep. False: the algebra broke down. */
bool wr_chain_sweep(struct wr_chain *chain, const struct wr_cells *cells);

/* 1/v given gamma = u[0]: needs learning. */
void wr_draw_gamma_precision(struct wr_chain *chain, const struct wr_cells *cells);

/* The blocks of a sweep, in order. */
void wr_spread_block(struct wr_chain *chain, const struct wr_cells *cells);  /* sigma, s0, d, omega_s, rho, h */
bool wr_effects_block(struct wr_chain *chain, const struct wr_cells *cells); /* tau, kappa, gamma, q, b, a, c */
void wr_centre_block(struct wr_chain *chain, const struct wr_cells *cells);  /* omega, mu */
void wr_stopped_block(struct wr_chain *chain, const struct wr_cells *cells); /* y of stopped cells */

/* Of learning and people: f less the run effect. */
static inline double wr_cell_effects(const struct wr_cells *cells, size_t cell, const double *u)
{
    const double *x = cells->design + cell * cells->wide;
    double sum = 0.0;

    for (size_t d = 0; d < cells->n_effect; d++) sum += x[d] * u[d];
    return sum;
}

static inline double wr_task_level(const struct wr_chain *chain, const struct wr_cells *cells, size_t task)
{
    return cells->plan_mean + chain->a + chain->c * cells->plan_dev[task];
}
