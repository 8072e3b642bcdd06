#include "holes.h"

#include <math.h>
#include "missing_steps.h"
#include "wetrun/base/memory.h"

static const double room_share = 0.5; /* of the shortest time that the missing work ever took */

static bool was_done(const struct measuring *j, size_t work, size_t run)
{
    return took_time(&j->timing->cell[cell_index(j, work, run)]);
}

static const struct wr_cell *cell_in(const struct measuring *j, size_t work, size_t run)
{
    return &j->timing->cell[cell_index(j, work, run)];
}

/* Work that the plan the runs followed does not have has to be there in most runs before its absence means anything:
 * though the plan that is forecast may have it by now, a run before that lacks nothing. */
bool holes_is_missing(const struct measuring *j, size_t work)
{
    enum wr_cell_state state = cell_of(j, work)->state;

    if (state == WR_CELL_LOST) return true;
    if (state != WR_CELL_ABSENT || j->n_done[work] == 0) return false;
    return j->known.task[work] || 2 * j->n_done[work] > j->timing->n_run;
}

/* What the lane had done before it in that run, as far as it was done in the run at hand too. */
static size_t done_before(const struct measuring *j, size_t work, size_t like_run, size_t lane)
{
    double start = cell_in(j, work, like_run)->start_min;
    size_t before = SIZE_MAX;

    for (size_t w = 0; w < j->known.n_work; w++) {
        if (w == work || !(j->lanes[cell_index(j, w, like_run)] >> lane & 1) || j->own.last_of[w] == SIZE_MAX ||
            !was_done(j, w, like_run) || cell_in(j, w, like_run)->start_min >= start)
            continue;
        if (before == SIZE_MAX || cell_in(j, w, like_run)->start_min > cell_in(j, before, like_run)->start_min)
            before = w;
    }
    return before;
}

static size_t planned_before(const struct measuring *j, size_t work, size_t lane)
{
    size_t before = SIZE_MAX;

    for (size_t i = 0; i < j->known.n_order && j->known.order[i] != work; i++) {
        size_t w = j->known.order[i];
        if ((j->known.lanes[w] >> lane & 1) && j->own.last_of[w] != SIZE_MAX) before = w;
    }
    return before;
}

/* Where most other runs have it: behind which work of that lane; of equally many, behind the latest. */
static size_t usually_before(const struct measuring *j, size_t work, size_t lane)
{
    size_t *votes = WR_NEW_ARRAY(size_t, j->known.n_work + 1), best = SIZE_MAX, most = 0;
    double latest = -1;

    for (size_t r = 0; r < j->timing->n_run; r++) {
        if (!was_done(j, work, r) || !(j->lanes[cell_index(j, work, r)] >> lane & 1)) continue;
        size_t before = done_before(j, work, r, lane), n = ++votes[before == SIZE_MAX ? j->known.n_work : before];
        double end = before == SIZE_MAX ? 0 : j->own.piece[j->own.last_of[before]].end_min;
        if (n < most || (n == most && end <= latest)) continue;
        best = before;
        most = n;
        latest = end;
    }
    wr_free(votes);
    return best;
}

/* The lanes in which it was done in most of the other runs, else as planned. */
static uint32_t usual_lanes(const struct measuring *j, size_t work)
{
    uint32_t lanes = 0;

    for (size_t l = 0; l < 32; l++) {
        size_t n = 0;
        for (size_t r = 0; r < j->timing->n_run; r++)
            n += was_done(j, work, r) && (j->lanes[cell_index(j, work, r)] >> l & 1);
        if (2 * n > j->n_done[work]) lanes |= UINT32_C(1) << l;
    }
    return j->n_done[work] ? lanes : j->known.lanes[work];
}

/* Has it begun with the run, wherever else it was done? */
static bool opens_runs(const struct measuring *j, size_t work)
{
    for (size_t r = 0; r < j->timing->n_run; r++)
        if (r != j->r && was_done(j, work, r) && cell_in(j, work, r)->start_min > SAME_MOMENT_MIN) return false;
    return true;
}

