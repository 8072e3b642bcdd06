/* Where on each day's way a task starts at s: roots, found side by side. given_start.h counts them. */
#pragma once

#include "given_start.h"
#include "wetrun/stats/newton.h"

/* Beyond this place on the way a standard normal has no weight that a double can tell from rounding of others. */
#define WR_WAY_FARTHEST 37.0

struct wr_root {
    double at, rate;   /* place on the way; derivative of the log of the start there */
    double log_start;  /* that is reached there */
};

/* A search for the place t on one day's way where the start is s. */
struct wr_search {
    size_t trial;
    struct wr_newton place; /* start below s at lo, not below at hi */
    bool chord;         /* a clock that runs back: the piece is short, so its chord will do */
    bool done, found;
    double rate;        /* out: derivative of the log of the start at the root */
    double moved;       /* out: from where the day was walked last to the root */
};

/* Searches that wait until there are enough for a walk, and who wants the roots. */
struct wr_searches;
typedef void wr_roots_fn(struct wr_searches *q, void *arg);
struct wr_searches {
    struct wr_given *given;
    double s, log_s;
    bool outcomes;      /* the last walk is to go as far as these */
    size_t n;
    struct wr_search search[WR_ABREAST];
    wr_roots_fn *take; void *arg;
};

/* The days of trial[n], or where that is NULL n of them from `first` on. */
struct wr_some_days {
    const size_t *trial;
    size_t first, n;
};
static inline size_t wr_some_day(const struct wr_some_days *some, size_t i)
{
    return some->trial ? some->trial[i] : some->first + i;
}

/* Looks for every root on some days and hands over the searches that are done, found or not, up to
 * WR_ABREAST at a time and in the order of the days. The days of q are then those of given->abreast, and where outcomes
 * are wanted all that these depend on has been walked, up to a last short step. What was found must be kept, for the
 * next search to begin there. */
void wr_each_root(struct wr_given *given, double s, const struct wr_some_days *some, bool outcomes, wr_roots_fn *take,
                  void *arg);
void wr_root_keep(const struct wr_searches *q, const struct wr_search *root);
