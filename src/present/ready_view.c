#include "wetrun/present/ready_view.h"

#include <math.h>
#include <string.h>
#include "json.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/excursion_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

const char *wr_evidence_words(enum wr_evidence evidence)
{
    switch (evidence) {
    case WR_EVIDENCE_MET: return "met";
    case WR_EVIDENCE_NOT_MET: return "not met";
    case WR_EVIDENCE_NOT_JUDGED:
    case WR_EVIDENCE_NOT_ENOUGH: break;
    }
    return "not enough evidence";
}

void wr_ready_own_criteria(const struct wr_ready *ready, struct wr_str *out)
{
    const struct wr_criteria usual = wr_criteria_default();
    size_t n = 0;

    for (int i = 0; i < WR_N_CRITERION; i++)
        if (ready->result[i].left_out)
            wr_str_addf(out, "%s%s", n++ ? ", " : " Left out by criteria.csv: ",
                        wr_criterion_words((enum wr_criterion_id)i));
    if (n) wr_str_add_char(out, '.');
    n = 0;
    for (int i = 0; i < WR_N_CRITERION; i++) {
        const struct wr_criterion_result *c = &ready->result[i];
        if (c->on && fabs(c->threshold - usual.threshold[i]) > 1e-9)
            wr_str_addf(out, "%s%s %g (usual: %g)", n++ ? ", " : " Asked otherwise than usual: ",
                        wr_criterion_words((enum wr_criterion_id)i), c->threshold, usual.threshold[i]);
    }
    if (n) wr_str_add_char(out, '.');
}

void wr_ready_sentence(const struct wr_ready *ready, struct wr_str *out)
{
    size_t n = ready->n_met + ready->n_not_met + ready->n_not_enough;

    if (n == 0) {
        wr_str_add(out, "No criterion is asked, so nothing was looked at.");
        wr_ready_own_criteria(ready, out);
        return;
    }
    wr_str_addf(out, "%zu of %zu criteri%s met, %zu not met", ready->n_met, n, n == 1 ? "on" : "a", ready->n_not_met);
    if (ready->n_not_enough > 0) wr_str_addf(out, ", for %zu there is not enough evidence", ready->n_not_enough);
    wr_str_add(out, ". This is what the evidence is; whether it is enough is for the review to say.");
    wr_ready_own_criteria(ready, out);
}

const char *wr_criterion_words(enum wr_criterion_id id)
{
    switch (id) {
    case WR_CRIT_COMPLETE_RUNS: return "complete rehearsals";
    case WR_CRIT_TASK_DONE: return "every task completed";
    case WR_CRIT_LAST_COMPLETE: return "the last rehearsals complete";
    case WR_CRIT_OVERRUN: return "going over the first limit";
    case WR_CRIT_OTHER_LIMITS: return "going over any other limit";
    case WR_CRIT_PLANNED: return "planned times missed";
    case WR_CRIT_PLANNED_PATH: return "planned times on the longest path";
    case WR_CRIT_UNLOGGED: return "holds, lead-ins and gaps";
    case WR_CRIT_RECORD: return "the forecast's record";
    case WR_CRIT_KEPT: return "kept to the plan's order";
    case WR_N_CRITERION: break;
    }
    return "";
}

