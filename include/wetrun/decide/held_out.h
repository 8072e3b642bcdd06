/* A forecast of one rehearsal made without it: the common part of backtest and debrief. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/basis.h"

enum { WR_HELD_OUT_TASK_DAYS = 2000 };

struct wr_held_out { /* start as {0} */
    size_t n_trial, n_task;
    double *finish_min;   /* [n_trial] ascending */
    size_t n_task_trial;  /* the first n_trial days, at most WR_HELD_OUT_TASK_DAYS; 0 if tasks were not wanted */
    double *task_min;     /* [task * n_task_trial + i] ascending for each task */
};

enum wr_held_out_from { WR_FROM_ALL_OTHERS, WR_FROM_PREDECESSORS };
enum wr_held_out_parts { WR_HELD_OUT_FINISH, WR_HELD_OUT_FINISH_AND_TASKS };

/* The model refitted (one thread) to the rehearsals that `from` names, and n_trial days simulated with the run's own
 * line-up at its own place in time, and with the work that it did: what it skipped and the plan may drop is left out
 * of the days as well, and nothing else is dropped. Of the run itself its place, its people and that enter, and
 * nothing else is used to forecast it. The sampler's options hold, but where more is asked for than a refit needs:
 * with 2 chains of 50 + 250 sweeps the ends of the 80 % band of a finish move by 0.7 and 1.1 min from seed to seed, 3
 * and 4 % of its sd (petrel-7). With 16 rehearsals and more, one is left out of all by weighting the draws of the
 * whole campaign (reweigh.h), where as many of them count as a refit has; else it is refitted. The same arguments
 * give the same numbers. */
WR_MUST_CHECK enum wr_status wr_held_out_make(struct wr_held_out *h, size_t run, enum wr_held_out_from from,
                                              const struct wr_basis *basis, enum wr_held_out_parts parts,
                                              size_t n_trial, struct wr_error *err);
void wr_held_out_release(struct wr_held_out *h);
