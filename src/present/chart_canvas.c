#include "chart_canvas.h"

#include <math.h>
#include <stdio.h>
#include "wetrun/base/number.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/words.h"

#define MINUS "\xe2\x88\x92" /* U+2212 */

enum {
    NARROW_BELOW = 600,
    LEAST_WIDTH = 320,
    HEAD_TOP = 14,     /* px above the title */
    HEAD_GAP = 8,      /* px below the subtitle */
    SUBTITLE_LINE = 17,
    MOST_TITLE_LINES = 6, /* its last words may take back its first */
    MOST_SUBTITLE_LINES = 9,
    MOST_ABOUT_LINES = 32, /* what must not be missed: as a rule three */
    ABOUT_GAP = 3,
    MOST_CAUTION_LINES = 6,
    CAUTION_GAP = 8,   /* px below the caution */
    ROOMY_ROWS = 40,   /* up to so many rows stand at the roomy height */
    TICK_SECONDS_PX = 76, /* h:mm:ss */
    TICK_TEXT_PX = 56, /* the longest h:mm label and some air */
    MINUTE_TEXT_PX = 44, /* as much for a number of minutes */
    TICK_DROP = 22,    /* px from the plot to the middle of its tick labels */
    LABEL_GAP = 14,    /* px between a row's label and the plot */
    LEAST_LABELS = 180, MOST_LABELS = 384, /* px for the labels of rows */
    NARROW_EDGE = 18,  /* px left of a narrow plot */
};
static const double title_line = 1.3; /* of the title's size */
static const double narrow_label_up = 0.22, narrow_mark_down = 0.20; /* of a row's height */

static const struct {
    double wide, narrow;
    enum wr_weight weight;
} face_table[N_FACE] = {
#define FACE_ROW_OF(id, wide, narrow, weight) [id] = {wide, narrow, weight},
    WR_FACE_TABLE(FACE_ROW_OF)
#undef FACE_ROW_OF
};

static double canvas_size(const struct canvas *cv, enum face face)
{
    double size = cv->narrow ? face_table[face].narrow : face_table[face].wide;

    return size > 0 ? size : cv->row_size;
}

double canvas_text_width(const struct canvas *cv, enum face face, const char *text)
{
    WR_SCOPED_STR readable = {0};

    wr_escape_terminal(&readable, text);
    return wr_text_width(wr_str_text(&readable), canvas_size(cv, face), face_table[face].weight);
}

void wr_chart_add_label(struct wr_str *out, const char *text)
{
    WR_SCOPED_STR readable = {0};

    wr_escape_terminal(&readable, text); /* one line of valid text without controls */
    if (readable.len == 0) wr_str_add(out, "\xc2\xa0");
    for (const char *at = wr_str_text(&readable); *at; at++) {
        if (*at == '"')
            wr_str_add(out, "\xe2\x80\x9d");
        else if (*at == '\\')
            wr_str_add(out, "\\\\");
        else
            wr_str_add_char(out, *at);
    }
}

void canvas_note(struct canvas *cv, enum face face, enum align align, double x, double y, const char *text)
{
    wr_str_addf(&cv->notes, "%d\t%.2f\t%.2f\t", (int)face * N_ALIGN + (int)align, x, y);
    wr_chart_add_label(&cv->notes, text);
    wr_str_add_char(&cv->notes, '\n');
    cv->used[face][align] = true;
}

void canvas_add_fit(const struct canvas *cv, struct wr_str *out, enum face face, double room, const char *text)
{
    WR_SCOPED_STR readable = {0};

    wr_escape_terminal(&readable, text);
    wr_text_fit(out, wr_str_text(&readable), canvas_size(cv, face), face_table[face].weight, room);
}

void canvas_note_fit(struct canvas *cv, enum face face, enum align align, double x, double y, double room,
                     const char *text)
{
    WR_SCOPED_STR cut = {0};

    canvas_add_fit(cv, &cut, face, room, text);
    canvas_note(cv, face, align, x, y, wr_str_text(&cut));
}

size_t canvas_wrap(const struct canvas *cv, struct wr_str *line, size_t n_line, enum face face, double room,
                   const char *text)
{
    WR_SCOPED_STR readable = {0};

    wr_escape_terminal(&readable, text);
    return wr_text_wrap(line, n_line, wr_str_text(&readable), canvas_size(cv, face), face_table[face].weight, room);
}

static void release_lines(struct wr_str *line, size_t n)
{
    for (size_t i = 0; i < n; i++) wr_str_release(&line[i]);
}

static size_t lines_needed(const char *text, double size, enum wr_weight weight, double room)
{
    struct wr_str line[MOST_TITLE_LINES + 1] = {{0}};
    size_t n = wr_text_wrap(line, MOST_TITLE_LINES + 1, text, size, weight, room);

    release_lines(line, MOST_TITLE_LINES + 1);
    return n;
}

