#include "wetrun/present/cutoff_view.h"

#include <stdio.h>
#include <string.h>
#include "json.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

/* The elapsed time begins with it: its begin-by is no time, but that. Where no start keeps the limit it is too late, so
 * that nobody takes it for inside. */
static bool is_the_start(const struct wr_cutoff_row *row)
{
    return row->is_start && row->reason == WR_CUTOFF_FOUND;
}

static bool is_kept_start(const struct wr_cutoff_row *row)
{
    return is_the_start(row) && row->latest_start_min >= 0;
}

/* There is a time to begin by. */
static bool has_time(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND && !is_the_start(row);
}

static bool is_late_but_for_window(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_NEVER && row->has_second_window && !wr_cutoff_opens(row);
}

static const char *reason_key(enum wr_cutoff_reason reason)
{
    switch (reason) {
    case WR_CUTOFF_FOUND: return "found";
    case WR_CUTOFF_NEVER: return "never";
    case WR_CUTOFF_NOT_BEFORE_LIMIT: return "not-before-limit";
    case WR_CUTOFF_BEGUN: return "begun";
    case WR_CUTOFF_DROPPED: return "past-drop-time";
    case WR_CUTOFF_UNREPORTED: return "unreported";
    case WR_CUTOFF_NO_CLOCK: return "no-clock";
    case WR_CUTOFF_DOUBTFUL: return "doubtful-report";
    case WR_CUTOFF_TOO_FEW: break;
    }
    return "too-few";
}

static const char *reason_words(enum wr_cutoff_reason reason)
{
    switch (reason) {
    case WR_CUTOFF_FOUND: return "";
    case WR_CUTOFF_NEVER: return "too late, whenever it begins";
    case WR_CUTOFF_NOT_BEFORE_LIMIT: return "has no time to begin by here";
    case WR_CUTOFF_BEGUN: return "begun";
    case WR_CUTOFF_DROPPED: return "past its drop time";
    case WR_CUTOFF_UNREPORTED: return "not reported; it has usually begun by now";
    case WR_CUTOFF_NO_CLOCK: return "when its clock began was not reported";
    case WR_CUTOFF_DOUBTFUL: return "no time to begin by, for what was reported is doubtful";
    case WR_CUTOFF_TOO_FEW: break;
    }
    return "too few such days to say";
}

/* What opens the excursion has no other start: its limit is not kept even so, and says by how much. */
static bool is_late_on_time(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_NEVER && wr_cutoff_opens(row);
}

static const char late_on_time[] = "too late even begun on time";

static const char *words_for(const struct wr_cutoff_row *row)
{
    if (is_the_start(row)) return wr_binding_words(WR_BINDING_START);
    return is_late_on_time(row) ? late_on_time : reason_words(row->reason);
}

const char *wr_binding_words(enum wr_binding what)
{
    switch (what) {
    case WR_BINDING_FOUND: return "";
    case WR_BINDING_OPENS:
    case WR_BINDING_TOO_LATE: return "too late";
    case WR_BINDING_LATER: return "only later";
    case WR_BINDING_START: return "the start";
    case WR_BINDING_CANNOT_TELL: return "cannot tell";
    case WR_BINDING_BEGUN: return "begun";
    case WR_BINDING_DROPPED: return "dropped";
    case WR_BINDING_UNREPORTED: return "not reported";
    case WR_BINDING_NO_MATTER: break;
    }
    return "no matter";
}

const char wr_beyond_range[] = "at least until then, for hardly a day begins later";

bool wr_cutoff_trust_words(const struct wr_cutoff_row *row, struct wr_str *out)
{
    if (row->beyond_range) wr_str_add(out, wr_beyond_range);
    else if (wr_cutoff_is_rough(row)) {
        wr_str_addf(out, "not known to better than %s", wr_minutes_whole(row->mc_error_min, WR_ROOM));
        if (wr_cutoff_is_early(row))
            wr_str_addf(out, ", and put %s early for it", wr_minutes_whole(row->early_min, WR_ROOM));
    }
    return row->beyond_range || wr_cutoff_is_rough(row);
}

/* A time that hardly a day leaves the crew is nothing that they can go by. */
static const char *how_often_met(const struct wr_cutoff_row *row)
{
    if (row->drop_rule_first && row->usually_dropped) return "usually dropped by then; ";
    if (row->slack_min >= 0) return "";
    return wr_count_of_100(row->share_in_time) < 100 / WR_CARD_STARTS
               ? "as good as too late, begun by then on fewer than 10 of 100 days; "
               : "usually too late; ";
}

void wr_cutoff_note(const struct wr_cutoff_row *row, struct wr_str *out)
{
    if (is_late_but_for_window(row)) {
        wr_str_addf(out, "too late, but for a begin from %s to %s, since other work is then dropped",
                    wr_moment(row->second_from_min, WR_ROOM), wr_moment(row->second_to_min, WR_ROOM));
        return;
    }
    wr_str_add(out, words_for(row));
    if (!has_time(row)) return;
    wr_str_add(out, how_often_met(row));
    if (row->drop_rule_first) wr_str_add(out, "later it is dropped; ");
    if (row->at_earliest)
        wr_str_add(out, "usually just when it may begin, and later on slow days alone: --outside-hold says how long it "
                        "may be held up; ");
    if (wr_cutoff_trust_words(row, out)) wr_str_add(out, "; ");
    if (row->has_second_window)
        wr_str_addf(out, "again inside from %s to %s, since other work is then dropped; ",
                    wr_moment(row->second_from_min, WR_ROOM), wr_moment(row->second_to_min, WR_ROOM));
    if (out->len >= 2 && out->text[out->len - 2] == ';') out->text[out->len -= 2] = '\0';
}

