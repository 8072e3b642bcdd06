/* A forecast made ready for the kernels: durations as single-precision rows, the network as lists of rows. */
#pragma once

#include "kernel.h"
#include "wetrun/base/error.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"

enum { WR_BLOCK = 256 }; /* trials that go through the kernels together; divides WR_CHUNK */

/* Rows of parameters hold one value per posterior draw and begin anew after the last, for one block more: trial t finds
 * its draw at place t mod n_draw, and a block can be read straight on. With one draw they hold a single value. */
struct wr_task_setup {
    enum wr_form form;
    bool varies;                /* LOG: centre and spread have a value per draw, else one */
    bool paired;                /* skewed error: two normals a trial */
    float *centre, *spread;     /* LOG: log2 minutes */
    float fixed_min;
    size_t effect;              /* which row of effects it carries; FIXED: none */
    bool has_people;            /* somebody's effect is in that row */
    struct wr_score_table *table; /* BENT */
};

struct wr_limit_setup {
    uint32_t lanes;
    bool is_clock;
    size_t from, to;
    float minutes;
    const size_t *last; size_t n_last; /* not a clock: the last tasks of its lanes */
};

struct wr_setup {
    const struct wr_kernel *kernel;
    const struct wr_network *net;
    const struct wr_durations *durations;
    uint64_t seed;
    size_t n_task, n_draw;
    struct wr_task_setup *task;
    float *skew_h, *skew_z, *skew_0; /* rows of parameters */
    float *run_shift, *run_sd;       /* rows of parameters, log2 */
    float *q, *kappa;                /* [person * n_row + …] rows of parameters, log2 */
    size_t n_row;                    /* length of a row of parameters */
    bool has_people, people_vary;    /* somebody has an effect; it differs between trials of one draw */
    float *lane_mean;                /* [lane * n_row + …] mean effect over line-ups, log2; people_vary only */
    uint32_t *effect_lanes; size_t n_effect; /* lanes whose people's mean an effect row holds, beside the run effect;
                                                0: nobody's */
    size_t *end_task; size_t n_end;  /* tasks without successor */
    size_t *succ_first, *succ;       /* successors, as pred_first and pred */
    struct wr_limit_setup *limit; size_t n_limit;
    size_t *limit_last;
    bool scales;                     /* every duration carries the run effect and nothing else sets a time */
    bool same_points;                /* as in wr_sim_options */
    bool drops, clocks, run_effect;  /* some task may be dropped; a limit is a clock; the run effect has a spread in
                                        some draw */
};

/* WR_E_DOMAIN when the durations do not fit the network, or hold a number that is not finite. */
WR_MUST_CHECK enum wr_status wr_setup_build(struct wr_setup *s, const struct wr_kernel *kernel,
                                            const struct wr_network *net, const struct wr_durations *durations,
                                            const struct wr_sim_limit *limit, size_t n_limit, uint64_t seed,
                                            struct wr_error *err);
void wr_setup_release(struct wr_setup *s);

/* Where the rows of parameters are for the block that begins at trial first; rows of a single value do not move. */
static inline size_t wr_setup_place(const struct wr_setup *s, uint64_t first)
{
    return s->n_draw == 1 ? 0 : (size_t)(first % s->n_draw);
}

/* Who is in a lane when the line-up is drawn by u: a person, WR_PERSON_NEW or WR_PERSON_NONE. */
static inline int wr_person_in(const struct wr_durations *d, uint32_t u, size_t lane)
{
    size_t line_up = (size_t)((uint64_t)u * d->n_line_up >> 32);

    return d->line_up[line_up * d->n_lane + lane];
}

/* Effects that trials share between tasks, of the WR_BLOCK trials from first on: rows of WR_BLOCK numbers. */
struct wr_effects {
    float *run_score;       /* standard normal */
    float *run;             /* b less its known part, log2 */
    float *lane;            /* [lane * WR_BLOCK] its person's effect, log2, less the mean over line-ups if they vary */
    float *effect;          /* [effect * WR_BLOCK] what tasks carry, log2 */
};
/* The streams that effects draw from, at the start of a chunk. */
struct wr_effect_streams {
    struct wr_stream run, line_up, *new_person; /* [n_lane] */
};
void wr_effects_fill(const struct wr_setup *s, struct wr_effect_streams *streams, uint64_t first, struct wr_effects *e);