/* Does the run begin with work that others begin with too? Else it may have begun before its first row. */
static bool begins_as_usual(const struct measuring *j)
{
    for (size_t i = 0; i < j->own.n_piece && j->own.piece[i].start_min <= SAME_MOMENT_MIN; i++)
        if (opens_runs(j, j->own.piece[i].work)) return true;
    return false;
}

struct hole {
    size_t lane;
    size_t next;               /* piece that came after, SIZE_MAX: none */
    double from_min, to_min;
    bool at_front;             /* the run may have begun before its first row */
};

/* The lane's first piece after work `before`. */
static struct hole hole_after(const struct measuring *j, size_t work, size_t before, size_t lane)
{
    const struct own_order *o = &j->own;
    double from = before == SIZE_MAX ? 0 : o->piece[o->last_of[before]].end_min;
    struct hole hole = {.lane = lane, .next = SIZE_MAX};

    for (size_t i = 0; i < o->n_piece; i++) {
        const struct piece *p = &o->piece[i];
        if (!(p->lanes >> lane & 1) || p->work == work) continue;
        if (p->work != before && p->start_min > from - SAME_MOMENT_MIN &&
            (before == SIZE_MAX || i > o->last_of[before])) {
            hole.next = i;
            break;
        }
        hole.from_min = fmax(hole.from_min, p->end_min);
    }
    hole.to_min = hole.next == SIZE_MAX ? INFINITY : o->piece[hole.next].start_min;
    hole.at_front = before == SIZE_MAX && hole.next != SIZE_MAX;
    return hole;
}

static bool has_room(const struct measuring *j, size_t work, const struct hole *hole)
{
    if (cell_of(j, work)->state == WR_CELL_LOST || hole->at_front) return true;
    return hole->to_min - hole->from_min >= room_share * j->shortest_min[work];
}

/* Where the missing work may stand, one hole for each of its lanes. Returns how many; 0: nowhere, it was left out. */
static size_t find_holes(const struct measuring *j, size_t work, struct hole hole[32])
{
    uint32_t lanes = usual_lanes(j, work);
    bool at_front = opens_runs(j, work) && !begins_as_usual(j);
    size_t n = 0;

    for (size_t lane = 0; lane < 32; lane++) {
        if (!(lanes >> lane & 1)) continue;
        size_t before = j->n_done[work] ? usually_before(j, work, lane) : planned_before(j, work, lane);
        hole[n] = hole_after(j, work, before, lane);
        hole[n].at_front &= at_front;
        if (!has_room(j, work, &hole[n])) return 0;
        n++;
    }
    return n;
}

/* What came after a row whose task has others that are good. */
static size_t holes_after_own_pieces(const struct measuring *j, size_t work, struct hole hole[32])
{
    const struct own_order *o = &j->own;
    const struct piece *last = &o->piece[o->last_of[work]];
    size_t n = 0;

    for (size_t lane = 0; lane < 32; lane++)
        if (last->lanes >> lane & 1) hole[n++] = hole_after(j, SIZE_MAX, work, lane); /* never at the front */
    return n;
}

/* The same for a step that has no row: after what the run has of its task, where it usually comes last. */
static size_t holes_after_steps(const struct measuring *j, size_t work, const struct missing_step *step,
                                struct hole hole[32])
{
    size_t n = step->last ? holes_after_own_pieces(j, work, hole) : 0;

    for (size_t i = 0; i < n; i++)
        if (hole[i].to_min - hole[i].from_min < room_share * step->usual_min) return 0;
    return n;
}

static bool is_idle(const struct own_order *o, const struct hole *hole)
{
    return hole->next != SIZE_MAX && (hole->at_front || own_order_idle(&o->piece[hole->next]) > SAME_MOMENT_MIN);
}

/* Work of several lanes stands where all of them are free at once. */
static bool may_stand_in_holes(const struct measuring *j, size_t work, const struct hole *hole, size_t n)
{
    double from = 0, to = INFINITY;

    for (size_t i = 0; i < n; i++) {
        from = fmax(from, hole[i].from_min);
        to = fmin(to, hole[i].to_min);
    }
    return n < 2 || cell_of(j, work)->state == WR_CELL_LOST || to - from >= room_share * j->shortest_min[work];
}

