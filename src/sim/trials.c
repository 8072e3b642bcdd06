#include "trials.h"

#include <math.h>
#include "rows.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

enum { PILOT_BLOCKS = 2, MOST_PIECES = 256 };

/* ---- the programme of a block: which row a task reads and writes ---- */

/* Where the longest path may lead on from a task. Tasks that are one chain share one row: what holds up the last of
 * them holds up all. */
struct path_step {
    size_t task, row, first_edge, n_edge;
    bool ends;                  /* no successor: on the path where its end is the finish */
};

struct edge_rule {
    size_t row;                 /* the successor's */
    size_t task;
    bool always;                /* the successor waits for this task alone */
};

struct programme {
    const struct wr_setup *setup;
    bool *starts_itself;        /* [n_task] its start is a row of its own, not the end of the one before */
    size_t *path_row, n_path;   /* [n_task] */
    struct path_step *step; size_t n_step;
    struct edge_rule *edge;
};

static bool waits_for_one(const struct wr_network *net, size_t k)
{
    return net->pred_first[k + 1] - net->pred_first[k] == 1 && net->not_before_min[k] <= 0;
}

static void plan_paths(struct programme *p)
{
    const struct wr_setup *s = p->setup;
    const struct wr_network *net = s->net;
    size_t n_edge = 0;

    p->path_row = WR_NEW_ARRAY(size_t, s->n_task);
    p->step = WR_NEW_ARRAY(struct path_step, s->n_task);
    p->edge = WR_NEW_ARRAY(struct edge_rule, net->pred_first[s->n_task]);
    for (size_t i = s->n_task; i-- > 0;) {
        size_t k = net->order[i], from = s->succ_first[k], to = s->succ_first[k + 1];
        if (to - from == 1 && waits_for_one(net, s->succ[from])) {
            p->path_row[k] = p->path_row[s->succ[from]];
            continue;
        }
        struct path_step *step = &p->step[p->n_step++];
        *step = (struct path_step){.task = k, .row = p->n_path, .first_edge = n_edge, .n_edge = to - from,
                                   .ends = net->is_end[k]};
        p->path_row[k] = p->n_path++;
        for (size_t j = from; j < to; j++) {
            size_t next = s->succ[j];
            p->edge[n_edge++] = (struct edge_rule){p->path_row[next], next, waits_for_one(net, next)};
        }
    }
}

static void plan_block(struct programme *p, const struct wr_setup *s)
{
    *p = (struct programme){.setup = s, .starts_itself = WR_NEW_ARRAY(bool, s->n_task)};
    for (size_t k = 0; k < s->n_task; k++) p->starts_itself[k] = !waits_for_one(s->net, k);
    plan_paths(p);
}

static void forget_programme(struct programme *p)
{
    WR_FREE(p->starts_itself, p->path_row, p->step, p->edge);
}

/* ---- what a worker works in ---- */

struct workspace {
    const struct programme *p;
    struct wr_rows rows;
    bool in_detail;             /* minutes of all tasks are kept; else each task's are in the same row */
    float *score, *minutes, *end, *start; /* [n_task * WR_BLOCK]; start only where a task starts itself */
    float *if_done;             /* [n_task * WR_BLOCK] minutes of a task that may be dropped, were it not */
    uint32_t *dropped, *path;   /* [n_task * WR_BLOCK], [n_path * WR_BLOCK] */
    struct wr_stream *stream;   /* [n_task] */
    struct wr_effect_streams effect_streams;
    struct wr_effects effects;
    float *zero, *one, *normals, *finish, *dev, *scratch;
    const float **begin;        /* [n_task] the row that holds a task's start */
    const float **ends;         /* as many as a task has predecessors, or the plan has ends */
    struct wr_path_edge *edge;
    float *score_dev, *common, *detail;                  /* sums in lanes, of a chunk */
    uint32_t *path_count, *drop_count, *drop_path_count; /* by path row; by task that may be dropped */
    uint32_t *finish_count, *detail_count; /* of all chunks that this worker did */
};

