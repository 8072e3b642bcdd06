#include "points.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "lattice.h"
#include "rows.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

enum {
    N = WR_POINT_BLOCK,
    N_NODE = 17,            /* of the run effect's score, from -4 to 4 */
    N_REFINE = 3,           /* false-position steps after the nodes have bracketed a root */
    HALF = N / 2,           /* points of one half of the copies */
    FEW_BLOCKS = 4096,      /* up to so many blocks all points go into the curve, beyond half of them: a tail each */
    MOST_PIECES = 256,
    MOST_SEGMENTS = 64
};

enum wr_points_way wr_points_way(const struct wr_setup *setup)
{
    if (!setup->run_effect) return WR_BY_STRATA; /* of one stratum: nothing to integrate */
    return setup->scales ? WR_BY_SCALE : setup->drops || setup->clocks ? WR_BY_STRATA : WR_BY_ROOT;
}

/* ---- dimensions ---- */

/* Streams of the points' shifts are told apart from the trials' by this. */
static const uint64_t points_seed = UINT64_C(0x706f696e74732121);

struct dimensions {
    size_t n;                   /* in all */
    size_t line_up, new_person, run;  /* first ones; new_person has one per lane */
    size_t *first, *second;     /* [n_task] of z, and of h where the error is skewed */
    uint32_t *generator;        /* [n] */
    uint32_t *shift;            /* [n * WR_POINT_BLOCK] */
};

struct importance {
    double weight;
    size_t task;
};

static int heavier_first(const void *a, const void *b)
{
    const struct importance *x = a, *y = b;

    if (x->weight != y->weight) return x->weight > y->weight ? -1 : 1;
    return (x->task > y->task) - (x->task < y->task);
}

/* Spread in minutes, roughly: at the first draw. */
static double weight_of(const struct wr_task_setup *t)
{
    if (t->form == WR_FORM_FIXED) return 0;
    if (t->table) return wr_score_table_minutes(t->table, 1) - wr_score_table_minutes(t->table, -1);
    return exp2(fmin(*t->centre, 100)) * *t->spread;
}

static void give_dimension(struct dimensions *d, size_t dim, uint64_t seed, uint64_t identity)
{
    d->generator[dim] = wr_lattice_generator(dim);
    for (size_t r = 0; r < WR_REPLICATES; r++) {
        uint32_t shift = (uint32_t)(wr_mix3(seed ^ points_seed, identity, r) >> 32);
        for (size_t i = 0; i < WR_AT_ONCE; i++) d->shift[dim * N + r * WR_AT_ONCE + i] = shift;
    }
}

static void plan_dimensions(struct dimensions *d, const struct wr_setup *s)
{
    const uint64_t second_normal = UINT64_C(0x5345434f4e442121);
    size_t n_lane = s->durations->n_lane, at = 0;
    WR_SCOPED struct importance *order = WR_NEW_ARRAY(struct importance, s->n_task);

    *d = (struct dimensions){.n = 2 + n_lane + 2 * s->n_task};
    d->first = WR_NEW_ARRAY(size_t, s->n_task);
    d->second = WR_NEW_ARRAY(size_t, s->n_task);
    d->generator = WR_NEW_ARRAY(uint32_t, d->n);
    d->shift = WR_NEW_ARRAY(uint32_t, d->n * N);
    for (size_t k = 0; k < s->n_task; k++) order[k] = (struct importance){weight_of(&s->task[k]), k};
    qsort(order, s->n_task, sizeof *order, heavier_first);
    give_dimension(d, d->run = at++, s->seed, WR_STREAM_RUN_EFFECT);
    if (s->people_vary) {
        give_dimension(d, d->line_up = at++, s->seed, WR_STREAM_LINE_UP);
        d->new_person = at;
        for (size_t l = 0; l < n_lane; l++) give_dimension(d, at++, s->seed, WR_STREAM_NEW_PERSON + l);
    }
    for (size_t i = 0; i < s->n_task; i++)
        give_dimension(d, d->first[order[i].task] = at++, s->seed, s->durations->stream[order[i].task]);
    for (size_t i = 0; i < s->n_task; i++) {
        size_t k = order[i].task;
        if (s->task[k].paired)
            give_dimension(d, d->second[k] = at++, s->seed, s->durations->stream[k] ^ second_normal);
    }
}

