#include "chart_sheet.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/number.h"
#include "wetrun/present/escape.h"

enum {
    NARROW_BELOW = 600,
    LEAST_WIDTH = 320,
    HEAD_TOP = 14,     /* px above the title */
    HEAD_GAP = 8,      /* px below the subtitle */
    SUBTITLE_LINE = 17,
    MOST_TITLE_LINES = 3,
    MOST_SUBTITLE_LINES = 4,
    ROOMY_ROWS = 40,   /* up to so many rows stand at the roomy height */
    TICK_TEXT_PX = 56, /* the longest h:mm label and some air */
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

double sheet_size(const struct sheet *s, enum face face)
{
    double size = s->narrow ? face_table[face].narrow : face_table[face].wide;

    return size > 0 ? size : s->row_size;
}

double sheet_text_width(const struct sheet *s, enum face face, const char *text)
{
    struct wr_str readable = {0};

    wr_escape_terminal(&readable, text);
    double width = wr_text_width(wr_str_text(&readable), sheet_size(s, face), face_table[face].weight);
    wr_str_release(&readable);
    return width;
}

void wr_chart_add_label(struct wr_str *out, const char *text)
{
    struct wr_str readable = {0};

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
    wr_str_release(&readable);
}

void sheet_note(struct sheet *s, enum face face, enum align align, double x, double y, const char *text)
{
    wr_str_addf(&s->notes, "%d\t%.2f\t%.2f\t", (int)face * N_ALIGN + (int)align, x, y);
    wr_chart_add_label(&s->notes, text);
    wr_str_add_char(&s->notes, '\n');
    s->used[face][align] = true;
}

void sheet_add_fit(const struct sheet *s, struct wr_str *out, enum face face, double room, const char *text)
{
    struct wr_str readable = {0};

    wr_escape_terminal(&readable, text);
    wr_text_fit(out, wr_str_text(&readable), sheet_size(s, face), face_table[face].weight, room);
    wr_str_release(&readable);
}

void sheet_note_fit(struct sheet *s, enum face face, enum align align, double x, double y, double room,
                    const char *text)
{
    struct wr_str cut = {0};

    sheet_add_fit(s, &cut, face, room, text);
    sheet_note(s, face, align, x, y, wr_str_text(&cut));
    wr_str_release(&cut);
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

static double add_paragraph(struct sheet *s, enum face face, const char *text, size_t most, double line_height,
                            double y)
{
    struct wr_str line[MOST_SUBTITLE_LINES] = {{0}}, readable = {0};
    double size = sheet_size(s, face), room = s->width - 2 * s->margin;
    enum wr_weight weight = face_table[face].weight;

    wr_escape_terminal(&readable, text);
    if (face == FACE_TITLE) room = balanced_room(wr_str_text(&readable), size, weight, room);
    size_t n = wr_text_wrap(line, most, wr_str_text(&readable), size, weight, room);
    for (size_t i = 0; i < n; i++)
        sheet_note(s, face, ALIGN_LEFT, s->margin, y + ((double)i + 0.55) * line_height, wr_str_text(&line[i]));
    release_lines(line, MOST_SUBTITLE_LINES);
    wr_str_release(&readable);
    return y + (double)n * line_height;
}

void sheet_begin(struct sheet *s, const struct wr_chart_words *words, const struct wr_chart_options *options)
{
    *s = (struct sheet){0};
    s->width = options->width ? options->width : WR_CHART_WIDE;
    if (s->width < LEAST_WIDTH) s->width = LEAST_WIDTH;
    s->narrow = s->width < NARROW_BELOW;
    s->margin = s->narrow ? 12 : 16;
    s->row_size = s->narrow ? 12 : 13;
    if (options->bare) return;
    double y = add_paragraph(s, FACE_TITLE, wr_str_text(&words->title), MOST_TITLE_LINES,
                             title_line * sheet_size(s, FACE_TITLE), HEAD_TOP);
    s->head = HEAD_GAP + add_paragraph(s, FACE_SUBTITLE, wr_str_text(&words->subtitle), MOST_SUBTITLE_LINES,
                                       SUBTITLE_LINE, y);
}

void sheet_frame(struct sheet *s, double left, double right, double top, double body, double foot)
{
    s->left = left;
    s->right = right;
    s->top = top;
    s->body = body;
    s->foot = foot;
}

void sheet_axes(struct sheet *s, double x_first, double x_last, double y_first, double y_last)
{
    WR_BUG_IF(!(x_last > x_first) || y_first == y_last);
    s->x_first = x_first;
    s->x_last = x_last;
    s->y_first = y_first;
    s->y_last = y_last;
}

double sheet_row_height(const struct sheet *s, size_t n_row)
{
    return s->narrow ? 36 : n_row <= ROOMY_ROWS ? 24 : 17;
}

void sheet_rows(struct sheet *s, size_t n_row)
{
    if (!s->narrow) s->row_size = n_row <= ROOMY_ROWS ? 13 : 11.5;
    s->y_first = 0.5;
    s->y_last = (double)n_row + 0.5;
}

double sheet_label_column(const struct sheet *s, double longest)
{
    return s->narrow ? NARROW_EDGE : fmin(fmax(longest + s->margin + LABEL_GAP, LEAST_LABELS), MOST_LABELS);
}

double sheet_plot_top(const struct sheet *s)
{
    return s->head + s->top;
}

double sheet_plot_bottom(const struct sheet *s)
{
    return s->head + s->top + s->body;
}

double sheet_height(const struct sheet *s)
{
    return ceil(s->head + s->top + s->body + s->foot);
}

double sheet_mark_drop(const struct sheet *s)
{
    return s->narrow ? narrow_mark_down : 0;
}

static double plot_width(const struct sheet *s)
{
    return s->width - s->left - s->right;
}

double sheet_px_x(const struct sheet *s, double x)
{
    return s->left + (x - s->x_first) / (s->x_last - s->x_first) * plot_width(s);
}

double sheet_px_y(const struct sheet *s, double y)
{
    return sheet_plot_top(s) + (y - s->y_first) / (s->y_last - s->y_first) * s->body;
}

static double label_line(const struct sheet *s, double row)
{
    return sheet_px_y(s, s->narrow ? row - narrow_label_up : row);
}

void sheet_row_label(struct sheet *s, enum face face, double row, double beside, const char *text)
{
    double y = label_line(s, row);

    if (s->narrow)
        sheet_note_fit(s, face, ALIGN_LEFT, s->margin, y, s->width - 2 * s->margin - beside, text);
    else
        sheet_note_fit(s, face, ALIGN_RIGHT, s->left - LABEL_GAP, y, s->left - LABEL_GAP - s->margin + 1, text);
}

void sheet_row_value(struct sheet *s, enum face face, double row, const char *text)
{
    double y = label_line(s, row);

    if (s->narrow)
        sheet_note(s, face, ALIGN_RIGHT, s->width - s->margin, y, text);
    else
        sheet_note(s, face, ALIGN_LEFT, s->width - s->right + 12, y, text);
}

void sheet_number(struct sheet *s, const char *name, double value)
{
    wr_str_addf(&s->numbers, "%s = %.10g\n", name, value + 0.0);
}

void sheet_block_begin(struct sheet *s, const char *name)
{
    wr_str_addf(&s->blocks, "$%s << end_of_%s\n", name, name);
    s->at_line_start = true;
}

void sheet_cell(struct sheet *s, double value)
{
    if (!s->at_line_start) wr_str_add_char(&s->blocks, '\t');
    s->at_line_start = false;
    if (isfinite(value))
        wr_str_addf(&s->blocks, "%.8g", value + 0.0);
    else
        wr_str_add(&s->blocks, "NaN");
}

void sheet_row_end(struct sheet *s)
{
    wr_str_add_char(&s->blocks, '\n');
    s->at_line_start = true;
}

void sheet_gap(struct sheet *s)
{
    sheet_row_end(s);
}

void sheet_block_end(struct sheet *s, const char *name)
{
    wr_str_addf(&s->blocks, "end_of_%s\n", name);
}

void sheet_block_of_text(struct sheet *s, const char *name, const struct wr_str *rows)
{
    sheet_block_begin(s, name);
    wr_str_add(&s->blocks, wr_str_text(rows));
    sheet_block_end(s, name);
}

void sheet_tick_note(struct sheet *s, double x, const char *text)
{
    sheet_note(s, FACE_SMALL, ALIGN_CENTER, sheet_px_x(s, x), sheet_plot_bottom(s) + TICK_DROP, text);
}

/* A step of whole, round minutes whose labels keep TICK_TEXT_PX apart. */
static double time_step(double span_min, double px)
{
    static const double step[] = {1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440};
    enum { N = sizeof step / sizeof *step };

    for (size_t i = 0; i < N; i++)
        if (span_min / step[i] <= px / TICK_TEXT_PX) return step[i];
    return step[N - 1] * ceil(span_min / step[N - 1] / (px / TICK_TEXT_PX));
}

void sheet_time_ticks(struct sheet *s)
{
    double step = time_step(s->x_last - s->x_first, plot_width(s));
    char text[WR_CLOCK_TEXT];

    sheet_block_begin(s, "ticks");
    for (double i = ceil(s->x_first / step - 1e-9); i * step <= s->x_last + 1e-9; i++) {
        sheet_cell(s, i * step);
        sheet_row_end(s);
        sheet_tick_note(s, i * step, wr_hmm(i * step, text));
    }
    sheet_block_end(s, "ticks");
}

void sheet_lens_cells(struct sheet *s, const double lens[WR_N_LENS], double (*map)(double))
{
    for (size_t i = 0; i < WR_N_LENS; i++) sheet_cell(s, map ? map(lens[i]) : lens[i]);
}

static void add_used_styles(struct sheet *s)
{
    for (int face = 0; face < N_FACE; face++)
        for (int align = 0; align < N_ALIGN; align++)
            if (s->used[face][align]) wr_str_addf(&s->numbers, "note_style_%d = 1\n", face * N_ALIGN + align);
}

static void add_face_sizes(struct sheet *s)
{
    wr_str_addf(&s->numbers, "array face_px[%d] = [", N_FACE);
    for (int face = 0; face < N_FACE; face++)
        wr_str_addf(&s->numbers, "%s%g", face ? ", " : "", sheet_size(s, (enum face)face));
    wr_str_add(&s->numbers, "]\n");
}

void sheet_finish(struct sheet *s, struct wr_str *script)
{
    double height = sheet_height(s), per_px_x = (s->x_last - s->x_first) / plot_width(s);
    double per_px_y = (s->y_last - s->y_first) / s->body;

    sheet_number(s, "canvas_width", s->width);
    sheet_number(s, "canvas_height", height);
    sheet_number(s, "narrow", s->narrow);
    sheet_number(s, "margin", s->margin);
    sheet_number(s, "x_first", s->x_first);
    sheet_number(s, "x_last", s->x_last);
    sheet_number(s, "y_first", s->y_first);
    sheet_number(s, "y_last", s->y_last);
    sheet_number(s, "x_at_left", s->x_first - s->left * per_px_x);
    sheet_number(s, "x_at_right", s->x_last + s->right * per_px_x);
    sheet_number(s, "y_at_top", s->y_first - sheet_plot_top(s) * per_px_y);
    sheet_number(s, "y_at_bottom", s->y_last + (height - sheet_plot_bottom(s)) * per_px_y);
    sheet_number(s, "mark_drop", sheet_mark_drop(s));
    add_face_sizes(s);
    add_used_styles(s);
    wr_str_add(script, wr_str_text(&s->numbers));
    wr_str_addf(script, "$notes << end_of_notes\n%send_of_notes\n", wr_str_text(&s->notes));
    wr_str_add(script, wr_str_text(&s->blocks));
    wr_str_release(&s->numbers);
    wr_str_release(&s->blocks);
    wr_str_release(&s->notes);
}
