#include "points.h"

#include <math.h>
#include <string.h>
#include "dimensions.h"
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

/* ---- the lattice ---- */

/* Streams of the points' shifts are told apart from the trials' by this. */
static const uint64_t points_seed = UINT64_C(0x706f696e74732121);

struct lattice {            /* of each dimension */
    uint32_t *generator;    /* [dims.n] */
    uint32_t *shift;        /* [dims.n * WR_POINT_BLOCK] */
};

static void lay_lattice(struct lattice *l, const struct wr_dimensions *dims, uint64_t seed)
{
    l->generator = WR_NEW_ARRAY(uint32_t, dims->n);
    l->shift = WR_NEW_ARRAY(uint32_t, dims->n * N);
    for (size_t dim = 0; dim < dims->n; dim++) {
        l->generator[dim] = wr_lattice_generator(dim);
        for (size_t r = 0; r < WR_REPLICATES; r++) {
            uint32_t shift = (uint32_t)(wr_mix3(seed ^ points_seed, dims->identity[dim], r) >> 32);
            for (size_t i = 0; i < WR_AT_ONCE; i++) l->shift[dim * N + r * WR_AT_ONCE + i] = shift;
        }
    }
}

/* ---- what a worker works in ---- */

struct workspace {
    struct wr_rows rows;
    float *minutes, *end, *start, *score; /* [n_task * N] minutes at run effect 0; end and start: of the part below */
    float *ends_by_part, *starts_by_part; /* [part * n_task * N] several lines, by strata: a walk goes on from the one
                                             before it */
    float *t_by_part, *factor_by_part;    /* [part * N] by strata */
    float *zero, *h, *z, *taken, *factor, *t, *ln, *p, *person, *effect, *measure;
    float *node;                /* [(n_limit + 1) * N_NODE * N] ln(measure / limit); the last: ln finish */
    float *low_t, *low_y, *high_t, *high_y;
    float *kept;                /* [dims.n * N] same points, or several lines: their scores, once they are made */
    unsigned char *is_kept;     /* [dims.n] */
    uint32_t *index, *u, *dropped;
    uint32_t *count;            /* by strata: [(line * (n_limit + 1) + quantity) * WR_REPLICATES + replicate] points
                                   that passed it */
    const float **ends;
};

/* A timeline, and what of it is not as in the one before, whose rows the workspace still holds. */
struct line {
    const struct wr_setup *setup;
    const double *factor;       /* or NULL */
    const size_t *first, *second; /* [n_task] dimensions */
    bool anew;                  /* other durations: everything */
    size_t *fill, n_fill;       /* tasks whose minutes differ */
    size_t *walk, n_walk;       /* tasks that may begin or end at another time, in the network's order */
    double *over, *finish, *curve[2]; /* as in struct wr_points, by item in place of draw; sums over points */
};

struct work {
    struct line *line;
    size_t n_line, n_limit;
    size_t n_draw, draw_step;   /* draws that are looked at; how far apart they stand among all */
    size_t n_task;              /* most of a line */
    uint64_t seed;
    const struct wr_kernel *kernel;
    bool same_points, clocks, run_effect, finish; /* some line needs it */
    struct wr_dimensions dims;
    struct lattice lattice;
    enum wr_points_way way;
    struct workspace *room;
    const double *grid_ln;
    size_t n_grid, per_draw;
    size_t n_even;              /* points of the grid, from its first, that are evenly spaced */
    size_t n_curve;             /* points of each half of a block that the curve is made from */
    size_t n_segment;           /* a draw's blocks are shared out to so many items */
    size_t n_item, n_piece;
};

static unsigned strata_of(const struct work *w)
{
    return !w->run_effect ? 1 : w->same_points ? WR_STRATA / 2 : WR_STRATA;
}

static bool keeps_scores(const struct work *w)
{
    return w->same_points || w->n_line > 1;
}