static const struct wr_column cutoff_column[] = {
    {"limit", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 10},
    {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 16},
    {"typical_start_min", "usual\nstart", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
    {"latest_start_min", "begin\nby", WR_UNIT_BY, WR_EVERYBODY, 0},
    {"latest_start_clock", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"slack_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
    {"slack_shown", "slack\nmin", WR_UNIT_WHOLE, WR_PEOPLE, 0},
    {"probability_inside_at_typical", "inside if\nusual, of 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
    {"mc_error_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"early_min", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"share_in_time", "begin in time,\nof 100", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
    {"reason", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"note", "note", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
    {"drop_after_min", "", WR_UNIT_CLOCK, WR_MACHINE, 0},
    {"second_from_min", "", WR_UNIT_CLOCK, WR_MACHINE, 0},
    {"second_to_min", "", WR_UNIT_CLOCK, WR_MACHINE, 0},
};
enum { CUTOFF_COLUMNS = sizeof cutoff_column / sizeof *cutoff_column };

double wr_shown_slack_min(const struct wr_cutoff_row *row)
{
    return wr_moment_gap_min(row->typical_start_min, wr_moment_by_min(row->latest_start_min));
}

static struct wr_maybe when(bool there, double value)
{
    return there ? wr_known(value) : WR_UNKNOWN;
}

static bool has_clock(const struct wr_cutoff_result *result)
{
    return result->start_min.known && result->start_min.value > 0;
}

/* Time of day of a moment, past 24:00 on the next day; or the moment as it is. */
static double time_of(const struct wr_cutoff_result *result, double elapsed_min)
{
    return has_clock(result) ? result->start_min.value + elapsed_min : elapsed_min;
}

/* The same row as times of day, for people; on a limit's own clock it stays as it is. */
static struct wr_cutoff_row by_the_clock(const struct wr_cutoff_result *result, size_t limit,
                                         const struct wr_cutoff_row *row)
{
    struct wr_cutoff_row r = *row;

    if (!has_clock(result) || result->card->list[limit].limit.limit.is_clock) return r;
    r.typical_start_min = time_of(result, r.typical_start_min);
    r.latest_start_min = time_of(result, r.latest_start_min);
    r.second_from_min = time_of(result, r.second_from_min);
    r.second_to_min = time_of(result, r.second_to_min);
    return r;
}

static const struct wr_now_silent *silent_of(const struct wr_cutoff_result *result, size_t task)
{
    for (size_t i = 0; result->update && i < result->update->n_silent; i++)
        if (result->update->silent[i].task == task) return &result->update->silent[i];
    return NULL;
}

static void cutoff_row(struct wr_grid *grid, const struct wr_cutoff_result *result, size_t limit,
                       const struct wr_cutoff_row *row)
{
    bool found = has_time(row);
    bool has_start = row->reason != WR_CUTOFF_NOT_BEFORE_LIMIT && row->reason != WR_CUTOFF_BEGUN &&
                     row->reason != WR_CUTOFF_DROPPED && row->reason != WR_CUTOFF_NO_CLOCK &&
                     row->reason != WR_CUTOFF_DOUBTFUL;
    WR_SCOPED_STR note = {0};

    wr_cutoff_note(row, &note);
    const struct wr_now_silent *silent = silent_of(result, row->task);
    if (silent)
        wr_str_addf(&note, "%snot reported, though it could have begun at %s: taken as not begun", note.len ? "; " : "",
                    wr_moment(time_of(result, silent->since_min), WR_ROOM));
    WR_GRID_TEXTS(grid, result->limit_name[limit], result->plan->task[row->task].id,
                  result->plan->task[row->task].title);
    WR_GRID_MAYBES(grid, when(has_start, row->typical_start_min), when(found, row->latest_start_min));
    bool on_clock = found && has_clock(result) && !result->card->list[limit].limit.limit.is_clock;
    if (on_clock) wr_grid_text(grid, wr_moment_by(time_of(result, row->latest_start_min), WR_ROOM));
    else wr_grid_absent(grid);
    WR_GRID_MAYBES(grid, when(found, row->slack_min), when(found, wr_shown_slack_min(row)));
    wr_grid_maybe(grid, when(has_start && row->reason != WR_CUTOFF_TOO_FEW && !row->usually_dropped,
                             row->prob_inside_at_typical));
    WR_GRID_MAYBES(grid, when(found, row->mc_error_min), when(found, row->early_min));
    if (found) wr_grid_chance(grid, row->share_in_time, row->start_is_fixed);
    else wr_grid_absent(grid);
    WR_GRID_TEXTS(grid, is_kept_start(row) ? "start" : reason_key(row->reason), wr_str_text(&note));
    wr_grid_maybe(grid, result->plan->task[row->task].drop_after_min);
    bool has_window = (found && row->has_second_window) || is_late_but_for_window(row);
    WR_GRID_MAYBES(grid, when(has_window, row->second_from_min), when(has_window, row->second_to_min));
    wr_grid_about(grid, row->task);
}

static void add_rows(const struct wr_cutoff_result *result, size_t limit, struct wr_grid *grid)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];

    for (size_t i = 0; i < result->card->n_row; i++) cutoff_row(grid, result, limit, &list->row[i]);
}

/* One limit's rows in plan order. */
static void grid_of_cutoffs(const struct wr_cutoff_result *result, size_t limit, struct wr_grid *grid)
{
    wr_grid_init(grid, cutoff_column, CUTOFF_COLUMNS);
    add_rows(result, limit, grid);
}

void wr_grid_of_bearing_cutoffs(const struct wr_cutoff_result *result, size_t limit, struct wr_grid *grid)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];

    wr_grid_init(grid, cutoff_column, CUTOFF_COLUMNS);
    for (size_t i = 0; i < result->card->n_row; i++)
        if (list->row[i].reason != WR_CUTOFF_NOT_BEFORE_LIMIT) cutoff_row(grid, result, limit, &list->row[i]);
}

/* ---- what the day has shown so far ---- */

static bool is_past(const struct wr_now_state *s, size_t task, enum wr_now_rule rule)
{
    return s->state[task] == WR_NOW_PAST && s->rule[task] == rule && s->end_known[task] != WR_NOW_REPORTED;
}

/* Tasks that were not timed by name, or how many where they are many. */
static void add_past(const struct wr_cutoff_result *result, enum wr_now_rule rule, const char *what,
                     struct wr_str *out)
{
    enum { FEW = 4 };
    const struct wr_now_state *s = &result->update->state;
    size_t n = 0, named = 0;

    for (size_t k = 0; k < s->n_task; k++) n += is_past(s, k, rule);
    if (n == 0) return;
    wr_str_addf(out, " %s: ", what);
    if (n > FEW) wr_str_addf(out, "%zu tasks.", n);
    for (size_t k = 0; k < s->n_task && n <= FEW; k++) {
        if (!is_past(s, k, rule)) continue;
        if (named++) wr_str_add(out, "; ");
        wr_str_add(out, result->plan->task[k].title);
    }
    if (n <= FEW) wr_str_add_char(out, '.');
}

/* Lanes in which something would have begun by now, without a word of it. */
static bool add_unheard(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const uint32_t lanes = result->update->state.unheard_lanes;
    size_t n = 0;

    for (size_t l = 0; l < result->plan->n_lane; l++) {
        if (!(lanes >> l & 1)) continue;
        wr_str_add(out, n++ ? ", "
                            : " Nothing was reported of these lanes since their last joint task or the beginning (");
        wr_str_add(out, result->plan->lane[l]);
    }
    if (n > 0) wr_str_add_char(out, ')');
    return n > 0;
}

/* As the day's page has it of what is not entered (day.silentWords). */
static void add_silent(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_plan *plan = result->plan;

    for (size_t i = 0; i < result->update->n_silent; i++) {
        const struct wr_now_silent *silent = &result->update->silent[i];
        uint32_t lanes = plan->task[silent->task].lanes;
        wr_str_add(out, " Nothing is reported for ");
        for (size_t l = 0, n = 0; l < plan->n_lane; l++)
            if (lanes >> l & 1) wr_str_addf(out, "%s%s", n++ ? "+" : "", plan->lane[l]);
        wr_str_addf(out,
                    " since %s, though \xe2\x80\x9c%s\xe2\x80\x9d has usually begun by now: taken as not begun. "
                    "If it has, report it.",
                    wr_moment(time_of(result, silent->since_min), WR_ROOM), plan->task[silent->task].title);
    }
}

/* The plan would have let it go, and it was not: what follows takes it as it is reported. */
static void add_after_rule(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_now_state *s = &result->update->state;
    size_t n = 0;

    for (size_t k = 0; k < s->n_task; k++) {
        const struct wr_plan_task *task = &result->plan->task[k];
        if (!task->drop_after_min.known || !wr_now_has_begun(s, k) || s->begin_known[k] != WR_NOW_REPORTED) continue;
        if (s->begin_min[k] <= task->drop_after_min.value) continue;
        wr_str_addf(out, "%s%s", n++ ? "; " : " Begun after its drop time, and kept: ", task->title);
    }
    if (n > 0) wr_str_add_char(out, '.');
}

/* What was taken for granted without being reported. */
static void add_assumed(const struct wr_cutoff_result *result, struct wr_str *out)
{
    add_past(result, WR_NOW_DROPPED, "Not reported, dropped by rule, for it could only begin later", out);
    add_past(result, WR_NOW_MAY_BE_DROPPED, "Not reported, done or dropped by rule", out);
    add_past(result, WR_NOW_KEPT, "Not timed, taken to have ended at some time before what was reported", out);
    if (add_unheard(result, out)) wr_str_add(out, ": their next work is taken to have begun as rehearsed.");
    add_silent(result, out);
}

/* A time that was inferred may have been idle: the sentence says so of it, not of the task. */
static void add_unlike(const struct wr_cutoff_result *result, size_t task, const char *took, const char *was,
                       struct wr_str *out)
{
    const struct wr_now_state *s = &result->update->state;
    const char *title = result->plan->task[task].title;

    if (s->state[task] == WR_NOW_RUNNING) {
        wr_str_addf(out, " %s, begun %s, has run longer than it takes on 999 of 1000 days forecast", title,
                    wr_moment(time_of(result, s->begin_min[task]), WR_ROOM));
    } else if (s->begin_known[task] == WR_NOW_REPORTED && s->end_known[task] == WR_NOW_REPORTED) {
        wr_str_addf(out, " %s took %s than on 999 of 1000 days forecast", title, took);
    } else {
        wr_str_addf(out,
                    " %s was not timed from begin to end: the time between what was reported, %s to %s, in which it "
                    "must have been done, is %s than it takes on 999 of 1000 days forecast",
                    title, wr_moment(time_of(result, s->begin_min[task]), WR_ROOM),
                    wr_moment(time_of(result, s->end_min[task]), WR_ROOM), was);
    }
}

/* Work of which nothing but the moment before which it was done is known. */
static void add_lengthy(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_now_stretch *s = result->update->stretch;

    while (!s->lengthy) s++;
    wr_str_addf(out,
                " The time from %s to %s, in which %zu task%s not timed from begin to end must have been done, %s "
                "first, is longer than %s on 999 of 1000 days forecast",
                wr_moment(time_of(result, s->from_min), WR_ROOM), wr_moment(time_of(result, s->at_min), WR_ROOM),
                s->n_untimed, s->n_untimed == 1 ? "" : "s", result->plan->task[s->first].title,
                s->n_untimed == 1 ? "it takes" : "they take");
}

static void add_same_of_more(size_t n, struct wr_str *out)
{
    if (n > 1) wr_str_addf(out, ", and the same is true of %zu more", n - 1);
}

/* Work that the finish just said leaves out. */
static void add_dropped(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_update *u = result->update;
    size_t n = 0;

    for (size_t i = 0; i < u->n_drop; i++) {
        if (wr_count_of_100(u->drop[i].dropped) == 0) continue;
        wr_str_addf(out, "%s%s (dropped on %s of 100)",
                    n++ ? ", " : " Not in this on every day: ", result->plan->task[u->drop[i].task].title,
                    wr_of_100(u->drop[i].dropped, WR_ROOM));
    }
    if (n > 0) wr_str_add_char(out, '.');
}

/* What was reported reaches where the forecast does not: no limit is then said to be kept. One rule with isGuess of
 * day_ui.js. */
static bool is_guess(const struct wr_cutoff_result *result)
{
    const struct wr_update *u = result->update;

    return u && u->n_brief + u->n_beyond + u->n_lengthy > 0;
}

/* Hardly a day forecast is like it: then the answer rests on the tails of the model, or, where all is done, on times
 * that are too good. */
static void add_beyond(const struct wr_cutoff_result *result, bool all_done, struct wr_str *out)
{
    const struct wr_update *u = result->update;

    if (u->n_brief > 0) {
        add_unlike(result, u->brief_task, "less", "shorter", out);
        add_same_of_more(u->n_brief, out);
        wr_str_addf(out, "%s Are its times right, and is all of it done?",
                    all_done ? "." : ": what follows is little more than a guess.");
    }
    if (all_done) return;
    if (u->n_beyond + u->n_lengthy == 0) return;
    if (u->n_beyond > 0) add_unlike(result, u->beyond_task, "longer", "longer", out);
    else add_lengthy(result, out);
    add_same_of_more(u->n_beyond + u->n_lengthy, out);
    wr_str_add(out, ": what follows is little more than a guess. If something from "
                    "outside held it up, report that as its hold, which says nothing of the day's pace.");
}

static bool is_doubted(const struct wr_cutoff_result *result)
{
    return result->update && result->update->n_doubted > 0;
}

static bool is_all_done(const struct wr_cutoff_result *result)
{
    return result->update && result->update->n_done + result->update->n_dropped == result->update->state.n_task;
}

/* Nothing that follows from it. */
static void doubted_sentence(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_update *u = result->update;
    size_t n_said = 0;

    for (size_t k = 0; k < u->state.n_task; k++)
        n_said += u->state.end_known[k] == WR_NOW_REPORTED;
    wr_str_addf(out, "%zu task%s reported done, %zu running", n_said, n_said == 1 ? "" : "s", u->n_running);
    if (u->n_done > n_said)
        wr_str_addf(out, "; %zu more would have to be done before what was reported", u->n_done - n_said);
    wr_str_add_char(out, '.');
    if (add_unheard(result, out)) wr_str_add_char(out, '.');
}

/* Where days have no pace of their own nothing is open about it. */
static bool has_pace_interval(const struct wr_update *u)
{
    return u->rest_factor_lo < u->rest_factor_hi;
}

/* Luck draws towards 1 and not past it; the rest comes from work that ended in time, or not, without being timed. */
static const char *why_pace_is_other(double seen, double rest)
{
    bool is_between = (rest - 1) * (seen - rest) >= 0;

    return is_between ? "part of the difference is the luck of single tasks"
                      : "single tasks have their luck, and when the work that was not timed had ended tells of it too";
}

static void update_sentence(const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_update *u = result->update;
    bool all_done = is_all_done(result);

    if (has_clock(result)) wr_str_addf(out, "At %s, ", wr_moment(time_of(result, u->state.now_min), WR_ROOM));
    wr_str_addf(out, has_clock(result) ? "%s after the beginning: " : "At %s: ", wr_moment(u->state.now_min, WR_ROOM));
    if (u->n_doubted > 0) {
        doubted_sentence(result, out);
        return;
    }
    wr_str_addf(out, "%zu task%s done, %zu running.", u->n_done, u->n_done == 1 ? "" : "s", u->n_running);
    if (u->n_timed > 0)
        wr_str_addf(out, " What was timed took %s times the expected.", wr_factor(u->seen_factor, WR_ROOM));
    if (u->n_timed > 0 && !all_done) {
        wr_str_addf(out, " The day's pace, which what is to come shares, is put at %s times",
                    wr_factor(u->rest_factor, WR_ROOM));
        if (has_pace_interval(u))
            wr_str_addf(out, " (90 %% interval %s to %s)", wr_factor(u->rest_factor_lo, WR_ROOM),
                        wr_factor(u->rest_factor_hi, WR_ROOM));
        wr_str_addf(out,
                    ", since %s; what the day says of single tasks, people and learning comes on top, and is in what "
                    "follows.",
                    why_pace_is_other(u->seen_factor, u->rest_factor));
    }
    if (u->hold_min > 0)
        wr_str_addf(out, " Holds of %s in all count as no work: the clock ran on, the pace is that without them.",
                    wr_minutes_whole(u->hold_min, WR_ROOM));
    add_beyond(result, all_done, out);
    wr_str_addf(out,
                all_done && u->sd_min < 1e-6 ? " All was done at %s (forecast before the day: half by %s)."
                                             : " All done by %s, as likely as not (before the day: %s).",
                wr_moment(time_of(result, u->quantile_min[WR_Q50]), WR_ROOM),
                wr_moment(time_of(result, u->before_quantile_min[WR_Q50]), WR_ROOM));
    add_dropped(result, out);
    add_assumed(result, out);
    add_after_rule(result, out);
}

/* Something has a time to begin by, or would have one if it were not too late. */
static bool is_to_begin(const struct wr_cutoff_card *card)
{
    for (size_t l = 0; l < card->n_limit; l++)
        for (size_t i = 0; i < card->n_row; i++) {
            const struct wr_cutoff_row *row = &card->list[l].row[i];
            if (has_time(row) || (row->reason == WR_CUTOFF_NEVER && !row->is_start)) return true;
        }
    return false;
}

static const struct wr_probability *over_of(const struct wr_cutoff_result *result, size_t limit)
{
    return result->update ? &result->update->over[limit] : &result->over[limit];
}

static const struct wr_second *second_of(const struct wr_cutoff_result *result, size_t limit)
{
    static const struct wr_second none = {0};

    return result->second ? &result->second[limit] : &none;
}

static enum wr_now_lack lacks(const struct wr_cutoff_result *result, size_t limit)
{
    return wr_now_lacks(result->update ? &result->update->state : NULL, &result->card->list[limit].limit.limit);
}

static const char cannot_be_said[] = "cannot be said";

static enum wr_verdict verdict_on(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                  size_t limit)
{
    enum wr_verdict verdict = wr_verdict_from(over_of(result, limit), second_of(result, limit),
                                              result->card->list[limit].limit.confidence, wr_context_grounds(ctx));

    return verdict == WR_VERDICT_INSIDE && is_guess(result) ? WR_VERDICT_CANNOT_TELL : verdict;
}

static struct wr_now_fact fact_of(const struct wr_cutoff_result *result, size_t limit)
{
    const struct wr_update *u = result->update;

    return u && u->fact ? u->fact[limit] : (struct wr_now_fact){0};
}

/* What is known without a forecast, or of which none can be made; NULL: the forecast has a verdict. */
static const char *known_words(const struct wr_cutoff_result *result, size_t limit)
{
    const struct wr_now_fact fact = fact_of(result, limit);

    if (fact.kind != WR_FACT_NONE) return fact.over ? "gone over" : "kept";
    return lacks(result, limit) ? cannot_be_said : NULL;
}

static const char *verdict_words(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                 size_t limit)
{
    const char *known = known_words(result, limit);

    return known ? known : wr_verdict_words(verdict_on(ctx, result, limit));
}

static const char *verdict_said(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                size_t limit)
{
    const char *known = known_words(result, limit);

    return known ? known : wr_verdict_said(verdict_on(ctx, result, limit), wr_context_grounds(ctx));
}

void wr_cutoff_verdicts(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                        struct wr_str *out)
{
    for (size_t l = 0; l < result->card->n_limit; l++) {
        if (l == 0) {
            struct wr_rests_on on = wr_context_rests_on(ctx);
            on.day = result->update;
            wr_str_add(out, "What ");
            wr_rests_on_words(on, "say", out);
            wr_str_add(out, " of the limits: ");
        }
        wr_str_addf(out, "%s%s, %s", l > 0 ? "; " : "", result->limit_name[l], verdict_said(ctx, result, l));
    }
    if (result->card->n_limit > 0) wr_str_add_char(out, '.');
    if (is_to_begin(result->card) && !is_doubted(result))
        wr_str_add(out, " The times to begin by are best estimates: more rehearsals may move them either way.");
}

/* On what "is not kept" rests: beside "not enough rehearsals to tell" it is no more than the likelier of two. */
static const char *not_kept_by(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                               size_t limit)
{
    if (verdict_on(ctx, result, limit) == WR_VERDICT_CANNOT_TELL) return "By the best estimate, ";
    return result->update ? "As it stands now, " : "As planned, ";
}

static bool is_out_of_reach(const struct wr_cutoff_result *result, size_t limit)
{
    return !wr_cutoff_is_kept(&result->card->list[limit]) && !lacks(result, limit) &&
           fact_of(result, limit).kind == WR_FACT_NONE;
}

static void add_out_of_reach(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];
    double more = wr_moment_gap_min(list->limit.limit.minutes, list->needed_min);

    wr_str_add(out, result->limit_name[limit]);
    wr_str_addf(out, ", %s, is not kept with %s confidence%s: ", wr_moment(list->limit.limit.minutes, WR_ROOM),
                wr_percent(list->limit.confidence, WR_ROOM), result->update ? "" : ", even begun on time");
    if (more > 0)
        wr_str_addf(out, "that takes a limit of %s, %s more.", wr_moment(list->needed_min, WR_ROOM),
                    wr_minutes_whole(more, WR_ROOM));
    else wr_str_add(out, "that takes less than a minute more.");
}

