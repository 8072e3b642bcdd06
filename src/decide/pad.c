#include "wetrun/decide/pad.h"

#include <math.h>
#include <string.h>
#include "pad_error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/enough_trials.h"
#include "wetrun/stats/halve.h"
#include "wetrun/stats/quantile.h"
#include "wetrun/stats/score.h"

/* Percentiles are looked for up to here: a stretch that needs more holds a wait that no task time explains. */
static const double MOST_PERCENTILE = 0.9999;

/* Everything that is read off the simulated days, before anything is padded. */
struct seen {
    const struct wr_network *net;
    const struct wr_scenarios *scenarios;
    size_t n_trial, n_task, n_checkpoint;
    size_t *checkpoint_task;   /* [n_checkpoint]; WR_FINISH: the finish */
    size_t *stretch;           /* [n_task] */
    double **own_sorted;       /* [n_task] minutes of the task if it is done, all trials, ascending */
    size_t *n_done;            /* [n_task] trials in which it is not dropped */
    double *ready;             /* [checkpoint * n_trial + trial] */
    double *ready_sorted;      /* the same, each checkpoint ascending */
    bool paths;                /* look for the longest paths */
    size_t *on_path;           /* [n_task] trials on a longest path to its checkpoint */
};

/* ---- checkpoints and stretches ---- */

static bool is_joint(const struct wr_network *net, size_t k)
{
    return (net->lanes[k] & (net->lanes[k] - 1)) != 0 && net->pred_first[k + 1] > net->pred_first[k];
}

static void find_checkpoints(struct seen *seen)
{
    const struct wr_network *net = seen->net;
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, net->n_task);

    seen->checkpoint_task = WR_NEW_ARRAY(size_t, net->n_task + 1);
    for (size_t i = 0; i < net->n_task; i++)
        if (is_joint(net, net->order[i])) seen->checkpoint_task[seen->n_checkpoint++] = net->order[i];
    seen->checkpoint_task[seen->n_checkpoint++] = WR_FINISH;
    seen->stretch = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t k = 0; k < net->n_task; k++) seen->stretch[k] = seen->n_checkpoint - 1;
    for (size_t c = seen->n_checkpoint - 1; c-- > 0;) { /* later ones first: the first checkpoint ahead stays */
        memset(mark, 0, net->n_task);
        wr_network_mark_before(net, seen->checkpoint_task[c], mark);
        for (size_t k = 0; k < net->n_task; k++)
            if (mark[k] && k != seen->checkpoint_task[c]) seen->stretch[k] = c;
    }
}

static double ready_at(const struct seen *seen, size_t c, const double *end)
{
    return wr_network_ready(seen->net, seen->checkpoint_task[c], end);
}

/* ---- one look at every day ---- */

enum { MOST_PIECES = 32 }; /* that the days are shared out to; nothing that comes out depends on it */

static size_t first_of_piece(size_t piece, size_t n_trial)
{
    return piece * n_trial / MOST_PIECES;
}

struct look {
    struct seen *seen;
    size_t *n_done, *on_path;  /* [piece * n_task] as in seen */
};

static void look_at_piece(void *arg, size_t piece)
{
    const struct look *look = arg;
    struct seen *seen = look->seen;
    size_t n = seen->n_trial, n_task = seen->n_task;
    size_t *n_done = look->n_done + piece * n_task, *on_path = look->on_path + piece * n_task;
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, 3 * n_task);
    double *start = minutes + n_task, *end = start + n_task;
    WR_SCOPED unsigned char *dropped = WR_NEW_ARRAY(unsigned char, 2 * n_task);
    unsigned char *mark = dropped + n_task;

    for (size_t i = first_of_piece(piece, n); i < first_of_piece(piece + 1, n); i++) {
        wr_scenarios_durations(seen->scenarios, i, minutes);
        wr_network_forward(seen->net, minutes, start, end, dropped);
        for (size_t k = 0; k < n_task; k++) {
            seen->own_sorted[k][i] = minutes[k];
            n_done[k] += !dropped[k];
        }
        for (size_t c = 0; c < seen->n_checkpoint; c++) {
            seen->ready[c * n + i] = ready_at(seen, c, end);
            if (!seen->paths) continue;
            wr_network_longest_path(seen->net, seen->checkpoint_task[c], start, end, dropped, mark);
            for (size_t k = 0; k < n_task; k++) on_path[k] += mark[k] && seen->stretch[k] == c;
        }
    }
}

