#include "wetrun/present/series_view.h"

#include <string.h>
#include "json.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

enum { CHANGES_SHOWN = 5 };

static const char *const change_word[] = {
    [WR_SERIES_RULE_LIFTED] = "rule-lifted", [WR_SERIES_MOVED] = "moved", [WR_SERIES_GIVEN_UP] = "given-up"};

static bool works_as_rehearsed(const struct wr_series_excursion *x)
{
    for (size_t k = 0; k < x->plan.n_task; k++)
        if (x->durations.n_person > 0 && wr_durations_are_modelled(&x->durations, k)) return true;
    return false;
}

struct wr_series_view wr_series_view_of(const struct wr_series_study *s)
{
    struct wr_series_leg_names *leg = WR_NEW_ARRAY(struct wr_series_leg_names, s->n_excursion);
    size_t n = 0;

    for (size_t e = 0; e < s->n_excursion; e++) n += s->excursion[e].study.limits.n_limit;
    const char **name = WR_NEW_ARRAY(const char *, n);
    struct wr_series_view view = {.series = &s->result,
                                  .worse = s->has_worse ? &s->worse : NULL,
                                  .changes = &s->changes,
                                  .leg = leg,
                                  .limit_name = name,
                                  .spill = s->spill,
                                  .person = s->person,
                                  .n_person = s->n_person,
                                  .has_interval = s->has_interval};
    for (size_t e = 0; e < s->n_excursion; e++) {
        const struct wr_series_excursion *x = &s->excursion[e];
        const struct wr_judging_found *judging = &x->study.durations.judging;
        int64_t day;
        leg[e] = (struct wr_series_leg_names){.excursion = s->files.row[e].excursion,
                                              .date = s->files.row[e].date,
                                              .plan = &x->plan,
                                              .limit_name = name,
                                              .limit = x->limit,
                                              .n_limit = x->study.limits.n_limit,
                                              .seat = x->seat,
                                              .n_run = x->study.timing.n_run,
                                              .gap = x->study.gap.known ? &x->study.gap : NULL,
                                              .has_date = wr_series_day(&s->files.row[e], &day),
                                              .n_judged = judging->restated ? 0 : judging->n_task,
                                              .n_own = x->study.plan.n_task,
                                              .is_forgotten = x->is_worse && x->worse.gap_allowance >
                                                                                 x->study.fit_options.gap_allowance,
                                              .is_judged = x->is_worse && x->worse.judging == WR_JUDGED_SHORT,
                                              .team = works_as_rehearsed(x) ? x->team : e};
        for (size_t i = 0; i < leg[e].n_limit; i++) *name++ = x->study.limits.limit[i].name;
    }
    return view;
}

void wr_series_view_done(struct wr_series_view *view)
{
    WR_FREE(view->leg, view->limit_name);
    *view = (struct wr_series_view){0};
}

static const char *task_of(const struct wr_series_view *v, const struct wr_spill *p)
{
    return v->leg[p->from_leg].plan->task[p->from_task].id;
}

/* "A", "A and B", "A, B and C"; n names are still to come after this one. */
static void add_name(struct wr_str *out, size_t at, size_t n, const char *name)
{
    wr_str_addf(out, "%s%s", at == 0 ? "" : at + 1 == n ? " and " : ", ", name);
}

/* Equal ends: one could not be made, which is not to be shown as certainty. */
static bool is_interval(const struct wr_series_view *v, double lo, double hi)
{
    return v->has_interval && lo < hi;
}

/* "12 of 100 (5 to 25)" */
static void add_over(struct wr_str *out, const struct wr_series_view *v, double prob, double lo, double hi)
{
    wr_str_add(out, wr_of_100(prob, WR_ROOM));
    if (is_interval(v, lo, hi))
        wr_str_addf(out, " (%s to %s)", wr_of_100_cell(lo, WR_ROOM), wr_of_100_cell(hi, WR_ROOM));
}

bool wr_series_has_other_limits(const struct wr_series_view *v)
{
    for (size_t e = 0; e < v->series->n_leg; e++)
        if (v->leg[e].n_limit > 1) return true;
    return false;
}

