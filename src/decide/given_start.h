/* Probability of staying inside a limit given that a task begins at s: the estimator behind cut-offs (cutoff.h has the
 * definition and the ways of computing it). It begins, so on these days it is not dropped, whatever its own drop_after:
 * days on which it is say nothing of what its minutes do to the limit. One object per task and limit; not shared
 * between threads. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "abreast.h"
#include "days.h"
#include "wetrun/sim/forecast.h"

enum { WR_GIVEN_PARTS = WR_SCENARIO_PARTS, WR_GIVEN_SIDE = 7 };

struct wr_tally {              /* weighted counts of the days on which the task begins at s */
    double sum, sum_squares, inside;
    double part_sum[WR_GIVEN_PARTS], part_inside[WR_GIVEN_PARTS]; /* the same in parts of the days */
};
static inline void wr_tally_add(struct wr_tally *t, size_t part, double weight, double inside)
{
    t->sum += weight;
    t->sum_squares += weight * weight;
    t->part_sum[part] += weight;
    t->inside += weight * inside;
    t->part_inside[part] += weight * inside;
}
static inline double wr_tally_share(const struct wr_tally *t)
{
    return t->sum > 0 ? t->inside / t->sum : 0.0;
}
static inline double wr_tally_effective(const struct wr_tally *t)
{
    return t->sum_squares > 0 ? t->sum * t->sum / t->sum_squares : 0.0;
}

enum wr_given_mode {
    WR_GIVEN_SCALED,           /* everything carries the run effect: start and finish scale with it */
    WR_GIVEN_RISING,           /* the start rises along the way: one root per day */
    WR_GIVEN_PIECES            /* it may fall (work that is dropped, a clock): every piece between drops has its own
                                  root */
};

/* Starts, or clock readings, over the days as they are; the same for all limits that are no clocks. */
struct wr_start_law {
    double typical_min;        /* weighted median */
    double log_median, log_sd; /* of the log of those that move */
    size_t n_moves;            /* days on which something that could be otherwise decided the start */
};

struct wr_piece;
struct wr_root;
struct wr_known_starts;

/* What limits on the same lanes, or of the same clock, have in common. */
struct wr_given_end {
    const struct wr_sim_limit *limit; /* the first of them */
    bool upstream;             /* they depend on the task */
    bool beside;               /* a clock's end waits for the task, which neither follows its beginning nor leads to
                                  it */
    size_t *list, n_list;      /* what the outcome depends on */
    double *out_min;           /* [n_trial] outcome of the days as they are, to be compared with a limit's minutes */
    double *log_out;           /* WR_GIVEN_SCALED: see below */
};

/* One limit, whatever is wished of it. */
struct wr_given_asked {
    const struct wr_sim_limit *limit;
    size_t end;
    struct wr_tally tally;     /* the last */
};

struct wr_given {
    const struct wr_days *days;
    struct wr_given_end *end; size_t n_end;
    struct wr_given_asked *asked; size_t n_asked;
    const struct wr_sim_limit *limit; /* the one that is asked about */
    size_t now;                /* its place in asked[] */
    size_t task;
    enum wr_given_mode mode, mode_on_way; /* now, and once a way has been chosen */
    struct wr_way way;
    struct wr_walk walk;         /* of one day */
    struct wr_abreast abreast;   /* of many */
    size_t *start_list, n_start_list; /* what the start depends on, the task itself included */
    size_t *out_list, n_out_list;     /* what any of the outcomes depends on: first what the start does */
    size_t *ruled, n_ruled;    /* what of it may be dropped, first what the start waits for */
    size_t n_ruled_before;     /* so many of those */
    unsigned char *part;       /* [n_trial] wr_given_part() */
    double *out_now, *out_rate; /* [end * WR_ABREAST + i] outcomes of the days that abreast has walked, and their
                                  derivatives by the push */
    /* of the days as they are */
    double *start_min;         /* [n_trial] start or clock reading */
    unsigned char *moves;      /* [n_trial] 0: nothing that could be otherwise decided the start */
    const double *weight;      /* [n_trial] borrowed from days */
    struct wr_start_law law;
    /* roots */
    struct wr_root *root;      /* [n_trial] the last one found */
    struct wr_piece *piece; size_t n_piece, room_piece, *piece_first; /* [n_trial + 1] */
    size_t n_piece_trial;      /* days for which pieces are there */
    size_t n_first_piece;      /* of a day, before any is cut */
    uint64_t *was_dropped; double *was_start; /* [n_task * WR_ABREAST] scratch */
    /* WR_GIVEN_SCALED: logs at run effect 0; of each end's outcome at WR_GIVEN_SIDE places along a direction of the
     * tasks that the start does not depend on, so that a day says with which probability it stays inside and not only
     * whether */
    double *log_start;
};

