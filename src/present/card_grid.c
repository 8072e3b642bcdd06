/* The card for the console, as the page shows it: each task once, with the limit that binds it. */
#include <math.h>
#include <stdint.h>
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

const char wr_set_by_plan[] = "its drop time";

static void ten_starts(struct wr_grid *grid, const struct wr_binding_cutoff *of)
{
    int in_time = wr_starts_in_time(of);
    WR_SCOPED_STR marks = {0};

    if (of->what != WR_BINDING_FOUND && !wr_binding_is_late(of->what)) {
        wr_grid_absent(grid);
        return;
    }
    for (int i = 0; i < WR_CARD_STARTS; i++) wr_str_add(&marks, i < in_time ? "\xe2\x97\x8f" : "\xe2\x97\x8b");
    wr_grid_text(grid, wr_str_text(&marks));
    wr_grid_sorts_by(grid, in_time);
}

/* What is to be done from its time on, until the plan drops it. */
static const char *leave_it_out(const struct wr_cutoff_result *result, const struct wr_binding_cutoff *of)
{
    bool late = wr_binding_is_late(of->what);

    if (!late && (of->what != WR_BINDING_FOUND || of->row->drop_rule_first)) return "";
    if (result->first != WR_FIRST_GIVEN && of->limit == 0)
        return late ? "whether leaving it out helps was not worked out for a limit that is tried; "
                    : "begun later it leaves the limit less sure than wanted, and whether leaving it out helps was "
                      "not worked out for a limit that is tried; ";
    if (!wr_leaving_out_helps(result, of->row->task, of->limit))
        return "leaving it out sooner is not shown to help the limit; ";
    return late ? "leave it out for the limit; " : "later, leave it out for the limit; ";
}

static size_t row_at(const struct wr_cutoff_result *result, const struct wr_binding_cutoff *of)
{
    return (size_t)(of->row - result->card->list[of->limit].row);
}

/* A clock's time in elapsed time, if the clock begins as usual, in the two ways in which it is read: as one moment, and
 * as the shown begin of the clock and the shown time on it added up, which may be a minute from that. */
struct elapsed { double least_min, most_min; };

/* Whether there is one. elapsed: a limit that is no clock. */
static bool clock_in_elapsed(const struct wr_cutoff_card *card, size_t clock, size_t i, size_t elapsed,
                             struct elapsed *shown)
{
    const struct wr_maybe by = wr_clock_start_as_usual(card, clock, i, elapsed);
    const double on_clock_min = card->list[clock].row[i].latest_start_min;

    if (!by.known) return false;
    const double as_one = wr_moment_by_min(by.value);
    const double added = wr_moment_gap_min(0, by.value - on_clock_min) + wr_moment_by_min(on_clock_min);
    *shown = (struct elapsed){fmin(as_one, added), fmax(as_one, added)};
    return true;
}

/* No start on the clock is early enough, whatever is said of elapsed time. */
static void late_by_clock(const struct wr_cutoff_result *result, size_t clock, enum wr_binding what,
                          struct wr_str *out)
{
    wr_str_addf(out, "%s%s for \xe2\x80\x9c%s\xe2\x80\x9d, whose clock stands below", out->len ? "; " : "",
                what == WR_BINDING_LATER ? "only later" : "too late", result->limit_name[clock]);
}

/* Work on a clock has a time on that too, which may be the earlier one if the clock begins as it usually does; one
 * until which at least it is inside is none to be sooner for. */
static void sooner_by_clock(const struct wr_cutoff_result *result, const struct wr_binding_cutoff *of,
                            struct wr_str *out)
{
    const struct wr_cutoff_card *card = result->card;

    for (size_t l = 0; l < card->n_limit; l++) {
        if (!card->list[l].limit.limit.is_clock) continue;
        const struct wr_binding_cutoff own = wr_cutoff_of_limit(card, l, row_at(result, of));
        if (wr_binding_is_late(own.what)) late_by_clock(result, l, own.what, out);
        if (own.what != WR_BINDING_FOUND || own.row->beyond_range) continue;
        const struct wr_maybe by = wr_clock_start_as_usual(card, l, row_at(result, of), of->limit);
        struct elapsed shown;
        if (!clock_in_elapsed(card, l, row_at(result, of), of->limit, &shown) ||
            shown.most_min >= wr_moment_by_min(of->row->latest_start_min))
            continue;
        wr_str_addf(out, "%ssooner for \xe2\x80\x9c%s\xe2\x80\x9d, whose clock stands below: by %s if that begins as "
                         "usual", out->len ? "; " : "", result->limit_name[l], wr_moment_by(by.value, WR_ROOM));
    }
}

