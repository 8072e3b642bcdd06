/* What every day does where a task starts at one s, kept, and read off at starts between two of these.
 *
 * Place on the way and outcomes are taken, between two starts, as a cubic where they hardly bend; else as the two
 * tangents, from one to the other where they meet: exact where the day waits for one thing and from some start on for
 * another. Where it bends twice the chord is taken. Where other work is dropped at one start than at the next, the
 * outcome is walked. */
#pragma once

#include <stddef.h>
#include <stdint.h>

struct wr_given;
struct wr_search;

enum { WR_KNOWN_BRANCHES = 3 /* where work may be dropped on the way to the start; else there is one */ };

struct wr_known_start {        /* of one day */
    float at, at_rise;         /* place on the way, and its derivative by the log of the start */
    float log_weight;          /* beside the law of the place */
    uint32_t branch, dropped;  /* numbers for the work that is dropped on the way to the start, along which that rises,
                                  and on the way to any outcome; 0: it does not start at s any more often */
};
struct wr_known_outcome {
    float minutes, rise;       /* the latter by the start itself */
};

struct wr_known_starts {       /* along the way that is in use when they are found */
    double s;
    size_t n_days;             /* the first so many */
    size_t n_branch;
    struct wr_known_start *day;   /* [n_trial * n_branch] */
    struct wr_known_outcome *out; /* [n_trial * n_branch * n_end] */
    unsigned char *otherwise;  /* [n_trial] not to be read off */
};

void wr_known_init(struct wr_known_starts *known, const struct wr_given *given, double s);
void wr_known_release(struct wr_known_starts *known);
/* A root that has been found, its day the i-th of those that given->abreast has walked there, for all outcomes. */
void wr_known_keep(struct wr_known_starts *known, const struct wr_given *given, const struct wr_search *root, size_t i,
                   double log_weight);

/* Counts the days into the tallies where the task starts at s; from->s < s < to->s. Returns how many could not be read
 * off, other[n_trial]. */
size_t wr_known_read(struct wr_given *given, const struct wr_known_starts *from, const struct wr_known_starts *to,
                     double s, size_t *other);
