#include "abreast.h"

#include <math.h>
#include <string.h>
#include "bend.h"
#include "wetrun/base/memory.h"

static const double no_rate[WR_ABREAST];

#define ROW(rows, task) ((rows) + (task) * WR_ABREAST)

void wr_abreast_init(struct wr_abreast *a, size_t n)
{
    double *block = wr_alloc(6 * n + 4, WR_ABREAST * sizeof(double));
    const double **rows = wr_alloc(4 * n, sizeof(double *));

    *a = (struct wr_abreast){.held = SIZE_MAX, .kept = SIZE_MAX,
                             .start_min = block,
                             .start_rate = ROW(block, n),
                             .end_min = ROW(block, 2 * n),
                             .end_rate = ROW(block, 3 * n),
                             .minutes = ROW(block, 4 * n),
                             .rate = ROW(block, 5 * n),
                             .bent = ROW(block, 6 * n),
                             .pace = ROW(block, 6 * n + 2),
                             .pace_rate = ROW(block, 6 * n + 3),
                             .dropped = wr_alloc(n, WR_ABREAST * sizeof(uint64_t)),
                             .before = rows,
                             .minutes_row = rows + 2 * n,
                             .rate_row = rows + 3 * n,
                             .push = wr_push_best()};
}

void wr_abreast_release(struct wr_abreast *a)
{
    WR_FREE(a->start_min, a->dropped, a->before);
    *a = (struct wr_abreast){0};
}

void wr_abreast_take(struct wr_abreast *a, size_t first, size_t n_all)
{
    a->n = n_all - first < WR_ABREAST ? n_all - first : WR_ABREAST;
    for (size_t i = 0; i < a->n; i++) a->trial[i] = first + i;
}

/* Only the run effect's part of the push reaches it, the same for all such tasks. */
static bool is_paced(const struct wr_days *days, const struct wr_way *way, size_t k)
{
    return way && way->run != 0 && way->task[k] == 0 && days->form[k] != WR_FORM_FIXED;
}

/* How a task answers to a push along the way: not at all, by a fixed rate of its log, or by a function of its own. */
static enum wr_form answer(const struct wr_days *days, const struct wr_way *way, size_t k)
{
    bool moved = way && way->task[k] != 0, slowed = way && way->run != 0;

    switch ((enum wr_form)days->form[k]) {
    case WR_FORM_FIXED: break;
    case WR_FORM_LOG: return moved || slowed ? WR_FORM_LOG : WR_FORM_FIXED;
    case WR_FORM_BENT: return moved ? WR_FORM_BENT : slowed ? WR_FORM_LOG : WR_FORM_FIXED;
    }
    return WR_FORM_FIXED;
}

/* The walk always takes whole rows: the last day stands in for those that are missing. */
static void fill_up(struct wr_abreast *a)
{
    for (size_t i = a->n; i < WR_ABREAST; i++) {
        a->trial[i] = a->trial[a->n - 1];
        a->delta[i] = a->delta[a->n - 1];
        a->held_min[i] = a->held_min[a->n - 1];
    }
}

/* from[at[]] as a row: where it stands if it stands in a row, else copied to `room`. */
static const double *fetch(const double *from, const size_t *at, bool in_a_row, double *room)
{
    if (in_a_row) return from + at[0];
    for (size_t i = 0; i < WR_ABREAST; i++) room[i] = from[at[i]];
    return room;
}

static bool are_in_a_row(const size_t *at)
{
    for (size_t i = 1; i < WR_ABREAST; i++)
        if (at[i] != at[0] + i) return false;
    return true;
}

/* What no push changes of the row of a task that has begun: all of it, once it has ended. */
static void load_begun(struct wr_abreast *a, const struct wr_days *days, size_t k)
{
    for (size_t i = 0; i < WR_ABREAST; i++) {
        size_t at = k * WR_ABREAST + i;
        a->start_min[at] = days->now->begin_min[k];
        a->end_min[at] = days->now->end_min[k];
        a->start_rate[at] = a->end_rate[at] = 0;
        a->dropped[at] = 0;
    }
}

void wr_abreast_load(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, const size_t *list,
                     size_t n)
{
    size_t draw[WR_ABREAST];
    double *run_rate = a->pace_rate;

    fill_up(a);
    for (size_t i = 0; i < WR_ABREAST; i++) {
        draw[i] = days->draw[a->trial[i]];
        run_rate[i] = way ? way->run * days->run_sd[draw[i]] : 0;
    }
    bool trials_in_a_row = are_in_a_row(a->trial), draws_in_a_row = are_in_a_row(draw);
    for (size_t j = 0; j < n; j++) {
        size_t k = list[j];
        double *rate = ROW(a->rate, k);
        if (wr_days_begin_is_known(days, k)) {
            load_begun(a, days, k);
            continue;
        }
        a->minutes_row[k] = fetch(days->base_min[k], a->trial, trials_in_a_row, ROW(a->minutes, k));
        a->rate_row[k] = is_paced(days, way, k) ? run_rate : no_rate;
        if (a->rate_row[k] != run_rate && answer(days, way, k) == WR_FORM_LOG)
            a->rate_row[k] = fetch(way->rate + k * days->n_draw, draw, draws_in_a_row, rate);
    }
}

