#include "wetrun/model/durations.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <string.h>
#include "alone.h"
#include "judgement.h"
#include "line_ups.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/mix.h"
#include "wetrun/stats/gsl_own.h"

/* Without a cap the logarithms have a Student tail, and mean and sd in minutes do not exist. */
static const double spread_most = 1.0;

/* A task that the model does not cover: its own distribution, or no time at all. */
static struct wr_source own_source(const struct wr_plan_task *task, const struct wr_fit_options *options)
{
    if (task->median_min.known)
        return (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {log(task->median_min.value), task->sdlog.value}};
    if (!task->low_min.known) return (struct wr_source){.kind = WR_SRC_FIXED};
    if (!(task->high_min.value > task->low_min.value))
        return (struct wr_source){.kind = WR_SRC_FIXED, .p = {task->low_min.value}};
    return (struct wr_source){
        WR_SRC_JUDGED, {task->low_min.value, task->likely_min.value, task->high_min.value}, options->reading};
}

static void allocate(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                     const struct wr_fit_options *options)
{
    size_t n_draw = options->model == WR_MODEL_ALONE ? 1 : fit->post.n_draw;

    *d = (struct wr_durations){
        .n_task = plan->n_task, .n_draw = n_draw, .n_person = fit->n_person, .n_lane = plan->n_lane};
    d->source = WR_NEW_ARRAY(struct wr_source, d->n_task);
    d->centre_log = WR_NEW_ARRAY(double, d->n_task * n_draw);
    d->spread_log = WR_NEW_ARRAY(double, d->n_task * n_draw);
    d->tau = WR_NEW_ARRAY(double, n_draw);
    d->rho = WR_NEW_ARRAY(double, n_draw);
    d->kappa = WR_NEW_ARRAY(double, n_draw);
    d->q = WR_NEW_ARRAY(double, d->n_person * n_draw);
    d->lanes = WR_NEW_ARRAY(uint32_t, d->n_task);
    d->stream = WR_NEW_ARRAY(uint64_t, d->n_task);
    for (size_t k = 0; k < d->n_task; k++) {
        d->lanes[k] = plan->task[k].lanes;
        d->stream[k] = wr_mix_text(plan->task[k].id);
    }
}

void wr_durations_release(struct wr_durations *d)
{
    void *all[] = {d->source, d->centre_log, d->spread_log, d->tau, d->rho, d->kappa, d->q, d->line_up, d->lanes,
                   d->stream, d->restated, d->judged_bias, d->judged_widening, d->run_effect_shift, d->run_effect_sd};

    for (size_t i = 0; i < sizeof all / sizeof *all; i++) wr_free(all[i]);
    *d = (struct wr_durations){0};
}

bool wr_durations_are_modelled(const struct wr_durations *d, size_t task)
{
    return d->source[task].kind == WR_SRC_MODEL;
}

bool wr_durations_are_judged(const struct wr_durations *d, size_t task)
{
    return d->source[task].kind == WR_SRC_JUDGED || (d->restated && d->restated[task]);
}

struct wr_log_law wr_durations_log_law(const struct wr_durations *d, size_t task, size_t draw)
{
    const struct wr_source *s = &d->source[task];
    size_t at = task * d->n_draw + draw;

    WR_BUG_IF(wr_source_form(s) != WR_FORM_LOG);
    if (!wr_durations_are_modelled(d, task)) return (struct wr_log_law){s->p[0], s->p[1], 0};
    return (struct wr_log_law){d->centre_log[at], d->spread_log[at], d->rho[draw]};
}

uint32_t wr_durations_people_of(const struct wr_durations *d, size_t task)
{
    return wr_durations_are_modelled(d, task) ? d->lanes[task] : 0;
}

static bool is_constant(const double *value, size_t n)
{
    for (size_t i = 1; i < n; i++)
        if (value[i] != value[0]) return false;
    return true;
}

static bool run_effect_is_known(const struct wr_durations *d)
{
    if (d->run_effect_shift && !is_constant(d->run_effect_shift, d->n_draw)) return false;
    return is_constant(d->run_effect_sd ? d->run_effect_sd : d->tau, d->n_draw);
}

static bool people_are_known(const struct wr_durations *d)
{
    for (size_t i = 0; i < d->n_line_up * d->n_lane; i++) {
        int who = d->line_up[i];
        if (who == WR_PERSON_NEW && !is_constant(d->kappa, d->n_draw)) return false;
        if (who >= 0 && !is_constant(d->q + (size_t)who * d->n_draw, d->n_draw)) return false;
    }
    return true;
}

