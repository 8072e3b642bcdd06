#include "wetrun/sim/scenarios.h"

#include <math.h>
#include <string.h>
#include "kernel.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

struct making {
    const struct wr_kernel *kernel;
    struct wr_scenarios *s;
    const struct wr_durations *d;
    uint64_t seed;
    bool skewed;
    struct wr_score_table *table; /* [n_task], judged tasks only */
};

/* Kernels fill whole groups of trials. */
static size_t padded(size_t n)
{
    return (n + 2 * WR_LANES - 1) / (2 * WR_LANES) * (2 * WR_LANES);
}

/* q of the person in each lane, trial by trial: person[lane * n + i]. */
static void people_rows(const struct making *m, uint64_t chunk, size_t first, size_t n, float *person)
{
    const struct wr_durations *d = m->d;
    struct wr_stream stream;
    uint32_t *u = WR_NEW_ARRAY(uint32_t, WR_CHUNK);
    float *z = WR_NEW_ARRAY(float, WR_CHUNK);

    wr_stream_seed(&stream, m->seed, WR_STREAM_LINE_UP, chunk);
    m->kernel->uniforms(&stream, padded(n), u);
    for (size_t lane = 0; lane < d->n_lane; lane++) {
        wr_stream_seed(&stream, m->seed, WR_STREAM_NEW_PERSON + lane, chunk);
        m->kernel->normals(&stream, padded(n), z);
        for (size_t i = 0; i < n; i++) {
            size_t up = (size_t)((uint64_t)u[i] * d->n_line_up >> 32), draw = (first + i) % d->n_draw;
            int who = d->line_up[up * d->n_lane + lane];
            person[lane * n + i] = who == WR_PERSON_NONE  ? 0.0f
                                   : who == WR_PERSON_NEW ? (float)d->kappa[draw] * z[i]
                                                          : (float)d->q[(size_t)who * d->n_draw + draw];
        }
    }
    wr_free(u);
    wr_free(z);
}

static float mean_over_lanes(uint32_t lanes, size_t n_lane, const float *person, size_t n, size_t i)
{
    float sum = 0;
    int count = 0;

    for (size_t lane = 0; lane < n_lane; lane++) {
        if (!(lanes >> lane & 1)) continue;
        sum += person[lane * n + i];
        count++;
    }
    return count ? sum / (float)count : 0.0f;
}

static void make_chunk(void *arg, size_t chunk)
{
    const struct making *m = arg;
    const struct wr_durations *d = m->d;
    struct wr_scenarios *s = m->s;
    struct wr_stream stream;
    size_t first = chunk * WR_CHUNK, n = s->n_trial - first < WR_CHUNK ? s->n_trial - first : WR_CHUNK;
    float *person = WR_NEW_ARRAY(float, n * d->n_lane), *h = WR_NEW_ARRAY(float, WR_CHUNK);
    float *z = WR_NEW_ARRAY(float, WR_CHUNK);

    people_rows(m, chunk, first, n, person);
    wr_stream_seed(&stream, m->seed, WR_STREAM_RUN_EFFECT, chunk);
    m->kernel->normals(&stream, padded(n), z);
    memcpy(s->run_score + first, z, n * sizeof *z);
    for (size_t i = 0; i < n; i++) {
        size_t draw = (first + i) % d->n_draw;
        double shift = d->run_effect_shift ? d->run_effect_shift[draw] : 0;
        s->draw[first + i] = draw;
        s->b[first + i] = shift + (d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw]) * s->run_score[first + i];
    }
    for (size_t k = 0; k < d->n_task; k++) {
        const struct wr_source *source = &d->source[k];
        float *own = s->own + k * s->n_trial + first, *score = s->score + k * s->n_trial + first;
        if (source->kind == WR_SRC_FIXED) {
            for (size_t i = 0; i < n; i++) own[i] = (float)source->p[0], score[i] = 0;
            continue;
        }
        wr_stream_seed(&stream, m->seed, d->stream[k], chunk);
        if (source->kind == WR_SRC_MODEL && m->skewed) m->kernel->pairs(&stream, padded(n), h, z);
        else m->kernel->normals(&stream, padded(n), z);
        memcpy(score, z, n * sizeof *z);
        memcpy(s->z + k * s->n_trial + first, score, n * sizeof *score);
        for (size_t i = 0; i < n; i++) {
            size_t draw = (first + i) % d->n_draw, at = k * d->n_draw + draw;
            if (source->kind == WR_SRC_LOGNORMAL) {
                own[i] = (float)(source->p[0] + source->p[1] * score[i]);
            } else if (source->kind != WR_SRC_MODEL) {
                own[i] = (float)wr_score_table_minutes(&m->table[k], score[i]);
            } else {
                if (m->skewed) {
                    double rho = d->rho[draw];
                    score[i] = (float)((rho * (fabsf(h[i]) - sqrt(2 / M_PI)) + sqrt(1 - rho * rho) * score[i])
                                       / sqrt(1 - 2 * rho * rho / M_PI));
                }
                own[i] = (float)(d->centre_log[at] + d->spread_log[at] * score[i]
                                 + mean_over_lanes(d->lanes[k], d->n_lane, person, n, i));
            }
        }
    }
    wr_free(person);
    wr_free(h);
    wr_free(z);
}