static void lay_out_rows(struct workspace *r, size_t n_count)
{
    const struct programme *p = r->p;
    const struct wr_setup *s = p->setup;
    size_t n = s->n_task * WR_BLOCK, n_lane = s->durations->n_lane;

    r->score = WR_TAKE(&r->rows, float, n);
    r->minutes = WR_TAKE(&r->rows, float, n);
    r->end = WR_TAKE(&r->rows, float, n);
    r->start = WR_TAKE(&r->rows, float, n);
    r->if_done = WR_TAKE(&r->rows, float, s->drops ? n : 0);
    r->dropped = WR_TAKE(&r->rows, uint32_t, s->drops ? n : 0);
    r->path = WR_TAKE(&r->rows, uint32_t, p->n_path * WR_BLOCK);
    r->stream = WR_TAKE(&r->rows, struct wr_stream, s->n_task);
    r->effect_streams.new_person = WR_TAKE(&r->rows, struct wr_stream, n_lane);
    r->effects.run_score = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->effects.run = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->effects.lane = WR_TAKE(&r->rows, float, n_lane * WR_BLOCK);
    r->effects.effect = WR_TAKE(&r->rows, float, (s->n_effect + 1) * WR_BLOCK);
    r->zero = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->one = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->normals = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->finish = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->dev = WR_TAKE(&r->rows, float, WR_BLOCK);
    r->scratch = WR_TAKE(&r->rows, float, 3 * WR_BLOCK);
    r->begin = WR_TAKE(&r->rows, const float *, s->n_task);
    r->ends = WR_TAKE(&r->rows, const float *, s->n_task);
    r->edge = WR_TAKE(&r->rows, struct wr_path_edge, s->n_task);
    r->score_dev = WR_TAKE(&r->rows, float, s->n_task * WR_SUM_LANES);
    r->common = WR_TAKE(&r->rows, float, (4 + n_lane + n_lane * n_lane) * WR_SUM_LANES);
    r->path_count = WR_TAKE(&r->rows, uint32_t, s->n_task * WR_LANES);
    r->drop_count = WR_TAKE(&r->rows, uint32_t, s->n_task * WR_LANES);
    r->drop_path_count = WR_TAKE(&r->rows, uint32_t, s->n_task * WR_LANES);
    r->detail = WR_TAKE(&r->rows, float, 2 * s->n_task * WR_SUM_LANES);
    r->finish_count = WR_TAKE(&r->rows, uint32_t, WR_FINISH_BINS);
    r->detail_count = WR_TAKE(&r->rows, uint32_t, n_count);
}

static void open_workspace(struct workspace *r, const struct programme *p, size_t n_count)
{
    *r = (struct workspace){.p = p};
    lay_out_rows(r, n_count);
    wr_rows_open(&r->rows);
    lay_out_rows(r, n_count);
    for (size_t k = 0; k < p->setup->n_task; k++) {
        const struct wr_network *net = p->setup->net;
        r->begin[k] = p->starts_itself[k] ? r->start + k * WR_BLOCK : r->end + net->pred[net->pred_first[k]] * WR_BLOCK;
    }
}

static void close_workspace(struct workspace *r)
{
    wr_free(r->rows.block);
}

/* ---- one block ---- */

static void seed_streams(struct workspace *r, uint64_t chunk)
{
    const struct wr_setup *s = r->p->setup;

    wr_stream_seed(&r->effect_streams.run, s->seed, WR_STREAM_RUN_EFFECT, chunk);
    wr_stream_seed(&r->effect_streams.line_up, s->seed, WR_STREAM_LINE_UP, chunk);
    for (size_t l = 0; l < s->durations->n_lane; l++)
        wr_stream_seed(&r->effect_streams.new_person[l], s->seed, WR_STREAM_NEW_PERSON + l, chunk);
    for (size_t k = 0; k < s->n_task; k++)
        if (s->task[k].form != WR_FORM_FIXED) wr_stream_seed(&r->stream[k], s->seed, s->durations->stream[k], chunk);
}

static void begin_task(struct workspace *r, size_t k)
{
    const struct wr_setup *s = r->p->setup;
    const struct wr_network *net = s->net;
    size_t first = net->pred_first[k], n = net->pred_first[k + 1] - first;

    if (!r->p->starts_itself[k]) return;
    r->ends[0] = r->zero;
    for (size_t j = 0; j < n; j++) r->ends[j] = r->end + net->pred[first + j] * WR_BLOCK;
    s->kernel->latest(r->ends, n ? n : 1, (float)net->not_before_min[k], WR_BLOCK, r->start + k * WR_BLOCK);
}

