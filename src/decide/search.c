#include "wetrun/decide/search.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "abreast.h"
#include "variant_days.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/base/str.h"
#include "wetrun/network/arrangement.h"

enum { TRIALS = 8192 };
static const uint64_t FRESH = UINT64_C(0x9e3779b97f4a7c15); /* other days than the search saw: any other seed will do */

/* ---- a timeline with some of the moves made ---- */

struct changed {
    struct wr_network net;
    struct wr_durations durations; /* borrowed but for the lanes */
    uint32_t *lanes;
    unsigned char *drop;
    double *scale;
    struct wr_variant variant;
};

static void changed_release(struct changed *c)
{
    wr_network_release(&c->net);
    WR_FREE(c->lanes, c->drop, c->scale);
    *c = (struct changed){0};
}

static void make_move(struct changed *c, struct wr_arrangement *a, const struct wr_move *m)
{
    switch (m->kind) {
    case WR_MOVE_EXCHANGE: wr_arrangement_swap(a, m->task, m->other); break;
    case WR_MOVE_BEFORE: wr_arrangement_put_before(a, m->task, m->other); break;
    case WR_MOVE_CREW: a->lanes[m->task] = m->lanes; break;
    case WR_MOVE_DROP: c->drop[m->task] = 1; break;
    case WR_MOVE_SHORTEN: c->scale[m->task] = m->factor; break;
    case WR_N_MOVE_KIND: break;
    }
}

/* A clock that ends before it begins would look kept. */
static bool runs_backwards(const struct wr_variant *v)
{
    for (size_t l = 0; l < v->n_limit; l++)
        if (v->limit[l].is_clock && wr_network_waits_for(v->net, v->limit[l].from, v->limit[l].to)) return true;
    return false;
}

/* False if these changes cannot be worked together, or no clock could be read on what they make. */
static bool changed_make(struct changed *c, const struct wr_plan *plan, const struct wr_variant *base,
                         const struct wr_moves *moves, const struct wr_search_row *row)
{
    WR_RELEASED_BY(wr_arrangement_release) struct wr_arrangement a = {0};
    struct wr_error circle = {0};

    wr_arrangement_of(&a, plan);
    *c = (struct changed){.drop = WR_NEW_ARRAY(unsigned char, plan->n_task),
                          .scale = WR_NEW_ARRAY(double, plan->n_task)};
    for (size_t k = 0; k < plan->n_task; k++) c->scale[k] = 1;
    for (size_t i = 0; i < row->n_move; i++) make_move(c, &a, &moves->move[row->move[i]]);
    bool possible = wr_network_build_arranged(&c->net, plan, &a, &circle) == WR_OK;
    c->lanes = a.lanes;
    a.lanes = NULL;
    c->durations = *base->durations;
    c->durations.lanes = c->lanes;
    c->variant = *base;
    c->variant.net = &c->net;
    c->variant.durations = &c->durations;
    c->variant.drop = c->drop;
    c->variant.scale = c->scale;
    possible = possible && !runs_backwards(&c->variant);
    if (!possible) changed_release(c);
    return possible;
}

/* Two changes that say different things of one task, or that a drop makes pointless. */
static bool at_odds(const struct wr_move *a, const struct wr_move *b)
{
    bool a_cuts = a->kind == WR_MOVE_DROP || a->kind == WR_MOVE_SHORTEN;
    bool b_cuts = b->kind == WR_MOVE_DROP || b->kind == WR_MOVE_SHORTEN;

    if (a->kind == WR_MOVE_CREW && b->kind == WR_MOVE_CREW) return a->task == b->task;
    if (a_cuts && b_cuts) return a->task == b->task;
    if (a->kind == WR_MOVE_DROP && b->kind != WR_MOVE_BEFORE && b->kind != WR_MOVE_EXCHANGE) return a->task == b->task;
    return false;
}

/* ---- looking ---- */

