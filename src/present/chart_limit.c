/* How many of a hundred go over a limit, against that limit. */
#include <math.h>
#include <stdio.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "forecast_parts.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/words.h"

static const char *missing(const struct wr_chart_input *in)
{
    const char *no_forecast = say_missing_forecast(in);

    if (no_forecast) return no_forecast;
    const struct wr_forecast *f = in->forecast;
    return f->n_curve > 1 && f->curve_limit_min[f->n_curve - 1] > f->curve_limit_min[0]
               ? NULL
               : "finishes that differ, and every forecast finish is the same";
}

/* Nobody said what is wanted, so nothing is measured against a wish. */
static void say_plain_title(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_forecast *f = in->forecast;
    struct chart_limit limit;

    if (chart_limit_of(in, &limit)) {
        say_overrun(out, in, &limit);
    } else {
        wr_str_add(out, "half of the forecast finishes come by ");
        say_clock(out, f->quantile_min[WR_Q50]);
        wr_str_add(out, ", 95 of 100 by ");
        say_clock(out, f->quantile_min[WR_Q95]);
    }
    say_capital(out);
}

static void say_title(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_limit_needed need = wr_limit_needed(in->forecast, in->confidence.value);
    struct wr_maybe from = need.lo_min, to = need.hi_min, middle = need.middle_min;
    WR_SCOPED_STR open = {0};
    char kept[WR_WORDS];

    say_rests_on(&open, in, "leave");
    snprintf(kept, sizeof kept, "%.4g in 100", 100 * in->confidence.value);
    if (in->forecast->nothing_unknown && middle.known)
        wr_str_addf(out, "With what it rests on taken as known, %s keep a limit of %s", kept,
                    wr_moment(middle.value, WR_ROOM));
    else if (from.known && to.known && in->forecast->n_worse > 0)
        wr_str_addf(out, "The limit that %s keep lies anywhere from %s to %s", kept, wr_moment(from.value, WR_ROOM),
                    wr_moment(to.value, WR_ROOM));
    else if (from.known && to.known) {
        say_rests_on(out, in, "put");
        wr_str_addf(out, " the limit that %s keep anywhere from %s to %s", kept, wr_moment(from.value, WR_ROOM),
                    wr_moment(to.value, WR_ROOM));
    } else if (from.known)
        wr_str_addf(out, "The limit that %s keep is %s or later: how much later %s open", kept,
                    wr_moment(from.value, WR_ROOM), wr_str_text(&open));
    else if (middle.known)
        wr_str_addf(out, "About %s keep a limit of %s, but %s much open", kept, wr_moment(middle.value, WR_ROOM),
                    wr_str_text(&open));
    else
        wr_str_addf(out, "No limit shown here is kept by %s", kept);
    if (forecast_spans_answers(in->forecast) && from.known) /* wr_limit_needed spans them */
        wr_str_addf(out, " by %s", wr_all_answers_words(in->forecast));
    else
        say_by_first(out, in);
    say_capital(out);
}

/* ---- the answers together ---- */

/* The worse answer that is drawn beside the first: whose interval reaches furthest. NULL: there is one answer. */
static const struct wr_forecast *worst_of(const struct wr_forecast *f)
{
    const struct wr_forecast *worst = NULL;

    for (size_t i = 0; i < f->n_worse; i++) {
        const struct wr_forecast *w = f->worse[i];
        bool further = worst && (w->n_limit > 0 && worst->n_limit > 0
                                     ? w->limit[0].over.hi > worst->limit[0].over.hi
                                     : w->quantile_hi_min[WR_Q90] > worst->quantile_hi_min[WR_Q90]);
        if (!worst || further) worst = w;
    }
    return worst;
}

/* The falling curve of one answer at this limit; at its end beyond it. */
static double curve_at(const struct wr_forecast *f, const double *curve, double minutes)
{
    size_t i = 1;

    while (i + 1 < f->n_curve && f->curve_limit_min[i] < minutes) i++;
    double from = f->curve_limit_min[i - 1], to = f->curve_limit_min[i];
    double part = to > from ? fmin(fmax((minutes - from) / (to - from), 0), 1) : 0;
    return curve[i - 1] + part * (curve[i] - curve[i - 1]);
}

static double last_limit(const struct wr_forecast *f)
{
    return f->curve_limit_min[f->n_curve - 1];
}

/* The edges span all answers, as the limit needed in the title does (wr_limit_needed). */
static void edges_at(const struct wr_forecast *f, double minutes, double edge[2])
{
    edge[0] = curve_at(f, f->curve_lo, minutes);
    edge[1] = curve_at(f, f->curve_hi, minutes);
    for (size_t i = 0; i < f->n_worse; i++) {
        edge[0] = fmin(edge[0], curve_at(f->worse[i], f->worse[i]->curve_lo, minutes));
        edge[1] = fmax(edge[1], curve_at(f->worse[i], f->worse[i]->curve_hi, minutes));
    }
}

