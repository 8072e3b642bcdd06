/* The plan and the log held against each other, and a plan made from the log. */
#include <string.h>
#include "majority_order.h"
#include "plan_parts.h"
#include "wetrun/campaign/way_in.h"

/* ---- a plan that was read ---- */

struct check {
    struct wr_plan *plan;
    const struct wr_plan *now; /* what is forecast, where `plan` is another one, that was rehearsed; else NULL */
    const struct wr_run_log *log;
    struct wr_findings *findings;
    struct wr_error *err;
    size_t n_error;
};

static void fail_at(struct check *c, const struct wr_plan_task *task, const char *code, const char *message)
{
    const char *file = c->plan->file ? c->plan->file : "plan";

    wr_findings_add(c->findings, WR_ERROR, code, c->plan->file, task->line, 0, "%s", message);
    if (c->n_error++ == 0) wr_fail(c->err, WR_E_INPUT, "%s:%zu: %s", file, task->line, message);
}

static void fail_for_task(struct check *c, const struct wr_plan_task *task, const char *code, const char *what)
{
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "task '%.60s' %s", task->id, what);
    fail_at(c, task, code, text.text);
}

static void report_cycle(void *arg, size_t task, const char *words)
{
    struct check *c = arg;
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text,
                "with the lanes of the log the plan goes round in a circle: %s: take one of them out of its "
                "column after",
                words);
    fail_at(c, &c->plan->task[task], "cycle", text.text);
}

/* The first step of each task in the log (by line), or NULL; [log->n_task]. */
static const struct wr_log_step **first_steps(const struct wr_run_log *log)
{
    const struct wr_log_step **first = WR_NEW_ARRAY(const struct wr_log_step *, log->n_task);

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i], **f = &first[s->task];
        if (!*f || s->file < (*f)->file || (s->file == (*f)->file && s->line < (*f)->line)) *f = s;
    }
    return first;
}

/* Work that came to the plan after the first runs is spelt right, and moves nothing: it is measured as the task it is,
 * and no run that followed the plan without it lacks it. */
static void report_unplanned(struct check *c, size_t log_task, const struct wr_log_step *first)
{
    const char *id = c->log->task[log_task], *file = c->plan->file;
    const bool is_new = c->now && wr_plan_find(c->now, id) != SIZE_MAX;
    WR_SCOPED_STR text = {0};

    if (is_new)
        wr_str_addf(&text,
                    "%s, which was rehearsed, has no task '%.60s', but %s has it: its times count for that. If the "
                    "runs without it were to do it too, add it to %s; else it is right as it is",
                    file, id, c->now->file, file);
    else wr_plan_say_no_task(c->plan, id, &text);
    if (c->now && !is_new) wr_str_addf(&text, "; held against %s", file);
    wr_findings_add(c->findings, is_new ? WR_NOTE : WR_WARNING, "task-not-in-plan", c->log->file[first->file],
                    first->line, 0, "%s", text.text);
}

enum { FEW_NAMES = 3 };

static void add_name(struct wr_str *names, size_t n_before, const char *name)
{
    if (n_before < FEW_NAMES) wr_str_addf(names, "%s%.40s", n_before ? ", " : "", name);
    else if (n_before == FEW_NAMES) wr_str_add(names, " …");
}

/* Most of what was done is not in the plan, nor nearly, and most of the plan was not done: no list of misspelt names.
 */
