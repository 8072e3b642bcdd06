#include "wetrun/present/fit_view.h"

#include <math.h>
#include <stdio.h>
#include "earlier_json.h"
#include "json.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"
#include "wetrun/stats/learning.h"
#include "wetrun/stats/log_sample.h"

static const char *family_words(const struct wr_fit_summary *summary, const struct wr_source *source)
{
    if (source->kind != WR_SRC_MODEL) return wr_source_name(source);
    return summary->has_skew ? "skew-lognormal" : "lognormal";
}

static const char *source_words(enum wr_source_kind source)
{
    switch (source) {
    case WR_SRC_MODEL: return "rehearsals";
    case WR_SRC_LOGNORMAL: return "known before";
    case WR_SRC_JUDGED: return "judgement";
    case WR_SRC_FIXED: break;
    }
    return "fixed time";
}

/* A task that no rehearsal timed is placed by its planned time, as the others stand to theirs, or among them. */
static const char *rests_on(const struct wr_task_summary *t, bool is_planned)
{
    if (t->restated) return "judgement and its record";
    if (t->source.kind == WR_SRC_MODEL && t->n_done + t->n_stopped == 0)
        return is_planned ? "planned time" : "other tasks";
    return source_words(t->source.kind);
}

/* ---- estimates in words ---- */

/* "+4 % (−2 to +11 %)" of a factor's logarithm. */
static void effect_words(const struct wr_estimate *log_factor, struct wr_str *out)
{
    wr_str_addf(out, "%s %% (%s to %s %%)", wr_signed(100.0 * expm1(log_factor->value), WR_ROOM),
                wr_signed(100.0 * expm1(log_factor->lo), WR_ROOM), wr_signed(100.0 * expm1(log_factor->hi), WR_ROOM));
}

void wr_learning_sentence(const struct wr_fit_summary *s, struct wr_str *out)
{
    if (!s->has_model) return;
    if (!s->has_learning) {
        wr_str_add(out, "Learning from run to run was left out.");
        return;
    }
    struct wr_estimate doubling = {s->slope_log.value * log(2), s->slope_log.lo * log(2), s->slope_log.hi * log(2)};
    wr_str_add(out, "In the forecast each doubling of the number of rehearsals changes the times by ");
    effect_words(&doubling, out);
    wr_str_add(out, s->slope_log.lo <= 0 && s->slope_log.hi >= 0 ? " (no trend is shown)" : "");
    wr_str_add(out, ", estimated with all else at once; `compare` takes the trend from the rehearsals alone.");
}

void wr_run_effect_sentence(const struct wr_fit_summary *s, struct wr_str *out)
{
    if (!s->has_model) return;
    wr_str_addf(out, "A day is slow or fast for all tasks alike, typically by %s %% (90 %% interval %s to %s %%).",
                wr_minutes_bare(100.0 * expm1(s->tau_log.value), WR_ROOM),
                wr_minutes_bare(100.0 * expm1(s->tau_log.lo), WR_ROOM),
                wr_minutes_bare(100.0 * expm1(s->tau_log.hi), WR_ROOM));
}

/* "1.30 (1.10 to 1.52)" of a factor's logarithm. */
static void factor_words(const struct wr_estimate *log_factor, struct wr_str *out)
{
    wr_str_addf(out, "%s (%s to %s)", wr_factor(exp(log_factor->value), WR_ROOM),
                wr_factor(exp(log_factor->lo), WR_ROOM), wr_factor(exp(log_factor->hi), WR_ROOM));
}

static void task_spread_sentence(const struct wr_fit_summary *s, struct wr_str *out)
{
    if (!s->has_model) return;
    const struct wr_estimate *d = &s->spread_by_length;
    const struct wr_estimate doubling = {d->value * log(2), d->lo * log(2), d->hi * log(2)};
    wr_str_addf(out,
                "Beyond that a task of middling length is slow or fast by %s %% (%s to %s %%), one twice as long by ",
                wr_minutes_bare(100.0 * expm1(s->spread_log.value), WR_ROOM),
                wr_minutes_bare(100.0 * expm1(s->spread_log.lo), WR_ROOM),
                wr_minutes_bare(100.0 * expm1(s->spread_log.hi), WR_ROOM));
    factor_words(&doubling, out);
    wr_str_add(out, " times that; tasks of one length differ in it by a factor of ");
    factor_words(&s->spread_between_log, out);
    wr_str_add_char(out, '.');
}