void wr_series_other_limits_sentence(const struct wr_series_view *v, struct wr_str *out)
{
    size_t n = 0;

    for (size_t e = 0; e < v->series->n_leg; e++)
        for (size_t i = 1; i < v->leg[e].n_limit; i++) {
            const struct wr_series_over *over = &v->series->leg[e].over[i];
            wr_str_addf(out, "%s%s, %s ", n++ ? "; " : "The limit shown is the first of each. Over others go, of 100: ",
                        v->leg[e].excursion, v->leg[e].limit_name[i]);
            add_over(out, v, over->with, over->with_lo, over->with_hi);
            if (!v->worse) continue;
            const struct wr_series_over *worse = &v->worse->leg[e].over[i];
            wr_str_add(out, ", by the worse answer ");
            add_over(out, v, worse->with, worse->with_lo, worse->with_hi);
        }
    if (n > 0) wr_str_add_char(out, '.');
}

void wr_series_sentence(const struct wr_series_view *v, struct wr_str *out)
{
    const struct wr_series *s = v->series;
    bool any_limit = false;

    for (size_t e = 0; e < s->n_leg; e++) any_limit |= v->leg[e].n_limit > 0;
    if (any_limit) {
        wr_str_add(out, "In ");
        add_over(out, v, s->any_over, s->any_over_lo, s->any_over_hi);
        wr_str_addf(out, " of 100 series some excursion goes over %s",
                    wr_series_has_other_limits(v) ? "one of its limits" : "its limit");
        if (v->worse) {
            wr_str_add(out, ", by the worse of two answers in ");
            add_over(out, v, v->worse->any_over, v->worse->any_over_lo, v->worse->any_over_hi);
        }
        wr_str_add(out, ". ");
    }
    if (s->n_spill == 0) {
        wr_str_add(out, "No work is carried on from one excursion to another: spill.csv says what may be.");
        return;
    }
    wr_str_addf(out, "In %s of 100 all work that may be carried on is done by %s",
                wr_of_100(s->leg[s->n_leg - 1].done_by, WR_ROOM), v->leg[s->n_leg - 1].excursion);
    if (v->worse)
        wr_str_addf(out, ", by the worse answer in %s", wr_of_100(v->worse->leg[s->n_leg - 1].done_by, WR_ROOM));
    wr_str_add(out, s->left_over > 0 ? "; else a further excursion has to do the rest." : ".");
}

/* ---- two answers ---- */

static void why_two(struct wr_str *out, const struct wr_series_leg_names *leg)
{
    if (leg->gap && leg->gap->is_long)
        wr_str_addf(out, "%.0f days lie between the last rehearsal and %s, at most %.0f between any two rehearsals. ",
                    leg->gap->since_last_days, leg->excursion, leg->gap->longest_between_days);
    if (leg->n_run > 0 && !leg->has_date)
        wr_str_addf(out, "How long before %s its last rehearsal lies is not known: series.csv has no date of it. ",
                    leg->excursion);
    if (leg->n_judged > 0)
        wr_str_addf(out, "In %s %zu of %zu tasks %s on judgement, which has no record. ", leg->excursion,
                    leg->n_judged, leg->n_own, leg->n_judged == 1 ? "rests" : "rest");
}

/* "Petrel 8 and Petrel 9" of those of which the worse answer assumes it; returns how many. */
static size_t add_those(struct wr_str *out, const struct wr_series_view *v, const char *before, bool judged,
                        const char *behind)
{
    size_t n = 0, at = 0;

    for (size_t e = 0; e < v->series->n_leg; e++) n += judged ? v->leg[e].is_judged : v->leg[e].is_forgotten;
    for (size_t e = 0; e < v->series->n_leg; e++) {
        if (!(judged ? v->leg[e].is_judged : v->leg[e].is_forgotten)) continue;
        if (at == 0) wr_str_add(out, before);
        add_name(out, at++, n, v->leg[e].excursion);
    }
    if (n > 0) wr_str_add(out, behind);
    return n;
}