void wr_criterion_asked(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out)
{
    const struct wr_ready *ready = result->ready;
    double threshold = ready->result[id].threshold;
    const char *s = threshold == 1 ? "" : "s";

    switch (id) {
    case WR_CRIT_COMPLETE_RUNS: wr_str_addf(out, "at least %g complete rehearsal%s", threshold, s); break;
    case WR_CRIT_TASK_DONE: wr_str_addf(out, "every task completed at least %g time%s", threshold, s); break;
    case WR_CRIT_LAST_COMPLETE: wr_str_addf(out, "the last %g rehearsal%s complete", threshold, s); break;
    case WR_CRIT_OVERRUN:
        wr_str_addf(out, "at most %s of 100 go over %s, even at the upper %g %% point",
                    wr_allowed_of_100(ready->confidence, WR_ROOM), wr_moment(result->limits->limit[0].minutes, WR_ROOM),
                    100 * threshold);
        break;
    case WR_CRIT_OTHER_LIMITS:
        wr_str_addf(out, "going over any other limit is no likelier than it allows, even at the upper %g %% point",
                    100 * threshold);
        break;
    case WR_CRIT_PLANNED:
        if (threshold > 0)
            wr_str_addf(out, "fewer than %s of the planned times missed more often than kept",
                        wr_percent(threshold, WR_ROOM));
        else wr_str_add(out, "none of the planned times missed more often than kept");
        break;
    case WR_CRIT_PLANNED_PATH:
        wr_str_addf(out, "no planned time likely to be missed lies on the longest path more than %s of the time",
                    wr_percent(threshold, WR_ROOM));
        break;
    case WR_CRIT_UNLOGGED:
        if (threshold > 0)
            wr_str_addf(out, "holds, lead-ins and gaps below %s of the tasks' time with them",
                        wr_percent(threshold, WR_ROOM));
        else wr_str_add(out, "no holds, lead-ins or gaps");
        break;
    case WR_CRIT_RECORD:
        wr_str_addf(
            out,
            "the forecast's record does not speak against it (a sound one does so badly with a chance of at least "
            "%s%s)",
            wr_percent(threshold, WR_ROOM), result->ready->n_earlier_forecast > 0 ? ", in each of two looks" : "");
        break;
    case WR_CRIT_KEPT: wr_str_addf(out, "the last %g rehearsal%s kept to the plan's order", threshold, s); break;
    case WR_N_CRITERION: break;
    }
}

static void add_over(const struct wr_probability *over, double upper, double confidence, struct wr_str *out)
{
    if (over->no_interval) {
        wr_str_addf(out, "%s of 100, no interval", wr_chance(over, WR_ROOM));
        return;
    }
    wr_str_addf(out, "%s of 100, 90 %% interval %s to %s, upper point %s", wr_chance(over, WR_ROOM),
                wr_of_100_beside(over->lo, wr_known(1 - confidence), WR_ROOM),
                wr_of_100_beside(over->hi, wr_known(1 - confidence), WR_ROOM),
                wr_of_100_beside(upper, wr_known(1 - confidence), WR_ROOM));
    if (!wr_beyond_allowed(upper, confidence) && !wr_surely_within(upper, over->hi_mc_error, confidence))
        wr_str_add(out, ", which is nearer to what is allowed than its own error, from the finite number of draws");
}

/* Said wherever there is one: "met" must bear it, and whatever else is said must not hide it. */
static void add_second(const struct wr_ready_second *second, double confidence, struct wr_str *out)
{
    if (!second->is.known) return;
    wr_str_add(out, "; ");
    wr_second_words(&second->is, wr_known(confidence), out);
    wr_str_addf(out, ", upper point %s", wr_of_100_beside(second->upper, wr_known(1 - confidence), WR_ROOM));
}

/* Why a criterion says "not met" where the forecast's verdict on the same limit says that it cannot tell: the verdict
 * asks for the whole interval on one side, whoever asks for evidence is told by the number itself. */
static bool is_not_met_by_number(const struct wr_ready *ready, enum wr_criterion_id id)
{
    bool is_first = id == WR_CRIT_OVERRUN;
    const struct wr_probability *over = is_first ? &ready->over : &ready->worst_over;

    if ((!is_first && id != WR_CRIT_OTHER_LIMITS) || ready->result[id].evidence != WR_EVIDENCE_NOT_MET) return false;
    return !over->no_interval && wr_verdict_on(over, is_first ? ready->confidence : ready->worst_confidence) ==
                                     WR_VERDICT_CANNOT_TELL;
}

void wr_criterion_against_verdict(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out)
{
    if (!is_not_met_by_number(result->ready, id)) return;
    wr_str_addf(out,
                "because the number itself is beyond what is allowed; the forecast says \xe2\x80\x9c%s\xe2\x80\x9d "
                "because the interval reaches within it too",
                wr_verdict_words(WR_VERDICT_CANNOT_TELL));
}