static void look_at_days(struct seen *seen, unsigned n_thread)
{
    size_t n = seen->n_trial, n_task = seen->n_task;
    WR_SCOPED size_t *count = WR_NEW_ARRAY(size_t, 2 * MOST_PIECES * n_task);
    struct look look = {seen, count, count + MOST_PIECES * n_task};

    seen->own_sorted = WR_NEW_ARRAY(double *, n_task);
    seen->n_done = WR_NEW_ARRAY(size_t, n_task);
    seen->on_path = WR_NEW_ARRAY(size_t, n_task);
    for (size_t k = 0; k < n_task; k++) seen->own_sorted[k] = WR_NEW_ARRAY(double, n);
    seen->ready = wr_alloc(n, seen->n_checkpoint * sizeof(double));
    wr_parallel_for(MOST_PIECES, n_thread, look_at_piece, &look);
    for (size_t k = 0; k < n_task; k++) {
        for (size_t piece = 0; piece < MOST_PIECES; piece++) {
            seen->n_done[k] += look.n_done[piece * n_task + k];
            seen->on_path[k] += look.on_path[piece * n_task + k];
        }
    }
}

static void sort_piece(void *arg, size_t piece)
{
    struct seen *seen = arg;

    if (piece < seen->n_task) wr_sort_ascending(seen->own_sorted[piece], seen->n_trial);
    else wr_sort_ascending(seen->ready_sorted + (piece - seen->n_task) * seen->n_trial, seen->n_trial);
}

static void look_at_and_sort_days(struct seen *seen, unsigned n_thread)
{
    find_checkpoints(seen);
    look_at_days(seen, n_thread);
    seen->ready_sorted = WR_COPY(seen->ready, seen->n_checkpoint * seen->n_trial);
    wr_parallel_for(seen->n_task + seen->n_checkpoint, n_thread, sort_piece, seen);
}

static void seen_release(struct seen *seen)
{
    for (size_t k = 0; k < seen->n_task; k++) wr_free(seen->own_sorted[k]);
    WR_FREE(seen->own_sorted, seen->n_done, seen->on_path, seen->checkpoint_task, seen->stretch, seen->ready,
            seen->ready_sorted);
}

static double own_quantile(const struct seen *seen, size_t k, double prob)
{
    return wr_quantile_of_sorted(seen->own_sorted[k], seen->n_trial, prob, WR_QUANTILE_TYPE_7);
}

static double checkpoint_quantile(const struct seen *seen, size_t c, double prob)
{
    return wr_quantile_of_sorted(seen->ready_sorted + c * seen->n_trial, seen->n_trial, prob, WR_QUANTILE_TYPE_7);
}

static double share_up_to(const double *ascending, size_t n, double x)
{
    return n ? wr_share_below(ascending, n, nextafter(x, INFINITY)) : 0;
}

/* ---- timelines of one number per task ---- */

struct timeline {
    const struct seen *seen;
    const struct wr_pad *pad;
    struct wr_network held;        /* that of seen, but for when its tasks may begin */
    double *minutes, *start, *end; /* [n_task] */
};

static struct timeline timeline_init(const struct seen *seen, const struct wr_pad *pad)
{
    size_t n = seen->n_task;
    double *block = WR_NEW_ARRAY(double, 4 * n);
    struct timeline line = {seen, pad, *seen->net, block, block + n, block + 2 * n};

