#include "wetrun/decide/cutoff.h"

#include <math.h>
#include "cutoff_parts.h"
#include "inside_curve.h"
#include "weighed.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/enough_trials.h"
#include "wetrun/decide/update.h"

/* Starts later than on 999 of 1000 days rest on the few draws that may come to that, and scatter by half an hour: the
 * last one that the days show stands for them, until which at least it is inside. Where the parameters are known all
 * days count as far out as is asked. */
static void heed_few_late_days(const struct wr_given *g, struct wr_cutoff_row *row)
{
    const double last = 1 - WR_CUTOFF_LEAST_SHARE, JUST_ABOVE = 1e-9;
    size_t n = g->days->n_trial;
    double sum = 0, squares = 0;

    if (row->method == WR_CUTOFF_IMPOSED || row->drop_rule_first || row->share_in_time <= last ||
        g->days->n_draw == 1)
        return;
    WR_SCOPED struct wr_weighed *start = WR_NEW_ARRAY(struct wr_weighed, n);
    for (size_t i = 0; i < n; i++) {
        start[i] = (struct wr_weighed){g->start_min[i], g->weight[i]};
        sum += g->weight[i];
        squares += g->weight[i] * g->weight[i];
    }
    wr_weighed_sort(start, n);
    double error = sqrt(last * (1 - last) * squares) / sum; /* of the share */
    row->latest_start_min = wr_weighed_quantile(start, n, last + JUST_ABOVE); /* no start that is left is later */
    row->mc_error_min = 0.5 * (wr_weighed_quantile(start, n, fmin(1, last + error)) -
                               wr_weighed_quantile(start, n, last - error));
    row->slack_min = row->latest_start_min - row->typical_start_min;
    row->share_in_time = last;
    row->beyond_range = true;
    row->has_second_window = false;
}

/* No start is left where hardly a day makes it: what such a start would bring rests on a handful of days in the tail,
 * and nobody can go by it. A hold from outside, or a walk of fixed times, pushes no day. */
static void heed_reach(struct wr_cutoff_row *row)
{
    if (row->method == WR_CUTOFF_IMPOSED || row->drop_rule_first || row->share_in_time >= WR_CUTOFF_LEAST_SHARE) return;
    row->reason = WR_CUTOFF_NEVER;
    row->beyond_range = false;
    row->latest_start_min = row->mc_error_min = row->slack_min = row->share_in_time = 0;
}

/* A time that is rough errs early: it is no later than a little after the last that is inside beyond chance, though no
 * earlier than the usual start, where it is inside. What is said to hold "at least" until then is beyond chance, too,
 * and no rough time itself.
 * The plan's own drop time stays, and so does what is known of given parameters. */
static void put_early(const struct wr_given *g, struct wr_cutoff_row *row)
{
    const double estimate = row->latest_start_min, usual = fmin(row->typical_start_min, estimate);
    const double by = fmin(estimate, row->sure_min + WR_CUTOFF_ROUGH_MIN), few = row->mc_error_min;

    if (row->method == WR_CUTOFF_IMPOSED || row->drop_rule_first || g->days->n_draw == 1) return;
    if (by < estimate) row->mc_error_min = fmax(few, (estimate - row->sure_min) / WR_CUTOFF_SURE_ERRORS);
    row->beyond_range &= row->sure_min >= estimate && few <= WR_CUTOFF_ROUGH_MIN;
    row->latest_start_min = fmax(by, usual);
    row->early_min = estimate - row->latest_start_min;
}

static double share_in_time(const struct wr_given *g, double by_min)
{
    double sum = 0, in_time = 0;

    for (size_t i = 0; i < g->days->n_trial; i++) {
        sum += g->weight[i];
        if (g->start_min[i] <= by_min + 1e-9) in_time += g->weight[i];
    }
    return in_time / sum;
}

