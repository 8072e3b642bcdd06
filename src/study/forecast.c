/* From the campaign to its forecast: the model fitted, what simulated days draw from, the simulation. */
#include <math.h>
#include <string.h>
#include "study_parts.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/lengthens.h"
#include "wetrun/decide/short_tasks.h"
#include "wetrun/decide/stuck.h"
#include "wetrun/decide/to_forecast.h"
#include "wetrun/model/gap.h"
#include "wetrun/sim/scenarios.h"
#include "wetrun/stats/quantile.h"

static enum wr_status look_at_gap(struct wr_study *s, struct wr_error *err)
{
    const char *date = s->options.on;
    int64_t day;

    if (!date) return WR_OK;
    if (!wr_parse_log_date(date, strlen(date), &day))
        return wr_fail(err, WR_E_USAGE, "--on: '%s' is not a date, YYYY-MM-DD: write --on 2031-05-20", date);
    s->gap = wr_gap_before(&s->log, day, &s->findings);
    s->fit_options.hold_learning = s->gap.is_long;
    return WR_OK;
}

static enum wr_status build_durations(struct wr_durations *d, const struct wr_study *s, const struct wr_model_fit *fit,
                                      const struct wr_fit_options *options, struct wr_findings *findings,
                                      struct wr_error *err)
{
    return wr_durations_build(d, &s->plan, &s->net, &s->timing, fit, s->has_carry_over ? &s->carry_over : NULL, options,
                              findings, err);
}

/* What rests on the posterior cannot become surer than its draws allow: more trials than usual buy draws in
 * proportion. */
static size_t draws_for(size_t usual, size_t trials)
{
    size_t times = trials / WR_USUAL_TRIALS;

    return usual * (times < 1 ? 1 : times < MOST_DRAWS_TIMES ? times : MOST_DRAWS_TIMES);
}

static void release_fit(struct wr_study *s)
{
    wr_durations_release(&s->durations);
    wr_model_fit_release(&s->fit);
}

/* With as many draws as the precision asked for takes; found: by the fit that stands. */
static enum wr_status fit_precisely(struct wr_study *s, struct wr_findings *found, struct wr_error *err)
{
    for (bool enough = false;;) {
        enum wr_status status = wr_model_fit(&s->fit, &s->plan, &s->timing, &s->fit_options, found, err);
        if (!status) status = build_durations(&s->durations, s, &s->fit, &s->fit_options, found, err);
        if (!status) status = wr_study_weigh_draws(s, &enough, err);
        if (status || enough) return status;
        release_fit(s);
        wr_findings_release(found);
    }
}

enum wr_status wr_study_model(struct wr_study *s, struct wr_error *err)
{
    s->fit_options = s->options.fit;
    s->fit_options.sampler.seed = s->options.seed;
    s->fit_options.sampler.n_keep = draws_for(s->options.fit.sampler.n_keep, s->options.n_trial);
    s->fit_options.sampler.n_thread = s->options.n_thread;
    enum wr_status status = look_at_gap(s, err);
    if (status) return status;
    status = wr_study_learn_from_earlier(s, err);
    if (status) return status;
    if (s->screen.plan_doubtful) wr_prior_forget_level(&s->fit_options.priors);
    if (s->has_history && s->fit_options.target == WR_FOR_EXCURSION) {
        status = wr_carry_over_fit(&s->carry_over, &s->history, err);
        if (status) return status;
        s->has_carry_over = true;
    }
    WR_RELEASED_BY(wr_findings_release) struct wr_findings found = {0};
    status = fit_precisely(s, &found, err);
    for (size_t i = 0; i < found.n_finding; i++) {
        const struct wr_finding *f = &found.finding[i];
        wr_findings_add(&s->findings, f->severity, f->code, f->file, f->line, f->column, "%s", f->message);
    }
    return status;
}

struct wr_sim_options wr_study_sim_options(const struct wr_study *s)
{
    return (struct wr_sim_options){
        .n_trial = s->options.n_trial,
        .precision = s->options.precision.known ? s->options.precision.value : 0,
        .seed = s->options.seed,
        .n_thread = s->options.n_thread,
        .limit = s->limit,
        .n_limit = s->limits.n_limit,
    };
}