static void forget_dimensions(struct dimensions *d)
{
    WR_FREE(d->first, d->second, d->generator, d->shift);
}

/* ---- what a worker works in ---- */

struct workspace {
    struct wr_rows rows;
    float *minutes, *end, *start, *score; /* [n_task * N] minutes at run effect 0 */
    float *zero, *h, *z, *taken, *factor, *t, *ln, *p, *person, *effect, *measure;
    float *node;                /* [(n_limit + 1) * N_NODE * N] ln(measure / limit); the last: ln finish */
    float *low_t, *low_y, *high_t, *high_y;
    float *kept;                /* [dims.n * N] same points: their scores, once they are made */
    unsigned char *is_kept;     /* [dims.n] */
    uint32_t *index, *u, *dropped;
    uint32_t *count;            /* by strata: [quantity * WR_REPLICATES + replicate] points that passed it */
    const float **ends;
};

struct work {
    const struct wr_setup *setup;
    struct wr_points *points;
    struct dimensions dims;
    enum wr_points_way way;
    struct workspace *room;
    const double *grid_ln;
    size_t n_even;              /* points of the grid, from its first, that are evenly spaced */
    size_t n_curve;             /* points of each half of a block that the curve is made from */
    size_t n_segment;           /* a draw's blocks are shared out to so many items */
    size_t n_item, n_piece;
    double *over, *finish, *curve[2]; /* as in struct wr_points, by item in place of draw; sums over points */
};

static void lay_out_rows(struct workspace *r, const struct wr_setup *s, size_t n_kept)
{
    size_t n = s->n_task * N;

    r->minutes = WR_TAKE(&r->rows, float, n);
    r->end = WR_TAKE(&r->rows, float, n);
    r->start = WR_TAKE(&r->rows, float, n);
    r->score = WR_TAKE(&r->rows, float, N);
    r->zero = WR_TAKE(&r->rows, float, N);
    r->h = WR_TAKE(&r->rows, float, N);
    r->z = WR_TAKE(&r->rows, float, N);
    r->taken = WR_TAKE(&r->rows, float, N);
    r->factor = WR_TAKE(&r->rows, float, N);
    r->t = WR_TAKE(&r->rows, float, N);
    r->ln = WR_TAKE(&r->rows, float, N);
    r->p = WR_TAKE(&r->rows, float, N);
    r->person = WR_TAKE(&r->rows, float, s->durations->n_lane * N);
    r->effect = WR_TAKE(&r->rows, float, (s->n_effect + 1) * N);
    r->measure = WR_TAKE(&r->rows, float, (s->n_limit + 1) * N);
    r->node = WR_TAKE(&r->rows, float, wr_points_way(s) == WR_BY_ROOT ? (s->n_limit + 1) * N_NODE * N : 0);
    r->low_t = WR_TAKE(&r->rows, float, N);
    r->low_y = WR_TAKE(&r->rows, float, N);
    r->high_t = WR_TAKE(&r->rows, float, N);
    r->high_y = WR_TAKE(&r->rows, float, N);
    r->kept = WR_TAKE(&r->rows, float, n_kept * N);
    r->is_kept = WR_TAKE(&r->rows, unsigned char, n_kept);
    r->index = WR_TAKE(&r->rows, uint32_t, N);
    r->u = WR_TAKE(&r->rows, uint32_t, N);
    r->dropped = WR_TAKE(&r->rows, uint32_t, N);
    r->count = WR_TAKE(&r->rows, uint32_t, (s->n_limit + 1) * WR_REPLICATES);
    r->ends = WR_TAKE(&r->rows, const float *, s->n_task);
}

static void open_workspace(struct workspace *r, const struct work *w)
{
    size_t n_kept = w->setup->same_points ? w->dims.n : 0;

    *r = (struct workspace){0};
    lay_out_rows(r, w->setup, n_kept);
    wr_rows_open(&r->rows);
    lay_out_rows(r, w->setup, n_kept);
}

/* ---- a block of points: minutes at run effect 0 ---- */

static void lattice_row(const struct work *w, struct workspace *r, size_t dim)
{
    w->setup->kernel->lattice(r->index, w->dims.generator[dim], w->dims.shift + dim * N, N, r->u);
}