bool wr_durations_are_fixed(const struct wr_durations *d)
{
    for (size_t k = 0; k < d->n_task; k++)
        if (wr_source_form(&d->source[k]) != WR_FORM_FIXED) return false;
    return true;
}

bool wr_durations_are_known(const struct wr_durations *d)
{
    bool modelled = false, carries = false;

    for (size_t k = 0; k < d->n_task; k++) {
        const double *centre = d->centre_log + k * d->n_draw, *spread = d->spread_log + k * d->n_draw;
        carries |= wr_source_form(&d->source[k]) != WR_FORM_FIXED;
        if (!wr_durations_are_modelled(d, k)) continue;
        if (!is_constant(centre, d->n_draw) || !is_constant(spread, d->n_draw)) return false;
        modelled = true;
    }
    return (!carries || run_effect_is_known(d)) &&
           (!modelled || (is_constant(d->rho, d->n_draw) && people_are_known(d)));
}

/* A task that the fit covers, but of which its data hold nothing (a refit without the only run that had it), is as one
 * that was never rehearsed: its own distribution speaks, if it has one. */
static bool speaks_from_model(const struct wr_model_fit *fit, const struct wr_plan_task *task, size_t k)
{
    size_t m = fit->model_task[k], n_run = fit->data.n_run;

    if (m == SIZE_MAX || !(task->median_min.known || task->low_min.known)) return m != SIZE_MAX;
    for (size_t r = 0; r < n_run; r++)
        if (fit->data.obs[m * n_run + r] != WR_OBS_NONE) return true;
    return false;
}

static void take_sources(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                         const struct wr_fit_options *options)
{
    WR_SCOPED struct wr_alone *alone = NULL;

    if (options->model == WR_MODEL_ALONE) {
        alone = WR_NEW_ARRAY(struct wr_alone, fit->data.n_task);
        wr_alone_fit(&fit->data, alone);
    }
    for (size_t k = 0; k < d->n_task; k++) {
        size_t m = fit->model_task[k];
        if (!speaks_from_model(fit, &plan->task[k], k)) d->source[k] = own_source(&plan->task[k], options);
        else if (alone)
            d->source[k] = (struct wr_source){.kind = WR_SRC_LOGNORMAL, .p = {alone[m].mean_log, alone[m].sd_log}};
        else d->source[k] = (struct wr_source){.kind = WR_SRC_MODEL};
    }
}

static void take_draws(struct wr_durations *d, const struct wr_model_fit *fit, const struct wr_fit_options *options)
{
    const struct wr_posterior *post = &fit->post;
    size_t n = d->n_draw;
    bool held = options->hold_learning || options->target == WR_FOR_EXCURSION;
    double step = held && fit->last_order > 0 ? log(fit->last_order) - log(fit->target_order) : 0.0;

    for (size_t k = 0; k < d->n_task; k++) {
        if (!wr_durations_are_modelled(d, k)) continue;
        const double *mu = post->mu + fit->model_task[k] * n, *sigma = post->sigma + fit->model_task[k] * n;
        for (size_t i = 0; i < n; i++) {
            d->centre_log[k * n + i] = mu[i] + post->gamma[i] * step;
            d->spread_log[k * n + i] = fmin(sigma[i], spread_most);
        }
    }
    memcpy(d->tau, post->tau, n * sizeof(double));
    memcpy(d->rho, post->rho, n * sizeof(double));
    memcpy(d->kappa, post->kappa, n * sizeof(double));
    if (d->n_person) memcpy(d->q, post->q, d->n_person * n * sizeof(double));
}

static void shift_task(struct wr_durations *d, size_t task, const double *log_factor)
{
    for (size_t i = 0; i < d->n_draw; i++) d->centre_log[task * d->n_draw + i] += log_factor[i];
}

static void apply_carry_over(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                             const struct wr_carry_over *c, uint64_t seed)
{
    WR_SCOPED double *log_factor = WR_NEW_ARRAY(double, d->n_draw);
    const char *drawn = NULL;

    for (size_t k = 0; k < d->n_task; k++) {
        const char *kind = plan->task[k].kind;
        if (!speaks_from_model(fit, &plan->task[k], k)) continue;
        if (d->source[k].kind == WR_SRC_LOGNORMAL) { /* alone: one draw, the factor's mean */
            d->source[k].p[0] += wr_carry_over_mean_log(c, kind);
            continue;
        }
        if (!drawn || strcmp(drawn, kind) != 0) wr_carry_over_draw(c, kind, seed, d->n_draw, log_factor);
        drawn = kind;
        shift_task(d, k, log_factor);
    }
}