/* A run effect given from outside moves the answer where there are few rehearsals, and may do harm: the answer that the
 * rehearsals alone would have given is said beside it. */
static enum wr_status say_default_beside(struct wr_study *s, const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_fit_options usual = s->fit_options;
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit fit = {0};
    WR_RELEASED_BY(wr_durations_release) struct wr_durations durations = {0};
    WR_RELEASED_BY(wr_forecast_release) struct wr_forecast f = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0};

    usual.priors = wr_priors_default();
    usual.priors.learning = s->fit_options.priors.learning;
    usual.priors.skew = s->fit_options.priors.skew;
    if (s->screen.plan_doubtful) wr_prior_forget_level(&usual.priors);
    enum wr_status status = wr_model_fit(&fit, &s->plan, &s->timing, &usual, &unused, err);
    if (!status) status = build_durations(&durations, s, &fit, &usual, &unused, err);
    if (!status) status = wr_forecast_run(&f, &s->net, &durations, sim, err);
    if (!status && f.n_limit > 0)
        wr_findings_add(
            &s->findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
            "the run effect was given from outside; with the default prior %.1f of 100 (90 %% interval %.1f to "
            "%.1f) would go over %s, half of the finishes by %s",
            100 * f.limit[0].over.mean, 100 * f.limit[0].over.lo, 100 * f.limit[0].over.hi,
            wr_hmm(sim->limit[0].minutes, WR_ROOM), wr_hmm(f.quantile_min[WR_Q50], WR_ROOM));
    else if (!status)
        wr_findings_add(&s->findings, WR_WARNING, "run-effect-given", NULL, 0, 0,
                        "the run effect was given from outside; with the default prior half of the finishes come by %s",
                        wr_hmm(f.quantile_min[WR_Q50], WR_ROOM));
    return status;
}

/* Every moment is shown to the minute. */
static void say_if_short(struct wr_study *s)
{
    enum { SHORT_MIN = 5, MEDIAN = 4 };
    double half = s->forecast.quantile_min[MEDIAN];

    if (half > 0 && half < SHORT_MIN)
        wr_findings_add(&s->findings, WR_WARNING, "short-day", NULL, 0, 0,
                        "half of the finishes come within %.1f min, and times are shown to the minute: if the log "
                        "counts in another unit, "
                        "--minutes-in says so; --format json has every decimal",
                        half);
}

static double carried_over(const struct wr_study *s, size_t task)
{
    return s->has_carry_over ? exp(wr_carry_over_mean_log(&s->carry_over, s->plan.task[task].kind)) : 1;
}

/* Its own trend is one of pool times: carried over to the excursion as the forecast is. Where learning is held there is
 * no step of it to be credited or not. */
static void lengthening_words(const struct wr_lengthening *l, const struct wr_study *s, bool is_held,
                              struct wr_str *out)
{
    const struct wr_plan_task *task = &s->plan.task[l->task];

    wr_str_addf(out, "'%s', %+.0f %% with each doubling: the forecast takes %.0f min", task->id, 100 * l->per_doubling,
                l->forecast_min);
    if (!is_held) wr_str_addf(out, ", without that credit %.0f", l->uncredited_min);
    wr_str_addf(out, ", by its own trend %.0f", carried_over(s, l->task) * l->own_trend_min);
}

/* Learning goes on to the run that is forecast, or up to the last rehearsal. */
static bool is_learning_held(const struct wr_study *s)
{
    return s->fit_options.target == WR_FOR_EXCURSION || s->fit_options.hold_learning;
}

/* What the tasks that are shown to get longer would take by their own trends, as a factor on what is forecast. */
static void take_own_trends(struct wr_study *s, const struct wr_lengthening *found, size_t n)
{
    wr_free(s->own_trend_scale);
    s->own_trend_scale = NULL;
    if (n == 0) return;
    s->own_trend_scale = WR_NEW_ARRAY(double, s->net.n_task);
    for (size_t k = 0; k < s->net.n_task; k++) s->own_trend_scale[k] = 1;
    for (size_t i = 0; i < n; i++)
        s->own_trend_scale[found[i].task] =
            fmax(1, carried_over(s, found[i].task) * found[i].own_trend_min / found[i].forecast_min);
}

struct wr_whatif_options wr_study_longer_options(const struct wr_study *s)
{
    enum { DAYS = 4000 }; /* a difference of a hundredth to a third of one */