static void add_against_verdict(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out)
{
    if (!is_not_met_by_number(result->ready, id)) return;
    wr_str_add(out, "; not met ");
    wr_criterion_against_verdict(result, id, out);
}

/* A planned time below the median that the median's own interval holds may as well be kept. */
static void add_open_misses(const struct wr_criterion_result *c, struct wr_str *out)
{
    if (c->n_open == 0) return;
    if (c->n_open < c->n) wr_str_addf(out, "; of %zu of the %zu", c->n_open, c->n);
    else wr_str_add(out, c->n == 1 ? "; of it" : "; of all of them");
    wr_str_addf(out, " the 90 %% interval of the median holds the planned time");
}

/* Why an interval that lies within what is wanted does not meet the criterion. */
static void add_too_few_complete(const struct wr_ready_result *result, const struct wr_criterion_result *c,
                                 struct wr_str *out)
{
    const struct wr_criterion_result *complete = &result->ready->result[WR_CRIT_COMPLETE_RUNS];

    if (c->evidence != WR_EVIDENCE_NOT_ENOUGH || complete->n >= WR_FEWEST_COMPLETE || complete->of == 0) return;
    wr_str_addf(out,
                "; with %s complete rehearsal%s%s it cannot be met: that takes %s at least, however many are asked for",
                complete->n == 0 ? "no" : wr_count_words(complete->n, WR_ROOM), complete->n == 1 ? "" : "s",
                wr_or_nothing(result->complete_by), wr_count_words(WR_FEWEST_COMPLETE, WR_ROOM));
}

/* What rests on the forecast is of those who rehearsed. */
static void add_untold(const struct wr_ready *ready, struct wr_str *out)
{
    if (ready->people_untold) wr_str_add(out, "; not of the people named");
}

/* Why nothing can be said of the planned times: a plan without one is not asked about them. */
static void add_no_planned(const struct wr_ready *ready, struct wr_str *out)
{
    wr_str_add(out, ready->result[WR_CRIT_PLANNED].of > 0 ? "nothing was rehearsed to hold the planned times against"
                                                          : "no planned time was looked at");
}

