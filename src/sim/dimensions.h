/* Which dimension of the lattice each random number of a simulated day comes from: the best ones where most depends on
 * them, and the same one in every timeline that is reckoned beside others. */
#pragma once

#include "setup.h"

struct wr_dimensions {      /* start as {0} */
    size_t n;               /* in all */
    size_t run, line_up, new_person;  /* first ones; new_person has one per lane; without people who vary none */
    size_t n_task;          /* most that a timeline has */
    size_t *first, *second; /* [timeline * n_task + task] of z, and of h where the error is skewed */
    uint64_t *identity;     /* [n] what it belongs to, whatever the timeline */
};

/* Of all the timelines together: a task is the same wherever its stream is. */
void wr_dimensions_plan(struct wr_dimensions *d, const struct wr_setup *const *timeline, size_t n_timeline);
void wr_dimensions_release(struct wr_dimensions *d);
