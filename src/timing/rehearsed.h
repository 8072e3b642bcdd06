/* What is known about the work of a campaign before one looks at a single run: the tasks of the plan and whatever else
 * was logged, and what each had to wait for when it was rehearsed. That is what the plan as rehearsed says, where there
 * is one, else the plan. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/network/network.h"

struct rehearsed_crew { /* a crew text of the log, taken apart */
    uint8_t order[WR_MAX_LANES];
    size_t n;         /* lanes of the plan, as ordered; 0: it names none, or one that the plan does not have */
    uint32_t planned; /* the same as bits */
    uint32_t lanes;   /* those that the plan does not have included; 0: it names none */
};

struct rehearsed { /* start as {0} */
    size_t n_plan, n_work;       /* work 0 … n_plan - 1: the tasks of the plan; then work that it does not have */
    struct wr_names ids;         /* [n_work] */
    struct wr_names lane_names;  /* those of the plan first */
    struct wr_names crew_names;  /* crew texts that were met */
    uint32_t last_crew;
    struct rehearsed_crew *crew; size_t n_crew, room_crew; /* the same, taken apart */
    struct wr_arena text;
    const struct wr_plan *plan, *as_rehearsed;
    size_t *of_log_task;         /* [log tasks] its work */
    const struct wr_plan_task **task; /* [n_work] as rehearsed, else as planned; NULL: only the log knows it */
    unsigned char *was_there;    /* [n_work] 1: in some row of the log, or in a plan as rehearsed */
    uint32_t *lanes;             /* [n_work] as rehearsed or planned; 0: not known */
    double *not_before_min;      /* [n_work] 0: none */
    size_t *pred_first, *pred;   /* [n_work + 1] what it waits for: the lane before it, and `after` */
    unsigned char *by_after;     /* [pred] 1: by `after`, whatever the lanes */
    unsigned char *never_kept;   /* [pred] 1: by `after`, or of work that no run did, but most runs did not wait for
                                    that, or for what it waits for: not rehearsed */
    size_t *order, n_order;      /* work that has a task, what is waited for first */
};

/* as_rehearsed NULL: there is none. WR_E_INPUT if it goes round in a circle. Borrows plans and log. */
WR_MUST_CHECK enum wr_status rehearsed_make(struct rehearsed *known, const struct wr_run_log *log,
                                            const struct wr_plan *plan, const struct wr_network *net,
                                            const struct wr_plan *as_rehearsed, struct wr_error *err);
void rehearsed_release(struct rehearsed *known);
/* Valid until the next call. */
const struct rehearsed_crew *rehearsed_crew(struct rehearsed *known, const char *text);
static inline const char *rehearsed_id(const struct rehearsed *known, size_t work)
{
    return known->ids.name[work].text;
}