static float *minutes_row(const struct workspace *r, size_t k)
{
    return r->minutes + (r->in_detail ? k * WR_BLOCK : 0);
}

static void do_task(struct workspace *r, size_t k, size_t place)
{
    const struct wr_setup *s = r->p->setup;
    const struct wr_task_setup *t = &s->task[k];
    const size_t at = k * WR_BLOCK;
    const size_t shift = t->varies ? place : 0;
    struct wr_draw_row row = {.kind = t->table ? WR_DRAW_TABLE : WR_DRAW_LOG,
                              .paired = t->paired,
                              .varying = t->varies,
                              .skew_h = s->skew_h + shift,
                              .skew_z = s->skew_z + shift,
                              .skew_0 = s->skew_0 + shift,
                              .table = t->table,
                              .start = r->begin[k],
                              .score = r->score + at,
                              .minutes = minutes_row(r, k),
                              .end = r->end + at};

    if (t->form == WR_FORM_FIXED) {
        for (size_t i = 0; i < WR_BLOCK; i++) row.minutes[i] = t->fixed_min;
        s->kernel->add(row.start, row.minutes, WR_BLOCK, row.end);
        return; /* its score stays 0 */
    }
    if (!t->table) {
        row.centre = t->centre + shift;
        row.spread = t->spread + shift;
    }
    row.effect = r->effects.effect + t->effect * WR_BLOCK;
    if (t->paired) s->kernel->pairs(&r->stream[k], WR_BLOCK, r->normals, row.score);
    else s->kernel->normals(&r->stream[k], WR_BLOCK, row.score);
    s->kernel->follow(&row, r->normals, row.score, WR_BLOCK);
}

static bool may_drop(const struct wr_setup *s, size_t k)
{
    return s->net->drop_after_min[k] < INFINITY;
}

static void walk_trials(struct workspace *r, uint64_t first)
{
    const struct wr_setup *s = r->p->setup;
    size_t place = wr_setup_place(s, first);

    wr_effects_fill(s, &r->effect_streams, first, &r->effects);
    for (size_t i = 0; i < s->n_task; i++) {
        size_t k = s->net->order[i], at = k * WR_BLOCK;
        begin_task(r, k);
        do_task(r, k, place);
        if (!may_drop(s, k)) continue;
        if (r->in_detail) memcpy(r->if_done + at, minutes_row(r, k), WR_BLOCK * sizeof *r->if_done);
        s->kernel->drop(r->begin[k], (float)s->net->drop_after_min[k], WR_BLOCK, minutes_row(r, k), r->end + at,
                        r->dropped + at);
    }
    for (size_t i = 0; i < s->n_end; i++) r->ends[i] = r->end + s->end_task[i] * WR_BLOCK;
    s->kernel->latest(r->ends, s->n_end, 0, WR_BLOCK, r->finish);
}

static void mark_paths(struct workspace *r, size_t n_valid)
{
    const struct programme *p = r->p;
    const struct wr_setup *s = p->setup;

    for (size_t i = 0; i < p->n_step; i++) {
        const struct path_step *step = &p->step[i];
        for (size_t j = 0; j < step->n_edge; j++) {
            const struct edge_rule *e = &p->edge[step->first_edge + j];
            r->edge[j] = (struct wr_path_edge){r->path + e->row * WR_BLOCK, e->always ? NULL : r->begin[e->task]};
        }
        s->kernel->path(r->edge, step->n_edge, r->end + step->task * WR_BLOCK, step->ends ? r->finish : NULL, WR_BLOCK,
                        n_valid, r->path + step->row * WR_BLOCK, r->path_count + step->row * WR_LANES);
    }
}

/* A dropped task is not on the longest path, though the path may lead through it. */
static void count_drops(struct workspace *r, size_t n_valid)
{
    const struct wr_setup *s = r->p->setup;

    for (size_t k = 0; k < s->n_task && s->drops; k++) {
        uint32_t *dropped = r->dropped + k * WR_BLOCK;
        if (!may_drop(s, k)) continue;
        for (size_t i = n_valid; i < WR_BLOCK; i++) dropped[i] = 0;
        s->kernel->count(dropped, NULL, WR_BLOCK, r->drop_count + k * WR_LANES);
        s->kernel->count(r->path + r->p->path_row[k] * WR_BLOCK, dropped, WR_BLOCK, r->drop_path_count + k * WR_LANES);
    }
}

