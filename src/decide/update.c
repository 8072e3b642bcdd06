#include "wetrun/decide/update.h"

#include <math.h>
#include <string.h>
#include "cutoff_parts.h"
#include "days.h"
#include "now_parts.h"
#include "overrun.h"
#include "variant_days.h"
#include "weighed.h"
#include "wetrun/base/memory.h"
#include "wetrun/model/model_table.h"
#include "wetrun/stats/quantile.h"

/* Of a day that is waited for: half of what a card takes beforehand, the error of a begin-by well below a minute as a
 * rule. */
enum { TRIALS = 6000, LEAST_TRIALS = 20 };

/* ---- the refit ---- */

static size_t people_of(const struct wr_durations *d, size_t task, unsigned person[])
{
    size_t n = 0;

    for (size_t l = 0; l < d->n_lane && d->n_line_up == 1; l++)
        if ((d->lanes[task] >> l & 1) && d->line_up[l] >= 0) person[n++] = (unsigned)d->line_up[l];
    return n;
}

/* The excursion's cells into the last run of the table, at pool pace; returns how many. */
static size_t add_cells(struct wr_model_table *table, const struct wr_plan *plan, const struct wr_model_fit *fit,
                        const struct wr_carry_over *carry_over, const struct wr_durations *d,
                        const struct wr_now_state *s)
{
    size_t run = table->data.n_run - 1, n = 0;
    unsigned person[WR_MAX_LANES];

    for (size_t k = 0; k < plan->n_task; k++) {
        bool running = s->state[k] == WR_NOW_RUNNING, done = s->state[k] == WR_NOW_DONE && s->time_known[k];
        double minutes = wr_now_modelled_min(s, k);
        if (fit->model_task[k] == SIZE_MAX || !(running || done) || !(wr_now_active_min(s, k) > 0)) continue;
        if (carry_over) minutes /= exp(wr_carry_over_mean_log(carry_over, plan->task[k].kind));
        wr_model_table_set_cell(table, fit->model_task[k], run, running ? WR_OBS_STOPPED : WR_OBS_DONE, minutes, person,
                                people_of(d, k, person));
        n++;
    }
    return n;
}

static enum wr_status refit_durations(struct wr_update *u, const struct wr_basis *basis, struct wr_error *err)
{
    const struct wr_fit_options *options = basis->fit_options;
    const struct wr_model_fit *fit = basis->fit;
    const struct wr_carry_over *carry_over = options->target == WR_FOR_EXCURSION ? basis->carry_over : NULL;
    struct wr_model_table table = {0};
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit again = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0}; /* said of the forecast before the day */
    bool held = options->target == WR_FOR_EXCURSION || options->hold_learning;
    double order = held && fit->last_order > 0 ? fit->last_order : fit->target_order;
    enum wr_status status;

    wr_model_table_add_run(&table, &fit->data, order, fit->target_order);
    size_t n_cell = add_cells(&table, basis->plan, fit, carry_over, basis->durations, &u->state);
    if (n_cell == 0 || options->model == WR_MODEL_ALONE) { /* nothing to learn for the parameters */
        wr_model_table_release(&table);
        return wr_durations_build(&u->durations, basis->plan, basis->net, basis->timing, fit, carry_over, options,
                                  &unused, err);
    }
    status = wr_model_refit(&again, fit, &table, options, err);
    if (status != WR_OK) return status;
    return wr_durations_build(&u->durations, basis->plan, basis->net, basis->timing, &again, carry_over, options,
                              &unused, err);
}

/* ---- what the days say ---- */

/* finish[n_trial]: the end of the last task. */
static void find_finishes(const struct wr_days *days, double *finish)
{
    for (size_t i = 0; i < days->n_trial; i++) finish[i] = 0;
    for (size_t k = 0; k < days->n_task; k++)
        for (size_t i = 0; i < days->n_trial; i++) finish[i] = fmax(finish[i], days->end_min[k * days->n_trial + i]);
}