struct look {               /* what one arrangement makes of the days */
    struct wr_search_row row;
    bool possible;
    unsigned char *over;    /* [n_trial] of the first limit; NULL without one */
    double mean_min, gain;  /* gain: in overrun probability, without a limit in minutes */
};

struct looking {
    const struct wr_plan *plan;
    const struct wr_variant *base;
    const struct wr_moves *moves;
    const struct wr_search_options *options;
    struct wr_scenarios days;
    size_t n_trial;
    struct look *look; size_t n_look, room;
    size_t first;           /* of those to be walked */
};

struct simulated {
    const struct wr_variant *v;
    struct look *look;
};

static void take_lot(const struct wr_abreast *a, void *arg)
{
    const struct simulated *s = arg;
    const struct wr_sim_limit finish = {.lanes = UINT32_MAX}, *limit = s->v->limit;

    for (size_t i = 0; i < a->n; i++) {
        s->look->mean_min += wr_abreast_outcome(a, s->v->net, &finish, i);
        if (s->look->over) s->look->over[a->trial[i]] = wr_abreast_outcome(a, s->v->net, limit, i) > limit->minutes;
    }
}

static void simulate_look(const struct looking *l, const struct wr_variant *v, bool other_people, struct look *look)
{
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios own = {0};
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};

    if (other_people) wr_scenarios_make(&own, v->durations, l->n_trial, l->options->seed, 1);
    wr_days_make(&days, v->net, v->durations, other_people ? &own : &l->days, NULL);
    wr_days_change(&days, v);
    look->over = v->n_limit ? WR_NEW_ARRAY(unsigned char, l->n_trial) : NULL;
    wr_abreast_each_lot(&days, take_lot, &(struct simulated){v, look});
    look->mean_min /= (double)l->n_trial;
}

static bool moves_people(const struct looking *l, const struct wr_search_row *row)
{
    for (size_t i = 0; i < row->n_move; i++)
        if (l->moves->move[row->move[i]].kind == WR_MOVE_CREW) return true;
    return false;
}

static void look_at(void *arg, size_t piece)
{
    const struct looking *l = arg;
    struct look *look = &l->look[l->first + piece];
    struct changed c;

    look->possible = changed_make(&c, l->plan, l->base, l->moves, &look->row);
    if (!look->possible) return;
    simulate_look(l, &c.variant, moves_people(l, &look->row), look);
    changed_release(&c);
}

static double share(const unsigned char *over, size_t n)
{
    size_t count = 0;

    for (size_t i = 0; i < n; i++) count += over[i];
    return (double)count / (double)n;
}

/* Walks the looks from l->first on; look 0 is the timeline as it is. */
static void look_at_all(struct looking *l)
{
    wr_parallel_for(l->n_look - l->first, l->options->n_thread, look_at, l);
    for (size_t i = l->first; i < l->n_look; i++) {
        struct look *look = &l->look[i];
        if (!look->possible) continue;
        look->gain = look->over ? share(l->look[0].over, l->n_trial) - share(look->over, l->n_trial)
                                : l->look[0].mean_min - look->mean_min;
    }
    l->first = l->n_look;
}

static bool same_row(const struct wr_search_row *a, const struct wr_search_row *b)
{
    return a->n_move == b->n_move && memcmp(a->move, b->move, a->n_move * sizeof *a->move) == 0;
}

static struct look *find_look(const struct looking *l, const struct wr_search_row *row)
{
    for (size_t i = 0; i < l->n_look; i++)
        if (same_row(&l->look[i].row, row)) return &l->look[i];
    return NULL;
}

/* That of a row that was asked for. */
static struct look *asked_look(const struct looking *l, const struct wr_search_row *row)
{
    struct look *look = find_look(l, row);

    WR_BUG_IF(!look);
    return look;
}

