/* The card for the console: by when each task must have begun. Text first; one-sided slack; ten starts as ten marks. */
#include <math.h>
#include <stdint.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/decide/binding_cutoff.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { LANE_COLUMN = 42, HEAD_ROW = 26, LEAST_WIDE = 900, NAME_COLUMN = 112 };

static const char *missing(const struct wr_chart_input *in)
{
    return in->cutoff && in->cutoff->n_limit > 0 && in->cutoff->n_row > 0 ? NULL
                                                                          : "cut-offs, and none were worked out";
}

static const char *limit_name(const struct wr_chart_input *in, size_t limit)
{
    return in->cutoff_limit_name ? in->cutoff_limit_name[limit] : "";
}

static bool has_time(const struct wr_card_line *line)
{
    return !line->is_head && line->cutoff.what == WR_BINDING_FOUND;
}

static bool is_too_late(const struct wr_card_line *line)
{
    return !line->is_head && line->cutoff.what == WR_BINDING_TOO_LATE;
}

/* None of what has begun, or where nothing is forecast. */
static bool has_usual(const struct wr_card_line *line)
{
    return line->cutoff.what != WR_BINDING_BEGUN && line->cutoff.row->reason != WR_CUTOFF_DOUBTFUL;
}

/* Its time is not to be read to the minute. */
static bool is_starred(const struct wr_card_line *line)
{
    return has_time(line) && (line->cutoff.row->beyond_range || wr_cutoff_is_rough(line->cutoff.row));
}

static const char starred[] =
    " *: at least until then, for hardly a day begins later, or not known to better than 5 min.";

static void say_begin_by(struct wr_str *out, const struct wr_card_line *line)
{
    if (!has_time(line)) {
        wr_str_add(out, wr_binding_words(line->cutoff.what));
        return;
    }
    wr_str_add(out, wr_moment_by(line->cutoff.row->latest_start_min, WR_ROOM));
    if (is_starred(line)) wr_str_add_char(out, '*');
}

static void say_clock_head(struct wr_str *out, const struct wr_chart_input *in, size_t clock)
{
    const struct wr_sim_limit *limit = &in->cutoff->list[clock].limit.limit;

    say_quoted(out, limit_name(in, clock));
    wr_str_add(out, ", ");
    say_clock(out, limit->minutes);
    wr_str_add(out, ": times on the clock that starts when ");
    say_quoted(out, in->plan->task[limit->from].title);
    wr_str_add(out, " begins");
}

/* Bold times that are read as lying before the usual start: they are met on the fewer days. */
static size_t n_before_usual(const struct wr_card_lines *card)
{
    size_t n = 0;

    for (size_t i = 0; i < card->n; i++)
        n += has_time(&card->line[i]) && card->line[i].clock == SIZE_MAX &&
             wr_shown_slack_min(card->line[i].cutoff.row) < 0;
    return n;
}

static bool is_doubted(const struct wr_card_lines *card)
{
    for (size_t i = 0; i < card->n; i++)
        if (!card->line[i].is_head && card->line[i].cutoff.row->reason == WR_CUTOFF_DOUBTFUL) return true;
    return false;
}

static void say_title(struct wr_str *out, const struct wr_chart_input *in, const struct wr_card_lines *card,
                      size_t n_late)
{
    const struct wr_cutoff_limit *first = &in->cutoff->list[0].limit;
    size_t n_early = n_before_usual(card);
    bool is_any_in_time = false, is_kept = true;

    for (size_t i = 0; i < card->n; i++) is_any_in_time = is_any_in_time || has_time(&card->line[i]);
    for (size_t l = 0; l < in->cutoff->n_limit; l++) is_kept = is_kept && wr_cutoff_is_kept(&in->cutoff->list[l]);
    if (is_doubted(card)) {
        wr_str_add(out, "What was reported is doubtful, as wetrun cutoff says: no time to begin by can be given");
        return;
    }
    if (n_late > 0 && !is_any_in_time) {
        wr_str_add(out, "No start is early enough for what is wanted: no time to begin by can be given");
        return;
    }
    if (!is_any_in_time) {
        wr_str_add(out, "No time to begin by can be given");
        return;
    }
    wr_str_add(out,
               is_kept ? "Begun later than its bold time, a task leaves " : "Even begun on time, the plan leaves ");
    if (in->cutoff->n_limit > 1) {
        wr_str_add(out, "a limit less sure than is wanted");
    } else {
        say_clock(out, first->limit.minutes);
        wr_str_addf(out, " less sure than the %s wanted", wr_percent(first->confidence, WR_ROOM));
    }
    if (n_late > 0)
        wr_str_addf(out, "; %s task%s no start early enough", wr_count_words(n_late, WR_ROOM),
                    n_late == 1 ? " has" : "s have");
    if (n_early > 0)
        wr_str_addf(out, "; %s of the bold times lie%s before the usual start", wr_count_words(n_early, WR_ROOM),
                    n_early == 1 ? "s" : "");
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    struct wr_card_lines card = wr_card_lines(in->cutoff);
    size_t n_late = 0;
    bool has_star = false;

    for (size_t i = 0; i < card.n; i++) {
        n_late += is_too_late(&card.line[i]);
        has_star |= is_starred(&card.line[i]);
    }
    say_title(&w->title, in, &card, n_late);
    wr_str_addf(&w->subtitle, "%s. Of ten starts: a disc for each full ten of 100 in time, rings for the rest. "
                              "Slack: minutes from the usual start to the latest.",
                card.n_elapsed_limit > 0 ? "Elapsed time, h:mm" : "Times on each limit’s own clock, h:mm");
    if (card.n_elapsed_limit > 1)
        wr_str_add(&w->subtitle, " Bold is the earliest over the limits; behind it the limit that sets it.");
    if (has_star) wr_str_add(&w->subtitle, starred);
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t i = 0; i < card.n; i++) {
        wr_str_add(&w->alt, i ? "; " : " ");
        if (card.line[i].is_head) {
            say_clock_head(&w->alt, in, card.line[i].clock);
            continue;
        }
        say_quoted(&w->alt, in->plan->task[card.line[i].cutoff.row->task].title);
        wr_str_add(&w->alt, " ");
        say_begin_by(&w->alt, &card.line[i]);
    }
    wr_str_add(&w->alt, ".");
    if (n_late) wr_str_addf(&w->alt, " Too late already: %zu.", n_late);
    if (has_star) wr_str_add(&w->alt, starred);
    wr_card_lines_release(&card);
}

