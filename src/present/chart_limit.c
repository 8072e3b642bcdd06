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
    const char *open = chart_has_rehearsals(in) ? "the rehearsals leave" : "judgement leaves";
    char kept[WR_WORDS];

    snprintf(kept, sizeof kept, "%.4g in 100", 100 * in->confidence.value);
    if (in->forecast->nothing_unknown && middle.known)
        wr_str_addf(out, "With what is given taken as known, %s keep a limit of %s", kept,
                    wr_moment(middle.value, WR_ROOM));
    else if (from.known && to.known && in->forecast->n_worse > 0)
        wr_str_addf(out, "The limit that %s keep lies anywhere from %s to %s", kept, wr_moment(from.value, WR_ROOM),
                    wr_moment(to.value, WR_ROOM));
    else if (from.known && to.known)
        wr_str_addf(out, "%s the limit that %s keep anywhere from %s to %s",
                    chart_has_rehearsals(in) ? "The rehearsals put" : "Judgement puts", kept,
                    wr_moment(from.value, WR_ROOM), wr_moment(to.value, WR_ROOM));
    else if (from.known)
        wr_str_addf(out, "The limit that %s keep is %s or later: how much later %s open", kept,
                    wr_moment(from.value, WR_ROOM), open);
    else if (middle.known)
        wr_str_addf(out, "About %s keep a limit of %s, but %s much open", kept, wr_moment(middle.value, WR_ROOM),
                    open);
    else
        wr_str_addf(out, "No limit shown here is kept by %s", kept);
    if (forecast_spans_answers(in->forecast) && from.known) /* wr_limit_needed spans them */
        wr_str_addf(out, " by %s", wr_all_answers_words(in->forecast));
    else
        say_by_first(out, in);
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_forecast *f = in->forecast;
    struct chart_limit limit;

    if (in->confidence.known)
        say_title(&w->title, in);
    else
        say_plain_title(&w->title, in);
    wr_str_addf(&w->subtitle,
                "How many of 100 go over a limit, against that limit. Line: forecast. Dashed edges: 90 %% interval, "
                "what %s open.",
                chart_has_rehearsals(in) ? "the rehearsals leave" : "judgement leaves");
    if (in->confidence.known)
        wr_str_addf(&w->subtitle, " Dash-dotted: the wish, at most %s.",
                    wr_allowed_of_100(in->confidence.value, WR_ROOM));
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    if (chart_limit_of(in, &limit)) {
        wr_str_add(&w->alt, " At ");
        say_clock(&w->alt, limit.minutes);
        wr_str_addf(&w->alt, " it is %s of 100, 90 %% interval ", wr_of_100(limit.over.mean, WR_ROOM));
        wr_interval_cell(&limit.over, in->confidence, &w->alt);
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

/* The part of the curve where something happens: from where nine in ten still go over to where none does, the limit and
 * its surroundings included. */
static void find_range(const struct wr_chart_input *in, double range[2])
{
    const struct wr_forecast *f = in->forecast;
    struct wr_maybe from = wr_curve_crossing(f, f->curve_over, 0.9), to = wr_curve_crossing(f, f->curve_hi, 0.005);
    struct chart_limit limit;

    range[0] = from.known ? from.value : f->curve_limit_min[0];
    range[1] = to.known ? to.value : f->curve_limit_min[f->n_curve - 1];
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

static void add_curve(struct canvas *cv, const struct wr_forecast *f)
{
    canvas_block_begin(cv, "curve");
    for (size_t i = 0; i < f->n_curve; i++) {
        if (f->curve_limit_min[i] < cv->x_first || f->curve_limit_min[i] > cv->x_last) continue;
        CANVAS_ROW(cv, f->curve_limit_min[i], 100 * f->curve_over[i], 100 * f->curve_lo[i], 100 * f->curve_hi[i]);
    }
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

/* The forecast at the excursion limit: a point and its bracket, and their numbers above both, where no curve that falls
 * to the right of them runs. */
static struct region add_bracket(struct canvas *cv, const struct chart_limit *l, struct wr_maybe confidence)
{
    WR_SCOPED_STR text = {0}, interval = {0};
    double x = canvas_px_x(cv, l->minutes), y_hi = canvas_px_y(cv, 100 * l->over.hi);
    bool has_interval = !l->over.no_interval && !wr_interval_adds_nothing(&l->over, confidence);
    say_clock(&text, l->minutes);
    wr_str_addf(&text, ": %s of 100", wr_of_100(l->over.mean, WR_ROOM));
    double width = canvas_text_width(cv, FACE_ROW_BOLD, text.text) + 12;
    bool right = x + width <= cv->width - (cv->narrow ? cv->margin : cv->right);
    enum align side = right ? ALIGN_LEFT : ALIGN_RIGHT;
    double beside = right ? x + 9 : x - 9;

    canvas_number(cv, "limit", l->minutes);
    canvas_block_begin(cv, "bracket");
    for (int i = 0; i < 2; i++) {
        CANVAS_ROW(cv, l->minutes, 100 * (i ? l->over.hi : l->over.lo), 100 * l->over.mean);
    }
    canvas_block_end(cv, "bracket");
    y_hi = fmax(y_hi, canvas_plot_top(cv) + 36);
    if (has_interval) {
        wr_interval_cell(&l->over, confidence, &interval);
        canvas_note(cv, FACE_SMALL_INK, side, beside, y_hi - 12, interval.text);
    }
    canvas_note(cv, FACE_ROW_BOLD, side, beside, y_hi - (has_interval ? 28 : 12), text.text);
    return (struct region){right ? x - 8 : x - width, right ? x + width : x + 8, y_hi - 36, y_hi - 4};
}

/* The wish is named right of the plot; when narrow on its line, if the forecast's own numbers and the limit's line
 * leave room. */
static void add_wish(struct canvas *cv, double confidence, const struct region *taken, double limit_px)
{
    WR_SCOPED_STR text = {0};
    double allowed = 100 * (1 - confidence), y = canvas_px_y(cv, allowed) - 9, x = cv->left + 4;
    double last_x = cv->width - cv->right;

    wr_str_addf(&text, "wanted: at most %s", wr_allowed_of_100(confidence, WR_ROOM));
    double width = canvas_text_width(cv, FACE_SMALL_INK, text.text);
    canvas_number(cv, "wanted", allowed);
    if (!cv->narrow) {
        x = last_x + 8;
        y += 9;
    } else if (!is_free(taken, x, x + width, y) || !is_beside(limit_px, x, x + width)) {
        x = last_x - width;
    }
    if (!cv->narrow || (is_free(taken, x, x + width, y) && is_beside(limit_px, x, x + width)))
        canvas_note(cv, FACE_SMALL_INK, ALIGN_LEFT, x, y, text.text);
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
        taken = add_bracket(cv, &limit, in->confidence);
        limit_px = canvas_px_x(cv, limit.minutes);
    }
    if (in->confidence.known) add_wish(cv, in->confidence.value, &taken, limit_px);
}

/* The curve is that of the first answer: what the wish takes by the worst one is not on it. */
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
    .missing = missing, .words = words, .about = about, .build = build};