void wr_criterion_found(const struct wr_ready_result *result, enum wr_criterion_id id, struct wr_str *out)
{
    const struct wr_ready *ready = result->ready;
    const struct wr_criterion_result *c = &ready->result[id];
    const char *by = wr_or_nothing(result->complete_by);

    switch (id) {
    case WR_CRIT_COMPLETE_RUNS:
        wr_str_addf(out, "%zu of %zu rehearsal%s complete%s", c->n, c->of, c->of == 1 ? " is" : "s are", by);
        break;
    case WR_CRIT_TASK_DONE:
        wr_str_addf(out, "%zu of %zu task%s", c->n, c->of, c->of == 1 ? "" : "s");
        if (ready->n_fewer_timed > 0)
            wr_str_addf(out, " (of %zu of these fewer times are known)", ready->n_fewer_timed);
        if (c->has_worst) wr_str_addf(out, "; fewest: %.0f, %s", c->found.value, result->plan->task[c->worst].id);
        if (ready->n_rare > 0)
            wr_str_addf(out, "; %zu done less than twice in the last 3 rehearsals", ready->n_rare);
        break;
    case WR_CRIT_LAST_COMPLETE:
    case WR_CRIT_KEPT:
        wr_str_addf(out, "%zu of %zu%s", c->n, c->of, id == WR_CRIT_LAST_COMPLETE ? by : "");
        if (c->has_worst && c->n < c->of) wr_str_addf(out, "; not %s", result->log->run[c->worst].id);
        else if (c->has_worst)
            wr_str_addf(out, "; of %s less than half of the order can be seen", result->log->run[c->worst].id);
        break;
    case WR_CRIT_OVERRUN:
        add_over(&ready->over, ready->over_upper, ready->confidence, out);
        add_second(&ready->second, ready->confidence, out);
        wr_excursion_limit_words(result->excursion, 0, wr_known(ready->confidence), out);
        if (!ready->chains_agree) wr_str_add(out, "; the sampler's chains disagree");
        add_untold(ready, out);
        add_too_few_complete(result, c, out);
        add_against_verdict(result, id, out);
        break;
    case WR_CRIT_OTHER_LIMITS:
        wr_str_addf(out, "%zu of %zu; %s: %s, ", c->n, c->of, c->n < c->of ? "worst" : "closest",
                    result->limits->limit[c->worst].name);
        add_over(&ready->worst_over, ready->worst_upper, ready->worst_confidence, out);
        wr_str_addf(out, ", allowed %s", wr_allowed_of_100(ready->worst_confidence, WR_ROOM));
        add_second(&ready->worst_second, ready->worst_confidence, out);
        wr_excursion_limit_words(result->excursion, c->worst, wr_known(ready->worst_confidence), out);
        add_untold(ready, out);
        add_too_few_complete(result, c, out);
        add_against_verdict(result, id, out);
        break;
    case WR_CRIT_PLANNED:
        if (!c->found.known) {
            add_no_planned(ready, out);
            break;
        }
        wr_str_addf(out, "%zu of %zu (%s)", c->n, c->of, wr_percent(c->found.value, WR_ROOM));
        if (c->has_worst) wr_str_addf(out, "; worst: %s", result->plan->task[c->worst].id);
        add_open_misses(c, out);
        add_untold(ready, out);
        break;
    case WR_CRIT_PLANNED_PATH:
        if (!ready->result[WR_CRIT_PLANNED].found.known) {
            add_no_planned(ready, out);
            break;
        }
        wr_str_addf(out, "%zu of %zu", c->n, c->of);
        if (c->has_worst)
            wr_str_addf(out, "; most: %s, %s", result->plan->task[c->worst].id, wr_percent(c->found.value, WR_ROOM));
        add_open_misses(c, out);
        add_untold(ready, out);
        break;
    case WR_CRIT_UNLOGGED:
        if (c->found.known)
            wr_str_addf(out, "%s, over %zu complete rehearsal%s%s", wr_percent(c->found.value, WR_ROOM), c->of,
                        c->of == 1 ? "" : "s", by);
        else
            wr_str_addf(out, "no complete rehearsal%s", by);
        if (c->n > 0)
            wr_str_addf(out, "; not in it: %zu hole%s of the log, work of which it is not known how long it took",
                        c->n, c->n == 1 ? "" : "s");
        if (c->found.known) add_too_few_complete(result, c, out);
        break;
    case WR_CRIT_RECORD:
        if (!c->found.known) {
            wr_str_add(out, "no forecast could be held against a rehearsal");
            break;
        }
        wr_str_addf(out, "%zu of %zu rehearsal%s inside %s 80 %% band, ", c->n, c->of, c->of == 1 ? "" : "s",
                    c->of == 1 ? "its" : "their");
        if (ready->n_earlier_forecast > 0)
            wr_str_addf(out, "%zu of %zu where forecast from earlier rehearsals only, ", ready->n_earlier_inside,
                        ready->n_earlier_forecast);
        wr_str_add(out, "all in the pool: no real excursion has tested the forecast");
        if (c->evidence == WR_EVIDENCE_NOT_MET)
            wr_str_addf(out, "; chance %s if it were sound%s", wr_percent(c->found.value, WR_ROOM),
                        ready->earlier_decides ? ", of the record from earlier rehearsals only" : "");
        break;
    case WR_N_CRITERION: break;
    }
}

