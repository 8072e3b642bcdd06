/* What a forecast says in sentences. */
#include "forecast_parts.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/rehearsed.h"
#include "wetrun/present/beside_view.h"

struct wr_maybe wr_wanted_confidence(const struct wr_present_context *ctx, const struct wr_limits *limits, size_t i)
{
    if (limits->limit[i].confidence.known) return limits->limit[i].confidence;
    return i == 0 ? ctx->confidence : WR_UNKNOWN;
}

static struct wr_maybe allowed_by(struct wr_maybe confidence)
{
    return confidence.known ? wr_known(1.0 - confidence.value) : WR_UNKNOWN;
}

/* "<1", ">99": an end that no count can tell from its neighbour. */
static bool is_beyond_counting(const char *end)
{
    return end[0] == '<' || end[0] == '>';
}

void wr_interval_cell(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out)
{
    char lo[WR_WORDS], hi[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    if (over->no_interval) {
        wr_str_add(out, "none");
        return;
    }
    wr_of_100_beside(over->lo, allowed, lo);
    wr_of_100_beside(over->hi, allowed, hi);
    wr_str_add(out, lo);
    if (!is_beyond_counting(lo) || strcmp(lo, hi) != 0) wr_str_addf(out, " to %s", hi);
}

/* "as few as 2 or as many as 17"; an end that reads as the number itself says nothing more and is left out, the
 * upper one with a word. */
void wr_interval_words(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out)
{
    char lo[WR_WORDS], hi[WR_WORDS], mean[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    if (over->no_interval) {
        wr_str_add(out, "with no interval: what it rests on is taken as known");
        return;
    }
    wr_of_100_beside(over->lo, allowed, lo);
    wr_of_100_beside(over->hi, allowed, hi);
    wr_chance_cell(over, mean);
    bool less = strcmp(lo, mean) != 0, more = strcmp(hi, mean) != 0;
    wr_str_add(out, "it could be ");
    if (!less && !more) wr_str_add(out, "hardly another");
    if (less && lo[0] == '<') wr_str_addf(out, "fewer than %s", lo + 1);
    else if (less) wr_str_addf(out, "as few as %s", lo);
    if (less && more) wr_str_add(out, " or ");
    if (more && hi[0] == '>') wr_str_addf(out, "more than %s", hi + 1);
    else if (more) wr_str_addf(out, "as many as %s", hi);
    if (less && !more) wr_str_add(out, ", hardly more"); /* the kind end never stands alone */
}

void wr_lanes_words(const struct wr_plan *plan, uint32_t lanes, struct wr_str *out)
{
    size_t n = 0, shown = 0;

    for (size_t l = 0; l < plan->n_lane; l++) n += lanes >> l & 1;
    if (n == plan->n_lane && n > 1) {
        wr_str_add(out, n == 2 ? "both" : "all");
        return;
    }
    for (size_t l = 0; l < plan->n_lane; l++) {
        if (!(lanes >> l & 1)) continue;
        if (shown++) wr_str_add_char(out, '+');
        wr_str_add(out, plan->lane[l]);
    }
}

/* ---- what carries the uncertainty ---- */

const char *wr_part_words(enum wr_part_kind kind)
{
    switch (kind) {
    case WR_PART_TASK: return "a task";
    case WR_PART_OTHER_TASKS: return "the other tasks together";
    case WR_PART_DAY: return "a slow or fast day, all tasks at once";
    case WR_PART_PEOPLE: return "who does it";
    case WR_PART_UNKNOWN: return "what is not yet known";
    case WR_PART_INTERACTION: break;
    }
    return "several of these acting together";
}

/* One side of the comparison in wr_carriers_words: the strongest tasks as a group, or one of the shared parts. */
struct carrier {
    struct wr_str name;
    double share;
    bool is_many; /* of its verb */
};

static void put_carrier(struct carrier *carrier, size_t *n, const char *name, double share, bool is_many)
{
    if (!(share > 0)) return;
    carrier[*n].share = share;
    carrier[*n].is_many = is_many;
    wr_str_add(&carrier[(*n)++].name, name);
}

static size_t collect_carriers(const struct wr_forecast *f, struct carrier carrier[5])
{
    char count[WR_WORDS], tasks[WR_WORDS + 16];
    size_t n = 0, n_strongest;
    double strongest = wr_strongest_share(f, &n_strongest);

    snprintf(tasks, sizeof tasks, "%s task%s", wr_count_words(n_strongest, count), n_strongest == 1 ? "" : "s");
    put_carrier(carrier, &n, tasks, strongest, n_strongest > 1);
    put_carrier(carrier, &n, "a slow or fast day", f->run_effect_share, false);
    put_carrier(carrier, &n, wr_part_words(WR_PART_PEOPLE), f->people_share, false);
    put_carrier(carrier, &n, wr_part_words(WR_PART_UNKNOWN), f->parameter_share, false);
    put_carrier(carrier, &n, "several causes acting together", wr_interaction_share(f), true);
    return n;
}

void wr_carriers_words(const struct wr_forecast *forecast, struct wr_str *out)
{
    struct carrier carrier[5] = {{{0}, 0, false}};
    size_t n = collect_carriers(forecast, carrier), first = 0, second = SIZE_MAX;

    for (size_t i = 1; i < n; i++)
        if (carrier[i].share > carrier[first].share) first = i;
    for (size_t i = 0; i < n; i++)
        if (i != first && (second == SIZE_MAX || carrier[i].share > carrier[second].share)) second = i;
    if (n == 0) {
        wr_str_add(out, "No single task makes the finish uncertain");
    } else {
        wr_add_capital(out, wr_str_text(&carrier[first].name));
        wr_str_addf(out, " %s %s of what makes the finish uncertain", carrier[first].is_many ? "carry" : "carries",
                    wr_percent(carrier[first].share, WR_ROOM));
    }
    if (second != SIZE_MAX && carrier[second].share >= 0.005)
        wr_str_addf(out, ", %s %s", wr_str_text(&carrier[second].name), wr_percent(carrier[second].share, WR_ROOM));
    for (size_t i = 0; i < n; i++) wr_str_release(&carrier[i].name);
}

/* ---- the answer in words ---- */

bool wr_interval_adds_nothing(const struct wr_probability *over, struct wr_maybe confidence)
{
    char lo[WR_WORDS], mean[WR_WORDS];
    struct wr_maybe allowed = allowed_by(confidence);

    wr_of_100_beside(over->lo, allowed, lo);
    const char *hi = wr_of_100_beside(over->hi, allowed, WR_ROOM);
    wr_chance_cell(over, mean);
    if (over->no_interval) return false;
    return (is_beyond_counting(lo) && lo[0] == hi[0]) || (strcmp(lo, mean) == 0 && strcmp(hi, mean) == 0);
}

void wr_interval_beside(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out)
{
    if (over->no_interval || wr_interval_adds_nothing(over, confidence)) return;
    wr_str_add(out, " (");
    wr_interval_cell(over, confidence, out);
    wr_str_add_char(out, ')');
}

void forecast_add_when(const struct wr_forecast_result *result, struct wr_str *out)
{
    const struct wr_forecast *f = result->forecast;
    const struct wr_beside *latest = wr_latest_answer(result->beside, result->n_beside);

    wr_str_addf(out, "Half of the finishes come by %s, 80 of 100 by %s, 95 of 100 by %s",
                wr_moment(f->quantile_min[WR_Q50], WR_ROOM), wr_moment(f->quantile_min[WR_Q80], WR_ROOM),
                wr_moment(f->quantile_min[WR_Q95], WR_ROOM));
    if (latest) {
        wr_str_add(out, "; ");
        wr_if_assumed_words(latest->kind, latest->percent, out);
        f = &latest->forecast;
        wr_str_addf(out, " by %s, %s and %s", wr_moment(f->quantile_min[WR_Q50], WR_ROOM),
                    wr_moment(f->quantile_min[WR_Q80], WR_ROOM), wr_moment(f->quantile_min[WR_Q95], WR_ROOM));
    }
    wr_str_add_char(out, '.');
}

/* "9 of 100 finishes go over the 6:30 limit, but it could be as few as 1 or as many as 19 (90 % interval)" */
static void add_count(const struct wr_forecast_result *result, struct wr_maybe confidence, struct wr_str *out)
{
    const struct wr_probability *over = &result->forecast->limit[0].over;

    wr_str_addf(out, "%s of 100 finishes %s the %s limit, ", wr_chance(over, WR_ROOM), wr_go_over(over->mean),
                wr_moment(result->limits->limit[0].minutes, WR_ROOM));
    if (wr_interval_adds_nothing(over, confidence)) {
        wr_str_add(out, "by the whole 90 % interval");
        return;
    }
    if (!over->no_interval) wr_str_add(out, "but ");
    wr_interval_words(over, confidence, out);
    if (!over->no_interval) wr_str_add(out, " (90 % interval)");
}

void wr_any_limit_words(const struct wr_forecast *f, struct wr_str *out)
{
    if (f->n_limit < 2) return;
    wr_str_addf(out, "%s of 100 %s at least one of the %s limits", wr_chance(&f->any_over, WR_ROOM),
                wr_go_over(f->any_over.mean), wr_count_words(f->n_limit, WR_ROOM));
    wr_interval_beside(&f->any_over, WR_UNKNOWN, out);
    wr_by_worst_words(&f->any_second, WR_UNKNOWN, out);
}

/* The joint risk stands behind that of the first limit: who reads one sentence must not take the smaller for the whole.
 */
static void add_joint(const struct wr_forecast *f, struct wr_str *out)
{
    WR_SCOPED_STR any = {0};

    wr_any_limit_words(f, &any);
    if (any.len > 0) {
        wr_str_add_char(out, ' ');
        wr_add_capital(out, wr_str_text(&any));
        wr_str_add_char(out, '.');
    }
}

enum wr_verdict forecast_verdict(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                                 double confidence)
{
    return wr_verdict_from(&limit->over, &limit->second, confidence, wr_context_grounds(ctx));
}

/* "Inside" of the first limit is not enough: the others that are not, by name, and that some cannot be told. A limit of
 * which no confidence is wanted has no verdict. */
static void add_others_not_inside(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                                  struct wr_str *out)
{
    size_t n_not = 0, n_open = 0;
    WR_SCOPED_STR text = {0};

    for (size_t l = 1; l < result->forecast->n_limit; l++) {
        struct wr_maybe wanted = wr_wanted_confidence(ctx, result->limits, l);
        if (!wanted.known) continue;
        enum wr_verdict verdict = forecast_verdict(ctx, &result->forecast->limit[l], wanted.value);
        n_open += verdict == WR_VERDICT_CANNOT_TELL;
        if (verdict != WR_VERDICT_NOT_INSIDE) continue;
        wr_str_addf(&text, "%s\xe2\x80\x9c", n_not++ ? ", nor " : ", but not inside ");
        wr_str_add(&text, result->limits->limit[l].name);
        wr_str_add(&text, "\xe2\x80\x9d");
    }
    if (n_not + n_open == 0) return;
    wr_str_addf(out, " the first limit%s", wr_str_text(&text));
    if (n_open > 0) wr_str_add(out, n_not ? ", nor every other one for sure" : ", not every other one for sure");
}

void forecast_add_lack(const struct wr_present_context *ctx, const struct wr_limit_outlook *limit,
                       struct wr_maybe confidence, struct wr_str *out)
{
    if (!confidence.known) return;
    const struct wr_grounds grounds = wr_context_grounds(ctx);
    wr_lack_words(": ", wr_verdict_lacks(&limit->over, &limit->second, confidence.value, grounds), grounds,
                  ctx->complete_by, &limit->second, confidence.value, out);
}

void forecast_add_second_to(const struct wr_present_context *ctx, const struct wr_probability *over,
                            const struct wr_second *second, struct wr_maybe confidence, struct wr_str *out)
{
    if (!second->known) return;
    if (confidence.known &&
        wr_verdict_lacks(over, second, confidence.value, wr_context_grounds(ctx)) == WR_LACKS_SECOND)
        return;
    wr_str_add(out, "; ");
    wr_second_words(second, confidence, out);
}

void forecast_add_second(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                         struct wr_str *out)
{
    const struct wr_limit_outlook *limit = &result->forecast->limit[0];

    forecast_add_second_to(ctx, &limit->over, &limit->second, wr_wanted_confidence(ctx, result->limits, 0), out);
}

void wr_forecast_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                          struct wr_str *out)
{
    WR_SCOPED_STR count = {0};

    if (result->forecast->n_limit == 0) {
        wr_str_add(out, "No limit was given, so nothing is said about going over one.");
        return;
    }
    struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, 0);
    add_count(result, confidence, &count);
    forecast_add_second(ctx, result, &count);
    if (!confidence.known) {
        wr_add_capital(out, wr_str_text(&count));
        wr_str_add(out, ". What is wanted was not said: --confidence gives a verdict.");
        add_joint(result->forecast, out);
        return;
    }
    enum wr_verdict verdict = forecast_verdict(ctx, &result->forecast->limit[0], confidence.value);
    wr_add_capital(out, wr_verdict_said(verdict, wr_context_grounds(ctx)));
    forecast_add_lack(ctx, &result->forecast->limit[0], confidence, out);
    if (verdict == WR_VERDICT_INSIDE) add_others_not_inside(ctx, result, out);
    if (ctx->n_run == 0)
        wr_str_addf(out, "%s nothing was rehearsed, and what follows rests on judgement alone",
                    wr_is_in_doubt(wr_context_grounds(ctx)) ? "; and" : ":");
    if (verdict == WR_VERDICT_CANNOT_TELL) {
        wr_str_add(out, ". ");
        wr_add_capital(out, wr_str_text(&count));
    } else {
        wr_str_addf(out, ": %s", wr_str_text(&count));
    }
    wr_str_addf(out, "; wanted: at most %s.", wr_allowed_of_100(confidence.value, WR_ROOM));
    add_joint(result->forecast, out);
}