static void describe_finish(struct wr_update *u, const struct wr_days *days)
{
    size_t n = days->n_trial;
    WR_SCOPED struct wr_weighed *item = WR_NEW_ARRAY(struct wr_weighed, n);
    double *finish = WR_NEW_ARRAY(double, n), sum = 0, squares = 0, variance = 0;

    find_finishes(days, finish);
    for (size_t i = 0; i < n; i++) {
        item[i] = (struct wr_weighed){finish[i], days->weight[i]};
        sum += days->weight[i];
        squares += days->weight[i] * days->weight[i];
        u->mean_min += days->weight[i] * finish[i];
    }
    u->effective = sum > 0 && squares > 0 ? sum * sum / squares : 0; /* a moment that no day can meet */
    u->mean_min /= sum;
    for (size_t i = 0; i < n; i++)
        variance += days->weight[i] / sum * (finish[i] - u->mean_min) * (finish[i] - u->mean_min);
    u->sd_min = sqrt(variance);
    wr_weighed_sort(item, n);
    for (size_t i = 0; i < WR_N_QUANTILE; i++) u->quantile_min[i] = wr_weighed_quantile(item, n, wr_quantile_prob[i]);
    for (size_t i = 0; i < WR_N_LENS; i++) u->lens_min[i] = wr_weighed_quantile(item, n, wr_lens_prob[i]);
    for (size_t i = 0; i < n; i++) item[i] = (struct wr_weighed){exp(u->scenarios.b[i]), days->weight[i]};
    wr_weighed_sort(item, n);
    u->rest_factor = wr_weighed_quantile(item, n, 0.5);
    u->rest_factor_lo = wr_weighed_quantile(item, n, 0.05);
    u->rest_factor_hi = wr_weighed_quantile(item, n, 0.95);
    wr_free(finish);
}

/* ---- what leaving work out would bring ---- */

static bool may_be_left_out(const struct wr_update *u, const struct wr_network *net, size_t task)
{
    return isfinite(net->drop_after_min[task]) &&
           !wr_now_is_past_rule(&u->state, task, net->drop_after_min[task]) &&
           (u->state.state[task] == WR_NOW_AHEAD || u->state.state[task] == WR_NOW_UNREPORTED);
}

static bool is_over(const struct wr_days *days, const struct wr_cutoff_limit *limit, size_t n_limit, size_t l, size_t i)
{
    bool any = false;

    if (l < n_limit) return wr_days_outcome(days, &limit[l].limit, i) > limit[l].limit.minutes;
    for (size_t of = 0; of < n_limit; of++)
        any = any || (!wr_now_lacks(days->now, &limit[of].limit) && is_over(days, limit, n_limit, of, i));
    return any;
}

static void price_drop(struct wr_update *u, size_t task, const struct wr_days *days,
                       const struct wr_cutoff_limit *limit, size_t n_limit)
{
    struct wr_now_drop *drop = &u->drop[u->n_drop++];
    WR_SCOPED unsigned char *left_out = WR_NEW_ARRAY(unsigned char, days->n_task);
    WR_RELEASED_BY(wr_days_release) struct wr_days without = {0};

    *drop = (struct wr_now_drop){.task = task, .over = WR_NEW_ARRAY(double, n_limit + 1)};
    left_out[task] = 1;
    wr_days_again(&without, days);
    wr_days_change(&without, &(struct wr_variant){.drop = left_out});
    wr_days_walk_all(&without);
    double sum = 0;
    for (size_t i = 0; i < days->n_trial; i++) {
        sum += days->weight[i];
        if (days->start_min[task * days->n_trial + i] > days->drop_after_min[task]) drop->dropped += days->weight[i];
    }
    drop->dropped /= sum;
    for (size_t l = 0; l <= n_limit; l++) {
        double fewer = 0;
        for (size_t i = 0; i < days->n_trial; i++)
            fewer += days->weight[i] * (is_over(days, limit, n_limit, l, i) - is_over(&without, limit, n_limit, l, i));
        drop->over[l] = fmin(fmax(u->over[l].mean - fewer / sum, 0), 1);
    }
}

