/* Single tasks over the rehearsals, where it matters: do they settle? Small panels of one scale, so that slopes
 * compare. */
#include <math.h>
#include "chart_canvas.h"
#include "chart_line.h"
#include "chart_say.h"
#include "wetrun/present/words.h"

enum { MOST_PANELS = 9, MOST_NARROW = 6, COLUMNS = 3 };
enum { TITLE_PX = 18, CHANGE_PX = 17, PLOT_PX = 96, GAP_PX = 24, SIDE_PX = 38, BETWEEN_PX = 20 };

static const char *missing(const struct wr_chart_input *in)
{
    if (!chart_has_rehearsals(in)) return "rehearsals, and there are none yet";
    return in->comparison && in->comparison->task_trend ? NULL : "a comparison of the rehearsals, and none was made";
}

static double share_of(const struct wr_chart_input *in, size_t task)
{
    return in->forecast ? in->forecast->task[task].variance_share : 0;
}

static bool comes_before(const struct wr_chart_input *in, size_t a, size_t b)
{
    const struct wr_task_trend *trend = in->comparison->task_trend;

    if (trend[a].told != trend[b].told) return trend[a].told;
    if (trend[a].line.known != trend[b].line.known) return trend[a].line.known;
    if (share_of(in, a) != share_of(in, b)) return share_of(in, a) > share_of(in, b);
    return a < b;
}

static size_t times_of(const struct wr_chart_input *in, size_t task)
{
    size_t n = 0;

    for (size_t r = 0; r < in->timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(in->timing, task, r);
        n += wr_cell_is_timed(cell) || cell->state == WR_CELL_STOPPED;
    }
    return n;
}

/* Tasks whose trend is told apart from flat, then those that make the finish most uncertain. */
static size_t choose(const struct wr_chart_input *in, size_t most, size_t *task)
{
    size_t n = 0;

    for (size_t k = 0; k < in->comparison->n_task; k++) {
        size_t at = n;
        if (times_of(in, k) == 0) continue;
        while (at > 0 && comes_before(in, k, task[at - 1])) at--;
        if (at >= most) continue;
        if (n < most) n++;
        for (size_t i = n - 1; i > at; i--) task[i] = task[i - 1];
        task[at] = k;
    }
    return n;
}

static size_t n_drawable(const struct wr_chart_input *in)
{
    size_t n = 0;

    for (size_t k = 0; k < in->comparison->n_task; k++) n += times_of(in, k) > 0;
    return n;
}

static void say_title(struct wr_str *out, const struct wr_comparison *c)
{
    size_t shorter = 0, longer = 0;

    if (c->n_task_trend == 0) {
        wr_str_add(out, "Too few rehearsals to see whether single tasks settle");
        return;
    }
    for (size_t k = 0; k < c->n_task; k++) {
        shorter += c->task_trend[k].told && c->task_trend[k].line.slope_log < 0;
        longer += c->task_trend[k].told && c->task_trend[k].line.slope_log > 0;
    }
    if (shorter + longer == 0) {
        wr_str_addf(out, "No single task is shown to get shorter or longer, all %s looked at together",
                    wr_count_words(c->n_task_trend, WR_ROOM));
        return;
    }
    wr_str_addf(out, "Of %s tasks ", wr_count_words(c->n_task_trend, WR_ROOM));
    if (shorter) wr_str_addf(out, "%s %s shorter", wr_count_words(shorter, WR_ROOM), shorter == 1 ? "gets" : "get");
    if (shorter && longer) wr_str_add(out, " and ");
    if (longer) wr_str_addf(out, "%s %s longer", wr_count_words(longer, WR_ROOM), longer == 1 ? "gets" : "get");
    wr_str_add(out, " beyond chance, all looked at together; of the others no trend is shown");
}

