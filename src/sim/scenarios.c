#include "wetrun/sim/scenarios.h"

#include <math.h>
#include <string.h>
#include "even.h"
#include "setup.h"
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/model/skew_normal.h"

struct making {
    const struct wr_kernel *kernel;
    struct wr_scenarios *s;
    const struct wr_durations *d;
    uint64_t seed;
    bool skewed;
    size_t n_draw, draw_step;     /* trial i is of draw (i mod n_draw) * draw_step */
    bool shared;                  /* all trials of one round through the draws meet the same luck */
    struct wr_even *even;         /* or NULL: random numbers */
    struct wr_score_table *table; /* [n_task], WR_FORM_BENT only */
};

/* One chunk and the rows to work in. */
struct chunk {
    uint64_t number;
    size_t first, n;
    float *h, *z;           /* [WR_CHUNK] */
    uint32_t *u;            /* [WR_CHUNK] */
    float *person;          /* [lane * n + i] */
};

static size_t draw_of(const struct making *m, size_t trial)
{
    return trial % m->n_draw * m->draw_step;
}

/* Kernels fill whole groups of trials. */
static size_t padded(size_t n)
{
    return (n + 2 * WR_LANES - 1) / (2 * WR_LANES) * (2 * WR_LANES);
}

/* Numbers of a stream for the chunk: one for every trial, or for every round. */
static size_t begin_stream(const struct making *m, const struct chunk *c, uint64_t key, struct wr_stream *stream)
{
    wr_stream_seed(stream, m->seed, key, m->shared ? 0 : c->number);
    return padded(m->shared ? m->s->n_trial / m->n_draw + 1 : c->n);
}

static void share_out(const struct making *m, const struct chunk *c, void *number)
{
    uint32_t *of_trial = number;

    if (!m->shared) return;
    WR_SCOPED uint32_t *of_round = WR_COPY(of_trial, WR_CHUNK);
    for (size_t i = 0; i < c->n; i++) of_trial[i] = of_round[(c->first + i) / m->n_draw];
}

/* dimension: of even luck. */
static void normals(const struct making *m, const struct chunk *c, uint64_t key, size_t dimension, float *z)
{
    struct wr_stream stream;

    if (m->even) {
        wr_even_normals(m->even, key, dimension, c->first, c->n, z);
        return;
    }
    size_t n = begin_stream(m, c, key, &stream);

    m->kernel->normals(&stream, n, z);
    share_out(m, c, z);
}

static void draw_people(const struct making *m, struct chunk *c)
{
    const struct wr_durations *d = m->d;
    struct wr_stream stream;

    if (m->even) {
        wr_even_uniforms(m->even, WR_STREAM_LINE_UP, wr_even_line_up(m->even), c->first, c->n, c->u);
    } else {
        size_t n = begin_stream(m, c, WR_STREAM_LINE_UP, &stream);
        m->kernel->uniforms(&stream, n, c->u);
        share_out(m, c, c->u);
    }
    for (size_t lane = 0; lane < d->n_lane; lane++) {
        normals(m, c, WR_STREAM_NEW_PERSON + lane, m->even ? wr_even_person(m->even, lane) : 0, c->z);
        for (size_t i = 0; i < c->n; i++) {
            size_t draw = draw_of(m, c->first + i);
            int who = wr_person_in(d, c->u[i], lane);
            c->person[lane * c->n + i] = who == WR_PERSON_NONE  ? 0.0f
                                         : who == WR_PERSON_NEW ? (float)d->kappa[draw] * c->z[i]
                                                                : (float)d->q[(size_t)who * d->n_draw + draw];
        }
    }
}

static void draw_run_effect(const struct making *m, struct chunk *c)
{
    const struct wr_durations *d = m->d;
    struct wr_scenarios *s = m->s;

    normals(m, c, WR_STREAM_RUN_EFFECT, WR_EVEN_RUN, c->z);
    for (size_t i = 0; i < c->n; i++) {
        size_t trial = c->first + i, draw = draw_of(m, trial);
        double shift = d->run_effect_shift ? d->run_effect_shift[draw] : 0;
        s->draw[trial] = draw;
        s->run_score[trial] = c->z[i];
        s->b[trial] = shift + (d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw]) * c->z[i];
    }
}

