#include "wetrun/present/compare_view.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "json.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

/* ---- words ---- */

static void add_change(const struct wr_trend *t, const char *of, struct wr_str *out)
{
    wr_str_addf(out, "%s change by %s %% (90 %% interval %s to %s %%)%s", of, wr_signed(100 * t->per_doubling, WR_ROOM),
                wr_signed(100 * t->per_doubling_lo, WR_ROOM), wr_signed(100 * t->per_doubling_hi, WR_ROOM),
                wr_trend_shown(t) == 0 ? ": no trend is shown" : "");
}

/* A four-minute task weighs in the pace as one of two hours does: it is said beside the length, never for it. */
void wr_trend_sentence(const struct wr_comparison *c, struct wr_str *out)
{
    if (!c->trend.known) {
        wr_str_addf(out, "Fewer than %s rehearsals can be compared: too few to tell a trend.",
                    wr_count_words(WR_TREND_LEAST_RUNS, WR_ROOM));
        return;
    }
    if (c->length_trend.known) {
        wr_str_add(out, "From one rehearsal to twice as many, ");
        add_change(&c->length_trend, "the minutes of their tasks together", out);
    } else {
        wr_str_addf(out, "Fewer than %s rehearsals have three quarters of their minutes seen, so there is no trend "
                         "of their length; from one rehearsal to twice as many",
                    wr_count_words(WR_TREND_LEAST_RUNS, WR_ROOM));
    }
    wr_str_add_char(out, c->length_trend.known ? ';' : ',');
    add_change(&c->trend, " each task counted alike, times", out);
    wr_str_add(out, ". That is by the rehearsals alone; the forecast has its own estimate, made with all else at once "
                    "(`fit`).");
    if (c->n_length_unseen > 0 && c->length_trend.known)
        wr_str_addf(out, " Not in the minutes: %zu rehearsal%s of which less than three quarters were seen.",
                    c->n_length_unseen, c->n_length_unseen == 1 ? "" : "s");
}

void wr_spread_sentence(const struct wr_comparison *c, struct wr_str *out)
{
    const struct wr_trend *t = &c->spread_trend;

    if (!t->known) return;
    wr_str_addf(out,
                "How far single tasks scatter about what is usual on such a day changes by %s %% with each doubling "
                "(90 %% interval %s to %s %%)%s",
                wr_signed(100 * t->per_doubling, WR_ROOM), wr_signed(100 * t->per_doubling_lo, WR_ROOM),
                wr_signed(100 * t->per_doubling_hi, WR_ROOM),
                wr_trend_shown(t) == 0  ? ": it is not shown that the tasks settle, nor that they do not."
                : wr_trend_shown(t) < 0 ? ": the tasks settle."
                                        : ": the tasks do not settle.");
}

static bool goes(const struct wr_task_trend *t, bool longer)
{
    return t->told && (t->line.slope_log > 0) == longer;
}

static size_t count_told(const struct wr_comparison *c, bool longer)
{
    size_t n = 0;

    for (size_t k = 0; k < c->n_task; k++) n += goes(&c->task_trend[k], longer);
    return n;
}

/* "two get longer: Open the hatch (+12 %), Close it (+9.0 %)" */
static void add_told(const struct wr_compare_result *r, bool longer, struct wr_str *out)
{
    const struct wr_comparison *c = r->comparison;
    size_t n = count_told(c, longer), named = 0;

    wr_str_addf(out, "%s %s %s", wr_count_words(n, WR_ROOM), n == 1 ? "gets" : "get", longer ? "longer" : "shorter");
    for (size_t k = 0; k < c->n_task; k++) {
        if (!goes(&c->task_trend[k], longer)) continue;
        wr_str_addf(out, "%s %s (%s %%)", named++ ? "," : ":", r->plan->task[k].title,
                    wr_signed(100 * c->task_trend[k].line.per_doubling, WR_ROOM));
    }
}

void wr_task_trends_sentence(const struct wr_compare_result *r, struct wr_str *out)
{
    const struct wr_comparison *c = r->comparison;

    if (c->n_task_trend == 0) return;
    if (c->n_task_told == 0) {
        wr_str_addf(out,
                    "No single task is shown to get shorter or longer over the rehearsals, all %zu that were done at "
                    "least %d times looked at together. That does not show that they are steady.",
                    c->n_task_trend, WR_TREND_LEAST_CELLS);
        if (wr_trend_shown(&c->length_trend))
            wr_str_add(out, " The trend of whole rehearsals rests on all of them at once.");
        return;
    }
    size_t n_longer = count_told(c, true);
    wr_str_addf(out, "Of the %zu tasks done at least %d times, all looked at together, with each doubling of "
                "rehearsals ", c->n_task_trend, WR_TREND_LEAST_CELLS);
    if (n_longer < c->n_task_told) add_told(r, false, out);
    if (n_longer > 0 && n_longer < c->n_task_told) wr_str_add(out, "; ");
    if (n_longer > 0) add_told(r, true, out);
    wr_str_add(out, ". Of the others no trend is shown.");
    if (n_longer > 0)
        wr_str_addf(out, " The forecast gives all tasks one common trend, %s too.",
                    n_longer == 1 ? "this one" : "these");
}

