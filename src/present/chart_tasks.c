/* Rehearsal times of each task on the model's spread. */
#include <math.h>
#include <stdio.h>
#include "chart_say.h"
#include "chart_canvas.h"
#include "wetrun/decide/variance_parts.h"
#include "wetrun/present/words.h"

static const double least_min = 0.1; /* shorter times are drawn here: the scale is logarithmic */
enum { COSTLIEST = 3 };

static double log_minutes(double minutes)
{
    return log10(fmax(minutes, least_min));
}

/* The tasks that cost the finish most of its certainty, the strongest first. A ratio of times would name short tasks
 * that cost nothing. Returns how many. */
static size_t costliest(const struct wr_forecast *f, size_t most[COSTLIEST])
{
    size_t *order = WR_NEW_ARRAY(size_t, f->n_task), n = 0;

    wr_tasks_by_share(f, order);
    for (; n < COSTLIEST && n < f->n_task && f->task[order[n]].variance_share >= 0.01; n++) most[n] = order[n];
    wr_free(order);
    return n;
}

static void say_range(struct wr_str *out, const struct wr_task_outlook *t)
{
    wr_str_addf(out, "%s to %s", wr_minutes_bare(t->lens_min[WR_LENS10], WR_ROOM),
                wr_minutes(t->lens_min[WR_LENS90], WR_ROOM));
}

struct tally {
    size_t n_done, n_stopped, n_skipped;
};

static struct tally tally_of(const struct wr_timing *timing, size_t task)
{
    struct tally n = {0};

    for (size_t r = 0; r < timing->n_run; r++) {
        enum wr_cell_state state = wr_timing_cell(timing, task, r)->state;
        n.n_done += wr_cell_is_timed(wr_timing_cell(timing, task, r));
        n.n_stopped += state == WR_CELL_STOPPED;
        n.n_skipped += state == WR_CELL_SKIPPED;
    }
    return n;
}

static struct tally tally_all(const struct wr_chart_input *in)
{
    struct tally all = {0};

    if (!chart_has_rehearsals(in)) return all;
    for (size_t k = 0; k < in->plan->n_task; k++) {
        struct tally one = tally_of(in->timing, k);
        all.n_done += one.n_done;
        all.n_stopped += one.n_stopped;
        all.n_skipped += one.n_skipped;
    }
    return all;
}

#define WORTH_A_TITLE 0.05 /* of the variance: a task with less is not what to work on */

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_forecast *f = in->forecast;
    struct tally all = tally_all(in);
    size_t most[COSTLIEST], n = costliest(f, most);

    if (n) {
        bool counts = f->task[most[0]].variance_share >= WORTH_A_TITLE;
        if (!counts) wr_str_add(&w->title, "No single task makes the finish very uncertain; most so ");
        say_quoted(&w->title, in->plan->task[most[0]].title);
        wr_str_addf(&w->title,
                    counts ? " is the task that makes the finish most uncertain (%s of it): " : " (%s of it): ",
                    wr_percent(f->task[most[0]].variance_share, WR_ROOM));
        say_range(&w->title, &f->task[most[0]]);
        wr_str_add(&w->title, ", 8 times in 10");
    } else {
        wr_str_add(&w->title, f->sd_min > 0 ? "No single task carries 1 % of what makes the finish uncertain"
                                            : "Every task has a fixed time");
    }
    wr_str_add(&w->subtitle, "Minutes, equal ratios equally far apart. Lens: the forecast’s 50, 80 and 95 of 100. ");
    if (all.n_done + all.n_stopped > 0) {
        wr_str_addf(&w->subtitle, "Rings: rehearsals%s. ",
                    in->context && in->context->has_carry_over ? ", at pool pace, which the lens is not" : "");
        if (all.n_stopped) wr_str_add(&w->subtitle, "Triangles: stopped before the end, so at least this long. ");
        wr_str_add(&w->subtitle, "Number: how often it was done.");
    }
    wr_str_addf(&w->alt, "Minutes of each of ");
    say_count(&w->alt, in->plan->n_task, "task", "tasks");
    wr_str_addf(&w->alt, ": %zu rehearsed times, %zu stopped before the end, on the forecast’s spread", all.n_done,
                all.n_stopped);
    for (size_t i = 0; i < n; i++) {
        wr_str_add(&w->alt, i ? "; " : ". What makes the finish most uncertain, 8 times in 10: ");
        say_quoted(&w->alt, in->plan->task[most[i]].title);
        wr_str_add(&w->alt, " ");
        say_range(&w->alt, &f->task[most[i]]);
    }
    wr_str_add(&w->alt, ".");
}

static void widen(double range[2], double minutes)
{
    double x = log_minutes(minutes);

    if (x < range[0]) range[0] = x;
    if (x > range[1]) range[1] = x;
}