void wr_cutoff_out_of_reach(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                            struct wr_str *out)
{
    const char *said = NULL;

    for (size_t l = 0; l < result->card->n_limit; l++) {
        if (!is_out_of_reach(result, l)) continue;
        const char *by = not_kept_by(ctx, result, l);
        if (said) wr_str_add_char(out, ' ');
        if (said != by) wr_str_add(out, by);
        said = by;
        add_out_of_reach(result, l, out);
    }
}

void wr_cutoff_likelier_not_kept(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                 size_t limit, struct wr_str *out)
{
    if (!is_out_of_reach(result, limit) || verdict_on(ctx, result, limit) != WR_VERDICT_CANNOT_TELL) return;
    wr_str_add(out, not_kept_by(ctx, result, limit));
    add_out_of_reach(result, limit, out);
}

/* A clock of which nobody reported what must be known: a number would be no forecast. */
static void add_lack(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_sim_limit *l = &result->card->list[limit].limit.limit;
    bool begin = lacks(result, limit) == WR_NOW_LACKS_BEGIN;

    if (is_doubted(result)) {
        wr_str_addf(out, "%s, for what was reported is doubtful.", cannot_be_said);
        return;
    }
    wr_str_addf(out, "%s: report when \xe2\x80\x9c%s\xe2\x80\x9d %s.", cannot_be_said,
                result->plan->task[begin ? l->from : l->to].title, begin ? "began" : "ended");
}