static float *common_sum(struct workspace *r, size_t i)
{
    return r->common + i * WR_SUM_LANES;
}

static void add_up(struct workspace *r, float centre, size_t n_valid)
{
    const struct wr_setup *s = r->p->setup;
    const struct wr_kernel *kernel = s->kernel;
    size_t n_lane = s->durations->n_lane;

    for (size_t i = 0; i < WR_BLOCK; i++) r->dev[i] = r->finish[i] - centre;
    for (size_t i = n_valid; i < WR_BLOCK; i++) r->dev[i] = r->one[i] = 0;
    kernel->dots(r->score, WR_BLOCK, s->n_task, r->dev, WR_BLOCK, r->score_dev);
    kernel->dots(r->one, 0, 1, r->dev, WR_BLOCK, common_sum(r, 0));
    kernel->dots(r->dev, 0, 1, r->dev, WR_BLOCK, common_sum(r, 1));
    kernel->dots(r->effects.run, 0, 1, r->dev, WR_BLOCK, common_sum(r, 2));
    for (size_t i = n_valid; i < WR_BLOCK; i++) r->effects.run[i] = 0;
    kernel->dots(r->effects.run, 0, 1, r->effects.run, WR_BLOCK, common_sum(r, 3));
    if (!s->people_vary) return;
    kernel->dots(r->effects.lane, WR_BLOCK, n_lane, r->dev, WR_BLOCK, common_sum(r, 4));
    for (size_t l = 0; l < n_lane; l++) {
        float *lane = r->effects.lane + l * WR_BLOCK;
        for (size_t i = n_valid; i < WR_BLOCK; i++) lane[i] = 0;
        kernel->dots(r->effects.lane, WR_BLOCK, l + 1, lane, WR_BLOCK, common_sum(r, 4 + n_lane + l * n_lane));
    }
}

/* ---- details of single tasks and lanes ---- */

/* The days that come to a task in time to do it are fast ones, on which it is fast as well: how long it takes if it is
 * done is seen on all days. */
static const float *detail_row(const struct workspace *r, size_t k, enum wr_detail what)
{
    if (what == WR_DETAIL_START) return r->begin[k];
    if (what == WR_DETAIL_END) return r->end + k * WR_BLOCK;
    return (may_drop(r->p->setup, k) ? r->if_done : r->minutes) + k * WR_BLOCK;
}

/* busy, waiting, end of a lane: rows[WR_N_LANE_DETAIL * WR_BLOCK] */
static void lane_rows(const struct workspace *r, size_t lane, float *rows)
{
    const struct wr_kernel *kernel = r->p->setup->kernel;
    const struct wr_network *net = r->p->setup->net;
    float *busy = rows + WR_LANE_BUSY * WR_BLOCK, *waiting = rows + WR_LANE_WAITING * WR_BLOCK;
    float *end = rows + WR_LANE_END * WR_BLOCK;
    const float *last = net->lane_last[lane] == SIZE_MAX ? r->zero : r->end + net->lane_last[lane] * WR_BLOCK;
    size_t first = wr_network_lane_first(net, lane);
    const float *begin = first == SIZE_MAX ? r->zero : r->begin[first];

    for (size_t i = 0; i < WR_BLOCK; i++) busy[i] = 0;
    for (size_t k = 0; k < net->n_task; k++) {
        if (!(net->lanes[k] >> lane & 1)) continue;
        kernel->add(busy, r->minutes + k * WR_BLOCK, WR_BLOCK, busy);
    }
    for (size_t i = 0; i < WR_BLOCK; i++) {
        end[i] = last[i];
        float there = last[i] - begin[i];
        waiting[i] = there > busy[i] ? there - busy[i] : 0; /* sums in another order may differ in the last place */
    }
}

static void tally_row(const struct wr_kernel *kernel, const struct wr_window *w, const float *row,
                      const uint32_t *dropped, size_t n, uint32_t *count)
{
    uint32_t bin[WR_BLOCK];

    kernel->bins(w, row, WR_BLOCK, bin);
    if (dropped)
        for (size_t i = 0; i < n; i++) count[bin[i]] += !dropped[i];
    else
        for (size_t i = 0; i < n; i++) count[bin[i]]++;
}