static void ask(struct looking *l, const struct wr_search_row *row)
{
    if (!find_look(l, row)) WR_PUSH(l->look, l->n_look, l->room)->row = *row;
}

/* Better first: larger gain, then an earlier finish, then fewer changes, then as allowed. */
static int better_first(const void *a, const void *b)
{
    const struct look *x = *(const struct look *const *)a, *y = *(const struct look *const *)b;

    if (x->gain != y->gain) return x->gain > y->gain ? -1 : 1;
    if (x->mean_min != y->mean_min) return x->mean_min < y->mean_min ? -1 : 1;
    if (x->row.n_move != y->row.n_move) return x->row.n_move < y->row.n_move ? -1 : 1;
    return memcmp(x->row.move, y->row.move, sizeof x->row.move);
}

/* Possible looks with that many changes (0: any, but some), best first; best[n_look]. Returns how many. */
static size_t sort_looks(const struct looking *l, size_t n_move, struct look **best)
{
    size_t n = 0;

    for (size_t i = 1; i < l->n_look; i++)
        if (l->look[i].possible && (n_move == 0 || l->look[i].row.n_move == n_move)) best[n++] = &l->look[i];
    qsort(best, n, sizeof(struct look *), better_first);
    return n;
}

/* The row with one more move in its place; false if it is there already or at odds with one of them. */
static bool with_one_more(struct wr_search_row *row, const struct wr_search_row *from, size_t move,
                          const struct wr_moves *moves)
{
    size_t at = 0;

    for (size_t i = 0; i < from->n_move; i++)
        if (from->move[i] == move || at_odds(&moves->move[from->move[i]], &moves->move[move]) ||
            at_odds(&moves->move[move], &moves->move[from->move[i]]))
            return false;
    while (at < from->n_move && from->move[at] < move) at++;
    *row = *from;
    memmove(row->move + at + 1, row->move + at, (row->n_move - at) * sizeof *row->move);
    row->move[at] = move;
    row->n_move++;
    return true;
}

static void ask_combinations(struct looking *l, size_t n_move)
{
    WR_SCOPED struct look **best = WR_NEW_ARRAY(struct look *, l->n_look),
                          **single = WR_NEW_ARRAY(struct look *, l->n_look);
    size_t n_best = sort_looks(l, n_move - 1, best), n_single = sort_looks(l, 1, single);
    WR_SCOPED struct wr_search_row *row = wr_alloc(WR_SEARCH_BEAM, WR_SEARCH_PARTNERS * sizeof *row);
    size_t n = 0;

    for (size_t i = 0; i < n_best && i < WR_SEARCH_BEAM; i++)
        for (size_t j = 0; j < n_single && j < WR_SEARCH_PARTNERS; j++)
            n += with_one_more(&row[n], &best[i]->row, single[j]->row.move[0], l->moves);
    for (size_t i = 0; i < n; i++) ask(l, &row[i]); /* may move the looks: best and single are not read any more */
}

/* ---- choosing ---- */

/* Is x better than y by more than two paired standard errors? */
static bool clearly_better(const struct looking *l, const struct look *x, const struct look *y)
{
    size_t better = 0, worse = 0, n = l->n_trial;

    if (!x->over) return y->mean_min - x->mean_min > 0.05; /* minutes: days are the same, 3 s are no gain */
    for (size_t i = 0; i < n; i++) {
        better += y->over[i] && !x->over[i];
        worse += !y->over[i] && x->over[i];
    }
    double gain = ((double)better - (double)worse) / (double)n, both = (double)(better + worse) / (double)n;
    return gain > 2 * sqrt(fmax(0, both - gain * gain) / (double)n);
}

static struct wr_search_row without(const struct wr_search_row *row, size_t at)
{
    struct wr_search_row less = {.n_move = row->n_move - 1};

    for (size_t i = 0, j = 0; i < row->n_move; i++)
        if (i != at) less.move[j++] = row->move[i];
    return less;
}