static void worst_chain(const struct wr_posterior *p, const struct wr_chain_check **rhat,
                        const struct wr_chain_check **ess)
{
    *rhat = *ess = &p->check[0];
    for (size_t i = 1; i < p->n_check; i++) {
        if (p->check[i].rhat > (*rhat)->rhat) *rhat = &p->check[i];
        if (p->check[i].ess < (*ess)->ess) *ess = &p->check[i];
    }
}

void wr_chains_sentence(const struct wr_posterior *p, struct wr_str *out)
{
    const struct wr_chain_check *rhat, *ess;

    if (!p || p->n_check == 0) return;
    worst_chain(p, &rhat, &ess);
    if (!p->chains_agree) wr_str_add(out, "The chains do not agree: do not rely on these numbers. ");
    wr_str_addf(out, "%zu chains, %zu draws; ", p->n_chain, p->n_draw);
    if (isfinite(rhat->rhat)) wr_str_addf(out, "largest R-hat %.3f (%s), ", rhat->rhat, rhat->name);
    else wr_str_addf(out, "%s never moved within a chain, ", rhat->name);
    wr_str_addf(out, "smallest effective sample %.0f (%s).", ess->ess, ess->name);
}

/* Whether the totals allow a forecast of the next: enough that count, and that differ. */
static bool total_quantiles(const struct wr_total_check *total, const double *prob, size_t n, struct wr_maybe *quantile)
{
    bool all = total && total->n_counted >= WR_FEWEST_TOTALS;

    for (size_t i = 0; all && i < n; i++) {
        quantile[i] = wr_log_predictive_quantile(&total->sample, prob[i]);
        all = quantile[i].known;
    }
    return all;
}

/* A slope of logs on log order, in percent with each doubling. */
static const char *doubling_words(double slope_log, char buf[WR_WORDS])
{
    return wr_signed(100 * (wr_learning_rate(slope_log) - 1), buf);
}

static void compared_words(const struct wr_total_disagreement *d, struct wr_str *out)
{
    WR_SCOPED_STR words = {0};

    wr_total_disagreement_words(d, &words);
    wr_str_add_char(out, ' ');
    wr_add_capital(out, wr_str_text(&words));
    if (!d->unshown || d->beyond_chance) {
        wr_str_addf(out, ": %s than chance explains%s.", d->beyond_chance ? "more" : "no more",
                    d->far ? " by the scatter of these totals, and no answer about a limit may be firm" : "");
        return;
    }
    wr_str_addf(out,
                ". But that learning, %s %% with each doubling, moved them, and is not shown by their own trend, %s %% "
                "(90 %% interval %s to %s %%), by which the middle of the run forecast lies from %s to %s (90 %% "
                "interval): the totals say nothing for the forecast.",
                doubling_words(d->slope_log, WR_ROOM), doubling_words(d->own_slope_log.value, WR_ROOM),
                doubling_words(d->own_slope.lo, WR_ROOM), doubling_words(d->own_slope.hi, WR_ROOM),
                wr_moment(d->own_middle_min.lo, WR_ROOM), wr_moment(d->own_middle_min.hi, WR_ROOM));
}

/* The totals are of the other rehearsals; as much of these as is known. */
static void add_left_out(const struct wr_total_check *total, struct wr_str *out)
{
    double longest_min;
    size_t n = wr_total_check_longer(total, 0, &longest_min);

    wr_str_add_char(out, ' ');
    wr_add_capital(out, wr_count_words(n, WR_ROOM));
    wr_str_addf(out, " of the %s rehearsals %s left out of the totals, too much of which is missing: %s at least %s.",
                wr_count_words(total->n_run, WR_ROOM), n == 1 ? "is" : "are",
                n == 1 ? "it took" : "the longest took", wr_moment(longest_min, WR_ROOM));
}