static const char *reason_words(enum wr_compare_reason reason)
{
    switch (reason) {
    case WR_COMPARE_DONE: return "";
    case WR_COMPARE_ONE_GROUP: return "there is one group only";
    case WR_COMPARE_TOO_FEW_RUNS: return "too few runs to compare";
    case WR_COMPARE_NOT_CONNECTED: break;
    }
    return "no chain of common tasks connects the groups";
}

/* Of runs that can be compared: what the length lacks. */
static const char *length_reason_words(enum wr_compare_reason reason)
{
    return reason == WR_COMPARE_TOO_FEW_RUNS ? "too few of them have three quarters of their minutes seen"
                                             : "one of them has no rehearsal with three quarters of its minutes seen";
}

static void add_interval(struct wr_str *out, double ratio, const char *as_long, double lo, double hi)
{
    wr_str_addf(out, "%s times%s (90 %% interval %s to %s)", wr_factor(ratio, WR_ROOM), as_long, wr_factor(lo, WR_ROOM),
                wr_factor(hi, WR_ROOM));
}

static void add_labels(const struct wr_group_comparison *g, struct wr_str *out)
{
    wr_str_addf(out, "'%s' (%zu run%s) against '%s' (%zu run%s)", g->label[1], g->pace.n_run[1],
                g->pace.n_run[1] == 1 ? "" : "s", g->label[0], g->pace.n_run[0], g->pace.n_run[0] == 1 ? "" : "s");
}

static const char *p_words(double p, char buf[WR_WORDS])
{
    if (p < 0.001)
        snprintf(buf, WR_WORDS, "below 0.001");
    else
        snprintf(buf, WR_WORDS, "%.2g", p);
    return buf;
}

/* -1: faster, 1: slower, 0: neither is shown. An end that reads as 1.00 times is on neither side. */
static int shown_by(double lo, double hi)
{
    const double half_of_last = 0.005;

    return hi < 1 - half_of_last ? -1 : lo >= 1 + half_of_last ? 1 : 0;
}

/* Where the groups follow each other in time the interval that counts is the one with the trend out, for the other has
 * all learning in it; else all that are given. */
static bool trend_out_counts_alone(const struct wr_group_ratio *g)
{
    return g->in_order && g->has_detrended;
}

/* What every interval that counts shows. */
static int shown_by_intervals(const struct wr_group_ratio *g)
{
    int plain = shown_by(g->lo, g->hi);
    int detrended = g->has_detrended ? shown_by(g->detrended_lo, g->detrended_hi) : plain;

    return trend_out_counts_alone(g) || plain == detrended ? detrended : 0;
}

/* What the test can and cannot say with so many runs: what an interval that counts allows is not excluded. */
static void add_meaning(const struct wr_group_ratio *g, struct wr_str *out)
{
    bool both = g->has_detrended && !trend_out_counts_alone(g);
    double lo = g->has_detrended ? g->detrended_lo : g->lo, hi = g->has_detrended ? g->detrended_hi : g->hi;
    bool apart = both && shown_by(g->lo, g->hi) != shown_by(lo, hi);

    if (both) {
        lo = fmin(lo, g->lo);
        hi = fmax(hi, g->hi);
    }
    if (g->smallest_p > WR_GROUP_TOLD_P) {
        wr_str_addf(out, " With %zu and %zu runs no difference, however large, can reach 5 %%%s.", g->n_run[0],
                    g->n_run[1], g->holm_p.known ? ", all comparisons looked at together" : "");
        return;
    }
    if (shown_by_intervals(g) == 0)
        wr_str_addf(out, " %s; from %s %% to %s %% is not excluded.",
                    apart ? "The two intervals disagree about whether there is a difference" : "No difference is shown",
                    wr_signed(100 * (lo - 1), WR_ROOM), wr_signed(100 * (hi - 1), WR_ROOM));
}

static void add_ratios(const struct wr_group_ratio *g, const char *as_long, struct wr_str *out)
{
    add_interval(out, g->ratio, as_long, g->lo, g->hi);
    if (g->has_detrended) {
        wr_str_add(out, g->in_order ? "; they follow each other in time, and with the trend taken out "
                                    : "; with the trend taken out ");
        add_interval(out, g->detrended_ratio, as_long, g->detrended_lo, g->detrended_hi);
    } else if (g->in_order) {
        wr_str_add(out, "; they follow each other in time, so this cannot be told from learning");
    }
}

