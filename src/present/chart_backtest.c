/* Forecasts made without a rehearsal, and what it then did. */
#include <math.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/present/backtest_view.h"

static const struct wr_backtest_record *record_of(const struct wr_chart_input *in)
{
    return &in->backtest->leave_one_out;
}

static const char *missing(const struct wr_chart_input *in)
{
    if (!in->backtest) return "a backtest, and none was made";
    return record_of(in)->n_forecast > 0 ? NULL : "a rehearsal that can be forecast from the others, and there is none";
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_backtest_record *r = record_of(in);

    wr_str_addf(&w->title, "%zu of %zu complete %s fell inside %s 80 %% band", r->n_inside80, r->n_forecast,
                r->n_forecast == 1 ? "rehearsal" : "rehearsals", r->n_forecast == 1 ? "its" : "their");
    wr_record_words(in->backtest, &w->title);
    wr_str_add(
        &w->subtitle,
        "Finish without holds, elapsed h:mm. Each lens was made without that rehearsal; the disc is what happened, "
        "a ring lies outside the 80. ");
    wr_record_expected(r, &w->subtitle);
    say_complete_by(&w->subtitle, in);
    if (in->target == WR_FOR_EXCURSION)
        wr_str_add(&w->subtitle, " Rehearsals only: the carry-over to the excursion is untested.");
    say_modelled(&w->subtitle, in);
    wr_str_addf(&w->alt, "%s. Inside the 95 %% band: %zu of %zu. What happened, with the middle of its forecast: ",
                wr_str_text(&w->title), r->n_inside95, r->n_forecast);
    for (size_t i = 0, n = 0; i < r->n_run; i++) {
        if (!r->run[i].forecast_made) continue;
        wr_str_addf(&w->alt, "%s%s ", n++ ? "; " : "", chart_run_name(in, r->run[i].run));
        say_clock(&w->alt, r->run[i].actual_min);
        wr_str_add(&w->alt, " (");
        say_clock(&w->alt, r->run[i].lens_min[WR_LENS50]);
        wr_str_add(&w->alt, ")");
    }
    wr_str_add(&w->alt, ".");
}

static void find_range(const struct wr_backtest_record *r, double range[2])
{
    range[0] = INFINITY;
    range[1] = -INFINITY;
    for (size_t i = 0; i < r->n_run; i++) {
        const struct wr_backtest_run *b = &r->run[i];
        if (!b->forecast_made) continue;
        range[0] = fmin(range[0], fmin(b->lens_min[WR_LENS2_5], b->actual_min));
        range[1] = fmax(range[1], fmax(b->lens_min[WR_LENS97_5], b->actual_min));
    }
    range[0] = floor(range[0] / 15 - 0.1) * 15;
    range[1] = ceil(range[1] / 15 + 0.1) * 15;
}

static void add_happened(struct canvas *cv, const struct wr_backtest_record *r)
{
    double row = 0;

    canvas_block_begin(cv, "happened");
    for (size_t i = 0; i < r->n_run; i++) {
        if (!r->run[i].forecast_made) continue;
        row++;
        CANVAS_ROW(cv, r->run[i].actual_min, row, !r->run[i].inside80);
    }
    canvas_block_end(cv, "happened");
    canvas_number(cv, "has_inside", r->n_inside80 > 0);
    canvas_number(cv, "has_outside", r->n_inside80 < r->n_forecast);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_backtest_record *r = record_of(in);
    double range[2], longest = 0, row = 0, height = cv->narrow ? 36 : r->n_forecast <= 20 ? 32 : 22;

    find_range(r, range);
    for (size_t i = 0; i < r->n_run; i++)
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, chart_run_name(in, r->run[i].run)));
    canvas_rows(cv, r->n_forecast);
    canvas_frame(cv, cv->narrow ? canvas_label_column(cv, 0) : fmax(96, fmin(longest + 30, 300)), cv->narrow ? 40 : 120,
                 10, (double)r->n_forecast * height, 44);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    canvas_time_ticks(cv);
    canvas_block_begin(cv, "rows");
    for (size_t i = 0; i < r->n_run; i++) {
        const struct wr_backtest_run *b = &r->run[i];
        if (!b->forecast_made) continue;
        canvas_cell(cv, ++row);
        canvas_lens_cells(cv, b->lens_min, NULL);
        canvas_row_end(cv);
        canvas_row_label(cv, FACE_ROW, row, 90, chart_run_name(in, b->run));
        canvas_row_value(cv, b->inside80 ? FACE_SMALL : FACE_SMALL_BOLD, row,
                         b->inside80 ? "inside 80" : b->inside95 ? "outside 80" : "outside 95");
    }
    canvas_block_end(cv, "rows");
    add_happened(cv, r);
}

const struct chart_builder chart_backtest = {.missing = missing, .words = words, .build = build,
                                             .shows_limit = say_shows_no_limit};