    line.held.not_before_min = block + 3 * n;
    return line;
}

/* Forward pass in which the joint tasks of checkpoints before n_held begin no earlier than their checkpoint times. */
static void walk_held(struct timeline *line, size_t n_held)
{
    double *not_before = line->held.not_before_min;

    memcpy(not_before, line->seen->net->not_before_min, line->seen->n_task * sizeof *not_before);
    for (size_t c = 0; c < n_held; c++) {
        size_t joint = line->seen->checkpoint_task[c];
        if (joint != WR_FINISH) not_before[joint] = fmax(not_before[joint], line->pad->checkpoint[c].time_min);
    }
    wr_network_forward(&line->held, line->minutes, line->start, line->end, NULL);
}

static double length_at(struct timeline *line, double prob)
{
    for (size_t k = 0; k < line->seen->n_task; k++) line->minutes[k] = own_quantile(line->seen, k, prob);
    walk_held(line, 0);
    return ready_at(line->seen, line->seen->n_checkpoint - 1, line->end);
}

struct aim {
    struct timeline *line;
    size_t checkpoint;
    double minutes;
};

static bool is_too_short(void *arg, double prob)
{
    const struct aim *a = arg;

    return length_at(a->line, prob) < a->minutes;
}

static double equal_percentile(struct timeline *line, double finish)
{
    double lo = 0.5, hi = MOST_PERCENTILE;

    if (length_at(line, lo) >= finish) return lo;
    if (length_at(line, hi) < finish) return hi;
    wr_halve(is_too_short, &(struct aim){line, 0, finish}, 0, 40, &lo, &hi);
    return (lo + hi) / 2;
}

/* When checkpoint c is reached with its stretch at percentile prob, stretches before it padded already. */
static double reached_at(struct timeline *line, size_t c, double prob)
{
    for (size_t k = 0; k < line->seen->n_task; k++)
        if (line->seen->stretch[k] == c)
            line->minutes[k] = own_quantile(line->seen, k, line->pad->task[k].waits ? 0.5 : prob);
    walk_held(line, c);
    return ready_at(line->seen, c, line->end);
}

static bool is_too_early(void *arg, double prob)
{
    const struct aim *a = arg;

    return reached_at(a->line, a->checkpoint, prob) < a->minutes;
}

static double stretch_percentile(struct timeline *line, size_t c)
{
    double lo = 0.5, hi = MOST_PERCENTILE, goal = line->pad->checkpoint[c].time_min;

    if (reached_at(line, c, lo) >= goal) return lo;
    if (reached_at(line, c, hi) < goal) return hi;
    wr_halve(is_too_early, &(struct aim){line, c, goal}, 0, 40, &lo, &hi);
    reached_at(line, c, hi);
    return hi;
}

/* ---- putting the result together ---- */

static void describe_tasks(struct wr_pad *pad, const struct seen *seen, const struct wr_plan *plan)
{
    for (size_t k = 0; k < seen->n_task; k++) {
        struct wr_pad_task *t = &pad->task[k];
        t->median_min = own_quantile(seen, k, 0.5);
        t->own_quantile_min = own_quantile(seen, k, pad->confidence);
        t->stretch = seen->stretch[k];
        t->on_longest_path = (double)seen->on_path[k] / (double)seen->n_trial;
        /* a task that is mostly dropped is seldom on the path for that reason alone */
        double done = (double)seen->n_done[k] / (double)seen->n_trial;
        t->dropped = 1 - done;
        t->waits = t->on_longest_path < WR_PAD_WAITS * done || seen->n_done[k] == 0;
        t->is_fixed = !seen->scenarios->carries_b[k];
        t->factor = 1;
        if (!plan || !plan->task[k].planned_min.known) continue;
        t->planned_min = plan->task[k].planned_min;
        t->prob_planned_enough = wr_known(share_up_to(seen->own_sorted[k], seen->n_trial, t->planned_min.value));
    }
}