void wr_grid_of_ready(const struct wr_ready_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"criterion", "criterion", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"evidence", "evidence", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"asked", "asked", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"found", "found", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"threshold", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"value", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    };
    static const enum wr_evidence first[] = {WR_EVIDENCE_NOT_MET, WR_EVIDENCE_NOT_ENOUGH, WR_EVIDENCE_MET};
    WR_SCOPED_STR text = {0};

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t e = 0; e < sizeof first / sizeof *first; e++)
        for (int i = 0; i < WR_N_CRITERION; i++) {
            const struct wr_criterion_result *c = &result->ready->result[i];
            if (!c->on || c->evidence != first[e]) continue;
            WR_GRID_TEXTS(grid, wr_criterion_name((enum wr_criterion_id)i), wr_evidence_words(c->evidence));
            wr_str_clear(&text);
            wr_criterion_asked(result, (enum wr_criterion_id)i, &text);
            wr_grid_text(grid, wr_str_text(&text));
            wr_str_clear(&text);
            wr_criterion_found(result, (enum wr_criterion_id)i, &text);
            wr_grid_text(grid, wr_str_text(&text));
            wr_grid_number(grid, c->threshold);
            wr_grid_maybe(grid, c->found);
        }
}

/* On a terminal a criterion is a line of its own and what was found stands below it: both are sentences. */
static void ready_table(const struct wr_present_context *ctx, const struct wr_ready_result *result,
                        const struct wr_grid *grid, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    wr_ready_sentence(result->ready, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "evidence for a readiness review, forecast", &text);
    wr_str_add(&text, ".");
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    for (size_t i = 0; i < wr_grid_rows(grid); i++) {
        const struct wr_value *row = grid->value + i * grid->n_column;
        wr_str_clear(&text);
        wr_str_addf(&text, "%s: %s.", row[1].text, row[2].text);
        if (i == 0 || strcmp(row[1].text, row[1 - (int)grid->n_column].text) != 0) wr_str_add_char(out, '\n');
        WR_SCOPED_STR line = {0};
        wr_add_capital(&line, wr_str_text(&text));
        wr_prose_add(out, wr_str_text(&line), 0, WR_TERMINAL_COLUMNS);
        wr_prose_add(out, row[3].text, 4, WR_TERMINAL_COLUMNS);
    }
}

static struct wr_maybe upper_of(const struct wr_ready_second *second)
{
    return second->is.known ? wr_known(second->upper) : WR_UNKNOWN;
}

static enum wr_status ready_json(const struct wr_present_context *ctx, const struct wr_ready_result *result,
                                 const struct wr_grid *grid, struct wr_str *out, struct wr_error *err)
{
    const struct wr_ready *ready = result->ready;
    WR_SCOPED_STR sentence = {0};
    struct wr_json j;

    wr_json_begin(&j, ctx);
    wr_context_add_doubtful(ctx, &sentence);
    wr_ready_sentence(ready, &sentence);
    wr_json_text(&j, j.root, "answer", wr_str_text(&sentence));
    wr_json_count(&j, j.root, "met", ready->n_met);
    wr_json_count(&j, j.root, "not_met", ready->n_not_met);
    wr_json_count(&j, j.root, "not_enough_evidence", ready->n_not_enough);
    wr_json_grid(&j, j.root, "criteria", grid);
    json_t *over = wr_json_object(&j, j.root, "overrun");
    wr_json_number(&j, over, "probability", ready->over.mean);
    wr_json_interval(&j, over, "interval", &ready->over);
    wr_json_number(&j, over, "upper_point", ready->over_upper);
    wr_json_maybe(&j, over, "second_upper_point", upper_of(&ready->second));
    wr_json_number(&j, over, "confidence", ready->confidence);
    if (ready->result[WR_CRIT_OTHER_LIMITS].has_worst)
        wr_json_maybe(&j, j.root, "other_limits_second_upper_point", upper_of(&ready->worst_second));
    wr_json_bool(&j, j.root, "chains_agree", ready->chains_agree);
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_ready(enum wr_format format, const struct wr_present_context *ctx,
                             const struct wr_ready_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID grid = {0};

    wr_grid_of_ready(result, &grid);
    enum wr_status status = wr_grid_check(&grid, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: ready_table(ctx, result, &grid, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&grid, out); break;
    case WR_FORMAT_JSON: return ready_json(ctx, result, &grid, out, err);
    }
    return WR_OK;
}