static void say_marks(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_forecast *f = in->forecast;

    if (f->nothing_unknown) {
        wr_str_add(out, "Line: forecast.");
        return;
    }
    if (f->n_worse == 0)
        wr_str_add(out, "Line: forecast. Dashed edges: 90 % interval, what ");
    else
        wr_str_addf(out,
                    "Line: the first of %s answers; thin line and ring: the wors%s. Dashed edges: 90 %% interval by "
                    "%s, what ",
                    f->n_worse > 1 ? "four" : "two", f->n_worse > 1 ? "t" : "e", wr_all_answers_words(f));
    say_rests_on(out, in, "leave");
    wr_str_add(out, " open.");
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_forecast *f = in->forecast;
    struct chart_limit limit;

    if (in->confidence.known)
        say_title(&w->title, in);
    else
        say_plain_title(&w->title, in);
    wr_str_add(&w->subtitle, "How many of 100 go over a limit, against that limit. ");
    say_marks(&w->subtitle, in);
    if (in->confidence.known)
        wr_str_addf(&w->subtitle, " Dash-dotted: the wish, at most %s.",
                    wr_allowed_of_100(in->confidence.value, WR_ROOM));
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    if (chart_limit_of(in, &limit)) {
        wr_str_add(&w->alt, " At ");
        say_clock(&w->alt, limit.minutes);
        wr_str_addf(&w->alt, " it is %s of 100, 90 %% interval ", wr_chance(&limit.over, WR_ROOM));
        wr_interval_cell(&limit.over, in->confidence, &w->alt);
        say_worse(&w->alt, in);
        wr_str_add(&w->alt, ".");
    }
    for (size_t i = 0; i < 3; i++) {
        size_t at = f->n_curve * (2 * i + 1) / 6;
        wr_str_add(&w->alt, i ? ", " : " Along the curve: ");
        say_clock(&w->alt, f->curve_limit_min[at]);
        wr_str_addf(&w->alt, " %s of 100", wr_of_100(f->curve_over[at], WR_ROOM));
    }
    wr_str_add(&w->alt, ".");
}

/* From this limit on hardly any goes over, even by the upper edge of this answer. */
static double hardly_over_from(const struct wr_forecast *f)
{
    struct wr_maybe from = wr_curve_crossing(f, f->curve_hi, 0.005), few = wr_curve_crossing(f, f->curve_hi, 0.02);
    double last = from.known ? from.value : last_limit(f);

    return few.known && last > 2 * few.value ? few.value : last; /* a long tail would squeeze what is to be seen */
}

/* The part of the curve where something happens: from where nine in ten still go over to where none does, the limit and
 * its surroundings included. */
static void find_range(const struct wr_chart_input *in, double range[2])
{
    const struct wr_forecast *f = in->forecast;
    struct wr_maybe from = wr_curve_crossing(f, f->curve_over, 0.9);
    struct chart_limit limit;

    range[0] = from.known ? from.value : f->curve_limit_min[0];
    range[1] = hardly_over_from(f);
    for (size_t i = 0; i < f->n_worse; i++) range[1] = fmax(range[1], hardly_over_from(f->worse[i]));
    double span = range[1] - range[0];
    if (chart_limit_of(in, &limit) && limit.minutes > range[0] - span && limit.minutes < range[1] + span) {
        range[0] = fmin(range[0], limit.minutes - 0.05 * span);
        range[1] = fmax(range[1], limit.minutes + 0.05 * span);
    }
    double round_to = range[1] - range[0] > 90 ? 15 : range[1] - range[0] > 20 ? 5 : 1;
    range[0] = floor(range[0] / round_to) * round_to;
    range[1] = ceil(range[1] / round_to) * round_to;
}

static void add_levels(struct canvas *cv)
{
    char text[16];

    canvas_block_begin(cv, "levels");
    for (int level = 0; level <= 100; level += 20) {
        CANVAS_ROW(cv, level);
        snprintf(text, sizeof text, "%d", level);
        canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 8, canvas_px_y(cv, level), text);
    }
    canvas_block_end(cv, "levels");
}

/* Limit, first answer, the edges that span all answers, the worst answer. An answer that was not looked at so far out
 * is not drawn there. */