static void pad_stretches(struct wr_pad *pad, const struct seen *seen, struct timeline *line)
{
    for (size_t k = 0; k < seen->n_task; k++) line->minutes[k] = pad->task[k].median_min;
    for (size_t c = 0; c < seen->n_checkpoint; c++) {
        struct wr_pad_checkpoint *check = &pad->checkpoint[c];
        check->percentile = stretch_percentile(line, c);
        /* a stretch whose medians alone end later than the quantile: the timeline says when */
        check->time_min = fmax(check->time_min, reached_at(line, c, check->percentile));
        check->prob_kept = share_up_to(seen->ready_sorted + c * seen->n_trial, seen->n_trial, check->time_min);
    }
    for (size_t k = 0; k < seen->n_task; k++) {
        struct wr_pad_task *t = &pad->task[k];
        if (!t->waits) t->pad_min = line->minutes[k] - t->median_min;
        if (t->median_min > 0) t->factor = (t->median_min + t->pad_min) / t->median_min;
    }
}

static void find_waits(struct wr_pad *pad, const struct seen *seen, struct timeline *line)
{
    const struct wr_network *net = seen->net;

    walk_held(line, seen->n_checkpoint);
    for (size_t k = 0; k < seen->n_task; k++)
        pad->task[k].not_in_timeline = line->start[k] > net->drop_after_min[k];
    for (size_t c = 0; c < seen->n_checkpoint; c++) {
        size_t joint = seen->checkpoint_task[c];
        if (joint == WR_FINISH) {
            for (size_t k = 0; k < seen->n_task; k++)
                if (net->is_end[k]) pad->task[k].planned_wait_min = fmax(0, pad->checkpoint[c].time_min - line->end[k]);
            continue;
        }
        for (size_t j = net->pred_first[joint]; j < net->pred_first[joint + 1]; j++) {
            size_t k = net->pred[j];
            if (seen->stretch[k] == c) pad->task[k].planned_wait_min = fmax(0, line->start[joint] - line->end[k]);
        }
    }
}

/* Time between checkpoint c and the latest checkpoint before it, padded and by medians. */
static void share_reserve(struct wr_pad *pad, const struct seen *seen)
{
    WR_SCOPED unsigned char *mark = WR_NEW_ARRAY(unsigned char, seen->n_task);

    for (size_t c = 0; c < seen->n_checkpoint; c++) {
        struct wr_pad_checkpoint *check = &pad->checkpoint[c];
        size_t joint = seen->checkpoint_task[c];
        double padded = 0, median = 0;
        check->before = SIZE_MAX;
        memset(mark, joint == WR_FINISH, seen->n_task);
        if (joint != WR_FINISH) wr_network_mark_before(seen->net, joint, mark);
        for (size_t b = 0; b < c; b++) {
            if (!mark[seen->checkpoint_task[b]] || pad->checkpoint[b].time_min < padded) continue;
            check->before = b;
            padded = pad->checkpoint[b].time_min;
            median = pad->checkpoint[b].median_timeline_min;
        }
        check->stretch_reserve_min = check->time_min - padded - (check->median_timeline_min - median);
    }
}

/* A level at which a share c of the days keeps every checkpoint: the c-quantile of the largest rank a day has. */
static void keep_all_together(struct wr_pad *pad, const struct seen *seen)
{
    size_t n = seen->n_trial, kept = 0;
    /* below the quantile, since at most a share c of the days has a rank of up to c */
    const double least = fmax(pad->confidence - 2 / (double)n, 0);
    WR_SCOPED double *worst = WR_NEW_ARRAY(double, n);

    for (size_t i = 0; i < n; i++) {
        bool all = true;
        worst[i] = least;
        for (size_t c = 0; c < seen->n_checkpoint; c++) {
            double ready = seen->ready[c * n + i];
            const double *sorted = seen->ready_sorted + c * n;
            size_t rank = (size_t)(worst[i] * (double)n + 0.5);
            if (rank < n && sorted[rank] <= ready) worst[i] = share_up_to(sorted, n, ready); /* else no larger */
            all = all && ready <= pad->checkpoint[c].time_min;
        }
        kept += all;
    }
    pad->prob_all_kept = (double)kept / (double)n;
    pad->together_level = wr_quantile_in_place(worst, n, pad->confidence);
    for (size_t c = 0; c < seen->n_checkpoint; c++)
        pad->checkpoint[c].together_min = checkpoint_quantile(seen, c, pad->together_level);
    pad->together_finish_min = pad->checkpoint[seen->n_checkpoint - 1].together_min;
}