/* In the room that is given, or where they are kept. */
static const float *score_row(const struct work *w, struct workspace *r, size_t dim, float *room)
{
    bool keep = w->setup->same_points;
    float *z = keep ? r->kept + dim * N : room;

    if (keep && r->is_kept[dim]) return z;
    lattice_row(w, r, dim);
    w->setup->kernel->scores(r->u, N, z);
    if (keep) r->is_kept[dim] = 1;
    return z;
}

static void fill_people(const struct work *w, struct workspace *r, size_t draw)
{
    const struct wr_setup *s = w->setup;
    const struct wr_durations *d = s->durations;
    uint32_t u[N] = {0};

    if (s->people_vary && d->n_line_up > 1) {
        lattice_row(w, r, w->dims.line_up);
        memcpy(u, r->u, sizeof u);
    }
    for (size_t l = 0; l < d->n_lane; l++) {
        const float *z = s->people_vary ? score_row(w, r, w->dims.new_person + l, r->z) : r->zero;
        for (size_t i = 0; i < N; i++) {
            int who = wr_person_in(d, u[i], l);
            r->person[l * N + i] = who >= 0                ? s->q[(size_t)who * s->n_row + draw]
                                   : who == WR_PERSON_NEW ? s->kappa[draw] * z[i]
                                                          : 0.0f;
        }
    }
    for (size_t e = 0; e < s->n_effect; e++) {
        uint32_t lanes = s->effect_lanes[e];
        float *effect = r->effect + e * N, share = lanes ? 1.0f / (float)__builtin_popcount(lanes) : 0.0f;
        for (size_t i = 0; i < N; i++) effect[i] = 0;
        for (size_t l = 0; l < d->n_lane; l++)
            for (size_t i = 0; i < N && (lanes >> l & 1); i++) effect[i] += share * r->person[l * N + i];
    }
}

static void fill_minutes(const struct work *w, struct workspace *r, size_t draw)
{
    const struct wr_setup *s = w->setup;

    if (s->has_people) fill_people(w, r, draw);
    for (size_t k = 0; k < s->n_task; k++) {
        const struct wr_task_setup *t = &s->task[k];
        struct wr_draw_row row = {.kind = t->table ? WR_DRAW_TABLE : WR_DRAW_LOG, .paired = t->paired,
                                  .skew_h = s->skew_h + draw, .skew_z = s->skew_z + draw, .skew_0 = s->skew_0 + draw,
                                  .table = t->table, .start = r->zero, .score = r->score,
                                  .minutes = r->minutes + k * N, .end = r->taken};
        if (t->form == WR_FORM_FIXED) {
            for (size_t i = 0; i < N; i++) row.minutes[i] = t->fixed_min;
            continue;
        }
        if (!t->table) {
            size_t at = t->varies ? draw : 0;
            row.centre = t->centre + at;
            row.spread = t->spread + at;
        }
        if (t->has_people) row.effect = r->effect + t->effect * N;
        const float *z = score_row(w, r, w->dims.first[k], r->z);
        s->kernel->follow(&row, t->paired ? score_row(w, r, w->dims.second[k], r->h) : r->h, z, N);
    }
}

/* ---- walking with a given run effect ---- */

/* Ends of all tasks, minutes that are not fixed times factor (NULL: 1). */
static void walk_points(const struct wr_setup *s, struct workspace *r, const float *factor)
{
    const struct wr_network *net = s->net;
    const struct wr_kernel *kernel = s->kernel;

    for (size_t i = 0; i < s->n_task; i++) {
        size_t k = net->order[i], first = net->pred_first[k], n = net->pred_first[k + 1] - first;
        float *start = r->start + k * N, *end = r->end + k * N;
        const float *begin = start, *minutes = r->minutes + k * N;
        if (n == 1 && net->not_before_min[k] <= 0) {
            begin = r->end + net->pred[first] * N;
            if (s->clocks) memcpy(start, begin, N * sizeof *start); /* they read it */
        } else {
            r->ends[0] = r->zero;
            for (size_t j = 0; j < n; j++) r->ends[j] = r->end + net->pred[first + j] * N;
            kernel->latest(r->ends, n ? n : 1, (float)net->not_before_min[k], N, start);
        }
        bool scaled = factor && s->task[k].form != WR_FORM_FIXED;
        if (net->drop_after_min[k] < INFINITY) {
            if (scaled) kernel->add_scaled(r->zero, minutes, factor, N, r->taken);
            else memcpy(r->taken, minutes, N * sizeof *minutes);
            kernel->drop(begin, (float)net->drop_after_min[k], N, r->taken, end, r->dropped);
        } else if (scaled) {
            kernel->add_scaled(begin, minutes, factor, N, end);
        } else {
            kernel->add(begin, minutes, N, end);
        }
    }
}