static bool is_of_another(struct check *c, const size_t *plan_task, const struct wr_log_step *const *first)
{
    const struct wr_run_log *log = c->log;
    WR_SCOPED bool *is_logged = WR_NEW_ARRAY(bool, c->plan->n_task);
    WR_SCOPED_STR unknown = {0}, missing = {0};
    size_t n_unknown = 0, n_near = 0, n_missing = 0;

    for (size_t t = 0; t < log->n_task; t++) {
        if (plan_task[t] != SIZE_MAX) is_logged[plan_task[t]] = true;
        if (plan_task[t] != SIZE_MAX || !first[t]) continue;
        n_near += plan_has_near_task(c->plan, log->task[t]);
        add_name(&unknown, n_unknown++, log->task[t]);
    }
    for (size_t k = 0; k < c->plan->n_task; k++)
        if (!is_logged[k]) add_name(&missing, n_missing++, c->plan->task[k].id);
    size_t n_far = n_unknown - n_near;
    if (n_far < FEW_NAMES || 2 * n_far <= log->n_task || 2 * n_missing <= c->plan->n_task) return false;
    wr_findings_add(c->findings, WR_WARNING, "other-campaign", log->n_file ? log->file[0] : NULL, 0, 0,
                    "%zu of the log's %zu tasks are not in the plan (%s), and %zu of the plan's %zu not in the log "
                    "(%s): are they of two campaigns? give the plan that was rehearsed (plan.csv, or "
                    "plan-rehearsed.csv beside it), or the log of this one (--runs); if they are two names for the "
                    "same work, rows of names.csv say so: task,NAME IN THE LOG,NAME IN THE PLAN",
                    n_unknown, log->n_task, unknown.text, n_missing, c->plan->n_task, missing.text);
    return true;
}

/* Each crew once. */
static void report_unknown_lanes(struct check *c)
{
    WR_RELEASED_BY(wr_names_release) struct wr_names seen = {0};
    WR_RELEASED_BY(wr_arena_release) struct wr_arena text = {0};

    for (size_t i = 0; i < c->log->n_step; i++) {
        const struct wr_log_step *s = &c->log->step[i];
        struct plan_crew crew;
        size_t n_seen = seen.n_name;
        if (i > 0 && s->crew == s[-1].crew) continue;
        wr_names_add(&seen, &text, s->crew, strlen(s->crew));
        if (seen.n_name == n_seen) continue;
        const char *trouble = plan_parse_crew(c->plan, s->crew, PLAN_LANES_MUST_BE_KNOWN, &crew);
        if (!trouble) continue;
        WR_SCOPED_STR message = {0};
        wr_plan_say_no_lane(c->plan, s->crew, &message);
        wr_findings_add(c->findings, WR_WARNING, "crew-not-in-plan", c->log->file[s->file], s->line, 0,
                        "crew '%.60s': %s; %s", s->crew, trouble, message.text);
    }
}

static void add_lanes(struct wr_str *out, const struct wr_plan *plan, const uint8_t *order, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_str_addf(out, "%s%.40s", i ? "+" : "", plan->lane[order[i]]);
}

/* Tasks without a crew take the log's; others are compared. True if a task got lanes here. */
static bool compare_crews(struct check *c, const size_t *plan_task, const struct wr_log_step *const *first)
{
    WR_SCOPED struct plan_crew *crew = WR_NEW_ARRAY(struct plan_crew, c->log->n_task);
    bool filled = false, lanes_missing = false;

    for (size_t k = 0; k < c->plan->n_task; k++) lanes_missing |= c->plan->task[k].n_lane == 0;
    plan_log_crews(c->plan, c->log, lanes_missing ? PLAN_LANES_MAY_BE_NEW : PLAN_LANES_MUST_BE_KNOWN, crew);
    for (size_t t = 0; t < c->log->n_task; t++) {
        if (plan_task[t] == SIZE_MAX || crew[t].n == 0) continue;
        struct wr_plan_task *task = &c->plan->task[plan_task[t]];
        if (task->n_lane == 0) {
            plan_set_crew(task, &crew[t]);
            filled = true;
        } else if (task->lanes != crew[t].lanes) {
            WR_SCOPED_STR did = {0}, planned = {0};
            add_lanes(&did, c->plan, crew[t].order, crew[t].n);
            add_lanes(&planned, c->plan, task->lane_order, task->n_lane);
            wr_findings_add(c->findings, WR_WARNING, "crew-differs", c->log->file[first[t]->file], first[t]->line, 0,
                            "task '%.60s' was mostly done by %.100s, and the plan has %.100s for it, which counts: who "
                            "is not in the plan is not waited for. Correct the one that is wrong, or, if the plan was "
                            "changed, save the plan that was rehearsed as plan-rehearsed.csv",
                            task->id, wr_str_text(&did), wr_str_text(&planned));
        }
    }
    return filled;
}