bool wr_is_sooner_elapsed(const struct wr_cutoff_result *result, const struct wr_card_line *line,
                          struct wr_binding_cutoff *own)
{
    const struct wr_cutoff_card *card = result->card;
    const size_t i = row_at(result, &line->cutoff);

    if (line->clock == SIZE_MAX || !wr_has_binding_cutoffs(card)) return false;
    *own = wr_binding_cutoff(card, i);
    if (wr_binding_is_late(own->what)) return true;
    if (own->what != WR_BINDING_FOUND || own->row->beyond_range) return false;
    struct elapsed shown;
    return clock_in_elapsed(card, line->clock, i, own->limit, &shown) &&
           shown.least_min > wr_moment_by_min(own->row->latest_start_min);
}

/* The limit with its minutes: of several that may be tried for it. */
static void sooner_by_elapsed(const struct wr_cutoff_result *result, const struct wr_card_line *line,
                              struct wr_str *out)
{
    struct wr_binding_cutoff own;

    if (result->first == WR_FIRST_UNKNOWN && wr_has_binding_cutoffs(result->card)) {
        wr_str_addf(out, "%swhether elapsed time asks for it sooner was not worked out for so early a limit",
                    out->len ? "; " : "");
        return;
    }
    if (!wr_is_sooner_elapsed(result, line, &own) || own.row->drop_rule_first) return;
    wr_str_addf(out, "%s%s \xe2\x80\x9c%s\xe2\x80\x9d, %s", out->len ? "; " : "",
                own.what == WR_BINDING_FOUND   ? "sooner for"
                : own.what == WR_BINDING_LATER ? "only later for"
                                               : "too late for",
                result->limit_name[own.limit],
                wr_moment(result->card->list[own.limit].limit.limit.minutes, WR_ROOM));
    if (own.what == WR_BINDING_FOUND)
        wr_str_addf(out, ", if this clock begins as usual: by %s elapsed",
                    wr_moment_by(own.row->latest_start_min, WR_ROOM));
}

/* What the console must know beside the time: that the work may be let go, and what the time is worth. */
static void card_note(const struct wr_cutoff_result *result, const struct wr_card_line *line, struct wr_str *out)
{
    const struct wr_binding_cutoff *of = &line->cutoff;
    const struct wr_plan_task *task = &result->plan->task[of->row->task];

    if (task->drop_after_min.known && of->what != WR_BINDING_BEGUN)
        wr_str_addf(out, "%sthe plan drops it after %s", leave_it_out(result, of),
                    wr_moment(task->drop_after_min.value, WR_ROOM));
    if (of->what != WR_BINDING_FOUND && of->what != WR_BINDING_LATER && of->what != WR_BINDING_OPENS) return;
    struct wr_cutoff_row row = *of->row;
    WR_SCOPED_STR note = {0};
    row.drop_rule_first &= row.usually_dropped; /* else it stands under "set by" */
    wr_cutoff_note(&row, &note);
    if (note.len > 0) wr_str_addf(out, "%s%s", out->len > 0 ? "; " : "", wr_str_text(&note));
    if (of->what != WR_BINDING_FOUND) return;
    if (line->clock == SIZE_MAX) sooner_by_clock(result, of, out);
    else sooner_by_elapsed(result, line, out);
}

static void card_row(struct wr_grid *grid, const struct wr_cutoff_result *result, const struct wr_card_line *line)
{
    const struct wr_binding_cutoff *of = &line->cutoff;
    const struct wr_plan_task *task = &result->plan->task[of->row->task];
    bool found = of->what == WR_BINDING_FOUND, set = found || wr_binding_is_late(of->what);
    const struct wr_sim_limit *limit = &result->card->list[of->limit].limit.limit;
    WR_SCOPED_STR lane = {0}, set_by = {0}, note = {0};

    wr_lanes_words(result->plan, task->lanes, &lane);
    WR_GRID_TEXTS(grid, task->id, task->title, wr_str_text(&lane));
    wr_grid_number(grid, of->row->typical_start_min);
    if (found) wr_grid_number(grid, of->row->latest_start_min);
    else wr_grid_text(grid, wr_binding_words(of->what));
    if (found && of->row->drop_rule_first) wr_str_add(&set_by, wr_set_by_plan);
    else if (set) wr_str_addf(&set_by, "%s, %s", result->limit_name[of->limit], wr_moment(limit->minutes, WR_ROOM));
    if (set_by.len > 0) wr_grid_text(grid, wr_str_text(&set_by));
    else wr_grid_absent(grid);
    wr_grid_maybe(grid, found ? wr_known(wr_shown_slack_min(of->row)) : WR_UNKNOWN);
    ten_starts(grid, of);
    card_note(result, line, &note);
    WR_GRID_TEXTS(grid, wr_str_text(&note), "");
    wr_grid_about(grid, of->row->task);
}

