/* The card for the console: by when each task must have begun. Text first; one-sided slack; ten starts as ten marks. */
#include <math.h>
#include <stdint.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/decide/binding_cutoff.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/cutoff_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { LEAST_LANES = 42, MOST_LANES = 110, HEAD_ROW = 26, LEAST_WIDE = 900, NAME_COLUMN = 112 };

static const struct wr_cutoff_card *card_of(const struct wr_chart_input *in)
{
    return in->cutoff.card;
}

static const char *missing(const struct wr_chart_input *in)
{
    return card_of(in) && card_of(in)->n_limit > 0 && card_of(in)->n_row > 0 ? NULL
                                                                          : "cut-offs, and none were worked out";
}

static const char *limit_name(const struct wr_chart_input *in, size_t limit)
{
    return in->cutoff.limit_name ? in->cutoff.limit_name[limit] : "";
}

static bool has_time(const struct wr_card_line *line)
{
    return !line->is_head && line->cutoff.what == WR_BINDING_FOUND;
}

static bool is_too_late(const struct wr_card_line *line)
{
    return !line->is_head && wr_binding_has_no_start(line->cutoff.what);
}

static bool is_marked(const struct wr_card_line *line)
{
    return has_time(line) || (!line->is_head && wr_binding_is_late(line->cutoff.what));
}

/* It has begun, or may no longer. */
static bool is_over(const struct wr_card_line *line)
{
    return line->cutoff.what == WR_BINDING_BEGUN || line->cutoff.what == WR_BINDING_DROPPED;
}

