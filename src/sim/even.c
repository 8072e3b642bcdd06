#include "even.h"

#include <math.h>
#include "lattice.h"
#include "wetrun/base/memory.h"
#include "wetrun/sim/scenarios.h"

/* Streams of the shifts are told apart from others by this. */
static const uint64_t even_seed = UINT64_C(0x6576656e64617973);

/* At the first draw, roughly. */
static double spread_min(const struct wr_durations *d, size_t k)
{
    switch (wr_source_form(&d->source[k])) {
    case WR_FORM_FIXED: return 0;
    case WR_FORM_BENT: return wr_source_quantile_min(&d->source[k], 0.84) - wr_source_quantile_min(&d->source[k], 0.16);
    case WR_FORM_LOG: break;
    }
    struct wr_log_law law = wr_durations_log_law(d, k, 0);
    return exp(fmin(law.centre, 100)) * law.spread * 2;
}

static void rank_tasks(struct wr_even *e, const struct wr_durations *d)
{
    WR_SCOPED double *spread = WR_NEW_ARRAY(double, d->n_task);

    for (size_t k = 0; k < d->n_task; k++) spread[k] = spread_min(d, k);
    for (size_t k = 0; k < d->n_task; k++)
        for (size_t j = 0; j < d->n_task; j++)
            e->rank[k] += spread[j] > spread[k] || (!(spread[j] < spread[k]) && j < k);
}

/* Among those of its part. The trials of a draw follow each other, which spreads them over it evenly as well. */
static uint32_t point_of(size_t trial, size_t part, size_t n_draw, size_t n_trial)
{
    size_t first = (part * n_draw + WR_SCENARIO_PARTS - 1) / WR_SCENARIO_PARTS;

    if (!wr_scenarios_parts_by_draw(n_draw)) return (uint32_t)(trial / WR_SCENARIO_PARTS);
    return (uint32_t)((trial % n_draw - first) * ((n_trial + n_draw - 1) / n_draw) + trial / n_draw);
}

void wr_even_plan(struct wr_even *e, const struct wr_kernel *kernel, const struct wr_durations *d, size_t n_trial,
                  uint64_t seed)
{
    *e = (struct wr_even){.kernel = kernel,
                          .seed = seed,
                          .n_task = d->n_task,
                          .index = WR_NEW_ARRAY(uint32_t, n_trial),
                          .part = WR_NEW_ARRAY(unsigned char, n_trial),
                          .rank = WR_NEW_ARRAY(size_t, d->n_task)};
    rank_tasks(e, d);
    for (size_t i = 0; i < n_trial; i++) {
        e->part[i] = (unsigned char)wr_scenarios_part(i % d->n_draw, d->n_draw, i);
        e->index[i] = wr_lattice_index(point_of(i, e->part[i], d->n_draw, n_trial));
    }
}

void wr_even_release(struct wr_even *e)
{
    WR_FREE(e->index, e->part, e->rank);
    *e = (struct wr_even){0};
}

void wr_even_uniforms(const struct wr_even *e, uint64_t identity, size_t dimension, size_t first, size_t n, uint32_t *u)
{
    const size_t in_groups = (n + 2 * WR_LANES - 1) / (2 * WR_LANES) * (2 * WR_LANES);
    uint32_t of_part[WR_SCENARIO_PARTS], *shift = WR_NEW_ARRAY(uint32_t, in_groups),
             *index = WR_NEW_ARRAY(uint32_t, in_groups);

    for (size_t p = 0; p < WR_SCENARIO_PARTS; p++)
        of_part[p] = (uint32_t)(wr_mix3(e->seed ^ even_seed, identity + dimension, p) >> 32);
    for (size_t i = 0; i < n; i++) {
        shift[i] = of_part[e->part[first + i]];
        index[i] = e->index[first + i];
    }
    e->kernel->lattice(index, wr_lattice_generator(dimension), shift, in_groups, u);
    WR_FREE(shift, index);
}

void wr_even_normals(const struct wr_even *e, uint64_t identity, size_t dimension, size_t first, size_t n, float *z)
{
    WR_SCOPED uint32_t *u = WR_NEW_ARRAY(uint32_t, WR_CHUNK);

    wr_even_uniforms(e, identity, dimension, first, n, u);
    e->kernel->scores(u, (n + 2 * WR_LANES - 1) / (2 * WR_LANES) * (2 * WR_LANES), z);
}
