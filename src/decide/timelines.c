#include "timelines.h"

#include <math.h>
#include "abreast.h"
#include "days.h"
#include "variant_days.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

enum {
    TRIALS = 16000,
    CHUNKS = 16          /* of the days, one thread each */
};

/* ---- timelines of one network and its durations ---- */

struct group {
    struct wr_timelines *all;
    uint64_t seed;
    size_t n, *member;         /* [n] index of the timeline */
    struct wr_scenarios scenarios;
    struct wr_days drawn;      /* what is the same in all of them */
    struct wr_days *days;      /* [n] of each member */
    size_t **list, *n_list;    /* [n] what a walk of a member after the one before it walks; of the first: all */
    size_t *n_dropped;         /* [(chunk * n + member) * n_task + task] */
};

static void draw_days(struct group *g, unsigned n_thread)
{
    const struct wr_variant *v = &g->all->variant[g->member[0]];

    wr_scenarios_make(&g->scenarios, v->durations, g->all->n_trial, g->seed, n_thread);
    wr_days_make(&g->drawn, v->net, v->durations, &g->scenarios, NULL);
    g->days = WR_NEW_ARRAY(struct wr_days, g->n);
    for (size_t m = 0; m < g->n; m++) {
        wr_days_again(&g->days[m], &g->drawn);
        wr_days_change(&g->days[m], &g->all->variant[g->member[m]]);
    }
}

/* The tasks in which a member differs from the one before it, and all that wait for them. */
static void list_differences(struct group *g, size_t m)
{
    const struct wr_days *days = &g->days[m];
    const struct wr_network *net = days->net;
    WR_SCOPED bool *other = WR_NEW_ARRAY(bool, net->n_task);

    g->list[m] = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        other[k] = m == 0 || wr_days_differ(days, days - 1, k);
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) other[k] |= other[net->pred[j]];
        if (other[k]) g->list[m][g->n_list[m]++] = k;
    }
}

static void group_release(struct group *g)
{
    for (size_t m = 0; m < g->n; m++) wr_days_release(&g->days[m]);
    wr_days_release(&g->drawn);
    wr_scenarios_release(&g->scenarios);
    wr_free_each((void *const *)g->list, g->n);
    WR_FREE(g->days, g->list, g->n_list, g->n_dropped, g->member);
}

/* ---- a lot of days ---- */

static void see(const struct group *g, struct wr_abreast *a, size_t *n_dropped)
{
    const size_t n_task = g->drawn.n_task, first = a->trial[0];

    for (size_t m = 0; m < g->n; m++) {
        struct wr_timeline *line = &g->all->line[g->member[m]];
        wr_abreast_load(a, &g->days[m], NULL, g->list[m], g->n_list[m]);
        wr_abreast_walk(a, &g->days[m], NULL, g->list[m], g->n_list[m]);
        for (size_t k = 0; k < n_task; k++) {
            const double *end = a->end_min + k * WR_ABREAST;
            const uint64_t *dropped = a->dropped + k * WR_ABREAST;
            for (size_t i = 0; i < a->n; i++) {
                line->finish[first + i] = fmax(line->finish[first + i], end[i]);
                n_dropped[m * n_task + k] += dropped[i] != 0;
            }
        }
    }
}

/* ---- all days ---- */

static void walk_chunk(void *arg, size_t chunk)
{
    const struct group *g = arg;
    const size_t n_trial = g->all->n_trial, n_task = g->drawn.n_task;
    const size_t n_lot = (n_trial + WR_ABREAST - 1) / WR_ABREAST, last = (chunk + 1) * n_lot / CHUNKS * WR_ABREAST;
    struct wr_abreast abreast;

    wr_abreast_init(&abreast, n_task);
    for (size_t i = chunk * n_lot / CHUNKS * WR_ABREAST; i < last && i < n_trial; i += abreast.n) {
        wr_abreast_take(&abreast, i, n_trial);
        see(g, &abreast, g->n_dropped + chunk * g->n * n_task);
    }
    wr_abreast_release(&abreast);
}

static void run_group(struct group *g, unsigned n_thread)
{
    struct wr_timelines *t = g->all;

    draw_days(g, n_thread);
    const size_t n_task = g->drawn.n_task;
    g->list = WR_NEW_ARRAY(size_t *, g->n);
    g->n_list = WR_NEW_ARRAY(size_t, g->n);
    g->n_dropped = wr_alloc(CHUNKS * g->n, n_task * sizeof *g->n_dropped);
    for (size_t m = 0; m < g->n; m++) {
        struct wr_timeline *line = &t->line[g->member[m]];
        list_differences(g, m);
        line->finish = WR_NEW_ARRAY(double, t->n_trial);
        line->dropped = WR_NEW_ARRAY(double, n_task);
    }
    wr_parallel_for(CHUNKS, n_thread, walk_chunk, g);
    for (size_t m = 0; m < g->n; m++)
        for (size_t k = 0; k < n_task; k++) {
            size_t n = 0;
            for (size_t c = 0; c < CHUNKS; c++) n += g->n_dropped[(c * g->n + m) * n_task + k];
            t->line[g->member[m]].dropped[k] = (double)n / (double)t->n_trial;
        }
}

/* ---- points ---- */

