#include "lanes.h"

#include <math.h>
#include "wetrun/base/memory.h"

static const double on_top_share = 0.5;

void lanes_take_pieces(struct job *j, size_t r)
{
    double zero = INFINITY;

    own_order_clear(&j->own);
    for (size_t i = j->first_step[r]; i < j->first_step[r + 1]; i++) {
        const struct wr_log_step *s = &j->log->step[i];
        size_t work = j->known.of_log_task[s->task], cell = cell_index(j, work, r);
        if (s->outcome == WR_SKIPPED || !s->has_clock || j->not_of_run[cell]) continue;
        struct piece *p = WR_PUSH(j->own.piece, j->own.n_piece, j->own.room_piece);
        *p = (struct piece){.work = work, .step = i, .lanes = j->lanes[cell], .start_min = s->start_min,
                            .end_min = s->end_min, .hold_min = s->hold_min};
        zero = fmin(zero, s->start_min);
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

bool lanes_are_busy(const struct own_order *own, const struct piece *p, uint32_t lanes)
{
    for (size_t i = own_order_from(own, p->start_min); i < own->n_piece; i++) {
        const struct piece *q = &own->piece[i];
        if (q->start_min >= p->end_min) return false;
        if (q->work != p->work && (q->lanes & lanes) && lies_on_top(p, q)) return true;
    }
    return false;
}

static bool work_finds_busy(const struct own_order *own, size_t work, uint32_t lanes)
{
    for (size_t i = own->first_of[work]; i != SIZE_MAX; i = own->piece[i].next)
        if (lanes_are_busy(own, &own->piece[i], lanes)) return true;
    return false;
}

static uint32_t free_lane(const struct job *j, size_t work)
{
    uint32_t only = 0;

    for (size_t l = 0; l < j->net->n_lane; l++) {
        uint32_t lane = UINT32_C(1) << l;
        if (work_finds_busy(&j->own, work, lane)) continue;
        if (only) return 0;
        only = lane;
    }
    return only;
}

static uint32_t settled(const struct job *j, size_t work, uint32_t logged)
{
    uint32_t planned = j->known.lanes[work], sure = logged & planned;

    if (logged == planned && logged) return logged;
    if (!logged && planned && !work_finds_busy(&j->own, work, planned)) return planned;
    if (!logged) return free_lane(j, work);
    if (!sure) return logged;
    for (size_t l = 0; l < 32; l++) {
        uint32_t lane = UINT32_C(1) << l;
        if (((logged ^ planned) & lane) && !work_finds_busy(&j->own, work, lane)) sure |= lane;
    }
    return sure;
}

/* Beyond doubt, as long as nothing is settled. */
static uint32_t sure_lanes(uint32_t logged, uint32_t planned)
{
    return !logged ? planned : logged & planned ? logged & planned : logged;
}

void lanes_settle(struct job *j, size_t r)
{
    uint32_t *now = WR_NEW_ARRAY(uint32_t, j->known.n_work);

    for (size_t i = 0; i < j->own.n_piece; i++)
        j->own.piece[i].lanes = sure_lanes(j->own.piece[i].lanes, j->known.lanes[j->own.piece[i].work]);
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *p = &j->own.piece[i];
        if (p->opens) now[p->work] = settled(j, p->work, j->lanes[cell_index(j, p->work, r)]);
    }
    for (size_t i = 0; i < j->own.n_piece; i++) {
        struct piece *p = &j->own.piece[i];
        p->lanes = j->lanes[cell_index(j, p->work, r)] = now[p->work];
    }
    wr_free(now);
}
