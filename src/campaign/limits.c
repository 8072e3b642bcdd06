#include "wetrun/campaign/limits.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "log_sums.h"
#include "sheet.h"
#include "wetrun/campaign/near_name.h"

/* ---- limits.csv ---- */

enum limit_column { L_LIMIT, L_CREW, L_FROM, L_TO, L_MINUTES, L_CONFIDENCE, N_LIMIT_COLUMN };

static const struct sheet_column limit_columns[N_LIMIT_COLUMN] = {
    [L_LIMIT] = {"limit", true, NULL},     [L_CREW] = {"crew", false, NULL},
    [L_FROM] = {"from", false, NULL},      [L_TO] = {"to", false, NULL},
    [L_MINUTES] = {"minutes", true, NULL}, [L_CONFIDENCE] = {"confidence", false, NULL},
};

struct limits_reading {
    struct wr_limits *limits;
    const struct wr_plan *plan;
};

static uint32_t all_lanes(const struct wr_plan *plan)
{
    return plan->n_lane >= WR_MAX_LANES ? UINT32_MAX : (UINT32_C(1) << plan->n_lane) - 1;
}

const struct wr_limit *wr_clock_of(const struct wr_limits *limits, size_t task)
{
    for (size_t i = 0; i < limits->n_limit; i++) {
        const struct wr_limit *l = &limits->limit[i];
        if (l->is_clock && (l->from == task || l->to == task)) return l;
    }
    return NULL;
}

void wr_clock_say(const struct wr_plan *plan, const struct wr_limit *clock, bool begins, struct wr_str *out)
{
    const char *from = plan->task[clock->from].id, *to = plan->task[clock->to].id;

    wr_str_addf(out, "the limit '%.60s' runs from the begin of '%.60s' to the end of '%.60s': without '%.60s' it %s",
                clock->name, from, to, begins ? to : from, begins ? "cannot be kept" : "does not apply");
}

/* On the days that drop one end the limit would be judged by a clock that does not begin, or never ends. Work with a
 * limit of its own may be dropped whole. */
static void refuse_dropped_end(struct sheet *sheet, const struct wr_plan *plan, const struct wr_limit *limit)
{
    if (limit->from == limit->to) return;
    for (int end = 0; end < 2; end++) {
        const struct wr_plan_task *t = &plan->task[end ? limit->to : limit->from];
        if (t->drop_after_min.known)
            sheet_error(sheet, end ? L_TO : L_FROM, "clock-dropped",
                        "the limit '%.60s' %s with task '%.60s', which has a drop time: on the days that drop it "
                        "nobody could say whether the limit is kept: leave its drop_after empty, or name another task",
                        limit->name, end ? "ends" : "begins", t->id);
    }
}

/* As `wetrun start` writes them. */
bool wr_limit_is_example(const struct wr_limit *limit)
{
    return strncmp(limit->name, "EXAMPLE", 7) == 0;
}

static void take_lanes(struct sheet *sheet, const struct wr_plan *plan, struct wr_limit *limit)
{
    const char *crew = sheet_text(sheet, L_CREW);
    enum wr_spelling spelling;
    WR_SCOPED_STR text = {0};
    uint8_t order[WR_MAX_LANES];
    uint32_t lanes;
    size_t lane = wr_plan_resolve_lane(plan, crew, &spelling);

    limit->lanes = all_lanes(plan);
    if (lane != SIZE_MAX) {
        limit->lanes = UINT32_C(1) << lane;
        sheet_note(sheet, L_CREW, spelling, plan->lane[lane]);
    } else if (sheet_name_is(crew, "both")
                   ? plan->n_lane == 2
                   : wr_plan_crew_lanes(plan, crew, order, &lanes) && lanes == all_lanes(plan)) {
        sheet_note(sheet, L_CREW, WR_SP_CREW, "all");
    } else if (crew[0] && !sheet_name_is(crew, "all")) {
        wr_plan_say_no_lane(plan, crew, &text);
        sheet_error(sheet, L_CREW, "unknown-lane", "%s: %s", text.text,
                    wr_limit_is_example(limit) ? "the row is the invented example of `wetrun start`, take it out"
                                            : "write a lane, or all");
    }
}

