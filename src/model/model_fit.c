/* From the timing table to the sampler's input. */
#include "wetrun/model/durations.h"

#include <math.h>
#include "line_ups.h"
#include "take_over.h"
#include "wetrun/base/memory.h"

struct wr_fit_options wr_fit_options_default(void)
{
    return (struct wr_fit_options){.priors = wr_priors_default(), .sampler = wr_sampler_default()};
}

static bool has_times(const struct wr_timing *timing, size_t task)
{
    for (size_t r = 0; r < timing->n_run; r++)
        if (wr_cell_has_time(wr_timing_cell(timing, task, r))) return true;
    return false;
}

/* What a cell says to the model. A cell that took no time has no logarithm, and a bound of 0 says nothing. One whose
 * lead-in is not known is left out rather than taken as a bound, for it lies close below the time and would draw it up;
 * but it is all there is where every cell of the task is like that. */
static enum wr_obs seen_in(const struct wr_timing *timing, size_t task, size_t run)
{
    const struct wr_cell *cell = wr_timing_cell(timing, task, run);

    if (wr_cell_has_time(cell)) return cell->state == WR_CELL_DONE ? WR_OBS_DONE : WR_OBS_STOPPED;
    if (!cell->lead_in_unknown || !(wr_cell_modelled_min(cell) > 0)) return WR_OBS_NONE;
    return has_times(timing, task) ? WR_OBS_NONE : WR_OBS_STOPPED;
}

static bool is_rehearsed(const struct wr_timing *timing, size_t task)
{
    for (size_t r = 0; r < timing->n_run; r++)
        if (seen_in(timing, task, r) != WR_OBS_NONE) return true;
    return false;
}

static bool was_done_in_no_time(const struct wr_timing *timing, size_t task)
{
    for (size_t r = 0; r < timing->n_run; r++)
        if (wr_timing_cell(timing, task, r)->state == WR_CELL_DONE) return true;
    return false;
}

static bool has_planned_time(const struct wr_plan_task *task)
{
    return task->planned_min.known && task->planned_min.value > 0;
}

/* Nothing but the plan's own words, or no time at all: not for the model. */
static bool stands_alone(const struct wr_timing *timing, const struct wr_plan_task *task, size_t k)
{
    return task->median_min.known || task->low_min.known || was_done_in_no_time(timing, k)
           || (task->planned_min.known && !has_planned_time(task));
}

/* Once done it tells nothing about the runs that its own level would not take up. */
static void choose_other_work(struct wr_model_fit *fit, const struct wr_timing *timing)
{
    fit->other = WR_NEW_ARRAY(size_t, timing->n_other);
    for (size_t i = 0; i < timing->n_other && fit->has_runs; i++) {
        size_t n = 0;
        for (size_t r = 0; r < timing->n_run; r++) n += seen_in(timing, timing->n_task + i, r) == WR_OBS_DONE;
        if (n >= 2) fit->other[fit->n_other++] = i;
    }
}

static enum wr_status fail_without_time(const struct wr_plan *plan, const struct wr_plan_task *task,
                                        struct wr_error *err)
{
    if (!plan->file)
        return wr_fail(err, WR_E_INPUT,
                       "task '%s' was never rehearsed, and there is no plan that says how long it takes: "
                       "`--write-plan plan.csv` of `wetrun check` begins one; write its low, likely and high there",
                       task->id);
    return wr_fail(err, WR_E_INPUT,
                   "%s:%zu: task '%s' was never rehearsed, and the plan does not say how long it takes: write its low, "
                   "likely and high, or median and sdlog, or planned",
                   plan->file, task->line, task->id);
}

