#include "nameless.h"

#include <string.h>
#include "lanes.h"
#include "wetrun/base/memory.h"

struct nameless {
    struct measuring *j;
    bool any;                /* work for which no row names a crew */
    uint32_t *claim;         /* [n_work] of work that no row names a crew for: its lanes, as far as one knows */
    uint32_t *usual;         /* [n_work] of other work: the lanes that the crew column last named; 0: it names none */
    size_t *busy;            /* [work * 32 + lane] runs in which that lane was at other work */
    size_t *n_timed;         /* [n_work] runs */
    size_t *rival;           /* [n_work] other work in its lanes at the same time, SIZE_MAX: none */
    size_t *n_rival;         /* [n_work] runs in which it had one */
};

static void find_named(struct nameless *n)
{
    for (size_t w = 0; w < n->j->known.n_work; w++)
        for (size_t r = 0; r < n->j->timing->n_run; r++)
            if (n->j->lanes[cell_index(n->j, w, r)]) n->usual[w] = n->j->lanes[cell_index(n->j, w, r)];
    for (size_t w = 0; w < n->j->known.n_work; w++) n->any |= !n->usual[w];
}

static void count_work(struct nameless *n, size_t work)
{
    const struct own_order *own = &n->j->own;
    bool has_rival = false;

    n->n_timed[work]++;
    for (size_t l = 0; l < n->j->net->n_lane; l++) {
        uint32_t lane = UINT32_C(1) << l;
        size_t other = lanes_other_work(own, work, lane);
        if (other == SIZE_MAX) continue;
        n->busy[work * 32 + l]++;
        if (!(n->claim[work] & lane)) continue;
        n->rival[work] = other;
        has_rival = true;
    }
    n->n_rival[work] += has_rival;
}

static void count_run(struct nameless *n, size_t r)
{
    struct measuring *j = n->j;

    lanes_take_pieces(j, r);
    for (size_t i = 0; i < j->own.n_piece; i++) {
        struct piece *p = &j->own.piece[i];
        if (n->usual[p->work])
            p->lanes = lanes_beyond_doubt(p->lanes ? p->lanes : n->usual[p->work], j->known.lanes[p->work]);
        else
            p->lanes = n->claim[p->work];
    }
    for (size_t i = 0; i < j->own.n_piece; i++)
        if (j->own.piece[i].opens && !n->usual[j->own.piece[i].work]) count_work(n, j->own.piece[i].work);
}

static void count_all(struct nameless *n)
{
    size_t n_work = n->j->known.n_work;

    memset(n->busy, 0, n_work * 32 * sizeof *n->busy);
    memset(n->n_timed, 0, n_work * sizeof *n->n_timed);
    memset(n->n_rival, 0, n_work * sizeof *n->n_rival);
    for (size_t w = 0; w < n_work; w++) n->rival[w] = SIZE_MAX;
    for (size_t r = 0; n->any && r < n->j->timing->n_run; r++)
        if (n->j->timing->run[r].finish_min.known) count_run(n, r);
}

/* The one lane that was free in every run; 0: none, or several. */
static uint32_t free_lane(const struct nameless *n, size_t work)
{
    uint32_t only = 0;

    for (size_t l = 0; l < n->j->net->n_lane; l++) {
        if (n->busy[work * 32 + l]) continue;
        if (only) return 0;
        only = UINT32_C(1) << l;
    }
    return only;
}

static bool is_in_conflict(const struct nameless *n, size_t work)
{
    return 2 * n->n_rival[work] > n->n_timed[work];
}

static bool is_movable(const struct nameless *n, size_t work)
{
    return !n->usual[work] && is_in_conflict(n, work) && free_lane(n, work);
}

static struct place place_in_plan(const struct nameless *n, size_t work)
{
    const struct measuring *j = n->j;

    return work < j->known.n_plan ? (struct place){j->plan->file, j->plan->task[work].line} : (struct place){0};
}

static void report_moved(const struct nameless *n, size_t work)
{
    const struct place at = place_in_plan(n, work);
    size_t lane = (size_t)__builtin_ctz(n->claim[work]);

    wr_findings_add(
        n->j->findings, WR_WARNING, "lane-unclear", at.file, at.line, 0,
        "the log names no crew for '%s', and in %zu of %zu runs the lanes that the plan gives it were at other "
        "work: it is taken to have been done in '%s', which was free; a column crew or plan-rehearsed.csv would "
        "tell",
        rehearsed_id(&n->j->known, work), n->n_rival[work], n->n_timed[work], n->j->plan->lane[lane]);
}

static void report_unknown(const struct nameless *n, size_t work)
{
    const struct place at = place_in_plan(n, work);

    wr_findings_add(
        n->j->findings, WR_WARNING, "lane-unclear", at.file, at.line, 0,
        "the log names no crew for '%s', and %s: who did it cannot be told, so lead-ins next to it are not known "
        "and stay out of the model; a column crew or plan-rehearsed.csv would tell",
        rehearsed_id(&n->j->known, work),
        n->j->known.lanes[work] ? "its lanes were at other work" : "the plan does not have it");
}

/* Work whose plan is contradicted goes to the lane that was free. True: some does. */
static bool move_work(struct nameless *n)
{
    bool any = false;
    WR_SCOPED unsigned char *move = WR_NEW_ARRAY(unsigned char, n->j->known.n_work);

    for (size_t w = 0; w < n->j->known.n_work; w++)
        move[w] = is_movable(n, w) && !is_movable(n, n->rival[w]);
    for (size_t w = 0; w < n->j->known.n_work; w++) {
        if (!move[w]) continue;
        n->claim[w] = free_lane(n, w);
        report_moved(n, w);
        any = true;
    }
    return any;
}

static void give_up(struct nameless *n)
{
    for (size_t w = 0; w < n->j->known.n_work; w++) {
        if (n->usual[w] || n->n_timed[w] == 0) continue;
        if (n->claim[w] == 0) n->claim[w] = free_lane(n, w);
        else if (is_in_conflict(n, w)) n->claim[w] = 0;
        if (n->claim[w] == 0) report_unknown(n, w);
    }
}

static void write_back(struct nameless *n)
{
    struct measuring *j = n->j;

    for (size_t w = 0; w < j->known.n_work; w++)
        for (size_t r = 0; r < j->timing->n_run; r++)
            if (!j->lanes[cell_index(j, w, r)] && took_time(&j->timing->cell[cell_index(j, w, r)]))
                j->lanes[cell_index(j, w, r)] = n->usual[w] ? n->usual[w] : n->claim[w];
}

void nameless_find_lanes(struct measuring *j)
{
    size_t n_work = j->known.n_work;
    struct nameless n = {.j = j,
                         .claim = WR_COPY(j->known.lanes, n_work),
                         .usual = WR_NEW_ARRAY(uint32_t, n_work),
                         .busy = WR_NEW_ARRAY(size_t, n_work * 32),
                         .n_timed = WR_NEW_ARRAY(size_t, n_work),
                         .rival = WR_NEW_ARRAY(size_t, n_work),
                         .n_rival = WR_NEW_ARRAY(size_t, n_work)};

    find_named(&n);
    count_all(&n);
    if (move_work(&n)) count_all(&n);
    give_up(&n);
    write_back(&n);
    WR_FREE(n.claim, n.usual, n.busy, n.n_timed, n.rival, n.n_rival);
}