static void price_drops(struct wr_update *u, const struct wr_days *days, const struct wr_cutoff_limit *limit,
                        size_t n_limit)
{
    u->drop = WR_NEW_ARRAY(struct wr_now_drop, days->n_task);
    for (size_t k = 0; k < days->n_task; k++)
        if (may_be_left_out(u, days->net, k)) price_drop(u, k, days, limit, n_limit);
}

static void make_facts(struct wr_update *u, const struct wr_network *net, const struct wr_cutoff_limit *limit,
                       size_t n_limit)
{
    u->n_limit = n_limit;
    u->over = WR_NEW_ARRAY(struct wr_probability, n_limit + 1);
    u->over_before = WR_NEW_ARRAY(struct wr_maybe, n_limit);
    u->fact = WR_NEW_ARRAY(struct wr_now_fact, n_limit);
    for (size_t l = 0; l < n_limit; l++) u->fact[l] = wr_now_fact_of(&u->state, net, &limit[l].limit);
}

static void describe_limits(struct wr_update *u, const struct wr_days *days, bool known,
                            const struct wr_cutoff_limit *limit, size_t n_limit,
                            const struct wr_update_options *options)
{
    make_facts(u, days->net, limit, n_limit);
    wr_overrun_of_days(u->over, days, &u->durations, known, limit, n_limit, options->seed, options->n_thread);
    u->any_over = u->over[n_limit];
}

enum { SILENCE_MIN = 10 }; /* ours, no source */

static void find_silent(struct wr_update *u, const struct wr_network *net)
{
    const struct wr_now_state *s = &u->state;

    u->silent = WR_NEW_ARRAY(struct wr_now_silent, net->n_task);
    for (size_t i = 0; i < net->n_task; i++) {
        size_t k = net->order[i];
        double ready = net->not_before_min[k];
        bool waits = false;
        for (size_t j = net->pred_first[k]; j < net->pred_first[k + 1]; j++) {
            size_t p = net->pred[j];
            waits |= s->state[p] != WR_NOW_DONE && s->state[p] != WR_NOW_PAST;
            ready = fmax(ready, s->end_min[p]);
        }
        if (s->state[k] == WR_NOW_AHEAD && !waits && !wr_now_is_past_rule(s, k, net->drop_after_min[k]) &&
            s->now_min > ready + SILENCE_MIN)
            u->silent[u->n_silent++] = (struct wr_now_silent){k, ready};
    }
}

static void count_states(struct wr_update *u)
{
    const struct wr_now_state *s = &u->state;

    for (size_t k = 0; k < s->n_task; k++) {
        u->n_dropped += s->rule[k] != WR_NOW_KEPT;
        u->n_done += (s->state[k] == WR_NOW_DONE || s->state[k] == WR_NOW_PAST) && s->rule[k] == WR_NOW_KEPT;
        u->n_timed += wr_now_is_timed(s, k);
        u->n_running += s->state[k] == WR_NOW_RUNNING;
        u->n_unreported += s->state[k] == WR_NOW_UNREPORTED;
        u->n_gap += s->gap[k] != WR_NOW_NO_GAP;
        u->hold_min += s->hold_min[k];
    }
}

static bool are_numbers(const double *value, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(value[i])) return false;
    return true;
}

static bool is_probability(const struct wr_probability *p)
{
    const double said[] = {p->mean, p->lo, p->hi, p->mc_error, p->lo_mc_error, p->hi_mc_error};

    return are_numbers(said, sizeof said / sizeof *said) && p->mean >= 0 && p->mean <= 1;
}

static bool are_rows_numbers(const struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++) {
        if (!isfinite(card->list[l].prob_over) || !isfinite(card->list[l].needed_min)) return false;
        for (size_t r = 0; r < card->n_row; r++) {
            const struct wr_cutoff_row *row = &card->list[l].row[r];
            const double said[] = {row->typical_start_min, row->prob_inside_at_typical, row->latest_start_min,
                                   row->slack_min,         row->share_in_time,          row->mc_error_min,
                                   row->second_from_min,   row->second_to_min,           row->early_min};
            if (!are_numbers(said, sizeof said / sizeof *said)) return false;
        }
    }
    return true;
}