static void add_test(const struct wr_group_ratio *g, struct wr_str *out)
{
    char p[WR_WORDS], least[WR_WORDS];

    wr_str_addf(out, ". Moving whole runs between the groups: p %s%s (smallest possible %s).",
                g->permutation.p_two_sided < 0.001 ? "" : "= ", p_words(g->permutation.p_two_sided, p),
                p_words(g->permutation.smallest_p, least));
    if (g->holm_p.known) wr_str_addf(out, " For all comparisons together (Holm): p = %s.", p_words(g->holm_p.value, p));
    if (g->in_order) wr_str_add(out, " That test cannot take learning out.");
}

static void add_length(const struct wr_group_comparison *g, struct wr_str *out)
{
    const struct wr_group_ratio *length = &g->length;

    if (length->reason != WR_COMPARE_DONE) {
        wr_str_addf(out, "which takes longer cannot be told, for %s.", length_reason_words(length->reason));
        add_meaning(&g->pace, out);
        return;
    }
    add_ratios(length, " as long", out);
    add_test(length, out);
    if (length->n_run[0] != g->pace.n_run[0] || length->n_run[1] != g->pace.n_run[1])
        wr_str_addf(out,
                    " That rests on %zu and %zu runs: of the others less than three quarters of the minutes were seen.",
                    length->n_run[1], length->n_run[0]);
    add_meaning(length, out);
}

void wr_group_sentence(const struct wr_group_comparison *g, struct wr_str *out)
{
    if (g->pace.reason == WR_COMPARE_ONE_GROUP) {
        wr_str_addf(out, "All rehearsals that can be compared belong to '%s': there is one group only.",
                    g->label[g->pace.n_run[1] > 0]);
        return;
    }
    add_labels(g, out);
    wr_str_add(out, ": ");
    if (g->pace.reason != WR_COMPARE_DONE) {
        wr_str_addf(out, "%s.", reason_words(g->pace.reason));
        return;
    }
    add_length(g, out);
    wr_str_add(out, " Each task counted alike they take ");
    add_ratios(&g->pace, "", out);
    add_test(&g->pace, out);
}

/* By the test that fits the case, and by no more than the intervals given with it. */
struct verdict { int side; double ratio; }; /* -1: below 1, 1: above, 0: not told */

static struct verdict verdict_of(const struct wr_group_ratio *g)
{
    bool detrended = trend_out_counts_alone(g);
    struct wr_maybe p = detrended ? g->detrended_p : g->holm_p.known ? g->holm_p : wr_known(g->permutation.p_two_sided);
    struct verdict v = {0, detrended ? g->detrended_ratio : g->ratio};

    if (g->reason == WR_COMPARE_DONE && p.known && p.value <= WR_GROUP_TOLD_P && !(g->in_order && !detrended))
        v.side = shown_by_intervals(g);
    return v;
}

/* Is the second group slower? */
static void answer_group(const struct wr_group_comparison *g, struct wr_str *out)
{
    const struct verdict length = verdict_of(&g->length), pace = verdict_of(&g->pace);

    if (g->pace.reason != WR_COMPARE_DONE) {
        wr_group_sentence(g, out);
        wr_str_add_char(out, ' ');
        return;
    }
    if (length.side)
        wr_str_addf(out, "'%s' is %s than '%s', beyond chance: %s times as long. ", g->label[1],
                    length.side > 0 ? "slower" : "faster", g->label[0], wr_factor(length.ratio, WR_ROOM));
    else
        wr_str_addf(out, "Whether '%s' is slower or faster than '%s' cannot be told from these rehearsals. ",
                    g->label[1], g->label[0]);
    if (length.side == pace.side) return;
    wr_str_addf(out, "Each task counted alike they take %s times; ", wr_factor(pace.ratio, WR_ROOM));
    if (g->length.reason == WR_COMPARE_DONE)
        wr_str_addf(out, "their minutes together %s times. ", wr_factor(length.ratio, WR_ROOM));
    else
        wr_str_addf(out, "of their minutes together nothing is known, for %s. ",
                    length_reason_words(g->length.reason));
}

/* What the trend of all must not hide. */
static void answer_longer(const struct wr_compare_result *r, struct wr_str *out)
{
    const struct wr_trend *length = &r->comparison->length_trend;
    WR_SCOPED_STR told = {0};

    if (count_told(r->comparison, true) == 0 || length->per_doubling > 0) return;
    add_told(r, true, &told);
    wr_str_addf(out, " %s with each doubling of rehearsals %s.",
                wr_trend_shown(length) < 0 ? "Not every task does:" : "But of single tasks,", wr_str_text(&told));
}

