/* What the fields of a row say. */
#include <math.h>
#include <string.h>
#include <strings.h>
#include "log_half_day.h"
#include "sheet.h" /* SHEET_MOST_MINUTES */
#include "wetrun/campaign/near_name.h"

/* Words that people write for done; for a step cut off or left out they are too many, and names.csv translates them. */
bool wr_means_done(const char *text)
{
    static const char *const word[] = {
        "done", "complete", "completed", "finished", "ok", "yes", "y", "\xe2\x9c\x93" /* ticks */,
        "\xe2\x9c\x94", "\xe2\x98\x91", NULL};

    for (int i = 0; word[i]; i++)
        if (strcasecmp(text, word[i]) == 0) return true;
    return false;
}

/* What such a mark may mean besides; NULL if it is none. */
static const char *other_meaning(const char *mark, const char **first)
{
    static const char *const not_done[] = {"no", "n", "-", "\xe2\x9c\x97", "\xe2\x9c\x98", NULL}; /* crosses */

    *first = "done";
    if (strcasecmp(mark, "x") == 0) return "skipped";
    *first = "stopped";
    for (int i = 0; not_done[i]; i++)
        if (strcasecmp(mark, not_done[i]) == 0) return "skipped";
    return NULL;
}

static const char *outcome_at(const void *words, size_t i)
{
    return ((const char *const *)words)[i];
}

__attribute__((cold)) static bool reject_outcome(struct reading *r, const struct wr_csv_record *record,
                                                 const char *text)
{
    static const char *const word[] = {"done", "stopped", "skipped"};
    const struct wr_name_list list = {outcome_at, word, 3};
    size_t near = wr_find_near(&list, text);
    bool denies =
        strncasecmp(text, "not", 3) == 0 || strncasecmp(text, "un", 2) == 0 || strncasecmp(text, "no ", 3) == 0;
    const char *one, *other = other_meaning(text, &one);
    WR_SCOPED_STR row = {0}, other_row = {0};

    wr_alias_add_row(&row, WR_NAME_OUTCOME, text, other ? one : "stopped");
    wr_alias_add_row(&other_row, WR_NAME_OUTCOME, text, other ? other : "skipped");
    if (other)
        log_reject(r, record, ROLE_OUTCOME, "row-bad-outcome",
                   "outcome '%.60s': %s, or %s? let names.csv say which: a row %s or %s", text, one, other, row.text,
                   other_row.text);
    else if (near != SIZE_MAX && !denies) /* "not done" is near to its contrary */
        log_reject(r, record, ROLE_OUTCOME, "row-bad-outcome",
                   "outcome '%.60s' is none of done, stopped, skipped (did you mean '%s'?)", text, word[near]);
    else
        log_reject(r, record, ROLE_OUTCOME, "row-bad-outcome",
                   "outcome '%.60s' is none of done, stopped, skipped: write one of them, or let names.csv say which "
                   "it is: %s (begun, not finished) or %s (never begun)",
                   text, row.text, other_row.text);
    return false;
}

static bool understand_outcome(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    const struct wr_csv_field *f = log_field_of(r, ROLE_OUTCOME);
    const char *text = f->text;

    row->outcome = WR_DONE;
    if (f->len == 0 || strcmp(text, "done") == 0) return true;
    text = wr_alias_of(r->options->aliases, WR_NAME_OUTCOME, text);
    if (strcasecmp(text, "stopped") == 0) row->outcome = WR_STOPPED;
    else if (strcasecmp(text, "skipped") == 0) row->outcome = WR_SKIPPED;
    else if (!wr_means_done(text)) return reject_outcome(r, record, f->text);
    if (text != f->text || (row->outcome == WR_DONE && strcasecmp(text, "done") != 0))
        log_note_spelling(r, record, ROLE_OUTCOME, WR_SP_OUTCOME,
                          row->outcome == WR_DONE      ? "done"
                          : row->outcome == WR_STOPPED ? "stopped"
                                                       : "skipped");
    return true;
}