static void finish_row(const struct wr_given *g, struct wr_cutoff_row *row)
{
    double rule = wr_given_own_rule(g);

    row->usually_dropped = row->typical_start_min > rule;
    if (row->reason != WR_CUTOFF_FOUND) {
        row->latest_start_min = row->mc_error_min = 0;
        return;
    }
    if (row->latest_start_min >= rule) {
        row->drop_rule_first = true;
        row->has_second_window = row->beyond_range = false;
        row->latest_start_min = rule;
    }
    row->slack_min = row->latest_start_min - row->typical_start_min;
    row->share_in_time = share_in_time(g, row->latest_start_min);
    heed_reach(row);
    if (row->reason != WR_CUTOFF_FOUND) return;
    heed_few_late_days(g, row);
    put_early(g, row);
    if (!(row->early_min > 0)) return;
    row->slack_min = row->latest_start_min - row->typical_start_min;
    row->share_in_time = share_in_time(g, row->latest_start_min);
}

static bool has_begun(const struct wr_now_state *now, size_t task)
{
    return now && wr_now_has_begun(now, task);
}

/* A latest start that has passed is none, nor is what has passed of a later window. */
static void heed_now(const struct wr_days *days, const struct wr_cutoff_limit *limit, struct wr_cutoff_row *row)
{
    const struct wr_now_state *now = days->now;
    double from = 0; /* of the clock that is read */

    if (row->reason == WR_CUTOFF_NOT_BEFORE_LIMIT) return;
    if (wr_now_is_past_rule(now, row->task, days->net->drop_after_min[row->task])) {
        row->reason = WR_CUTOFF_DROPPED;
        row->has_second_window = false;
        return;
    }
    if (wr_now_lacks(now, &limit->limit)) {
        row->reason = WR_CUTOFF_NO_CLOCK;
        return;
    }
    if (limit->limit.is_clock) {
        if (now->state[limit->limit.from] != WR_NOW_RUNNING && now->state[limit->limit.from] != WR_NOW_DONE) return;
        from = now->begin_min[limit->limit.from];
    }
    if (now->state[row->task] == WR_NOW_UNREPORTED && from + row->typical_start_min < now->now_min)
        row->reason = WR_CUTOFF_UNREPORTED;
    else if (row->reason == WR_CUTOFF_FOUND && from + row->latest_start_min < now->now_min)
        row->reason = WR_CUTOFF_NEVER;
    row->second_from_min = fmax(row->second_from_min, now->now_min - from);
    row->has_second_window &= row->second_from_min < row->second_to_min;
}

static void make_row(struct wr_inside_curve *curve, const struct wr_cutoff_limit *limit, bool imposed,
                     struct wr_cutoff_row *row)
{
    struct wr_given *g = curve->given;

    wr_given_ask(g, &limit->limit);
    row->typical_start_min = g->law.typical_min;
    row->sure_min = INFINITY;
    row->beside_clock = wr_given_end(g)->beside;
    if (!wr_given_end(g)->upstream) row->reason = WR_CUTOFF_NOT_BEFORE_LIMIT;
    else if (imposed || g->law.n_moves == 0) wr_cutoff_imposed(g, limit->confidence, row);
    else wr_cutoff_given(curve, limit->confidence, row);
    if (g->days->now) heed_now(g->days, limit, row);
    finish_row(g, row);
}

struct job {
    const struct wr_days *days;
    const struct wr_cutoff_options *options;
    struct wr_cutoff_card *card;
};

static bool start_means_the_same(const struct wr_sim_limit *a, const struct wr_sim_limit *b)
{
    return a->is_clock == b->is_clock && (!a->is_clock || (a->from == b->from && a->to == b->to));
}

/* One task, the limit `first` and those after it for which a start means the same. */
static void make_rows(const struct job *job, size_t r, size_t first, unsigned char *done)
{
    struct wr_cutoff_list *list = job->card->list;
    WR_SCOPED const struct wr_sim_limit **limit = WR_NEW_ARRAY(const struct wr_sim_limit *, job->card->n_limit);
    size_t n = 0;
    WR_RELEASED_BY(wr_given_release) struct wr_given given = {0};
    WR_RELEASED_BY(wr_inside_curve_release) struct wr_inside_curve curve = {0};

    for (size_t l = first; l < job->card->n_limit; l++) {
        if (!start_means_the_same(&list[l].limit.limit, &list[first].limit.limit)) continue;
        limit[n++] = &list[l].limit.limit;
        done[l] = 1;
    }
    wr_given_init(&given, job->days, limit, n, list->row[r].task);
    wr_cutoff_curve_init(&curve, &given);
    for (size_t l = first; l < job->card->n_limit; l++) {
        if (!start_means_the_same(&list[l].limit.limit, &list[first].limit.limit)) continue;
        make_row(&curve, &list[l].limit, job->options->imposed, &list[l].row[r]);
    }
}