/* The clocks among the limits, on the median timeline that the line has just walked. */
static void read_clocks(struct wr_pad *pad, const struct wr_basis *basis, const struct timeline *line)
{
    pad->clock = WR_NEW_ARRAY(struct wr_pad_clock, basis->n_limit);
    for (size_t l = 0; l < basis->n_limit; l++)
        if (basis->limit[l].is_clock)
            pad->clock[pad->n_clock++] = (struct wr_pad_clock){
                .limit = l,
                .median_timeline_min = wr_limit_outcome(basis->net, &basis->limit[l], line->start, line->end, 1)};
}

/* The same on the padded one: of a clock whose begin or end is dropped there is nothing to read, nor of one that ends
 * there before it begins, which it can where its end does not wait for its begin. */
static void read_clocks_padded(struct wr_pad *pad, const struct wr_basis *basis, const struct timeline *line)
{
    size_t n = 0;

    for (size_t i = 0; i < pad->n_clock; i++) {
        struct wr_pad_clock *clock = &pad->clock[i];
        const struct wr_sim_limit *limit = &basis->limit[clock->limit];
        if (pad->task[limit->from].not_in_timeline || pad->task[limit->to].not_in_timeline) continue;
        clock->padded_min = wr_limit_outcome(basis->net, limit, line->start, line->end, 1);
        if (clock->padded_min <= 0) continue;
        clock->on_way = WR_NEW_ARRAY(unsigned char, pad->n_task);
        wr_network_mark_before(basis->net, limit->to, clock->on_way);
        for (size_t k = 0; k < pad->n_task; k++)
            clock->on_way[k] &= k == limit->from || wr_network_waits_for(basis->net, k, limit->from);
        pad->clock[n++] = *clock;
    }
    pad->n_clock = n;
}

static void put_together(struct wr_pad *pad, const struct seen *seen, const struct wr_basis *basis,
                         const struct wr_pad *like)
{
    struct timeline line = timeline_init(seen, pad);
    size_t last = seen->n_checkpoint - 1;

    describe_tasks(pad, seen, basis->plan);
    for (size_t k = 0; like && k < seen->n_task; k++) pad->task[k].waits = like->task[k].waits;
    pad->median_timeline_min = length_at(&line, 0.5);
    read_clocks(pad, basis, &line);
    for (size_t c = 0; c <= last; c++) {
        pad->checkpoint[c].task = seen->checkpoint_task[c];
        pad->checkpoint[c].median_timeline_min = ready_at(seen, c, line.end);
        pad->checkpoint[c].time_min = checkpoint_quantile(seen, c, pad->confidence);
    }
    pad->median_finish_min = checkpoint_quantile(seen, last, 0.5);
    pad->finish_quantile_min = pad->checkpoint[last].time_min;
    pad->reserve_min = pad->finish_quantile_min - pad->median_timeline_min;
    pad->factor = pad->median_timeline_min > 0 ? pad->finish_quantile_min / pad->median_timeline_min : 1;
    pad->equal_percentile = equal_percentile(&line, pad->finish_quantile_min);
    pad->twice_min = length_at(&line, pad->confidence);
    pad->twice_reserve_min = pad->twice_min - pad->median_timeline_min;
    pad->prob_inside_twice = share_up_to(seen->ready_sorted + last * seen->n_trial, seen->n_trial, pad->twice_min);
    pad_stretches(pad, seen, &line);
    find_waits(pad, seen, &line);
    read_clocks_padded(pad, basis, &line);
    share_reserve(pad, seen);
    keep_all_together(pad, seen);
    wr_free(line.minutes);
}

