/* Plain trials: n simulated days through the kernels, and what is counted on them. The unit of work is a chunk of
 * WR_CHUNK trials; chunks are summed in order, so that threads change nothing. */
#pragma once

#include "setup.h"
#include "tally.h"

enum {
    WR_FINISH_BINS = 8192,
    WR_DETAIL_BINS = 512,
    /* times of single tasks and lanes are counted on the first chunks only, at most so many, and fewer once that makes
     * more than so many times: enough for a chart */
    WR_DETAIL_CHUNKS = 4,
    WR_DETAIL_TIMES = 1 << 25
};

/* Sums over trials of deviations of the finish from finish_window.typical, alone and times what may explain it. */
struct wr_trial_sums {
    double dev, dev_dev;
    double *score_dev;          /* [n_task] */
    double run_dev, run_run;    /* run effect without its known part */
    double *lane_dev;           /* [n_person_lane] people's effects about their mean; all 0 unless people vary */
    double *lane_lane;          /* [n_person_lane * n_person_lane], lower triangle */
    uint64_t *path, *dropped;   /* [n_task] trials in which a task is on the longest path, is left out */
    /* on the detail trials: minutes, were nothing dropped, less the window's typical ones */
    double *minutes, *minutes_minutes; /* [n_task] */
    uint64_t n_detail;                 /* those trials */
};

enum wr_detail { WR_DETAIL_MINUTES, WR_DETAIL_START, WR_DETAIL_END, WR_N_DETAIL };
enum wr_lane_detail { WR_LANE_BUSY, WR_LANE_WAITING, WR_LANE_END, WR_N_LANE_DETAIL };

struct wr_trials { /* start as {0} */
    size_t n_trial, n_task, n_lane, n_person_lane;
    struct wr_trial_sums sums;
    struct wr_window finish_window;
    uint64_t *finish_count;     /* [WR_FINISH_BINS] */
    struct wr_window *window;   /* [n_task * WR_N_DETAIL + n_lane * WR_N_LANE_DETAIL] */
    uint64_t *count;            /* [that * WR_DETAIL_BINS] */
};

/* done(arg, share) is called from the calling thread now and then; NULL: not wanted. */
void wr_trials_run(struct wr_trials *t, const struct wr_setup *setup, size_t n_trial, unsigned n_thread,
                   void (*done)(void *arg, double share), void *arg);
void wr_trials_release(struct wr_trials *t);

static inline const struct wr_window *wr_trials_window(const struct wr_trials *t, size_t task, enum wr_detail what)
{
    return &t->window[task * WR_N_DETAIL + what];
}
static inline const uint64_t *wr_trials_count(const struct wr_trials *t, size_t task, enum wr_detail what)
{
    return &t->count[(task * WR_N_DETAIL + what) * WR_DETAIL_BINS];
}
static inline size_t wr_trials_lane_at(const struct wr_trials *t, size_t lane, enum wr_lane_detail what)
{
    return t->n_task * WR_N_DETAIL + lane * WR_N_LANE_DETAIL + what;
}
