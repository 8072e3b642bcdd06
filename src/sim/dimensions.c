#include "dimensions.h"

#include <math.h>
#include <stdlib.h>
#include "wetrun/base/memory.h"

struct importance {
    double weight;
    uint64_t stream;
    size_t order;           /* of its first appearance */
    size_t last_seen;       /* 1 + the last timeline that it stands in */
    bool paired;
};

static int heavier_first(const void *a, const void *b)
{
    const struct importance *x = a, *y = b;

    if (x->weight != y->weight) return x->weight > y->weight ? -1 : 1;
    return (x->order > y->order) - (x->order < y->order);
}

/* Spread in minutes, roughly: at the first draw. */
static double weight_of(const struct wr_task_setup *t)
{
    if (t->form == WR_FORM_FIXED) return 0;
    if (t->table) return wr_score_table_minutes(t->table, 1) - wr_score_table_minutes(t->table, -1);
    return exp2(fmin(*t->centre, 100)) * *t->spread;
}

/* The one of a stream that the timeline has not taken yet, likely where the first timeline has it; n: none. */
static size_t find(const struct importance *of, size_t n, uint64_t stream, size_t timeline, size_t likely)
{
    size_t i = 0;

    if (likely < n && of[likely].stream == stream && of[likely].last_seen <= timeline) return likely;
    while (i < n && (of[i].stream != stream || of[i].last_seen > timeline)) i++;
    return i;
}

/* of[…] gets the tasks of all timelines, and slot[timeline * n_task + task] which of them each is; returns how many. */
static size_t gather(struct importance *of, size_t *slot, size_t n_task, const struct wr_setup *const *timeline,
                     size_t n_timeline)
{
    size_t n = 0;

    for (size_t m = 0; m < n_timeline; m++)
        for (size_t k = 0; k < timeline[m]->n_task; k++) {
            const struct wr_task_setup *t = &timeline[m]->task[k];
            uint64_t stream = timeline[m]->durations->stream[k];
            size_t i = m == 0 ? n : find(of, n, stream, m, k);
            if (i == n) of[n++] = (struct importance){.stream = stream, .order = i};
            of[i].weight = fmax(of[i].weight, weight_of(t));
            of[i].paired |= t->paired;
            of[i].last_seen = m + 1;
            slot[m * n_task + k] = i;
        }
    return n;
}

void wr_dimensions_plan(struct wr_dimensions *d, const struct wr_setup *const *timeline, size_t n_timeline)
{
    const uint64_t second_normal = UINT64_C(0x5345434f4e442121);
    size_t n_all = 0, n_lane = 0, at = 0;
    bool people_vary = false;

    *d = (struct wr_dimensions){0};
    for (size_t m = 0; m < n_timeline; m++) {
        const struct wr_setup *s = timeline[m];
        n_all += s->n_task;
        people_vary |= s->people_vary;
        if (s->n_task > d->n_task) d->n_task = s->n_task;
        if (s->durations->n_lane > n_lane) n_lane = s->durations->n_lane;
    }
    WR_SCOPED struct importance *of = WR_NEW_ARRAY(struct importance, n_all);
    WR_SCOPED size_t *first = WR_NEW_ARRAY(size_t, n_all), *second = WR_NEW_ARRAY(size_t, n_all);
    d->first = wr_alloc(n_timeline, d->n_task * sizeof *d->first);
    d->second = wr_alloc(n_timeline, d->n_task * sizeof *d->second);
    const size_t n = gather(of, d->first, d->n_task, timeline, n_timeline);
    d->identity = WR_NEW_ARRAY(uint64_t, 2 + n_lane + 2 * n);
    qsort(of, n, sizeof *of, heavier_first);
    d->identity[d->run = at++] = WR_STREAM_RUN_EFFECT;
    if (people_vary) {
        d->identity[d->line_up = at++] = WR_STREAM_LINE_UP;
        d->new_person = at;
        for (size_t l = 0; l < n_lane; l++) d->identity[at++] = WR_STREAM_NEW_PERSON + l;
    }
    for (size_t i = 0; i < n; i++) d->identity[first[of[i].order] = at++] = of[i].stream;
    for (size_t i = 0; i < n; i++)
        if (of[i].paired) d->identity[second[of[i].order] = at++] = of[i].stream ^ second_normal;
    d->n = at;
    for (size_t m = 0; m < n_timeline; m++)
        for (size_t k = 0; k < timeline[m]->n_task; k++) {
            size_t slot = d->first[m * d->n_task + k];
            d->first[m * d->n_task + k] = first[slot];
            d->second[m * d->n_task + k] = second[slot];
        }
}

void wr_dimensions_release(struct wr_dimensions *d)
{
    WR_FREE(d->first, d->second, d->identity);
    *d = (struct wr_dimensions){0};
}