/* No part of it can be left out. Parts that were not looked at yet are looked at now; looks may move. */
static bool is_needed_whole(struct looking *l, const struct wr_search_row row)
{
    for (size_t at = 0; at < row.n_move; at++) {
        struct wr_search_row less = without(&row, at);
        ask(l, &less);
        look_at_all(l);
        const struct look *part = asked_look(l, &less);
        if (part->possible && !clearly_better(l, asked_look(l, &row), part)) return false;
    }
    return true;
}

/* Of each number of changes the best, then the best of all that is left. */
static void choose(struct wr_search *s, struct looking *l)
{
    const size_t n_known = l->n_look;
    WR_SCOPED struct wr_search_row *rows = WR_NEW_ARRAY(struct wr_search_row, n_known);

    s->row = WR_NEW_ARRAY(struct wr_search_row, WR_SEARCH_SHOWN);
    for (size_t n_move = 1; n_move <= WR_SEARCH_MOST_CHANGES + 1; n_move++) {
        bool any = n_move > WR_SEARCH_MOST_CHANGES;
        WR_SCOPED struct look **best = WR_NEW_ARRAY(struct look *, l->n_look);
        size_t n = sort_looks(l, any ? 0 : n_move, best), wanted = any ? WR_SEARCH_SHOWN : s->n_row + 1;
        n = n < n_known ? n : n_known;
        for (size_t i = 0; i < n; i++) rows[i] = best[i]->row;
        for (size_t i = 0; i < n && s->n_row < wanted; i++) {
            bool there = false;
            for (size_t j = 0; j < s->n_row; j++) there = there || same_row(&s->row[j], &rows[i]);
            if (there || !is_needed_whole(l, rows[i])) continue;
            s->row[s->n_row] = rows[i];
            s->row[s->n_row++].gain_in_search = asked_look(l, &rows[i])->gain;
        }
    }
    for (size_t i = 1; i < s->n_row; i++) { /* best first */
        const struct wr_search_row row = s->row[i];
        size_t j = i;
        for (; j > 0 && s->row[j - 1].gain_in_search < row.gain_in_search; j--) s->row[j] = s->row[j - 1];
        s->row[j] = row;
    }
}

/* ---- in words, and on fresh days ---- */

static void add_crew(struct wr_str *text, const struct wr_plan *plan, uint32_t lanes)
{
    const char *between = "";

    for (size_t l = 0; l < plan->n_lane; l++) {
        if (!(lanes >> l & 1)) continue;
        wr_str_addf(text, "%s%s", between, plan->lane[l]);
        between = "+";
    }
}

static void add_move(struct wr_str *text, const struct wr_plan *plan, const struct wr_move *m)
{
    const char *id = plan->task[m->task].id;

    switch (m->kind) {
    case WR_MOVE_EXCHANGE: wr_str_addf(text, "exchange %s and %s", id, plan->task[m->other].id); break;
    case WR_MOVE_BEFORE: wr_str_addf(text, "%s before %s", id, plan->task[m->other].id); break;
    case WR_MOVE_CREW:
        wr_str_addf(text, "%s by ", id);
        add_crew(text, plan, m->lanes);
        break;
    case WR_MOVE_DROP: wr_str_addf(text, "leave out %s", id); break;
    case WR_MOVE_SHORTEN: wr_str_addf(text, "%s in %g of its time", id, m->factor); break;
    case WR_N_MOVE_KIND: break;
    }
}

static const char *name_row(struct wr_search *s, const struct wr_plan *plan, const struct wr_moves *moves,
                            const struct wr_search_row *row)
{
    WR_SCOPED_STR text = {0};

    for (size_t i = 0; i < row->n_move; i++) {
        if (i) wr_str_add(&text, ", ");
        add_move(&text, plan, &moves->move[row->move[i]]);
    }
    return wr_arena_copy(&s->text, wr_str_text(&text), text.len);
}