bool forecast_first_is_of_all(const struct wr_forecast_result *result)
{
    const struct wr_limit *first = result->limits ? result->limits->limit : NULL;

    return first && result->forecast->n_limit > 0 && !first->is_clock &&
           forecast_is_all_lanes(result->plan, first->lanes);
}

struct wr_maybe forecast_half_late_min(const struct wr_forecast_result *result)
{
    const struct wr_forecast *f = result->forecast;
    if (wr_count_of_100(f->limit[0].over.mean) == 0) return WR_UNKNOWN;
    return wr_known(fmax(f->half_over_min - result->limits->limit[0].minutes, 0));
}

/* The forecast drops it on such a day: without that the count would be of another plan. */
static void add_past_rule(const struct wr_rehearsed *seen, const char *limit, struct wr_str *out)
{
    if (seen->n_past_rule == 0) return;
    if (seen->n_complete == 1) {
        wr_str_addf(out, ", with work done that the plan drops on such a day; by its drop rules it was %s %s (%s)",
                    seen->n_over_by_rules ? "over" : "within", limit, wr_moment(seen->least_by_rules_min, WR_ROOM));
        return;
    }
    const char *all = wr_count_words(seen->n_complete, WR_ROOM); /* each count says of how many it is */
    wr_str_addf(out,
                "; %s of the %s did work that the plan drops on such a day, and had the drop rules been kept, %s of "
                "the %s would have been over %s (%s to %s)",
                wr_count_words(seen->n_past_rule, WR_ROOM), all,
                seen->n_over_by_rules ? wr_count_words(seen->n_over_by_rules, WR_ROOM) : "none", all, limit,
                wr_moment(seen->least_by_rules_min, WR_ROOM), wr_moment(seen->most_by_rules_min, WR_ROOM));
}