/* ---- tasks that have begun ---- */

/* By the kernel's exp. */
static void walk_running_log(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, size_t k)
{
    double one[WR_ABREAST], log_minutes[WR_ABREAST], log_rate[WR_ABREAST], *end = ROW(a->end_min, k);
    const double begin = days->now->begin_min[k], from = begin + wr_days_held_min(days, k);

    for (size_t i = 0; i < WR_ABREAST; i++) one[i] = 1;
    wr_days_run_on(days, way, a->trial, WR_ABREAST, k, a->delta, log_minutes, log_rate);
    const struct wr_push_row row = {.floor_min = from, .drop_after_min = INFINITY, .minutes = one,
                                    .rate = log_minutes, .delta = one, .start_min = ROW(a->start_min, k),
                                    .start_rate = ROW(a->start_rate, k), .end = end,
                                    .rate_at_end = ROW(a->end_rate, k)};
    a->push(&row);
    for (size_t i = 0; i < WR_ABREAST; i++) {
        ROW(a->start_min, k)[i] = begin;
        ROW(a->end_rate, k)[i] = (end[i] - from) * log_rate[i];
    }
}

static void walk_running(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, size_t k)
{
    for (size_t i = 0; i < a->n; i++) {
        size_t at = k * WR_ABREAST + i;
        struct wr_taken t;
        (void)wr_days_begun(days, way, a->trial[i], k, a->delta[i], &t);
        a->end_min[at] = days->now->begin_min[k] + wr_days_held_min(days, k) + t.minutes;
        a->end_rate[at] = way ? t.by_z * way->task[k] + t.by_run * way->run : 0;
    }
}

static void bend(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, size_t k,
                 struct wr_push_row *row)
{
    double by_task = way->task[k];
    double *minutes = a->bent, *rate = a->bent + WR_ABREAST, slope;
    const float *z = days->z + k * days->n_trial;

    for (size_t i = 0; i < WR_ABREAST; i++) {
        double run_rate = way->run * days->run_sd[days->draw[a->trial[i]]];
        double factor = wr_days_bend_factor(days, a->trial[i], k) * exp(run_rate * a->delta[i]);
        minutes[i] = factor * wr_bend_minutes(&days->bend[k], (double)z[a->trial[i]] + by_task * a->delta[i], &slope);
        if (by_task * a->delta[i] == 0)
            minutes[i] = a->minutes_row[k][i] * exp(run_rate * a->delta[i]); /* as simulated */
        rate[i] = factor * slope * by_task + minutes[i] * run_rate;
    }
    row->minutes = minutes;
    row->rate = rate;
}

/* e to the power of the run effect's part of the push, by what makes it of the minutes of single tasks. */
static void find_pace(struct wr_abreast *a)
{
    double one[WR_ABREAST], start[WR_ABREAST], start_rate[WR_ABREAST], rate[WR_ABREAST];

    for (size_t i = 0; i < WR_ABREAST; i++) one[i] = 1;
    const struct wr_push_row row = {.drop_after_min = INFINITY, .minutes = one, .rate = a->pace_rate,
                                    .delta = a->delta, .start_min = start, .start_rate = start_rate,
                                    .end = a->pace, .rate_at_end = rate};
    a->push(&row);
}

void wr_abreast_walk(struct wr_abreast *a, const struct wr_days *days, const struct wr_way *way, const size_t *list,
                     size_t n)
{
    const struct wr_network *net = days->net;
    const double **end = a->before, **end_rate = a->before + days->n_task;

    fill_up(a);
    if (way && way->run != 0) find_pace(a);
    for (size_t i = 0; i < n; i++) {
        size_t k = list[i], n_before = 0;
        bool paced = is_paced(days, way, k);
        enum wr_form form = answer(days, way, k);
        if (wr_days_begin_is_known(days, k)) {
            if (days->now->state[k] != WR_NOW_RUNNING) continue;
            if (days->form[k] == WR_FORM_LOG) walk_running_log(a, days, way, k);
            else walk_running(a, days, way, k);
            continue;
        }
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            end[n_before] = ROW(a->end_min, net->pred[j]);
            end_rate[n_before++] = ROW(a->end_rate, net->pred[j]);
        }
        struct wr_push_row row = {.end_min = end,
                                  .end_rate = end_rate,
                                  .n_before = n_before,
                                  .floor_min = days->floor_min[k],
                                  .held_min = k == a->held ? a->held_min : NULL,
                                  .drop_after_min = k == a->kept ? INFINITY : days->drop_after_min[k],
                                  .given = form == WR_FORM_FIXED || form == WR_FORM_BENT || paced,
                                  .factor = paced ? a->pace : NULL,
                                  .minutes = a->minutes_row[k],
                                  .rate = a->rate_row[k],
                                  .delta = a->delta,
                                  .start_min = ROW(a->start_min, k),
                                  .start_rate = ROW(a->start_rate, k),
                                  .end = ROW(a->end_min, k),
                                  .rate_at_end = ROW(a->end_rate, k),
                                  .dropped = ROW(a->dropped, k)};
        if (form == WR_FORM_BENT) bend(a, days, way, k, &row);
        a->push(&row);
        for (size_t j = 0; j < WR_ABREAST && days->now; j++)
            wr_days_pin_past(days, k, &row.start_min[j], &row.start_rate[j], &row.end[j], &row.rate_at_end[j]);
    }
}

