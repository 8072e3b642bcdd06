/* g(s) of one task and limit as a function of the start alone: what is asked of it, a limit or a confidence, turns
 * nothing.
 *
 * Starts lie on nodes around an origin, closer together near it. Each stretch of one standard deviation has a way of
 * its own (or none, where the run effect alone lets enough days count), made once and outwards from the origin. So the
 * estimate at a start is the same whatever was asked before; it grows with the limit at every start, and a first
 * crossing that is found on the nodes and then within one step of them never falls when the limit grows or the
 * confidence falls. What was looked at is kept, for all limits of the task. Between two nodes half a standard deviation
 * apart all days are read off from what they do there (known_starts.h). */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "given_start.h"
#include "known_starts.h"

enum {
    WR_CURVE_STRETCHES = 24,       /* either way; beyond, the last one's way */
    WR_CURVE_FINE_NODES = 8        /* either way: half a standard deviation apart */
};

struct wr_curve_stretch {
    bool made, scaled;             /* scaled: by the run effect alone */
    int way;                       /* the stretch whose way it uses: its own or that of one nearer to the origin */
    double run, *task;             /* components of its own way, [n_task] */
};

struct wr_curve_look {             /* at a start: tallies of all limits, or of one */
    double log_start;
    int way;                       /* the stretch whose way it uses; -1: scaled */
    size_t n_days, only;           /* only: index of that one; SIZE_MAX: all */
    struct wr_tally *tally;
    struct wr_known_starts known;  /* at a node, as long as no look at more days has taken it over */
};

struct wr_inside_curve {
    struct wr_given *given;
    double origin, step;           /* log start; standard deviation of the log start */
    size_t n_look;                 /* days looked at to make a way */
    struct wr_curve_stretch stretch[2 * WR_CURVE_STRETCHES];
    int turned_to;                 /* stretch whose own way is in use; -1: none */
    struct wr_curve_look *kept; size_t n_kept, room_kept; /* what has been looked at before */
};

/* given is borrowed. */
void wr_inside_curve_init(struct wr_inside_curve *curve, struct wr_given *given, double origin, double step);
void wr_inside_curve_release(struct wr_inside_curve *curve);

/* Probability inside at a log start, over the first n_days days. */
double wr_inside_curve_at(struct wr_inside_curve *curve, double log_start, size_t n_days, struct wr_tally *tally);
/* Whether the run effect alone answers there. */
bool wr_inside_curve_scaled(struct wr_inside_curve *curve, double log_start);

/* Node i, negative before the origin: half a standard deviation apart up to 4, one up to 12, then two. */
double wr_inside_curve_node(const struct wr_inside_curve *curve, int i);
