/* The card for the console: by when each task must have begun. Text first; one-sided slack; ten starts as ten marks. */
#include <math.h>
#include <stdlib.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { N_START = 10, LANE_COLUMN = 42, HEAD_ROW = 26, LEAST_WIDE = 900 };

static const char *missing(const struct wr_chart_input *in)
{
    return in->cutoff && in->cutoff->n_limit > 0 && in->cutoff->n_row > 0 ? NULL
                                                                          : "cut-offs, and none were worked out";
}

static const struct wr_cutoff_list *list_of(const struct wr_chart_input *in)
{
    return &in->cutoff->list[0];
}

/* In the order in which the tasks usually begin, ties in the order given. */
static int by_usual_start(const void *a, const void *b)
{
    const struct wr_cutoff_row *const *px = a, *const *py = b, *x = *px, *y = *py;

    if (x->typical_start_min != y->typical_start_min) return x->typical_start_min < y->typical_start_min ? -1 : 1;
    return x < y ? -1 : x > y;
}

static const struct wr_cutoff_row **rows_of(const struct wr_chart_input *in)
{
    size_t n = in->cutoff->n_row;
    const struct wr_cutoff_row **row = WR_NEW_ARRAY(const struct wr_cutoff_row *, n);

    for (size_t i = 0; i < n; i++) row[i] = &list_of(in)->row[i];
    qsort(row, n, sizeof *row, by_usual_start);
    return row;
}

static bool is_too_late(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_NEVER || (row->reason == WR_CUTOFF_FOUND && row->latest_start_min < 0);
}

static bool has_time(const struct wr_cutoff_row *row)
{
    return row->reason == WR_CUTOFF_FOUND && row->latest_start_min >= 0;
}

static void say_begin_by(struct wr_str *out, const struct wr_cutoff_row *row)
{
    if (is_too_late(row)) {
        wr_str_add(out, "too late");
        return;
    }
    switch (row->reason) {
    case WR_CUTOFF_FOUND: wr_str_add(out, wr_hmm_by(row->latest_start_min, (char[WR_CLOCK_TEXT]){0})); break;
    case WR_CUTOFF_NOT_BEFORE_LIMIT: wr_str_add(out, "no matter"); break;
    case WR_CUTOFF_BEGUN: wr_str_add(out, "begun"); break;
    case WR_CUTOFF_TOO_FEW:
    case WR_CUTOFF_NEVER: wr_str_add(out, "cannot tell"); break;
    }
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_cutoff_list *list = list_of(in);
    const struct wr_cutoff_row **row = rows_of(in);
    char percent[WR_WORDS];
    size_t n_late = 0;

    wr_str_add(&w->title, "Begin each task by the bold time to stay inside ");
    say_clock(&w->title, list->limit.limit.minutes);
    wr_str_addf(&w->title, " with %s confidence", wr_percent(list->limit.confidence, percent));
    wr_str_addf(&w->subtitle, "%s, h:mm. Ten marks: of ten starts, discs are in time, orange rings too late. Slack: "
                              "minutes from the usual start to the latest.",
                list->limit.limit.is_clock ? "Time on this limit’s clock" : "Elapsed time");
    for (size_t i = 0; i < in->cutoff->n_row; i++) n_late += is_too_late(row[i]);
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t i = 0; i < in->cutoff->n_row; i++) {
        wr_str_add(&w->alt, i ? "; " : " ");
        say_quoted(&w->alt, in->plan->task[row[i]->task].title);
        wr_str_add(&w->alt, " ");
        say_begin_by(&w->alt, row[i]);
    }
    wr_str_add(&w->alt, ".");
    if (n_late) wr_str_addf(&w->alt, " Too late already: %zu.", n_late);
    wr_free(row);
}

/* px of the columns right of the scale */
struct columns {
    double begin_by, starts, began;
};

static struct columns columns_of(const struct canvas *cv)
{
    double plot_end = cv->width - cv->right;

    if (cv->narrow) return (struct columns){.begin_by = cv->width - cv->margin, .starts = cv->margin + LANE_COLUMN};
    return (struct columns){.begin_by = plot_end + 24, .starts = plot_end + 134, .began = plot_end + 240};
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
}