void wr_pace_beside_length(const struct wr_comparison *c, struct wr_str *out)
{
    wr_str_addf(out, "With each doubling of rehearsals times change by %s %%, each task counted alike",
                wr_signed(100 * c->trend.per_doubling, WR_ROOM));
    if (c->length_trend.known)
        wr_str_addf(out, "; their minutes together by %s %%", wr_signed(100 * c->length_trend.per_doubling, WR_ROOM));
    wr_str_add_char(out, '.');
}

void wr_compare_answer(const struct wr_compare_result *r, struct wr_str *out)
{
    const struct wr_comparison *c = r->comparison;
    int shown = wr_trend_shown(&c->length_trend);

    for (size_t g = 0; g < c->n_group; g++) answer_group(&c->group[g], out);
    if (!c->length_trend.known) wr_str_add(out, "The rehearsals are too few to tell whether they get shorter.");
    else if (shown == 0) wr_str_add(out, "Whether the rehearsals get shorter or longer cannot be told yet.");
    else wr_str_addf(out, "The rehearsals get %s.", shown < 0 ? "shorter" : "longer");
    if (shown != wr_trend_shown(&c->trend)) {
        wr_str_add_char(out, ' ');
        wr_pace_beside_length(c, out);
    }
    answer_longer(r, out);
    if (!c->spread_trend.known) return;
    if (wr_trend_shown(&c->spread_trend))
        wr_str_addf(out, " Their tasks %s.",
                    c->spread_trend.per_doubling < 0 ? "settle (they converge)" : "do not settle");
    else
        wr_str_add(out, " Whether their tasks settle (converge) cannot be told yet.");
}

/* ---- grids ---- */

/* More than a terminal's table has room for in one column. */
static bool has_many_lanes(const struct wr_comparison *c)
{
    return c->n_lane > 2;
}

static const char *waited(const struct wr_comparison *c, size_t run, size_t lane, char buf[WR_WORDS])
{
    double minutes = c->run[run].waiting_min[lane];

    return wr_moments_are_to_the_second() ? wr_minutes_whole(minutes, buf) /* briefer */ : wr_moment(minutes, buf);
}

static void grid_waiting(struct wr_grid *grid, const struct wr_comparison *c, size_t run)
{
    WR_SCOPED_STR text = {0};

    for (size_t l = 0; l < c->n_lane; l++)
        wr_str_addf(&text, "%s%s", l ? " / " : "", waited(c, run, l, WR_ROOM));
    wr_grid_text(grid, wr_str_text(&text));
    if (c->n_lane > 0) wr_grid_sorts_by(grid, c->run[run].waiting_min[0]);
}

static void grid_effect(struct wr_grid *grid, struct wr_maybe effect_log)
{
    if (!effect_log.known) {
        wr_grid_absent(grid);
        return;
    }
    wr_grid_textf(grid, "%s %%", wr_signed(100 * expm1(effect_log.value), WR_ROOM));
    wr_grid_sorts_by(grid, effect_log.value);
}

/* Work off the plan has its column for people only where there is any. */
#define RUN_COLUMNS(off_plan, waiting)                                                                                 \
    {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 5},                                                                     \
    {"date", "date", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},                                                           \
    {"finish_min", "finish", WR_UNIT_CLOCK, WR_EVERYBODY, 0},                                                          \
    {"active_min", "active", WR_UNIT_CLOCK, WR_EVERYBODY, 0},                                                          \
    {"lead_in_min", "lead-in", WR_UNIT_CLOCK, WR_EVERYBODY, 0},                                                        \
    {"gap_min", "unassigned", WR_UNIT_CLOCK, WR_PAGE | WR_MACHINE, 0},                                                 \
    {"hold_min", "holds", WR_UNIT_CLOCK, WR_EVERYBODY, 0},                                                             \
    {"off_plan_min", "off\nplan", WR_UNIT_CLOCK, off_plan, 0},                                                         \
    {"waiting", "waiting,\nlane by lane", WR_UNIT_TEXT, waiting, 11},                                                  \
    {"done", "done", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},                                                          \
    {"stopped", "stop-\nped", WR_UNIT_COUNT, WR_EVERYBODY, 0},                                                         \
    {"skipped", "skip-\nped", WR_UNIT_COUNT, WR_EVERYBODY, 0},                                                         \
    {"unknown", "not\nknown", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},                                                 \
    {"absent", "not\nlogged", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},                                                 \
    {"length", "length", WR_UNIT_TEXT, WR_PEOPLE, 0},                                                                  \
    {"length_log", "", WR_UNIT_PLAIN, WR_MACHINE, 0},                                                                  \
    {"length_seen", "", WR_UNIT_PLAIN, WR_MACHINE, 0},                                                                 \
    {"effect", "pace,\nalike", WR_UNIT_TEXT, WR_PEOPLE, 0},                                                            \
    {"effect_log", "", WR_UNIT_PLAIN, WR_MACHINE, 0},                                                                  \
    {"spread", "", WR_UNIT_PLAIN, WR_MACHINE, 0},                                                                      \
    {"complete", "complete", WR_UNIT_YES_NO, WR_PAGE | WR_MACHINE, 0}