static void measure(const struct wr_setup *s, struct workspace *r, size_t quantity, float *out)
{
    const struct wr_limit_setup *l = quantity < s->n_limit ? &s->limit[quantity] : NULL;

    if (l && l->is_clock) {
        for (size_t i = 0; i < N; i++) out[i] = r->end[l->to * N + i] - r->start[l->from * N + i];
        return;
    }
    const size_t *last = l ? l->last : s->end_task;
    size_t n = l ? l->n_last : s->n_end;
    r->ends[0] = r->zero;
    for (size_t j = 0; j < n; j++) r->ends[j] = r->end + last[j] * N;
    s->kernel->latest(r->ends, n ? n : 1, 0, N, out);
}

/* ---- adding up ---- */

struct sums {               /* of one item */
    double *over;           /* [quantity * n_item * WR_REPLICATES + replicate] */
    size_t stride;
    double *finish, *curve[2];
};

/* sum[replicate] */
static void add_copies(double *sum, const float *value, double factor)
{
    for (size_t r = 0; r < WR_REPLICATES; r++, value += WR_AT_ONCE) {
        double own = sum[r];
        for (size_t i = 0; i < WR_AT_ONCE; i++) own += factor * (double)value[i];
        sum[r] = own;
    }
}

static void add_over(struct sums *to, size_t quantity, const float *p)
{
    add_copies(to->over + quantity * to->stride, p, 1);
}

static void add_curve(struct sums *to, size_t half, size_t g, const float *p, size_t n)
{
    for (size_t i = 0; i < n; i++) to->curve[half][g] += (double)p[i];
}

static double natural(float log2_value)
{
    return 0.6931471805599453 * (double)log2_value;
}

/* 1/sd for a normal tail; a spread of nothing makes it a step */
static float slope_of(double sd)
{
    return (float)(1 / fmax(sd, 1e-6));
}

static void by_scale(const struct work *w, struct workspace *r, size_t draw, struct sums *to)
{
    const struct wr_setup *s = w->setup;
    const struct wr_kernel *kernel = s->kernel;
    double shift = natural(s->run_shift[draw]), sd = natural(s->run_sd[draw]);
    float slope = slope_of(sd), *any = r->measure + s->n_limit * N;

    walk_points(s, r, NULL);
    for (size_t q = 0; q < s->n_limit; q++) {
        double at = log((double)s->limit[q].minutes);
        measure(s, r, q, r->measure);
        kernel->ln_row(r->measure, N, r->ln);
        kernel->below(r->ln, (float)(at - shift), slope, N, r->p);
        add_over(to, q, r->p);
        for (size_t i = 0; i < N; i++) {
            float beyond = r->ln[i] - (float)at;
            any[i] = q == 0 || beyond > any[i] ? beyond : any[i];
        }
    }
    if (s->n_limit) {
        kernel->below(any, (float)-shift, slope, N, r->p);
        add_over(to, s->n_limit, r->p);
    }
    if (!w->points->n_grid) return;
    measure(s, r, s->n_limit, r->measure);
    add_copies(to->finish, r->measure, exp(shift + 0.5 * sd * sd));
    kernel->ln_row(r->measure, N, r->ln);
    for (size_t g = 0; g < w->points->n_grid; g++) {
        for (size_t half = 0; half < 2; half++) {
            kernel->below(r->ln + half * HALF, (float)(w->grid_ln[g] - shift), slope, w->n_curve, r->p);
            add_curve(to, half, g, r->p, w->n_curve);
        }
    }
}

/* ---- roots in the run effect ---- */

static float node_score(size_t k)
{
    return -4.0f + 0.5f * (float)k;
}

/* Between two values of a function that does not fall: where it is 0. Level pieces have no root at hand: far off. */
static float straight(float t0, float y0, float t1, float y1)
{
    const float far = 14; /* no probability is left there */
    float rise = y1 - y0;

    if (!(rise > 1e-9f)) return y0 > 0 ? -far : far;
    return fminf(fmaxf(t0 - y0 * (t1 - t0) / rise, -far), far);
}