static void add_fact(const struct wr_now_fact *fact, double limit_min, struct wr_str *out)
{
    bool hides_gap = !(wr_moment_gap_min(limit_min, fact->took_min) > 0);

    if (fact->kind == WR_FACT_PASSED) wr_str_add(out, "is passed, with work still open: over it.");
    else
        wr_str_addf(out, "took %s%s: %s.", fact->at_most ? "at most " : "", wr_moment(fact->took_min, WR_ROOM),
                    !fact->over ? "kept" : hides_gap ? "over it, by less than is shown" : "over it");
}

static void add_odds(const struct wr_cutoff_result *result, size_t limit, struct wr_str *line)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];
    const struct wr_probability *p = over_of(result, limit);

    wr_str_addf(line, "%s%s of 100 %s it", result->update ? "now " : "", wr_chance(p, WR_ROOM),
                wr_go_over(p->mean));
    if (!p->no_interval && !wr_interval_adds_nothing(p, wr_known(list->limit.confidence))) {
        wr_str_add(line, " (90 % interval ");
        wr_interval_cell(p, wr_known(list->limit.confidence), line);
        wr_str_add_char(line, ')');
    }
    if (result->update && result->update->over_before[limit].known)
        wr_str_addf(line, ", before the day %s", wr_of_100(result->update->over_before[limit].value, WR_ROOM));
    wr_str_add_char(line, '.');
}