static size_t take_task(struct sheet *sheet, const struct wr_plan *plan, enum limit_column column)
{
    const char *id = sheet_text(sheet, column);
    enum wr_spelling spelling;
    WR_SCOPED_STR text = {0};
    size_t task = wr_plan_resolve(plan, id, &spelling);

    if (id[0] == '\0') {
        sheet_error(sheet, column, "half-a-clock", "from and to go together: write %s as well, or leave both out",
                    limit_columns[column].name);
    } else if (task == SIZE_MAX) {
        wr_plan_say_no_task(plan, id, &text);
        sheet_error(sheet, column, "unknown-task", "%s", text.text);
    } else {
        sheet_note(sheet, column, spelling, plan->task[task].id);
    }
    return task;
}

static void take_clock(struct sheet *sheet, const struct wr_plan *plan, struct wr_limit *limit)
{
    if (!sheet_text(sheet, L_FROM)[0] && !sheet_text(sheet, L_TO)[0]) return;
    limit->from = take_task(sheet, plan, L_FROM);
    limit->to = take_task(sheet, plan, L_TO);
    if (limit->from == SIZE_MAX || limit->to == SIZE_MAX) return;
    limit->is_clock = true;
    if (limit->lanes != all_lanes(plan))
        sheet_warn(sheet, L_CREW, "clock-with-lane",
                   "a limit from one task to another is about all lanes; crew '%.60s' is passed over",
                   sheet_text(sheet, L_CREW));
    limit->lanes = all_lanes(plan);
    if (limit->to < limit->from && plan->task[limit->to].lanes & plan->task[limit->from].lanes)
        sheet_error(sheet, L_TO, "clock-backwards",
                    "task '%.60s' comes before '%.60s' in their lane: write from and to the other way round",
                    plan->task[limit->to].id, plan->task[limit->from].id);
    refuse_dropped_end(sheet, plan, limit);
}

static void take_confidence(struct sheet *sheet, struct wr_limit *limit)
{
    const char *text = sheet_text(sheet, L_CONFIDENCE);
    enum wr_spelling spelling;
    char meant[32];
    double prob;

    if (!text[0]) return;
    const char *trouble = wr_written_confidence(text, &sheet->habits, &prob, &spelling);
    if (trouble) {
        sheet_error(sheet, L_CONFIDENCE, "bad-confidence", "confidence '%.60s' is %s", text, trouble);
        return;
    }
    limit->confidence = wr_known(prob);
    snprintf(meant, sizeof meant, "%g", prob);
    sheet_note(sheet, L_CONFIDENCE, spelling, meant);
}

static void take_amounts(struct sheet *sheet, struct wr_limit *limit)
{
    struct wr_maybe minutes;

    if (sheet_number(sheet, L_MINUTES, SHEET_ELAPSED, 0, SHEET_MOST_MINUTES, &minutes) &&
        (!minutes.known || minutes.value * 60 < 1))
        sheet_error(sheet, L_MINUTES, "no-minutes",
                    "a limit needs minutes, not less than a second: write h:mm, as 6:30");
    limit->minutes = minutes.value;
    limit->as_clock_min = wr_as_lost_colon_min(sheet_text(sheet, L_MINUTES), &sheet->habits);
    limit->form = wr_time_form_of(sheet_text(sheet, L_MINUTES));
    take_confidence(sheet, limit);
}

static bool is_whole_excursion(const struct wr_limit *limit, const struct wr_plan *plan)
{
    return !limit->is_clock && limit->lanes == all_lanes(plan);
}

/* "Total" below the table, with the minutes of all above it. */
static bool is_sum(struct sheet *sheet, const struct wr_limits *limits, const char *name)
{
    enum wr_spelling spelling;
    double minutes, sum = 0;

    if (!log_names_a_sum(name) || limits->n_limit < 2) return false;
    for (size_t i = 0; i < limits->n_limit; i++) sum += limits->limit[i].minutes;
    if (wr_written_moment(sheet_text(sheet, L_MINUTES), &sheet->habits, &minutes, &spelling) ||
        fabs(minutes - sum) > 0.5)
        return false;
    sheet_note(sheet, L_LIMIT, WR_SP_SUM, NULL);
    return true;
}