    return (struct wr_whatif_options){
        .n_trial = DAYS, .seed = s->options.seed, .n_thread = s->options.n_thread, .means_alone = true};
}

/* What a limit would come to if these tasks took what their own trends say, on the same simulated days: one that is
 * then no longer kept as is wanted (*decides), of several, or where there is none, the one that suffers most. */
static enum wr_status lengthening_cost(struct wr_study *s, size_t n, bool *decides, struct wr_str *out,
                                       struct wr_error *err)
{
    const struct wr_variant base = wr_study_as_it_is(s);
    const struct wr_variant longer = {.name = "own trend", .scale = s->own_trend_scale};
    const struct wr_whatif_options options = wr_study_longer_options(s);
    WR_RELEASED_BY(wr_whatif_release) struct wr_whatif whatif = {0};
    size_t worst = 0;

    *decides = s->lengthening_beside = false;
    if (n == 0 || base.n_limit == 0) return WR_OK;
    enum wr_status status = wr_whatif_run(&whatif, &base, &longer, 1, &options, err);
    if (status) return status;
    const struct wr_whatif_limit *limit = whatif.row[0].limit;
    for (size_t l = 0; l < base.n_limit; l++) {
        const double over = s->forecast.limit[l].over.mean;
        const struct wr_maybe wanted = s->limits.limit[l].confidence;
        const bool is_decided =
            wanted.known && wr_lengthening_decides(over, over - limit[l].gain.mean, wanted.value);
        if (is_decided > *decides || (is_decided == *decides && limit[l].gain.mean < limit[worst].gain.mean)) worst = l;
        *decides |= is_decided;
        s->lengthening_beside |= is_decided && l > 0;
    }
    double now = s->forecast.limit[worst].over.mean, then = now - limit[worst].gain.mean;
    if (then - now < WR_LENGTHENING_TOLD) return WR_OK;
    wr_str_addf(out, ". By %s about %.0f of 100 would go over '%s', %s, where the forecast has %.1f",
                n == 1 ? "that" : "their own trends", 100 * then, s->limits.limit[worst].name,
                wr_hmm(s->limits.limit[worst].minutes, WR_ROOM), 100 * now);
    return WR_OK;
}

/* One trend is shared by all tasks: a task that goes the other way is forecast too short. */
static enum wr_status say_if_lengthening(struct wr_study *s, const struct wr_comparison *comparison,
                                         struct wr_error *err)
{
    enum { NAMED = 3 };
    bool is_held = is_learning_held(s), decides;
    WR_SCOPED struct wr_lengthening *found = NULL;
    WR_SCOPED_STR text = {0};

    size_t n = wr_find_lengthening(&found, comparison, &s->timing, &s->forecast, &s->fit.post,
                                   is_held ? s->fit.last_order : s->fit.target_order);
    for (size_t i = 0; i < n && i < NAMED; i++) {
        if (i) wr_str_add(&text, "; ");
        lengthening_words(&found[i], s, is_held, &text);
    }
    if (n > NAMED) wr_str_addf(&text, "; and %zu more", n - NAMED);
    take_own_trends(s, found, n);
    enum wr_status status = lengthening_cost(s, n, &decides, &text, err);
    if (n > 0)
        wr_findings_add(&s->findings, WR_WARNING, decides ? "lengthening-decides" : "task-lengthens", NULL, 0, 0,
                        "%zu task%s shown to get longer over the rehearsals, and yet %s: %s", n,
                        n == 1 ? " is" : "s are",
                        is_held ? "forecast with the learning that all tasks share up to the last of them"
                                : "credited with the learning that all tasks share",
                        wr_str_text(&text));
    return status;
}

/* The limit that it decides of, of several, or where there is none, the one that suffers most. */
static size_t worst_stuck(struct wr_study *s, const struct wr_stuck_over *then, bool *decides)
{
    size_t worst = 0;
    double most = -1;

    *decides = s->stuck_beside = false;
    for (size_t l = 0; l < s->limits.n_limit; l++) {
        const struct wr_probability *over = &s->forecast.limit[l].over;
        const struct wr_maybe wanted = s->limits.limit[l].confidence;
        const bool is_decided = wanted.known && wr_stuck_decides(over, &then[l], wanted.value);
        const double more = then[l].mean - over->mean;
        s->stuck_beside |= is_decided && l > 0;
        if (is_decided < *decides || (is_decided == *decides && more <= most)) continue;
        *decides = is_decided;
        most = more;
        worst = l;
    }
    return worst;
}