/* One task, all limits: by turns one from either end, since the last take longest, and no thread is to be left alone
 * with them. */
static void make_rows_of_task(void *arg, size_t turn)
{
    struct job *job = arg;
    size_t n_limit = job->card->n_limit, r = turn % 2 ? turn / 2 : job->card->n_row - 1 - turn / 2;
    WR_SCOPED unsigned char *done = WR_NEW_ARRAY(unsigned char, n_limit);

    for (size_t l = 0; l < n_limit; l++) {
        if (has_begun(job->days->now, job->card->list[l].row[r].task))
            job->card->list[l].row[r].reason = WR_CUTOFF_BEGUN;
        else if (!done[l]) make_rows(job, r, l, done);
    }
}

static double needed_min(const struct wr_days *days, const struct wr_cutoff_limit *limit)
{
    WR_SCOPED struct wr_weighed *item = WR_NEW_ARRAY(struct wr_weighed, days->n_trial);

    for (size_t i = 0; i < days->n_trial; i++)
        item[i] = (struct wr_weighed){wr_days_outcome(days, &limit->limit, i), days->weight[i]};
    wr_weighed_sort(item, days->n_trial);
    return wr_weighed_quantile(item, days->n_trial, limit->confidence);
}

static void count_over(const struct wr_days *days, struct wr_cutoff_card *card, size_t n_beside)
{
    double total = 0, any = 0;

    for (size_t i = 0; i < days->n_trial; i++) {
        bool passed = false;
        for (size_t l = 0; l < card->n_limit; l++) {
            const struct wr_sim_limit *limit = &card->list[l].limit.limit;
            if (wr_days_outcome(days, limit, i) <= limit->minutes) continue;
            card->list[l].prob_over += days->weight[i];
            passed |= l < card->n_limit - n_beside && !wr_now_lacks(days->now, limit);
        }
        total += days->weight[i];
        if (passed) any += days->weight[i];
    }
    for (size_t l = 0; l < card->n_limit; l++) {
        card->list[l].prob_over /= total;
        card->list[l].needed_min = needed_min(days, &card->list[l].limit);
    }
    card->prob_any_over = any / total;
}

static enum wr_status check_limits(const struct wr_network *net, const struct wr_cutoff_limit *limit, size_t n,
                                   size_t n_trial, struct wr_error *err)
{
    for (size_t l = 0; l < n; l++) {
        if (!(limit[l].confidence > 0 && limit[l].confidence < 1))
            return wr_fail(err, WR_E_DOMAIN, "the wanted confidence must lie between 0 and 1, not at %g",
                           limit[l].confidence);
        enum wr_status status = wr_enough_trials("a cut-off", n_trial, limit[l].confidence, err);
        if (status) return status;
        if (!(limit[l].limit.minutes > 0) || isinf(limit[l].limit.minutes))
            return wr_fail(err, WR_E_DOMAIN, "a limit must be a positive number of minutes, not %g",
                           limit[l].limit.minutes);
        WR_BUG_IF(limit[l].limit.is_clock && (limit[l].limit.from >= net->n_task || limit[l].limit.to >= net->n_task));
    }
    return WR_OK;
}

/* The one task that waits for nothing, or SIZE_MAX. */
static size_t only_start(const struct wr_network *net)
{
    size_t only = SIZE_MAX, n = 0;

    for (size_t k = 0; k < net->n_task; k++) {
        if (net->pred_first[k + 1] > net->pred_first[k]) continue;
        only = k;
        n++;
    }
    return n == 1 && net->not_before_min[only] <= 0 ? only : SIZE_MAX;
}