void wr_total_sentence(const struct wr_fit_result *r, struct wr_str *out)
{
    struct wr_maybe quantile[3];

    if (r->total && r->total->n_counted < WR_FEWEST_TOTALS)
        wr_str_addf(out,
                    "Without any model: not enough to say. It takes three totals, in each at most a tenth of the "
                    "minutes filled in for what was not done or is not known; here %s count%s.",
                    r->total->n_counted ? wr_count_words(r->total->n_counted, WR_ROOM) : "none",
                    r->total->n_counted < 2 ? "s" : "");
    if (!total_quantiles(r->total, (const double[]){0.1, 0.5, 0.9}, 3, quantile)) return;
    size_t n_filled = 0;
    for (size_t i = 0; i < r->total->n_run; i++) n_filled += r->total->counts[i] && r->total->n_filled[i] > 0;
    wr_str_addf(out, "Without any model and without learning, from %zu totals alone%s", r->total->n_counted,
                r->total->all_done ? ", with all work done, also what the plan may drop" : "");
    if (n_filled > 0)
        wr_str_addf(out, " (in %s of them the usual time stands in for what was not done or is not known",
                    wr_count_words(n_filled, WR_ROOM));
    if (n_filled > 0 && r->total->n_never > 0)
        wr_str_addf(out, "; %s task%s that no rehearsal timed count%s as planned or judged",
                    wr_count_words(r->total->n_never, WR_ROOM), r->total->n_never == 1 ? "" : "s",
                    r->total->n_never == 1 ? "s" : "");
    if (n_filled > 0) wr_str_add(out, ")");
    wr_str_addf(out, ": the next rehearsal's finish, in the pool, by %s as likely as not, 80 of 100 from %s to %s.",
                wr_moment(quantile[1].value, WR_ROOM), wr_moment(quantile[0].value, WR_ROOM),
                wr_moment(quantile[2].value, WR_ROOM));
    double longest_min;
    size_t n_left_out = wr_total_check_longer(r->total, 0, &longest_min);
    size_t n_longer = wr_total_check_longer(r->total, quantile[2].value, &longest_min);
    if (n_left_out > 0 && n_longer == 0) add_left_out(r->total, out);
    if (n_longer > 0) {
        wr_str_add_char(out, ' ');
        wr_add_capital(out, wr_count_words(n_longer, WR_ROOM));
        wr_str_addf(out,
                    " rehearsal%s left out of the totals, too much of which is missing, took longer than that all the "
                    "same, up to %s: the totals are of the shorter rehearsals, and that the forecast agreed with them "
                    "would say nothing for it.",
                    n_longer == 1 ? "" : "s", wr_moment(longest_min, WR_ROOM));
    }
    if (r->disagreement && r->disagreement->known && (r->disagreement->beyond_chance || n_longer == 0))
        compared_words(r->disagreement, out);
}

/* ---- grids ---- */

/* What nobody timed has no interval: that its parameters are given does not make it known. */
static bool is_judged(const struct wr_task_summary *t)
{
    return t->source.kind == WR_SRC_JUDGED;
}

/* Parameters that are given, or fitted to the task alone, are one value in every draw: how sure they are is not said by
 * them. */
static bool has_interval(const struct wr_task_summary *t)
{
    return !is_judged(t) && t->median_min.lo < t->median_min.hi;
}

static void grid_interval(struct wr_grid *grid, const struct wr_task_summary *t)
{
    const struct wr_estimate *e = &t->median_min;

    if (is_judged(t)) {
        wr_grid_text(grid, "judged");
        wr_grid_sorts_by(grid, e->value);
        return;
    }
    if (!has_interval(t)) {
        wr_grid_absent(grid);
        return;
    }
    wr_grid_textf(grid, "%s to %s", wr_minutes_bare(e->lo, WR_ROOM), wr_minutes_bare(e->hi, WR_ROOM));
    wr_grid_sorts_by(grid, e->lo);
}