/* None of what is over, or where nothing is forecast. */
static bool has_usual(const struct wr_card_line *line)
{
    return !is_over(line) && line->cutoff.row->reason != WR_CUTOFF_DOUBTFUL;
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

static bool is_doubted(const struct wr_chart_input *in)
{
    for (size_t l = 0; l < card_of(in)->n_limit; l++)
        for (size_t i = 0; i < card_of(in)->n_row; i++)
            if (card_of(in)->list[l].row[i].reason == WR_CUTOFF_DOUBTFUL) return true;
    return false;
}

/* The card lists something under this clock. */
static bool has_rows(const struct wr_chart_input *in, size_t clock)
{
    for (size_t i = 0; i < card_of(in)->n_row; i++) {
        enum wr_cutoff_reason reason = card_of(in)->list[clock].row[i].reason;
        if (reason != WR_CUTOFF_BEGUN && reason != WR_CUTOFF_DROPPED && reason != WR_CUTOFF_DOUBTFUL &&
            reason != WR_CUTOFF_NOT_BEFORE_LIMIT)
            return true;
    }
    return false;
}

static void say_clock_head(struct wr_str *out, const struct wr_chart_input *in, size_t clock)
{
    say_quoted(out, limit_name(in, clock));
    wr_str_add(out, ", ");
    say_clock(out, card_of(in)->list[clock].limit.limit.minutes);
    if (!has_rows(in, clock)) {
        wr_str_add(out, is_doubted(in) ? ": cannot be said, for what was reported is doubtful"
                                       : ": nothing on its clock is still to begin");
        return;
    }
    wr_str_addf(out, ", wanted inside in %s of 100. ",
                wr_of_100(card_of(in)->list[clock].limit.confidence, WR_ROOM));
    wr_clock_sentence(&in->cutoff, clock, out);
}

/* Under a clock nothing but what is still to begin on it: of what has begun or may no longer, and where the report is
 * doubtful, the card does not know whether it bears on the clock. It stands above. */
static bool is_said_above(const struct wr_card_line *line)
{
    return !line->is_head && line->clock != SIZE_MAX &&
           (is_over(line) || line->cutoff.row->reason == WR_CUTOFF_DOUBTFUL);
}

/* Tasks, of which one may have a row under several limits. */
static size_t n_too_late(const struct wr_card_lines *card)
{
    size_t n = 0;

    for (size_t i = 0; i < card->n; i++) {
        bool is_first = is_too_late(&card->line[i]);
        for (size_t j = 0; j < i && is_first; j++)
            is_first = !is_too_late(&card->line[j]) ||
                       card->line[j].cutoff.row->task != card->line[i].cutoff.row->task;
        n += is_first;
    }
    return n;
}

/* Bold times, of every limit, that are read as lying before the usual start: they are met on the fewer days. */
static size_t n_before_usual(const struct wr_card_lines *card)
{
    size_t n = 0;

    for (size_t i = 0; i < card->n; i++)
        n += has_time(&card->line[i]) && wr_shown_slack_min(card->line[i].cutoff.row) < 0;
    return n;
}

static struct wr_now_fact fact_of(const struct wr_chart_input *in, size_t limit)
{
    const struct wr_update *update = in->cutoff.update;

    return update && update->fact ? update->fact[limit] : (struct wr_now_fact){0};
}

/* The day has not said what must be known of it: nothing can be told of the limit. */
static bool is_open(const struct wr_chart_input *in, size_t limit)
{
    const struct wr_update *update = in->cutoff.update;

    return fact_of(in, limit).kind == WR_FACT_NONE &&
           wr_now_lacks(update ? &update->state : NULL, &card_of(in)->list[limit].limit.limit) != WR_NOW_LACKS_NOTHING;
}

/* By the best estimate every limit is kept with what is wanted of it, by this answer. */
static bool is_kept(const struct wr_chart_input *in, bool worse)
{
    for (size_t l = 0; l < card_of(in)->n_limit; l++) {
        const struct wr_cutoff_list *list = &card_of(in)->list[l];
        const struct wr_second *second = in->cutoff.second ? &in->cutoff.second[l] : NULL;
        if (is_open(in, l) || fact_of(in, l).kind != WR_FACT_NONE) continue;
        if (!wr_cutoff_is_kept(list)) return false;
        if (worse && second && second->known && wr_beyond_allowed(second->over.mean, list->limit.confidence))
            return false;
    }
    return true;
}

/* What the title says of the times may not be read as a promise of these. */
static void say_other_limits(struct wr_str *out, const struct wr_chart_input *in)
{
    for (size_t l = 0; l < card_of(in)->n_limit; l++) {
        bool open = is_open(in, l);
        if (!open && !(fact_of(in, l).kind != WR_FACT_NONE && fact_of(in, l).over)) continue;
        wr_str_add(out, open ? "; whether " : "; ");
        say_quoted(out, limit_name(in, l));
        wr_str_add(out, open ? " is kept cannot be said" : " is gone over");
    }
}

/* Begun later the limit may be as sure still: "at least until then", or put early. */
static bool is_open_ended(const struct wr_cutoff_row *row)
{
    return row->beyond_range || wr_cutoff_is_early(row);
}

enum ends { NONE_OPEN, SOME_OPEN, ALL_OPEN };

/* How many of the bold times are open-ended. */
static enum ends open_ends(const struct wr_card_lines *card)
{
    size_t n = 0, n_open = 0;

    for (size_t i = 0; i < card->n; i++) {
        if (!has_time(&card->line[i])) continue;
        n++;
        n_open += is_open_ended(card->line[i].cutoff.row);
    }
    return n_open == 0 ? NONE_OPEN : n_open < n ? SOME_OPEN : ALL_OPEN;
}

static void say_title(struct wr_str *out, const struct wr_chart_input *in, const struct wr_card_lines *card,
                      size_t n_late)
{
    const struct wr_cutoff_limit *first = &card_of(in)->list[0].limit;
    size_t n_early = n_before_usual(card);
    bool is_any_in_time = false, is_any_dropped = false, kept = is_kept(in, false), borne = is_kept(in, true);
    const bool now = in->cutoff.update; /* what has happened by then may be late: that is not the plan's */
    const enum ends ends = open_ends(card);
    const bool until = kept && borne && ends == ALL_OPEN;

    for (size_t i = 0; i < card->n; i++) {
        is_any_in_time |= has_time(&card->line[i]);
        is_any_dropped |= has_time(&card->line[i]) && card->line[i].cutoff.row->drop_rule_first;
    }
    if (is_doubted(in)) {
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
    if (in->cutoff.imposed) wr_str_add(out, "For a delay from outside alone, never for a slow day: ");
    if (kept && !borne) wr_str_addf(out, "by the first of %s answers, ", wr_context_answers(in->context));
    if (until) wr_str_add(out, "until its bold time at least, a task ");
    else if (kept)
        wr_str_add(out, ends == NONE_OPEN ? "begun later than its bold time, a task "
                                          : "begun later than its bold time, unless a * marks it, a task ");
    if (kept && is_any_dropped) wr_str_add(out, "is dropped, where that is its drop time, or ");
    wr_str_add(out, kept      ? "leaves "
                    : now ? "as it stands now, the day leaves "
                          : "even begun on time, the plan leaves ");
    if (card_of(in)->n_limit > 1) {
        wr_str_add(out, until ? "every limit as sure as is wanted" : "a limit less sure than is wanted");
    } else {
        say_clock(out, first->limit.minutes);
        wr_str_addf(out, until ? " as sure as the %s wanted" : " less sure than the %s wanted",
                    wr_percent(first->confidence, WR_ROOM));
    }
    if (kept && !borne)
        wr_str_add(out, now ? "; by the worse one the day does as it stands now"
                            : "; by the worse one the plan does, even begun on time");
    say_other_limits(out, in);
    if (n_late > 0)
        wr_str_addf(out, "; %s task%s no start early enough", wr_count_words(n_late, WR_ROOM),
                    n_late == 1 ? " has" : "s have");
    if (n_early > 0)
        wr_str_addf(out, "; %s of the bold times lie%s before the usual start", wr_count_words(n_early, WR_ROOM),
                    n_early == 1 ? "s" : "");
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines card = wr_card_lines(card_of(in));
    size_t n_late = n_too_late(&card);
    bool has_star = false, has_clock = false;

    for (size_t i = 0; i < card.n; i++) {
        has_clock |= card.line[i].clock != SIZE_MAX;
        has_star |= is_starred(&card.line[i]);
    }
    say_title(&w->title, in, &card, n_late);
    say_capital(&w->title);
    wr_str_addf(&w->subtitle, "%s. Of ten starts: a disc for each full ten of 100 in time, rounded to whole ones "
                              "first, rings for the rest. "
                              "Slack: minutes from the usual start to the latest.",
                card.n_elapsed_limit > 0 ? "Elapsed time, h:mm" : "Times on each limit’s own clock, h:mm");
    if (card.n_elapsed_limit > 1)
        wr_str_addf(&w->subtitle, " Bold is the earliest over the limits%s; behind it the limit that sets it.",
                    has_clock ? " on elapsed time" : "");
    else
        wr_str_addf(&w->subtitle, " Bold is %s the limit as sure as is wanted.",
                    open_ends(&card) == ALL_OPEN ? "a start that leaves, and until which at least every start leaves,"
                                                 : "the latest start that leaves");
    if (has_clock && card.n_elapsed_limit > 0)
        wr_str_add(&w->subtitle, " Work on a clock has a time of its own below, which may be the earlier one.");
    if (has_star) wr_str_add(&w->subtitle, starred);
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t i = 0; i < card.n; i++) {
        if (is_said_above(&card.line[i])) continue;
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
}

/* px of the columns right of the scale */
struct columns {
    double begin_by, name, starts, began;
    double lanes; /* px of the lanes' names, left of the titles */
    bool has_name;
};

/* So wide that no row's lanes are cut, within reason. */
static double lane_column(const struct wr_chart_input *in, const struct canvas *cv)
{
    double most = LEAST_LANES - 8;

    for (size_t i = 0; i < card_of(in)->n_row; i++) {
        WR_SCOPED_STR lanes = {0};
        wr_lanes_words(in->plan, in->plan->task[card_of(in)->list[0].row[i].task].lanes, &lanes);
        most = fmax(most, canvas_text_width(cv, FACE_SMALL, wr_str_text(&lanes)));
    }
    return fmin(most + 8, cv->narrow ? 0.2 * cv->width : MOST_LANES);
}

static struct columns columns_of(const struct canvas *cv, double lanes, bool has_name)
{
    double plot_end = cv->width - cv->right, name = has_name ? NAME_COLUMN : 0;

    if (cv->narrow)
        return (struct columns){.begin_by = cv->width - cv->margin, .starts = cv->margin + lanes, .lanes = lanes,
                                .name = cv->margin + lanes + 108, .has_name = has_name};
    return (struct columns){.lanes = lanes, .begin_by = plot_end + 24, .name = plot_end + 92,
                            .starts = plot_end + 118 + name, .began = plot_end + 224 + name, .has_name = has_name};
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
    double title_x = cv->margin + c.lanes, room = cv->left - 60 - title_x;

    wr_lanes_words(in->plan, task->lanes, &lane);
    say_begin_by(&by, of);
    if (has_usual(of)) say_clock(&usual, of->cutoff.row->typical_start_min);
    if (cv->narrow) room = cv->width - cv->margin - title_x - canvas_text_width(cv, FACE_ACT, by.text) - 8;
    canvas_note_fit(cv, FACE_SMALL, ALIGN_LEFT, cv->margin, line, c.lanes - 6, wr_str_text(&lane));
    canvas_note_fit(cv, FACE_ROW, ALIGN_LEFT, title_x, line, room, task->title);
    canvas_note(cv, has_time(of) ? FACE_ACT : FACE_ROW_BOLD, cv->narrow ? ALIGN_RIGHT : ALIGN_LEFT, c.begin_by,
                cv->narrow ? canvas_px_y(cv, place + 0.05) : middle, by.text);
    if (c.has_name && of->clock == SIZE_MAX && is_marked(of))
        canvas_note_fit(
            cv, FACE_SMALL, ALIGN_LEFT, c.name, cv->narrow ? canvas_px_y(cv, place + canvas_mark_drop(cv)) : middle,
            cv->narrow ? cv->width - cv->margin - c.name - 60 : NAME_COLUMN - 4,
            of->cutoff.row->drop_rule_first ? wr_set_by_plan : limit_name(in, of->cutoff.limit));
    if (!cv->narrow) canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 14, middle, wr_str_text(&usual));
}

/* A line and where it stands. The head of a clock may take several rows, one for each line of its text. */
enum { MOST_HEAD_LINES = 12, HEAD_LINE = 17 };
struct placed {
    const struct wr_card_line *line;
    double place;                        /* middle of its row; of a head of its first */
    struct wr_str head[MOST_HEAD_LINES]; /* of a head */
    size_t n_head, n_row;
};

static void wrap_head(const struct wr_chart_input *in, const struct canvas *cv, double row_px, struct placed *p)
{
    WR_SCOPED_STR text = {0};

    say_clock_head(&text, in, p->line->clock);
    p->n_head = canvas_wrap(cv, p->head, MOST_HEAD_LINES, FACE_SMALL_BOLD, cv->width - 2 * cv->margin,
                            wr_str_text(&text));
    p->n_row = (size_t)fmax(1, ceil((double)p->n_head * HEAD_LINE / row_px));
}

/* The lines that are shown, to be freed with release_placed; *n_row: rows that they take. */
static struct placed *place_lines(const struct wr_chart_input *in, const struct canvas *cv,
                                  const struct wr_card_lines *card, double row_px, size_t *n, size_t *n_row)
{
    struct placed *placed = WR_NEW_ARRAY(struct placed, card->n);

    *n = *n_row = 0;
    for (size_t i = 0; i < card->n; i++) {
        struct placed *p = &placed[*n];
        if (is_said_above(&card->line[i])) continue;
        *p = (struct placed){.line = &card->line[i], .place = (double)*n_row + 1, .n_row = 1};
        if (p->line->is_head) wrap_head(in, cv, row_px, p);
        *n_row += p->n_row;
        ++*n;
    }
    return placed;
}

static void release_placed(struct placed *placed, size_t n)
{
    for (size_t i = 0; i < n; i++)
        for (size_t l = 0; l < MOST_HEAD_LINES; l++) wr_str_release(&placed[i].head[l]);
    wr_free(placed);
}

static void add_head(struct canvas *cv, const struct placed *p)
{
    double middle = canvas_px_y(cv, p->place + ((double)p->n_row - 1) / 2);

    for (size_t l = 0; l < p->n_head; l++)
        canvas_note(cv, FACE_SMALL_BOLD, ALIGN_LEFT, cv->margin,
                    middle + ((double)l - ((double)p->n_head - 1) / 2) * HEAD_LINE, wr_str_text(&p->head[l]));
}

static void add_starts(struct canvas *cv, struct columns c, const struct placed *p, size_t n)
{
    bool has_in_time = false, has_late = false;

    canvas_block_begin(cv, "starts");
    for (size_t i = 0; i < n; i++) {
        if (!is_marked(p[i].line)) continue;
        int in_time = wr_starts_in_time(&p[i].line->cutoff);
        for (int j = 0; j < WR_CARD_STARTS; j++) {
            CANVAS_ROW(cv, c.starts + 4 + (cv->narrow ? 10 : 9) * j, p[i].place, j >= in_time);
        }
        has_in_time |= in_time > 0;
        has_late |= in_time < WR_CARD_STARTS;
    }
    canvas_block_end(cv, "starts");
    canvas_number(cv, "has_in_time", has_in_time);
    canvas_number(cv, "has_late", has_late);
}

static void add_slacks(struct canvas *cv, const struct placed *p, size_t n)
{
    bool has_slack = false, has_lack = false;

    canvas_block_begin(cv, "slacks");
    for (size_t i = 0; i < n && !cv->narrow; i++) {
        if (!has_time(p[i].line)) continue;
        double slack = wr_shown_slack_min(p[i].line->cutoff.row);
        bool lack = slack < 0;
        CANVAS_ROW(cv, p[i].place, slack, lack);
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
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines card = wr_card_lines(card_of(in));
    size_t n, n_row;
    bool has_name = card.n_elapsed_limit > 1;
    double range[2], longest = 0;

    if (cv->width < LEAST_WIDE) cv->narrow = true; /* no room for the scale and its columns */
    const double row_px = cv->narrow ? 38 : card.n <= 40 ? 26 : 20;
    struct placed *placed = place_lines(in, cv, &card, row_px, &n, &n_row);
    const double lanes = lane_column(in, cv);
    find_range(card.line, card.n, range);
    for (size_t i = 0; i < card_of(in)->n_row; i++) {
        const struct wr_plan_task *task = &in->plan->task[card_of(in)->list[0].row[i].task];
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, task->title));
    }
    canvas_rows(cv, n_row);
    canvas_frame(cv, cv->narrow ? cv->margin : fmin(fmax(longest + lanes + 82, 240), has_name ? 430 : 450),
                 cv->narrow ? cv->margin : 324 + (has_name ? NAME_COLUMN : 0), 4 + HEAD_ROW, (double)n_row * row_px,
                 cv->narrow ? 12 : 40);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    struct columns c = columns_of(cv, lanes, has_name);
    if (cv->narrow)
        canvas_no_ticks(cv);
    else
        canvas_minute_ticks(cv);
    canvas_number(cv, "write_px", c.began);
    add_heads(cv, c);
    for (size_t i = 0; i < n; i++) {
        const struct wr_card_line *line = placed[i].line;
        if (line->is_head) add_head(cv, &placed[i]);
        else add_texts(in, cv, c, line, placed[i].place);
        if (line->clock == SIZE_MAX) canvas_row_about(cv, placed[i].place, line->cutoff.row->task);
    }
    canvas_block_begin(cv, "lines");
    for (size_t i = 0; i < n; i++) {
        CANVAS_ROW(cv, placed[i].place + (double)placed[i].n_row - 1, !placed[i].line->is_head);
    }
    canvas_block_end(cv, "lines");
    add_slacks(cv, placed, n);
    add_starts(cv, c, placed, n);
    release_placed(placed, n);
}