static void add_rehearsed(const struct wr_present_context *ctx, const struct wr_timing *timing, double limit_min,
                          struct wr_str *out)
{
    const struct wr_rehearsed seen = wr_rehearsed_against(timing, limit_min);

    const char *at = wr_moment(limit_min, WR_ROOM), *by = wr_or_nothing(ctx->complete_by);
    wr_str_addf(out, "Without a model: %s", ctx->target == WR_FOR_EXCURSION ? "in the pool, " : "");
    if (seen.n_complete == 0)
        wr_str_addf(out, "no rehearsal was complete%s, so none stands against %s", by, at);
    else if (seen.n_complete == 1)
        wr_str_addf(out, "the only complete rehearsal%s was %s %s (%s, holds left out)", by,
                    seen.n_over ? "over" : "within", at, wr_moment(seen.least_min, WR_ROOM));
    else
        wr_str_addf(out, "of the %s complete rehearsals%s %s %s over %s (%s to %s, holds left out)",
                    wr_count_words(seen.n_complete, WR_ROOM), by,
                    seen.n_over ? wr_count_words(seen.n_over, WR_ROOM) : "none", seen.n_over < 2 ? "was" : "were", at,
                    wr_moment(seen.least_min, WR_ROOM), wr_moment(seen.most_min, WR_ROOM));
    add_past_rule(&seen, at, out);
    if (seen.n_incomplete == 1 && seen.n_incomplete_over == 1)
        wr_str_add(out, "; the incomplete one was over it all the same, holds left out");
    else if (seen.n_incomplete_over > 0)
        wr_str_addf(out, "; of the %s incomplete %s %s over it all the same, holds left out",
                    wr_count_words(seen.n_incomplete, WR_ROOM), wr_count_words(seen.n_incomplete_over, WR_ROOM),
                    seen.n_incomplete_over == 1 ? "was" : "were");
    wr_str_add_char(out, '.');
}