/* With the run effect whose scores are t. */
static void walk_at(const struct wr_setup *s, struct workspace *r, size_t draw)
{
    for (size_t i = 0; i < N; i++) r->factor[i] = s->run_shift[draw] + s->run_sd[draw] * r->t[i];
    s->kernel->exp2_row(r->factor, N, r->factor);
    walk_points(s, r, r->factor);
}

/* The same, then ln(measure / limit). */
static void beyond(const struct wr_setup *s, struct workspace *r, size_t draw, size_t quantity, float *y)
{
    walk_at(s, r, draw);
    measure(s, r, quantity, r->measure);
    s->kernel->ln_row(r->measure, N, y);
    float at = quantity < s->n_limit ? (float)log((double)s->limit[quantity].minutes) : 0;
    for (size_t i = 0; i < N; i++) y[i] -= at;
}

static void bracket(struct workspace *r, const float *node)
{
    for (size_t i = 0; i < N; i++) {
        size_t k = 0;
        while (k < N_NODE - 2 && node[(k + 1) * N + i] <= 0) k++;
        r->low_t[i] = node_score(k);
        r->high_t[i] = node_score(k + 1);
        r->low_y[i] = node[k * N + i];
        r->high_y[i] = node[(k + 1) * N + i];
        r->t[i] = straight(r->low_t[i], r->low_y[i], r->high_t[i], r->high_y[i]);
    }
}

/* False position with halving of the end that stays (the Illinois rule), all points side by side; t holds the roots. */
static void refine(const struct wr_setup *s, struct workspace *r, size_t draw, size_t quantity)
{
    signed char stayed[N] = {0};

    for (int step = 0; step < N_REFINE; step++) {
        beyond(s, r, draw, quantity, r->ln);
        for (size_t i = 0; i < N; i++) {
            bool inside = r->low_y[i] <= 0 && r->high_y[i] > 0;
            if (!inside) continue; /* beyond the nodes: the straight line has to do */
            if (r->ln[i] <= 0) {
                r->low_t[i] = r->t[i];
                r->low_y[i] = r->ln[i];
                if (stayed[i] == 1) r->high_y[i] *= 0.5f;
                stayed[i] = 1;
            } else {
                r->high_t[i] = r->t[i];
                r->high_y[i] = r->ln[i];
                if (stayed[i] == -1) r->low_y[i] *= 0.5f;
                stayed[i] = -1;
            }
            r->t[i] = straight(r->low_t[i], r->low_y[i], r->high_t[i], r->high_y[i]);
        }
    }
}

static void curve_by_roots(const struct work *w, struct workspace *r, const float *node, size_t half, struct sums *to)
{
    float t[HALF];
    size_t at[HALF] = {0};

    for (size_t g = 0; g < w->points->n_grid; g++) {
        float level = (float)w->grid_ln[g];
        for (size_t i = 0; i < w->n_curve; i++) {
            while (at[i] < N_NODE - 2 && node[(at[i] + 1) * N + i] <= level) at[i]++;
            t[i] = straight(node_score(at[i]), node[at[i] * N + i] - level, node_score(at[i] + 1),
                            node[(at[i] + 1) * N + i] - level);
        }
        w->setup->kernel->below(t, 0, -1, w->n_curve, r->p);
        add_curve(to, half, g, r->p, w->n_curve);
    }
}

static void by_root(const struct work *w, struct workspace *r, size_t draw, struct sums *to)
{
    const struct wr_setup *s = w->setup;
    float *finish = r->node + s->n_limit * N_NODE * N, first[N];
    double total = 0;

    for (size_t k = 0; k < N_NODE; k++) total += exp(-0.5 * (double)(node_score(k) * node_score(k)));
    for (size_t k = 0; k < N_NODE; k++) {
        for (size_t i = 0; i < N; i++) r->t[i] = node_score(k);
        beyond(s, r, draw, s->n_limit, finish + k * N);
        add_copies(to->finish, r->measure, exp(-0.5 * (double)(node_score(k) * node_score(k))) / total);
        for (size_t q = 0; q < s->n_limit; q++) {
            measure(s, r, q, r->measure);
            s->kernel->ln_row(r->measure, N, r->node + (q * N_NODE + k) * N);
            for (size_t i = 0; i < N; i++) r->node[(q * N_NODE + k) * N + i] -= (float)log((double)s->limit[q].minutes);
        }
    }
    for (size_t q = 0; q < s->n_limit; q++) {
        bracket(r, r->node + q * N_NODE * N);
        refine(s, r, draw, q);
        for (size_t i = 0; i < N; i++) first[i] = q == 0 || r->t[i] < first[i] ? r->t[i] : first[i];
        s->kernel->below(r->t, 0, -1, N, r->p);
        add_over(to, q, r->p);
    }
    if (s->n_limit) {
        s->kernel->below(first, 0, -1, N, r->p);
        add_over(to, s->n_limit, r->p);
    }
    for (size_t half = 0; half < 2; half++) curve_by_roots(w, r, finish + half * HALF, half, to);
}