/* What a task usually takes in the pool. */
static double usual_min(const struct wr_durations *d, size_t task)
{
    double sum = 0.0;

    if (d->source[task].kind == WR_SRC_LOGNORMAL) return exp(d->source[task].p[0]);
    for (size_t i = 0; i < d->n_draw; i++) sum += d->centre_log[task * d->n_draw + i];
    return exp(sum / (double)d->n_draw);
}

static bool is_first_of_kind(const struct wr_plan *plan, size_t task)
{
    for (size_t k = 0; k < task; k++)
        if (strcmp(plan->task[k].kind, plan->task[task].kind) == 0) return false;
    return true;
}

static void report_carry_over(struct wr_durations *d, const struct wr_plan *plan, const struct wr_model_fit *fit,
                              const struct wr_carry_over *c, struct wr_findings *findings)
{
    WR_SCOPED_STR kinds = {0};
    size_t n_without = 0;
    double with_min = 0.0, all_min = 0.0;

    if (!c) {
        wr_findings_add(
            findings, WR_WARNING, "face-value", NULL, 0, 0,
            "no history of pool and flight times: pool time is taken at face value, though first performances "
            "in flight have been found substantially longer (Kubis and McLaughlin 1975)");
        return;
    }
    for (size_t k = 0; k < plan->n_task; k++) {
        if (!speaks_from_model(fit, &plan->task[k], k)) continue;
        bool has_history = wr_carry_over_kind(c, plan->task[k].kind) < c->n_kind;
        all_min += usual_min(d, k);
        if (has_history) with_min += usual_min(d, k);
        if (has_history) continue;
        if (is_first_of_kind(plan, k))
            wr_str_addf(&kinds, "%s%.40s", n_without ? ", " : "",
                        plan->task[k].kind[0] ? plan->task[k].kind : "(none)");
        n_without++;
    }
    d->history_same = c->same;
    d->history_odd = c->odd;
    d->history_faster = c->faster;
    const bool little = with_min < 0.5 * all_min;
    d->history_thin = d->history_same || d->history_odd || d->history_faster || little;
    if (d->history_odd || d->history_faster)
        wr_findings_add(findings, WR_WARNING, "history-doubtful", NULL, 0, 0,
                        "%s: no answer about the excursion may be firm until that is answered in the history",
                        d->history_odd
                            ? "some flight times of the history lie further from its pool times than those of any work"
                            : "by the history work takes less time in the excursion than in the pool, which would be "
                              "unusual");
    if (d->history_same)
        wr_findings_add(findings, WR_WARNING, "history-thin", NULL, 0, 0,
                        "most flight times of the history, or of an excursion of it, are its pool times to the last "
                        "digit: no answer about the excursion may be firm; write what was measured in flight");
    else if (little)
        wr_findings_add(
            findings, WR_WARNING, "history-thin", NULL, 0, 0,
            "the history has the kinds of %.0f of the %.0f minutes of rehearsed work only, less than half: the rest is "
            "carried over as other work was, and no answer about the excursion may be firm; write kinds as the plan "
            "does, or add rows for its kinds",
            with_min, all_min);
    if (n_without)
        wr_findings_add(
            findings, WR_WARNING, "kind-without-history", NULL, 0, 0,
            "%zu task%s of a kind without history (%.400s): pool time carries over as kinds do in general, with "
            "the wider spread of that",
            n_without, n_without == 1 ? " is" : "s are", kinds.text);
}

/* Judged, or of a law known from elsewhere: of the work itself, so no factor of pool time applies. */
static bool is_as_it_stands(const struct wr_plan *plan, const struct wr_model_fit *fit, size_t k)
{
    return !speaks_from_model(fit, &plan->task[k], k) &&
           (plan->task[k].median_min.known || plan->task[k].low_min.known);
}

/* By kind, where the history says that such work takes longer outside than in the pool. */
static void add_longer_kinds(const struct wr_plan *plan, const struct wr_model_fit *fit, const struct wr_carry_over *c,
                             struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; c && i < c->n_kind; i++) {
        bool any = false;
        for (size_t k = 0; k < plan->n_task; k++)
            any = any || (is_as_it_stands(plan, fit, k) && wr_carry_over_kind(c, plan->task[k].kind) == i);
        if (!any || exp(c->mean_log[i]) < 1.005) continue; /* reads as no longer */
        wr_str_add(out, n++ ? ", " : "; by the history work takes longer outside than in the pool: ");
        wr_str_addf(out, "%.40s %.2f times", c->kind[i], exp(c->mean_log[i]));
    }
}