/* False: something of the answer is no number, so that it cannot be given. */
static bool says_numbers(const struct wr_update *u)
{
    const double said[] = {u->effective,   u->effective_draws, u->seen_factor, u->rest_factor,
                           u->rest_factor_lo, u->rest_factor_hi,  u->mean_min,    u->sd_min};
    bool numbers = are_numbers(said, sizeof said / sizeof *said) && are_numbers(u->quantile_min, WR_N_QUANTILE) &&
                   are_numbers(u->lens_min, WR_N_LENS) && is_probability(&u->any_over) && are_rows_numbers(&u->card);

    for (size_t l = 0; l < u->n_limit; l++) numbers = numbers && is_probability(&u->over[l]);
    for (size_t i = 0; i < u->n_drop; i++)
        numbers = numbers && isfinite(u->drop[i].dropped) && are_numbers(u->drop[i].over, u->n_limit + 1);
    return numbers;
}

void wr_update_check(const struct wr_update *u)
{
    WR_BUG_IF(!says_numbers(u));
    WR_BUG_IF(!are_numbers(u->before_quantile_min, WR_N_QUANTILE));
    for (size_t l = 0; l < u->n_limit; l++) WR_BUG_IF(u->over_before[l].known && !isfinite(u->over_before[l].value));
}

/* card_options NULL: the limits alone, no work left out and no card. */
static enum wr_status answer_limits(struct wr_update *u, const struct wr_network *net,
                                    const struct wr_cutoff_limit *limit, size_t n_limit,
                                    const struct wr_update_options *options,
                                    const struct wr_cutoff_options *card_options, struct wr_error *err)
{
    bool known = wr_durations_are_known(&u->durations);
    enum wr_status status = wr_now_condition(&u->durations, &u->state, net, options->seed, options->n_thread,
                                             &u->effective_draws, err);

    if (status != WR_OK) return status;
    count_states(u);
    find_silent(u, net);
    u->seen_factor = 1;
    wr_scenarios_make(&u->scenarios, &u->durations, options->n_trial ? options->n_trial : TRIALS, options->seed,
                      options->n_thread);
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};
    wr_days_make(&days, net, &u->durations, &u->scenarios, &u->state);
    wr_days_walk_all(&days);
    describe_finish(u, &days);
    if (!(u->effective >= LEAST_TRIALS))
        return wr_fail(err, WR_E_TOO_FEW,
                       "only %.0f of %zu simulated days agree with what was reported: name more tasks with "
                       "begin and end",
                       u->effective, u->scenarios.n_trial);
    describe_limits(u, &days, known, limit, n_limit, options);
    if (card_options) {
        price_drops(u, &days, limit, n_limit);
        status = wr_cutoff_of_days(&u->card, &days, limit, n_limit, card_options, err);
    }
    if (status != WR_OK || says_numbers(u)) return status;
    return wr_fail(err, WR_E_TOO_FEW,
                   "what was reported is so unlike the rehearsals that nothing can be said of the rest of the day: "
                   "name more tasks with begin and end");
}

enum wr_status wr_update_answer(struct wr_update *u, const struct wr_network *net, const struct wr_cutoff_limit *limit,
                                size_t n_limit, const struct wr_cutoff_options *card_options,
                                const struct wr_update_options *options, struct wr_error *err)
{
    return answer_limits(u, net, limit, n_limit, options, card_options, err);
}

/* ---- where the report is doubtful ---- */

