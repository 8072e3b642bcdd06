/* A chart in the making: numbers, data blocks and placed texts. The program places every text, since it can measure
 * them (present/text_width.h); the scripts in plots/ draw the marks.
 *
 * Two systems of coordinates lie over the whole canvas. px: from the upper left corner, for texts. Data: x and y of the
 * chart, on the plot area that stands `left` and `right` px from the sides, below the head. The script sees the data
 * ranges already widened to the canvas, so that both agree to the px. */
#ifndef WETRUN_SRC_PRESENT_CHART_SHEET_H
#define WETRUN_SRC_PRESENT_CHART_SHEET_H

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/present/chart.h"
#include "wetrun/present/text_width.h"

/* name, px wide, px narrow (0: of the sheet's rows), weight; plots/prelude.gp has their inks in the same order */
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

struct sheet { /* start with sheet_begin */
    bool narrow;
    double width, head, margin; /* px: canvas; height of title and subtitle; free edge at the sides */
    double row_size;            /* px of FACE_ROW */
    double left, right, top, body, foot; /* px: beside, above, of and below the plot area; see sheet_frame */
    double x_first, x_last, y_first, y_last; /* data at the left, right, upper and lower edge of the plot area */
    struct wr_str numbers, blocks, notes;
    bool used[N_FACE][N_ALIGN];
    bool at_line_start;
};

void sheet_begin(struct sheet *s, const struct wr_chart_words *words, const struct wr_chart_options *options);
void sheet_frame(struct sheet *s, double left, double right, double top, double body, double foot);
void sheet_axes(struct sheet *s, double x_first, double x_last, double y_first, double y_last);
/* Rows 1 … n_row of one height, y growing down; sets row_size, and draws the lens lower in narrow rows, where the
 * label stands above the mark. */
void sheet_rows(struct sheet *s, size_t n_row);
double sheet_row_height(const struct sheet *s, size_t n_row);

/* px for the labels at the left of rows: as much as the longest text (its width in px) asks for, within reason. */
double sheet_label_column(const struct sheet *s, double longest);

double sheet_px_x(const struct sheet *s, double x); /* data to px; frame and axes must be set */
double sheet_px_y(const struct sheet *s, double y);
double sheet_plot_top(const struct sheet *s);
double sheet_plot_bottom(const struct sheet *s);
double sheet_height(const struct sheet *s);
double sheet_mark_drop(const struct sheet *s); /* of a row's height: how far marks sit below its middle */

double sheet_size(const struct sheet *s, enum face face);
double sheet_text_width(const struct sheet *s, enum face face, const char *text);
/* A text at px; it is centred on y. */
void sheet_note(struct sheet *s, enum face face, enum align align, double x, double y, const char *text);
/* The same cut to room px. Cuts on the cleaned text. */
void sheet_note_fit(struct sheet *s, enum face face, enum align align, double x, double y, double room,
                    const char *text);
/* Appends the readable form of text, cut to room px. */
void sheet_add_fit(const struct sheet *s, struct wr_str *out, enum face face, double room, const char *text);
/* The label of a row: beside the plot, or above the mark when narrow. beside: px kept free at the right end of that
 * line for sheet_row_value. */
void sheet_row_label(struct sheet *s, enum face face, double row, double beside, const char *text);
/* A word at the other end of the row: right of the plot, or at the right end of the label's line when narrow. */
void sheet_row_value(struct sheet *s, enum face face, double row, const char *text);

void sheet_number(struct sheet *s, const char *name, double value);
void sheet_block_begin(struct sheet *s, const char *name);
void sheet_cell(struct sheet *s, double value); /* not finite: gnuplot's own NaN, which draws nothing */
void sheet_row_end(struct sheet *s);
void sheet_gap(struct sheet *s);                /* a blank line: ends a polygon or a line */
void sheet_block_end(struct sheet *s, const char *name);
/* The label of a tick, under the plot. */
void sheet_tick_note(struct sheet *s, double x, const char *text);
/* A block whose rows of numbers were gathered meanwhile. */
void sheet_block_of_text(struct sheet *s, const char *name, const struct wr_str *rows);
/* `$ticks` and their labels under the plot: x in minutes, shown as h:mm. */
void sheet_time_ticks(struct sheet *s);
void sheet_lens_cells(struct sheet *s, const double lens[WR_N_LENS], double (*map)(double));

void sheet_finish(struct sheet *s, struct wr_str *script); /* numbers, notes, blocks; releases the sheet */

/* One chart: its words and what it puts on the sheet. */
struct chart_builder {
    const char *(*missing)(const struct wr_chart_input *in);
    void (*words)(const struct wr_chart_input *in, struct wr_chart_words *words);
    void (*build)(const struct wr_chart_input *in, struct sheet *s);
};
extern const struct chart_builder chart_variance, chart_finish, chart_lanes, chart_tasks;

#endif