/* What got stuck now and then may do so again; what did not is forecast as if it never could. */
static void say_if_stuck(struct wr_study *s)
{
    const struct wr_basis basis = wr_study_basis(s);
    const struct wr_stuck *stuck = &s->stuck;
    WR_SCOPED double *more = WR_NEW_ARRAY(double, basis.n_limit);
    WR_SCOPED struct wr_stuck_over *then = WR_NEW_ARRAY(struct wr_stuck_over, basis.n_limit);
    bool decides;

    if (basis.n_limit == 0 || s->fit.post.n_draw == 0) return;
    wr_stuck_release(&s->stuck);
    wr_stuck_find(&s->stuck, &s->timing);
    if (!stuck->told) return;
    wr_stuck_cost(more, stuck, &basis, s->options.seed, s->options.n_thread);
    for (size_t l = 0; l < basis.n_limit; l++) then[l] = wr_stuck_over(stuck, &s->forecast.limit[l].over, more[l]);
    const size_t worst = worst_stuck(s, then, &decides);
    if (more[worst] < WR_STUCK_TOLD) return;
    wr_findings_add(&s->findings, WR_WARNING, decides ? "stuck-decides" : "tasks-stuck", NULL, 0, 0,
                    "work got stuck now and then: %zu of %zu times that a task was done took at least %.1f times as "
                    "long as usual, on %zu of %zu tasks, and the others are forecast as steady as they were. If those "
                    "get stuck as often and as long, about %.0f of 100 (perhaps %.0f) would go over '%s', %s, where "
                    "the forecast has %.1f",
                    stuck->n_stuck, stuck->n_step, stuck->least, stuck->n_task_stuck, stuck->n_task,
                    100 * then[worst].mean, 100 * then[worst].hi, s->limits.limit[worst].name,
                    wr_hmm(s->limits.limit[worst].minutes, WR_ROOM), 100 * s->forecast.limit[worst].over.mean);
}

enum { DAYS = 8000 };

/* Finishes of the same days, ascending: finish[DAYS]. */
static void finishes_of_days(const struct wr_study *s, const struct wr_durations *d, const struct wr_network *net,
                             double *finish)
{
    WR_RELEASED_BY(wr_scenarios_release) struct wr_scenarios days = {0};
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, 2 * net->n_task);

    wr_scenarios_make(&days, d, DAYS, s->options.seed, s->options.n_thread);
    for (size_t i = 0; i < DAYS; i++) {
        wr_scenarios_durations(&days, i, minutes);
        finish[i] = wr_network_forward(net, minutes, NULL, minutes + net->n_task, NULL);
    }
    wr_sort_ascending(finish, DAYS);
}

/* The middle and the ninth tenth of the finish with nothing dropped, as the totals are. */
static void all_done_quantiles(const struct wr_study *s, const struct wr_durations *d, double *half, double *ninth)
{
    WR_SCOPED double *never = WR_NEW_ARRAY(double, s->net.n_task), *finish = WR_NEW_ARRAY(double, DAYS);
    const struct wr_network all_done = wr_network_all_done(&s->net, never);

    finishes_of_days(s, d, &all_done, finish);
    *half = wr_quantile_of_sorted(finish, DAYS, 0.5, WR_QUANTILE_TYPE_7);
    *ninth = wr_quantile_of_sorted(finish, DAYS, 0.9, WR_QUANTILE_TYPE_7);
}

/* It is of what the rehearsals had not: people who were named, what a gap may have cost. */
static bool is_shifted(const struct wr_study *s)
{
    return s->fit_options.people || s->fit_options.gap_allowance > 0;
}

static struct wr_total_forecast totals_forecast(const struct wr_study *s, double half, double ninth)
{
    const struct wr_posterior *post = &s->fit.post;
    bool learns = s->fit_options.priors.learning && post->n_draw > 0 && s->fit.n_model_task > 0;