static void find_range(const struct wr_chart_input *in, double range[2])
{
    range[0] = INFINITY;
    range[1] = -INFINITY;
    for (size_t k = 0; k < in->plan->n_task; k++) {
        if (wr_is_done_enough(in->forecast->task[k].dropped)) {
            widen(range, in->forecast->task[k].lens_min[WR_LENS2_5]);
            widen(range, in->forecast->task[k].lens_min[WR_LENS97_5]);
        }
        for (size_t r = 0; chart_has_rehearsals(in) && r < in->timing->n_run; r++) {
            const struct wr_cell *c = wr_timing_cell(in->timing, k, r);
            if (wr_cell_is_timed(c) || c->state == WR_CELL_STOPPED) widen(range, wr_cell_modelled_min(c));
        }
    }
    range[0] -= 0.04;
    range[1] += 0.04;
    double short_of = 0.5 - (range[1] - range[0]); /* at least about a factor of three */
    if (short_of > 0) {
        range[0] -= short_of / 2;
        range[1] += short_of / 2;
    }
}

/* 1, 2 and 5 of each power of ten, as far as their labels keep apart. */
static void add_ticks(struct canvas *cv)
{
    static const double step[] = {1, 2, 5};
    double last_px = -INFINITY;
    char text[32];

    canvas_block_begin(cv, "ticks");
    for (int power = -1; power <= 5; power++) {
        for (size_t i = 0; i < sizeof step / sizeof *step; i++) {
            double minutes = step[i] * pow(10, power), x = log10(minutes), px = canvas_px_x(cv, x);
            if (x < cv->x_first || x > cv->x_last || px - last_px < 34) continue;
            last_px = px;
            CANVAS_ROW(cv, x);
            snprintf(text, sizeof text, "%g", minutes);
            canvas_tick_note(cv, x, text);
        }
    }
    canvas_block_end(cv, "ticks");
}

static void add_runs(const struct wr_chart_input *in, struct canvas *cv)
{
    struct tally all = tally_all(in);

    canvas_number(cv, "has_done", all.n_done > 0);
    canvas_number(cv, "has_stopped", all.n_stopped > 0);
    canvas_block_begin(cv, "runs");
    for (size_t k = 0; chart_has_rehearsals(in) && k < in->plan->n_task; k++) {
        for (size_t r = 0; r < in->timing->n_run; r++) {
            const struct wr_cell *c = wr_timing_cell(in->timing, k, r);
            if (!wr_cell_is_timed(c) && c->state != WR_CELL_STOPPED) continue;
            CANVAS_ROW(cv, log_minutes(wr_cell_modelled_min(c)), (double)k + 1, c->state == WR_CELL_STOPPED);
        }
    }
    canvas_block_end(cv, "runs");
}

static void say_tally(struct wr_str *out, struct tally n)
{
    wr_str_addf(out, "%zu", n.n_done);
    if (n.n_stopped) wr_str_addf(out, ", %zu stopped", n.n_stopped);
    if (n.n_skipped) wr_str_addf(out, ", %zu skipped", n.n_skipped);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    size_t n = in->plan->n_task;
    WR_SCOPED_STR tally = {0};
    double range[2], longest = 0;

    find_range(in, range);
    canvas_rows(cv, n);
    for (size_t k = 0; k < n; k++) longest = fmax(longest, canvas_text_width(cv, FACE_ROW, in->plan->task[k].title));
    canvas_frame(cv, canvas_label_column(cv, longest), cv->narrow ? 40 : chart_has_rehearsals(in) ? 180 : 60, 10,
                 (double)n * canvas_row_height(cv, n), 44);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    add_ticks(cv);
    canvas_block_begin(cv, "rows");
    for (size_t k = 0; k < n; k++) {
        if (wr_is_done_enough(in->forecast->task[k].dropped)) {
            canvas_cell(cv, (double)k + 1);
            canvas_lens_cells(cv, in->forecast->task[k].lens_min, log_minutes);
            canvas_row_end(cv);
        }
        wr_str_clear(&tally);
        if (chart_has_rehearsals(in)) {
            say_tally(&tally, tally_of(in->timing, k));
            canvas_row_value(cv, FACE_SMALL, (double)k + 1, wr_str_text(&tally));
        }
        canvas_row_label(cv, FACE_ROW, (double)k + 1, canvas_text_width(cv, FACE_SMALL, wr_str_text(&tally)) + 10,
                         in->plan->task[k].title);
    }
    canvas_block_end(cv, "rows");
    for (size_t k = 0; k < n; k++) canvas_row_about(cv, (double)k + 1, k);
    add_runs(in, cv);
}

const struct chart_builder chart_tasks = {
    .missing = say_missing_forecast, .words = words, .about = say_about, .build = build,
    .shows_limit = say_shows_no_limit};
