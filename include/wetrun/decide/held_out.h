/* A forecast of one rehearsal made without it: the common part of backtest and debrief. */
#ifndef WETRUN_DECIDE_HELD_OUT_H
#define WETRUN_DECIDE_HELD_OUT_H

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/timing/timing.h"

struct wr_held_out { /* start as {0} */
    size_t n_trial, n_task;
    double *finish_min;   /* [n_trial] ascending */
    double *task_min;     /* [task * n_trial + i] ascending for each task */
};

enum wr_held_out_from { WR_FROM_ALL_OTHERS, WR_FROM_PREDECESSORS };

/* The model refitted (one thread) to the rehearsals that `from` names, and n_trial days simulated with the run's own line-up
 * at its own place in time; drop rules off. The same arguments give the same numbers. */
WR_MUST_CHECK enum wr_status wr_held_out_make(struct wr_held_out *h, size_t run, enum wr_held_out_from from,
                                              const struct wr_plan *plan, const struct wr_network *net,
                                              const struct wr_timing *timing, const struct wr_model_fit *fit,
                                              const struct wr_fit_options *options, size_t n_trial,
                                              struct wr_error *err);
void wr_held_out_release(struct wr_held_out *h);

#endif