/* "2 h (120 min)": as it was written, in the unit in which it was read, and what it was read as. */
static void say_span(const struct reading *r, enum log_role role, const char *plain_unit, struct wr_str *out)
{
    const struct wr_habits *habits = &r->source->habits;
    const char *text = log_field_of(r, role)->text;
    enum wr_spelling spelling;
    double minutes;

    wr_str_addf(out, "%.60s", text);
    if (wr_written_span(text, habits, &minutes, &spelling)) return;
    if (spelling == WR_PLAIN) wr_str_add(out, plain_unit);
    else wr_str_addf(out, "%s (%.6g min)",
                     spelling != WR_SP_OTHER_UNIT ? "" : habits->minutes_per_unit > 1 ? " h" : " s", minutes);
}

/* Minutes that are not negative, from a column of their own. */
static bool understand_minutes(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                               double *minutes)
{
    const struct wr_csv_field *f = log_field_of(r, role);
    enum wr_spelling spelling;

    if (f->len == 1 && f->text[0] == '0') {
        *minutes = 0.0;
        return true;
    }
    const char *trouble = wr_written_span(f->text, &r->source->habits, minutes, &spelling);
    if (trouble)
        return log_reject(r, record, role, "row-bad-number", "%s '%.60s' is %s", log_role_name(role), f->text, trouble);
    if (*minutes < 0)
        return log_reject(r, record, role, "row-negative", "%s %.60s is negative: write minutes of 0 or more",
                          log_role_name(role), f->text);
    if (*minutes > SHEET_MOST_MINUTES) {
        WR_SCOPED_STR span = {0};
        say_span(r, role, "", &span);
        return log_reject(r, record, role, "row-out-of-range",
                          "%s %s is too large to be meant: write minutes, or h:mm", log_role_name(role), span.text);
    }
    log_note_minutes(r, record, role, spelling, *minutes);
    return true;
}

static bool understand_time(struct reading *r, const struct wr_csv_record *record, enum log_role role,
                            struct wr_log_time *time)
{
    const struct wr_csv_field *f = log_field_of(r, role);
    enum wr_spelling spelling;

    if (!r->source->habits.colons_are_elapsed && wr_parse_plain_clock(f->text, f->len, time)) return true;
    const char *trouble = wr_written_time(f->text, f->len, &r->source->habits, time, &spelling);

    if (trouble)
        return log_reject(r, record, role, "row-bad-time", "%s '%.60s': %s", log_role_name(role), f->text, trouble);
    log_note_time(r, record, role, spelling, time);
    return true;
}

static bool measure_step(struct reading *r, const struct wr_csv_record *record, const struct wr_log_time *start,
                         const struct wr_log_time *end, struct row *row)
{
    row->length_ns = end->ns - start->ns;
    if (row->length_ns >= 0) return true;
    const char *from = log_field_of(r, ROLE_START)->text, *to = log_field_of(r, ROLE_END)->text;
    if (start->kind != WR_TIME_CLOCK)
        return log_reject(r, record, ROLE_END, "row-negative",
                          "it ends (%.40s) before it starts (%.40s): correct one of the two", to, from);
    row->length_ns += r->options->times == WR_TIMES_12H && row->length_ns >= -HALF_DAY_NS ? HALF_DAY_NS : WR_NS_PER_DAY;
    if (row->length_ns <= HALF_DAY_NS) return true;
    half_day_note_row(r, record, start->ns, end->ns);
    return log_reject(
        r, record, ROLE_END, "row-negative",
        "it ends (%.40s) before it starts (%.40s), and would last more than 12 h if it had passed midnight: correct "
        "one of the two",
        to, from);
}