/* Its network with its rules as they are in it; of the variant's own borrows all but the two rows, of n_task each. */
static struct wr_network changed_network(const struct wr_variant *v, double *not_before, double *drop_after)
{
    struct wr_network net = *v->net;

    for (size_t k = 0; k < net.n_task; k++) {
        bool drop = v->drop && v->drop[k];
        not_before[k] = drop ? 0 : net.not_before_min[k];
        drop_after[k] = drop || (v->no_rule && v->no_rule[k]) ? INFINITY : net.drop_after_min[k];
    }
    net.not_before_min = not_before;
    net.drop_after_min = drop_after;
    return net;
}

static enum wr_status pair_all(struct wr_timelines *t, const struct wr_whatif_options *options, struct wr_error *err)
{
    WR_SCOPED struct wr_network *net = WR_NEW_ARRAY(struct wr_network, t->n);
    WR_SCOPED struct wr_pairing_line *line = WR_NEW_ARRAY(struct wr_pairing_line, t->n);
    size_t n_row = 0;

    for (size_t i = 0; i < t->n; i++) n_row += 3 * t->variant[i].net->n_task;
    WR_SCOPED double *rows = WR_NEW_ARRAY(double, n_row);
    for (size_t i = 0, at = 0; i < t->n; i++) {
        const struct wr_variant *v = &t->variant[i];
        const size_t n_task = v->net->n_task;
        double *row = rows + at;
        double *factor = row + 2 * n_task;
        net[i] = changed_network(v, row, row + n_task);
        for (size_t k = 0; k < n_task; k++) factor[k] = v->drop && v->drop[k] ? 0 : v->scale ? v->scale[k] : 1;
        line[i] = (struct wr_pairing_line){&net[i], v->durations, factor, v->limit};
        at += 3 * n_task;
    }
    return wr_pairing_run(&t->paired, line, t->n, t->n_limit, options->means_alone, options->seed,
                          options->n_thread, err);
}

/* ---- both ---- */

/* The variant with what it leaves open taken from the base. */
static struct wr_variant completed(const struct wr_variant *base, const struct wr_variant *v)
{
    struct wr_variant full = *v;

    if (!full.net) full.net = base->net;
    if (!full.durations) full.durations = base->durations;
    if (!full.limit) {
        full.limit = base->limit;
        full.n_limit = base->n_limit;
    }
    return full;
}

static enum wr_status check_variant(const struct wr_variant *base, const struct wr_variant *v, struct wr_error *err)
{
    WR_BUG_IF(v->net->n_task != v->durations->n_task || v->n_limit != base->n_limit);
    if (v->durations->n_draw != base->durations->n_draw)
        return wr_fail(err, WR_E_DOMAIN, "'%s' rests on other posterior draws than the timeline as it is", v->name);
    for (size_t k = 0; v->scale && k < v->net->n_task; k++)
        if (!(v->scale[k] >= 0) || isinf(v->scale[k]))
            return wr_fail(err, WR_E_DOMAIN, "'%s' scales a task by %g: a factor is a number that is not negative",
                           v->name, v->scale[k]);
    return WR_OK;
}

/* One after the other: the days of a group are large. */
static void run_groups(struct wr_timelines *t, const struct wr_whatif_options *options)
{
    WR_SCOPED bool *done = WR_NEW_ARRAY(bool, t->n);

    for (size_t first = 0; first < t->n; first++) {
        if (done[first]) continue;
        WR_RELEASED_BY(group_release) struct group g = {
            .all = t, .seed = options->seed, .member = WR_NEW_ARRAY(size_t, t->n)};
        for (size_t i = first; i < t->n; i++) {
            if (t->variant[i].net != t->variant[first].net || t->variant[i].durations != t->variant[first].durations)
                continue;
            g.member[g.n++] = i;
            done[i] = true;
        }
        run_group(&g, options->n_thread);
    }
}

enum wr_status wr_timelines_run(struct wr_timelines *t, const struct wr_variant *base,
                                const struct wr_variant *alternative, size_t n_alternative,
                                const struct wr_whatif_options *options, struct wr_error *err)
{
    size_t n_trial = options->n_trial ? options->n_trial : TRIALS;
    enum wr_status status = WR_OK;

    *t = (struct wr_timelines){.n = n_alternative + 1, .n_limit = base->n_limit, .n_trial = n_trial,
                               .variant = WR_NEW_ARRAY(struct wr_variant, n_alternative + 1)};
    t->variant[0] = *base;
    for (size_t i = 1; i < t->n; i++) t->variant[i] = completed(base, &alternative[i - 1]);
    for (size_t i = 0; i < t->n && !status; i++) status = check_variant(base, &t->variant[i], err);
    if (!status) status = pair_all(t, options, err);
    if (status) {
        wr_timelines_release(t);
        return status;
    }
    t->line = WR_NEW_ARRAY(struct wr_timeline, t->n);
    run_groups(t, options);
    return WR_OK;
}

void wr_timelines_release(struct wr_timelines *t)
{
    for (size_t i = 0; t->line && i < t->n; i++) WR_FREE(t->line[i].finish, t->line[i].dropped);
    wr_pairing_release(&t->paired);
    WR_FREE(t->line, t->variant);
    *t = (struct wr_timelines){0};
}