/* ---- one value from each part of the run effect's distribution ---- */

static void curve_by_count(const struct work *w, const float *ln_finish, double weight, struct sums *to)
{
    size_t n_grid = w->points->n_grid, n_even = w->n_even;
    double first = w->grid_ln[0], per_step = (double)(n_even - 1) / (w->grid_ln[n_even - 1] - first);

    for (size_t i = 0; i < N; i++) { /* counted at the last grid point that is passed; summed up from the right later */
        double place = ((double)ln_finish[i] - first) * per_step;
        double *curve = to->curve[i / HALF];
        if (place <= 0) continue;
        size_t g = n_even - 1;
        if (place < (double)(n_even - 1)) { /* ceil(place) - 1, without a call */
            g = (size_t)(int64_t)place;
            g -= (double)g >= place;
        }
        while (g + 1 < n_grid && g + 1 >= n_even && w->grid_ln[g + 1] < (double)ln_finish[i]) g++;
        curve[g] += weight;
    }
}

/* Limits that are read off the same ends, from `first` on: rising, so that a point passes those up to some place. */
static size_t alike_from(const struct wr_setup *s, size_t first)
{
    const struct wr_limit_setup *l = &s->limit[first];
    size_t q = first + 1;

    while (q < s->n_limit && !l->is_clock && !s->limit[q].is_clock && s->limit[q].lanes == l->lanes &&
           s->limit[q].minutes >= s->limit[q - 1].minutes)
        q++;
    return q;
}

/* How many of n rising limits are passed; guess: where to begin to look. */
static size_t n_passed(const struct wr_limit_setup *limit, size_t n, float minutes, size_t guess)
{
    size_t at = guess < n ? guess : n;

    while (at < n && minutes > limit[at].minutes) at++;
    while (at > 0 && !(minutes > limit[at - 1].minutes)) at--;
    return at;
}

/* One more for the last of the limits that each point passes; its neighbours' are summed up later (count_passed). */
static void count_last_passed(const struct wr_setup *s, struct workspace *r, size_t first, size_t n)
{
    const struct wr_limit_setup *limit = s->limit + first;
    float from = limit[0].minutes, per_min = (float)(n - 1) / fmaxf(limit[n - 1].minutes - from, 1e-3f);

    for (size_t i = 0; i < N; i++) {
        float guess = (r->measure[i] - from) * per_min + 1;
        size_t at = n_passed(limit, n, r->measure[i], guess > 0 ? (size_t)fminf(guess, (float)n) : 0);
        if (at > 0) r->count[(first + at - 1) * WR_REPLICATES + i / WR_AT_ONCE]++;
    }
}

/* One more of a quantity in each copy for every point that passes a number of minutes; any: those that do so at all. */
static void count_beyond(uint32_t *count, const float *minutes, float limit, uint32_t *any)
{
    for (size_t r = 0; r < WR_REPLICATES; r++, minutes += WR_AT_ONCE, any += WR_AT_ONCE) {
        uint32_t n = 0;
        for (size_t i = 0; i < WR_AT_ONCE; i++) n += minutes[i] > limit;
        for (size_t i = 0; i < WR_AT_ONCE; i++) any[i] |= minutes[i] > limit;
        count[r] += n;
    }
}

