/* Simulated days that can be walked through the network again after a push.
 *
 * A day is a vector of independent standard normals: one for the run effect and one per task (struct wr_scenarios). A
 * way is a unit direction a >= 0 in that space; day x stands at a.x on it and x + delta a is the same day pushed by
 * delta. Everything that does not lie on the way stays as it was, so position and rest are independent. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/memory.h"
#include "wetrun/decide/update.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/sim/scenarios.h"

struct wr_bend; /* the rising function of a bent task, tabulated */
struct wr_tail_table;

struct wr_days {
    const struct wr_network *net;
    const struct wr_now_state *now; /* or NULL */
    size_t n_trial, n_task, n_draw;
    unsigned char *form;       /* [n_task] enum wr_form: how minutes answer to a push */
    double **base_min;         /* [n_task] rows of [n_trial] */
    struct wr_arena rows;      /* of those that are its own */
    const float *z;            /* [task * n_trial + trial] */
    const float *run_score;    /* [n_trial] */
    const size_t *draw;        /* [n_trial] */
    double *slope;             /* [task * n_draw + draw] */
    double *run_sd;            /* [draw] of the run effect on log minutes */
    struct wr_bend *bend;      /* [n_task] */
    struct wr_tail_table *tail; /* NULL while nothing runs */
    size_t *running, n_running; /* the tasks that run and have a spread */
    double **running_log;      /* [n_task] of those: [n_trial] log minutes at z = 0; NULL for others */
    double *elapsed_log;       /* [n_task] of those: log minutes that it has run, -INFINITY: none */
    double *floor_min;         /* [n_task] no task begins earlier: not_before, and now */
    double *drop_after_min;    /* [n_task] INFINITY: no rule, or it has begun */
    bool borrows;              /* by wr_days_again */
    bool weighted;             /* a task is running or past, or the run effect's law needs correcting */
    double *past_log_weight;   /* [n_trial] past.h; NULL: no task is past */
    bool past_either_way;      /* what a day weighs by its past belongs to its run effect: it is not to be pushed */
    /* The days as they are, once wr_days_walk_all() has been called; [task * n_trial + trial] */
    double *start_min, *end_min;
    double *start_rate;        /* rise of the start if all scores rose together: 0 if nothing with a spread decides
                                  it */
    double *weight;            /* [n_trial] */
};

/* exp(run effect), and what else was done to it, in the minutes of a judged task on a day as it is. */
double wr_days_bend_factor(const struct wr_days *days, size_t trial, size_t task);

/* Borrows from all that is given. */
void wr_days_make(struct wr_days *days, const struct wr_network *net, const struct wr_durations *durations,
                  const struct wr_scenarios *scenarios, const struct wr_now_state *now);
/* The same days once more, to be changed and walked: their minutes, forms and rules are their own, all else is
 * borrowed. */
void wr_days_again(struct wr_days *again, const struct wr_days *days);
/* Minutes of a task, to be changed. */
double *wr_days_own_minutes(struct wr_days *days, size_t task);
void wr_days_release(struct wr_days *days);

/* Walks all days as they are (abreast.c). */
void wr_days_walk_all(struct wr_days *days);

/* True if start and outcome of every task scale with the run effect in every draw: no time is fixed, by a task or by a
 * rule. */
bool wr_days_scale(const struct wr_days *days);

struct wr_way {
    double run, *task;         /* components, [n_task]; unit length together */
    double *at;                /* [n_trial] where each simulated day stands on it */
    double *rate;              /* [task * n_draw + draw] of the log of minutes by the push, of WR_FORM_LOG */
};
void wr_way_init(struct wr_way *way, const struct wr_days *days); /* all components 0 */
/* Scales the components to unit length and finds where the days stand, and their rates; false if they are all 0. */
bool wr_way_normalise(struct wr_way *way, const struct wr_days *days);
void wr_way_find_rates(struct wr_way *way, const struct wr_days *days); /* of components of any length */
void wr_way_release(struct wr_way *way);

/* Minutes that a task takes on a pushed day, and their derivatives by its z and by the run effect's score. */
struct wr_taken {
    double minutes, by_z, by_run;
};
/* It runs or is done: it began at the same time on every day. */
static inline bool wr_days_begin_is_known(const struct wr_days *days, size_t task)
{
    return days->now && (days->now->state[task] == WR_NOW_DONE || days->now->state[task] == WR_NOW_RUNNING);
}

/* When work that is past began and ended is when that was reported, whatever lead-in or wait came before, and no later
 * than what was reported leaves; there no day's minutes move it. */
static inline void wr_days_pin_past(const struct wr_days *days, size_t task, double *begin_min, double *begin_rate,
                                    double *end_min, double *end_rate)
{
    const struct wr_now_state *now = days->now;

    if (!now || now->state[task] != WR_NOW_PAST) return;
    if (now->begin_known[task] == WR_NOW_REPORTED) {
        *begin_min = now->begin_min[task];
        *begin_rate = 0;
    }
    if (now->end_known[task] == WR_NOW_REPORTED || *end_min > now->end_min[task]) {
        *end_min = now->end_min[task];
        *end_rate = 0;
    }
}

/* What a running task was held, besides its work, less its lead-in, which was over when it began: so much later than
 * its begin its minutes start to count. */
static inline double wr_days_held_min(const struct wr_days *days, size_t task)
{
    const struct wr_now_state *now = days->now;

    if (!now || now->state[task] != WR_NOW_RUNNING) return 0;
    return now->hold_min[task] - (now->before_min ? now->before_min[task] : 0);
}

/* Of a task that has begun: true, and the minutes at work that it takes in all. */
bool wr_days_begun(const struct wr_days *days, const struct wr_way *way, size_t trial, size_t task, double delta,
                   struct wr_taken *taken);

/* Of a running task of WR_FORM_LOG on days trial[n], each pushed by its delta: log of those minutes, and
 * the derivative of that by the push. */
void wr_days_run_on(const struct wr_days *days, const struct wr_way *way, const size_t *trial, size_t n, size_t task,
                    const double *delta, double *minutes_log, double *rate);

/* Room for one walk of one day; all arrays [n_task]. Many days at once: abreast.h. */
struct wr_walk {
    double *start_min, *end_min;
    double *start_rate, *end_rate; /* derivative by the push */
    double *minutes, *by_z, *by_run; /* minutes taken and their derivatives by z and by the run effect's score */
    size_t *waited_for;        /* the predecessor that decided the start; SIZE_MAX: none did */
    unsigned char *dropped;
};
void wr_walk_init(struct wr_walk *walk, size_t n_task);
void wr_walk_release(struct wr_walk *walk);

/* Walks the tasks of list[n] (in network order, closed under predecessors) on one day pushed by delta along way. */
void wr_days_walk(const struct wr_days *days, const struct wr_way *way, const size_t *list, size_t n, size_t trial,
                  double delta, struct wr_walk *walk);

/* What the limit's minutes are compared with on a day as it is. */
double wr_days_outcome(const struct wr_days *days, const struct wr_sim_limit *limit, size_t trial);

/* Log weight of a day pushed by delta, in comparison with its standard normals; 0 if days->weighted is false. */
double wr_days_log_weight(const struct wr_days *days, const struct wr_way *way, size_t trial, double delta);

/* Adds factor times the gradient of the start of task k in the walk to run and task[n_task] (by standard normals). */
void wr_walk_gradient(const struct wr_walk *walk, size_t k, double factor, double *run, double *task);