static bool has_off_plan_work(const struct wr_comparison *c)
{
    for (size_t i = 0; i < c->n_run; i++)
        if (c->run[i].off_plan_min > 0) return true;
    return false;
}

void wr_grid_of_compared_runs(const struct wr_compare_result *r, struct wr_grid *grid)
{
    static const struct wr_column by_plan[] = {RUN_COLUMNS(WR_MACHINE, WR_PEOPLE)};
    static const struct wr_column off_plan[] = {RUN_COLUMNS(WR_PAGE | WR_MACHINE, WR_PEOPLE)};
    static const struct wr_column wide_by_plan[] = {RUN_COLUMNS(WR_MACHINE, WR_PAGE)};
    static const struct wr_column wide_off_plan[] = {RUN_COLUMNS(WR_PAGE | WR_MACHINE, WR_PAGE)};
    const bool wide = has_many_lanes(r->comparison), off = has_off_plan_work(r->comparison);

    wr_grid_init(grid, wide ? off ? wide_off_plan : wide_by_plan : off ? off_plan : by_plan,
                 sizeof by_plan / sizeof *by_plan);
    for (size_t i = 0; i < r->comparison->n_run; i++) {
        const struct wr_compared_run *c = &r->comparison->run[i];
        const struct wr_timing_run *t = &r->timing->run[i];
        char date[16];
        WR_GRID_TEXTS(grid, r->log->run[i].id, wr_log_run_date(&r->log->run[i], date));
        bool seen = !t->by_minutes; /* what lies between its tasks */
        wr_grid_maybe(grid, seen ? wr_known(t->finish_min.known ? t->finish_min.value : t->replay_min) : WR_UNKNOWN);
        wr_grid_number(grid, c->active_min);
        WR_GRID_MAYBES(grid, seen ? wr_known(c->lead_in_min) : WR_UNKNOWN, seen ? wr_known(c->gap_min) : WR_UNKNOWN);
        WR_GRID_NUMBERS(grid, c->hold_min, c->off_plan_min);
        if (seen) grid_waiting(grid, r->comparison, i);
        else wr_grid_absent(grid);
        WR_GRID_NUMBERS(grid, (double)t->n_done, (double)t->n_stopped, (double)t->n_skipped, (double)t->n_lost,
                        (double)t->n_absent);
        grid_effect(grid, c->length);
        WR_GRID_MAYBES(grid, c->length, c->length_seen);
        grid_effect(grid, c->effect);
        WR_GRID_MAYBES(grid, c->effect, c->spread);
        wr_grid_number(grid, t->complete);
    }
}

void wr_grid_of_standing_out(const struct wr_compare_result *r, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"run", "run", WR_UNIT_TEXT, WR_EVERYBODY, 5},
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "what stood out", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"minutes", "longer (+)\nor shorter", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"difference_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"ratio", "times usual\nfor the day", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
        {"sd", "how far out,\nin sd", WR_UNIT_FACTOR, WR_PAGE | WR_MACHINE, 0},
        {"at_least", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < r->comparison->n_run; i++) {
        const struct wr_compared_run *c = &r->comparison->run[i];
        for (size_t o = 0; o < c->n_out; o++) {
            WR_GRID_TEXTS(grid, r->log->run[i].id, r->plan->task[c->out[o].task].id,
                          r->plan->task[c->out[o].task].title);
            wr_grid_textf(grid, c->out[o].at_least ? "at least %s min" : "%s min",
                          wr_signed(c->out[o].minutes, WR_ROOM));
            wr_grid_sorts_by(grid, c->out[o].minutes);
            WR_GRID_NUMBERS(grid, c->out[o].minutes, c->out[o].ratio, c->out[o].sd, c->out[o].at_least);
        }
    }
}

