#include "misplaced.h"

#include <math.h>
#include <string.h>

static const double share_too_much = 0.1; /* of a row, at the same time as other work of its lanes: clocks are not that
                                             far off */
static const double least_too_much_min = 1;

/* SIZE_MAX: every run has it. Work that has been found in a run is never absent from it again, so that the next search
 * goes on where the last ended. */
static size_t run_without(struct measuring *j, size_t work)
{
    size_t *r = &j->first_without[work];

    while (*r < j->timing->n_run && j->timing->cell[cell_index(j, work, *r)].state != WR_CELL_ABSENT) ++*r;
    return *r < j->timing->n_run ? *r : SIZE_MAX;
}

static const double far_off_min = 60; /* the end of a run is where a last task may well be taken up again */

static bool lies_far_outside(const struct own_order *own, const struct piece *p)
{
    double first = INFINITY, last = -INFINITY;

    for (size_t i = 0; i < own->n_piece; i++) {
        if (own->piece[i].work == p->work) continue;
        first = fmin(first, own->piece[i].start_min);
        last = fmax(last, own->piece[i].end_min);
    }
    return first <= last && (p->end_min < first - far_off_min || p->start_min > last + far_off_min);
}

static bool is_same_step(const struct measuring *j, const struct piece *p, const struct piece *q)
{
    return p->work == q->work && strcmp(j->log->step[p->step].step, j->log->step[q->step].step) == 0;
}

static double time_at_other_work(const struct own_order *own, const struct piece *p)
{
    double sum = 0;

    for (size_t i = own_order_from(own, (size_t)(p - own->piece), p->start_min); i < own->n_piece; i++) {
        const struct piece *q = &own->piece[i];
        if (q->start_min >= p->end_min) break;
        if (q != p && (q->lanes & p->lanes))
            sum += fmax(0, fmin(p->end_min, q->end_min) - fmax(p->start_min, q->start_min));
    }
    return sum;
}

static bool cannot_be(const struct own_order *own, const struct piece *p)
{
    return time_at_other_work(own, p) > fmax(least_too_much_min, share_too_much * (p->end_min - p->start_min)) ||
           lies_far_outside(own, p);
}

/* The piece that cannot be right, of two with the same step. */
static const struct piece *impossible(const struct measuring *j, const struct piece *p, const struct piece *q)
{
    return cannot_be(&j->own, q) ? q : cannot_be(&j->own, p) ? p : NULL;
}

void misplaced_find(struct measuring *j, size_t r)
{
    for (size_t i = 1; i < j->own.n_piece; i++) {
        const struct piece *q = &j->own.piece[i], *wrong = NULL;
        size_t without = q->opens || j->not_of_run[cell_index(j, q->work, r)] ? SIZE_MAX : run_without(j, q->work);
        if (without == SIZE_MAX) continue;
        for (size_t k = 0; k < i && !wrong; k++)
            if (is_same_step(j, &j->own.piece[k], q)) wrong = impossible(j, &j->own.piece[k], q);
        if (!wrong) continue;
        j->not_of_run[cell_index(j, q->work, r)] = 1;
        const struct wr_log_step *s = &j->log->step[wrong->step];
        timing_report(
            j, WR_WARNING, "misplaced-row", (struct place){j->log->file[s->file], s->line},
            "task '%s' stands here twice, this row on top of other work or far outside the run, and not at all in run "
            "'%s': it may belong there",
            rehearsed_id(&j->known, q->work), j->log->run[without].id);
    }
}
