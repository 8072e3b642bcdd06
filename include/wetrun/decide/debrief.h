/* The hour after a rehearsal: what stood out in it against a forecast made from the other rehearsals, and what it
 * changes. Slow and fast are said of a task's own modelled minutes (lead-in + gap + active) against its forecast for
 * that run, with the run's own line-up: beyond the 90 % point, below the 10 % point. Of 30 ordinary tasks about 6 lie
 * outside by chance. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/basis.h"

struct wr_debrief_task {
    size_t task;
    enum wr_cell_state state;
    double actual_min;          /* modelled minutes; of a stopped task a lower bound; 0 if skipped or absent */
    double expected_min, lo_min, hi_min; /* median, 10 and 90 % points of the forecast */
    double rank;                /* share of the forecast below the actual; of a stopped task: at least; 0 if no time was
                                   taken */
    bool is_new;                /* no row, and none could be: the plan that the run followed has it not */
    bool slow, fast;            /* done beyond the 90 % point, or already so when stopped; done below the 10 % point */
    double hold_min, lead_in_min, gap_min;
    bool began_early;           /* before a predecessor had ended */
    bool lead_in_unknown;       /* actual_min is a lower bound, and not judged */
};

struct wr_debrief { /* start as {0} */
    size_t run, n_task, n_lane;
    struct wr_debrief_task *task;       /* [n_task] plan order */
    double *waiting_min;                /* [n_lane] */
    double finish_min;                  /* replay without holds, in the order in which it was done */
    bool complete;                      /* all of the plan that it followed done, or dropped by its rule, and known */
    bool did_its_work;                  /* the same, and whatever it skipped and the plan may drop left out; else a
                                           lower bound, but: */
    bool by_minutes;                    /* see timing/timing.h: nothing is known between its tasks */
    bool finish_stands;                 /* see timing/timing.h: it is none */
    double lens_min[WR_N_LENS];         /* of the forecast of this run's finish, by the plan that is forecast */
    double by_plan_min, rank;           /* its times through that plan, and the share of the forecast below them */
    size_t n_left_out;                  /* skipped, and that plan may drop it: left out of the forecast as well */
    bool by_plan_complete;              /* but for these; else both are lower bounds */
    size_t n_new;                       /* tasks of that plan that the run's own had not: the two cannot be compared */
    size_t n_slow, n_fast, n_judged;    /* judged: done, or stopped beyond its 90 % point */
    double hold_min, unlogged_min;      /* sums; unlogged = lead-in + gap */
    double unknown_min;                 /* time in which work may stand whose time is not known: `compare` has it in the
                                           gaps */
    bool has_before, has_limit;
    struct wr_probability over_before, over_after; /* of the first limit, without and with this run */
    struct wr_second second;            /* of over_after */
    double p50_before_min, p50_after_min;
};

struct wr_debrief_options { /* borrowed */
    const struct wr_timing *followed;   /* the runs beside the plan that they followed; NULL: the basis' */
    const struct wr_plan *rehearsed;    /* that plan; NULL: the basis' */
    const struct wr_forecast *after;    /* as made for the campaign */
    const struct wr_forecast *before;   /* as it would have been made had this run never been; NULL: there is none */
};

/* WR_E_TOO_FEW: fewer than two other rehearsals. */
WR_MUST_CHECK enum wr_status wr_debrief_takes(const struct wr_timing *timing, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_debrief_make(struct wr_debrief *d, size_t run, const struct wr_basis *basis,
                                             const struct wr_debrief_options *options, struct wr_error *err);
void wr_debrief_release(struct wr_debrief *d);
