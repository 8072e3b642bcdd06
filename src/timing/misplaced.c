#include "misplaced.h"

#include <math.h>
#include <string.h>
#include "lanes.h"

/* SIZE_MAX: every run has it. */
static size_t run_without(const struct job *j, size_t work)
{
    for (size_t r = 0; r < j->timing->n_run; r++)
        if (j->timing->cell[cell_index(j, work, r)].state == WR_CELL_ABSENT) return r;
    return SIZE_MAX;
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

static bool is_same_step(const struct job *j, const struct piece *p, const struct piece *q)
{
    return p->work == q->work && strcmp(j->log->step[p->step].step, j->log->step[q->step].step) == 0;
}

/* The piece that cannot be right, of two with the same step. */
static const struct piece *impossible(const struct job *j, const struct piece *p, const struct piece *q)
{
    const struct own_order *own = &j->own;

    if (lanes_are_busy(own, q, q->lanes) || lies_far_outside(own, q)) return q;
    return lanes_are_busy(own, p, p->lanes) || lies_far_outside(own, p) ? p : NULL;
}

void misplaced_find(struct job *j, size_t r)
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
        timing_find(j, WR_WARNING, "row-misplaced", (struct place){j->log->file[s->file], s->line},
                    "task '%s' stands here twice, this row on top of other work or far outside the run, and not at all in run "
                    "'%s': it may belong there", rehearsed_id(&j->known, q->work), j->log->run[without].id);
    }
}