static void compare_with_log(struct check *c, bool *has_rows)
{
    const struct wr_run_log *log = c->log;
    WR_SCOPED size_t *plan_task = WR_NEW_ARRAY(size_t, log->n_task);
    WR_SCOPED const struct wr_log_step **first = first_steps(log);

    for (size_t t = 0; t < log->n_task; t++) plan_task[t] = wr_plan_find(c->plan, log->task[t]);
    bool of_another = is_of_another(c, plan_task, first);
    for (size_t t = 0; t < log->n_task && !of_another; t++)
        if (plan_task[t] == SIZE_MAX && first[t]) report_unplanned(c, t, first[t]);
    for (size_t i = 0; i < log->n_step; i++) {
        size_t k = plan_task[log->step[i].task];
        if (k != SIZE_MAX && log->step[i].outcome != WR_SKIPPED) has_rows[k] = true;
    }
    if (compare_crews(c, plan_task, first)) plan_find_cycles(c->plan, report_cycle, c);
    report_unknown_lanes(c);
}

/* Work with a drop time that the way back in may begin with. */
static void caution_way_in(struct check *c, size_t task)
{
    WR_SCOPED_STR text = {0};

    if (wr_way_in_after(c->plan, task) == SIZE_MAX) return;
    wr_way_in_part_say(c->plan, task, &text);
    wr_findings_add(c->findings, WR_WARNING, "way-in-part", c->plan->file, c->plan->task[task].line, 0,
                    "%s: leave its drop_after empty", wr_str_text(&text));
}

static enum wr_status check_against_log(struct wr_plan *plan, const struct wr_plan *now, const struct wr_run_log *log,
                                        struct wr_findings *findings, struct wr_error *err)
{
    struct check c = {.plan = plan, .now = now, .log = log, .findings = findings, .err = err};
    WR_SCOPED bool *has_rows = WR_NEW_ARRAY(bool, plan->n_task);

    if (log) compare_with_log(&c, has_rows);
    for (size_t k = 0; k < plan->n_task; k++) {
        const struct wr_plan_task *t = &plan->task[k];
        if (t->n_lane == 0)
            fail_for_task(&c, t, "no-crew",
                          log ? "has no crew, in the plan or in the log: write a lane in column crew of the plan (a "
                                "sum below the table? take the row out)"
                              : "has no crew: write a lane in column crew (a sum below the table? take the row out)");
        if (!has_rows[k] && !t->planned_min.known && !t->low_min.known && !t->median_min.known)
            fail_for_task(&c, t, "no-duration",
                          log ? "was never done, and the plan does not say how long it takes: write low, likely and "
                                "high, or median and sdlog, or planned"
                              : "does not say how long it takes: write low, likely and high, or median and sdlog, or "
                                "planned");
    }
    for (size_t k = 0; k < plan->n_task; k++)
        if (plan->task[k].drop_after_min.known) caution_way_in(&c, k);
    if (wr_way_in_dropped(plan) != SIZE_MAX)
        fail_at(&c, &plan->task[plan->n_task - 1], "way-in-dropped", wr_way_in_dropped_words);
    return c.n_error ? WR_E_INPUT : WR_OK;
}

enum wr_status wr_plan_check_against_log(struct wr_plan *plan, const struct wr_run_log *log,
                                         struct wr_findings *findings, struct wr_error *err)
{
    return check_against_log(plan, NULL, log, findings, err);
}