static void take_limit(void *arg, struct sheet *sheet)
{
    struct limits_reading *r = arg;
    const char *name = sheet_text(sheet, L_LIMIT);

    if (is_sum(sheet, r->limits, name)) return;
    if (!name[0])
        sheet_error(sheet, L_LIMIT, "no-name", "the limit has no name: write one in its first column, as excursion");
    for (size_t i = 0; i < r->limits->n_limit; i++)
        if (strcmp(r->limits->limit[i].name, name) == 0)
            sheet_error(sheet, L_LIMIT, "limit-twice",
                        "limit '%.60s' is in line %zu already: leave one out, or name it otherwise", name,
                        r->limits->limit[i].line);
    struct wr_limit *limit = WR_PUSH(r->limits->limit, r->limits->n_limit, r->limits->room);
    limit->name = wr_arena_copy(&r->limits->text, name, strlen(name));
    limit->line = sheet->record->line;
    take_lanes(sheet, r->plan, limit);
    take_clock(sheet, r->plan, limit);
    take_amounts(sheet, limit);
    if (wr_limit_is_example(limit))
        sheet_warn(sheet, L_LIMIT, "example-limit",
                   "limit '%.60s' is the invented example of `wetrun start`: put your own in its place, under a name "
                   "of its own",
                   name);
    if (r->limits->n_limit == 1 && !is_whole_excursion(limit, r->plan))
        sheet_warn(sheet, L_LIMIT, "first-limit", "the first row is the excursion limit, but '%.60s' is not about all "
                   "lanes from start to finish", name);
}

enum wr_status wr_limits_read_bytes(struct wr_limits *limits, const char *name, const char *bytes, size_t n,
                                    const struct wr_plan *plan, struct wr_findings *findings, struct wr_error *err)
{
    struct limits_reading r = {limits, plan};
    struct sheet sheet = {
        .file = name, .column = limit_columns, .n_column = N_LIMIT_COLUMN, .row = take_limit, .arg = &r,
        .no_row = "no limit below the header: add a row (limit excursion, minutes 6:30), or leave the file out",
        .findings = findings, .err = err,
    };

    return sheet_read(&sheet, bytes, n);
}

static bool is_named_so(const struct wr_limit *limit)
{
    return wr_same_but_for_spelling(limit->name, "excursion");
}

/* The first row, or where that is about less one that is named so: another may be a supply, and is no less a limit. */
static bool is_excursion_limit(const struct wr_limits *limits, const struct wr_plan *plan, size_t at)
{
    return is_whole_excursion(&limits->limit[at], plan) && (at == 0 || is_named_so(&limits->limit[at]));
}

void wr_limits_set_excursion(struct wr_limits *limits, const struct wr_plan *plan, double minutes,
                             struct wr_maybe as_clock_min)
{
    WR_BUG_IF(!(minutes > 0));
    struct wr_limit mine = {.name = "excursion", .lanes = all_lanes(plan)};
    size_t at = 0;

    while (at < limits->n_limit && !is_excursion_limit(limits, plan, at)) at++;
    if (at < limits->n_limit) {
        mine = limits->limit[at];
    } else {
        for (size_t l = 0; l < limits->n_limit; l++)
            if (is_named_so(&limits->limit[l])) mine.name = "excursion, as given";
        (void)WR_PUSH(limits->limit, limits->n_limit, limits->room);
    }
    memmove(limits->limit + 1, limits->limit, at * sizeof *limits->limit);
    limits->limit[0] = mine;
    limits->limit[0].minutes = minutes;
    limits->limit[0].as_clock_min = as_clock_min;
    limits->limit[0].line = 0;
}

void wr_limits_release(struct wr_limits *limits)
{
    wr_free(limits->limit);
    wr_arena_release(&limits->text);
    *limits = (struct wr_limits){0};
}
