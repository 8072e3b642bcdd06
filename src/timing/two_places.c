#include "two_places.h"

#include <math.h>
#include "wetrun/base/memory.h"

enum { MOST_WORK = 500 };

static const double LEAST_MIN = 10, SHARE = 0.5; /* of the shorter of the two: not a matter of when a row was ended */

/* In one piece: what was broken off for other work goes on around it. */
static bool is_whole(const struct wr_cell *c)
{
    return took_time(c) && fabs(c->end_min - c->start_min - c->active_min - c->hold_min) < SAME_MOMENT_MIN;
}

static double overlap_in(const struct measuring *j, size_t a, size_t b, size_t run)
{
    const struct wr_cell *x = &j->timing->cell[cell_index(j, a, run)], *y = &j->timing->cell[cell_index(j, b, run)];

    if (x->start_min >= y->end_min || y->start_min >= x->end_min) return 0;
    if (!j->timing->run[run].finish_min.known || !is_whole(x) || !is_whole(y)) return 0;
    if (!(j->lanes[cell_index(j, a, run)] & j->lanes[cell_index(j, b, run)])) return 0;
    double both = fmin(x->end_min, y->end_min) - fmax(x->start_min, y->start_min);
    double shorter = fmin(x->end_min - x->start_min, y->end_min - y->start_min);
    return both >= fmax(LEAST_MIN, SHARE * shorter) ? both : 0;
}

struct overlap {
    double min;
    size_t a, b;
};

/* When a cell was at work; of one that took no time nothing lies within. Few of a cell's bytes, for each pair of tasks
 * goes through all runs. */
struct span { double start_min, end_min; };

/* [work][run] as the cells */
static struct span *spans_of(const struct measuring *j)
{
    const size_t n = j->known.n_work * j->timing->n_run;
    struct span *span = WR_NEW_ARRAY(struct span, n);

    for (size_t i = 0; i < n; i++) {
        const struct wr_cell *c = &j->timing->cell[i];
        span[i] = took_time(c) ? (struct span){c->start_min, c->end_min} : (struct span){INFINITY, -INFINITY};
    }
    return span;
}

static void keep_longest(const struct measuring *j, size_t a, size_t b, const struct span *span,
                         struct overlap *longest)
{
    const struct span *x = span + cell_index(j, a, 0), *y = span + cell_index(j, b, 0);
    size_t n_over = 0, n_both = 0;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        if (x[r].start_min >= y[r].end_min || y[r].start_min >= x[r].end_min) continue; /* as most */
        n_over += overlap_in(j, a, b, r) > 0;
    }
    if (n_over == 0) return;
    for (size_t r = 0; r < j->timing->n_run; r++)
        n_both += took_time(&j->timing->cell[cell_index(j, a, r)]) && took_time(&j->timing->cell[cell_index(j, b, r)]);
    if (2 * n_over > n_both && n_both > 1) return;
    for (size_t r = 0; r < j->timing->n_run; r++) {
        double min = overlap_in(j, a, b, r);
        if (min > longest[r].min) longest[r] = (struct overlap){min, a, b};
    }
}

static void report(const struct measuring *j, size_t run, const struct overlap *o)
{
    const struct wr_cell *b = &j->timing->cell[cell_index(j, o->b, run)];
    const struct wr_log_run *of = &j->log->run[run];
    uint32_t lanes = j->lanes[cell_index(j, o->a, run)] & j->lanes[cell_index(j, o->b, run)];
    size_t lane = 0;

    while (!(lanes >> lane & 1)) lane++;
    wr_findings_add(j->findings, WR_WARNING, "two-places", j->log->file[of->file], b->line, 0,
                    "run '%.60s': %.60s would be at '%.60s' and '%.60s' at once for %.1f min: a slip in one of their "
                    "times?",
                    of->id, j->known.lane_names.name[lane].text, rehearsed_id(&j->known, o->a),
                    rehearsed_id(&j->known, o->b), o->min);
}

void two_places_find(const struct measuring *j)
{
    if (!j->log->has_crew || j->known.n_work > MOST_WORK) return;
    WR_SCOPED struct overlap *longest = WR_NEW_ARRAY(struct overlap, j->timing->n_run);
    WR_SCOPED struct span *span = spans_of(j);
    for (size_t b = 1; b < j->known.n_work; b++)
        for (size_t a = 0; a < b; a++) keep_longest(j, a, b, span, longest);
    for (size_t r = 0; r < j->timing->n_run; r++)
        if (longest[r].min > 0) report(j, r, &longest[r]);
}