static void tally_detail(struct workspace *r, const struct wr_trials *t, struct wr_trial_sums *sums, size_t n_valid)
{
    const struct wr_setup *s = r->p->setup;
    float *restrict about = r->scratch;

    sums->n_detail += n_valid;
    for (size_t k = 0; k < s->n_task; k++) {
        const uint32_t *dropped = may_drop(s, k) ? r->dropped + k * WR_BLOCK : NULL;
        const float *minutes = detail_row(r, k, WR_DETAIL_MINUTES);
        const float typical = wr_trials_window(t, k, WR_DETAIL_MINUTES)->typical;
        for (int what = 0; what < WR_N_DETAIL; what++)
            tally_row(s->kernel, wr_trials_window(t, k, (enum wr_detail)what), detail_row(r, k, (enum wr_detail)what),
                      what == WR_DETAIL_MINUTES ? NULL : dropped, n_valid,
                      r->detail_count + (k * WR_N_DETAIL + (size_t)what) * WR_DETAIL_BINS);
        for (size_t i = 0; i < WR_BLOCK; i++) about[i] = minutes[i] - typical;
        for (size_t i = n_valid; i < WR_BLOCK; i++) about[i] = 0;
        s->kernel->dots(about, 0, 1, r->one, WR_BLOCK, r->detail + 2 * k * WR_SUM_LANES);
        s->kernel->dots(about, 0, 1, about, WR_BLOCK, r->detail + (2 * k + 1) * WR_SUM_LANES);
    }
    for (size_t l = 0; l < s->net->n_lane; l++) {
        lane_rows(r, l, r->scratch);
        for (int what = 0; what < WR_N_LANE_DETAIL; what++) {
            size_t at = wr_trials_lane_at(t, l, (enum wr_lane_detail)what);
            tally_row(s->kernel, &t->window[at], r->scratch + (size_t)what * WR_BLOCK, NULL, n_valid,
                      r->detail_count + at * WR_DETAIL_BINS);
        }
    }
}

/* ---- chunks and pieces ---- */

static double total(const float lanes[WR_SUM_LANES])
{
    double sum = 0;

    for (int i = 0; i < WR_SUM_LANES; i++) sum += lanes[i];
    return sum;
}

static uint64_t total_count(const uint32_t lanes[WR_LANES])
{
    uint64_t sum = 0;

    for (int i = 0; i < WR_LANES; i++) sum += lanes[i];
    return sum;
}

static void open_sums(struct wr_trial_sums *sums, size_t n_task, size_t n_lane)
{
    *sums = (struct wr_trial_sums){0};
    sums->score_dev = WR_NEW_ARRAY(double, n_task);
    sums->lane_dev = WR_NEW_ARRAY(double, n_lane);
    sums->lane_lane = WR_NEW_ARRAY(double, n_lane * n_lane);
    sums->path = WR_NEW_ARRAY(uint64_t, n_task);
    sums->dropped = WR_NEW_ARRAY(uint64_t, n_task);
    sums->minutes = WR_NEW_ARRAY(double, n_task);
    sums->minutes_minutes = WR_NEW_ARRAY(double, n_task);
}

static void close_sums(struct wr_trial_sums *sums)
{
    WR_FREE(sums->score_dev, sums->lane_dev, sums->lane_lane, sums->path, sums->dropped, sums->minutes,
            sums->minutes_minutes);
}

