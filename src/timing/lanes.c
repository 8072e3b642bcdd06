#include "lanes.h"

#include <math.h>
#include "wetrun/base/memory.h"

static const double on_top_share = 0.5;

void lanes_take_pieces(struct measuring *j, size_t r)
{
    double zero = INFINITY;

    own_order_clear(&j->own);
    for (size_t k = j->first_step[r]; k < j->first_step[r + 1]; k++) {
        size_t i = j->by_start[k];
        const struct wr_log_step *s = &j->log->step[i];
        size_t work = j->known.of_log_task[s->task], cell = cell_index(j, work, r);
        if (s->outcome == WR_SKIPPED || !s->has_clock || j->not_of_run[cell]) continue;
        struct piece *p = own_order_add(&j->own);
        p->work = work;
        p->step = i;
        p->lanes = j->lanes[cell];
        p->start_min = s->start_min;
        p->end_min = s->end_min;
        p->hold_min = j->hold_min[i];
        if (s->start_min < zero) zero = s->start_min;
    }
    for (size_t i = 0; i < j->own.n_piece && zero > 0; i++) { /* the run's first row was none of its own */
        j->own.piece[i].start_min -= zero;
        j->own.piece[i].end_min -= zero;
    }
    own_order_sort(&j->own, j->known.n_work);
}

static bool lies_on_top(const struct piece *p, const struct piece *q)
{
    double both = fmin(p->end_min, q->end_min) - fmax(p->start_min, q->start_min);
    double shorter = fmin(p->end_min - p->start_min, q->end_min - q->start_min);

    return both > SAME_MOMENT_MIN && both >= on_top_share * shorter;
}

/* Other work of those lanes that the piece lies on top of, SIZE_MAX: none. */
static size_t work_below(const struct own_order *own, const struct piece *p, uint32_t lanes)
{
    for (size_t i = own_order_from(own, (size_t)(p - own->piece), p->start_min); i < own->n_piece; i++) {
        const struct piece *q = &own->piece[i];
        if (q->start_min >= p->end_min) break;
        if (q->work != p->work && (q->lanes & lanes) && lies_on_top(p, q)) return q->work;
    }
    return SIZE_MAX;
}

size_t lanes_other_work(const struct own_order *own, size_t work, uint32_t lanes)
{
    for (size_t i = own->first_of[work]; i != SIZE_MAX; i = own->piece[i].next) {
        size_t other = work_below(own, &own->piece[i], lanes);
        if (other != SIZE_MAX) return other;
    }
    return SIZE_MAX;
}

static uint32_t lanes_of_work(const struct measuring *j, size_t work, uint32_t logged)
{
    uint32_t planned = j->known.lanes[work], lanes = lanes_beyond_doubt(logged, planned);

    if (!(logged & planned)) return logged;
    for (uint32_t left = logged ^ planned; left; left &= left - 1) {
        uint32_t lane = left & -left;
        if (lanes_other_work(&j->own, work, lane) == SIZE_MAX) lanes |= lane;
    }
    return lanes;
}

void lanes_as_worked(struct measuring *j, size_t r)
{
    WR_SCOPED uint32_t *now = WR_NEW_ARRAY(uint32_t, j->known.n_work);

    for (size_t i = 0; i < j->own.n_piece; i++)
        j->own.piece[i].lanes = lanes_beyond_doubt(j->own.piece[i].lanes, j->known.lanes[j->own.piece[i].work]);
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        if (p->opens) now[p->work] = lanes_of_work(j, p->work, j->lanes[cell_index(j, p->work, r)]);
    }
    for (size_t i = 0; i < j->own.n_piece; i++) {
        struct piece *p = &j->own.piece[i];
        p->lanes = j->lanes[cell_index(j, p->work, r)] = now[p->work];
    }
}
