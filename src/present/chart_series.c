/* Every excursion of a series: its finish with what is carried on to it, and its limit. */
#include <math.h>
#include <stdint.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/present/series_view.h"
#include "wetrun/present/words.h"

enum { LEAST_PLOT = 260 }; /* px, else labels and numbers stand above their marks */

static const char *missing(const struct wr_chart_input *in)
{
    return in->series ? NULL : "a series of excursions: name a folder with series.csv";
}

static const struct wr_series_over *over_of(const struct wr_series *series, size_t e)
{
    return &series->leg[e].over[0];
}

/* The excursion that most often goes over its first limit by this answer; SIZE_MAX if none has a limit. */
static size_t tightest(const struct wr_series_view *v, const struct wr_series *series)
{
    size_t worst = SIZE_MAX;

    for (size_t e = 0; e < series->n_leg; e++)
        if (v->leg[e].n_limit && (worst == SIZE_MAX || over_of(series, e)->with > over_of(series, worst)->with))
            worst = e;
    return worst;
}

/* Even the lower end of its interval is beyond the upper ends of all others; where one could not be made, that is not
 * known. */
static bool stands_apart(const struct wr_series_view *v, const struct wr_series *series, size_t worst)
{
    for (size_t e = 0; e < series->n_leg; e++) {
        const struct wr_series_over *x = over_of(series, e), *y = over_of(series, worst);
        bool apart = !v->has_interval ? x->with < y->with
                                      : x->with_hi < y->with_lo && y->with_lo < y->with_hi &&
                                            (x->with_lo < x->with_hi || x->with == 0);
        if (e != worst && v->leg[e].n_limit && !apart) return false;
    }
    return true;
}

static void add_interval(struct wr_str *out, const struct wr_series_view *v, const struct wr_series_over *over)
{
    if (v->has_interval && over->with_lo < over->with_hi)
        wr_str_addf(out, " (%s to %s)", wr_of_100_cell(over->with_lo, WR_ROOM), wr_of_100_cell(over->with_hi, WR_ROOM));
}

static const char drawn_first[] = " Drawn is the first of two answers.";

/* "first " where an excursion has others, which are not drawn. */
static const char *first_of(const struct wr_series_view *v)
{
    return wr_series_has_other_limits(v) ? "first " : "";
}

static void say_title(struct wr_str *out, const struct wr_series_view *v)
{
    size_t worst = tightest(v, v->series), other = v->worse ? tightest(v, v->worse) : worst;
    const char *first = first_of(v);
    bool known = stands_apart(v, v->series, worst) && other == worst &&
                 (!v->worse || stands_apart(v, v->worse, worst));

    if (!known) wr_str_add(out, "Which excursion is the tightest cannot be told: ");
    say_readable(out, v->leg[worst].excursion);
    if (known) wr_str_addf(out, " is the tightest%s: it", first[0] ? " by the first limits" : "");
    wr_str_addf(out, " goes over its %s%s in %s of 100", known && first[0] ? "own" : first,
                known && first[0] ? "" : "limit",
                wr_of_100(over_of(v->series, worst)->with, WR_ROOM));
    add_interval(out, v, over_of(v->series, worst));
    if (!v->worse) return;
    wr_str_add(out, ", by the worse of two answers ");
    if (other != worst) {
        say_readable(out, v->leg[other].excursion);
        wr_str_add_char(out, ' ');
    }
    wr_str_addf(out, "in %s of 100", wr_of_100(over_of(v->worse, other)->with, WR_ROOM));
    add_interval(out, v, over_of(v->worse, other));
}