static void find_stretches(struct wr_update *u, const struct wr_basis *basis, const struct wr_scenarios *before)
{
    const struct wr_network *net = basis->net;

    u->stretch = WR_NEW_ARRAY(struct wr_now_stretch, 2 * net->n_task);
    u->n_stretch = wr_now_stretches(u->stretch, &u->state, net, basis->durations, before);
    for (size_t i = 0; i < u->n_stretch; i++) {
        u->n_lengthy += u->stretch[i].lengthy;
        if (!u->stretch[i].doubtful) continue;
        if (u->n_doubted++ == 0) u->state.doubted = WR_NEW_ARRAY(unsigned char, net->n_task);
        u->state.doubted[u->stretch[i].task] = 1;
    }
}

static void say_doubt(const struct wr_update *u, const struct wr_plan *plan, struct wr_maybe start,
                      struct wr_findings *findings)
{
    const struct wr_now_stretch *s = u->stretch;

    while (!s->doubtful) s++;
    const char *id = plan->task[s->task].id, *first = plan->task[s->first].id;
    WR_SCOPED_STR who = {0}, more = {0}, took = {0};
    double active = wr_now_active_min(&u->state, s->task);
    if (active > 0) wr_str_addf(&took, "%.3g min", active);
    else wr_str_add(&took, "no time at all");
    if (s->n_untimed == 1) wr_str_addf(&who, "'%s', which must be done before and has no end,", first);
    else wr_str_addf(&who, "the %zu tasks that must be done before and have no end, '%s' first,", s->n_untimed, first);
    if (u->n_doubted > 1) wr_str_addf(&more, ", and the same is true of %zu more", u->n_doubted - 1);
    if (s->alone == WR_NOW_UNHEARD) {
        wr_findings_add(findings, WR_WARNING, "report-too-old", NULL, 0, 0,
                        "'%s' would be done by %s on 19 of 20 days forecast, and nobody said that it is%s: nothing was "
                        "reported of it, nor of what leads to it. Nothing is forecast from that, and no limit is "
                        "called kept: report what has begun and ended since (%s@H:MM-H:MM).",
                        id, wr_hmm(s->at_min + (start.known ? start.value : 0), WR_ROOM), wr_str_text(&more), id);
        return;
    }
    if (s->alone == WR_NOW_OVER_JUDGEMENT) {
        wr_findings_add(findings, WR_WARNING, "past-judgement", NULL, 0, 0,
                        "'%s' was judged beforehand and has run since %s, about as long as the most that was "
                        "judged or longer%s: nothing here says when it ends. Nothing is forecast until then, and no "
                        "limit is called kept: report its end (%s@H:MM-H:MM), or judge it anew (low, likely and "
                        "high of plan.csv).",
                        id, wr_hmm(s->from_min + (start.known ? start.value : 0), WR_ROOM), wr_str_text(&more), id);
        return;
    }
    if (s->alone == WR_NOW_TOOK_LITTLE) {
        wr_findings_add(findings, WR_WARNING, "report-too-early", NULL, 0, 0,
                        "'%s' is reported done at %s in %s, its hold left out, as on fewer than one of 1000 days "
                        "forecast%s. Nothing is forecast from that, and no limit is called kept: correct its times "
                        "(%s@H:MM-H:MM), leave its end out if not all of it is done, or give a plan without it if it "
                        "was left out (--plan FILE).",
                        id, wr_hmm(s->at_min + (start.known ? start.value : 0), WR_ROOM), wr_str_text(&took),
                        wr_str_text(&more), id);
        return;
    }
    wr_findings_add(findings, WR_WARNING, "report-too-early", NULL, 0, 0,
                    "'%s' is reported to have %s at %s, but %s would be done by then on fewer than one of 1000 days "
                    "forecast%s. Nothing is forecast from that, and no limit is called kept: report when that work "
                    "ended (%s@H:MM-H:MM), correct the time of '%s', or give a plan without what was left out "
                    "(--plan FILE).",
                    id, s->to_end ? "ended" : "begun", wr_hmm(s->at_min + (start.known ? start.value : 0), WR_ROOM),
                    wr_str_text(&who), wr_str_text(&more), first, id);
}