void wr_series_second_sentence(const struct wr_series_view *v, struct wr_str *out)
{
    const struct wr_series *worse = v->worse;
    WR_SCOPED_STR assumed = {0};
    size_t said = 0;

    for (size_t e = 0; e < v->series->n_leg; e++) why_two(out, &v->leg[e]);
    if (!worse) return;
    wr_str_add(out, "So there are two answers, and the numbers below are those of the first. ");
    WR_SCOPED_STR allowed = {0}, judged = {0};
    wr_str_add(&allowed, "With ");
    wr_assumed_words(WR_BESIDE_GAP_ALLOWED, WR_BESIDE_GAP_PERCENT, &allowed);
    wr_str_add(&allowed, " before ");
    wr_str_add_char(&judged, ' ');
    wr_assumed_words(WR_BESIDE_JUDGED_SHORT, 100 * WR_JUDGED_SHORT_BY, &judged);
    size_t n_forgotten = add_those(&assumed, v, wr_str_text(&allowed), false, "");
    if (n_forgotten > 0) wr_str_add(&assumed, ", and ");
    if (add_those(&assumed, v, n_forgotten > 0 ? "" : "With ", true, wr_str_text(&judged)) == 0 && n_forgotten > 0)
        assumed.text[assumed.len -= strlen(", and ")] = '\0';
    wr_str_addf(out, "%s, of 100 go over%s: ", wr_str_text(&assumed),
                wr_series_has_other_limits(v) ? " the first limit" : "");
    for (size_t e = 0; e < worse->n_leg; e++) {
        if (v->leg[e].n_limit == 0) continue;
        const struct wr_series_over *over = worse->leg[e].over;
        wr_str_addf(out, "%s%s ", said++ ? "; " : "", v->leg[e].excursion);
        add_over(out, v, over->with, over->with_lo, over->with_hi);
    }
    if (said == 0) wr_str_add(out, "no limit was given");
    wr_str_add_char(out, '.');
}

/* ---- people ---- */


static void add_excursions(struct wr_str *out, const struct wr_series_view *v, const struct wr_series_person *p)
{
    size_t at = 0;

    for (size_t e = 0; e < v->series->n_leg; e++)
        if (p->in[e]) add_name(out, at++, p->n_in, v->leg[e].excursion);
}

static bool same_excursions(const struct wr_series_person *a, const struct wr_series_person *b)
{
    return memcmp(a->in, b->in, sizeof a->in) == 0;
}

/* Those who rehearsed for the same excursions as person i in one sentence, said at the first of them. */
static void say_group(struct wr_str *out, const struct wr_series_view *v, size_t i)
{
    const struct wr_series_person *p = &v->person[i];
    size_t n = 0, at = 0;

    for (size_t k = 0; k < v->n_person; k++) {
        if (!same_excursions(p, &v->person[k])) continue;
        if (k < i) return;
        n++;
    }
    wr_str_add(out, out->len ? " " : "");
    for (size_t k = i; k < v->n_person; k++)
        if (same_excursions(p, &v->person[k])) add_name(out, at++, n, v->person[k].name);
    wr_str_add(out, p->n_in > 1 ? " rehearsed for " : n > 1 ? " are known from " : " is known from ");
    add_excursions(out, v, p);
    if (p->n_in > 1) wr_str_addf(out, ": one pace in %s.", p->n_in == 2 ? "both" : "all of them");
    else wr_str_add(out, " alone: their pace in another excursion cannot be known.");
}

/* "In Three series.csv puts KV into EV1 and somebody new into EV2." */
static void say_seats(struct wr_str *out, const struct wr_series_view *v, const struct wr_series_leg_names *leg)
{
    size_t n = 0, at = 0;

    for (size_t l = 0; l < leg->plan->n_lane; l++) n += leg->seat[l] != WR_SEAT_OPEN;
    if (n == 0) return;
    wr_str_addf(out, "%sIn %s series.csv puts ", out->len ? " " : "", leg->excursion);
    for (size_t l = 0; l < leg->plan->n_lane; l++) {
        if (leg->seat[l] == WR_SEAT_OPEN) continue;
        add_name(out, at++, n, leg->seat[l] == WR_SEAT_NEW ? "somebody new" : v->person[leg->seat[l]].name);
        wr_str_addf(out, " into %s", leg->plan->lane[l]);
    }
    wr_str_add(out, n < leg->plan->n_lane ? "; the rest is as in rehearsed line-ups, at random." : ".");
}