/* px of the columns right of the scale */
struct columns {
    double begin_by, name, starts, began;
    bool has_name;
};

static struct columns columns_of(const struct canvas *cv, bool has_name)
{
    double plot_end = cv->width - cv->right, name = has_name ? NAME_COLUMN : 0;

    if (cv->narrow)
        return (struct columns){.begin_by = cv->width - cv->margin, .starts = cv->margin + LANE_COLUMN,
                                .name = cv->margin + LANE_COLUMN + 108, .has_name = has_name};
    return (struct columns){.begin_by = plot_end + 24, .name = plot_end + 92, .starts = plot_end + 118 + name,
                            .began = plot_end + 224 + name, .has_name = has_name};
}

static void add_heads(struct canvas *cv, struct columns c)
{
    double y = canvas_plot_top(cv) - HEAD_ROW / 2.0;

    canvas_note(cv, FACE_SMALL_BOLD, cv->narrow ? ALIGN_RIGHT : ALIGN_LEFT, c.begin_by, y, "begin by");
    if (cv->narrow) {
        canvas_note(cv, FACE_SMALL, ALIGN_LEFT, c.starts, y, "of ten starts");
        return;
    }
    canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 14, y, "usual");
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, cv->left, y, "slack, min");
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, c.starts, y, "of ten starts");
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, c.began, y, "began");
    if (c.has_name) canvas_note(cv, FACE_SMALL, ALIGN_LEFT, c.name, y, "set by");
}

static void add_texts(const struct wr_chart_input *in, struct canvas *cv, struct columns c,
                      const struct wr_card_line *of, double place)
{
    const struct wr_plan_task *task = &in->plan->task[of->cutoff.row->task];
    WR_SCOPED_STR lane = {0}, by = {0}, usual = {0};
    double middle = canvas_px_y(cv, place), line = cv->narrow ? canvas_px_y(cv, place - 0.22) : middle;
    double title_x = cv->margin + LANE_COLUMN, room = cv->left - 60 - title_x;

    wr_lanes_words(in->plan, task->lanes, &lane);
    say_begin_by(&by, of);
    if (has_usual(of)) say_clock(&usual, of->cutoff.row->typical_start_min);
    if (cv->narrow) room = cv->width - cv->margin - title_x - canvas_text_width(cv, FACE_ACT, by.text) - 8;
    canvas_note_fit(cv, FACE_SMALL, ALIGN_LEFT, cv->margin, line, LANE_COLUMN - 6, wr_str_text(&lane));
    canvas_note_fit(cv, FACE_ROW, ALIGN_LEFT, title_x, line, room, task->title);
    canvas_note(cv, has_time(of) ? FACE_ACT : FACE_ROW_BOLD, cv->narrow ? ALIGN_RIGHT : ALIGN_LEFT, c.begin_by,
                cv->narrow ? canvas_px_y(cv, place + 0.05) : middle, by.text);
    if (c.has_name && of->clock == SIZE_MAX && (has_time(of) || is_too_late(of)))
        canvas_note_fit(
            cv, FACE_SMALL, ALIGN_LEFT, c.name, cv->narrow ? canvas_px_y(cv, place + canvas_mark_drop(cv)) : middle,
            cv->narrow ? cv->width - cv->margin - c.name - 60 : NAME_COLUMN - 4,
            of->cutoff.row->drop_rule_first ? wr_set_by_plan : limit_name(in, of->cutoff.limit));
    if (!cv->narrow) canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 14, middle, wr_str_text(&usual));
}