static enum wr_status choose_tasks(struct wr_model_fit *fit, const struct wr_plan *plan,
                                   const struct wr_timing *timing, struct wr_error *err)
{
    fit->n_plan_task = plan->n_task;
    fit->plan_task = WR_NEW_ARRAY(size_t, plan->n_task);
    fit->model_task = WR_NEW_ARRAY(size_t, plan->n_task);
    for (size_t k = 0; k < plan->n_task; k++) {
        const struct wr_plan_task *task = &plan->task[k];
        bool rehearsed = is_rehearsed(timing, k);
        fit->model_task[k] = SIZE_MAX;
        fit->has_runs |= rehearsed;
        if (!rehearsed && stands_alone(timing, task, k)) continue;
        if (!rehearsed && !has_planned_time(task)) return fail_without_time(plan, task, err);
        fit->model_task[k] = fit->n_model_task;
        fit->plan_task[fit->n_model_task++] = k;
    }
    choose_other_work(fit, timing);
    return WR_OK;
}

/* Of the timing table. */
static size_t timed_task(const struct wr_model_fit *fit, size_t m)
{
    return m < fit->n_model_task ? fit->plan_task[m] : fit->n_plan_task + fit->other[m - fit->n_model_task];
}

/* Of work that the plan does not have nobody says whose lanes it took; its people are those that the log names. */
static uint32_t lanes_of(const struct wr_model_fit *fit, const struct wr_plan *plan, size_t m)
{
    return m < fit->n_model_task ? plan->task[fit->plan_task[m]].lanes : 0;
}

static struct wr_maybe planned_of(const struct wr_model_fit *fit, const struct wr_plan *plan,
                                  const struct wr_timing *timing, size_t m)
{
    struct wr_maybe planned = m < fit->n_model_task ? plan->task[fit->plan_task[m]].planned_min
                                                    : timing->other[fit->other[m - fit->n_model_task]].planned_min;

    return planned.known && planned.value > 0 ? planned : WR_UNKNOWN;
}

/* Nameless people: one for each run and lane in which a modelled cell names nobody. Numbered after the named ones. */
static size_t number_nameless(const struct wr_model_fit *fit, const struct wr_plan *plan,
                              const struct wr_timing *timing, size_t *nameless)
{
    size_t n = 0;

    for (size_t i = 0; i < timing->n_run * timing->n_lane; i++) nameless[i] = SIZE_MAX;
    for (size_t m = 0; m < fit->n_model_task; m++)
        for (size_t r = 0; r < timing->n_run; r++) {
            const struct wr_cell *cell = wr_timing_cell(timing, fit->plan_task[m], r);
            if (seen_in(timing, fit->plan_task[m], r) == WR_OBS_NONE || cell->n_performer > 0) continue;
            for (size_t l = 0; l < timing->n_lane; l++) {
                if (!(plan->task[fit->plan_task[m]].lanes >> l & 1) || timing->line_up[r * timing->n_lane + l] >= 0)
                    continue;
                size_t *number = &nameless[r * timing->n_lane + l];
                if (*number == SIZE_MAX) *number = timing->n_person + n++;
            }
        }
    return n;
}

/* Who shares a cell that names nobody: the lanes' people of that run, known or nameless. */
static size_t people_of_lanes(const struct wr_timing *timing, uint32_t lanes, size_t run, const size_t *nameless,
                              unsigned person[WR_MAX_LANES])
{
    size_t n = 0;

    for (size_t l = 0; l < timing->n_lane; l++) {
        if (!(lanes >> l & 1)) continue;
        int known = timing->line_up[run * timing->n_lane + l];
        size_t number = known >= 0 ? (size_t)known : nameless[run * timing->n_lane + l];
        if (number != SIZE_MAX) person[n++] = (unsigned)number;
    }
    return n;
}

static void report_alike(const struct wr_plan *plan, const struct wr_timing *timing, struct wr_findings *findings)
{
    struct wr_other_hand hand;

    if (wr_find_other_hand(timing, &hand))
        wr_findings_add(findings, WR_WARNING, "people-in-part", NULL, 0, 0,
                        "'%.60s' did task '%.60s' in %zu of %zu rehearsals, and most of every lane was done by the "
                        "same people throughout: people are not told apart, and that time counts as the usual crew's",
                        timing->person[hand.person], plan->task[hand.task].id, hand.n, hand.of);
    else
        wr_findings_add(findings, WR_NOTE, "people-alike", NULL, 0, 0,
                        "the same people in the same lanes throughout: people cannot be told from tasks");
}