/* The least room that needs no more lines: no word is left alone on the last one. */
static double balanced_room(const char *text, double size, enum wr_weight weight, double room)
{
    size_t n = lines_needed(text, size, weight, room);
    double best = room;

    if (n < 2 || n > MOST_TITLE_LINES) return room;
    for (double less = room - size; less > room * 0.5 && lines_needed(text, size, weight, less) <= n; less -= size)
        best = less;
    return best;
}

static double add_paragraph(struct canvas *cv, enum face face, const char *text, size_t most, double line_height,
                            double y)
{
    struct wr_str line[MOST_ABOUT_LINES] = {{0}}, readable = {0};
    double size = canvas_size(cv, face), room = cv->width - 2 * cv->margin;
    enum wr_weight weight = face_table[face].weight;

    wr_escape_terminal(&readable, text);
    if (face == FACE_TITLE) room = balanced_room(wr_str_text(&readable), size, weight, room);
    size_t n = wr_text_wrap(line, most, wr_str_text(&readable), size, weight, room);
    for (size_t i = 0; i < n; i++)
        canvas_note(cv, face, ALIGN_LEFT, cv->margin, y + ((double)i + 0.55) * line_height, wr_str_text(&line[i]));
    release_lines(line, MOST_ABOUT_LINES);
    wr_str_release(&readable);
    return y + (double)n * line_height;
}

/* px that it takes; written where it begins at y, unless that is 0. */
static double add_caution(struct canvas *cv, double y)
{
    struct wr_str line[MOST_CAUTION_LINES] = {{0}};
    size_t n = canvas_wrap(cv, line, MOST_CAUTION_LINES, FACE_SMALL_INK, cv->width - 2 * cv->margin, wr_caution_line);

    for (size_t i = 0; i < n && y > 0; i++)
        canvas_note(cv, FACE_SMALL_INK, ALIGN_LEFT, cv->margin, y + ((double)i + 0.55) * SUBTITLE_LINE,
                    wr_str_text(&line[i]));
    release_lines(line, MOST_CAUTION_LINES);
    return (double)n * SUBTITLE_LINE + CAUTION_GAP;
}

void canvas_begin(struct canvas *cv, const struct wr_chart_words *words, const struct wr_chart_options *options)
{
    *cv = (struct canvas){0};
    cv->width = options->width ? options->width : WR_CHART_WIDE;
    if (cv->width < LEAST_WIDTH) cv->width = LEAST_WIDTH;
    cv->narrow = cv->width < NARROW_BELOW;
    cv->margin = cv->narrow ? 12 : 16;
    cv->row_size = cv->narrow ? 12 : 13;
    if (options->bare) return;
    double y = add_paragraph(cv, FACE_TITLE, wr_str_text(&words->title), MOST_TITLE_LINES,
                             title_line * canvas_size(cv, FACE_TITLE), HEAD_TOP);
    y = add_paragraph(cv, FACE_SUBTITLE, wr_str_text(&words->subtitle), MOST_SUBTITLE_LINES, SUBTITLE_LINE, y);
    if (words->about.len > 0)
        y = add_paragraph(cv, FACE_SMALL_INK, wr_str_text(&words->about), MOST_ABOUT_LINES, SUBTITLE_LINE,
                          y + ABOUT_GAP);
    cv->head = HEAD_GAP + y;
    if (words->about.len > 0) cv->caution = add_caution(cv, 0);
}

void canvas_frame(struct canvas *cv, double left, double right, double top, double body, double foot)
{
    cv->left = left;
    cv->right = right;
    cv->top = top;
    cv->body = body;
    cv->foot = foot;
}

void canvas_axes(struct canvas *cv, double x_first, double x_last, double y_first, double y_last)
{
    WR_BUG_IF(!(x_last > x_first) || y_first == y_last);
    cv->x_first = x_first;
    cv->x_last = x_last;
    cv->y_first = y_first;
    cv->y_last = y_last;
}

double canvas_row_height(const struct canvas *cv, size_t n_row)
{
    return cv->narrow ? 36 : n_row <= ROOMY_ROWS ? 24 : 17;
}

void canvas_rows(struct canvas *cv, size_t n_row)
{
    if (!cv->narrow) cv->row_size = n_row <= ROOMY_ROWS ? 13 : 11.5;
    cv->y_first = 0.5;
    cv->y_last = (double)n_row + 0.5;
}

double canvas_label_column(const struct canvas *cv, double longest)
{
    return cv->narrow ? NARROW_EDGE : fmin(fmax(longest + cv->margin + LABEL_GAP, LEAST_LABELS), MOST_LABELS);
}