static const struct wr_column task_column[] = {
    {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 10},
    {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    {"done", "done,\ntimed", WR_UNIT_COUNT, WR_EVERYBODY, 0},
    {"stopped", "stop-\nped", WR_UNIT_COUNT, WR_EVERYBODY, 0},
    {"skipped", "skip-\nped", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
    {"family", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"source", "rests on", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
    {"median_min", "median\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"median_interval", "90 %\ninterval", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"median_lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"median_hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"mean_min", "mean\nmin", WR_UNIT_MINUTES, WR_PAGE | WR_MACHINE, 0},
    {"sd_min", "sd\nmin", WR_UNIT_MINUTES, WR_PAGE | WR_MACHINE, 0},
    {"sd_lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"sd_hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"p80_min", "80 of\n100 by", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"p80_lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"p80_hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"p95_min", "95 of\n100 by", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"p95_lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"p95_hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"own_median_min", "own\nmedian", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
    {"moved", "moved\nby factor", WR_UNIT_FACTOR, WR_PAGE | WR_MACHINE, 0},
};

static void grid_estimate(struct wr_grid *grid, const struct wr_estimate *e)
{
    WR_GRID_NUMBERS(grid, e->value, e->lo, e->hi);
}

static void grid_ends(struct wr_grid *grid, const struct wr_task_summary *t, const struct wr_estimate *e)
{
    bool known = has_interval(t);

    WR_GRID_MAYBES(grid, known ? wr_known(e->lo) : WR_UNKNOWN, known ? wr_known(e->hi) : WR_UNKNOWN);
}

void wr_grid_of_task_times(const struct wr_fit_result *r, struct wr_grid *grid)
{
    wr_grid_init(grid, task_column, sizeof task_column / sizeof *task_column);
    for (size_t k = 0; k < r->summary->n_task; k++) {
        const struct wr_task_summary *t = &r->summary->task[k];
        WR_GRID_TEXTS(grid, r->plan->task[k].id, r->plan->task[k].title);
        WR_GRID_NUMBERS(grid, (double)t->n_done, (double)t->n_stopped, (double)t->n_skipped);
        WR_GRID_TEXTS(grid, family_words(r->summary, &t->source), rests_on(t, r->plan->task[k].planned_min.known));
        wr_grid_number(grid, t->median_min.value);
        grid_interval(grid, t);
        grid_ends(grid, t, &t->median_min);
        bool says = wr_sd_says(t->sd_min.value, t->median_min.value, t->p95_min.value);
        wr_grid_maybe(grid, says ? wr_known(t->mean_min.value) : WR_UNKNOWN);
        const struct wr_estimate *const with_ends[] = {&t->sd_min, &t->p80_min, &t->p95_min};
        for (size_t i = 0; i < sizeof with_ends / sizeof *with_ends; i++) {
            wr_grid_maybe(grid, i > 0 || says ? wr_known(with_ends[i]->value) : WR_UNKNOWN);
            grid_ends(grid, t, with_ends[i]);
        }
        WR_GRID_MAYBES(grid, t->own_median_min, t->moved);
        wr_grid_about(grid, k);
    }
}

static const struct wr_column effect_column[] = {
    {"name", "name", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    {"effect", "slower (+) or faster,\n90 % interval", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"effect_log", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"effect_log_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"effect_log_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
};
enum { EFFECT_COLUMNS = sizeof effect_column / sizeof *effect_column };

static void effect_row(struct wr_grid *grid, const char *name, const struct wr_estimate *log_factor)
{
    WR_SCOPED_STR words = {0};

    effect_words(log_factor, &words);
    WR_GRID_TEXTS(grid, name, wr_str_text(&words));
    wr_grid_sorts_by(grid, log_factor->value);
    grid_estimate(grid, log_factor);
}

static void grid_of_run_effects(const struct wr_fit_result *r, struct wr_grid *grid)
{
    wr_grid_init(grid, effect_column, EFFECT_COLUMNS);
    if (!r->summary->has_model || !r->log) return;
    for (size_t i = 0; i < r->summary->n_run; i++)
        effect_row(grid, r->log->run[r->summary->run[i]].id, &r->summary->run_effect_log[i]);
}

void wr_grid_of_people(const struct wr_fit_result *r, struct wr_grid *grid)
{
    wr_grid_init(grid, effect_column, EFFECT_COLUMNS);
    for (size_t p = 0; r->summary->has_model && p < r->summary->n_person; p++)
        effect_row(grid, r->summary->person[p].name, &r->summary->person[p].q_log);
}

/* ---- renderings ---- */

static void add_candidate_counts(struct wr_str *out, const struct wr_candidates *c)
{
    size_t first[WR_N_FAMILY] = {0}, none = 0;
    WR_SCOPED_STR text = {0};

    for (size_t k = 0; k < c->n_task; k++) {
        const struct wr_candidate *best = &c->candidate[k * WR_N_FAMILY];
        if (best->fitted && best->fit.aicc.known) /* of too few times none has one: then none is lowest */
            first[best->family]++;
        else
            none++;
    }
    if (none == c->n_task) return;
    wr_str_add(&text, "A look at each task alone, which the forecast does not rest on: lowest AICc");
    for (int f = 0, n = 0; f < WR_N_FAMILY; f++)
        if (first[f]) wr_str_addf(&text, "%s %s %zu", n++ ? "," : "", wr_family_name((enum wr_family)f), first[f]);
    if (none) wr_str_addf(&text, "; none for %zu", none);
    wr_str_add(&text, ". --format json has all candidates.");
    wr_prose_say(out, &text);
}

static void add_earlier(const struct wr_present_context *ctx, const struct wr_fit_result *r, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    WR_SCOPED_GRID grid = {0};

    if (!r->earlier.earlier) return;
    wr_earlier_sentence(&r->earlier, NULL, &text);
    wr_str_add_char(out, '\n');
    wr_prose_say(out, &text);
    wr_grid_of_earlier(&r->earlier, &grid);
    wr_grid_add_terminal(&grid, wr_context_columns(ctx), out);
}

static const char *rehearsals_head(const struct wr_fit_result *r)
{
    bool people = r->summary->n_person > 0;

    return !r->summary->has_learning ? people ? "Rehearsals, with people taken out" : "Rehearsals"
           : people                  ? "Rehearsals, with learning and people taken out"
                                     : "Rehearsals, with learning taken out";
}

static void fit_table(const struct wr_present_context *ctx, const struct wr_fit_result *r, const struct wr_grid *tasks,
                      struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_context_headline(ctx, "task times", &text);
    wr_str_add_char(&text, '.');
    wr_prose_say(out, &text);
    if (r->posterior && !r->posterior->chains_agree) {
        wr_chains_sentence(r->posterior, &text);
        wr_prose_say(out, &text);
    }
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(tasks, wr_context_columns(ctx), out);
    wr_str_add(&text,
               "Minutes as the forecast sees them, for the run that is forecast; \"own median\" is of the task's done "
               "times alone.");
    wr_prose_say(out, &text);
    wr_str_add_char(out, '\n');
    wr_run_effect_sentence(r->summary, &text);
    wr_prose_say(out, &text);
    task_spread_sentence(r->summary, &text);
    wr_prose_say(out, &text);
    wr_learning_sentence(r->summary, &text);
    wr_prose_say(out, &text);
    wr_total_sentence(r, &text);
    wr_prose_say(out, &text);
    if (r->candidates) add_candidate_counts(out, r->candidates);
    grid_of_run_effects(r, &grid);
    wr_context_add_grid(ctx, rehearsals_head(r), &grid, out);
    wr_grid_of_people(r, &grid);
    wr_context_add_grid(ctx, "People (no ranking is meant)", &grid, out);
    add_earlier(ctx, r, out);
    wr_chains_sentence(r->posterior, &text);
    if (text.len) wr_str_add_char(out, '\n');
    wr_prose_say(out, &text);
}

static void candidates_json(struct wr_json *j, json_t *at, const struct wr_candidate *c)
{
    json_t *list = wr_json_array(j, at, "candidates"), *none = wr_json_array(j, at, "no_candidate");

    for (int f = 0; f < WR_N_FAMILY; f++) {
        json_t *row = wr_json_row(j, c[f].fitted ? list : none);
        wr_json_text(j, row, "family", wr_family_name(c[f].family));
        if (!c[f].fitted) {
            wr_json_text(j, row, "why", c[f].why);
            continue;
        }
        json_t *parameters = wr_json_object(j, row, "parameters");
        for (int i = 0; i < wr_family_n_parameter(c[f].family); i++)
            wr_json_number(j, parameters, wr_family_parameter(c[f].family, i), c[f].fit.law.par[i]);
        wr_json_number(j, row, "loglik", c[f].fit.loglik);
        wr_json_maybe(j, row, "aicc", c[f].fit.aicc);
        wr_json_maybe(j, row, "anderson_darling", c[f].anderson_darling);
        wr_json_maybe(j, row, "p_value", c[f].p_value);
    }
}

/* {VALUE_KEY: value, "interval": [lo, hi]}, or null where it was not estimated */
static void estimate_json(struct wr_json *j, const char *key, const char *value_key, bool there,
                          const struct wr_estimate *e)
{
    json_t *at = wr_json_object_if(j, j->root, key, there);

    if (!at) return;
    wr_json_number(j, at, value_key, e->value);
    wr_json_pair(j, at, "interval", e->lo, e->hi);
}

static void chains_json(struct wr_json *j, const struct wr_posterior *p)
{
    json_t *chains = wr_json_object(j, j->root, "chains");

    wr_json_bool(j, chains, "agree", p->chains_agree);
    wr_json_count(j, chains, "chains", p->n_chain);
    wr_json_count(j, chains, "draws", p->n_draw);
    json_t *checks = wr_json_array(j, chains, "checks");
    for (size_t i = 0; i < p->n_check; i++) {
        json_t *row = wr_json_row(j, checks);
        wr_json_text(j, row, "of", p->check[i].name);
        /* a quantity that does not move has neither */
        wr_json_maybe(j, row, "rhat", isfinite(p->check[i].rhat) ? wr_known(p->check[i].rhat) : WR_UNKNOWN);
        wr_json_maybe(j, row, "effective", isfinite(p->check[i].ess) ? wr_known(p->check[i].ess) : WR_UNKNOWN);
    }
}

static void total_json(struct wr_json *j, const struct wr_fit_result *r)
{
    struct wr_maybe quantile[WR_N_QUANTILE];
    bool there = total_quantiles(r->total, wr_quantile_prob, WR_N_QUANTILE, quantile);
    json_t *at = wr_json_object_if(j, j->root, "without_model", there);

    if (!at) return;
    json_t *quantiles = wr_json_object(j, at, "quantiles_min");
    wr_json_count(j, at, "runs", r->total->n_counted);
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        char key[32];
        snprintf(key, sizeof key, "%g", wr_quantile_prob[q]);
        wr_json_maybe(j, quantiles, key, quantile[q]);
    }
    wr_json_bool(j, at, "all_work_done", r->total->all_done);
    double longest_min;
    size_t n_left_out = wr_total_check_longer(r->total, 0, &longest_min);
    wr_json_count(j, at, "left_out", n_left_out);
    wr_json_maybe(j, at, "left_out_longest_min", n_left_out ? wr_known(longest_min) : WR_UNKNOWN);
    bool known = r->disagreement && r->disagreement->known;
    wr_json_maybe(j, at, "forecast_by_totals", known ? wr_known(exp(r->disagreement->log_ratio)) : WR_UNKNOWN);
    wr_json_maybe(j, at, "p_centre", known ? wr_known(r->disagreement->p_centre) : WR_UNKNOWN);
    wr_json_maybe(j, at, "p_centre_by_totals", known ? wr_known(r->disagreement->p_own) : WR_UNKNOWN);
    wr_json_maybe(j, at, "p_spread", known ? wr_known(r->disagreement->p_spread) : WR_UNKNOWN);
    if (known) {
        wr_json_bool(j, at, "beyond_chance", r->disagreement->beyond_chance);
        wr_json_bool(j, at, "far", r->disagreement->far);
    } else {
        wr_json_null(j, at, "beyond_chance");
        wr_json_null(j, at, "far");
    }
    bool own = known && r->disagreement->own_slope_log.known;
    json_t *line = wr_json_object_if(j, at, "own_trend", own);
    if (!line) return;
    wr_json_maybe(j, line, "slope_log", r->disagreement->own_slope_log);
    wr_json_pair(j, line, "interval", r->disagreement->own_slope.lo, r->disagreement->own_slope.hi);
    wr_json_number(j, line, "moved_by_slope_log", r->disagreement->slope_log);
    wr_json_pair(j, line, "middle_interval_min", r->disagreement->own_middle_min.lo,
                 r->disagreement->own_middle_min.hi);
    wr_json_bool(j, line, "learning_unshown", r->disagreement->unshown);
}

static void effects_json(struct wr_json *j, const char *key, struct wr_grid *grid)
{
    wr_json_take_grid(j, j->root, key, grid);
}

static enum wr_status fit_json(const struct wr_present_context *ctx, const struct wr_fit_result *r,
                               const struct wr_grid *tasks, struct wr_str *out, struct wr_error *err)
{
    const struct wr_fit_summary *s = r->summary;
    struct wr_grid grid;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    json_t *list = wr_json_grid(&j, j.root, "tasks", tasks);
    for (size_t k = 0; r->candidates && k < s->n_task; k++) /* where nobody looked for them there is no key */
        candidates_json(&j, json_array_get(list, k), &r->candidates->candidate[k * WR_N_FAMILY]);
    if (r->candidates)
        wr_json_text(&j, j.root, "candidates_are",
                     "a look at each task's own active minutes; the forecast does not rest on them");
    estimate_json(&j, "run_effect", "sd_log", s->has_model, &s->tau_log);
    estimate_json(&j, "learning", "slope_log", s->has_model && s->has_learning, &s->slope_log);
    estimate_json(&j, "people_spread", "sd_log", s->has_model && s->n_person > 0, &s->kappa_log);
    estimate_json(&j, "skew", "rho", s->has_model && s->has_skew, &s->rho);
    estimate_json(&j, "spread", "sd_log", s->has_model, &s->spread_log);
    estimate_json(&j, "spread_by_length", "slope", s->has_model, &s->spread_by_length);
    estimate_json(&j, "spread_between_tasks", "sd_log", s->has_model, &s->spread_between_log);
    wr_earlier_json(&j, &r->earlier);
    grid_of_run_effects(r, &grid);
    effects_json(&j, "runs", &grid);
    wr_grid_of_people(r, &grid);
    effects_json(&j, "people", &grid);
    total_json(&j, r);
    if (r->posterior)
        chains_json(&j, r->posterior);
    else
        wr_json_null(&j, j.root, "chains");
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_fit(enum wr_format format, const struct wr_present_context *ctx,
                           const struct wr_fit_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID tasks = {0}, effects = {0};

    wr_grid_of_task_times(result, &tasks);
    grid_of_run_effects(result, &effects);
    enum wr_status status = wr_grid_check(&tasks, err);
    if (status == WR_OK) status = wr_grid_check(&effects, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: fit_table(ctx, result, &tasks, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&tasks, out); break;
    case WR_FORMAT_JSON: return fit_json(ctx, result, &tasks, out, err);
    }
    return WR_OK;
}