void wr_grid_of_card(const struct wr_cutoff_result *result, const struct wr_card_lines *lines, size_t clock,
                     struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"task", "id", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"title", "task", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"crew", "lane", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"typical_start_min", "usual\nstart", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"latest_start_min", "begin\nby", WR_UNIT_BY, WR_EVERYBODY, 0},
        {"set_by", "set by", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"slack_shown", "slack\nmin", WR_UNIT_WHOLE, WR_EVERYBODY, 0},
        {"ten_starts", "of ten\nstarts", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"note", "note", WR_UNIT_TEXT, WR_EVERYBODY, 0},
        {"began", "began", WR_UNIT_TEXT, WR_PEOPLE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t i = 0; i < lines->n; i++)
        if (!lines->line[i].is_head && lines->line[i].clock == clock) card_row(grid, result, &lines->line[i]);
}

/* Nothing on the card guards the clock against these. */
static void add_beside_clock(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    size_t n = 0;

    for (size_t i = 0; i < result->card->n_row; i++) {
        const struct wr_cutoff_row *row = &result->card->list[limit].row[i];
        if (!row->beside_clock || row->reason == WR_CUTOFF_BEGUN) continue;
        wr_str_add(out, n++ ? "; " : " Its end also waits for work that has no time here, and whose other times do "
                                    "not heed this clock: ");
        wr_str_add(out, result->plan->task[row->task].title);
    }
    if (n > 0) wr_str_add_char(out, '.');
}

void wr_clock_sentence(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out)
{
    const struct wr_sim_limit *l = &result->card->list[limit].limit.limit;

    if (!l->is_clock) return;
    wr_str_add(out, "Times are read on the clock that starts when \xe2\x80\x9c");
    wr_str_add(out, result->plan->task[l->from].title);
    wr_str_add(out, "\xe2\x80\x9d begins.");
    add_beside_clock(result, limit, out);
}

void wr_card_limits_words(const struct wr_cutoff_result *result, size_t clock, struct wr_str *out)
{
    size_t n = 0;

    for (size_t l = 0; l < result->card->n_limit; l++) {
        if (clock == SIZE_MAX ? result->card->list[l].limit.limit.is_clock : l != clock) continue;
        if (n++ > 0) wr_str_add(out, "; ");
        wr_cutoff_limit_words(result, l, out);
    }
}

/* Times at which fewer go over than may, for they are not where the limit asks. */
static void add_no_more(const struct wr_card_lines *lines, struct wr_str *out)
{
    bool drop = false, beyond = false, early = false, earliest = false;

    for (size_t i = 0; i < lines->n; i++) {
        if (lines->line[i].is_head || lines->line[i].cutoff.what != WR_BINDING_FOUND) continue;
        const struct wr_cutoff_row *row = lines->line[i].cutoff.row;
        drop |= row->drop_rule_first;
        beyond |= row->beyond_range;
        early |= wr_cutoff_is_early(row);
        earliest |= row->at_earliest;
    }
    const struct {
        bool is_so;
        const char *where;
    } one[] = {{drop, "that is its drop time"},
               {beyond, "hardly a day begins later"},
               {early, "it is put early"},
               {earliest, "it usually begins just when it may"}};
    size_t n = 0;
    for (size_t i = 0; i < sizeof one / sizeof *one; i++)
        if (one[i].is_so) wr_str_addf(out, "%s%s", n++ ? ", or " : "; no more than that where ", one[i].where);
}

void wr_card_exactly(const struct wr_cutoff_result *result, struct wr_str *out)
{
    if (result->imposed) return; /* then those are not the days on which it begins there */
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines lines = wr_card_lines(result->card);
    size_t n = 0;

    for (size_t l = 0; l < result->card->n_limit; l++) {
        bool sets = false;
        for (size_t i = 0; i < lines.n && !sets; i++)
            sets = !lines.line[i].is_head && lines.line[i].cutoff.what == WR_BINDING_FOUND &&
                   lines.line[i].cutoff.limit == l;
        if (!sets) continue;
        wr_str_add(out, n++ ? ", " : "Of 100 days on which a task begins exactly at its bold time about as many go "
                                     "over the limit that sets it as may: ");
        wr_str_addf(out, "%s over ", wr_allowed_of_100(result->card->list[l].limit.confidence, WR_ROOM));
        wr_str_add(out, result->limit_name[l]);
    }
    if (n == 0) return;
    add_no_more(&lines, out);
    wr_str_add_char(out, '.');
}