static void choose_people(struct wr_model_fit *fit, const struct wr_plan *plan, const struct wr_timing *timing,
                          const struct wr_fit_options *options, size_t *nameless, struct wr_findings *findings)
{
    if (options->no_people || timing->n_person == 0) return;
    if (!wr_line_ups_are_two(timing)) {
        report_alike(plan, timing, findings);
        return;
    }
    size_t n = timing->n_person + number_nameless(fit, plan, timing, nameless);
    if (n > WR_MOST_PEOPLE) {
        wr_findings_add(findings, WR_WARNING, "people-too-many", NULL, 0, 0,
                        "%zu people, named or not: more than %d are not modelled, so people are left out", n,
                        WR_MOST_PEOPLE);
        return;
    }
    fit->n_person = n;
    fit->n_named_person = timing->n_person;
    fit->person = WR_NEW_ARRAY(const char *, n);
    for (size_t p = 0; p < n; p++) fit->person[p] = p < timing->n_person ? timing->person[p] : "";
}

static void fill_run(struct wr_model_fit *fit, const struct wr_plan *plan, const struct wr_timing *timing,
                     const size_t *nameless, size_t run)
{
    for (size_t m = 0; m < fit->n_model_task + fit->n_other; m++) {
        const struct wr_cell *cell = wr_timing_cell(timing, timed_task(fit, m), run);
        enum wr_obs obs = seen_in(timing, timed_task(fit, m), run);
        unsigned stand_in[WR_MAX_LANES];
        if (obs == WR_OBS_NONE) continue;
        size_t n = cell->n_performer;
        if (n == 0 && fit->n_person)
            n = people_of_lanes(timing, lanes_of(fit, plan, m), run, nameless, stand_in);
        wr_model_table_set_cell(&fit->table, m, run, obs, wr_cell_modelled_min(cell),
                                cell->n_performer ? cell->person : stand_in, fit->n_person ? n : 0);
    }
}

bool wr_run_is_modelled(const struct wr_timing *timing, size_t run)
{
    size_t n_later = 0;

    for (size_t r = 0; r < timing->n_run; r++) n_later += timing->run[r].order > timing->run[run].order;
    return n_later < WR_MOST_RUNS;
}

bool wr_model_saw_run(const struct wr_model_fit *fit, size_t run)
{
    for (size_t k = 0; k < fit->data.n_task; k++)
        if (fit->data.obs[k * fit->data.n_run + run] != WR_OBS_NONE) return true;
    return false;
}

static void fill_table(struct wr_model_fit *fit, const struct wr_plan *plan, const struct wr_timing *timing,
                       const size_t *nameless)
{
    struct wr_model_table *table = &fit->table;
    size_t n_planned = 0, n_task = fit->n_model_task + fit->n_other;
    double sum = 0.0;

    for (size_t m = 0; m < n_task; m++) {
        struct wr_maybe planned = planned_of(fit, plan, timing, m);
        if (planned.known) sum += log(planned.value);
        n_planned += planned.known;
    }
    wr_model_table_init(table, n_task, timing->n_run, fit->n_person, n_planned ? WR_HAS_PLAN_TIMES : WR_NO_PLAN_TIMES);
    for (size_t m = 0; m < n_task && n_planned; m++) {
        struct wr_maybe planned = planned_of(fit, plan, timing, m);
        table->log_planned[m] = planned.known ? log(planned.value) : sum / (double)n_planned;
    }
    for (size_t r = 0; r < timing->n_run; r++) {
        if (wr_run_is_modelled(timing, r)) fill_run(fit, plan, timing, nameless, r);
        table->order[r] = timing->run[r].order;
        fit->last_order = fmax(fit->last_order, timing->run[r].order);
    }
    fit->target_order = table->data.target_order = fit->last_order + 1.0;
    fit->data = table->data;
}

static void report_chains(const struct wr_posterior *post, struct wr_findings *findings)
{
    for (size_t i = 0; i < post->n_check; i++) {
        const struct wr_chain_check *c = &post->check[i];
        if (c->rhat < WR_RHAT_MOST && c->ess > WR_ESS_LEAST) continue;
        wr_findings_add(findings, WR_WARNING, "chains-disagree", NULL, 0, 0,
                        "the sampler's chains have not mixed for %s (R-hat %.3f, %.0f effective draws): do not rely on "
                        "these results; try another seed", c->name, c->rhat, c->ess);
    }
}