/* "'BOX' and 'PANEL'": whose lead-ins are not known for it. Returns how many. */
static size_t add_whose_lead_ins(const struct measuring *j, const struct hole *hole, size_t n, struct wr_str *out)
{
    size_t n_named = 0;

    for (size_t i = 0; i < n; i++) {
        size_t before = 0;
        if (!is_idle(&j->own, &hole[i])) continue;
        while (before < i && hole[before].next != hole[i].next) before++;
        if (before < i) continue;
        wr_str_addf(out, "%s'%s'", n_named++ ? " and " : "", rehearsed_id(&j->known, j->own.piece[hole[i].next].work));
    }
    return n_named;
}

/* Why its time is not known; *at: the row that shows it, line 0: none. */
static void say_why(const struct measuring *j, size_t work, struct wr_str *why, struct place *at)
{
    const size_t cell = cell_index(j, work, j->r);
    const struct missing_step *step = missing_step_of(j, work, j->r);

    *at = j->lost_row[cell];
    if (j->not_of_run[cell]) wr_str_add(why, "its rows cannot all be of this run");
    else if (at->line) wr_str_add(why, "a row of it was rejected");
    else if (!step) wr_str_add(why, "it has no row, though other runs have it");
    if (!step || why->len) return;
    *at = step->at;
    wr_str_addf(why, "%zu of %zu runs have a step '%.60s' of it, which has no row here (if what is here is all of it, "
                     "leave the step of its last row empty)",
                step->n_with, step->n_of, step->step);
}

static void report(const struct measuring *j, size_t work, const struct hole *hole, size_t n)
{
    struct place at;
    const struct hole *widest = NULL;

    for (size_t i = 0; i < n; i++)
        if (is_idle(&j->own, &hole[i]) && (!widest || hole[i].to_min > widest->to_min)) widest = &hole[i];
    WR_SCOPED_STR where = {0}, whose = {0}, why = {0};
    say_why(j, work, &why, &at);
    size_t n_whose = add_whose_lead_ins(j, hole, n, &whose);
    if (widest && may_stand_in_holes(j, work, hole, n))
        wr_str_addf(&where, "The %.1f min before '%s' may hold it", widest->to_min - widest->from_min,
                    rehearsed_id(&j->known, j->own.piece[widest->next].work));
    else
        wr_str_add(&where, "Its lanes were not free together for so long, and it may stand before the first row");
    if (widest && n_whose == 1)
        timing_report(j, WR_WARNING, "time-unknown", at.line ? at : timing_place_of_run(j),
                      "how long task '%s' took is not known: %s. %s, so the lead-in of %s is not known either; both "
                      "stay out of the model",
                      rehearsed_id(&j->known, work), why.text, where.text,
                      may_stand_in_holes(j, work, hole, n) ? "that" : whose.text);
    else if (widest)
        timing_report(j, WR_WARNING, "time-unknown", at.line ? at : timing_place_of_run(j),
                      "how long task '%s' took is not known: %s. %s, so the lead-ins of %s are not known either; all "
                      "of them stay out of the model",
                      rehearsed_id(&j->known, work), why.text, where.text, whose.text);
    else
        timing_report(j, WR_WARNING, "time-unknown", at.line ? at : timing_place_of_run(j),
                      "how long task '%s' took is not known: %s; it stays out of the model",
                      rehearsed_id(&j->known, work), why.text);
}

/* It was done, but not where one would look: wherever its lanes were idle for long enough. */
static void doubt_every_long_wait(struct measuring *j, size_t work)
{
    uint32_t lanes = usual_lanes(j, work);

    for (size_t i = 0; i < j->own.n_piece; i++) {
        if (!(j->own.piece[i].lanes & lanes)) continue;
        if (own_order_idle(&j->own.piece[i]) < room_share * j->shortest_min[work]) continue;
        j->unsure[i] = 1;
        j->missing_lanes[i] |= j->own.piece[i].lanes & lanes;
    }
}

static bool are_too_short(const struct measuring *j, size_t work, const struct hole *hole, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (hole[i].at_front || hole[i].to_min - hole[i].from_min >= room_share * j->shortest_min[work]) return false;
    return true;
}