static void count_limits(const struct wr_setup *s, struct workspace *r)
{
    uint32_t any[N] = {0}, none[WR_REPLICATES] = {0};

    for (size_t q = 0, next; q < s->n_limit; q = next) {
        next = alike_from(s, q);
        measure(s, r, q, r->measure);
        if (next - q > 1) count_last_passed(s, r, q, next - q);
        count_beyond(next - q > 1 ? none : r->count + q * WR_REPLICATES, r->measure, s->limit[q].minutes, any);
    }
    for (size_t i = 0; i < N; i++) r->count[s->n_limit * WR_REPLICATES + i / WR_AT_ONCE] += any[i];
}

/* What passes a limit passes those before it too. Adds the item's counts up and begins anew. */
static void count_passed(const struct wr_setup *s, struct workspace *r, double weight, struct sums *to)
{
    for (size_t first = 0, next; first < s->n_limit; first = next) {
        next = alike_from(s, first);
        for (size_t i = (next - 1) * WR_REPLICATES; i-- > first * WR_REPLICATES;)
            r->count[i] += r->count[i + WR_REPLICATES];
    }
    for (size_t q = 0; q <= s->n_limit; q++)
        for (size_t i = 0; i < WR_REPLICATES; i++)
            to->over[q * to->stride + i] = weight * r->count[q * WR_REPLICATES + i];
    memset(r->count, 0, (s->n_limit + 1) * WR_REPLICATES * sizeof *r->count);
}

static unsigned strata_of(const struct wr_setup *s)
{
    return !s->run_effect ? 1 : s->same_points ? WR_STRATA / 2 : WR_STRATA;
}

static void by_strata(const struct work *w, struct workspace *r, size_t draw, struct sums *to)
{
    const struct wr_setup *s = w->setup;
    unsigned n_part = strata_of(s), bits = (unsigned)__builtin_ctz(n_part);
    uint32_t share[N];
    double weight = 1.0 / n_part;

    lattice_row(w, r, w->dims.run);
    memcpy(share, r->u, sizeof share);
    for (uint32_t part = 0; part < n_part; part++) {
        for (size_t i = 0; i < N; i++) r->u[i] = bits ? (part << (32 - bits)) + (share[i] >> bits) : share[i];
        s->kernel->scores(r->u, N, r->t);
        walk_at(s, r, draw);
        if (w->points->n_grid) {
            measure(s, r, s->n_limit, r->measure);
            add_copies(to->finish, r->measure, weight);
            s->kernel->ln_row(r->measure, N, r->ln);
            curve_by_count(w, r->ln, weight, to);
        }
        count_limits(s, r);
    }
}

/* ---- items and pieces ---- */

static void do_item(struct work *w, struct workspace *r, size_t item)
{
    struct wr_points *p = w->points;
    size_t draw = item / w->n_segment, segment = item % w->n_segment, n_block = p->per_draw / WR_AT_ONCE,
           first = w->setup->same_points ? 0 : draw * p->per_draw;
    struct sums to = {w->over + item * WR_REPLICATES, w->n_item * WR_REPLICATES, w->finish + item * WR_REPLICATES,
                      {w->curve[0] + item * p->n_grid, w->curve[1] + item * p->n_grid}};

    for (size_t b = segment * n_block / w->n_segment; b < (segment + 1) * n_block / w->n_segment; b++) {
        for (size_t i = 0; i < N; i++)
            r->index[i] = wr_lattice_index((uint32_t)(first + b * WR_AT_ONCE + i % WR_AT_ONCE));
        fill_minutes(w, r, draw);
        switch (w->way) {
        case WR_BY_SCALE: by_scale(w, r, draw, &to); break;
        case WR_BY_ROOT: by_root(w, r, draw, &to); break;
        case WR_BY_STRATA: by_strata(w, r, draw, &to); break;
        }
    }
    if (w->way == WR_BY_STRATA) count_passed(w->setup, r, 1.0 / strata_of(w->setup), &to);
}

static void do_piece(void *arg, size_t piece, unsigned worker)
{
    struct work *w = arg;

    for (size_t i = piece * w->n_item / w->n_piece; i < (piece + 1) * w->n_item / w->n_piece; i++)
        do_item(w, &w->room[worker], i);
}

static void join_curves(double *curve, const double *by_item, const struct work *w)
{
    const struct wr_points *p = w->points;
    size_t n_point = w->n_curve * (p->per_draw / WR_AT_ONCE);

    for (size_t item = 0; item < w->n_item; item++)
        for (size_t g = 0; g < p->n_grid; g++)
            curve[item / w->n_segment * p->n_grid + g] += by_item[item * p->n_grid + g] / (double)n_point;
    for (size_t draw = 0; draw < p->n_draw && w->way == WR_BY_STRATA; draw++)
        for (size_t g = p->n_grid; g-- > 1;) curve[draw * p->n_grid + g - 1] += curve[draw * p->n_grid + g];
}