static void report_as_they_stand(const struct wr_plan *plan, const struct wr_model_fit *fit,
                                 const struct wr_carry_over *c, struct wr_findings *findings)
{
    enum { NAMED = 3 };
    WR_SCOPED_STR titles = {0}, longer = {0};
    size_t n = 0;

    for (size_t k = 0; k < plan->n_task; k++) {
        if (!is_as_it_stands(plan, fit, k) || n++ >= NAMED) continue;
        wr_str_addf(&titles, "%s%.60s", n > 1 ? "; " : "", plan->task[k].title);
    }
    if (n == 0) return;
    if (n > NAMED) wr_str_addf(&titles, "; and %zu more", n - NAMED);
    add_longer_kinds(plan, fit, c, &longer);
    wr_findings_add(findings, WR_WARNING, "not-carried-over", NULL, 0, 0,
                    "%zu task%s (%s) %s judged or known from elsewhere, and no carry-over from the pool applies: what "
                    "the plan says is taken as it stands, and must be minutes of the excursion%s",
                    n, n == 1 ? "" : "s", wr_str_text(&titles), n == 1 ? "is" : "are", wr_str_text(&longer));
}

/* A long gap can only slow: one factor exp(|N(0, log(1 + percent/100))|) for all modelled tasks, per posterior draw. */
static void apply_gap_allowance(struct wr_durations *d, double percent, uint64_t seed)
{
    double *log_factor = WR_NEW_ARRAY(double, d->n_draw), sd = log1p(percent / 100.0);
    WR_SCOPED gsl_rng *rng = wr_gsl_rng(gsl_rng_mt19937);

    gsl_rng_set(rng, wr_gsl_seed(seed, wr_mix_text("gap allowance")));
    for (size_t i = 0; i < d->n_draw; i++) log_factor[i] = fabs(sd * gsl_ran_gaussian_ziggurat(rng, 1.0));
    for (size_t k = 0; k < d->n_task; k++)
        if (wr_durations_are_modelled(d, k)) shift_task(d, k, log_factor);
    wr_free(log_factor);
}

enum wr_status wr_durations_build(struct wr_durations *d, const struct wr_plan *plan, const struct wr_network *net,
                                  const struct wr_timing *timing, const struct wr_model_fit *fit,
                                  const struct wr_carry_over *carry_over, const struct wr_fit_options *options,
                                  struct wr_findings *findings, struct wr_error *err)
{
    WR_BUG_IF(net->n_task != plan->n_task || fit->n_plan_task != plan->n_task || timing->n_task != plan->n_task);
    allocate(d, plan, fit, options);
    enum wr_status status = wr_line_ups_choose(d, plan, timing, fit, options->people, findings, err);
    if (status != WR_OK) {
        wr_durations_release(d);
        return status;
    }
    take_sources(d, plan, fit, options);
    if (options->model == WR_MODEL_POOLED) take_draws(d, fit, options);
    if (options->target == WR_FOR_EXCURSION) {
        report_carry_over(d, plan, fit, carry_over, findings);
        report_as_they_stand(plan, fit, carry_over, findings);
        if (carry_over) apply_carry_over(d, plan, fit, carry_over, options->sampler.seed);
    }
    if (options->gap_allowance > 0) apply_gap_allowance(d, options->gap_allowance, options->sampler.seed);
    wr_judgement_apply(d, plan, fit, options); /* last: what befalls rehearsed tasks does not befall judged ones */
    return WR_OK;
}

size_t wr_durations_count_line_ups(const struct wr_durations *d)
{
    size_t n = 0;

    for (size_t i = 0; i < d->n_line_up; i++) {
        size_t first = 0;
        while (memcmp(d->line_up + first * d->n_lane, d->line_up + i * d->n_lane, d->n_lane * sizeof *d->line_up) != 0)
            first++;
        n += first == i;
    }
    return n;
}

void wr_durations_set_line_up(struct wr_durations *d, const int *line_up)
{
    memcpy(d->line_up, line_up, d->n_lane * sizeof *line_up);
    d->n_line_up = 1;
}

static bool is_in_two(const struct wr_durations *d, const int *line_up, const bool *placed)
{
    for (size_t l = 0; l < d->n_lane; l++)
        for (size_t o = 0; placed[l] && line_up[l] >= 0 && o < d->n_lane; o++)
            if (o != l && line_up[o] == line_up[l]) return true;
    return false;
}