static void place_missing(struct measuring *j, size_t work)
{
    struct hole hole[32];
    bool has_pieces = j->own.last_of[work] != SIZE_MAX;
    const struct missing_step *step = missing_step_of(j, work, j->r);
    size_t n = step         ? holes_after_steps(j, work, step, hole)
               : has_pieces ? holes_after_own_pieces(j, work, hole)
                            : find_holes(j, work, hole);

    for (size_t i = 0; i < n; i++) {
        j->began_before |= hole[i].at_front;
        j->own.doubt_until_min[work] = fmax(j->own.doubt_until_min[work], hole[i].to_min);
        if (is_idle(&j->own, &hole[i])) j->unsure[hole[i].next] = 1;
        if (hole[i].next != SIZE_MAX) j->missing_lanes[hole[i].next] |= UINT32_C(1) << hole[i].lane;
    }
    if (!has_pieces && cell_of(j, work)->state == WR_CELL_LOST && are_too_short(j, work, hole, n))
        doubt_every_long_wait(j, work);
    if (n > 0 || cell_of(j, work)->state == WR_CELL_LOST) report(j, work, hole, n);
}

/* Up to when work that is missing may have lasted, of all that this work waits for; 0: nothing is missing. What a lane
 * did before shows itself, but for work that took no time, which hands on what it waited for. */
static double doubt_of(const struct measuring *j, size_t work)
{
    const struct rehearsed *known = &j->known;
    bool took_none = j->own.last_of[work] == SIZE_MAX;
    double until = 0;

    for (size_t e = known->pred_first[work]; e < known->pred_first[work + 1]; e++) {
        size_t x = known->pred[e];
        if (known->never_kept[e]) continue;
        if (known->by_after[e] || took_none) until = fmax(until, j->own.doubt_until_min[x]);
        until = fmax(until, j->own.doubt_passed_min[x]);
    }
    return until;
}

static void pass_doubt_on(struct measuring *j)
{
    for (size_t w = 0; w < j->known.n_work; w++) j->own.doubt_passed_min[w] = 0;
    for (size_t i = 0; i < j->known.n_order; i++) {
        size_t w = j->known.order[i];
        if (j->own.last_of[w] == SIZE_MAX) j->own.doubt_passed_min[w] = doubt_of(j, w);
    }
}

/* A piece of nobody's lane may have been what the next piece of any lane waited for. */
static void doubt_around(struct measuring *j, const struct piece *p)
{
    for (size_t i = 0; i < j->own.n_piece; i++) {
        const struct piece *q = &j->own.piece[i];
        if (q->work != p->work && own_order_idle(q) > SAME_MOMENT_MIN &&
            p->start_min < q->start_min - SAME_MOMENT_MIN && p->end_min > q->ready_min + SAME_MOMENT_MIN)
            j->unsure[i] = 1;
    }
}

void holes_find(struct measuring *j)
{
    struct own_order *o = &j->own;
    bool any = false;

    if (j->room_unsure < o->n_piece) {
        j->room_unsure = o->room_piece;
        j->unsure = wr_realloc(j->unsure, j->room_unsure, 1);
        j->missing_lanes = wr_realloc(j->missing_lanes, j->room_unsure, sizeof *j->missing_lanes);
    }
    for (size_t i = 0; i < o->n_piece; i++) {
        j->unsure[i] = 0;
        j->missing_lanes[i] = 0;
    }
    for (size_t w = 0; w < j->known.n_work; w++) {
        if (!holes_is_missing(j, w)) continue;
        place_missing(j, w);
        any = true;
    }
    if (any) pass_doubt_on(j);
    for (size_t i = 0; i < o->n_piece; i++) {
        const struct piece *p = &o->piece[i];
        if (p->lanes == 0) {
            j->unsure[i] = own_order_idle(p) > SAME_MOMENT_MIN;
            doubt_around(j, p);
        }
        if (any && p->opens && own_order_idle(p) > SAME_MOMENT_MIN &&
            doubt_of(j, p->work) > p->ready_min + SAME_MOMENT_MIN)
            j->unsure[i] = 1;
    }
}

void holes_say_missing_steps(const struct measuring *j)
{
    for (size_t w = 0; w < j->known.n_work; w++)
        if (missing_step_of(j, w, j->r)) report(j, w, NULL, 0);
}