/* "7 of 100 over (1 to 19), or 23 (<1 to 70)" */
static void say_value(struct wr_str *out, const struct wr_series_view *v, size_t e)
{
    wr_str_addf(out, "%s of 100 over", wr_of_100_cell(over_of(v->series, e)->with, WR_ROOM));
    add_interval(out, v, over_of(v->series, e));
    if (!v->worse) return;
    wr_str_addf(out, ", or %s", wr_of_100_cell(over_of(v->worse, e)->with, WR_ROOM));
    add_interval(out, v, over_of(v->worse, e));
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_series_view *v = in->series;

    if (tightest(v, v->series) == SIZE_MAX) {
        say_count(&w->title, v->series->n_leg, "one excursion", "excursions in a row");
        say_capital(&w->title);
    } else {
        say_title(&w->title, v);
    }
    wr_str_addf(&w->subtitle,
                "Finish of each excursion, elapsed h:mm, with the work that is carried on to it. The orange bar is its "
                "%slimit; the ring is the middle of the same days without that work.", first_of(v));
    if (v->worse) wr_str_add(&w->subtitle, drawn_first);
    wr_str_addf(&w->alt, "%s. ", wr_str_text(&w->title));
    for (size_t e = 0; e < v->series->n_leg; e++) {
        const struct wr_series_leg_result *r = &v->series->leg[e];
        wr_str_add(&w->alt, e ? "; " : "");
        say_readable(&w->alt, v->leg[e].excursion);
        wr_str_add(&w->alt, " half done by ");
        say_clock(&w->alt, r->finish_p50_min);
        if (!v->leg[e].n_limit) continue;
        wr_str_add(&w->alt, ", ");
        say_value(&w->alt, v, e);
    }
    wr_str_add(&w->alt, ".");
}

/* Which of the two is drawn, and what the other assumes. */
static void about(const struct wr_chart_input *in, struct wr_str *out)
{
    const struct wr_series_view *v = in->series;
    bool forgotten = false, judged = false;

    say_doubt(out, in);
    wr_str_addf(out, "%sForecast of %s.", out->len > 0 ? " " : "",
                in->target == WR_FOR_EXCURSION ? "excursions" : "rehearsals, at pool pace");
    if (!v->worse) return;
    for (size_t e = 0; e < v->series->n_leg; e++) {
        forgotten |= v->leg[e].is_forgotten;
        judged |= v->leg[e].is_judged;
    }
    wr_str_addf(out,
                "%s The other, behind \xe2\x80\x9cor\xe2\x80\x9d, assumes that "
                "%s%s%s.",
                drawn_first,
                forgotten ? "something is forgotten in a gap longer than any between rehearsals" : "",
                forgotten && judged ? ", and that " : "",
                judged ? "tasks were judged too short, and too sure, where judgement has no record" : "");
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
    WR_SCOPED_STR value = {0};

    canvas_cell(cv, (double)(e + 1));
    canvas_lens_cells(cv, r->lens_min, NULL);
    canvas_row_end(cv);
    if (v->leg[e].n_limit) say_value(&value, v, e);
    canvas_row_label(cv, FACE_ROW, (double)(e + 1), canvas_text_width(cv, FACE_SMALL, wr_str_text(&value)) + 10,
                     v->leg[e].excursion);
    if (v->leg[e].n_limit) canvas_row_value(cv, FACE_SMALL, (double)(e + 1), wr_str_text(&value));
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_series_view *v = in->series;
    size_t n = v->series->n_leg;
    double range[2], longest = 0, longest_value = 0;

    find_range(v, range);
    for (size_t e = 0; e < n; e++) {
        WR_SCOPED_STR value = {0};
        if (v->leg[e].n_limit) say_value(&value, v, e);
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, v->leg[e].excursion));
        longest_value = fmax(longest_value, canvas_text_width(cv, FACE_SMALL, wr_str_text(&value)));
    }
    double left = fmax(96, fmin(longest + 30, 300)), right = fmax(130, longest_value + 28);
    if (cv->width < left + right + LEAST_PLOT) cv->narrow = true;
    canvas_rows(cv, n);
    canvas_frame(cv, cv->narrow ? canvas_label_column(cv, 0) : left, cv->narrow ? 40 : right, 10,
                 (double)n * (cv->narrow ? 40 : 36), 44);
    canvas_axes(cv, range[0], range[1], cv->y_first, cv->y_last);
    canvas_time_ticks(cv);
    canvas_block_begin(cv, "rows");
    for (size_t e = 0; e < n; e++) add_row(v, e, cv);
    canvas_block_end(cv, "rows");
    add_marks(v, cv);
}

const struct chart_builder chart_series = {.missing = missing, .words = words, .about = about, .build = build,
                                            .all_answers = true};
