/* Many days walked side by side, a task at a time: the forward pass of decisions that push simulated days along a way
 * and ask when a task then begins. In double precision, on the widest instructions that the processor has, the same
 * bytes on all. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { WR_ABREAST = 32 }; /* days in a row */

/* One task on WR_ABREAST days; every row has that many elements, and one per day. Rates are derivatives by the push. */
struct wr_push_row {
    const double *const *end_min, *const *end_rate; /* [n_before] rows of the tasks that it waits for */
    size_t n_before;
    double floor_min;          /* no start earlier */
    const double *held_min;    /* or NULL: no start earlier, day by day */
    double drop_after_min;     /* INFINITY: it is never dropped */
    bool given;                /* false: it takes minutes * exp(rate * delta); true: minutes as they are, changing by
                                  rate */
    const double *factor;      /* or NULL; of given minutes, which it multiplies, and then rate is that of its log */
    const double *minutes, *rate, *delta;
    double *start_min, *start_rate, *end, *rate_at_end; /* out; where it is dropped, end = start and the rates agree */
    uint64_t *dropped;         /* out: all ones or 0; NULL only if drop_after_min is INFINITY */
};

/* start = the latest of the floors and the ends of those before, with the rate of the first that decides it (0: a
 * floor). */
typedef void wr_push_fn(const struct wr_push_row *row);
wr_push_fn *wr_push_best(void);