static void say_slope(struct wr_str *out, const struct wr_trend *trend)
{
    if (!trend->known) {
        wr_str_add(out, "too few times for a trend");
        return;
    }
    say_change(out, trend->per_doubling);
    wr_str_add(out, " (");
    say_change(out, trend->per_doubling_lo);
    wr_str_add(out, " to ");
    say_change(out, trend->per_doubling_hi);
    wr_str_add(out, ")");
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    size_t task[MOST_PANELS], n = choose(in, MOST_PANELS, task);

    say_title(&w->title, in->comparison);
    wr_str_add(
        &w->subtitle,
        "Minutes, rehearsals from left to right; equal ratios equally far apart. Below each name: change per doubling "
        "of rehearsals, 90 % interval of that task alone (dashed). Bold: shown, with all tasks in view. Triangle: "
        "stopped.");
    if (n_drawable(in) > MOST_NARROW)
        wr_str_addf(
            &w->subtitle,
            " Drawn of %s: first what is shown to change, then what makes the finish most uncertain; %d at most, on "
            "narrow screens %d.",
            wr_count_words(n_drawable(in), WR_ROOM), MOST_PANELS, MOST_NARROW);
    wr_str_addf(&w->alt, "%s. Change with each doubling of rehearsals: ", wr_str_text(&w->title));
    for (size_t i = 0; i < n; i++) {
        if (i) wr_str_add(&w->alt, "; ");
        say_readable(&w->alt, in->plan->task[task[i]].title);
        wr_str_add(&w->alt, " ");
        say_slope(&w->alt, &in->comparison->task_trend[task[i]].line);
    }
    wr_str_add(&w->alt, ".");
}

struct panel {
    double x, y, width;          /* of its upper left corner on the plot area, px */
    double middle_log, half_log; /* log minutes at the middle of its plot and from there to an edge */
    double last_order;
};

static double panel_x(const struct panel *p, double order)
{
    double first = p->x + SIDE_PX, room = p->width - SIDE_PX - 8;

    return p->last_order > 1 ? first + room * (order - 1) / (p->last_order - 1) : first + room / 2;
}

static double panel_y(const struct panel *p, double minutes)
{
    double from_middle = (log(minutes) - p->middle_log) / p->half_log;

    return p->y + TITLE_PX + CHANGE_PX + PLOT_PX / 2.0 * (1 - fmax(-1, fmin(1, from_middle)));
}

static bool is_in_panel(const struct panel *p, double minutes)
{
    return fabs(log(minutes) - p->middle_log) <= p->half_log;
}

static void span_of(const struct wr_chart_input *in, size_t task, double *lo, double *hi)
{
    *lo = INFINITY;
    *hi = -INFINITY;
    for (size_t r = 0; r < in->timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(in->timing, task, r);
        if (!wr_cell_has_time(cell)) continue;
        *lo = fmin(*lo, log(wr_cell_modelled_min(cell)));
        *hi = fmax(*hi, log(wr_cell_modelled_min(cell)));
    }
    if (!(*hi >= *lo)) *lo = *hi = 0; /* only times of 0: an empty panel */
}

static struct chart_line line_of(const struct wr_chart_input *in, size_t task)
{
    const struct wr_trend *trend = &in->comparison->task_trend[task].line;
    struct chart_line line = {0};

    for (size_t r = 0; trend->known && r < in->timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(in->timing, task, r);
        if (cell->state == WR_CELL_DONE && wr_cell_has_time(cell)) chart_line_place(&line, in->timing->run[r].order);
    }
    if (trend->known) chart_line_fit(&line, trend, 0);
    return line;
}

static void add_panel_texts(struct canvas *cv, const struct wr_chart_input *in, size_t task, const struct panel *p)
{
    const struct wr_task_trend *trend = &in->comparison->task_trend[task];
    WR_SCOPED_STR text = {0};
    double x = cv->left + p->x, y = canvas_plot_top(cv) + p->y;

    canvas_note_fit(cv, trend->told ? FACE_ROW_BOLD : FACE_ROW, ALIGN_LEFT, x, y + TITLE_PX / 2.0, p->width,
                    in->plan->task[task].title);
    say_slope(&text, &trend->line);
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, x, y + TITLE_PX + CHANGE_PX / 2.0 - 2, wr_str_text(&text));
}

/* Level lines at round minutes, at most three to a panel. */
static void add_levels(struct canvas *cv, const struct panel *p)
{
    static const double round_min[] = {0.1, 0.2, 0.5, 1,  2,  3,   5,   7,   10,  15,
                                       20,  30,  40,  60, 90, 120, 180, 240, 360, 480};
    double least = exp(p->middle_log - p->half_log), most = exp(p->middle_log + p->half_log), above = -INFINITY;

    for (size_t i = sizeof round_min / sizeof *round_min; i-- > 0;) {
        double y = panel_y(p, round_min[i]);
        if (round_min[i] < least || round_min[i] > most || y - above < 26) continue;
        if (y < p->y + TITLE_PX + CHANGE_PX + 8) continue; /* its label would touch the text above */
        WR_SCOPED_STR text = {0};
        above = y;
        CANVAS_ROW(cv, p->x + SIDE_PX - 6, y, p->width - SIDE_PX + 6);
        wr_str_addf(&text, "%g", round_min[i]);
        canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left + p->x + SIDE_PX - 12, canvas_plot_top(cv) + y,
                    wr_str_text(&text));
    }
}