/* Takes the lane sums of a chunk into *sums, and clears them. */
static void take_sums(struct workspace *r, struct wr_trial_sums *sums)
{
    const struct wr_setup *s = r->p->setup;
    size_t n_lane = s->durations->n_lane, n_common = 4 + n_lane + n_lane * n_lane;

    sums->dev += total(common_sum(r, 0));
    sums->dev_dev += total(common_sum(r, 1));
    sums->run_dev += total(common_sum(r, 2));
    sums->run_run += total(common_sum(r, 3));
    for (size_t l = 0; l < n_lane; l++) {
        sums->lane_dev[l] += total(common_sum(r, 4 + l));
        for (size_t m = 0; m <= l; m++)
            sums->lane_lane[l * n_lane + m] += total(common_sum(r, 4 + n_lane + l * n_lane + m));
    }
    for (size_t k = 0; k < s->n_task; k++) {
        sums->score_dev[k] += total(r->score_dev + k * WR_SUM_LANES);
        sums->path[k] += total_count(may_drop(s, k) ? r->drop_path_count + k * WR_LANES
                                                    : r->path_count + r->p->path_row[k] * WR_LANES);
        sums->minutes[k] += total(r->detail + 2 * k * WR_SUM_LANES);
        sums->minutes_minutes[k] += total(r->detail + (2 * k + 1) * WR_SUM_LANES);
        sums->dropped[k] += total_count(r->drop_count + k * WR_LANES);
    }
    for (size_t i = 0; i < n_common * WR_SUM_LANES; i++) r->common[i] = 0;
    for (size_t i = 0; i < s->n_task * WR_SUM_LANES; i++) r->score_dev[i] = 0;
    for (size_t i = 0; i < 2 * s->n_task * WR_SUM_LANES; i++) r->detail[i] = 0;
    for (size_t i = 0; i < s->n_task * WR_LANES; i++)
        r->path_count[i] = r->drop_count[i] = r->drop_path_count[i] = 0;
}

struct work {
    const struct programme *programme;
    struct wr_trials *trials;
    struct workspace *room;     /* [worker] */
    struct wr_trial_sums *sums; /* [piece] */
    size_t n_chunk, n_piece, n_detail; /* n_detail: chunks */
};

static void do_chunk(struct work *w, struct workspace *r, size_t chunk, struct wr_trial_sums *sums)
{
    const struct wr_trials *t = w->trials;
    size_t first = chunk * WR_CHUNK, n = t->n_trial - first < WR_CHUNK ? t->n_trial - first : WR_CHUNK;

    seed_streams(r, chunk);
    r->in_detail = chunk < w->n_detail;
    for (size_t i = 0; i < WR_BLOCK; i++) r->one[i] = 1;
    for (size_t at = 0; at < n; at += WR_BLOCK) {
        size_t n_valid = n - at < WR_BLOCK ? n - at : WR_BLOCK;
        walk_trials(r, first + at);
        mark_paths(r, n_valid);
        count_drops(r, n_valid);
        for (size_t i = 0; i < n_valid; i++) r->finish_count[wr_window_bin(&t->finish_window, r->finish[i])]++;
        if (r->in_detail) tally_detail(r, t, sums, n_valid);
        add_up(r, t->finish_window.typical, n_valid);
    }
    take_sums(r, sums);
}

static void do_piece(void *arg, size_t piece, unsigned worker)
{
    struct work *w = arg;

    for (size_t c = piece * w->n_chunk / w->n_piece; c < (piece + 1) * w->n_chunk / w->n_piece; c++)
        do_chunk(w, &w->room[worker], c, &w->sums[piece]);
}

/* The first trials, to see where the numbers lie. */
static void choose_windows(struct wr_trials *t, struct workspace *r)
{
    const struct wr_setup *s = r->p->setup;
    size_t n_row = s->n_task * WR_N_DETAIL + s->net->n_lane * WR_N_LANE_DETAIL, n = PILOT_BLOCKS * WR_BLOCK;
    WR_SCOPED float *seen = WR_NEW_ARRAY(float, (n_row + 1) * n);

    seed_streams(r, 0);
    r->in_detail = true;
    for (size_t b = 0; b < PILOT_BLOCKS; b++) {
        walk_trials(r, b * WR_BLOCK);
        float *place = seen + b * WR_BLOCK;
        for (size_t k = 0; k < s->n_task; k++)
            for (int what = 0; what < WR_N_DETAIL; what++, place += n)
                memcpy(place, detail_row(r, k, (enum wr_detail)what), WR_BLOCK * sizeof *place);
        for (size_t l = 0; l < s->net->n_lane; l++) {
            lane_rows(r, l, r->scratch);
            for (size_t what = 0; what < WR_N_LANE_DETAIL; what++, place += n)
                memcpy(place, r->scratch + what * WR_BLOCK, WR_BLOCK * sizeof *place);
        }
        memcpy(place, r->finish, WR_BLOCK * sizeof *place);
    }
    for (size_t i = 0; i < n_row; i++) t->window[i] = wr_window_around(seen + i * n, n, WR_DETAIL_BINS);
    t->finish_window = wr_window_around(seen + n_row * n, n, WR_FINISH_BINS);
}