void wr_series_people_sentence(const struct wr_series_view *v, struct wr_str *out)
{
    size_t n_campaign = 0;

    for (size_t e = 0; e < v->series->n_leg; e++)
        for (size_t i = 0; i < v->n_person; i++)
            if (v->person[i].in[e]) {
                n_campaign++;
                break;
            }
    for (size_t i = 0; i < v->n_person && n_campaign > 1; i++) say_group(out, v, i);
    for (size_t e = 0; e < v->series->n_leg; e++)
        if (v->leg[e].team != e)
            wr_str_addf(out,
                        "%sNobody rehearsed for %s: work that was rehearsed elsewhere is done there by the line-ups of "
                        "%s.",
                        out->len ? " " : "", v->leg[e].excursion, v->leg[v->leg[e].team].excursion);
    for (size_t e = 0; e < v->series->n_leg; e++) say_seats(out, v, &v->leg[e]);
}

static bool may_get_work(const struct wr_series_view *v, size_t e)
{
    for (size_t i = 0; i < v->series->n_spill; i++)
        if (v->spill[i].to_leg == e) return true;
    return false;
}

static void leg_cells(const struct wr_series_view *v, size_t e, struct wr_grid *grid)
{
    const struct wr_series_leg_result *r = &v->series->leg[e];
    const struct wr_series_over *over = r->over;
    bool has = v->leg[e].n_limit > 0, ends = has && is_interval(v, over->with_lo, over->with_hi);

    WR_GRID_TEXTS(grid, v->leg[e].excursion, v->leg[e].date);
    WR_GRID_NUMBERS(grid, (double)v->leg[e].n_run, r->finish_p50_min, r->finish_p90_min, r->without_p50_min);
    WR_GRID_MAYBES(grid, has ? wr_known(v->leg[e].limit[0].minutes) : WR_UNKNOWN,
                   has ? wr_known(over->with) : WR_UNKNOWN,
                   ends ? wr_known(over->with_lo) : WR_UNKNOWN, ends ? wr_known(over->with_hi) : WR_UNKNOWN,
                   has ? wr_known(over->without) : WR_UNKNOWN, has ? wr_known(over->cost.mean) : WR_UNKNOWN,
                   may_get_work(v, e) ? wr_known(r->spilled_in) : WR_UNKNOWN);
    WR_GRID_NUMBERS(grid, r->spilled_min, r->done_by);
    const struct wr_series_over *worse = v->worse && has ? v->worse->leg[e].over : NULL;
    const struct wr_gap *gap = v->leg[e].gap;
    bool worse_ends = worse && is_interval(v, worse->with_lo, worse->with_hi);
    WR_GRID_MAYBES(grid, gap ? wr_known(gap->since_last_days) : WR_UNKNOWN,
                   gap ? wr_known(gap->longest_between_days) : WR_UNKNOWN);
    wr_grid_number(grid, (double)v->leg[e].n_judged);
    WR_GRID_MAYBES(grid, worse ? wr_known(worse->with) : WR_UNKNOWN,
                   worse_ends ? wr_known(worse->with_lo) : WR_UNKNOWN,
                   worse_ends ? wr_known(worse->with_hi) : WR_UNKNOWN);
}