/* Mean minutes of work that is given up. */
static double work_left_out(const struct looking *l, const struct wr_search_row *row)
{
    double *minutes = WR_NEW_ARRAY(double, l->n_trial), sum = 0;

    for (size_t i = 0; i < row->n_move; i++) {
        const struct wr_move *m = &l->moves->move[row->move[i]];
        double part = m->kind == WR_MOVE_DROP ? 1 : m->kind == WR_MOVE_SHORTEN ? 1 - m->factor : 0;
        if (part == 0) continue;
        wr_scenarios_minutes(&l->days, m->task, minutes);
        for (size_t j = 0; j < l->n_trial; j++) sum += part * minutes[j] / (double)l->n_trial;
    }
    wr_free(minutes);
    return sum;
}

static enum wr_status look_afresh(struct wr_search *s, const struct looking *l, struct wr_error *err)
{
    WR_SCOPED struct changed *changed = WR_NEW_ARRAY(struct changed, s->n_row);
    WR_SCOPED struct wr_variant *variant = WR_NEW_ARRAY(struct wr_variant, s->n_row);
    const struct wr_whatif_options options = {
        .n_trial = l->options->n_trial, .seed = l->options->seed ^ FRESH, .n_thread = l->options->n_thread,
        .in_order = true};

    s->name = WR_NEW_ARRAY(const char *, s->n_row);
    for (size_t i = 0; i < s->n_row; i++) {
        s->name[i] = name_row(s, l->plan, l->moves, &s->row[i]);
        s->row[i].left_out_min = work_left_out(l, &s->row[i]);
        WR_BUG_IF(!changed_make(&changed[i], l->plan, l->base, l->moves, &s->row[i]));
        variant[i] = changed[i].variant;
        variant[i].name = s->name[i];
    }
    enum wr_status status = wr_whatif_run(&s->whatif, l->base, variant, s->n_row, &options, err);
    for (size_t i = 0; i < s->n_row; i++) changed_release(&changed[i]);
    return status;
}

static void tell_progress(const struct looking *l, double share_done)
{
    if (l->options->progress) l->options->progress(l->options->progress_arg, share_done);
}

enum wr_status wr_search_run(struct wr_search *search, const struct wr_plan *plan, const struct wr_variant *base,
                             const struct wr_moves *moves, const struct wr_search_options *options,
                             struct wr_error *err)
{
    struct looking l = {.plan = plan, .base = base, .moves = moves, .options = options,
                        .n_trial = options->n_trial ? options->n_trial : TRIALS};
    size_t most = options->most_changes ? options->most_changes : 2;

    wr_scenarios_make(&l.days, base->durations, l.n_trial, options->seed, options->n_thread);
    ask(&l, &(struct wr_search_row){0});
    for (size_t i = 0; i < moves->n_move; i++) ask(&l, &(struct wr_search_row){.n_move = 1, .move = {i}});
    look_at_all(&l);
    for (size_t n_move = 2; n_move <= most; n_move++) {
        tell_progress(&l, (double)(n_move - 1) / (double)(most + 1));
        ask_combinations(&l, n_move);
        look_at_all(&l);
    }
    choose(search, &l);
    tell_progress(&l, (double)most / (double)(most + 1));
    search->n_allowed = moves->n_move;
    for (size_t i = 1; i < l.n_look; i++) {
        search->n_looked_at += l.look[i].possible;
        search->n_impossible += !l.look[i].possible;
    }
    enum wr_status status = look_afresh(search, &l, err);
    for (size_t i = 0; i < l.n_look; i++) wr_free(l.look[i].over);
    wr_free(l.look);
    wr_scenarios_release(&l.days);
    return status;
}

void wr_search_release(struct wr_search *search)
{
    wr_whatif_release(&search->whatif);
    WR_FREE(search->row, search->name);
    wr_arena_release(&search->text);
    *search = (struct wr_search){0};
}