static void grid_of_group_tasks(const struct wr_compare_result *r, size_t group, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"ratio", "times\nas long", WR_UNIT_FACTOR, WR_EVERYBODY, 0},
        {"max_t_p", "p, all tasks\ntogether", WR_UNIT_PLAIN, WR_EVERYBODY, 0},
        {"holm_p", "p, Holm", WR_UNIT_PLAIN, WR_PAGE | WR_MACHINE, 0},
        {"raw_p", "p, this task\nalone", WR_UNIT_PLAIN, WR_PAGE | WR_MACHINE, 0},
        {"t", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"told", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
    };
    const struct wr_group_comparison *g = &r->comparison->group[group];

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t k = 0; g->has_tasks && k < r->comparison->n_task; k++) {
        const struct wr_group_task *t = &g->task[k];
        WR_GRID_TEXTS(grid, r->plan->task[k].id, r->plan->task[k].title);
        WR_GRID_MAYBES(grid, t->ratio, t->test.max_t_p, t->test.holm_p, t->test.raw_p, t->test.t);
        wr_grid_number(grid, t->told);
    }
}

static struct wr_maybe if_known(const struct wr_trend *trend, double value)
{
    return trend->known ? wr_known(value) : WR_UNKNOWN;
}

static void grid_of_task_trends(const struct wr_compare_result *r, enum wr_task_trends_shown shown,
                                struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
        {"done", "times\ndone", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"change", "each\ndoubling", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"interval", "90 %\ninterval", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"per_doubling", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"per_doubling_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"per_doubling_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"slope_log", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"slope_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"slope_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"p", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"holm_p", "p, all tasks\ntogether", WR_UNIT_PLAIN, WR_EVERYBODY, 0},
        {"told", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t k = 0; k < r->comparison->n_task; k++) {
        const struct wr_task_trend *t = &r->comparison->task_trend[k];
        const struct wr_trend *line = &t->line;
        if (shown == WR_TASK_TRENDS_TOLD && !t->told) continue;
        WR_GRID_TEXTS(grid, r->plan->task[k].id, r->plan->task[k].title);
        wr_grid_number(grid, (double)line->n_run);
        if (line->known) {
            wr_grid_textf(grid, "%s %%", wr_signed(100 * line->per_doubling, WR_ROOM));
            wr_grid_sorts_by(grid, line->per_doubling);
            wr_grid_textf(grid, "%s to %s %%", wr_signed(100 * line->per_doubling_lo, WR_ROOM),
                          wr_signed(100 * line->per_doubling_hi, WR_ROOM));
            wr_grid_sorts_by(grid, line->per_doubling_lo);
        } else {
            wr_grid_absent(grid);
            wr_grid_absent(grid);
        }
        WR_GRID_MAYBES(grid, if_known(line, line->per_doubling), if_known(line, line->per_doubling_lo),
                       if_known(line, line->per_doubling_hi), if_known(line, line->slope_log), if_known(line, line->lo),
                       if_known(line, line->hi), t->p, t->holm_p);
        wr_grid_number(grid, t->told);
    }
}

/* ---- renderings ---- */

/* Tasks that differ when all are looked at together; a list of 28 p-values would invite picking. */
static void add_named_tasks(const struct wr_compare_result *r, const struct wr_group_comparison *g, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    size_t n = 0;

    if (!g->has_tasks) return;
    for (size_t k = 0; k < r->comparison->n_task; k++) {
        const struct wr_group_task *t = &g->task[k];
        if (!t->told || !t->ratio.known) continue;
        wr_str_addf(&text, "%s %s (%s times)",
                    n++ ? ";" : "Tasks that differ, all looked at together:", r->plan->task[k].title,
                    wr_factor(t->ratio.value, WR_ROOM));
    }
    if (n > 0) wr_str_add(&text, ".");
    else if (g->pace.smallest_p > WR_GROUP_TOLD_P) wr_str_add(&text, "No single task can reach 5 % either.");
    else wr_str_add(&text, "No single task differs when all are looked at together.");
    if (g->pace.smallest_p <= WR_GROUP_TOLD_P && g->tasks_smallest_holm > WR_GROUP_TOLD_P)
        wr_str_add(&text, " (Holm's adjustment cannot reach 5 % with these numbers of runs.)");
    wr_prose_say(out, &text);
}

static void add_trends(const struct wr_present_context *ctx, const struct wr_compare_result *r, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_trend_sentence(r->comparison, &text);
    wr_prose_say(out, &text);
    wr_spread_sentence(r->comparison, &text);
    if (text.len) wr_prose_say(out, &text);
    wr_task_trends_sentence(r, &text);
    if (text.len) wr_prose_say(out, &text);
    grid_of_task_trends(r, WR_TASK_TRENDS_TOLD, &grid);
    wr_context_add_grid(ctx, NULL, &grid, out);
}

static void add_groups(const struct wr_compare_result *r, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    const size_t n = r->comparison->n_without_group;

    for (size_t g = 0; g < r->comparison->n_group; g++) {
        wr_str_add_char(out, '\n');
        wr_group_sentence(&r->comparison->group[g], &text);
        wr_prose_say(out, &text);
        add_named_tasks(r, &r->comparison->group[g], out);
    }
    if (r->comparison->n_group > 0 && n > 0) {
        wr_str_addf(&text, "%zu rehearsal%s belong%s to no group (no entry, or people not named).", n,
                    n == 1 ? "" : "s", n == 1 ? "s" : "");
        wr_prose_say(out, &text);
    }
}