static void add_worse(const struct wr_cutoff_result *result, size_t limit, struct wr_str *line)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];
    WR_SCOPED_STR second = {0};

    if (!second_of(result, limit)->known) return;
    wr_second_words(second_of(result, limit), wr_known(list->limit.confidence), &second);
    wr_str_add_char(line, ' ');
    wr_add_capital(line, wr_str_text(&second));
    wr_str_addf(line, "; the times below are those %s.", wr_not_assumed_words(second_of(result, limit)->kind));
}

void wr_cutoff_limit_words(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_cutoff_limit *l = &result->card->list[limit].limit;

    wr_str_add(out, result->limit_name[limit]);
    wr_str_addf(out, ", %s, wanted inside in %s of 100", wr_moment(l->limit.minutes, WR_ROOM),
                wr_of_100(l->confidence, WR_ROOM));
}

void wr_cutoff_limit_line(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_now_fact fact = fact_of(result, limit);

    wr_cutoff_limit_words(result, limit, out);
    wr_str_add(out, ": ");
    if (fact.kind != WR_FACT_NONE) add_fact(&fact, result->card->list[limit].limit.limit.minutes, out);
    else if (lacks(result, limit)) add_lack(result, limit, out);
    else add_odds(result, limit, out);
}

static void add_limit_sentence(const struct wr_cutoff_result *result, size_t limit, struct wr_str *line)
{
    wr_cutoff_limit_line(result, limit, line);
    if (fact_of(result, limit).kind == WR_FACT_NONE && !lacks(result, limit)) add_worse(result, limit, line);
    if (result->card->list[limit].limit.limit.is_clock) wr_str_add_char(line, ' ');
    wr_clock_sentence(result, limit, line);
}

/* What the table leaves out though it bears on the limit: elapsed time is counted from it. */
static void add_start(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    WR_SCOPED_STR line = {0};

    for (size_t i = 0; i < result->card->n_row; i++) {
        const struct wr_cutoff_row *row = &result->card->list[limit].row[i];
        if (!is_the_start(row)) continue;
        wr_str_clear(&line);
        wr_add_capital(&line, wr_binding_words(WR_BINDING_START));
        wr_str_addf(&line, ": %s; elapsed time counts from it.", result->plan->task[row->task].title);
        wr_prose_add(out, wr_str_text(&line), 2, WR_TERMINAL_COLUMNS);
    }
}

/* The plan drops it, and its time for that has passed. */
static bool is_gone(const struct wr_cutoff_result *result, size_t task)
{
    const struct wr_maybe *rule = &result->plan->task[task].drop_after_min;

    return result->update && rule->known && wr_now_is_past_rule(&result->update->state, task, rule->value);
}

/* Tasks without a latest start, by the reason why: "begun: A; B; C." */
static void add_without_start(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    static const struct { enum wr_cutoff_reason reason; bool on_time; } in_turn[] = {
        {WR_CUTOFF_NEVER, false},      {WR_CUTOFF_NEVER, true},     {WR_CUTOFF_TOO_FEW, false},
        {WR_CUTOFF_UNREPORTED, false}, {WR_CUTOFF_NO_CLOCK, false}, {WR_CUTOFF_DOUBTFUL, false},
        {WR_CUTOFF_DROPPED, false},    {WR_CUTOFF_BEGUN, false},    {WR_CUTOFF_NOT_BEFORE_LIMIT, false},
    };
    const struct wr_cutoff_row *row = result->card->list[limit].row;

    for (size_t r = 0; r < sizeof in_turn / sizeof *in_turn; r++) {
        const char *words = in_turn[r].on_time ? late_on_time : reason_words(in_turn[r].reason);
        WR_SCOPED_STR line = {0};
        size_t n = 0;
        wr_add_capital(&line, words);
        for (size_t i = 0; i < result->card->n_row; i++) {
            if (result->update && result->update->state.rule[row[i].task] != WR_NOW_KEPT) continue; /* named above */
            if (row[i].reason != in_turn[r].reason || is_late_on_time(&row[i]) != in_turn[r].on_time) continue;
            if (is_late_but_for_window(&row[i])) continue;
            wr_str_add(&line, n++ ? "; " : ": ");
            wr_str_add(&line, result->plan->task[row[i].task].title);
        }
        if (n > 1 && n == result->plan->n_task) { /* a list of all of them says no more */
            wr_str_clear(&line);
            wr_add_capital(&line, words);
            wr_str_add(&line, ": every task");
        }
        wr_str_add_char(&line, '.');
        if (n > 0) wr_prose_add(out, wr_str_text(&line), 2, WR_TERMINAL_COLUMNS);
    }
}

/* A difference on the same days, whose error is not worked out, as a gain. */
static struct wr_paired difference(double gain)
{
    return (struct wr_paired){.mean = gain, .lo = gain, .hi = gain};
}

bool wr_leaving_out_helps(const struct wr_cutoff_result *r, size_t task, size_t limit)
{
    for (size_t i = 0; r->update && i < r->update->n_drop; i++) {
        const struct wr_now_drop *drop = &r->update->drop[i];
        const struct wr_paired gain = difference(r->update->over[limit].mean - drop->over[limit]);
        if (drop->task == task) return wr_gain_of(&gain, 100) == WR_GAIN_HELPS;
    }
    for (size_t i = 0; !r->update && i < r->n_price; i++) {
        const struct wr_drop_price *p = &r->price[i];
        if (p->task != task || strcmp(r->limits->limit[p->limit].name, r->limit_name[limit]) != 0) continue;
        return wr_gain_of(&p->sooner, 100) == WR_GAIN_HELPS;
    }
    return false;
}