static bool has_fixed_start(const struct wr_days *days, size_t task)
{
    WR_SCOPED unsigned char *before = WR_NEW_ARRAY(unsigned char, days->n_task);

    wr_network_mark_before(days->net, task, before);
    for (size_t k = 0; k < days->n_task; k++)
        if (before[k] && k != task && days->form[k] != WR_FORM_FIXED) return false;
    return true;
}

/* ---- what comes next ---- */

static double usual_min(const struct wr_days *days, size_t task)
{
    WR_SCOPED struct wr_weighed *item = WR_NEW_ARRAY(struct wr_weighed, days->n_trial);

    for (size_t i = 0; i < days->n_trial; i++) {
        size_t at = task * days->n_trial + i;
        item[i] = (struct wr_weighed){days->end_min[at] - days->start_min[at], days->weight[i]};
    }
    wr_weighed_sort(item, days->n_trial);
    return wr_weighed_quantile(item, days->n_trial, 0.5);
}

static bool waits_directly(const struct wr_network *net, size_t task, size_t before)
{
    for (size_t j = net->pred_first[task]; j < net->pred_first[task + 1]; j++)
        if (net->pred[j] == before) return true;
    return false;
}

static bool is_imposed(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND && row->method == WR_CUTOFF_IMPOSED;
}

/* A start that was imposed is no later than leaves those that wait for it and whose lateness tells their time, nor
 * earlier than it is anyway. row, tells: of every task; false: it is left as it is. */
static bool heed_next(const struct wr_days *days, const struct wr_cutoff_row *row, const unsigned char *tells,
                      struct wr_cutoff_row *mine)
{
    double by = INFINITY, own = usual_min(days, mine->task), error = 0;

    for (size_t k = 0; k < days->n_task; k++) {
        if (!tells[k] || row[k].drop_rule_first || !waits_directly(days->net, k, mine->task)) continue;
        if (row[k].reason == WR_CUTOFF_NEVER && !row[k].usually_dropped) by = -INFINITY;
        if (row[k].reason != WR_CUTOFF_FOUND || row[k].latest_start_min - own >= by) continue;
        by = row[k].latest_start_min - own;
        error = row[k].mc_error_min;
    }
    by = fmax(by, mine->typical_start_min);
    if (mine->latest_start_min <= by) return false;
    mine->latest_start_min = by;
    mine->mc_error_min = error;
    mine->early_min = 0;
    mine->slack_min = by - mine->typical_start_min;
    mine->drop_rule_first = mine->has_second_window = mine->beyond_range = false;
    return true;
}

/* From the last task to the first, so that each finds those after it settled. */
static void heed_what_follows(const struct wr_days *days, struct wr_cutoff_list *list)
{
    WR_SCOPED unsigned char *tells = WR_NEW_ARRAY(unsigned char, days->n_task);

    for (size_t i = days->n_task; i-- > 0;) {
        size_t k = days->net->order[i];
        struct wr_cutoff_row *row = &list->row[k];
        tells[k] = is_imposed(row) ? heed_next(days, list->row, tells, row) : row->method != WR_CUTOFF_IMPOSED;
    }
}

static bool has_imposed(const struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++)
        for (size_t r = 0; r < card->n_row; r++)
            if (is_imposed(&card->list[l].row[r])) return true;
    return false;
}

/* What follows is known of a card of all tasks alone. */
static enum wr_status heed_on_card(struct wr_cutoff_card *card, const struct wr_days *days,
                                   const struct wr_cutoff_limit *limit, const struct wr_cutoff_options *options,
                                   struct wr_error *err)
{
    struct wr_cutoff_options every = {.now = options->now, .n_thread = options->n_thread};
    WR_RELEASED_BY(wr_cutoff_release) struct wr_cutoff_card whole = {0};

    if (options->imposed || !has_imposed(card)) return WR_OK;
    if (!options->task) {
        for (size_t l = 0; l < card->n_limit; l++) heed_what_follows(days, &card->list[l]);
        return WR_OK;
    }
    enum wr_status status = wr_cutoff_of_days(&whole, days, limit, card->n_limit, &every, err);
    for (size_t l = 0; l < whole.n_limit; l++)
        for (size_t r = 0; r < card->n_row; r++)
            card->list[l].row[r] = whole.list[l].row[card->list[l].row[r].task];
    return status;
}