static void add_curve_row(struct canvas *cv, const struct wr_forecast *f, double minutes)
{
    const struct wr_forecast *worst = worst_of(f);
    double edge[2];

    if (minutes < cv->x_first || minutes > cv->x_last) return;
    edges_at(f, minutes, edge);
    CANVAS_ROW(cv, minutes, minutes > last_limit(f) ? NAN : 100 * curve_at(f, f->curve_over, minutes), 100 * edge[0],
               100 * edge[1],
               !worst || minutes > last_limit(worst) ? NAN : 100 * curve_at(worst, worst->curve_over, minutes));
}

static void add_curve(struct canvas *cv, const struct wr_forecast *f)
{
    const struct wr_forecast *furthest = f;

    for (size_t i = 0; i < f->n_worse; i++)
        if (last_limit(f->worse[i]) > last_limit(furthest)) furthest = f->worse[i];
    canvas_block_begin(cv, "curve");
    for (size_t i = 0; i < f->n_curve; i++) add_curve_row(cv, f, f->curve_limit_min[i]);
    for (size_t i = 0; furthest != f && i < furthest->n_curve; i++)
        if (furthest->curve_limit_min[i] > last_limit(f)) add_curve_row(cv, f, furthest->curve_limit_min[i]);
    canvas_block_end(cv, "curve");
}

/* px that are taken */
struct region {
    double left, right, top, bottom;
};

static bool is_free(const struct region *taken, double left, double right, double y)
{
    return right < taken->left || left > taken->right || y + 8 < taken->top || y - 8 > taken->bottom;
}

static bool is_beside(double line, double left, double right)
{
    return line < left - 4 || line > right + 4;
}

/* "worse: 3 (<1 to 15)" */
static void say_worst_beside(struct wr_str *out, const struct wr_forecast *f, const struct wr_probability *worst,
                             struct wr_maybe confidence)
{
    wr_str_addf(out, "wors%s: %s", f->n_worse > 1 ? "t" : "e",
                wr_chance_cell(worst, WR_ROOM));
    wr_interval_beside(worst, confidence, out);
}

/* Ends of the interval and the number itself, of the first answer and then of the worst. */
static void add_bracket_rows(struct canvas *cv, double minutes, const struct wr_probability *over,
                             const struct wr_probability *worst)
{
    canvas_number(cv, "limit", minutes);
    canvas_block_begin(cv, "bracket");
    for (int i = 0; i < (worst ? 4 : 2); i++) {
        const struct wr_probability *of = i < 2 ? over : worst;
        CANVAS_ROW(cv, minutes, 100 * (i % 2 ? of->hi : of->lo), 100 * of->mean);
    }
    canvas_block_end(cv, "bracket");
    canvas_number(cv, "has_worst", worst != NULL);
}

/* The forecast at the excursion limit: a point and its bracket, and their numbers above both, where no curve that falls
 * to the right of them runs. The worst answer likewise. */
static struct region add_bracket(struct canvas *cv, const struct wr_chart_input *in, const struct chart_limit *l)
{
    const struct wr_forecast *other = worst_of(in->forecast);
    bool reaches = in->forecast->n_limit > 0 && in->forecast->limit[0].second.known;
    const struct wr_probability *worst = other && reaches ? &other->limit[0].over : NULL;
    WR_SCOPED_STR text = {0}, interval = {0}, beside_it = {0};
    double x = canvas_px_x(cv, l->minutes);
    bool has_interval = !l->over.no_interval && !wr_interval_adds_nothing(&l->over, in->confidence);
    say_clock(&text, l->minutes);
    wr_str_addf(&text, ": %s of 100", wr_chance(&l->over, WR_ROOM));
    if (has_interval) wr_interval_cell(&l->over, in->confidence, &interval);
    if (worst) say_worst_beside(&beside_it, in->forecast, worst, in->confidence);
    double width = fmax(canvas_text_width(cv, FACE_ROW_BOLD, text.text),
                        canvas_text_width(cv, FACE_SMALL_INK, wr_str_text(&beside_it))) + 12;
    bool right = x + width <= cv->width - (cv->narrow ? cv->margin : cv->right);
    enum align side = right ? ALIGN_LEFT : ALIGN_RIGHT;
    double beside = right ? x + 9 : x - 9, line = 16;
    double height = 4 + line * (1 + (has_interval ? 1 : 0) + (worst ? 1 : 0));

    add_bracket_rows(cv, l->minutes, &l->over, worst);
    double y = canvas_px_y(cv, 100 * fmax(l->over.hi, worst ? worst->hi : 0));
    y = fmax(y, canvas_plot_top(cv) + fmax(height, 36));
    struct region taken = {right ? x - 8 : x - width, right ? x + width : x + 8, y - fmax(height, 36), y - 4};
    y -= 12;
    if (worst) canvas_note(cv, FACE_SMALL_INK, side, beside, y, beside_it.text);
    if (worst) y -= line;
    if (has_interval) canvas_note(cv, FACE_SMALL_INK, side, beside, y, interval.text);
    if (has_interval) y -= line;
    canvas_note(cv, FACE_ROW_BOLD, side, beside, y, text.text);
    return taken;
}