void wr_scenarios_make(struct wr_scenarios *s, const struct wr_durations *durations, size_t n_trial, uint64_t seed,
                       unsigned n_thread)
{
    struct making m = {.kernel = wr_kernel_best(), .s = s, .d = durations, .seed = seed};
    size_t n_task = durations->n_task;

    *s = (struct wr_scenarios){.n_trial = n_trial, .n_task = n_task};
    s->own = WR_NEW_ARRAY(float, n_task * n_trial);
    s->score = WR_NEW_ARRAY(float, n_task * n_trial);
    s->z = WR_NEW_ARRAY(float, n_task * n_trial);
    s->run_score = WR_NEW_ARRAY(float, n_trial);
    s->b = WR_NEW_ARRAY(double, n_trial);
    s->draw = WR_NEW_ARRAY(size_t, n_trial);
    s->carries_b = WR_NEW_ARRAY(unsigned char, n_task);
    s->is_log = WR_NEW_ARRAY(unsigned char, n_task);
    m.table = WR_NEW_ARRAY(struct wr_score_table, n_task);
    for (size_t i = 0; i < durations->n_draw; i++) m.skewed |= durations->rho[i] != 0;
    for (size_t k = 0; k < n_task; k++) {
        const struct wr_source *source = &durations->source[k];
        s->carries_b[k] = source->kind == WR_SRC_MODEL;
        s->is_log[k] = source->kind == WR_SRC_MODEL || source->kind == WR_SRC_LOGNORMAL;
        if (source->kind == WR_SRC_PERT)
            wr_score_table_pert(&m.table[k], source->p[0], source->p[1], source->p[2]);
        if (source->kind == WR_SRC_TRIANGULAR)
            wr_score_table_triangular(&m.table[k], source->p[0], source->p[1], source->p[2]);
    }
    wr_parallel_for((n_trial + WR_CHUNK - 1) / WR_CHUNK, n_thread, make_chunk, &m);
    wr_free(m.table);
}

void wr_scenarios_release(struct wr_scenarios *s)
{
    wr_free(s->own);
    wr_free(s->score);
    wr_free(s->z);
    wr_free(s->run_score);
    wr_free(s->b);
    wr_free(s->draw);
    wr_free(s->carries_b);
    wr_free(s->is_log);
    *s = (struct wr_scenarios){0};
}

void wr_scenarios_durations(const struct wr_scenarios *s, size_t trial, double *duration_min)
{
    for (size_t k = 0; k < s->n_task; k++) {
        double own = s->own[k * s->n_trial + trial];
        duration_min[k] = s->is_log[k] ? exp(s->carries_b[k] ? own + s->b[trial] : own) : own;
    }
}