static void add_trend(struct canvas *cv, const struct panel *p, const struct chart_line *line)
{
    enum { N_POINT = 24 };

    if (!line->known) return;
    for (int i = 0; i <= N_POINT; i++) {
        double order = 1 + (p->last_order - 1) * i / N_POINT;
        canvas_cell(cv, panel_x(p, order));
        for (enum chart_side side = SIDE_MIDDLE; side <= SIDE_HIGH; side++)
            canvas_cell(cv, panel_y(p, chart_line_at(line, side, order)));
        for (enum chart_side side = SIDE_MIDDLE; side <= SIDE_HIGH; side++) /* the wash ends at the panel, a line does
                                                                               not run along it */
            canvas_cell(cv, is_in_panel(p, chart_line_at(line, side, order))
                                ? panel_y(p, chart_line_at(line, side, order))
                                : NAN);
        canvas_row_end(cv);
    }
    canvas_gap(cv);
}

static bool add_times(struct canvas *cv, const struct panel *p, const struct wr_chart_input *in, size_t task,
                      enum wr_cell_state state)
{
    bool any = false;

    for (size_t r = 0; r < in->timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(in->timing, task, r);
        if (cell->state != state || !wr_cell_has_time(cell)) continue;
        CANVAS_ROW(cv, panel_x(p, in->timing->run[r].order), panel_y(p, wr_cell_modelled_min(cell)));
        any = true;
    }
    return any;
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    size_t task[MOST_PANELS], n = choose(in, cv->narrow ? MOST_NARROW : MOST_PANELS, task);
    size_t columns = cv->narrow ? 1 : COLUMNS, rows = (n + columns - 1) / columns;
    struct panel panel[MOST_PANELS];
    double each = TITLE_PX + CHANGE_PX + PLOT_PX + GAP_PX, widest = 0.2, last = 1;
    bool has_trend = false, has_done = false, has_stopped = false;

    if (rows == 0) rows = 1;
    canvas_frame(cv, cv->margin, cv->margin, 12, each * (double)rows, 4);
    double width = cv->width - cv->left - cv->right;
    canvas_axes(cv, 0, width, 0, each * (double)rows);
    for (size_t r = 0; r < in->timing->n_run; r++) last = fmax(last, in->timing->run[r].order);
    for (size_t i = 0; i < n; i++) {
        double lo, hi, panel_width = (width - BETWEEN_PX * (double)(columns - 1)) / (double)columns;
        size_t row = i / columns;
        span_of(in, task[i], &lo, &hi);
        widest = fmax(widest, (hi - lo) / 2);
        panel[i] = (struct panel){.x = (panel_width + BETWEEN_PX) * (double)(i % columns),
                                  .y = each * (double)row,
                                  .width = panel_width,
                                  .middle_log = (lo + hi) / 2,
                                  .last_order = last};
    }
    canvas_block_begin(cv, "levels");
    for (size_t i = 0; i < n; i++) {
        panel[i].half_log = 1.12 * widest;
        add_panel_texts(cv, in, task[i], &panel[i]);
        add_levels(cv, &panel[i]);
    }
    canvas_block_end(cv, "levels");
    canvas_block_begin(cv, "trend");
    for (size_t i = 0; i < n; i++) {
        const struct chart_line line = line_of(in, task[i]);
        add_trend(cv, &panel[i], &line);
        has_trend |= line.known;
    }
    canvas_block_end(cv, "trend");
    canvas_block_begin(cv, "done");
    for (size_t i = 0; i < n; i++) has_done |= add_times(cv, &panel[i], in, task[i], WR_CELL_DONE);
    canvas_block_end(cv, "done");
    canvas_block_begin(cv, "stopped");
    for (size_t i = 0; i < n; i++) has_stopped |= add_times(cv, &panel[i], in, task[i], WR_CELL_STOPPED);
    canvas_block_end(cv, "stopped");
    canvas_number(cv, "has_trend", has_trend);
    canvas_number(cv, "has_done", has_done);
    canvas_number(cv, "has_stopped", has_stopped);
}

const struct chart_builder chart_converge = {.missing = missing, .words = words, .build = build,
                                             .shows_limit = say_shows_no_limit};