/* ", as if nothing was forgotten": which answer a number is of, where there are several. */
static const char *of_first(const struct wr_present_context *ctx, char room[WR_WORDS])
{
    if (!ctx->first_is) return "";
    snprintf(room, WR_WORDS, ", %s", ctx->first_is);
    return room;
}

void wr_beside_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                        struct wr_str *out)
{
    if (!forecast_first_is_of_all(result)) return;
    struct wr_maybe late = forecast_half_late_min(result);
    if (late.known)
        wr_str_addf(out, "Half of the finishes over %s are over by %s or more%s.",
                    wr_moment(result->limits->limit[0].minutes, WR_ROOM), wr_minutes_whole(late.value, WR_ROOM),
                    of_first(ctx, WR_ROOM));
    if (late.known && result->timing) wr_str_add_char(out, ' ');
    if (result->timing) add_rehearsed(ctx, result->timing, result->limits->limit[0].minutes, out);
}

/* A plan of likely times alone promises less than one of planned times. */
static const char *times_of_plan(const struct wr_plan *plan)
{
    size_t n_planned = 0, n_likely = 0;

    for (size_t k = 0; k < plan->n_task; k++) {
        n_planned += plan->task[k].planned_min.known;
        n_likely += !plan->task[k].planned_min.known && plan->task[k].likely_min.known;
    }
    return n_planned == plan->n_task ? "the plan's own times"
           : n_likely == plan->n_task ? "the plan's most likely times" : "the times that the plan gives";
}