static void add_head_line(const struct wr_chart_input *in, struct canvas *cv, const struct wr_card_line *of,
                          double place)
{
    WR_SCOPED_STR text = {0};

    say_clock_head(&text, in, of->clock);
    canvas_note_fit(cv, FACE_SMALL_BOLD, ALIGN_LEFT, cv->margin, canvas_px_y(cv, place), cv->width - 2 * cv->margin,
                    wr_str_text(&text));
}

static void add_starts(struct canvas *cv, struct columns c, const struct wr_card_line *line, size_t n)
{
    bool has_in_time = false, has_late = false;

    canvas_block_begin(cv, "starts");
    for (size_t i = 0; i < n; i++) {
        if (!has_time(&line[i]) && !is_too_late(&line[i])) continue;
        int in_time = wr_starts_in_time(&line[i].cutoff);
        for (int j = 0; j < WR_CARD_STARTS; j++) {
            CANVAS_ROW(cv, c.starts + 4 + (cv->narrow ? 10 : 9) * j, (double)i + 1, j >= in_time);
        }
        has_in_time |= in_time > 0;
        has_late |= in_time < WR_CARD_STARTS;
    }
    canvas_block_end(cv, "starts");
    canvas_number(cv, "has_in_time", has_in_time);
    canvas_number(cv, "has_late", has_late);
}

static void add_slacks(struct canvas *cv, const struct wr_card_line *line, size_t n)
{
    bool has_slack = false, has_lack = false;

    canvas_block_begin(cv, "slacks");
    for (size_t i = 0; i < n && !cv->narrow; i++) {
        if (!has_time(&line[i])) continue;
        double slack = wr_shown_slack_min(line[i].cutoff.row);
        bool lack = slack < 0;
        CANVAS_ROW(cv, (double)i + 1, slack, lack);
        has_slack |= !lack;
        has_lack |= lack;
    }
    canvas_block_end(cv, "slacks");
    canvas_number(cv, "has_slack", has_slack);
    canvas_number(cv, "has_lack", has_lack);
}

static void find_range(const struct wr_card_line *line, size_t n, double range[2])
{
    range[0] = 0;
    range[1] = 10;
    for (size_t i = 0; i < n; i++) {
        if (!has_time(&line[i])) continue;
        range[0] = fmin(range[0], wr_shown_slack_min(line[i].cutoff.row));
        range[1] = fmax(range[1], wr_shown_slack_min(line[i].cutoff.row));
    }
    double span = range[1] - range[0];
    if (range[0] < 0) range[0] -= 0.03 * span;
    range[1] += 0.05 * span;
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    struct wr_card_lines card = wr_card_lines(in->cutoff);
    const struct wr_card_line *line = card.line;
    size_t n = card.n;
    bool has_name = card.n_elapsed_limit > 1;
    double range[2], longest = 0;

    if (cv->width < LEAST_WIDE) cv->narrow = true; /* no room for the scale and its columns */
    find_range(line, n, range);
    for (size_t i = 0; i < in->cutoff->n_row; i++)
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, in->plan->task[in->cutoff->list[0].row[i].task].title));
    canvas_rows(cv, n);
    canvas_frame(cv, cv->narrow ? cv->margin : fmin(fmax(longest + LANE_COLUMN + 82, 240), has_name ? 430 : 450),
                 cv->narrow ? cv->margin : 324 + (has_name ? NAME_COLUMN : 0), 4 + HEAD_ROW,
                 (double)n * (cv->narrow ? 38 : n <= 40 ? 26 : 20), cv->narrow ? 12 : 40);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    struct columns c = columns_of(cv, has_name);
    if (cv->narrow)
        canvas_no_ticks(cv);
    else
        canvas_minute_ticks(cv);
    canvas_number(cv, "write_px", c.began);
    add_heads(cv, c);
    for (size_t i = 0; i < n; i++) {
        if (line[i].is_head) add_head_line(in, cv, &line[i], (double)i + 1);
        else add_texts(in, cv, c, &line[i], (double)i + 1);
        if (line[i].clock == SIZE_MAX) canvas_row_about(cv, (double)i + 1, line[i].cutoff.row->task);
    }
    canvas_block_begin(cv, "lines");
    for (size_t i = 0; i < n; i++) {
        CANVAS_ROW(cv, (double)i + 1, !line[i].is_head);
    }
    canvas_block_end(cv, "lines");
    add_slacks(cv, line, n);
    add_starts(cv, c, line, n);
    wr_card_lines_release(&card);
}

const struct chart_builder chart_cutoff = {.missing = missing, .words = words, .build = build};