static void add_texts(const struct wr_chart_input *in, struct canvas *cv, struct columns c,
                      const struct wr_cutoff_row *row, double place)
{
    const struct wr_plan_task *task = &in->plan->task[row->task];
    struct wr_str lane = {0}, by = {0}, usual = {0};
    double middle = canvas_px_y(cv, place), line = cv->narrow ? canvas_px_y(cv, place - 0.22) : middle;
    double title_x = cv->margin + LANE_COLUMN, room = cv->left - 60 - title_x;

    wr_lanes_words(in->plan, task->lanes, &lane);
    say_begin_by(&by, row);
    say_clock(&usual, row->typical_start_min);
    if (cv->narrow) room = cv->width - cv->margin - title_x - canvas_text_width(cv, FACE_ACT, by.text) - 8;
    canvas_note_fit(cv, FACE_SMALL, ALIGN_LEFT, cv->margin, line, LANE_COLUMN - 6, wr_str_text(&lane));
    canvas_note_fit(cv, FACE_ROW, ALIGN_LEFT, title_x, line, room, task->title);
    canvas_note(cv, has_time(row) ? FACE_ACT : FACE_ROW_BOLD, cv->narrow ? ALIGN_RIGHT : ALIGN_LEFT, c.begin_by,
                cv->narrow ? canvas_px_y(cv, place + 0.05) : middle, by.text);
    if (!cv->narrow) canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 14, middle, usual.text);
    wr_str_release(&lane);
    wr_str_release(&by);
    wr_str_release(&usual);
}

static void add_starts(struct canvas *cv, struct columns c, const struct wr_cutoff_row *const *row, size_t n)
{
    bool has_in_time = false, has_late = false;

    canvas_block_begin(cv, "starts");
    for (size_t i = 0; i < n; i++) {
        if (!has_time(row[i]) && !is_too_late(row[i])) continue;
        int in_time = is_too_late(row[i]) ? 0 : (int)floor(N_START * row[i]->share_in_time + 0.5);
        for (int j = 0; j < N_START; j++) {
            canvas_cell(cv, c.starts + 4 + (cv->narrow ? 10 : 9) * j);
            canvas_cell(cv, (double)i + 1);
            canvas_cell(cv, j >= in_time);
            canvas_row_end(cv);
        }
        has_in_time |= in_time > 0;
        has_late |= in_time < N_START;
    }
    canvas_block_end(cv, "starts");
    canvas_number(cv, "has_in_time", has_in_time);
    canvas_number(cv, "has_late", has_late);
}

static void add_slacks(struct canvas *cv, const struct wr_cutoff_row *const *row, size_t n)
{
    bool has_slack = false, has_lack = false;

    canvas_block_begin(cv, "slacks");
    for (size_t i = 0; i < n && !cv->narrow; i++) {
        if (!has_time(row[i])) continue;
        bool lack = row[i]->slack_min < 0;
        canvas_cell(cv, (double)i + 1);
        canvas_cell(cv, row[i]->slack_min);
        canvas_cell(cv, lack);
        canvas_row_end(cv);
        has_slack |= !lack;
        has_lack |= lack;
    }
    canvas_block_end(cv, "slacks");
    canvas_number(cv, "has_slack", has_slack);
    canvas_number(cv, "has_lack", has_lack);
}

static void find_range(const struct wr_cutoff_row *const *row, size_t n, double range[2])
{
    range[0] = 0;
    range[1] = 10;
    for (size_t i = 0; i < n; i++) {
        if (!has_time(row[i])) continue;
        range[0] = fmin(range[0], row[i]->slack_min);
        range[1] = fmax(range[1], row[i]->slack_min);
    }
    double span = range[1] - range[0];
    if (range[0] < 0) range[0] -= 0.03 * span;
    range[1] += 0.05 * span;
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_cutoff_row **row = rows_of(in);
    size_t n = in->cutoff->n_row;
    double range[2], longest = 0;

    if (cv->width < LEAST_WIDE) cv->narrow = true; /* no room for the scale and its columns */
    find_range(row, n, range);
    for (size_t i = 0; i < n; i++)
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, in->plan->task[row[i]->task].title));
    canvas_rows(cv, n);
    canvas_frame(cv, cv->narrow ? cv->margin : fmin(fmax(longest + LANE_COLUMN + 82, 240), 450),
                 cv->narrow ? cv->margin : 340, 4 + HEAD_ROW, (double)n * (cv->narrow ? 38 : n <= 40 ? 26 : 20),
                 cv->narrow ? 12 : 40);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    struct columns c = columns_of(cv);
    if (cv->narrow)
        canvas_no_ticks(cv);
    else
        canvas_minute_ticks(cv);
    canvas_number(cv, "write_px", c.began);
    add_heads(cv, c);
    for (size_t i = 0; i < n; i++) add_texts(in, cv, c, row[i], (double)i + 1);
    canvas_block_begin(cv, "lines");
    for (size_t i = 0; i < n; i++) {
        canvas_cell(cv, (double)i + 1);
        canvas_row_end(cv);
    }
    canvas_block_end(cv, "lines");
    add_slacks(cv, row, n);
    add_starts(cv, c, row, n);
    wr_free(row);
}

const struct chart_builder chart_cutoff = {.missing = missing, .words = words, .build = build};