void wr_planned_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                         struct wr_str *out)
{
    double half = result->forecast->quantile_min[WR_Q50], planned = result->planned_min.value;

    if (!result->planned_min.known) return;
    double late = wr_moment_gap_min(planned, half);
    wr_str_addf(out, "By %s all would be done by %s, ", times_of_plan(result->plan), wr_moment(planned, WR_ROOM));
    if (late != 0)
        wr_str_addf(out, "%s %s half of the finishes have come%s.", wr_minutes_whole(fabs(late), WR_ROOM),
                    late > 0 ? "before" : "after", of_first(ctx, WR_ROOM));
    else wr_str_addf(out, "as half of the finishes%s.", of_first(ctx, WR_ROOM));
}

/* ---- work that may be dropped ---- */

void wr_not_in_it_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                           struct wr_str *out)
{
    const struct wr_drop_price *first = result->n_price > 0 ? &result->price[0] : NULL;
    size_t n = 0;

    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        if (p->limit != 0 || wr_count_of_100(p->dropped) == 0) continue;
        wr_str_add(out, n++ ? ", " : "Not in this on every day, for the plan drops it when it comes late: ");
        wr_str_addf(out, "%s (dropped on %s of 100)", result->plan->task[p->task].title,
                    wr_of_100_certain(p->dropped, result->forecast->nothing_varies, WR_ROOM));
    }
    if (n == 0) return;
    wr_str_addf(out, "%s. With all of it done half of the finishes would come by %s", of_first(ctx, WR_ROOM),
                wr_moment(first->median_all_done_min, WR_ROOM));
    if (result->forecast->n_limit > 0)
        wr_str_addf(out, ", and %s of 100 %s %s",
                    wr_of_100_certain(first->over_all_done, result->forecast->nothing_varies, WR_ROOM),
                    wr_go_over(first->over_all_done), wr_moment(result->limits->limit[0].minutes, WR_ROOM));
    wr_str_add(out, of_first(ctx, WR_ROOM));
    wr_str_add_char(out, '.');
}