    if (!(half > 0 && ninth > half)) return (struct wr_total_forecast){0};
    return (struct wr_total_forecast){
        .median_min = half,
        .sd_log = log(ninth / half) / 1.2815515655446004, /* 0.5 and 0.9: sd of the log from the middle */
        .slope_log = learns ? wr_posterior_slope_log(post) : 0,
        .target_order = s->fit_options.target == WR_FOR_EXCURSION ? s->fit.last_order : s->fit.target_order,
        .shifted = is_shifted(s),
    };
}

/* What the totals of the runs, seen without a model, are held against; median_min 0: nothing, too few of them count or
 * pool times are carried over. */
static struct wr_total_forecast make_totals(struct wr_study *s)
{
    double half = s->forecast.quantile_min[WR_Q50], ninth = s->forecast.quantile_min[WR_Q90];

    wr_total_check_make(&s->total, &s->plan, &s->net, &s->timing);
    if (s->has_carry_over || s->total.n_counted < WR_FEWEST_TOTALS) return (struct wr_total_forecast){0};
    if (s->total.all_done) all_done_quantiles(s, &s->durations, &half, &ninth);
    return totals_forecast(s, half, ninth);
}

/* A share as a percentage with its sign, for "%s%.1f". */
#define SIGNED(share) (share) < 0 ? "\xe2\x88\x92" : "+", 100 * fabs(share)

static void say_if_short_tasks_drive(struct wr_study *s, const struct wr_comparison *comparison,
                                     const struct wr_total_forecast *totals)
{
    const struct wr_trend *length = &comparison->length_trend;
    const struct wr_short_task_credit credit =
        wr_find_short_task_credit(comparison, &s->timing, &s->forecast, &s->fit.post,
                                  is_learning_held(s) ? s->fit.last_order : s->fit.target_order,
                                  totals->median_min > 0 ? wr_total_check_above(&s->total, totals) : WR_UNKNOWN);

    s->short_tasks_drive = credit.told;
    if (!credit.told) return;
    wr_findings_add(&s->findings, WR_WARNING, "learning-short-tasks", NULL, 0, 0,
                    "short tasks drive the learning that all are credited with: %s%.1f %% with each doubling of the "
                    "rehearsals, where the minutes of all together change by %s%.1f %% (90 %% interval %s%.1f to "
                    "%s%.1f). By that trend half of the finishes would come %s %.0f min later",
                    SIGNED(expm1(M_LN2 * credit.slope_log)), SIGNED(length->per_doubling),
                    SIGNED(length->per_doubling_lo), SIGNED(length->per_doubling_hi),
                    credit.at_most ? "up to" : "about", credit.later_min);
}

/* What the rehearsals show by themselves of the learning that the forecast credits. */
static enum wr_status say_of_trends(struct wr_study *s, const struct wr_total_forecast *totals, struct wr_error *err)
{
    const struct wr_compare_options options = {.by = WR_BY_NOTHING};
    WR_RELEASED_BY(wr_comparison_release) struct wr_comparison comparison = {0};

    s->short_tasks_drive = false;
    if (s->timing.n_run == 0 || s->fit.post.n_draw == 0 || !s->fit_options.priors.learning) return WR_OK;
    enum wr_status status = wr_compare(&comparison, &s->log, &s->timing, &options, err);
    if (status) return status;
    status = say_if_lengthening(s, &comparison, err);
    if (status) return status;
    say_if_short_tasks_drive(s, &comparison, totals);
    return WR_OK;
}

/* By how much half of the finishes come later on the same days, of the same draws, with what learning moves the tasks
 * by over `orders` (of log order) taken out; what the plan then drops more of eats part of it. */
static double later_without_learning_min(const struct wr_study *s, double orders)
{
    const struct wr_posterior *post = &s->fit.post;
    struct wr_durations without = s->durations;
    const size_t n = without.n_draw;
    WR_SCOPED double *centre_log = WR_COPY(without.centre_log, without.n_task * n),
                     *finish = WR_NEW_ARRAY(double, 2 * DAYS);

    WR_BUG_IF(n != post->n_draw);
    without.centre_log = centre_log;
    for (size_t k = 0; k < without.n_task; k++)
        for (size_t j = 0; wr_durations_are_modelled(&without, k) && j < n; j++)
            centre_log[k * n + j] -= post->gamma[j] * orders;
    finishes_of_days(s, &s->durations, &s->net, finish);
    finishes_of_days(s, &without, &s->net, finish + DAYS);
    return wr_quantile_of_sorted(finish + DAYS, DAYS, 0.5, WR_QUANTILE_TYPE_7) -
           wr_quantile_of_sorted(finish, DAYS, 0.5, WR_QUANTILE_TYPE_7);
}