double canvas_plot_top(const struct canvas *cv)
{
    return cv->head + cv->top;
}

double canvas_plot_bottom(const struct canvas *cv)
{
    return cv->head + cv->top + cv->body;
}

double canvas_height(const struct canvas *cv)
{
    return ceil(cv->head + cv->top + cv->body + cv->foot + cv->caution);
}

double canvas_mark_drop(const struct canvas *cv)
{
    return cv->narrow ? narrow_mark_down : 0;
}

static double plot_width(const struct canvas *cv)
{
    return cv->width - cv->left - cv->right;
}

double canvas_px_x(const struct canvas *cv, double x)
{
    return cv->left + (x - cv->x_first) / (cv->x_last - cv->x_first) * plot_width(cv);
}

double canvas_px_y(const struct canvas *cv, double y)
{
    return canvas_plot_top(cv) + (y - cv->y_first) / (cv->y_last - cv->y_first) * cv->body;
}

static double label_line(const struct canvas *cv, double row)
{
    return canvas_px_y(cv, cv->narrow ? row - narrow_label_up : row);
}

void canvas_row_label(struct canvas *cv, enum face face, double row, double beside, const char *text)
{
    double y = label_line(cv, row);

    if (cv->narrow)
        canvas_note_fit(cv, face, ALIGN_LEFT, cv->margin, y, cv->width - 2 * cv->margin - beside, text);
    else
        canvas_note_fit(cv, face, ALIGN_RIGHT, cv->left - LABEL_GAP, y, cv->left - LABEL_GAP - cv->margin + 1, text);
}

void canvas_row_about(struct canvas *cv, double row, size_t task)
{
    *WR_PUSH(cv->about, cv->n_about, cv->room_about) =
        (struct canvas_about){task, canvas_px_y(cv, row - 0.5), canvas_px_y(cv, row + 0.5)};
}

void canvas_row_value(struct canvas *cv, enum face face, double row, const char *text)
{
    double y = label_line(cv, row);

    if (cv->narrow)
        canvas_note(cv, face, ALIGN_RIGHT, cv->width - cv->margin, y, text);
    else
        canvas_note(cv, face, ALIGN_LEFT, cv->width - cv->right + 12, y, text);
}

void canvas_number(struct canvas *cv, const char *name, double value)
{
    wr_str_addf(&cv->numbers, "%s = %.10g\n", name, value + 0.0);
}

void canvas_block_begin(struct canvas *cv, const char *name)
{
    wr_str_addf(&cv->blocks, "$%s << end_of_%s\n", name, name);
    cv->at_line_start = true;
}

void canvas_cell(struct canvas *cv, double value)
{
    if (!cv->at_line_start) wr_str_add_char(&cv->blocks, '\t');
    cv->at_line_start = false;
    if (isfinite(value))
        wr_str_addf(&cv->blocks, "%.8g", value + 0.0);
    else
        wr_str_add(&cv->blocks, "NaN");
}

void canvas_row_end(struct canvas *cv)
{
    wr_str_add_char(&cv->blocks, '\n');
    cv->at_line_start = true;
}

void canvas_row(struct canvas *cv, const double *value, size_t n)
{
    for (size_t i = 0; i < n; i++) canvas_cell(cv, value[i]);
    canvas_row_end(cv);
}

void canvas_gap(struct canvas *cv)
{
    canvas_row_end(cv);
}

void canvas_block_end(struct canvas *cv, const char *name)
{
    wr_str_addf(&cv->blocks, "end_of_%s\n", name);
}

void canvas_block_of_text(struct canvas *cv, const char *name, const struct wr_str *rows)
{
    canvas_block_begin(cv, name);
    wr_str_add(&cv->blocks, wr_str_text(rows));
    canvas_block_end(cv, name);
}

void canvas_tick_note(struct canvas *cv, double x, const char *text)
{
    canvas_note(cv, FACE_SMALL, ALIGN_CENTER, canvas_px_x(cv, x), canvas_plot_bottom(cv) + TICK_DROP, text);
}

/* The first of them of which at most so many fit into the span, or as many times the last as it takes. */
static double round_step(const double *step, size_t n, double span, double most)
{
    for (size_t i = 0; i < n; i++)
        if (span / step[i] <= most) return step[i];
    return step[n - 1] * ceil(span / step[n - 1] / most);
}

double canvas_time_step(double span_min, double most)
{
    static const double step[] = {1.0 / 60, 1.0 / 12, 1.0 / 6, 0.25, 0.5, 1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440};
    size_t first = 0, n = sizeof step / sizeof *step;

    while (!wr_moments_are_to_the_second() && step[first] < 1) first++;
    return round_step(step + first, n - first, span_min, most);
}