static void lay_out_rows(struct workspace *r, const struct work *w)
{
    const bool strata = w->way == WR_BY_STRATA;
    const size_t n = w->n_task * N, n_kept = keeps_scores(w) ? w->dims.n : 0, n_part = strata ? strata_of(w) : 1;
    const size_t n_walk = w->n_line > 1 ? n_part : 1;
    size_t n_lane = 0, n_effect = 0;

    for (size_t m = 0; m < w->n_line; m++) {
        const struct wr_setup *s = w->line[m].setup;
        if (s->durations->n_lane > n_lane) n_lane = s->durations->n_lane;
        if (s->n_effect > n_effect) n_effect = s->n_effect;
    }
    r->minutes = WR_TAKE(&r->rows, float, n);
    r->ends_by_part = WR_TAKE(&r->rows, float, n_walk * n);
    r->starts_by_part = WR_TAKE(&r->rows, float, n_walk * n);
    r->end = r->ends_by_part;
    r->start = r->starts_by_part;
    r->t_by_part = WR_TAKE(&r->rows, float, n_part * N);
    r->factor_by_part = WR_TAKE(&r->rows, float, n_part * N);
    r->score = WR_TAKE(&r->rows, float, N);
    r->zero = WR_TAKE(&r->rows, float, N);
    r->h = WR_TAKE(&r->rows, float, N);
    r->z = WR_TAKE(&r->rows, float, N);
    r->taken = WR_TAKE(&r->rows, float, N);
    r->factor = WR_TAKE(&r->rows, float, N);
    r->t = WR_TAKE(&r->rows, float, N);
    r->ln = WR_TAKE(&r->rows, float, N);
    r->p = WR_TAKE(&r->rows, float, N);
    r->person = WR_TAKE(&r->rows, float, n_lane * N);
    r->effect = WR_TAKE(&r->rows, float, (n_effect + 1) * N);
    r->measure = WR_TAKE(&r->rows, float, (w->n_limit + 1) * N);
    r->node = WR_TAKE(&r->rows, float, w->way == WR_BY_ROOT ? (w->n_limit + 1) * N_NODE * N : 0);
    r->low_t = WR_TAKE(&r->rows, float, N);
    r->low_y = WR_TAKE(&r->rows, float, N);
    r->high_t = WR_TAKE(&r->rows, float, N);
    r->high_y = WR_TAKE(&r->rows, float, N);
    r->kept = WR_TAKE(&r->rows, float, n_kept * N);
    r->is_kept = WR_TAKE(&r->rows, unsigned char, n_kept);
    r->index = WR_TAKE(&r->rows, uint32_t, N);
    r->u = WR_TAKE(&r->rows, uint32_t, N);
    r->dropped = WR_TAKE(&r->rows, uint32_t, N);
    r->count = WR_TAKE(&r->rows, uint32_t, w->n_line * (w->n_limit + 1) * WR_REPLICATES);
    r->ends = WR_TAKE(&r->rows, const float *, w->n_task);
}

static void open_workspace(struct workspace *r, const struct work *w)
{
    *r = (struct workspace){0};
    lay_out_rows(r, w);
    wr_rows_open(&r->rows);
    lay_out_rows(r, w);
}

/* ---- a block of points: minutes at run effect 0 ---- */

static void lattice_row(const struct work *w, struct workspace *r, size_t dim)
{
    w->kernel->lattice(r->index, w->lattice.generator[dim], w->lattice.shift + dim * N, N, r->u);
}

/* In the room that is given, or where they are kept. */
static const float *score_row(const struct work *w, struct workspace *r, size_t dim, float *room)
{
    bool keep = keeps_scores(w);
    float *z = keep ? r->kept + dim * N : room;

    if (keep && r->is_kept[dim]) return z;
    lattice_row(w, r, dim);
    w->kernel->scores(r->u, N, z);
    if (keep) r->is_kept[dim] = 1;
    return z;
}