/* A trend that may as well be none takes minutes off all the same: from where the rehearsals stand, on average, to the
 * run that is forecast. Whether that is much is judged with all work done: late work that is dropped only hides it. */
static void say_if_learning_is_open(struct wr_study *s)
{
    const double A_QUARTER = 0.25; /* of the finish's sd: less is lost in what days differ by */
    const struct wr_posterior *post = &s->fit.post;
    bool is_held = is_learning_held(s);
    double stand = 0, half = s->forecast.quantile_min[WR_Q50];

    if (s->timing.n_run == 0 || post->n_draw == 0 || !s->fit_options.priors.learning) return;
    for (size_t r = 0; r < s->timing.n_run; r++) stand += log(s->timing.run[r].order) / (double)s->timing.n_run;
    double slope = wr_posterior_slope_log(post);
    double orders = log(is_held ? s->fit.last_order : s->fit.target_order) - stand;
    double longer = half * expm1(-slope * orders);
    double lo = wr_quantile(post->gamma, post->n_draw, 0.05, WR_QUANTILE_TYPE_7);
    double hi = wr_quantile(post->gamma, post->n_draw, 0.95, WR_QUANTILE_TYPE_7);
    if (hi < 0 || longer < A_QUARTER * s->forecast.sd_min) return;
    wr_findings_add(&s->findings, WR_WARNING, "learning-open", NULL, 0, 0,
                    "learning is credited that is not shown: %+.1f %% with each doubling of the rehearsals (90 %% "
                    "interval %+.1f to %+.1f). Without it half of the finishes would come about %.0f min later: "
                    "--learning off forecasts so",
                    100 * expm1(M_LN2 * slope), 100 * expm1(M_LN2 * lo), 100 * expm1(M_LN2 * hi),
                    fmax(0, later_without_learning_min(s, orders)));
}

/* Where one finish in twenty takes this many times as long as half of them, a number would say nothing of any day. */
#define BEYOND_ALL_MEASURE 100

/* Rows that were lost come first: what is left of the log is then not what was meant. */
static void likely_cause(const struct wr_study *s, struct wr_str *out)
{
    if (s->log.rows_rejected > 0) {
        wr_str_addf(out, " (%zu of the log's %zu rows were rejected)", s->log.rows_rejected, s->log.rows_read);
        return;
    }
    for (size_t i = 0; i < s->findings.n_finding; i++) {
        const struct wr_finding *f = &s->findings.finding[i];
        if (strncmp(f->code, "implausible-", strlen("implausible-")) != 0) continue;
        wr_str_addf(out, " (%s)", f->message);
        return;
    }
}

static enum wr_status refuse_if_boundless(const struct wr_study *s, struct wr_error *err)
{
    double half = s->forecast.quantile_min[WR_Q50], late = s->forecast.quantile_min[WR_Q95];
    WR_SCOPED_STR cause = {0};

    if (isfinite(s->forecast.sd_min) && !(half > 0 && late > BEYOND_ALL_MEASURE * half)) return WR_OK;
    likely_cause(s, &cause);
    return wr_fail(err, WR_E_TOO_FEW,
                   "not enough data to say: from what was given, a day may take more than a hundred times as long as "
                   "half of them do%s: correct what `wetrun check` names",
                   wr_str_text(&cause));
}

static enum wr_status answer_for_excursion(struct wr_study *s, const struct wr_basis *basis,
                                           const struct wr_sim_options *sim, struct wr_error *err)
{
    if (!s->options.excursion_beside || !s->has_history || s->fit_options.target == WR_FOR_EXCURSION) return WR_OK;
    if (s->timing.n_run == 0 || s->fit_options.model == WR_MODEL_ALONE) return WR_OK;
    s->has_excursion = true;
    return wr_excursion_make(&s->excursion, &s->history, basis, &s->gap, sim, err);
}

/* A forecast that is carried over or shifted rests on a model of the same rehearsals: what that makes of a further one
 * must not lie far from what they took either. */