/* What was reported is told back, and nothing beyond it. */
static void answer_nothing(struct wr_update *u, const struct wr_network *net, const struct wr_cutoff_limit *limit,
                           size_t n_limit, const struct wr_cutoff_options *options)
{
    struct wr_cutoff_card *card = &u->card;

    count_states(u);
    make_facts(u, net, limit, n_limit);
    *card = (struct wr_cutoff_card){.n_limit = n_limit, .n_row = options->task ? options->n_task : net->n_task,
                                    .list = WR_NEW_ARRAY(struct wr_cutoff_list, n_limit)};
    for (size_t l = 0; l < n_limit; l++) {
        card->list[l].limit = limit[l];
        card->list[l].row = WR_NEW_ARRAY(struct wr_cutoff_row, card->n_row);
        for (size_t r = 0; r < card->n_row; r++) {
            size_t k = options->task ? options->task[r] : r;
            card->list[l].row[r] = (struct wr_cutoff_row){
                .task = k, .reason = wr_now_has_begun(&u->state, k) ? WR_CUTOFF_BEGUN : WR_CUTOFF_DOUBTFUL};
        }
    }
}

/* ---- beside the day before ---- */

static double expected_min(const struct wr_durations *d, const struct wr_scenarios *s, size_t task, double *scratch)
{
    wr_scenarios_minutes(s, task, scratch);
    return wr_source_form(&d->source[task]) == WR_FORM_FIXED ? d->source[task].p[0] : wr_median(scratch, s->n_trial);
}

/* Longer, or shorter, than on 999 of 1000 days: the forecast does not reach there. What still runs may be longer
 * already. */
static void count_beyond(struct wr_update *u, size_t task, double took_min, const double *minutes, size_t n)
{
    bool done = u->state.state[task] == WR_NOW_DONE;
    size_t n_longer = 0, n_shorter = 0;

    for (size_t i = 0; i < n; i++) {
        n_longer += minutes[i] >= took_min;
        n_shorter += minutes[i] <= took_min;
    }
    if (n_longer * 1000 < n && u->n_beyond++ == 0) u->beyond_task = task;
    if (done && n_shorter * 1000 < n && u->n_brief++ == 0) u->brief_task = task;
}

static void compare_with_before(struct wr_update *u, const struct wr_basis *basis, const struct wr_scenarios *before,
                                const struct wr_cutoff_limit *limit)
{
    size_t n = before->n_trial;
    double *finish = WR_NEW_ARRAY(double, n), took = 0, expected = 0;
    WR_RELEASED_BY(wr_days_release) struct wr_days days = {0};

    wr_days_make(&days, basis->net, basis->durations, before, NULL);
    wr_days_walk_all(&days);
    for (size_t k = 0; k < basis->net->n_task; k++) {
        bool runs = u->state.state[k] == WR_NOW_RUNNING, done = u->state.state[k] == WR_NOW_DONE;
        if (!runs && !(done && u->state.time_known[k])) continue;
        double minutes = wr_now_modelled_min(&u->state, k);
        double usual = expected_min(basis->durations, before, k, finish); /* leaves the task's minutes, day by day */
        if (wr_now_is_timed(&u->state, k)) {
            took += minutes;
            expected += usual;
        }
        if (wr_source_form(&basis->durations->source[k]) != WR_FORM_FIXED) count_beyond(u, k, minutes, finish, n);
    }
    if (took > 0 && expected > 0) u->seen_factor = took / expected;
    for (size_t l = 0; l < u->n_limit; l++) {
        size_t n_over = 0;
        for (size_t i = 0; i < n; i++) n_over += wr_days_outcome(&days, &limit[l].limit, i) > limit[l].limit.minutes;
        u->over_before[l] = wr_known((double)n_over / (double)n);
    }
    find_finishes(&days, finish);
    wr_sort_ascending(finish, n);
    for (size_t i = 0; i < WR_N_QUANTILE; i++)
        u->before_quantile_min[i] = wr_quantile_of_sorted(finish, n, wr_quantile_prob[i], WR_QUANTILE_TYPE_7);
    wr_free(finish);
}