/* Of work that may be dropped, the limits with a time to begin by that is earlier: how many leaving it out is shown to
 * help, and, added with the task's title in front, those that it is not. */
static size_t add_not_helped(const struct wr_cutoff_result *result, size_t i, struct wr_str *out)
{
    const struct wr_cutoff_card *card = result->card;
    const size_t task = card->list[0].row[i].task;
    size_t n_helped = 0, n = 0;

    for (size_t l = 0; l < card->n_limit; l++) {
        if (!has_time(&card->list[l].row[i]) || card->list[l].row[i].drop_rule_first) continue;
        if (wr_leaving_out_helps(result, task, l)) {
            n_helped++;
            continue;
        }
        if (n == 0) wr_str_addf(out, "%s%s (", out->len ? "; " : "", result->plan->task[task].title);
        wr_str_addf(out, "%s%s", n++ ? ", " : "", result->limit_name[l]);
    }
    if (n > 0) wr_str_add_char(out, ')');
    return n_helped;
}

/* Work that the plan lets go and that has not begun, with its drop time. */
static void may_be_dropped(const struct wr_cutoff_result *result, struct wr_str *out)
{
    size_t n = 0, n_helped = 0;
    WR_SCOPED_STR not_helped = {0}, gone = {0};

    for (size_t i = 0; i < result->card->n_row && result->card->n_limit > 0; i++) {
        const struct wr_cutoff_row *row = &result->card->list[0].row[i];
        const struct wr_plan_task *task = &result->plan->task[row->task];
        if (!task->drop_after_min.known || row->reason == WR_CUTOFF_BEGUN) continue;
        if (is_gone(result, row->task)) {
            wr_str_addf(&gone, "%s%s, %s", gone.len ? "; " : "", task->title,
                        wr_moment(time_of(result, task->drop_after_min.value), WR_ROOM));
            continue;
        }
        wr_str_add(out, n++ ? "; " : "May be dropped: ");
        wr_str_addf(out, "%s, not begun after %s", task->title,
                    wr_moment(time_of(result, task->drop_after_min.value), WR_ROOM));
        n_helped += add_not_helped(result, i, &not_helped);
    }
    if (n > 0) wr_str_add_char(out, '.');
    if (n_helped)
        wr_str_addf(out, " Where its time to begin by is earlier, leave it out from then on for that limit%s.",
                    not_helped.len ? ", but for those named here" : "");
    if (not_helped.len)
        wr_str_addf(out, " Not shown to help a limit, left out sooner than that: %s.", wr_str_text(&not_helped));
    if (gone.len)
        wr_str_addf(out, "%sPast its drop time, so the plan leaves it out: %s.", n ? " " : "", wr_str_text(&gone));
}

static void note_of(const struct wr_cutoff_result *result, size_t limit, size_t i, struct wr_str *note)
{
    const struct wr_cutoff_row shown = by_the_clock(result, limit, &result->card->list[limit].row[i]);

    wr_str_clear(note);
    if (has_time(&shown) || is_late_but_for_window(&shown)) wr_cutoff_note(&shown, note);
}

/* "A: later it is dropped."; what several have in common once: "Usually too late: A; B; C." */
static void add_notes(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_cutoff_row *row = result->card->list[limit].row;
    size_t n_row = result->card->n_row;
    WR_SCOPED unsigned char *said = WR_NEW_ARRAY(unsigned char, n_row);
    WR_SCOPED_STR note = {0}, other = {0}, line = {0};

    for (size_t i = 0; i < n_row; i++) {
        size_t n = 1;
        note_of(result, limit, i, &note);
        if (note.len == 0 || said[i]) continue;
        wr_str_clear(&line);
        for (size_t k = i + 1; k < n_row; k++) {
            note_of(result, limit, k, &other);
            if (strcmp(wr_str_text(&note), wr_str_text(&other)) != 0) continue;
            said[k] = 1;
            n++;
            wr_str_addf(&line, "; %s", result->plan->task[row[k].task].title);
        }
        WR_SCOPED_STR whole = {0};
        const char *title = result->plan->task[row[i].task].title;
        if (n == 1) wr_str_addf(&whole, "%s: %s.", title, wr_str_text(&note));
        else {
            wr_add_capital(&whole, wr_str_text(&note));
            wr_str_addf(&whole, ": %s%s.", title, wr_str_text(&line));
        }
        wr_prose_add(out, wr_str_text(&whole), 2, WR_TERMINAL_COLUMNS);
    }
}

/* The rows that have a time to act on, then in words what the others are and what is special. */
static void add_card(const struct wr_present_context *ctx, const struct wr_cutoff_result *result, size_t limit,
                     struct wr_str *out)
{
    const struct wr_cutoff_list *list = &result->card->list[limit];
    WR_SCOPED_GRID grid = {0};

    wr_grid_init(&grid, cutoff_column, CUTOFF_COLUMNS);
    for (size_t i = 0; i < result->card->n_row; i++) {
        const struct wr_cutoff_row shown = by_the_clock(result, limit, &list->row[i]);
        if (has_time(&shown)) cutoff_row(&grid, result, limit, &shown);
    }
    if (wr_grid_rows(&grid) > 0) wr_grid_add_terminal(&grid, wr_context_columns(ctx), out);
    add_start(result, limit, out);
    add_notes(result, limit, out);
    add_without_start(result, limit, out);
}

const char *wr_cutoff_meaning(bool imposed)
{
    return imposed
               ? "Begin by: the latest start that keeps the limit with the wanted confidence when the delay comes from "
                 "outside and tells nothing about the day."
               : "Begin by: if the task begins then or earlier, the limit is kept with the wanted confidence; a late "
                 "start also says that the day is slow, and that is in it. Where something from outside delays it, "
                 "which tells nothing about the day, `cutoff --outside-hold` has the time.";
}

/* What it would bring to leave work out now that the plan lets go. */
static void now_drops_grid(const struct wr_cutoff_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"title", "work that\nmay be dropped", WR_UNIT_TEXT, WR_PEOPLE, 14},
        {"limit", "limit", WR_UNIT_TEXT, WR_EVERYBODY, 14},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"dropped", "dropped,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"probability_over_left_out", "over if left\nout now, of 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
    };
    const struct wr_update *u = result->update;

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; u && i < u->n_drop; i++)
        for (size_t l = 0; l < u->n_limit; l++) {
            bool is_clock = result->card->list[l].limit.limit.is_clock;
            bool no_part = is_clock && u->drop[i].over[l] == u->over[l].mean;
            if (no_part || lacks(result, l) || fact_of(result, l).kind != WR_FACT_NONE) continue;
            wr_grid_text(grid, result->plan->task[u->drop[i].task].id);
            WR_GRID_TEXTS(grid, result->plan->task[u->drop[i].task].title, result->limit_name[l]);
            WR_GRID_NUMBERS(grid, u->over[l].mean, u->drop[i].dropped, u->drop[i].over[l]);
        }
}