void wr_grid_of_series(const struct wr_series_view *v, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"excursion", "excursion", WR_UNIT_TEXT, WR_EVERYBODY, 8},
        {"date", "date", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"rehearsals", "runs", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"finish_p50_min", "half\nby", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_p90_min", "9 in\n10 by", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"finish_p50_without_min", "", WR_UNIT_CLOCK, WR_MACHINE, 0},
        {"limit_min", "limit", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"probability_over", "go over\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_lo", "90 %:\nfrom", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_hi", "to", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_without", "without\nthat", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"over_added", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"carried_on_to_it", "gets\nmore", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"carried_mean_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"all_done_by", "all\ndone", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"since_last_days", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"longest_between_days", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"judged_tasks", "judged\ntasks", WR_UNIT_COUNT, WR_PAGE | WR_MACHINE, 0},
        {"second_probability_over", "by the worse\nanswer", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
        {"second_over_lo", "90 %:\nfrom", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
        {"second_over_hi", "to", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t e = 0; e < v->series->n_leg; e++) leg_cells(v, e, grid);
}

/* Nothing is carried on to it: the plan of its excursion has it on every day. */
static bool is_of_the_plan(const struct wr_series_view *v, const struct wr_spill *p)
{
    for (size_t i = 0; i < v->series->n_spill; i++)
        if (v->spill[i].to_leg == p->from_leg && v->spill[i].to_task == p->from_task) return false;
    return true;
}

void wr_grid_of_carried_work(const struct wr_series_view *v, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "work", WR_UNIT_TEXT, WR_EVERYBODY, 10},
        {"from", "from", WR_UNIT_TEXT, WR_EVERYBODY, 8},
        {"to", "to", WR_UNIT_TEXT, WR_EVERYBODY, 8},
        {"setup_min", "set-up\nmin", WR_UNIT_MINUTES, WR_EVERYBODY, 0},
        {"asked", "to do\nthere", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"dropped", "carried\non", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"stopped", "of those\nbegun", WR_UNIT_OF_100, WR_EVERYBODY, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < v->series->n_spill; i++) {
        const struct wr_spill *p = &v->spill[i];
        WR_GRID_TEXTS(grid, task_of(v, p), v->leg[p->from_leg].excursion, v->leg[p->to_leg].excursion);
        wr_grid_number(grid, p->setup_min);
        wr_grid_chance(grid, v->series->task[i].asked, is_of_the_plan(v, p));
        wr_grid_number(grid, v->series->task[i].dropped);
        wr_grid_maybe(grid, p->stop_min.known ? wr_known(v->series->task[i].stopped) : WR_UNKNOWN);
    }
}

static void add_change_words(struct wr_str *out, const struct wr_series_view *v, const struct wr_series_change *c)
{
    const struct wr_spill *p = &v->spill[c->spill];
    const char *task = task_of(v, p), *from = v->leg[p->from_leg].excursion, *to = v->leg[p->to_leg].excursion;

    switch (c->kind) {
    case WR_SERIES_RULE_LIFTED: wr_str_addf(out, "%s is done in %s however late", task, from); break;
    case WR_SERIES_MOVED: wr_str_addf(out, "%s is left to %s from the start", task, to); break;
    case WR_SERIES_GIVEN_UP: wr_str_addf(out, "%s is given up", task); break;
    }
}

/* Without an interval chance in the trials is all that a gain can be held against; where one could not be made, nothing
 * is. */
static bool is_shown_to_help(const struct wr_series_view *v, const struct wr_paired *gain)
{
    const struct wr_paired mean = {.mean = gain->mean, .lo = gain->mean, .hi = gain->mean, .se = gain->se};

    if (!v->has_interval) return wr_gain_of(&mean, 100) == WR_GAIN_HELPS;
    return gain->lo < gain->hi && wr_gain_of(gain, 100) == WR_GAIN_HELPS;
}

bool wr_series_advice(const struct wr_series_view *v, size_t i, struct wr_str *what, struct wr_str *gain)
{
    for (size_t k = 0; k < v->changes->n_change && k < CHANGES_SHOWN; k++) {
        const struct wr_series_change *c = &v->changes->change[k];
        if (!is_shown_to_help(v, &c->gain) || i-- > 0) continue;
        add_change_words(what, v, c);
        wr_str_addf(gain, "%s of 100 series go over a limit, fewer by %s", wr_of_100(c->any_over, WR_ROOM),
                    wr_change(100 * c->gain.mean, WR_ROOM));
        if (v->has_interval)
            wr_str_addf(gain, " (%s to %s)", wr_change(100 * c->gain.lo, WR_ROOM),
                        wr_change(100 * c->gain.hi, WR_ROOM));
        wr_str_addf(gain, "; %s of 100 leave work undone.", wr_of_100_cell(c->left_over, WR_ROOM));
        return true;
    }
    return false;
}

static void add_changes(struct wr_str *out, const struct wr_series_view *v)
{
    WR_SCOPED_STR what = {0}, gain = {0};
    size_t n = 0;

    for (;; n++) {
        wr_str_addf(&what, "%zu. ", n + 1);
        if (!wr_series_advice(v, n, &what, &gain)) break;
        wr_prose_say(out, &what);
        wr_prose_add(out, wr_str_text(&gain), 3, WR_TERMINAL_COLUMNS);
        wr_str_clear(&gain);
    }
    if (n == 0)
        wr_prose_add(
            out, "These data show of nothing that may be decided beforehand about this work that it lowers the risk.",
            0, WR_TERMINAL_COLUMNS);
}

static const char earlier_teach[] =
    "An excursion with rehearsals is an earlier campaign to those after it, so that `forecast` says the same of one "
    "alone only with `--on` its date and `--earlier` each of those before it.";

/* Some excursion has others with rehearsals before it. */
static bool takes_earlier(const struct wr_series_view *v)
{
    for (size_t e = 0; e + 1 < v->series->n_leg; e++)
        if (v->leg[e].n_run > 0) return true;
    return false;
}

static void series_table(const struct wr_present_context *ctx, const struct wr_series_view *v,
                         const struct wr_grid *legs, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid tasks;

    wr_series_sentence(v, &text);
    wr_prose_say(out, &text);
    wr_series_second_sentence(v, &text);
    if (text.len) wr_prose_say(out, &text);
    wr_context_headline_as(ctx, ctx->target == WR_FOR_EXCURSION ? "a series of excursions"
                                                                : "a series of excursions, at pool pace", &text);
    wr_str_addf(&text, ", %zu trials.", v->series->n_trial);
    wr_prose_say(out, &text);
    wr_str_add_char(out, '\n');
    wr_grid_add_terminal(legs, wr_context_columns(ctx), out);
    wr_str_add(&text, "Gets more: of 100, work that an earlier excursion dropped is done here. Without that: the same "
                      "days without such work. "
                      "All done: of 100, no work waits after it.");
    if (takes_earlier(v)) {
        wr_str_add_char(&text, ' ');
        wr_str_add(&text, earlier_teach);
    }
    wr_str_add_char(out, '\n');
    wr_prose_say(out, &text);
    wr_series_other_limits_sentence(v, &text);
    if (text.len) wr_prose_say(out, &text);
    wr_series_people_sentence(v, &text);
    if (text.len) wr_prose_say(out, &text);
    if (v->series->n_spill) {
        wr_grid_of_carried_work(v, &tasks);
        wr_str_add_char(out, '\n');
        wr_grid_add_terminal(&tasks, wr_context_columns(ctx), out);
        wr_grid_release(&tasks);
        wr_str_add_char(out, '\n');
        wr_str_add(&text, "What may be decided beforehand, on the same days:");
        wr_prose_say(out, &text);
        add_changes(out, v);
    }
}

static void interval_json(struct wr_json *j, json_t *at, const char *key, const struct wr_series_view *v, double lo,
                          double hi)
{
    wr_json_pair_if(j, at, key, is_interval(v, lo, hi), lo, hi);
}

static void leg_json(struct wr_json *j, json_t *row, const struct wr_series_view *v, size_t e)
{
    const struct wr_series_leg_names *names = &v->leg[e];
    const struct wr_series_leg_result *r = &v->series->leg[e], *worse = v->worse ? &v->worse->leg[e] : NULL;
    json_t *limits = wr_json_array(j, row, "limits");

    for (size_t i = 0; i < names->n_limit; i++) {
        json_t *limit = wr_json_row(j, limits);
        wr_json_text(j, limit, "limit", names->limit_name[i]);
        wr_json_number(j, limit, "minutes", names->limit[i].minutes);
        wr_json_number(j, limit, "probability_over", r->over[i].with);
        interval_json(j, limit, "interval", v, r->over[i].with_lo, r->over[i].with_hi);
        wr_json_maybe(j, limit, "mc_error", v->has_interval ? wr_known(r->over[i].mc_error) : WR_UNKNOWN);
        wr_json_number(j, limit, "over_without", r->over[i].without);
        wr_json_number(j, limit, "added", r->over[i].cost.mean);
        wr_json_number(j, limit, "added_mc_error", r->over[i].cost.se);
        wr_json_maybe(j, limit, "second_probability_over", worse ? wr_known(worse->over[i].with) : WR_UNKNOWN);
        if (worse) interval_json(j, limit, "second_interval", v, worse->over[i].with_lo, worse->over[i].with_hi);
        else wr_json_null(j, limit, "second_interval");
    }
}

static void changes_json(struct wr_json *j, const struct wr_series_view *v)
{
    json_t *array = wr_json_array(j, j->root, "changes");

    for (size_t i = 0; i < v->changes->n_change; i++) {
        const struct wr_series_change *c = &v->changes->change[i];
        const struct wr_spill *p = &v->spill[c->spill];
        json_t *row = wr_json_row(j, array);
        wr_json_text(j, row, "change", change_word[c->kind]);
        wr_json_text(j, row, "task", task_of(v, p));
        wr_json_text(j, row, "from", v->leg[p->from_leg].excursion);
        wr_json_text(j, row, "to", v->leg[p->to_leg].excursion);
        wr_json_number(j, row, "any_excursion_over", c->any_over);
        wr_json_number(j, row, "gain", c->gain.mean);
        interval_json(j, row, "interval", v, c->gain.lo, c->gain.hi);
        wr_json_number(j, row, "mc_error", c->gain.se);
        wr_json_number(j, row, "left_over", c->left_over);
        json_t *legs = wr_json_array(j, row, "probability_over");
        for (size_t e = 0; e < v->series->n_leg; e++) wr_json_push_number(j, legs, c->leg_over[e]);
    }
}

static void people_json(struct wr_json *j, const struct wr_series_view *v)
{
    json_t *array = wr_json_array(j, j->root, "people");
    WR_SCOPED_STR text = {0};

    for (size_t i = 0; i < v->n_person; i++) {
        json_t *row = wr_json_row(j, array);
        wr_json_text(j, row, "person", v->person[i].name);
        json_t *in = wr_json_array(j, row, "rehearsed_for");
        for (size_t e = 0; e < v->series->n_leg; e++)
            if (v->person[i].in[e]) wr_json_push_text(j, in, v->leg[e].excursion);
        wr_json_bool(j, row, "one_pace_in_all", v->person[i].n_in > 1);
    }
    wr_series_people_sentence(v, &text);
    wr_json_text(j, j->root, "people_in_words", wr_str_text(&text));
}

static void second_json(struct wr_json *j, const struct wr_series_view *v)
{
    WR_SCOPED_STR words = {0};

    wr_series_second_sentence(v, &words);
    wr_json_text(j, j->root, "second_in_words", wr_str_text(&words));
    if (!v->worse) {
        wr_json_null(j, j->root, "second_answer");
        return;
    }
    json_t *at = wr_json_object(j, j->root, "second_answer");
    wr_json_number(j, at, "any_excursion_over", v->worse->any_over);
    interval_json(j, at, "interval", v, v->worse->any_over_lo, v->worse->any_over_hi);
    wr_json_number(j, at, "left_over", v->worse->left_over);
}

static enum wr_status series_json(const struct wr_present_context *ctx, const struct wr_series_view *v,
                                  const struct wr_grid *legs, struct wr_str *out, struct wr_error *err)
{
    const struct wr_series *s = v->series;
    struct wr_json j;
    struct wr_grid tasks;
    WR_SCOPED_STR sentence = {0};

    wr_json_begin(&j, ctx);
    wr_series_sentence(v, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    wr_json_count(&j, j.root, "trials", s->n_trial);
    wr_json_number(&j, j.root, "any_excursion_over", s->any_over);
    interval_json(&j, j.root, "interval", v, s->any_over_lo, s->any_over_hi);
    wr_json_maybe(&j, j.root, "mc_error", v->has_interval ? wr_known(s->any_over_mc_error) : WR_UNKNOWN);
    wr_json_number(&j, j.root, "left_over", s->left_over);
    second_json(&j, v);
    wr_json_number(&j, j.root, "expected_excursions", s->expected_excursions);
    json_t *rows = wr_json_grid(&j, j.root, "excursions", legs);
    for (size_t e = 0; e < s->n_leg; e++) leg_json(&j, json_array_get(rows, e), v, e);
    wr_grid_of_carried_work(v, &tasks);
    wr_json_take_grid(&j, j.root, "carried_on", &tasks);
    changes_json(&j, v);
    people_json(&j, v);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_series(enum wr_format format, const struct wr_present_context *ctx,
                              const struct wr_series_view *view, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID legs = {0};

    wr_grid_of_series(view, &legs);
    enum wr_status status = wr_grid_check(&legs, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: series_table(ctx, view, &legs, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&legs, out); break;
    case WR_FORMAT_JSON: return series_json(ctx, view, &legs, out, err);
    }
    return WR_OK;
}