static void join_items(struct wr_points *p, const struct work *w)
{
    const double *over = w->over;

    for (size_t q = 0; q <= p->n_limit; q++)
        for (size_t item = 0; item < w->n_item; item++)
            for (size_t r = 0; r < WR_REPLICATES; r++)
                p->over[(q * p->n_draw + item / w->n_segment) * WR_REPLICATES + r] += *over++ / (double)p->per_draw;
    for (size_t item = 0; item < w->n_item; item++)
        for (size_t r = 0; r < WR_REPLICATES; r++)
            p->finish[item / w->n_segment * WR_REPLICATES + r] +=
                w->finish[item * WR_REPLICATES + r] / (double)p->per_draw;
    for (size_t half = 0; half < 2; half++) join_curves(p->curve[half], w->curve[half], w);
}

static size_t evenly_from_the_first(const double *grid_ln, size_t n)
{
    size_t i = n < 2 ? n : 2;

    while (i < n && fabs(grid_ln[i] - 2 * grid_ln[i - 1] + grid_ln[i - 2]) < 1e-6 * (grid_ln[1] - grid_ln[0])) i++;
    return i;
}

void wr_points_run(struct wr_points *p, const struct wr_setup *setup, size_t per_draw, const double *grid_ln,
                   size_t n_grid, unsigned n_thread, void (*done)(void *arg, double share), void *arg)
{
    struct work w = {.setup = setup, .points = p, .way = wr_points_way(setup), .grid_ln = grid_ln};
    size_t n_block = per_draw / WR_AT_ONCE, n_draw = setup->n_draw;

    WR_BUG_IF(per_draw == 0 || per_draw % WR_AT_ONCE != 0 || n_grid == 1);
    WR_BUG_IF(setup->same_points && per_draw != WR_AT_ONCE);
    *p = (struct wr_points){.n_draw = n_draw, .n_limit = setup->n_limit, .n_grid = n_grid, .per_draw = per_draw};
    w.n_even = evenly_from_the_first(grid_ln, n_grid);
    w.n_curve = w.way == WR_BY_STRATA || n_draw * n_block <= FEW_BLOCKS ? HALF : HALF / 2;
    w.n_segment = n_draw >= MOST_SEGMENTS ? 1 : n_block < MOST_SEGMENTS ? n_block : MOST_SEGMENTS;
    w.n_item = n_draw * w.n_segment;
    w.n_piece = w.n_item < MOST_PIECES ? w.n_item : MOST_PIECES;
    w.over = WR_NEW_ARRAY(double, (p->n_limit + 1) * w.n_item * WR_REPLICATES);
    w.finish = WR_NEW_ARRAY(double, w.n_item * WR_REPLICATES);
    p->over = WR_NEW_ARRAY(double, (p->n_limit + 1) * n_draw * WR_REPLICATES);
    p->finish = WR_NEW_ARRAY(double, n_draw * WR_REPLICATES);
    for (size_t half = 0; half < 2; half++) {
        w.curve[half] = WR_NEW_ARRAY(double, w.n_item * n_grid);
        p->curve[half] = WR_NEW_ARRAY(double, n_draw * n_grid);
    }
    plan_dimensions(&w.dims, setup);
    unsigned n_worker = wr_parallel_workers(w.n_piece, n_thread);
    w.room = WR_NEW_ARRAY(struct workspace, n_worker);
    for (unsigned i = 0; i < n_worker; i++) open_workspace(&w.room[i], &w);
    wr_parallel_for_worker(w.n_piece, n_worker, do_piece, &w, done, arg);
    join_items(p, &w);
    for (unsigned i = 0; i < n_worker; i++) wr_free(w.room[i].rows.block);
    wr_free(w.room);
    forget_dimensions(&w.dims);
    WR_FREE(w.over, w.finish, w.curve[0], w.curve[1]);
}

void wr_points_release(struct wr_points *p)
{
    WR_FREE(p->over, p->finish, p->curve[0], p->curve[1]);
    *p = (struct wr_points){0};
}