/* What a crew whose time has passed is told: of work that cannot be left, or of such alone as may be dropped, since the
 * limit may be sure enough without that. */
static void add_too_late(const struct wr_cutoff_result *result, struct wr_str *out)
{
    bool any = false, must_be_done = false;

    for (size_t l = 0; l < result->card->n_limit; l++)
        for (size_t i = 0; i < result->card->n_row; i++) {
            const size_t task = result->card->list[l].row[i].task;
            if (!wr_binding_has_no_start(wr_cutoff_of_limit(result->card, l, i).what)) continue;
            any = true;
            must_be_done |= !result->plan->task[task].drop_after_min.known;
        }
    if (!any) return;
    wr_prose_add(out,
                 must_be_done ? "Too late: no start that is left gives the wanted confidence. What may be dropped can "
                                "be let go; with the rest the limit stays less sure than is wanted, as often over as "
                                "its line says."
                              : "Too late: no start that is left gives the wanted confidence. All of it may be dropped "
                                "and can be let go; how often the limit is gone over as it stands its line says.",
                 0, WR_TERMINAL_COLUMNS);
}

static void add_any(const struct wr_cutoff_result *result, struct wr_str *out)
{
    char any[WR_WORDS];
    size_t n = result->card->n_limit, lacking = 0, open = 0, over = 0;

    for (size_t l = 0; l < n; l++) {
        const struct wr_now_fact fact = fact_of(result, l);
        over += fact.kind != WR_FACT_NONE && fact.over;
        lacking += fact.kind == WR_FACT_NONE && lacks(result, l);
        open += fact.kind == WR_FACT_NONE && !lacks(result, l);
    }
    if (n < 2 || open + over == 0) return; /* all that can be said is kept: no chance is left to tell */
    if (over > 0) {
        wr_str_add(out, "\nAt least one of these limits is gone over already.\n");
        return;
    }
    wr_of_100(result->card->prob_any_over, any);
    wr_str_add_char(out, '\n');
    wr_add_capital(out, any);
    wr_str_addf(out, " of 100 go over at least one of %s.\n",
                lacking == 0 ? "these limits" : "the limits that can be said");
}

static void cutoff_table(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                         struct wr_str *out)
{
    WR_SCOPED_STR line = {0};

    if (result->update) {
        update_sentence(result, &line);
        wr_prose_say(out, &line);
    }
    wr_cutoff_verdicts(ctx, result, &line);
    if (line.len > 0) wr_prose_say(out, &line);
    wr_cutoff_out_of_reach(ctx, result, &line);
    if (line.len > 0) wr_prose_say(out, &line);
    wr_context_headline(ctx, "cut-offs", &line);
    wr_str_add_char(&line, '.');
    if (is_to_begin(result->card) && !is_doubted(result))
        wr_str_addf(&line, " %s", wr_cutoff_meaning(result->imposed));
    if (has_clock(result)) {
        wr_str_addf(&line, " Moments are times of day; the excursion begins at %s.",
                    wr_moment(result->start_min.value, WR_ROOM));
    }
    wr_prose_say(out, &line);
    add_too_late(result, out);
    may_be_dropped(result, &line);
    wr_prose_say(out, &line);
    for (size_t i = 0; i < result->card->n_limit; i++) {
        add_limit_sentence(result, i, &line);
        wr_str_add_char(out, '\n');
        wr_prose_say(out, &line);
        add_card(ctx, result, i, out);
    }
    if (result->update && result->update->n_drop > 0) {
        struct wr_grid drops;
        now_drops_grid(result, &drops);
        wr_context_add_grid(ctx, NULL, &drops, out);
    }
    add_any(result, out);
}

/* Nothing of a limit that cannot be said. */
static struct wr_maybe said(const struct wr_cutoff_result *result, size_t limit, double value)
{
    return when(!lacks(result, limit), value);
}

/* Any of the limits: nothing where one of them cannot be said, for it is of all of them, unless another is gone over
 * already. The table says it of the rest and says so. */
static struct wr_maybe said_of_any(const struct wr_cutoff_result *result, double value)
{
    bool all = true, over = false;

    for (size_t l = 0; l < result->card->n_limit; l++) {
        const struct wr_now_fact fact = fact_of(result, l);
        all = all && !lacks(result, l);
        over = over || (!lacks(result, l) && fact.kind != WR_FACT_NONE && fact.over);
    }
    return when(all || over, value);
}

/* Nothing where what was reported is doubtful. */
static struct wr_maybe forecast(const struct wr_cutoff_result *result, double value)
{
    return when(!is_doubted(result), value);
}

static struct wr_maybe end_of(const struct wr_cutoff_result *result, size_t limit, double end)
{
    return over_of(result, limit)->no_interval ? WR_UNKNOWN : said(result, limit, end);
}

static void now_json(struct wr_json *j, const struct wr_cutoff_result *result)
{
    const struct wr_update *u = result->update;
    json_t *now = wr_json_object_if(j, j->root, "now", u);

    if (!now) return;
    wr_json_number(j, now, "now_min", u->state.now_min);
    wr_json_count(j, now, "done", u->n_done);
    wr_json_count(j, now, "timed", u->n_timed);
    wr_json_count(j, now, "running", u->n_running);
    wr_json_count(j, now, "unreported", u->n_unreported);
    json_t *past = wr_json_array(j, now, "taken_as_done"), *dropped = wr_json_array(j, now, "dropped_by_rule");
    json_t *unsure = wr_json_array(j, now, "done_or_dropped"), *on_way = wr_json_array(j, now, "taken_as_on_their_way");
    json_t *silent = wr_json_array(j, now, "taken_as_not_begun");
    for (size_t k = 0; k < u->state.n_task; k++) {
        const char *id = result->plan->task[k].id;
        if (u->state.state[k] == WR_NOW_PAST && u->state.end_known[k] != WR_NOW_REPORTED)
            json_array_append_new(u->state.rule[k] == WR_NOW_DROPPED          ? dropped
                                  : u->state.rule[k] == WR_NOW_MAY_BE_DROPPED ? unsure
                                                                              : past,
                                  json_string(id));
        if (u->state.state[k] == WR_NOW_UNREPORTED) json_array_append_new(on_way, json_string(id));
        if (silent_of(result, k)) json_array_append_new(silent, json_string(id));
    }
    json_t *past_rule = wr_json_array(j, now, "past_drop_time");
    for (size_t k = 0; k < u->state.n_task; k++)
        if (is_gone(result, k)) json_array_append_new(past_rule, json_string(result->plan->task[k].id));
    json_t *doubted = u->n_doubted > 0 ? wr_json_array(j, now, "doubted") : NULL;
    for (size_t i = 0; doubted && i < u->n_stretch; i++)
        if (u->stretch[i].doubtful)
            json_array_append_new(doubted, json_string(result->plan->task[u->stretch[i].task].id));
    wr_json_count(j, now, "beyond_rehearsed", u->n_beyond + u->n_lengthy + u->n_brief);
    wr_json_number(j, now, "hold_min", u->hold_min);
    wr_json_maybe(j, now, "seen_factor", forecast(result, u->seen_factor));
    wr_json_maybe(j, now, "rest_factor", forecast(result, u->rest_factor));
    wr_json_pair_if(j, now, "rest_factor_interval", !is_doubted(result) && has_pace_interval(u), u->rest_factor_lo,
                    u->rest_factor_hi);
    wr_json_maybe(j, now, "mean_min", forecast(result, u->mean_min));
    json_t *after = wr_json_object(j, now, "quantiles_min"), *before = wr_json_object(j, now, "quantiles_before_min");
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        char key[32];
        snprintf(key, sizeof key, "%g", wr_quantile_prob[q]);
        wr_json_maybe(j, after, key, forecast(result, u->quantile_min[q]));
        wr_json_number(j, before, key, u->before_quantile_min[q]);
    }
    json_t *limits = wr_json_array(j, now, "limits");
    for (size_t i = 0; i < u->n_limit; i++) {
        json_t *row = wr_json_row(j, limits);
        wr_json_text(j, row, "limit", result->limit_name[i]);
        wr_json_maybe(j, row, "probability_over", said(result, i, u->over[i].mean));
        bool has_ends = !lacks(result, i) && !u->over[i].no_interval;
        wr_json_pair_if(j, row, "interval", has_ends, u->over[i].lo, u->over[i].hi);
        wr_json_maybe(j, row, "mc_error", said(result, i, u->over[i].mc_error));
        wr_json_pair_if(j, row, "interval_mc_error", has_ends, u->over[i].lo_mc_error, u->over[i].hi_mc_error);
        wr_json_maybe(j, row, "probability_over_before", u->over_before[i]);
    }
    wr_json_maybe(j, now, "any_limit_over", said_of_any(result, u->any_over.mean));
    struct wr_grid drops;
    now_drops_grid(result, &drops);
    wr_json_take_grid(j, now, "drops", &drops);
}