static void fill_people(const struct work *w, struct workspace *r, const struct wr_setup *s, size_t draw)
{
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

static void fill_task(const struct work *w, struct workspace *r, const struct line *l, size_t draw, size_t k)
{
    const struct wr_setup *s = l->setup;
    const struct wr_task_setup *t = &s->task[k];
    const float factor = l->factor ? (float)l->factor[k] : 1;
    struct wr_draw_row row = {.kind = t->table ? WR_DRAW_TABLE : WR_DRAW_LOG, .paired = t->paired,
                              .skew_h = s->skew_h + draw, .skew_z = s->skew_z + draw, .skew_0 = s->skew_0 + draw,
                              .table = t->table, .start = r->zero, .score = r->score,
                              .minutes = r->minutes + k * N, .end = r->taken};

    if (t->form == WR_FORM_FIXED) {
        for (size_t i = 0; i < N; i++) row.minutes[i] = factor * t->fixed_min;
        return;
    }
    if (!t->table) {
        size_t at = t->varies ? draw : 0;
        row.centre = t->centre + at;
        row.spread = t->spread + at;
    }
    if (t->has_people) row.effect = r->effect + t->effect * N;
    const float *z = score_row(w, r, l->first[k], r->z);
    s->kernel->follow(&row, t->paired ? score_row(w, r, l->second[k], r->h) : r->h, z, N);
    for (size_t i = 0; i < N && factor != 1; i++) row.minutes[i] *= factor;
}

/* Where the rows still hold those of the line before it. */
static void fill_minutes(const struct work *w, struct workspace *r, const struct line *l, size_t draw)
{
    if (l->anew && l->setup->has_people) fill_people(w, r, l->setup, draw);
    for (size_t i = 0; i < l->n_fill; i++) fill_task(w, r, l, draw, l->fill[i]);
}

/* ---- walking with a given run effect ---- */

/* Ends of the tasks of a list, minutes that are not fixed times factor (NULL: 1). */
static void walk_list(const struct work *w, struct workspace *r, const struct wr_setup *s, const size_t *list,
                      size_t n_list, const float *factor)
{
    const struct wr_network *net = s->net;
    const struct wr_kernel *kernel = s->kernel;

    for (size_t i = 0; i < n_list; i++) {
        size_t k = list[i], first = net->pred_first[k], n = net->pred_first[k + 1] - first;
        float *start = r->start + k * N, *end = r->end + k * N;
        const float *begin = start, *minutes = r->minutes + k * N;
        if (n == 1 && net->not_before_min[k] <= 0) {
            begin = r->end + net->pred[first] * N;
            if (w->clocks) memcpy(start, begin, N * sizeof *start); /* they read it */
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

static void walk_all(const struct work *w, struct workspace *r, const struct wr_setup *s, const float *factor)
{
    walk_list(w, r, s, s->net->order, s->n_task, factor);
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

static void by_scale(const struct work *w, struct workspace *r, const struct line *l, size_t draw, struct sums *to)
{
    const struct wr_setup *s = l->setup;
    const struct wr_kernel *kernel = s->kernel;
    double shift = natural(s->run_shift[draw]), sd = natural(s->run_sd[draw]);
    float slope = slope_of(sd), *any = r->measure + s->n_limit * N;

    walk_list(w, r, s, l->walk, l->n_walk, NULL);
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
    if (!w->finish) return;
    measure(s, r, s->n_limit, r->measure);
    add_copies(to->finish, r->measure, exp(shift + 0.5 * sd * sd));
    kernel->ln_row(r->measure, N, r->ln);
    for (size_t g = 0; g < w->n_grid; g++) {
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

/* What the run effect with scores t[N] makes of minutes. */
static void factors_of(const struct wr_setup *s, size_t draw, const float *t, float *factor)
{
    for (size_t i = 0; i < N; i++) factor[i] = s->run_shift[draw] + s->run_sd[draw] * t[i];
    s->kernel->exp2_row(factor, N, factor);
}

/* With the run effect whose scores are t. */
static void walk_at(const struct work *w, struct workspace *r, const struct wr_setup *s, size_t draw)
{
    factors_of(s, draw, r->t, r->factor);
    walk_all(w, r, s, r->factor);
}

/* The same, then ln(measure / limit). */
static void beyond(const struct work *w, struct workspace *r, const struct wr_setup *s, size_t draw, size_t quantity,
                   float *y)
{
    walk_at(w, r, s, draw);
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
static void refine(const struct work *w, struct workspace *r, const struct wr_setup *s, size_t draw, size_t quantity)
{
    signed char stayed[N] = {0};

    for (int step = 0; step < N_REFINE; step++) {
        beyond(w, r, s, draw, quantity, r->ln);
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

    for (size_t g = 0; g < w->n_grid; g++) {
        float level = (float)w->grid_ln[g];
        for (size_t i = 0; i < w->n_curve; i++) {
            while (at[i] < N_NODE - 2 && node[(at[i] + 1) * N + i] <= level) at[i]++;
            t[i] = straight(node_score(at[i]), node[at[i] * N + i] - level, node_score(at[i] + 1),
                            node[(at[i] + 1) * N + i] - level);
        }
        w->kernel->below(t, 0, -1, w->n_curve, r->p);
        add_curve(to, half, g, r->p, w->n_curve);
    }
}

static void by_root(const struct work *w, struct workspace *r, const struct line *l, size_t draw, struct sums *to)
{
    const struct wr_setup *s = l->setup;
    float *finish = r->node + s->n_limit * N_NODE * N, first[N];
    double total = 0;

    for (size_t k = 0; k < N_NODE; k++) total += exp(-0.5 * (double)(node_score(k) * node_score(k)));
    for (size_t k = 0; k < N_NODE; k++) {
        for (size_t i = 0; i < N; i++) r->t[i] = node_score(k);
        beyond(w, r, s, draw, s->n_limit, finish + k * N);
        add_copies(to->finish, r->measure, exp(-0.5 * (double)(node_score(k) * node_score(k))) / total);
        for (size_t q = 0; q < s->n_limit; q++) {
            measure(s, r, q, r->measure);
            s->kernel->ln_row(r->measure, N, r->node + (q * N_NODE + k) * N);
            for (size_t i = 0; i < N; i++) r->node[(q * N_NODE + k) * N + i] -= (float)log((double)s->limit[q].minutes);
        }
    }
    for (size_t q = 0; q < s->n_limit; q++) {
        bracket(r, r->node + q * N_NODE * N);
        refine(w, r, s, draw, q);
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
    size_t n_grid = w->n_grid, n_even = w->n_even;
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
static void count_last_passed(const struct wr_setup *s, const struct workspace *r, size_t first, size_t n,
                              uint32_t *count)
{
    const struct wr_limit_setup *limit = s->limit + first;
    float from = limit[0].minutes, per_min = (float)(n - 1) / fmaxf(limit[n - 1].minutes - from, 1e-3f);

    for (size_t i = 0; i < N; i++) {
        float guess = (r->measure[i] - from) * per_min + 1;
        size_t at = n_passed(limit, n, r->measure[i], guess > 0 ? (size_t)fminf(guess, (float)n) : 0);
        if (at > 0) count[(first + at - 1) * WR_REPLICATES + i / WR_AT_ONCE]++;
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

static void count_limits(const struct wr_setup *s, struct workspace *r, uint32_t *count)
{
    uint32_t any[N] = {0}, none[WR_REPLICATES] = {0};

    for (size_t q = 0, next; q < s->n_limit; q = next) {
        next = alike_from(s, q);
        measure(s, r, q, r->measure);
        if (next - q > 1) count_last_passed(s, r, q, next - q, count);
        count_beyond(next - q > 1 ? none : count + q * WR_REPLICATES, r->measure, s->limit[q].minutes, any);
    }
    for (size_t i = 0; i < N; i++) count[s->n_limit * WR_REPLICATES + i / WR_AT_ONCE] += any[i];
}

/* What passes a limit passes those before it too. Adds the item's counts up and begins anew. */
static void count_passed(const struct wr_setup *s, uint32_t *count, double weight, struct sums *to)
{
    for (size_t first = 0, next; first < s->n_limit; first = next) {
        next = alike_from(s, first);
        for (size_t i = (next - 1) * WR_REPLICATES; i-- > first * WR_REPLICATES;) count[i] += count[i + WR_REPLICATES];
    }
    for (size_t q = 0; q <= s->n_limit; q++)
        for (size_t i = 0; i < WR_REPLICATES; i++)
            to->over[q * to->stride + i] = weight * count[q * WR_REPLICATES + i];
    memset(count, 0, (s->n_limit + 1) * WR_REPLICATES * sizeof *count);
}

/* The run effect's scores of each part. */
static void draw_parts(const struct work *w, struct workspace *r)
{
    unsigned n_part = strata_of(w), bits = (unsigned)__builtin_ctz(n_part);
    uint32_t share[N];

    lattice_row(w, r, w->dims.run);
    memcpy(share, r->u, sizeof share);
    for (uint32_t part = 0; part < n_part; part++) {
        for (size_t i = 0; i < N; i++) r->u[i] = bits ? (part << (32 - bits)) + (share[i] >> bits) : share[i];
        w->kernel->scores(r->u, N, r->t_by_part + part * N);
    }
}

static uint32_t *counts_of(const struct work *w, const struct workspace *r, size_t m)
{
    return r->count + m * (w->n_limit + 1) * WR_REPLICATES;
}

static void by_strata(const struct work *w, struct workspace *r, size_t m, size_t draw, struct sums *to)
{
    const struct line *l = &w->line[m];
    const struct wr_setup *s = l->setup;
    const size_t stride = w->n_line > 1 ? w->n_task * N : 0;
    unsigned n_part = strata_of(w);
    double weight = 1.0 / n_part;

    for (size_t part = 0; part < n_part; part++) {
        float *factor = r->factor_by_part + part * N;
        r->end = r->ends_by_part + part * stride;
        r->start = r->starts_by_part + part * stride;
        if (l->anew) factors_of(s, draw, r->t_by_part + part * N, factor);
        walk_list(w, r, s, l->walk, l->n_walk, factor);
        if (w->finish) {
            measure(s, r, s->n_limit, r->measure);
            add_copies(to->finish, r->measure, weight);
        }
        if (w->n_grid) {
            s->kernel->ln_row(r->measure, N, r->ln);
            curve_by_count(w, r->ln, weight, to);
        }
        count_limits(s, r, counts_of(w, r, m));
    }
}

/* ---- items and pieces ---- */

static struct sums sums_of(const struct work *w, const struct line *l, size_t item)
{
    return (struct sums){l->over + item * WR_REPLICATES,
                         w->n_item * WR_REPLICATES,
                         l->finish + item * WR_REPLICATES,
                         {l->curve[0] + item * w->n_grid, l->curve[1] + item * w->n_grid}};
}

static void do_block(const struct work *w, struct workspace *r, size_t draw, size_t item)
{
    if (keeps_scores(w) && !w->same_points) memset(r->is_kept, 0, w->dims.n);
    if (w->way == WR_BY_STRATA) draw_parts(w, r);
    for (size_t m = 0; m < w->n_line; m++) {
        const struct line *l = &w->line[m];
        struct sums to = sums_of(w, l, item);
        fill_minutes(w, r, l, draw);
        switch (w->way) {
        case WR_BY_SCALE: by_scale(w, r, l, draw, &to); break;
        case WR_BY_ROOT: by_root(w, r, l, draw, &to); break;
        case WR_BY_STRATA: by_strata(w, r, m, draw, &to); break;
        }
    }
}

static void do_item(const struct work *w, struct workspace *r, size_t item)
{
    size_t draw = item / w->n_segment, segment = item % w->n_segment, n_block = w->per_draw / WR_AT_ONCE,
           first = w->same_points ? 0 : draw * w->per_draw;

    for (size_t b = segment * n_block / w->n_segment; b < (segment + 1) * n_block / w->n_segment; b++) {
        for (size_t i = 0; i < N; i++)
            r->index[i] = wr_lattice_index((uint32_t)(first + b * WR_AT_ONCE + i % WR_AT_ONCE));
        do_block(w, r, draw * w->draw_step, item);
    }
    for (size_t m = 0; m < w->n_line && w->way == WR_BY_STRATA; m++) {
        struct sums to = sums_of(w, &w->line[m], item);
        count_passed(w->line[m].setup, counts_of(w, r, m), 1.0 / strata_of(w), &to);
    }
}

static void do_piece(void *arg, size_t piece, unsigned worker)
{
    const struct work *w = arg;

    for (size_t i = piece * w->n_item / w->n_piece; i < (piece + 1) * w->n_item / w->n_piece; i++)
        do_item(w, &w->room[worker], i);
}

static void join_curves(double *curve, const double *by_item, const struct work *w)
{
    size_t n_point = w->n_curve * (w->per_draw / WR_AT_ONCE);

    for (size_t item = 0; item < w->n_item; item++)
        for (size_t g = 0; g < w->n_grid; g++)
            curve[item / w->n_segment * w->n_grid + g] += by_item[item * w->n_grid + g] / (double)n_point;
    for (size_t draw = 0; draw < w->n_draw && w->way == WR_BY_STRATA; draw++)
        for (size_t g = w->n_grid; g-- > 1;) curve[draw * w->n_grid + g - 1] += curve[draw * w->n_grid + g];
}

static void join_items(struct wr_points *p, const struct line *l, const struct work *w)
{
    const double *over = l->over;

    *p = (struct wr_points){
        .n_draw = w->n_draw, .n_limit = w->n_limit, .n_grid = w->n_grid, .per_draw = w->per_draw};
    p->over = WR_NEW_ARRAY(double, (p->n_limit + 1) * w->n_draw * WR_REPLICATES);
    p->finish = WR_NEW_ARRAY(double, w->n_draw * WR_REPLICATES);
    for (size_t q = 0; q <= p->n_limit; q++)
        for (size_t item = 0; item < w->n_item; item++)
            for (size_t r = 0; r < WR_REPLICATES; r++)
                p->over[(q * p->n_draw + item / w->n_segment) * WR_REPLICATES + r] += *over++ / (double)p->per_draw;
    for (size_t item = 0; item < w->n_item; item++)
        for (size_t r = 0; r < WR_REPLICATES; r++)
            p->finish[item / w->n_segment * WR_REPLICATES + r] +=
                l->finish[item * WR_REPLICATES + r] / (double)p->per_draw;
    for (size_t half = 0; half < 2; half++) {
        p->curve[half] = WR_NEW_ARRAY(double, w->n_draw * w->n_grid);
        join_curves(p->curve[half], l->curve[half], w);
    }
}

static size_t evenly_from_the_first(const double *grid_ln, size_t n)
{
    size_t i = n < 2 ? n : 2;

    while (i < n && fabs(grid_ln[i] - 2 * grid_ln[i - 1] + grid_ln[i - 2]) < 1e-6 * (grid_ln[1] - grid_ln[0])) i++;
    return i;
}

/* ---- lines ---- */

static double factor_of(const struct wr_points_line *l, size_t task)
{
    return l->factor ? l->factor[task] : 1;
}

/* What is to be filled and walked where rows hold those of the line before it (NULL: none). */
static void list_differences(struct line *to, const struct wr_points_line *l, const struct wr_points_line *before)
{
    const struct wr_network *net = l->setup->net, *other = before ? before->setup->net : NULL;
    WR_SCOPED bool *differs = WR_NEW_ARRAY(bool, net->n_task);

    to->anew = !before || l->setup->durations != before->setup->durations || net->order != other->order ||
               net->pred != other->pred;
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        bool fills = to->anew || factor_of(l, k) != factor_of(before, k);
        differs[k] = fills || net->not_before_min[k] != other->not_before_min[k] ||
                     net->drop_after_min[k] != other->drop_after_min[k];
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) differs[k] |= differs[net->pred[j]];
        if (fills) to->fill[to->n_fill++] = k;
        if (differs[k]) to->walk[to->n_walk++] = k;
    }
}

static void open_line(struct work *w, size_t m, const struct wr_points_line *line)
{
    struct line *l = &w->line[m];
    const struct wr_setup *s = line[m].setup;
    enum wr_points_way way = wr_points_way(s);

    WR_BUG_IF(s->n_draw != line[0].setup->n_draw || s->n_limit != w->n_limit || s->seed != w->seed);
    *l = (struct line){.setup = s,
                       .factor = line[m].factor,
                       .first = w->dims.first + m * w->dims.n_task,
                       .second = w->dims.second + m * w->dims.n_task,
                       .fill = WR_NEW_ARRAY(size_t, s->n_task),
                       .walk = WR_NEW_ARRAY(size_t, s->n_task)};
    list_differences(l, &line[m], m > 0 ? &line[m - 1] : NULL);
    if (s->n_task > w->n_task) w->n_task = s->n_task;
    if (m == 0 || way > w->way) w->way = way; /* the way that suits them all */
    w->clocks |= s->clocks;
    w->run_effect |= s->run_effect;
    w->same_points |= s->same_points;
}

static void close_line(struct line *l)
{
    WR_FREE(l->fill, l->walk, l->over, l->finish, l->curve[0], l->curve[1]);
}

static void open_work(struct work *w, const struct wr_points_line *line, size_t n_line)
{
    WR_SCOPED const struct wr_setup **setup = WR_NEW_ARRAY(const struct wr_setup *, n_line);

    for (size_t m = 0; m < n_line; m++) setup[m] = line[m].setup;
    w->n_line = n_line;
    w->n_limit = setup[0]->n_limit;
    w->n_draw = (setup[0]->n_draw + w->draw_step - 1) / w->draw_step;
    w->seed = setup[0]->seed;
    w->kernel = setup[0]->kernel;
    wr_dimensions_plan(&w->dims, setup, n_line);
    lay_lattice(&w->lattice, &w->dims, w->seed);
    w->line = WR_NEW_ARRAY(struct line, n_line);
    for (size_t m = 0; m < n_line; m++) open_line(w, m, line);
    w->finish = w->n_grid > 0 || n_line > 1;
    w->n_even = evenly_from_the_first(w->grid_ln, w->n_grid);
    size_t n_block = w->per_draw / WR_AT_ONCE;
    w->n_curve = w->way == WR_BY_STRATA || w->n_draw * n_block <= FEW_BLOCKS ? HALF : HALF / 2;
    w->n_segment = w->n_draw >= MOST_SEGMENTS ? 1 : n_block < MOST_SEGMENTS ? n_block : MOST_SEGMENTS;
    w->n_item = w->n_draw * w->n_segment;
    w->n_piece = w->n_item < MOST_PIECES ? w->n_item : MOST_PIECES;
    for (size_t m = 0; m < n_line; m++) {
        struct line *l = &w->line[m];
        l->over = WR_NEW_ARRAY(double, (w->n_limit + 1) * w->n_item * WR_REPLICATES);
        l->finish = WR_NEW_ARRAY(double, w->n_item * WR_REPLICATES);
        for (size_t half = 0; half < 2; half++) l->curve[half] = WR_NEW_ARRAY(double, w->n_item * w->n_grid);
    }
}

/* per_draw, draw_step, grid_ln, n_grid are set. */
static void run_work(struct work *w, struct wr_points *p, const struct wr_points_line *line, size_t n_line,
                     unsigned n_thread, void (*done)(void *arg, double share), void *arg)
{
    WR_BUG_IF(w->per_draw == 0 || w->per_draw % WR_AT_ONCE != 0 || w->n_grid == 1);
    open_work(w, line, n_line);
    WR_BUG_IF(w->same_points && w->per_draw != WR_AT_ONCE);
    unsigned n_worker = wr_parallel_workers(w->n_piece, n_thread);
    w->room = WR_NEW_ARRAY(struct workspace, n_worker);
    for (unsigned i = 0; i < n_worker; i++) open_workspace(&w->room[i], w);
    wr_parallel_for_worker(w->n_piece, n_worker, do_piece, w, done, arg);
    for (unsigned i = 0; i < n_worker; i++) wr_free(w->room[i].rows.block);
    for (size_t m = 0; m < n_line; m++) {
        join_items(&p[m], &w->line[m], w);
        close_line(&w->line[m]);
    }
    wr_dimensions_release(&w->dims);
    WR_FREE(w->room, w->line, w->lattice.generator, w->lattice.shift);
}

void wr_points_run(struct wr_points *p, const struct wr_setup *setup, size_t per_draw, const double *grid_ln,
                   size_t n_grid, unsigned n_thread, void (*done)(void *arg, double share), void *arg)
{
    struct work w = {.grid_ln = grid_ln, .n_grid = n_grid, .per_draw = per_draw, .draw_step = 1};
    const struct wr_points_line line = {.setup = setup};

    run_work(&w, p, &line, 1, n_thread, done, arg);
}

void wr_points_lines_run(struct wr_points *p, const struct wr_points_line *line, size_t n_line, size_t per_draw,
                         size_t draw_step, unsigned n_thread)
{
    struct work w = {.per_draw = per_draw, .draw_step = draw_step};

    run_work(&w, p, line, n_line, n_thread, NULL, NULL);
}

void wr_points_release(struct wr_points *p)
{
    WR_FREE(p->over, p->finish, p->curve[0], p->curve[1]);
    *p = (struct wr_points){0};
}
