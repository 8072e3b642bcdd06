/* What is at hand while the timing table is filled, one run after the other. Private to this room. */
#pragma once

#include "own_order.h"
#include "people.h"
#include "rehearsed.h"
#include "wetrun/base/str.h"
#include "wetrun/timing/timing.h"

struct place { /* of a row; line 0: none */
    const char *file;
    size_t line;
};

struct differences { struct wr_str text; size_t n; };

struct measuring {
    struct wr_timing *timing;
    const struct wr_run_log *log;
    const struct wr_plan *plan;
    const struct wr_network *net;
    struct wr_findings *findings;
    struct rehearsed known;
    struct wr_names people;
    uint32_t *lanes;                   /* [work * n_run + run] where it was done: by the crew column, else as
                                          rehearsed */
    struct place *lost_row;            /* [work * n_run + run] a rejected row of it, line 0: none */
    struct missing_step *missing; size_t n_missing, room_missing; /* missing_steps.h */
    size_t *first_without;             /* [work] no earlier run is without it (misplaced.c) */
    unsigned char *not_of_run;         /* [work * n_run + run] 1: its rows cannot all be of this run (misplaced.h) */
    size_t *first_step;                /* [n_run + 1] into the log */
    size_t *by_start;                  /* [n_step] the steps of each run as they began */
    double *hold_min;                  /* [n_step] what counts of its hold: that of a stretch told of twice, once */
    size_t *n_done;                    /* [n_work] runs in which it took time */
    double *shortest_min;              /* [n_work] active time where it was done; INFINITY: never */
    unsigned char *never_kept;         /* [edges of net] 1: most runs did not keep it, so it was not rehearsed */
    const struct wr_log_step **stranger; /* [work * n_run + run] a row for another crew than the plan's, or NULL */
    double *ready_min, *ended_min;     /* [n_task] of the run at hand, by the plan: could have begun, has ended */
    size_t *held_by;                   /* [n_task] predecessor that ended last, SIZE_MAX: none */
    double *not_before_min;            /* [n_task] as far as the run at hand kept it */
    double *never_dropped;             /* [n_task] INFINITY */
    double *duration_min, *start_min, *end_min; /* [n_task] replay through the plan */
    struct differences *differences;   /* [n_run] */
    struct wait *wait, *wait_unlogged; /* [n_task] waits.h: what looks like a lead-in; what it waited for by way of a
                                          task without rows */
    struct own_order own;              /* of the run at hand */
    unsigned char *unsure; size_t room_unsure; /* [own.n_piece] 1: its idle time may hold what is missing */
    uint32_t *missing_lanes;           /* [own.n_piece] lanes in which what is missing may stand right before it */
    /* the run at hand */
    size_t r;
    const struct wr_log_run *log_run;
    struct wr_timing_run *run;
    struct place first_row;
    struct place *cell_place;          /* [n_work] first row of each cell of the run */
    bool has_clock;
    bool lacks_step;                   /* of some task a step has no row: it was left out, or done all the same */
    bool began_before;                 /* work whose row was rejected may stand before the first one */
    struct lane_votes votes;
};

static inline size_t cell_index(const struct measuring *j, size_t work, size_t run)
{
    return work * j->timing->n_run + run;
}

static inline struct wr_cell *cell_of(const struct measuring *j, size_t work)
{
    return &j->timing->cell[cell_index(j, work, j->r)];
}

static inline bool took_time(const struct wr_cell *c)
{
    return c->state == WR_CELL_DONE || c->state == WR_CELL_STOPPED;
}

static inline struct place timing_place_of_step(const struct measuring *j, const struct wr_log_step *step)
{
    return (struct place){j->log->file[step->file], step->line};
}

/* The run as a whole: its file, no line. */
static inline struct place timing_place_of_run(const struct measuring *j)
{
    return (struct place){j->first_row.file, 0};
}

/* The run at hand did not keep to the plan: where, in words. */
WR_PRINTF(2, 3) void timing_differs(struct measuring *j, const char *fmt, ...);
WR_PRINTF(5, 6)
void timing_report(const struct measuring *j, enum wr_severity severity, const char *code, struct place at,
                   const char *fmt, ...);