/* of: the limit's name where there are several; NULL. */
static void say_buys(const struct wr_paired *gain, bool several, const char *of, struct wr_str *out)
{
    bool harms = gain->mean < 0;

    wr_str_addf(out, "%s%s %s of 100 %s those over the limit%s%s", harms ? "add" : "take", several ? "" : "s",
                wr_change(fabs(100 * gain->mean), WR_ROOM), harms ? "to" : "off", of ? " " : "", of ? of : "");
    if (gain->no_interval) return;
    wr_str_addf(out, " (90 %% interval %s to %s)", wr_gain_end(100 * (harms ? -gain->hi : gain->lo), WR_ROOM),
                wr_gain_end(100 * (harms ? -gain->lo : gain->hi), WR_ROOM));
}

/* What a gain that more trials may show is called, behind it. */
static const char awaits_trials[] = "which only more trials can tell from none (--trials)";

static size_t count_rules(const struct wr_forecast_result *result)
{
    size_t n = 0;

    for (size_t i = 0; i < result->n_price; i++) n += result->price[i].limit == 0;
    return n;
}

/* " (excursion)": which limit, where there are several. */
static void add_of_limit(const struct wr_forecast_result *result, size_t limit, struct wr_str *out)
{
    if (result->forecast->n_limit > 1) wr_str_addf(out, " (%s)", result->limits->limit[limit].name);
}

/* What the rules take off together is the same in every row of a limit. */
static const struct wr_paired *all_rules_on(const struct wr_forecast_result *result, size_t limit)
{
    static const struct wr_paired nothing = {0};

    for (size_t i = 0; i < result->n_price; i++)
        if (result->price[i].limit == limit) return &result->price[i].all_rules;
    return &nothing;
}

void wr_rules_buy_words(const struct wr_forecast_result *result, struct wr_str *out)
{
    const size_t n_limit = result->forecast->n_limit, n = count_rules(result);
    WR_SCOPED_STR open = {0};
    size_t n_said = 0;

    if (n == 0 || n_limit == 0) return;
    wr_str_add(out, n > 1 ? "together the drop times" : "the drop time");
    for (size_t l = 0; l < n_limit; l++) {
        const struct wr_paired *gain = all_rules_on(result, l);
        if (wr_rule_gain_of(gain, result->limits->limit[l].is_clock) != WR_GAIN_OPEN) {
            wr_str_add(out, n_said++ ? ", " : " ");
            say_buys(gain, n > 1, n_limit > 1 ? result->limits->limit[l].name : NULL, out);
        } else if (wr_gain_awaits_trials(gain, 100)) {
            if (open.len > 0) wr_str_add(&open, ", ");
            wr_fewer_words(gain, &open);
            add_of_limit(result, l, &open);
        }
    }
    if (n_said > 0) return;
    if (open.len > 0) wr_str_addf(out, ": %s, %s", wr_str_text(&open), awaits_trials);
    else
        wr_str_addf(out, " %s nothing that can be told apart%s", n > 1 ? "buy" : "buys",
                    n_limit > 1 ? " for any limit" : "");
}

/* "Stage the mast clamps (excursion), fewer by 0.4 (0.1 to 1.2)" */
static void add_rule(const struct wr_forecast_result *result, const struct wr_drop_price *p, struct wr_str *out)
{
    if (out->len > 0) wr_str_add(out, "; ");
    wr_str_add(out, result->plan->task[p->task].title);
    add_of_limit(result, p->limit, out);
    wr_str_add(out, ", ");
    wr_fewer_words(&p->rule, out);
}