/* The runs whose finish is a lower bound, or of which a task's time is not known; stands: which of the two. */
static void add_incomplete(const struct wr_compare_result *r, bool stands, const char *what, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    for (size_t i = 0; i < r->comparison->n_run; i++) {
        const struct wr_timing_run *run = &r->timing->run[i];
        if (run->complete || run->finish_stands != stands) continue;
        wr_str_addf(&text, "%s%s", text.len ? ", " : what, r->log->run[i].id);
    }
    if (text.len) wr_str_add_char(&text, '.');
    if (text.len) wr_prose_say(out, &text);
}

/* "Work that the plan does not have is in none of these columns: Dive 3, 0:13." */
static void add_off_plan(const struct wr_compare_result *r, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    for (size_t i = 0; i < r->comparison->n_run; i++) {
        double minutes = r->comparison->run[i].off_plan_min;
        if (!(minutes > 0)) continue;
        wr_str_add(&text, text.len ? "; " : "Work that the plan does not have is in none of these columns: ");
        wr_str_addf(&text, "%s, %s", r->log->run[i].id, wr_moment(minutes, WR_ROOM));
    }
    if (text.len) wr_str_add_char(&text, '.');
    if (text.len) wr_prose_say(out, &text);
}

void wr_old_waits_words(const struct wr_timing *timing, struct wr_str *out)
{
    if (timing->old_wait_missing)
        wr_str_add(out, "Most runs did not keep a wait of this plan (order-not-rehearsed): what they waited for "
                        "instead counts as work here, and may stand out. `--plan-rehearsed FILE` gives the plan that "
                        "they followed.");
}

/* Where the table has no column for it: a line for each run, that no width cuts. */
static void add_waiting_of_many(const struct wr_compare_result *r, struct wr_str *out)
{
    const struct wr_comparison *c = r->comparison;

    if (!has_many_lanes(c)) return;
    wr_str_add(out, "Waiting, lane by lane:\n");
    for (size_t i = 0; i < c->n_run; i++) {
        WR_SCOPED_STR text = {0};
        if (r->timing->run[i].by_minutes) continue;
        wr_str_addf(&text, "%s:", r->log->run[i].id);
        for (size_t l = 0; l < c->n_lane; l++)
            wr_str_addf(&text, "%s%s %s", l ? ", " : " ", r->plan->lane[l], waited(c, i, l, WR_ROOM));
        wr_prose_add(out, wr_str_text(&text), 2, WR_TERMINAL_COLUMNS);
    }
}

static void compare_table(const struct wr_present_context *ctx, const struct wr_compare_result *r,
                          const struct wr_grid *runs, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    WR_SCOPED_GRID grid = {0};

    wr_compare_answer(r, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "rehearsals side by side", &text);
    wr_str_add_char(&text, '.');
    wr_prose_say(out, &text);
    add_trends(ctx, r, out);
    add_groups(r, out);
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(runs, wr_context_columns(ctx), out);
    add_waiting_of_many(r, out);
    wr_str_add(&text, "Length: the minutes of its tasks together, against their geometric mean over the rehearsals "
                      "that have one. Pace: its tasks, each counted alike.");
    wr_prose_say(out, &text);
    add_off_plan(r, out);
    add_incomplete(r, false, "Not complete, so at least this long: ", out);
    add_incomplete(r, true, "All done, but how long some task took is not known: ", out);
    wr_grid_of_standing_out(r, &grid);
    if (wr_grid_rows(&grid) > 0) {
        wr_str_add_char(out, '\n');
        wr_grid_add_terminal(&grid, wr_context_columns(ctx), out);
        wr_str_addf(out, "Beyond %g sd of what task and day led one to expect; some do so by chance.\n",
                    WR_STANDS_OUT_SD);
        WR_SCOPED_STR waits = {0};
        wr_old_waits_words(r->timing, &waits);
        if (waits.len > 0) wr_prose_add(out, wr_str_text(&waits), 0, WR_TERMINAL_COLUMNS);
    }
}

static void trend_json(struct wr_json *j, const char *key, const struct wr_trend *t)
{
    json_t *at = wr_json_object_if(j, j->root, key, t->known);

    if (!at) return;
    wr_json_count(j, at, "runs", t->n_run);
    wr_json_number(j, at, "slope_log", t->slope_log);
    wr_json_pair(j, at, "interval", t->lo, t->hi);
    wr_json_number(j, at, "per_doubling", t->per_doubling);
    wr_json_pair(j, at, "per_doubling_interval", t->per_doubling_lo, t->per_doubling_hi);
}