/* Whether a falling curve runs through the text at this height. */
static bool runs_through(const struct canvas *cv, const struct wr_forecast *f, const double *curve, double left,
                         double right, double y)
{
    double first = canvas_px_x(cv, cv->x_first);
    double per_px = (cv->x_last - cv->x_first) / (canvas_px_x(cv, cv->x_last) - first);
    double above = canvas_px_y(cv, 100 * curve_at(f, curve, cv->x_first + (left - 4 - first) * per_px));
    double below = canvas_px_y(cv, 100 * curve_at(f, curve, cv->x_first + (right + 4 - first) * per_px));

    return below > y - 8 && above < y + 8;
}

static bool is_off_curves(const struct canvas *cv, const struct wr_forecast *f, double left, double right, double y)
{
    for (size_t i = 0; i <= f->n_worse; i++) {
        const struct wr_forecast *of = i < f->n_worse ? f->worse[i] : f;
        const double *const curve[] = {of->curve_over, of->curve_lo, of->curve_hi};
        for (size_t c = 0; c < 3; c++)
            if (runs_through(cv, of, curve[c], left, right, y)) return false;
    }
    return true;
}

/* The wish is named right of the plot; when narrow on its line, at one end, if the forecast's own numbers, the limit's
 * line and the curves leave room. The subtitle names it too. */
static void add_wish(struct canvas *cv, const struct wr_forecast *f, double confidence, const struct region *taken,
                     double limit_px)
{
    WR_SCOPED_STR text = {0};
    double allowed = 100 * (1 - confidence), y = canvas_px_y(cv, allowed), last_x = cv->width - cv->right;

    wr_str_addf(&text, "wanted: at most %s", wr_allowed_of_100(confidence, WR_ROOM));
    double width = canvas_text_width(cv, FACE_SMALL_INK, text.text);
    canvas_number(cv, "wanted", allowed);
    if (!cv->narrow) canvas_note(cv, FACE_SMALL_INK, ALIGN_LEFT, last_x + 8, y, text.text);
    for (int at = 0; cv->narrow && at < 2; at++) {
        double x = at ? last_x - width : cv->left + 4;
        if (!is_free(taken, x, x + width, y - 9) || !is_beside(limit_px, x, x + width) ||
            !is_off_curves(cv, f, x, x + width, y - 9))
            continue;
        canvas_note(cv, FACE_SMALL_INK, ALIGN_LEFT, x, y - 9, text.text);
        return;
    }
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    struct chart_limit limit;
    struct region taken = {0, 0, 0, 0};
    double range[2], limit_px = -INFINITY;

    find_range(in, range);
    canvas_frame(cv, cv->narrow ? 44 : 60, cv->narrow ? 26 : 140, 14, cv->narrow ? 230 : 320, 46);
    canvas_axes(cv, range[0], range[1], 100, 0);
    add_levels(cv);
    canvas_time_ticks(cv);
    add_curve(cv, in->forecast);
    if (chart_limit_of(in, &limit) && limit.minutes >= range[0] && limit.minutes <= range[1]) {
        taken = add_bracket(cv, in, &limit);
        limit_px = canvas_px_x(cv, limit.minutes);
    }
    if (in->confidence.known) add_wish(cv, in->forecast, in->confidence.value, &taken, limit_px);
}

/* What the wish takes by the worst answer, in a number. */
static void about(const struct wr_chart_input *in, struct wr_str *out)
{
    const struct wr_present_second *worst = NULL;
    WR_SCOPED_STR assumed = {0};

    say_about(in, out);
    for (size_t i = 0; in->context && i < in->context->n_second; i++) {
        const struct wr_present_second *second = &in->context->second[i];
        if (!second->needed_min.known || !second->confidence.known) continue;
        if (!worst || second->needed_min.value > worst->needed_min.value) worst = second;
    }
    if (!worst) return;
    wr_assumed_words(worst->is.kind, worst->is.percent, &assumed);
    wr_str_addf(out, " For %s it takes a limit of %s (%s).", wr_percent(worst->confidence.value, WR_ROOM),
                wr_moment(worst->needed_min.value, WR_ROOM), wr_str_text(&assumed));
}

const struct chart_builder chart_limit_curve = {
    .missing = missing, .words = words, .about = about, .build = build, .all_answers = true};
