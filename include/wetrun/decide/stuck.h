/* Work that now and then gets stuck: a few steps took far longer than the rest of their task's, and not by its pace
 * alone. The model gives each task a spread of its own, so that one that has not been stuck yet is forecast as steady,
 * though another may get stuck as well as those that were. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/decide/basis.h"

#define WR_STUCK_TOLD 0.005 /* what it costs a limit at least to be told of: half a day of 100 */

struct wr_stuck {                /* start as {0} */
    size_t n_step, n_stuck;      /* times that a task was done and timed; those that it got stuck */
    size_t n_task, n_task_stuck; /* of how many tasks, on how many */
    unsigned char *was;          /* [timing's n_task] 1: it got stuck at least once */
    double least, usual;         /* times as long as usual those took, at least and as a rule (geometric mean) */
    double chance, chance_hi;    /* of a task to get stuck: mean and 95 % point by Jeffreys' prior */
    bool told;                   /* on several tasks, and few times are as far below, or the first of a task */
};
void wr_stuck_find(struct wr_stuck *stuck, const struct wr_timing *timing);
void wr_stuck_release(struct wr_stuck *stuck);

/* How much more probable it is to go over each limit (more[basis->n_limit]) on the same simulated days, if every
 * modelled task that has not been stuck gets stuck as often as all tasks together were, and takes as many times as
 * long as those did. net, durations and limits of the basis are read. */
void wr_stuck_cost(double *more, const struct wr_stuck *stuck, const struct wr_basis *basis, uint64_t seed,
                   unsigned n_thread);
/* Then, the probability and its upper end: as far from it as the forecast's, and as what chance_hi would add, two that
 * have nothing to do with each other. */
struct wr_stuck_over {
    double mean, hi;
};
struct wr_stuck_over wr_stuck_over(const struct wr_stuck *stuck, const struct wr_probability *over, double more);
/* Does what is wanted of a limit rest on it? The forecast's interval is within what is allowed, and this one is not. */
bool wr_stuck_decides(const struct wr_probability *over, const struct wr_stuck_over *then, double confidence);