enum wr_status wr_cutoff_of_days(struct wr_cutoff_card *card, const struct wr_days *days,
                                 const struct wr_cutoff_limit *limit, size_t n_limit,
                                 const struct wr_cutoff_options *options, struct wr_error *err)
{
    size_t start = only_start(days->net);
    enum wr_status status = check_limits(days->net, limit, n_limit, days->n_trial, err);

    if (status != WR_OK) return status;
    *card = (struct wr_cutoff_card){.n_trial = days->n_trial, .n_limit = n_limit,
                                    .n_row = options->task ? options->n_task : days->n_task};
    card->list = WR_NEW_ARRAY(struct wr_cutoff_list, n_limit);
    for (size_t l = 0; l < n_limit; l++) {
        card->list[l].limit = limit[l];
        card->list[l].row = WR_NEW_ARRAY(struct wr_cutoff_row, card->n_row);
        for (size_t r = 0; r < card->n_row; r++) {
            struct wr_cutoff_row *row = &card->list[l].row[r];
            row->task = options->task ? options->task[r] : r;
            row->is_start = row->task == start && !limit[l].limit.is_clock && !days->now;
            row->start_is_fixed = !limit[l].limit.is_clock && !days->now && has_fixed_start(days, row->task);
        }
    }
    struct job job = {days, options, card};
    if (n_limit > 0) /* every task takes much the same */
        wr_parallel_for_told(card->n_row, options->n_thread, make_rows_of_task, &job, options->progress,
                             options->progress_arg);
    count_over(days, card, options->n_beside);
    return heed_on_card(card, days, limit, options, err);
}

enum wr_status wr_cutoff_make(struct wr_cutoff_card *card, const struct wr_basis *basis,
                              const struct wr_scenarios *scenarios, const struct wr_cutoff_limit *limit, size_t n_limit,
                              const struct wr_cutoff_options *options, struct wr_error *err)
{
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};
    enum wr_status status = check_limits(basis->net, limit, n_limit, scenarios->n_trial, err);

    if (status != WR_OK) return status;
    wr_days_make(&days, basis->net, basis->durations, scenarios, options->now);
    wr_days_walk_all(&days);
    return wr_cutoff_of_days(card, &days, limit, n_limit, options, err);
}

void wr_cutoff_release(struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++) wr_free(card->list[l].row);
    wr_free(card->list);
    *card = (struct wr_cutoff_card){0};
}

enum wr_status wr_cutoff_curve(double *prob_inside, double *effective, const double *start_min, size_t n, size_t task,
                               const struct wr_network *net, const struct wr_durations *durations,
                               const struct wr_scenarios *scenarios, const struct wr_cutoff_limit *limit,
                               const struct wr_cutoff_options *options, struct wr_error *err)
{
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};
    const struct wr_sim_limit *asked = &limit->limit;
    WR_RELEASED_BY(wr_given_release) struct wr_given given = {0};
    struct wr_tally tally;
    double last = 1;
    enum wr_status status = check_limits(net, limit, 1, scenarios->n_trial, err);

    if (status != WR_OK) return status;
    wr_days_make(&days, net, durations, scenarios, options->now);
    wr_days_walk_all(&days);
    wr_given_init(&given, &days, &asked, 1, task);
    bool imposed = options->imposed || given.law.n_moves == 0 || has_begun(options->now, task);
    WR_RELEASED_BY(wr_inside_curve_release) struct wr_inside_curve curve = {0};
    wr_inside_curve_init(&curve, &given, log(given.law.typical_min), fmax(given.law.log_sd, 1e-4));
    for (size_t i = 0; i < n; i++) {
        double share = imposed ? wr_share_inside_held(&given, start_min[i], days.n_trial)
                               : wr_inside_curve_at(&curve, log(start_min[i]), days.n_trial, &tally);
        double counted = imposed ? (double)days.n_trial : wr_tally_effective(&tally);
        if (counted > 0) last = share;
        prob_inside[i] = last;
        if (effective) effective[i] = counted;
    }
    return WR_OK;
}