static enum wr_status sample(struct wr_model_fit *fit, const struct wr_fit_options *options, struct wr_error *err)
{
    if (options->model == WR_MODEL_ALONE) return WR_OK;
    return wr_posterior_sample(&fit->post, &fit->data, &options->priors, &options->sampler, err);
}

enum wr_status wr_model_fit(struct wr_model_fit *fit, const struct wr_plan *plan, const struct wr_timing *timing,
                            const struct wr_fit_options *options, struct wr_findings *findings, struct wr_error *err)
{
    *fit = (struct wr_model_fit){0};
    enum wr_status status = choose_tasks(fit, plan, timing, err);
    if (status == WR_OK) {
        WR_SCOPED size_t *nameless = WR_NEW_ARRAY(size_t, timing->n_run * timing->n_lane);
        choose_people(fit, plan, timing, options, nameless, findings);
        fill_table(fit, plan, timing, nameless);
        if (timing->n_run > WR_MOST_RUNS)
            wr_findings_add(findings, WR_WARNING, "runs-left-out", NULL, 0, 0,
                            "%zu runs: only the last %d are modelled", timing->n_run, WR_MOST_RUNS);
        if (!fit->has_runs && fit->n_model_task > 0)
            wr_findings_add(findings, WR_WARNING, "nothing-rehearsed", NULL, 0, 0,
                            "no task was rehearsed: times rest on the plan and on what is usual elsewhere");
        status = sample(fit, options, err);
    }
    if (status == WR_OK) report_chains(&fit->post, findings);
    else wr_model_fit_release(fit);
    return status;
}

void wr_model_take_over(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table)
{
    size_t n_plan_task = from->n_plan_task;

    WR_BUG_IF(table->data.n_task != from->n_model_task + from->n_other || table->data.n_person != from->n_person);
    *fit = *from;
    fit->post = (struct wr_posterior){0};
    fit->plan_task = WR_COPY(from->plan_task, n_plan_task);
    fit->model_task = WR_COPY(from->model_task, n_plan_task);
    fit->other = WR_COPY(from->other, from->n_other);
    fit->person = from->n_person ? WR_COPY(from->person, from->n_person) : NULL;
    fit->table = *table;
    *table = (struct wr_model_table){0};
    fit->data = fit->table.data;
    fit->has_runs = false;
    fit->last_order = 0.0;
    for (size_t i = 0; i < fit->data.n_task * fit->data.n_run; i++) fit->has_runs |= fit->data.obs[i] != WR_OBS_NONE;
    for (size_t r = 0; r < fit->data.n_run; r++) fit->last_order = fmax(fit->last_order, fit->data.order[r]);
    fit->target_order = fit->data.target_order;
}

enum wr_status wr_model_refit(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table,
                              const struct wr_fit_options *options, struct wr_error *err)
{
    wr_model_take_over(fit, from, table);
    enum wr_status status = sample(fit, options, err);
    if (status != WR_OK) wr_model_fit_release(fit);
    return status;
}

enum wr_status wr_model_refit_from(struct wr_model_fit *fit, const struct wr_model_fit *from, size_t draw,
                                   struct wr_model_table *table, const struct wr_fit_options *options,
                                   struct wr_error *err)
{
    wr_model_take_over(fit, from, table);
    enum wr_status status = wr_posterior_sample_from(&fit->post, &fit->data, &options->priors, &options->sampler,
                                                     &from->post, draw, err);
    if (status != WR_OK) wr_model_fit_release(fit);
    return status;
}

void wr_model_fit_release(struct wr_model_fit *fit)
{
    wr_posterior_release(&fit->post);
    WR_FREE(fit->plan_task, fit->model_task, fit->other, (void *)fit->person);
    wr_model_table_release(&fit->table);
    *fit = (struct wr_model_fit){0};
}
