/* A chart in the making: numbers, data blocks and placed texts. The program places every text, since it can measure
 * them (present/text_width.h); the scripts in plots/ draw the marks.
 *
 * Two systems of coordinates lie over the whole canvas. px: from the upper left corner, for texts. Data: x and y of the
 * chart, on the plot area that stands `left` and `right` px from the sides, below the head. The script sees the data
 * ranges already widened to the canvas, so that both agree to the px. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/str.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/text_width.h"

/* name, px wide, px narrow (0: of the canvas's rows), weight; plots/prelude.gp has their inks in the same order */
#define WR_FACE_TABLE(ROW)                                                                   \
    ROW(FACE_TITLE, 18, 15, WR_BOLD)                                                         \
    ROW(FACE_SUBTITLE, 13, 12, WR_REGULAR)                                                   \
    ROW(FACE_ROW, 0, 0, WR_REGULAR)                                                          \
    ROW(FACE_ROW_BOLD, 0, 0, WR_BOLD)                                                        \
    ROW(FACE_SMALL, 12, 12, WR_REGULAR)     /* stone */                                      \
    ROW(FACE_SMALL_INK, 12, 12, WR_REGULAR)                                                  \
    ROW(FACE_SMALL_BOLD, 12, 12, WR_BOLD)                                                    \
    ROW(FACE_HEADING, 15, 15, WR_BOLD)                                                       \
    ROW(FACE_ACT, 16, 16, WR_BOLD)          /* a time to act on */                           \
    ROW(FACE_TREND, 13, 12, WR_REGULAR)     /* tide, beside a line of that ink */
enum face {
#define FACE_ENUM(id, wide, narrow, weight) id,
    WR_FACE_TABLE(FACE_ENUM)
#undef FACE_ENUM
    N_FACE
};
enum align { ALIGN_LEFT, ALIGN_CENTER, ALIGN_RIGHT, N_ALIGN };

struct canvas_about { /* a row of the chart that is about one task */
    size_t task;
    double top, bottom; /* px */
};

struct canvas { /* start with canvas_begin */
    bool narrow;
    double width, head, margin; /* px: canvas; height of title and subtitle; free edge at the sides */
    double row_size;            /* px of FACE_ROW */
    double caution;             /* px at the foot of a picture that stands alone; 0: of no forecast, or on a page */
    double left, right, top, body, foot; /* px: beside, above, of and below the plot area; see canvas_frame */
    double x_first, x_last, y_first, y_last; /* data at the left, right, upper and lower edge of the plot area */
    struct wr_str numbers, blocks, notes;
    bool used[N_FACE][N_ALIGN];
    bool at_line_start;
    struct canvas_about *about; size_t n_about, room_about;
};

void canvas_begin(struct canvas *cv, const struct wr_chart_words *words, const struct wr_chart_options *options);
void canvas_frame(struct canvas *cv, double left, double right, double top, double body, double foot);
void canvas_axes(struct canvas *cv, double x_first, double x_last, double y_first, double y_last);
/* Rows 1 … n_row of one height, y growing down; sets row_size, and draws the lens lower in narrow rows, where the
 * label stands above the mark. */
void canvas_rows(struct canvas *cv, size_t n_row);
double canvas_row_height(const struct canvas *cv, size_t n_row);

/* px for the labels at the left of rows: as much as the longest text (its width in px) asks for, within reason. */
double canvas_label_column(const struct canvas *cv, double longest);

double canvas_px_x(const struct canvas *cv, double x); /* data to px; frame and axes must be set */
double canvas_px_y(const struct canvas *cv, double y);
double canvas_plot_top(const struct canvas *cv);
double canvas_plot_bottom(const struct canvas *cv);
double canvas_height(const struct canvas *cv);
double canvas_mark_drop(const struct canvas *cv); /* of a row's height: how far marks sit below its middle */

double canvas_text_width(const struct canvas *cv, enum face face, const char *text);
/* A text at px; it is centred on y. */
void canvas_note(struct canvas *cv, enum face face, enum align align, double x, double y, const char *text);
/* The same cut to room px. Cuts on the cleaned text. */
void canvas_note_fit(struct canvas *cv, enum face face, enum align align, double x, double y, double room,
                     const char *text);
/* Appends the readable form of text, cut to room px. */
void canvas_add_fit(const struct canvas *cv, struct wr_str *out, enum face face, double room, const char *text);
/* The readable form of text in lines of room px each, as wr_text_wrap breaks it. */
size_t canvas_wrap(const struct canvas *cv, struct wr_str *line, size_t n_line, enum face face, double room,
                   const char *text);
/* The label of a row: beside the plot, or above the mark when narrow. beside: px kept free at the right end of that
 * line for canvas_row_value. */
void canvas_row_label(struct canvas *cv, enum face face, double row, double beside, const char *text);
/* This row is about this task: on the page it becomes a link with the task's numbers. */
void canvas_row_about(struct canvas *cv, double row, size_t task);
/* A word at the other end of the row: right of the plot, or at the right end of the label's line when narrow. */
void canvas_row_value(struct canvas *cv, enum face face, double row, const char *text);

void canvas_number(struct canvas *cv, const char *name, double value);
void canvas_block_begin(struct canvas *cv, const char *name);
void canvas_cell(struct canvas *cv, double value); /* not finite: gnuplot's own NaN, which draws nothing */
void canvas_row_end(struct canvas *cv);
/* What is left of a row, or all of it, and its end. */
#define CANVAS_ROW(cv, ...)                                                                                            \
    canvas_row(cv, (const double[]){__VA_ARGS__}, sizeof(double[]){__VA_ARGS__} / sizeof(double))
void canvas_row(struct canvas *cv, const double *value, size_t n);
void canvas_gap(struct canvas *cv);                /* a blank line: ends a polygon or a line */
void canvas_block_end(struct canvas *cv, const char *name);
/* The label of a tick, under the plot. */
void canvas_tick_note(struct canvas *cv, double x, const char *text);
/* A block whose rows of numbers were gathered meanwhile. */
void canvas_block_of_text(struct canvas *cv, const char *name, const struct wr_str *rows);
/* Whole, round minutes, or seconds where these are shown, of which at most this many fit into the span. */
double canvas_time_step(double span_min, double most);
/* `$ticks` and their labels under the plot: x in minutes, shown as h:mm. */
void canvas_time_ticks(struct canvas *cv);
/* The same for a plain scale in minutes, and for a chart without a scale. */
void canvas_minute_ticks(struct canvas *cv);
void canvas_no_ticks(struct canvas *cv);
void canvas_lens_cells(struct canvas *cv, const double lens[WR_N_LENS], double (*map)(double));

void canvas_finish(struct canvas *cv, struct wr_str *script); /* numbers, notes, blocks; releases the canvas */

/* One chart: its words and what it puts on the canvas. about: of a forecast of the target alone. all_answers: it says
 * itself which of several answers it draws; else it draws the first, and is told to say so. */
struct chart_builder {
    const char *(*missing)(const struct wr_chart_input *in);
    void (*words)(const struct wr_chart_input *in, struct wr_chart_words *words);
    void (*about)(const struct wr_chart_input *in, struct wr_str *out);
    void (*build)(const struct wr_chart_input *in, struct canvas *cv);
    bool all_answers;
    bool (*shows_limit)(const struct wr_chart_input *in); /* NULL: it does */
};
#define CHART_EXTERN(id, name, place, help, shows, rows, builder) extern const struct chart_builder builder;
WR_CHART_TABLE(CHART_EXTERN)
#undef CHART_EXTERN