/* Start, and end or minutes. */
static bool understand_interval(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    struct wr_log_time start, end;
    const struct wr_csv_field *end_field = log_field_of(r, ROLE_END);

    if (!understand_time(r, record, ROLE_START, &start)) return false;
    row->kind = start.kind;
    row->day = start.day;
    if (end_field->len) {
        if (!understand_time(r, record, ROLE_END, &end)) return false;
        if (end.kind != start.kind)
            return log_reject(r, record, ROLE_END, "row-mixed-times",
                              "it starts in %s and ends in %s: write both alike", wr_time_kind_text(start.kind),
                              wr_time_kind_text(end.kind));
        if (!measure_step(r, record, &start, &end, row)) return false;
    } else if (row->has_minutes) {
        row->length_ns = (int64_t)(row->minutes * (double)WR_NS_PER_MIN + 0.5);
    } else if (row->outcome != WR_SKIPPED) {
        return log_reject(r, record, r->source->columns.has[ROLE_END] ? ROLE_END : ROLE_START, "row-no-time",
                          "it has no end: write it, or the minutes; skipped as its outcome if it was never begun");
    }
    if (row->kind == WR_TIME_CLOCK) {
        if (start.ns == WR_NS_PER_DAY) start.ns = 0;
        if (row->length_ns > WR_NS_PER_DAY)
            return log_reject(r, record, ROLE_MINUTES, "row-out-of-range",
                              "it lasts more than a day: correct its minutes");
    }
    row->start_ns = start.ns;
    row->has_start = true;
    return true;
}

static bool understand_times(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    const struct wr_csv_field *start = log_field_of(r, ROLE_START), *end = log_field_of(r, ROLE_END);
    struct wr_log_time unused;

    row->has_start = row->has_minutes = false;
    row->kind = WR_TIME_NONE;
    row->start_ns = row->length_ns = 0;
    if (log_field_of(r, ROLE_MINUTES)->len) {
        if (!understand_minutes(r, record, ROLE_MINUTES, &row->minutes)) return false;
        row->has_minutes = true;
    }
    if (start->len) return understand_interval(r, record, row);
    if (end->len) {
        if (row->outcome == WR_SKIPPED) return understand_time(r, record, ROLE_END, &unused);
        return log_reject(r, record, r->source->columns.has[ROLE_START] ? ROLE_START : ROLE_END, "row-no-time",
                          "it has an end but no start: write its start, or its minutes");
    }
    if (row->outcome == WR_SKIPPED) return true;
    if (row->has_minutes) {
        row->kind = WR_TIME_MINUTES;
        return true;
    }
    return log_reject(r, record, r->source->columns.has[ROLE_START] ? ROLE_START : ROLE_MINUTES, "row-no-time",
                      "it has neither a start and an end nor minutes: write them; skipped as its outcome if it was "
                      "never begun");
}

static bool understand_hold(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    double length_min = row->kind == WR_TIME_MINUTES ? row->minutes : (double)row->length_ns / (double)WR_NS_PER_MIN;

    row->hold_min = 0.0;
    if (log_field_of(r, ROLE_HOLD)->len && !understand_minutes(r, record, ROLE_HOLD, &row->hold_min))
        return false;
    if (row->outcome == WR_SKIPPED) {
        row->active_min = row->hold_min = 0.0;
        return true;
    }
    if (wr_without_hold(length_min, row->hold_min, &row->active_min)) return true;
    WR_SCOPED_STR hold = {0};
    say_span(r, ROLE_HOLD, " min", &hold);
    return log_reject(r, record, ROLE_HOLD, "row-hold-too-long",
                      "a hold of %s in a step of %.6g min: correct the hold, or the times", hold.text, length_min);
}

bool log_understand_row(struct reading *r, const struct wr_csv_record *record, struct row *row)
{
    if (log_field_of(r, ROLE_RUN)->len == 0)
        return log_reject(r, record, ROLE_RUN, "row-no-run", "it names no run: write it%s",
                          r->log->rows_accepted ? ", or add --fill-down run if an empty cell means the one above" : "");
    if (log_field_of(r, ROLE_TASK)->len == 0)
        return log_reject(r, record, ROLE_TASK, "row-no-task", "it names no task: write it, or take the row out");
    return understand_outcome(r, record, row) && understand_times(r, record, row) && understand_hold(r, record, row);
}