struct all_done {
    const struct wr_network *lifted;
    const struct wr_scenarios *days;
    double *finish;            /* [n_trial] */
};

static void all_done_piece(void *arg, size_t piece)
{
    const struct all_done *all = arg;
    size_t n_task = all->lifted->n_task, n = all->days->n_trial;
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, 2 * n_task);

    for (size_t i = first_of_piece(piece, n); i < first_of_piece(piece + 1, n); i++) {
        wr_scenarios_durations(all->days, i, minutes);
        all->finish[i] = wr_network_forward(all->lifted, minutes, NULL, minutes + n_task, NULL);
    }
}

/* The c-quantile of the finish with the drop rules lifted, on the same days. */
static double all_done_min(const struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *days,
                           unsigned n_thread)
{
    WR_SCOPED double *finish = WR_NEW_ARRAY(double, days->n_trial),
                     *never = WR_NEW_ARRAY(double, basis->net->n_task);
    const struct wr_network lifted = wr_network_all_done(basis->net, never);
    struct all_done all = {&lifted, days, finish};

    if (!wr_network_drops(basis->net)) return pad->finish_quantile_min;
    wr_parallel_for(MOST_PIECES, n_thread, all_done_piece, &all);
    return wr_quantile(finish, days->n_trial, pad->confidence, WR_QUANTILE_TYPE_7);
}

enum wr_status wr_pad_takes(double confidence, struct wr_error *err)
{
    if (confidence > 0.5 && confidence < 1) return WR_OK;
    return wr_fail(err, WR_E_DOMAIN, "padding needs a confidence above 0.5 and below 1, not %g: write --confidence 0.9",
                   confidence);
}

void wr_pad_of_days(struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *days,
                    double confidence, const struct wr_pad *like, unsigned n_thread)
{
    struct seen seen = {.net = basis->net, .scenarios = days, .n_trial = days->n_trial, .n_task = basis->net->n_task,
                        .paths = !like};

    look_at_and_sort_days(&seen, n_thread);
    *pad = (struct wr_pad){.confidence = confidence, .n_trial = seen.n_trial, .n_task = seen.n_task,
                           .n_checkpoint = seen.n_checkpoint};
    pad->task = WR_NEW_ARRAY(struct wr_pad_task, seen.n_task);
    pad->checkpoint = WR_NEW_ARRAY(struct wr_pad_checkpoint, seen.n_checkpoint);
    put_together(pad, &seen, basis, like);
    seen_release(&seen);
}

enum wr_status wr_pad_make(struct wr_pad *pad, const struct wr_basis *basis, const struct wr_scenarios *scenarios,
                           double confidence, unsigned n_thread, struct wr_error *err)
{
    size_t n_task = basis->net->n_task;

    enum wr_status status = wr_pad_takes(confidence, err);
    if (status != WR_OK) return status;
    status = wr_enough_trials("padding", scenarios->n_trial, confidence, err);
    if (status != WR_OK) return status;
    WR_BUG_IF(scenarios->n_task != n_task || basis->durations->n_task != n_task);
    wr_pad_of_days(pad, basis, scenarios, confidence, NULL, n_thread);
    pad->all_done_min = all_done_min(pad, basis, scenarios, n_thread);
    wr_pad_find_errors(pad, basis, scenarios, n_thread);
    return WR_OK;
}

void wr_pad_release(struct wr_pad *pad)
{
    for (size_t i = 0; i < pad->n_clock; i++) wr_free(pad->clock[i].on_way);
    WR_FREE(pad->task, pad->checkpoint, pad->clock);
    *pad = (struct wr_pad){0};
}