void wr_each_rule_words(const struct wr_forecast_result *result, struct wr_str *out)
{
    WR_SCOPED_STR shown = {0}, open = {0};

    if (count_rules(result) < 2 || result->forecast->n_limit == 0) return;
    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        if (wr_gain_of(&p->rule, 100) != WR_GAIN_OPEN) add_rule(result, p, &shown);
        else if (wr_gain_awaits_trials(&p->rule, 100)) add_rule(result, p, &open);
    }
    wr_str_addf(out, "each drop time alone: %s",
                shown.len > 0  ? wr_str_text(&shown)
                : open.len > 0 ? ""
                               : "nothing that can be told apart");
    if (open.len > 0) wr_str_addf(out, "%s%s, %s", shown.len > 0 ? "; and " : "", wr_str_text(&open), awaits_trials);
}

void wr_always_dropped_words(const struct wr_forecast_result *result, struct wr_str *out)
{
    WR_SCOPED_STR open = {0};
    size_t n = 0;

    if (result->n_price == 0 || result->forecast->n_limit == 0) return;
    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        if (p->sooner.mean > 0 && wr_gain_awaits_trials(&p->sooner, 100)) {
            wr_str_addf(&open, "%s%s (%s), ", open.len ? "; " : "", result->plan->task[p->task].title,
                        result->limits->limit[p->limit].name);
            wr_fewer_words(&p->sooner, &open);
        }
        if (wr_gain_of(&p->sooner, 100) != WR_GAIN_HELPS) continue;
        wr_str_add(out, n++ ? "; " : "always dropped, shown to lower the risk further: ");
        wr_str_addf(out, "%s (%s), ", result->plan->task[p->task].title, result->limits->limit[p->limit].name);
        wr_fewer_words(&p->sooner, out);
    }
    if (n == 0) wr_str_add(out, "always dropped, none of this is shown to lower the risk further");
    if (open.len > 0) wr_str_addf(out, "; %s, %s", wr_str_text(&open), awaits_trials);
}

void wr_rules_rest_words(const struct wr_forecast_result *result, struct wr_str *out)
{
    double worst = 0;

    if (result->n_price == 0 || result->forecast->n_limit == 0) return;
    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        worst = fmax(worst, fmax(p->rule.se, fmax(p->sooner.se, p->all_rules.se)));
    }
    wr_str_addf(out, "what drop times change rests on %zu days of each draw; Monte Carlo error %s",
                result->price[0].n_per_draw, 100 * worst < 0.01 ? "" : "up to ");
    wr_add_error(out, 100 * worst, 0.01);
    wr_str_add(out, " of 100");
}

/* ---- what it takes ---- */

/* Get-ahead work of which it is shown that leaving it out takes some of those over the first limit off: two counts of
 * 100 may differ, or not, by rounding alone. */
static void add_left_out(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                         struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; i < result->n_price; i++) {
        const struct wr_drop_price *p = &result->price[i];
        if (p->limit != 0 || wr_gain_of(&p->sooner, 100) != WR_GAIN_HELPS) continue;
        if (n++) wr_str_add(out, "; ");
        else wr_str_addf(out, " Shown to lower the risk, left out from the start%s: ", of_first(ctx, WR_ROOM));
        wr_str_addf(out, "%s, %s of 100, ", result->plan->task[p->task].title,
                    wr_of_100(p->over_always_dropped, WR_ROOM));
        wr_fewer_words(&p->sooner, out);
    }
    if (n > 0) wr_str_add_char(out, '.');
}

/* " (26 less to 12 more)" of the minutes before it. */
static void add_gap_interval(double lo_min, double hi_min, struct wr_str *out)
{
    char hi[WR_WORDS];

    const char *lo = wr_minutes_whole(fabs(lo_min), WR_ROOM);
    wr_minutes_whole(fabs(hi_min), hi);
    if (lo_min < 0 && hi_min > 0) wr_str_addf(out, " (%s less to %s more)", lo, hi);
    else wr_str_addf(out, " (%s to %s)", lo_min < 0 ? hi : lo, lo_min < 0 ? lo : hi);
}