static void join_pieces(struct wr_trials *t, const struct work *w, unsigned n_worker, size_t n_count)
{
    for (size_t p = 0; p < w->n_piece; p++) {
        struct wr_trial_sums *from = &w->sums[p], *to = &t->sums;
        to->dev += from->dev;
        to->dev_dev += from->dev_dev;
        to->run_dev += from->run_dev;
        to->run_run += from->run_run;
        for (size_t k = 0; k < t->n_task; k++) {
            to->score_dev[k] += from->score_dev[k];
            to->path[k] += from->path[k];
            to->dropped[k] += from->dropped[k];
            to->minutes[k] += from->minutes[k];
            to->minutes_minutes[k] += from->minutes_minutes[k];
        }
        to->n_detail += from->n_detail;
        for (size_t l = 0; l < t->n_person_lane; l++) to->lane_dev[l] += from->lane_dev[l];
        for (size_t l = 0; l < t->n_person_lane * t->n_person_lane; l++) to->lane_lane[l] += from->lane_lane[l];
    }
    for (unsigned i = 0; i < n_worker; i++) { /* whole numbers: any order */
        for (size_t b = 0; b < WR_FINISH_BINS; b++) t->finish_count[b] += w->room[i].finish_count[b];
        for (size_t b = 0; b < n_count; b++) t->count[b] += w->room[i].detail_count[b];
    }
}

void wr_trials_run(struct wr_trials *t, const struct wr_setup *setup, size_t n_trial, unsigned n_thread,
                   void (*done)(void *arg, double share), void *arg)
{
    size_t n_chunk = (n_trial + WR_CHUNK - 1) / WR_CHUNK, n_piece = n_chunk < MOST_PIECES ? n_chunk : MOST_PIECES;
    size_t n_lane = setup->net->n_lane, n_window = setup->n_task * WR_N_DETAIL + n_lane * WR_N_LANE_DETAIL;
    unsigned n_worker = wr_parallel_workers(n_piece, n_thread);
    struct programme programme;
    struct work w = {.programme = &programme, .trials = t, .n_chunk = n_chunk, .n_piece = n_piece};

    w.n_detail = WR_DETAIL_TIMES / WR_CHUNK / setup->n_task;
    w.n_detail = w.n_detail < 1 ? 1 : w.n_detail > WR_DETAIL_CHUNKS ? WR_DETAIL_CHUNKS : w.n_detail;
    *t = (struct wr_trials){.n_trial = n_trial, .n_task = setup->n_task, .n_lane = n_lane,
                            .n_person_lane = setup->durations->n_lane};
    open_sums(&t->sums, t->n_task, t->n_person_lane);
    t->finish_count = WR_NEW_ARRAY(uint64_t, WR_FINISH_BINS);
    t->window = WR_NEW_ARRAY(struct wr_window, n_window);
    t->count = WR_NEW_ARRAY(uint64_t, n_window * WR_DETAIL_BINS);
    plan_block(&programme, setup);
    w.room = WR_NEW_ARRAY(struct workspace, n_worker);
    w.sums = WR_NEW_ARRAY(struct wr_trial_sums, n_piece);
    for (unsigned i = 0; i < n_worker; i++) open_workspace(&w.room[i], &programme, n_window * WR_DETAIL_BINS);
    for (size_t p = 0; p < n_piece; p++) open_sums(&w.sums[p], t->n_task, t->n_person_lane);
    choose_windows(t, &w.room[0]);
    wr_parallel_for_worker(n_piece, n_worker, do_piece, &w, done, arg);
    join_pieces(t, &w, n_worker, n_window * WR_DETAIL_BINS);
    for (unsigned i = 0; i < n_worker; i++) close_workspace(&w.room[i]);
    for (size_t p = 0; p < n_piece; p++) close_sums(&w.sums[p]);
    WR_FREE(w.room, w.sums);
    forget_programme(&programme);
}

void wr_trials_release(struct wr_trials *t)
{
    close_sums(&t->sums);
    WR_FREE(t->finish_count, t->window, t->count);
    *t = (struct wr_trials){0};
}