static enum wr_status check_as_rehearsed(struct wr_study *s, struct wr_error *err)
{
    WR_RELEASED_BY(wr_durations_release) struct wr_durations d = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings found = {0};
    struct wr_fit_options options = s->fit_options;
    double half, ninth;

    if (!(s->has_carry_over || is_shifted(s)) || s->total.n_counted < WR_FEWEST_TOTALS) return WR_OK;
    options.people = NULL;
    options.gap_allowance = 0;
    enum wr_status status =
        wr_durations_build(&d, &s->plan, &s->net, &s->timing, &s->fit, NULL, &options, &found, err);
    if (status) return status;
    all_done_quantiles(s, &d, &half, &ninth);
    struct wr_total_forecast forecast = totals_forecast(s, half, ninth);
    forecast.shifted = false;
    forecast.as_rehearsed = true;
    wr_findings_release(&found);
    if (forecast.median_min > 0 && wr_total_check_compare(&s->total, &forecast, &found).far)
        wr_findings_add(&s->findings, WR_WARNING, "totals-far", NULL, 0, 0, "%s", found.finding[0].message);
    return WR_OK;
}

/* A disagreement becomes a finding. */
static enum wr_status check_totals(struct wr_study *s, struct wr_total_forecast *forecast, struct wr_error *err)
{
    forecast->doubted = s->short_tasks_drive;
    if (forecast->median_min > 0) s->disagreement = wr_total_check_compare(&s->total, forecast, &s->findings);
    return check_as_rehearsed(s, err);
}

static void say_if_no_interval(struct wr_study *s)
{
    if (s->fit_options.model == WR_MODEL_ALONE)
        wr_findings_add(&s->findings, WR_WARNING, "no-interval", NULL, 0, 0,
                        "each task is fitted by itself (--model alone), for comparison only: nothing says how sure "
                        "that is, so whether a limit is kept cannot be told");
}

enum wr_status wr_study_forecast(struct wr_study *s, struct wr_error *err)
{
    struct wr_sim_options sim = wr_study_sim_options(s);
    const struct wr_priors *priors = &s->fit_options.priors;

    sim.progress = s->options.progress;
    sim.progress_arg = s->options.progress_arg;
    enum wr_status status = wr_forecast_run(&s->forecast, &s->net, &s->durations, &sim, err);
    if (!status) status = refuse_if_boundless(s, err);
    if (!status) status = wr_study_check_precision(s, err);
    if (!status) say_if_short(s);
    if (!status) say_if_no_interval(s);
    struct wr_total_forecast totals = {0};
    if (!status) totals = make_totals(s);
    if (!status) status = say_of_trends(s, &totals, err);
    if (!status) say_if_learning_is_open(s);
    if (!status) say_if_stuck(s);
    if (!status && s->earlier.n > 0) status = wr_study_forecast_without_earlier(s, &sim, err);
    if (!status && (priors->tau_fixed > 0 || priors->tau_lognormal) && s->fit_options.model == WR_MODEL_POOLED)
        status = say_default_beside(s, &sim, err);
    const struct wr_basis basis = wr_study_basis(s);
    if (!status) status = wr_beside_make(s->beside, &s->n_beside, &basis, &s->gap, &sim, err);
    if (!status) wr_beside_to_limits(s->beside, s->n_beside, &s->forecast);
    if (!status) status = answer_for_excursion(s, &basis, &sim, err);
    if (!status) status = check_totals(s, &totals, err);
    return status;
}

enum wr_status wr_study_summary(struct wr_study *s, struct wr_error *err)
{
    (void)err;
    wr_fit_summarise(&s->summary, &s->fit, &s->durations, &s->timing, &s->fit_options);
    wr_summary_to_forecast(&s->summary, &s->forecast);
    return WR_OK;
}

struct wr_basis wr_study_basis(const struct wr_study *s)
{
    return (struct wr_basis){.plan = &s->plan,
                             .net = &s->net,
                             .timing = &s->timing,
                             .fit_options = &s->fit_options,
                             .fit = &s->fit,
                             .carry_over = s->has_carry_over ? &s->carry_over : NULL,
                             .durations = &s->durations,
                             .limit = s->limit,
                             .n_limit = s->limits.n_limit};
}