void wr_needed_interval_words(const struct wr_forecast *f, const struct wr_limit_needed *need, struct wr_str *out)
{
    wr_str_addf(out, " (90 %% interval %s to %s", wr_moment(need->lo_min.value, WR_ROOM),
                wr_moment(need->hi_min.value, WR_ROOM));
    if (f->n_worse > 0) wr_str_addf(out, ", by %s", wr_all_answers_words(f));
    wr_str_add_char(out, ')');
}

/* " With 10 % allowed for the gap it takes 7:05.": the worst answer on the first limit stands last. */
static void takes_by_worst(const struct wr_present_context *ctx, struct wr_str *out)
{
    const struct wr_present_second *worst = NULL;
    WR_SCOPED_STR assumed = {0};

    for (size_t i = 0; i < ctx->n_second; i++)
        if (ctx->second[i].at == 0 && ctx->second[i].needed_min.known) worst = &ctx->second[i];
    if (!worst) return;
    wr_if_assumed_words(worst->is.kind, worst->is.percent, &assumed);
    wr_str_add_char(out, ' ');
    wr_add_capital(out, wr_str_text(&assumed));
    wr_str_addf(out, " it takes %s.", wr_moment(worst->needed_min.value, WR_ROOM));
}

/* Less than there is for a rehearsal may be more for the excursion. */
static void takes_for_excursion(const struct wr_present_context *ctx, double confidence, struct wr_str *out)
{
    if (!ctx->history_unused || !ctx->excursion) return;
    const struct wr_limit_needed need = wr_limit_needed(&ctx->excursion->forecast, confidence);
    if (!need.middle_min.known) return;
    wr_str_addf(out, " For the excursion, with its history, it takes %s", wr_moment(need.middle_min.value, WR_ROOM));
    if (need.lo_min.known && need.hi_min.known) wr_needed_interval_words(&ctx->excursion->forecast, &need, out);
    double missing = wr_moment_gap_min(ctx->excursion_limits->limit[0].minutes, need.middle_min.value);
    if (missing == 0) wr_str_add(out, ", what there is.");
    else
        wr_str_addf(out, ", %s %s than there is.", wr_minutes_whole(fabs(missing), WR_ROOM),
                    missing > 0 ? "more" : "less");
}

void wr_takes_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_str *out)
{
    const struct wr_forecast *f = result->forecast;

    if (f->n_limit == 0 || result->limits->limit[0].is_clock) return;
    struct wr_maybe confidence = wr_wanted_confidence(ctx, result->limits, 0);
    if (!confidence.known) return;
    const struct wr_limit_needed need = wr_limit_needed(f, confidence.value);
    double limit_min = result->limits->limit[0].minutes;
    const char *percent = wr_percent(confidence.value, WR_ROOM);
    if (!need.middle_min.known) {
        wr_str_addf(out, "What limit would be kept with %s is beyond what was looked at.", percent);
        return;
    }
    wr_str_addf(out, "To be inside with %s%s%s it takes a limit of %s", percent, of_first(ctx, WR_ROOM),
                ctx->first_is ? "," : "", wr_moment(need.middle_min.value, WR_ROOM));
    if (need.lo_min.known && need.hi_min.known && !f->nothing_unknown)
        wr_needed_interval_words(f, &need, out);
    double missing = wr_moment_gap_min(limit_min, need.middle_min.value);
    const char *gap = wr_minutes_whole(fabs(missing), WR_ROOM);
    if (missing != 0) wr_str_addf(out, ": %s %s than there is", gap, missing > 0 ? "more" : "less");
    else wr_str_add(out, ": what there is");
    if (need.lo_min.known && need.hi_min.known && !f->nothing_unknown)
        add_gap_interval(wr_moment_gap_min(limit_min, need.lo_min.value),
                         wr_moment_gap_min(limit_min, need.hi_min.value), out);
    wr_str_add_char(out, '.');
    takes_for_excursion(ctx, confidence.value, out);
    if (missing > 0) add_left_out(ctx, result, out);
    takes_by_worst(ctx, out);
}