size_t wr_durations_keep_possible(struct wr_durations *d, const bool *placed)
{
    size_t n = 0;

    for (size_t i = 0; i < d->n_line_up; i++) {
        const int *line_up = d->line_up + i * d->n_lane;
        if (!is_in_two(d, line_up, placed)) memmove(d->line_up + n++ * d->n_lane, line_up, d->n_lane * sizeof *line_up);
    }
    d->n_line_up = n;
    return n;
}

/* ---- another timeline, the same draws ---- */

static void copy_task(struct wr_durations *d, size_t k, const struct wr_durations *from, size_t at)
{
    size_t n = d->n_draw;

    d->source[k] = from->source[at];
    memcpy(d->centre_log + k * n, from->centre_log + at * n, n * sizeof(double));
    memcpy(d->spread_log + k * n, from->spread_log + at * n, n * sizeof(double));
    if (d->restated) d->restated[k] = from->restated[at];
}

static void copy_judges(struct wr_durations *d, const struct wr_durations *from)
{
    d->judging = from->judging;
    if (!from->judged_bias) return;
    d->judged_bias = WR_COPY(from->judged_bias, d->n_draw);
    d->judged_widening = WR_COPY(from->judged_widening, d->n_draw);
    d->restated = WR_NEW_ARRAY(unsigned char, d->n_task);
}

static void copy_line_ups(struct wr_durations *d, const struct wr_plan *plan, const struct wr_durations *from,
                          const struct wr_plan *from_plan)
{
    d->n_line_up = from->n_line_up;
    d->line_up = WR_NEW_ARRAY(int, d->n_line_up * d->n_lane);
    for (size_t l = 0; l < d->n_lane; l++) {
        size_t at = wr_plan_find_lane(from_plan, plan->lane[l]);
        for (size_t i = 0; i < d->n_line_up; i++)
            d->line_up[i * d->n_lane + l] = at != SIZE_MAX       ? from->line_up[i * from->n_lane + at]
                                            : from->n_person > 0 ? WR_PERSON_NEW
                                                                 : WR_PERSON_NONE;
    }
}

enum wr_status wr_durations_for_plan(struct wr_durations *d, const struct wr_plan *plan,
                                     const struct wr_durations *from, const struct wr_plan *from_plan,
                                     const struct wr_fit_options *options, struct wr_error *err)
{
    size_t n = from->n_draw;

    for (size_t k = 0; k < plan->n_task; k++)
        if (wr_plan_find(from_plan, plan->task[k].id) == SIZE_MAX && !plan->task[k].low_min.known &&
            !plan->task[k].median_min.known)
            return wr_fail(
                err, WR_E_INPUT,
                "%s:%zu: task '%s' was never rehearsed and is new here: write its low, likely and high, or median and "
                "sdlog",
                plan->file ? plan->file : "plan", plan->task[k].line, plan->task[k].id);
    *d = (struct wr_durations){.n_task = plan->n_task, .n_draw = n, .n_person = from->n_person, .n_lane = plan->n_lane};
    d->source = WR_NEW_ARRAY(struct wr_source, d->n_task);
    d->centre_log = WR_NEW_ARRAY(double, d->n_task * n);
    d->spread_log = WR_NEW_ARRAY(double, d->n_task * n);
    d->lanes = WR_NEW_ARRAY(uint32_t, d->n_task);
    d->stream = WR_NEW_ARRAY(uint64_t, d->n_task);
    copy_judges(d, from);
    for (size_t k = 0; k < d->n_task; k++) {
        size_t at = wr_plan_find(from_plan, plan->task[k].id);
        d->lanes[k] = plan->task[k].lanes;
        d->stream[k] = wr_mix_text(plan->task[k].id);
        if (at != SIZE_MAX) {
            copy_task(d, k, from, at);
            continue;
        }
        d->source[k] = own_source(&plan->task[k], options);
        wr_judgement_apply_to(d, k, &plan->task[k], options);
    }
    d->tau = WR_COPY(from->tau, n);
    d->rho = WR_COPY(from->rho, n);
    d->kappa = WR_COPY(from->kappa, n);
    d->q = WR_COPY(from->q, d->n_person * n);
    d->run_effect_shift = WR_COPY(from->run_effect_shift, n);
    d->run_effect_sd = WR_COPY(from->run_effect_sd, n);
    copy_line_ups(d, plan, from, from_plan);
    return WR_OK;
}