static void say_worse_of_limits(struct wr_str *out, const struct wr_chart_input *in)
{
    size_t n = 0;

    for (size_t l = 0; l < card_of(in)->n_limit; l++) {
        const struct wr_second *second = in->cutoff.second ? &in->cutoff.second[l] : NULL;
        if (!second || !second->known || is_open(in, l)) continue;
        if (n++ > 0)
            wr_str_add(out, "; ");
        else
            wr_str_addf(out, " The times rest on the first of %s answers. By another: ",
                        wr_context_answers(in->context));
        wr_str_addf(out, "%s, ", limit_name(in, l));
        wr_second_words(second, wr_known(card_of(in)->list[l].limit.confidence), out);
    }
    if (n > 0) wr_str_add_char(out, '.');
}

/* As `cutoff` begins: nobody may act on the times without it. */
static void about(const struct wr_chart_input *in, struct wr_str *out)
{
    const struct wr_update *update = in->cutoff.update;
    WR_SCOPED_STR exactly = {0};

    say_doubt(out, in);
    if (update)
        wr_str_addf(out, "%sCard of %s: what was reported by then is in it.", out->len > 0 ? " " : "",
                    wr_moment(update->state.now_min, WR_ROOM));
    say_target(out, in);
    if (in->cutoff.imposed) wr_str_addf(out, " %s", wr_cutoff_meaning(true));
    if (!in->context) return;
    wr_str_add_char(out, ' ');
    wr_cutoff_verdicts(in->context, &in->cutoff, out);
    for (size_t l = 0; l < card_of(in)->n_limit; l++) {
        wr_str_add_char(out, ' ');
        wr_cutoff_limit_line(&in->cutoff, l, out);
    }
    wr_card_exactly(&in->cutoff, &exactly);
    if (exactly.len > 0) wr_str_addf(out, " %s", wr_str_text(&exactly));
    say_worse_of_limits(out, in);
}

const struct chart_builder chart_cutoff = {.missing = missing, .words = words, .about = about, .build = build};
