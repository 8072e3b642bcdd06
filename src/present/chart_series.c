/* Every excursion of a series: its finish with what is carried on to it, and its limit. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/present/series_view.h"
#include "wetrun/present/words.h"

static const char *missing(const struct wr_chart_input *in)
{
    return in->series ? NULL : "a series of excursions: name a folder with series.csv";
}

/* The excursion that most often goes over its limit; SIZE_MAX if none has a limit. */
static size_t tightest(const struct wr_series_view *v)
{
    size_t worst = SIZE_MAX;

    for (size_t e = 0; e < v->series->n_leg; e++)
        if (v->leg[e].n_limit &&
            (worst == SIZE_MAX || v->series->leg[e].over[0].with > v->series->leg[worst].over[0].with))
            worst = e;
    return worst;
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_series_view *v = in->series;
    size_t worst = tightest(v);

    if (worst == SIZE_MAX) {
        say_count(&w->title, v->series->n_leg, "one excursion", "excursions in a row");
        say_capital(&w->title);
    } else {
        double over = v->series->leg[worst].over[0].with;
        say_readable(&w->title, v->leg[worst].excursion);
        wr_str_addf(&w->title, " is the tightest: %s of 100 %s its limit", wr_of_100(over, WR_ROOM), wr_go_over(over));
    }
    wr_str_add(&w->subtitle,
               "Finish of each excursion, elapsed h:mm, with the work that is carried on to it. The orange bar is its "
               "limit; the ring is the middle of the same days without that work.");
    if (v->worse) wr_str_add(&w->subtitle, " By the better of two answers.");
    wr_str_addf(&w->alt, "%s. ", wr_str_text(&w->title));
    for (size_t e = 0; e < v->series->n_leg; e++) {
        const struct wr_series_leg_result *r = &v->series->leg[e];
        wr_str_add(&w->alt, e ? "; " : "");
        say_readable(&w->alt, v->leg[e].excursion);
        wr_str_add(&w->alt, " half done by ");
        say_clock(&w->alt, r->finish_p50_min);
        if (v->leg[e].n_limit) wr_str_addf(&w->alt, ", %s of 100 over", wr_of_100(r->over[0].with, WR_ROOM));
    }
    wr_str_add(&w->alt, ".");
}

static void find_range(const struct wr_series_view *v, double range[2])
{
    range[0] = INFINITY;
    range[1] = -INFINITY;
    for (size_t e = 0; e < v->series->n_leg; e++) {
        const struct wr_series_leg_result *r = &v->series->leg[e];
        range[0] = fmin(range[0], fmin(r->lens_min[WR_LENS2_5], r->without_p50_min));
        range[1] = fmax(range[1], r->lens_min[WR_LENS97_5]);
        if (!v->leg[e].n_limit) continue;
        range[0] = fmin(range[0], v->leg[e].limit[0].minutes);
        range[1] = fmax(range[1], v->leg[e].limit[0].minutes);
    }
    range[0] = floor(range[0] / 15 - 0.1) * 15;
    range[1] = ceil(range[1] / 15 + 0.1) * 15;
}

static void add_marks(const struct wr_series_view *v, struct canvas *cv)
{
    bool has_limit = false;

    canvas_block_begin(cv, "limits");
    for (size_t e = 0; e < v->series->n_leg; e++) {
        if (!v->leg[e].n_limit) continue;
        CANVAS_ROW(cv, v->leg[e].limit[0].minutes, (double)(e + 1));
        has_limit = true;
    }
    canvas_block_end(cv, "limits");
    canvas_number(cv, "has_limit", has_limit);
    canvas_block_begin(cv, "without");
    for (size_t e = 0; e < v->series->n_leg; e++) {
        CANVAS_ROW(cv, v->series->leg[e].without_p50_min, (double)(e + 1));
    }
    canvas_block_end(cv, "without");
}

static void add_row(const struct wr_series_view *v, size_t e, struct canvas *cv)
{
    const struct wr_series_leg_result *r = &v->series->leg[e];
    char a[WR_WORDS], value[WR_WORDS + 16];

    canvas_cell(cv, (double)(e + 1));
    canvas_lens_cells(cv, r->lens_min, NULL);
    canvas_row_end(cv);
    canvas_row_label(cv, FACE_ROW, (double)(e + 1), 100, v->leg[e].excursion);
    if (!v->leg[e].n_limit) return;
    snprintf(value, sizeof value, "%s of 100 over", wr_of_100_cell(r->over[0].with, a));
    canvas_row_value(cv, FACE_SMALL, (double)(e + 1), value);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_series_view *v = in->series;
    size_t n = v->series->n_leg;
    double range[2], longest = 0;

    find_range(v, range);
    for (size_t e = 0; e < n; e++) longest = fmax(longest, canvas_text_width(cv, FACE_ROW, v->leg[e].excursion));
    canvas_rows(cv, n);
    canvas_frame(cv, cv->narrow ? canvas_label_column(cv, 0) : fmax(96, fmin(longest + 30, 300)), cv->narrow ? 40 : 130,
                 10, (double)n * (cv->narrow ? 40 : 36), 44);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    canvas_time_ticks(cv);
    canvas_block_begin(cv, "rows");
    for (size_t e = 0; e < n; e++) add_row(v, e, cv);
    canvas_block_end(cv, "rows");
    add_marks(v, cv);
}

const struct chart_builder chart_series = {.missing = missing, .words = words, .build = build};