static float mean_over_lanes(const struct making *m, const struct chunk *c, uint32_t lanes, size_t i)
{
    float sum = 0;
    int count = 0;

    for (size_t lane = 0; lane < m->d->n_lane; lane++) {
        if (!(lanes >> lane & 1)) continue;
        sum += c->person[lane * c->n + i];
        count++;
    }
    return count ? sum / (float)count : 0.0f;
}

static void draw_log(const struct making *m, const struct chunk *c, size_t k, bool paired, float *own, float *score)
{
    uint32_t lanes = wr_durations_people_of(m->d, k);

    for (size_t i = 0; i < c->n; i++) {
        struct wr_log_law law = wr_durations_log_law(m->d, k, draw_of(m, c->first + i));
        if (paired) score[i] = (float)wr_skew_error(law.rho, c->h[i], score[i]);
        own[i] = (float)(law.centre + law.spread * score[i] + mean_over_lanes(m, c, lanes, i));
    }
}

static void draw_task(const struct making *m, struct chunk *c, size_t k)
{
    const size_t at = k * m->s->n_trial + c->first;
    const enum wr_form form = wr_source_form(&m->d->source[k]);
    const bool paired = m->skewed && wr_durations_are_modelled(m->d, k);
    float *own = m->s->own + at, *score = m->s->score + at;
    struct wr_stream stream;

    if (form == WR_FORM_FIXED) {
        for (size_t i = 0; i < c->n; i++) own[i] = (float)m->d->source[k].p[0];
        return; /* its score stays 0 */
    }
    if (m->even) {
        wr_even_normals(m->even, m->d->stream[k], wr_even_task(m->even, k), c->first, c->n, c->z);
        if (paired) wr_even_normals(m->even, m->d->stream[k], wr_even_second(m->even, k), c->first, c->n, c->h);
    } else if (paired) {
        size_t n = begin_stream(m, c, m->d->stream[k], &stream);
        m->kernel->pairs(&stream, n, c->h, c->z);
        share_out(m, c, c->h);
        share_out(m, c, c->z);
    } else {
        normals(m, c, m->d->stream[k], 0, c->z);
    }
    memcpy(m->s->z + at, c->z, c->n * sizeof *c->z);
    memcpy(score, c->z, c->n * sizeof *c->z);
    if (form == WR_FORM_LOG) draw_log(m, c, k, paired, own, score);
    else
        for (size_t i = 0; i < c->n; i++) own[i] = (float)wr_score_table_minutes(&m->table[k], score[i]);
}

static void make_chunk(void *arg, size_t number)
{
    const struct making *m = arg;
    size_t first = number * WR_CHUNK, left = m->s->n_trial - first;
    struct chunk c = {.number = number, .first = first, .n = left < WR_CHUNK ? left : WR_CHUNK};

    c.h = WR_NEW_ARRAY(float, WR_CHUNK);
    c.z = WR_NEW_ARRAY(float, WR_CHUNK);
    c.u = WR_NEW_ARRAY(uint32_t, WR_CHUNK);
    c.person = WR_NEW_ARRAY(float, c.n * m->d->n_lane);
    draw_people(m, &c);
    draw_run_effect(m, &c);
    for (size_t k = 0; k < m->d->n_task; k++) draw_task(m, &c, k);
    WR_FREE(c.h, c.z, c.u, c.person);
}

static void describe_tasks(struct making *m)
{
    for (size_t k = 0; k < m->d->n_task; k++) {
        enum wr_form form = wr_source_form(&m->d->source[k]);
        m->s->carries_b[k] = form != WR_FORM_FIXED;
        m->s->is_log[k] = form == WR_FORM_LOG;
        if (form == WR_FORM_BENT) wr_score_table_of(&m->table[k], &m->d->source[k]);
    }
}