static void second_json(struct wr_json *j, json_t *row, const struct wr_second *second, bool said)
{
    WR_SCOPED_STR assumed = {0};

    if (!second->known || !said) {
        wr_json_null(j, row, "second_answer");
        return;
    }
    json_t *at = wr_json_object(j, row, "second_answer");
    wr_assumed_words(second->kind, second->percent, &assumed);
    wr_json_text(j, at, "assumption", wr_str_text(&assumed));
    wr_json_number(j, at, "probability_over", second->over.mean);
    wr_json_interval(j, at, "interval", &second->over);
}

static enum wr_status cutoff_json(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                  struct wr_str *out, struct wr_error *err)
{
    struct wr_json j;
    struct wr_grid grid;

    wr_json_begin(&j, ctx);
    wr_json_count(&j, j.root, "trials", result->card->n_trial);
    wr_json_text(&j, j.root, "late_start", result->imposed ? "imposed from outside" : "tells about the day");
    json_t *limits = json_array();
    for (size_t i = 0; i < result->card->n_limit; i++) {
        const struct wr_cutoff_list *list = &result->card->list[i];
        grid_of_cutoffs(result, i, &grid);
        if (i == 0) wr_json_grid(&j, j.root, "tasks", &grid);
        json_t *row = wr_json_row(&j, limits);
        wr_json_text(&j, row, "limit", result->limit_name[i]);
        wr_json_number(&j, row, "minutes", list->limit.limit.minutes);
        wr_json_number(&j, row, "confidence", list->limit.confidence);
        wr_json_bool(&j, row, "is_clock", list->limit.limit.is_clock);
        wr_json_maybe(&j, row, "probability_over", said(result, i, list->prob_over));
        wr_json_maybe(&j, row, "probability_over_lo", end_of(result, i, over_of(result, i)->lo));
        wr_json_maybe(&j, row, "probability_over_hi", end_of(result, i, over_of(result, i)->hi));
        wr_json_text(&j, row, "verdict", verdict_words(ctx, result, i));
        second_json(&j, row, second_of(result, i), !lacks(result, i));
        wr_json_maybe(&j, row, "limit_needed_min", said(result, i, list->needed_min));
        wr_json_take_grid(&j, row, "tasks", &grid);
    }
    if (result->card->n_limit == 0) wr_json_array(&j, j.root, "tasks");
    wr_json_take(&j, j.root, "limits", limits);
    wr_json_maybe(&j, j.root, "any_limit_over", said_of_any(result, result->card->prob_any_over));
    now_json(&j, result);
    return wr_json_finish(&j, out, err);
}

/* CSV is one table: what is said of a limit before its times stands in columns of its own, the same in its rows. */
static void csv_of_cutoffs(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                           const struct wr_grid *rows, struct wr_str *out)
{
    static const struct wr_column answer[] = {
        {"limit_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"confidence", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_over_lo", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"verdict", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"limit_needed_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"any_limit_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"doubtful", "", WR_UNIT_YES_NO, WR_MACHINE, 0},
        {"second_assumption", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"second_probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"second_probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
    };
    enum { N_ANSWER = sizeof answer / sizeof *answer, N_ALL = CUTOFF_COLUMNS + N_ANSWER };
    struct wr_column column[N_ALL];
    WR_SCOPED_GRID all = {0};

    memcpy(column, cutoff_column, sizeof cutoff_column);
    memcpy(column + CUTOFF_COLUMNS, answer, sizeof answer);
    wr_grid_init(&all, column, N_ALL);
    for (size_t r = 0; r < wr_grid_rows(rows); r++) {
        size_t l = r / result->card->n_row;
        const struct wr_cutoff_list *list = &result->card->list[l];
        const struct wr_probability *over = over_of(result, l);
        for (size_t c = 0; c < CUTOFF_COLUMNS; c++) wr_grid_copy(&all, &rows->value[r * CUTOFF_COLUMNS + c]);
        WR_GRID_NUMBERS(&all, list->limit.limit.minutes, list->limit.confidence);
        WR_GRID_MAYBES(&all, said(result, l, list->prob_over), end_of(result, l, over->lo),
                       end_of(result, l, over->hi));
        wr_grid_text(&all, verdict_words(ctx, result, l));
        WR_GRID_MAYBES(&all, said(result, l, list->needed_min), said_of_any(result, result->card->prob_any_over));
        wr_grid_number(&all, ctx->doubt != NULL);
        wr_grid_second(&all, lacks(result, l) ? NULL : second_of(result, l));
    }
    wr_grid_add_csv(&all, out);
}

enum wr_status wr_show_cutoff(enum wr_format format, const struct wr_present_context *ctx,
                              const struct wr_cutoff_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID all = {0};

    wr_grid_init(&all, cutoff_column, CUTOFF_COLUMNS);
    for (size_t i = 0; i < result->card->n_limit; i++) add_rows(result, i, &all);
    enum wr_status status = wr_grid_check(&all, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: cutoff_table(ctx, result, out); break;
    case WR_FORMAT_CSV: csv_of_cutoffs(ctx, result, &all, out); break;
    case WR_FORMAT_JSON: return cutoff_json(ctx, result, out, err);
    }
    return WR_OK;
}