static void ratio_json(struct wr_json *j, json_t *at, const struct wr_group_ratio *g)
{
    wr_json_bool(j, at, "in_order", g->in_order);
    wr_json_number(j, at, "ratio", g->ratio);
    wr_json_pair(j, at, "interval", g->lo, g->hi);
    wr_json_maybe(j, at, "detrended_ratio", g->has_detrended ? wr_known(g->detrended_ratio) : WR_UNKNOWN);
    if (g->has_detrended) wr_json_pair(j, at, "detrended_interval", g->detrended_lo, g->detrended_hi);
    wr_json_maybe(j, at, "detrended_p", g->detrended_p);
    wr_json_number(j, at, "p", g->permutation.p_two_sided);
    wr_json_number(j, at, "smallest_p", g->permutation.smallest_p);
    wr_json_number(j, at, "smallest_p_together", g->smallest_p);
    wr_json_bool(j, at, "exact", g->permutation.exact);
    wr_json_number(j, at, "groupings", g->permutation.n_grouping);
    wr_json_maybe(j, at, "holm_p", g->holm_p);
}

static void group_json(struct wr_json *j, json_t *list, const struct wr_compare_result *r, size_t i)
{
    const struct wr_group_comparison *g = &r->comparison->group[i];
    json_t *at = wr_json_row(j, list);
    WR_SCOPED_STR text = {0};

    wr_json_text(j, at, "group", g->label[1]);
    wr_json_text(j, at, "against", g->label[0]);
    wr_json_count(j, at, "runs", g->pace.n_run[1]);
    wr_json_count(j, at, "runs_against", g->pace.n_run[0]);
    wr_group_sentence(g, &text);
    wr_json_text(j, at, "answer", wr_str_text(&text));
    bool done = g->pace.reason == WR_COMPARE_DONE;
    wr_json_text(j, at, "reason", done ? NULL : reason_words(g->pace.reason));
    if (!done) return;
    ratio_json(j, at, &g->pace);
    json_t *length = wr_json_object_if(j, at, "length", g->length.reason == WR_COMPARE_DONE);
    if (length) {
        wr_json_count(j, length, "runs", g->length.n_run[1]);
        wr_json_count(j, length, "runs_against", g->length.n_run[0]);
        ratio_json(j, length, &g->length);
    }
    struct wr_grid grid;
    grid_of_group_tasks(r, i, &grid);
    wr_json_take_grid(j, at, "tasks", &grid);
}

static void waiting_json(struct wr_json *j, json_t *runs, const struct wr_compare_result *r)
{
    for (size_t i = 0; i < r->comparison->n_run; i++) {
        json_t *list = wr_json_array(j, json_array_get(runs, i), "waiting");
        for (size_t l = 0; l < r->comparison->n_lane; l++) {
            json_t *row = wr_json_row(j, list);
            wr_json_text(j, row, "crew", r->plan->lane[l]);
            wr_json_maybe(j, row, "minutes", r->timing->run[i].by_minutes
                                                  ? WR_UNKNOWN
                                                  : wr_known(r->comparison->run[i].waiting_min[l]));
        }
    }
}

static enum wr_status compare_json(const struct wr_present_context *ctx, const struct wr_compare_result *r,
                                   const struct wr_grid *runs, struct wr_str *out, struct wr_error *err)
{
    struct wr_grid grid;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    waiting_json(&j, wr_json_grid(&j, j.root, "runs", runs), r);
    trend_json(&j, "trend", &r->comparison->trend);
    trend_json(&j, "length_trend", &r->comparison->length_trend);
    trend_json(&j, "spread_trend", &r->comparison->spread_trend);
    grid_of_task_trends(r, WR_TASK_TRENDS_ALL, &grid);
    wr_json_take_grid(&j, j.root, "task_trends", &grid);
    wr_grid_of_standing_out(r, &grid);
    wr_json_take_grid(&j, j.root, "stood_out", &grid);
    wr_json_count(&j, j.root, "runs_without_group", r->comparison->n_without_group);
    json_t *groups = wr_json_array(&j, j.root, "groups");
    for (size_t g = 0; g < r->comparison->n_group; g++) group_json(&j, groups, r, g);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_compare(enum wr_format format, const struct wr_present_context *ctx,
                               const struct wr_compare_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID runs = {0};

    wr_grid_of_compared_runs(result, &runs);
    enum wr_status status = wr_grid_check(&runs, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: compare_table(ctx, result, &runs, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&runs, out); break;
    case WR_FORMAT_JSON: return compare_json(ctx, result, &runs, out, err);
    }
    return WR_OK;
}