void wr_abreast_outcomes(const struct wr_abreast *a, const struct wr_network *net, const struct wr_sim_limit *limit,
                         double out[WR_ABREAST], double rate[WR_ABREAST])
{
    if (limit->is_clock) {
        const double *end = ROW(a->end_min, limit->to), *start = ROW(a->start_min, limit->from);
        const double *end_rate = ROW(a->end_rate, limit->to), *start_rate = ROW(a->start_rate, limit->from);
        for (size_t i = 0; i < WR_ABREAST; i++) out[i] = end[i] - start[i];
        for (size_t i = 0; i < WR_ABREAST; i++) rate[i] = end_rate[i] - start_rate[i];
        return;
    }
    for (size_t i = 0; i < WR_ABREAST; i++) out[i] = rate[i] = 0;
    for (size_t l = 0; l < net->n_lane; l++) { /* of lanes that end together the first one's rate */
        size_t last = net->lane_last[l];
        if (!(limit->lanes >> l & 1) || last == SIZE_MAX) continue;
        const double *end = ROW(a->end_min, last), *end_rate = ROW(a->end_rate, last);
        for (size_t i = 0; i < WR_ABREAST; i++) {
            rate[i] = end[i] > out[i] ? end_rate[i] : rate[i];
            out[i] = end[i] > out[i] ? end[i] : out[i];
        }
    }
}

/* ---- all days as they are ---- */

void wr_abreast_each_lot(const struct wr_days *days, wr_abreast_see_fn *see, void *arg)
{
    WR_RELEASED_BY(wr_abreast_release) struct wr_abreast a = {0};

    wr_abreast_init(&a, days->n_task);
    for (size_t i = 0; i < days->n_trial; i += a.n) {
        wr_abreast_take(&a, i, days->n_trial);
        wr_abreast_load(&a, days, NULL, days->net->order, days->n_task);
        wr_abreast_walk(&a, days, NULL, days->net->order, days->n_task);
        see(&a, arg);
    }
}

static void keep_rows(struct wr_days *days, const struct wr_abreast *a, size_t first)
{
    for (size_t k = 0; k < days->n_task; k++) {
        size_t at = k * days->n_trial + first;
        memcpy(days->start_min + at, ROW(a->start_min, k), a->n * sizeof(double));
        memcpy(days->end_min + at, ROW(a->end_min, k), a->n * sizeof(double));
        memcpy(days->start_rate + at, ROW(a->start_rate, k), a->n * sizeof(double));
    }
}

void wr_days_walk_all(struct wr_days *days)
{
    const size_t n = days->n_task;
    WR_RELEASED_BY(wr_abreast_release) struct wr_abreast a = {0};
    WR_RELEASED_BY(wr_way_release) struct wr_way up = {0};

    days->start_min = wr_alloc(n, days->n_trial * sizeof(double));
    days->end_min = wr_alloc(n, days->n_trial * sizeof(double));
    days->start_rate = wr_alloc(n, days->n_trial * sizeof(double));
    days->weight = WR_NEW_ARRAY(double, days->n_trial);
    wr_way_init(&up, days);
    up.run = 1;
    for (size_t k = 0; k < n; k++) up.task[k] = 1;
    wr_way_find_rates(&up, days);
    wr_abreast_init(&a, n);
    for (size_t i = 0; i < days->n_trial; i += a.n) {
        wr_abreast_take(&a, i, days->n_trial);
        wr_abreast_load(&a, days, &up, days->net->order, n);
        wr_abreast_walk(&a, days, &up, days->net->order, n);
        keep_rows(days, &a, i);
    }
    for (size_t i = 0; i < days->n_trial; i++) days->weight[i] = exp(wr_days_log_weight(days, NULL, i, 0));
}