/* Limits of one task for which the start means the same: none is a clock, or all are the same clock. All is borrowed;
 * the days have been walked as they are (wr_days_walk_all). The first limit is asked about. */
void wr_given_init(struct wr_given *given, const struct wr_days *days, const struct wr_sim_limit *const *limit,
                   size_t n_limit, size_t task);
void wr_given_release(struct wr_given *given);
/* Turns to another limit of those. */
void wr_given_ask(struct wr_given *given, const struct wr_sim_limit *limit);

static inline const struct wr_given_end *wr_given_end(const struct wr_given *given)
{
    return &given->end[given->asked[given->now].end];
}
/* Start, or clock reading, on day i of those that given->abreast has walked, and its derivative by the push. */
static inline double wr_given_start(const struct wr_given *given, size_t i)
{
    const double *start = given->abreast.start_min + i;

    return start[given->task * WR_ABREAST] - (given->limit->is_clock ? start[given->limit->from * WR_ABREAST] : 0);
}
static inline double wr_given_start_rate(const struct wr_given *given, size_t i)
{
    const double *rate = given->abreast.start_rate + i;

    return rate[given->task * WR_ABREAST] - (given->limit->is_clock ? rate[given->limit->from * WR_ABREAST] : 0);
}

/* Start and finish scale with the run effect: it alone can be the way. Then takes it as the way. */
bool wr_given_scales(const struct wr_given *given);
void wr_given_by_run_effect(struct wr_given *given);
/* Takes a way that was made before: its components, task[n_task]. */
void wr_given_turn(struct wr_given *given, double run, const double *task);

/* A way from the gradients of the start over the days as they are; false if nothing moves the start. */
bool wr_given_aim(struct wr_given *given);
/* A better one for starts near s: gradients at the days pushed there, two rounds. False, and the way as it was, if more
 * days do not count then. Before: tallies of the first n_use days at s. */
bool wr_given_aim_at(struct wr_given *given, double s, size_t n_use);

size_t wr_given_part(const struct wr_days *days, size_t trial);
/* Standard error of a whole from its value in n parts. */
double wr_given_parts_error(const double *value, size_t n);

/* Over the first n_use days: into the tally of every limit of asked[], of WR_GIVEN_SCALED only that of the one asked
 * about. */
void wr_given_tally(struct wr_given *given, double s, size_t n_use);
/* Adds the days from `first` on, up to n_use, to tallies that hold those before. known: keeps what is found, or NULL.
 */
void wr_given_tally_on(struct wr_given *given, double s, size_t first, size_t n_use, struct wr_known_starts *known);
/* Over all days, where the task starts at s between two starts at which all of them are known along the way in use. */
void wr_given_tally_between(struct wr_given *given, const struct wr_known_starts *from,
                            const struct wr_known_starts *to, double s);
/* given->out_now[] and out_rate[] of the days that given->abreast has walked, to first order where they are moved on a
 * little. */
void wr_given_outcomes(struct wr_given *given, const double moved[WR_ABREAST]);
/* Adds n days that come out as the first n of given->out_now[] have it. */
void wr_given_count(struct wr_given *given, const size_t *trial, const double *weight, size_t n);

/* Days from `first` on, at most WR_ABREAST of n_all, with the task held back until a clock time or reading of s, or as
 * they are if that is earlier. Returns how many; outcome[], and by how much each passes s, beyond[] (NULL: not
 * wanted). */
size_t wr_given_held(struct wr_given *given, size_t first, size_t n_all, double s, double *outcome, double *beyond);