enum wr_status wr_plan_check_as_rehearsed(struct wr_plan *rehearsed, const struct wr_plan *now,
                                          const struct wr_run_log *log, struct wr_findings *findings,
                                          struct wr_error *err)
{
    return check_against_log(rehearsed, now, log, findings, err);
}

/* ---- a plan from the log ---- */

static void derive_task(struct wr_plan *plan, const char *id, const struct plan_crew *crew)
{
    uint32_t number = wr_names_add(&plan->ids, &plan->text, id, strlen(id));
    struct wr_plan_task *task = WR_PUSH(plan->task, plan->n_task, plan->room_task);

    task->id = task->title = plan->ids.name[number].text;
    task->kind = "";
    plan_set_crew(task, crew);
}

static enum wr_status fail_without_column(const struct wr_run_log *log, struct wr_error *err)
{
    const char *offer = log->n_facts ? log->facts[0].crew_offer : "";
    WR_SCOPED_STR columns = {0};

    for (size_t i = 0; !offer[0] && i < log->n_attribute && i < 8; i++)
        wr_str_addf(&columns, "%s%.40s", i ? ", " : "; --columns crew=NAME takes another, if one says it: ",
                    log->attribute[i]);
    enum wr_status status =
        wr_fail(err, WR_E_INPUT,
                "%s: there is no plan and the log has no column crew, so who does what cannot be told: add that "
                "column, or a plan.csv (`wetrun start FOLDER` shows one)%s%s%s%s",
                log->file[0], offer[0] ? "; or say --columns " : "", offer,
                offer[0] ? " (in place of any other role of that column) if it says who" : "",
                columns.len ? columns.text : "");
    return status;
}

static enum wr_status fail_without_crew(const struct wr_run_log *log, size_t task, size_t n_lane,
                                        struct wr_findings *findings, struct wr_error *err)
{
    const struct wr_log_step **first = first_steps(log);
    const char *file = log->file[first[task]->file];
    size_t line = first[task]->line;

    wr_free(first);
    if (!log->has_crew) return fail_without_column(log, err);
    if (n_lane == WR_MAX_LANES)
        return wr_fail(err, WR_E_INPUT,
                       "%s:%zu: the crew of task '%.60s' would be one lane more than the %d that a plan holds: name "
                       "the lanes alike throughout (EV1, EV2)",
                       file, line, log->task[task], WR_MAX_LANES);
    wr_findings_add(findings, WR_ERROR, "no-crew", file, line, 0,
                    "no row of task '%.60s' names a usable crew, and there is no plan: write its lane in column crew",
                    log->task[task]);
    return wr_fail(
        err, WR_E_INPUT,
        "%s:%zu: no row of task '%.60s' names a usable crew, and there is no plan: write its lane in column crew", file,
        line, log->task[task]);
}

enum wr_status wr_plan_derive(struct wr_plan *plan, const struct wr_run_log *log, struct wr_findings *findings,
                              struct wr_error *err)
{
    WR_SCOPED struct plan_crew *crew = WR_NEW_ARRAY(struct plan_crew, log->n_task);
    enum wr_status status = WR_OK;

    plan_log_crews(plan, log, PLAN_LANES_MAY_BE_NEW, crew);
    WR_SCOPED size_t *order = majority_order(log, crew, findings);
    for (size_t i = 0; i < log->n_task && status == WR_OK; i++) {
        size_t t = order[i];
        if (crew[t].n == 0) status = fail_without_crew(log, t, plan->n_lane, findings, err);
        else derive_task(plan, log->task[t], &crew[t]);
    }
    if (status == WR_OK)
        wr_findings_add(findings, WR_NOTE, "plan-derived", NULL, 0, 0,
                        "there is no plan: %zu task%s in %zu lane%s taken from the log, in the order in which "
                        "most runs did them; waits between lanes other than joint tasks are not in it",
                        plan->n_task, plan->n_task == 1 ? "" : "s", plan->n_lane, plan->n_lane == 1 ? "" : "s");
    return status;
}