void canvas_time_ticks(struct canvas *cv)
{
    double text_px = wr_moments_are_to_the_second() ? TICK_SECONDS_PX : TICK_TEXT_PX;
    double step = canvas_time_step(cv->x_last - cv->x_first, plot_width(cv) / text_px);

    canvas_block_begin(cv, "ticks");
    for (double i = ceil(cv->x_first / step - 1e-9); i * step <= cv->x_last + 1e-9; i++) {
        canvas_cell(cv, i * step);
        canvas_row_end(cv);
        canvas_tick_note(cv, i * step, wr_moment(i * step, WR_ROOM));
    }
    canvas_block_end(cv, "ticks");
}

/* Multiples of it on the axis. */
static double ticks_of(const struct canvas *cv, double step)
{
    return floor(cv->x_last / step + 1e-9) - ceil(cv->x_first / step - 1e-9) + 1;
}

/* A length is read off between two ticks: where labels with all their room leave one, they stand closer. */
void canvas_minute_ticks(struct canvas *cv)
{
    static const double step[] = {1, 2, 5, 10, 20, 50, 100, 200, 500, 1000};
    size_t at = sizeof step / sizeof *step - 1;
    double each = round_step(step, sizeof step / sizeof *step, cv->x_last - cv->x_first,
                             plot_width(cv) / MINUTE_TEXT_PX);
    char text[32];

    while (at > 0 && ticks_of(cv, each) < 2) each = fmin(each, step[at--]);
    canvas_block_begin(cv, "ticks");
    for (double i = ceil(cv->x_first / each - 1e-9); i * each <= cv->x_last + 1e-9; i++) {
        canvas_cell(cv, i * each);
        canvas_row_end(cv);
        snprintf(text, sizeof text, "%s%.0f", i < 0 ? MINUS : "", fabs(i * each));
        canvas_tick_note(cv, i * each, text);
    }
    canvas_block_end(cv, "ticks");
}

void canvas_no_ticks(struct canvas *cv)
{
    canvas_block_begin(cv, "ticks");
    canvas_block_end(cv, "ticks");
}

void canvas_lens_cells(struct canvas *cv, const double lens[WR_N_LENS], double (*map)(double))
{
    for (size_t i = 0; i < WR_N_LENS; i++) canvas_cell(cv, map ? map(lens[i]) : lens[i]);
}

static void add_used_styles(struct canvas *cv)
{
    for (int face = 0; face < N_FACE; face++)
        for (int align = 0; align < N_ALIGN; align++)
            if (cv->used[face][align]) wr_str_addf(&cv->numbers, "note_style_%d = 1\n", face * N_ALIGN + align);
}

static void add_face_sizes(struct canvas *cv)
{
    wr_str_addf(&cv->numbers, "array face_px[%d] = [", N_FACE);
    for (int face = 0; face < N_FACE; face++)
        wr_str_addf(&cv->numbers, "%s%g", face ? ", " : "", canvas_size(cv, (enum face)face));
    wr_str_add(&cv->numbers, "]\n");
}

void canvas_finish(struct canvas *cv, struct wr_str *script)
{
    double height = canvas_height(cv), per_px_x = (cv->x_last - cv->x_first) / plot_width(cv);
    double per_px_y = (cv->y_last - cv->y_first) / cv->body;

    if (cv->caution > 0) add_caution(cv, height - cv->caution);
    canvas_number(cv, "canvas_width", cv->width);
    canvas_number(cv, "canvas_height", height);
    canvas_number(cv, "narrow", cv->narrow);
    canvas_number(cv, "margin", cv->margin);
    canvas_number(cv, "x_first", cv->x_first);
    canvas_number(cv, "x_last", cv->x_last);
    canvas_number(cv, "y_first", cv->y_first);
    canvas_number(cv, "y_last", cv->y_last);
    canvas_number(cv, "x_at_left", cv->x_first - cv->left * per_px_x);
    canvas_number(cv, "x_at_right", cv->x_last + cv->right * per_px_x);
    canvas_number(cv, "y_at_top", cv->y_first - canvas_plot_top(cv) * per_px_y);
    canvas_number(cv, "y_at_bottom", cv->y_last + (height - canvas_plot_bottom(cv)) * per_px_y);
    canvas_number(cv, "mark_drop", canvas_mark_drop(cv));
    add_face_sizes(cv);
    add_used_styles(cv);
    wr_str_add(script, wr_str_text(&cv->numbers));
    wr_str_addf(script, "$notes << end_of_notes\n%send_of_notes\n", wr_str_text(&cv->notes));
    wr_str_add(script, wr_str_text(&cv->blocks));
    wr_str_release(&cv->numbers);
    wr_str_release(&cv->blocks);
    wr_str_release(&cv->notes);
    wr_free(cv->about);
    cv->about = NULL;
}