static void make_trials(struct making *m, size_t n_trial, unsigned n_thread)
{
    struct wr_scenarios *s = m->s;
    size_t n_task = m->d->n_task;

    *s = (struct wr_scenarios){.n_trial = n_trial, .n_task = n_task};
    s->own = wr_alloc(n_trial, n_task * sizeof *s->own);
    s->score = wr_alloc(n_trial, n_task * sizeof *s->score);
    s->z = wr_alloc(n_trial, n_task * sizeof *s->z);
    s->run_score = WR_NEW_ARRAY(float, n_trial);
    s->b = WR_NEW_ARRAY(double, n_trial);
    s->draw = WR_NEW_ARRAY(size_t, n_trial);
    s->carries_b = WR_NEW_ARRAY(unsigned char, n_task);
    s->is_log = WR_NEW_ARRAY(unsigned char, n_task);
    m->table = WR_NEW_ARRAY(struct wr_score_table, n_task);
    for (size_t i = 0; i < m->d->n_draw; i++) m->skewed |= m->d->rho[i] != 0;
    describe_tasks(m);
    wr_parallel_for((n_trial + WR_CHUNK - 1) / WR_CHUNK, n_thread, make_chunk, m);
    wr_free(m->table);
}

void wr_scenarios_make(struct wr_scenarios *s, const struct wr_durations *durations, size_t n_trial, uint64_t seed,
                       unsigned n_thread)
{
    struct making m = {.kernel = wr_kernel_best(), .s = s, .d = durations, .seed = seed, .n_draw = durations->n_draw,
                       .draw_step = 1};

    make_trials(&m, n_trial, n_thread);
}

void wr_scenarios_make_even(struct wr_scenarios *s, const struct wr_durations *durations, size_t n_trial, uint64_t seed,
                            unsigned n_thread)
{
    WR_RELEASED_BY(wr_even_release) struct wr_even even = {0};
    struct making m = {.kernel = wr_kernel_best(), .s = s, .d = durations, .seed = seed, .n_draw = durations->n_draw,
                       .draw_step = 1, .even = &even};

    wr_even_plan(&even, m.kernel, durations, n_trial, seed);
    make_trials(&m, n_trial, n_thread);
}

void wr_scenarios_share_luck(struct wr_scenarios *s, const struct wr_durations *durations, size_t most_draws,
                             size_t n_round, uint64_t seed, unsigned n_thread)
{
    size_t step = (durations->n_draw + most_draws - 1) / most_draws;
    struct making m = {.kernel = wr_kernel_best(), .s = s, .d = durations, .seed = seed, .shared = true,
                       .n_draw = (durations->n_draw + step - 1) / step, .draw_step = step};

    WR_BUG_IF(n_round >= WR_CHUNK - 4 * WR_LANES);
    make_trials(&m, m.n_draw * n_round, n_thread);
}

void wr_scenarios_release(struct wr_scenarios *s)
{
    WR_FREE(s->own, s->score, s->z, s->run_score, s->b, s->draw, s->carries_b, s->is_log);
    *s = (struct wr_scenarios){0};
}

static double minutes_in(const struct wr_scenarios *s, size_t task, size_t trial)
{
    double own = s->own[task * s->n_trial + trial];

    if (!s->carries_b[task]) return own;
    return s->is_log[task] ? exp(own + s->b[trial]) : own * exp(s->b[trial]);
}

void wr_scenarios_minutes(const struct wr_scenarios *s, size_t task, double *minutes)
{
    for (size_t i = 0; i < s->n_trial; i++) minutes[i] = minutes_in(s, task, i);
}

void wr_scenarios_durations(const struct wr_scenarios *s, size_t trial, double *duration_min)
{
    for (size_t k = 0; k < s->n_task; k++) duration_min[k] = minutes_in(s, k, trial);
}