static enum wr_status settle(struct wr_now_state *state, const struct wr_basis *basis,
                             const struct wr_scenarios *before, const struct wr_now *now, struct wr_error *err)
{
    WR_SCOPED struct wr_lead_in *law = WR_NEW_ARRAY(struct wr_lead_in, basis->net->n_task);

    const struct wr_durations *d = basis->durations;
    bool carried = basis->carry_over && basis->fit_options->target == WR_FOR_EXCURSION;

    wr_lead_in_laws(law, basis->timing);
    for (size_t k = 0; k < d->n_task; k++) {
        double log_factor = carried ? wr_carry_over_mean_log(basis->carry_over, basis->plan->task[k].kind) : 0;
        law[k].mean_min = wr_lead_in_modelled_min(&law[k], wr_durations_are_modelled(d, k), log_factor);
    }
    return wr_now_settle(state, now, basis->net, basis->plan, law, before, err);
}

/* The latest moment at which anything could be reported: the end of the longest simulated day, or the longest limit. */
static double longest_min(const struct wr_basis *basis, const struct wr_scenarios *before,
                          const struct wr_cutoff_limit *limit, size_t n_limit)
{
    double *minutes = WR_NEW_ARRAY(double, 2 * before->n_task), longest = 0;

    for (size_t i = 0; i < before->n_trial; i++) {
        wr_scenarios_durations(before, i, minutes);
        longest = fmax(longest, wr_network_forward(basis->net, minutes, NULL, minutes + before->n_task, NULL));
    }
    for (size_t l = 0; l < n_limit; l++) longest = fmax(longest, limit[l].limit.minutes);
    wr_free(minutes);
    return longest;
}

enum wr_status wr_update_make(struct wr_update *u, const struct wr_basis *basis, const struct wr_scenarios *before,
                              const struct wr_now *now, const struct wr_cutoff_limit *limit, size_t n_limit,
                              const struct wr_cutoff_options *card_options, const struct wr_update_options *options,
                              struct wr_findings *findings, struct wr_error *err)
{
    *u = (struct wr_update){0};
    enum wr_status status =
        wr_now_ask_if_late(now, options->start_min, longest_min(basis, before, limit, n_limit), err);

    if (status == WR_OK) status = settle(&u->state, basis, before, now, err);
    if (status == WR_OK) find_stretches(u, basis, before);
    if (status == WR_OK && u->n_doubted > 0) {
        say_doubt(u, basis->plan, options->start_min, findings);
        answer_nothing(u, basis->net, limit, n_limit, card_options);
    } else {
        if (status == WR_OK) status = refit_durations(u, basis, err);
        if (status == WR_OK) status = wr_update_answer(u, basis->net, limit, n_limit, card_options, options, err);
    }
    if (status == WR_OK) {
        compare_with_before(u, basis, before, limit);
        WR_CHECK(wr_update_check(u));
    } else {
        wr_update_release(u);
    }
    return status;
}

enum wr_status wr_update_over(struct wr_probability *over, const struct wr_basis *basis,
                              const struct wr_scenarios *before, const struct wr_now *now,
                              const struct wr_cutoff_limit *limit, size_t n_limit,
                              const struct wr_update_options *options, struct wr_error *err)
{
    WR_RELEASED_BY(wr_update_release) struct wr_update u = {0};
    enum wr_status status = settle(&u.state, basis, before, now, err);

    if (!status) status = refit_durations(&u, basis, err);
    if (!status) status = answer_limits(&u, basis->net, limit, n_limit, options, NULL, err);
    if (!status) memcpy(over, u.over, n_limit * sizeof *over);
    return status;
}

void wr_update_release(struct wr_update *u)
{
    wr_now_state_release(&u->state);
    wr_durations_release(&u->durations);
    wr_scenarios_release(&u->scenarios);
    WR_FREE(u->over, u->over_before, u->fact, u->stretch, u->silent);
    for (size_t i = 0; i < u->n_drop; i++) wr_free(u->drop[i].over);
    wr_free(u->drop);
    wr_cutoff_release(&u->card);
    *u = (struct wr_update){0};
}
