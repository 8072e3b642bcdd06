/* Finish of every rehearsal, the trend, and the forecast for the next one. */
#include <math.h>
#include "chart_canvas.h"
#include "chart_line.h"
#include "chart_say.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/present/compare_view.h"
#include "wetrun/present/words.h"

enum kind { KIND_FIRST, KIND_SECOND, KIND_INCOMPLETE, KIND_INCOMPLETE_SECOND, N_KIND };
enum { NAMES_HEIGHT = 34 }; /* px below the levels, for the names of the rehearsals */

static const char *missing(const struct wr_chart_input *in)
{
    return chart_has_rehearsals(in) ? NULL : "rehearsals, and there are none yet";
}

static const int *line_up_of(const struct wr_timing *t, size_t run)
{
    return t->line_up && t->n_person > 0 ? t->line_up + run * t->n_lane : NULL;
}

static bool is_among(const int *person, size_t n, int who)
{
    for (size_t i = 0; i < n; i++)
        if (person[i] == who) return true;
    return false;
}

/* The same people, in whichever lanes. */
static bool same_people(const struct wr_timing *t, size_t a, size_t b)
{
    const int *p = line_up_of(t, a), *q = line_up_of(t, b);

    for (size_t l = 0; l < t->n_lane; l++)
        if (!is_among(p, t->n_lane, q[l]) || !is_among(q, t->n_lane, p[l])) return false;
    return true;
}

/* Runs by other people than the first one have a mark of their own if there are just two crews. Returns the first run
 * of the second, or n_run if there are not two. */
static size_t second_crew(const struct wr_timing *t)
{
    size_t second = t->n_run;

    for (size_t r = 0; r < t->n_run && line_up_of(t, r); r++) {
        if (same_people(t, 0, r) || (second < t->n_run && same_people(t, second, r))) continue;
        if (second < t->n_run) return t->n_run;
        second = r;
    }
    return second;
}

static enum kind kind_of(const struct wr_timing *t, size_t run, size_t second)
{
    bool by_second = second < t->n_run && same_people(t, second, run);

    if (!wr_run_is_whole(&t->run[run])) return by_second ? KIND_INCOMPLETE_SECOND : KIND_INCOMPLETE;
    return by_second ? KIND_SECOND : KIND_FIRST;
}

static void say_people(struct wr_str *out, const struct wr_timing *t, size_t run)
{
    const int *person = line_up_of(t, run);
    WR_SCOPED_STR readable = {0};

    for (size_t l = 0; l < t->n_lane; l++) {
        wr_str_add(&readable, l ? " and " : "");
        wr_str_add(&readable, person[l] < 0 ? "somebody" : t->person[person[l]]);
    }
    say_readable(out, wr_str_text(&readable));
}

static const struct wr_trend *trend_of(const struct wr_chart_input *in)
{
    return in->comparison && in->comparison->length_trend.known ? &in->comparison->length_trend : NULL;
}

/* The tasks, each counted alike, show a trend that their minutes together do not, or the other way round. */
static bool pace_goes_elsewhere(const struct wr_chart_input *in)
{
    const struct wr_comparison *c = in->comparison;

    return c && c->trend.known && wr_trend_shown(&c->trend) != wr_trend_shown(&c->length_trend);
}

/* The line of the runs' lengths, set at the height of the finishes: the logs of the complete runs' finishes lie on it
 * on average. Not by their lengths: incomplete runs, whose finish is none, have a part in the line of those and would
 * lift it off all finishes that are. How high that is, is not in the band: of few complete runs it is a matter of their
 * days' luck, and there is no line. n_placed: complete runs with a length. */
static struct chart_line place_trend(const struct wr_chart_input *in, size_t *n_placed)
{
    const struct wr_timing *t = in->timing;
    const struct wr_trend *trend = trend_of(in);
    struct chart_line line = {0};
    size_t n_complete = 0;
    double base_log = 0;

    *n_placed = 0;
    if (!trend || !in->comparison->run || in->comparison->n_run != t->n_run) return line;
    for (size_t r = 0; r < t->n_run; r++) {
        struct wr_maybe length = in->comparison->run[r].length;
        line.last_order = fmax(line.last_order, t->run[r].order);
        if (!length.known) continue;
        chart_line_place(&line, t->run[r].order);
        if (!wr_run_is_whole(&t->run[r])) continue;
        base_log += log(t->run[r].finish_without_holds_min) - trend->level_log -
                    trend->slope_log * log(t->run[r].order);
        n_complete++;
    }
    *n_placed = n_complete;
    if (n_complete >= WR_FEWEST_COMPLETE) chart_line_fit(&line, trend, base_log / (double)n_complete);
    return line;
}

static void say_trend(struct wr_str *out, const struct wr_trend *trend)
{
    bool shorter = trend->slope_log < 0;
    double least = shorter ? -trend->per_doubling_hi : trend->per_doubling_lo;
    double most = shorter ? -trend->per_doubling_lo : trend->per_doubling_hi;

    if (wr_trend_shown(trend) == 0) {
        wr_str_add(out, "No trend is shown: with each doubling of their number rehearsals change by ");
        say_change(out, trend->per_doubling_lo);
        wr_str_add(out, " to ");
        say_change(out, trend->per_doubling_hi);
        return;
    }
    wr_str_addf(out, "Rehearsals get %s, by %s to %s with each doubling of their number",
                shorter ? "shorter" : "longer", wr_percent(least, WR_ROOM), wr_percent(most, WR_ROOM));
}

/* What the line is drawn through, or why there is none. */
static void say_height(struct wr_str *out, size_t n_placed)
{
    if (n_placed >= WR_FEWEST_COMPLETE)
        wr_str_addf(out, " The line lies at the middle height of the %zu complete rehearsals, whose own luck "
                         "the dashed lines leave out.", n_placed);
    else
        wr_str_addf(out, " No line: fewer than %s complete rehearsals say how high it would lie.",
                    wr_count_words(WR_FEWEST_COMPLETE, WR_ROOM));
}

static void say_title(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_trend *trend = trend_of(in);
    double lo = INFINITY, hi = -INFINITY;

    if (trend) {
        say_trend(out, trend);
        return;
    }
    for (size_t r = 0; r < in->timing->n_run; r++) {
        lo = fmin(lo, in->timing->run[r].finish_without_holds_min);
        hi = fmax(hi, in->timing->run[r].finish_without_holds_min);
    }
    say_count(out, in->timing->n_run, "rehearsal", "rehearsals");
    wr_str_add(out, " took ");
    say_clock(out, lo);
    if (in->timing->n_run > 1) {
        wr_str_add(out, " to ");
        say_clock(out, hi);
    }
    if (in->timing->n_run < WR_TREND_LEAST_RUNS) wr_str_add(out, ": too few for a trend");
    say_capital(out);
}

static void say_marks(struct wr_str *out, const struct wr_timing *t)
{
    size_t second = second_crew(t), n_stands = 0, n_short = 0;
    bool by_minutes = false;

    for (size_t r = 0; r < t->n_run; r++) {
        if (wr_run_is_whole(&t->run[r])) continue;
        by_minutes |= t->run[r].by_minutes;
        n_stands += t->run[r].finish_stands;
        n_short += !t->run[r].finish_stands;
    }
    if (second < t->n_run) {
        wr_str_add(out, n_short + n_stands ? " Filled: " : " Disc: ");
        say_people(out, t, 0);
        wr_str_add(out, n_short + n_stands ? "; open: " : "; ring: ");
        say_people(out, t, second);
        wr_str_add(out, n_short + n_stands ? ";" : ".");
    }
    if (n_short + n_stands == 0) return;
    wr_str_add(out, second < t->n_run ? " triangle: " : " Triangle: ");
    if (n_short)
        wr_str_add(out, by_minutes ? "incomplete or without begin and end, at least this long"
                                   : "incomplete, at least this long");
    if (n_short && n_stands) wr_str_add(out, ", or ");
    if (n_stands) wr_str_add(out, "all done as shown, but how long some task took is not known");
    wr_str_add_char(out, '.');
}

static void widen(double range[2], double minutes)
{
    range[0] = fmin(range[0], minutes);
    range[1] = fmax(range[1], minutes);
}

/* How far the picture goes. The trend and the forecast may be open beyond all measure where little is known: they are
 * shown as far as a few times the longest rehearsal. Returns whether all of them is. */
static bool find_range(const struct wr_chart_input *in, const struct chart_line *line, double range[2])
{
    enum { TIMES_LONGEST = 3 };
    struct chart_limit limit;

    range[0] = INFINITY;
    range[1] = -INFINITY;
    for (size_t r = 0; r < in->timing->n_run; r++) widen(range, in->timing->run[r].finish_without_holds_min);
    double most = TIMES_LONGEST * fmax(range[1], 10);
    if (!say_missing_forecast(in)) {
        widen(range, in->forecast->lens_min[WR_LENS2_5]);
        widen(range, in->forecast->lens_min[WR_LENS97_5]);
    }
    if (line->known)
        for (enum chart_side side = SIDE_MIDDLE; side <= SIDE_HIGH; side++) {
            widen(range, chart_line_at(line, side, 1));
            widen(range, chart_line_at(line, side, line->last_order + 1));
        }
    bool whole = range[1] <= most;
    range[1] = fmin(range[1], most);
    double span = fmax(range[1] - range[0], 10);
    if (chart_limit_of(in, &limit) && limit.minutes > range[0] - span && limit.minutes < range[1] + span)
        widen(range, limit.minutes);
    range[0] -= 0.04 * span;
    range[1] += 0.04 * span;
    return whole;
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_timing *t = in->timing;
    const struct wr_trend *trend = trend_of(in);
    size_t n_placed;
    struct chart_line line = place_trend(in, &n_placed);
    bool parted = pace_goes_elsewhere(in);
    double range[2];

    say_title(&w->title, in);
    wr_str_add(&w->subtitle, "Finish without holds, elapsed h:mm.");
    if (trend) {
        wr_str_add(&w->subtitle, " Minutes of their tasks together, each doubling of rehearsals: ");
        say_change(&w->subtitle, trend->per_doubling);
        wr_str_add(&w->subtitle, " (");
        say_change(&w->subtitle, trend->per_doubling_lo);
        wr_str_add(&w->subtitle, " to ");
        say_change(&w->subtitle, trend->per_doubling_hi);
        wr_str_add(&w->subtitle, ", 90 % interval");
        wr_str_add(&w->subtitle, line.known ? "; dashed: the same for the trend)." : ").");
        say_height(&w->subtitle, n_placed);
    }
    if (parted) {
        wr_str_add_char(&w->subtitle, ' ');
        wr_pace_beside_length(in->comparison, &w->subtitle);
    }
    if (!find_range(in, &line, range))
        wr_str_add(&w->subtitle,
                   " The picture ends at three times the longest rehearsal: what is not known goes beyond.");
    say_marks(&w->subtitle, t);
    say_complete_by(&w->subtitle, in);
    wr_str_addf(&w->alt, "%s. ", wr_str_text(&w->title));
    if (parted) {
        wr_pace_beside_length(in->comparison, &w->alt);
        wr_str_add_char(&w->alt, ' ');
    }
    wr_str_add(&w->alt, "Finish of each rehearsal: ");
    for (size_t r = 0; r < t->n_run; r++) {
        wr_str_addf(&w->alt, "%s%s %s", r ? ", " : "", chart_run_name(in, r),
                    wr_run_is_whole(&t->run[r]) || t->run[r].finish_stands ? "" : "at least ");
        say_clock(&w->alt, t->run[r].finish_without_holds_min);
    }
    if (!say_missing_forecast(in)) {
        wr_str_add(&w->alt, ". Next, 80 of 100: ");
        say_clock(&w->alt, in->forecast->lens_min[WR_LENS10]);
        wr_str_add(&w->alt, " to ");
        say_clock(&w->alt, in->forecast->lens_min[WR_LENS90]);
    }
    wr_str_add(&w->alt, ".");
}

static void add_levels(struct canvas *cv)
{
    double each = canvas_time_step(cv->y_first - cv->y_last, 8);

    canvas_block_begin(cv, "levels");
    for (double i = ceil(cv->y_last / each); i * each <= cv->y_first; i++) {
        CANVAS_ROW(cv, i * each);
        canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->left - 8, canvas_px_y(cv, i * each), wr_moment(i * each, WR_ROOM));
    }
    canvas_block_end(cv, "levels");
}

/* A colour ends at the top of the plot, a line where it leaves it: plots/runs.gp leaves out what lies at the top. */
static double as_far_as_shown(const struct canvas *cv, double minutes)
{
    return fmin(minutes, cv->y_first);
}

static void add_trend(struct canvas *cv, const struct chart_line *line)
{
    enum { N_POINT = 48 };

    canvas_number(cv, "has_trend", line->known);
    canvas_block_begin(cv, "trend");
    for (int i = 0; line->known && i <= N_POINT; i++) {
        double order = 1 + line->last_order * i / N_POINT;
        canvas_cell(cv, order);
        for (enum chart_side side = SIDE_MIDDLE; side <= SIDE_HIGH; side++)
            canvas_cell(cv, as_far_as_shown(cv, chart_line_at(line, side, order)));
        canvas_row_end(cv);
    }
    canvas_block_end(cv, "trend");
}

static void add_runs(struct canvas *cv, const struct wr_timing *t)
{
    static const char *const has[] = {"has_first", "has_second", "has_short", "has_short_second"};
    size_t second = second_crew(t), n[N_KIND] = {0};

    canvas_block_begin(cv, "runs");
    for (size_t r = 0; r < t->n_run; r++) {
        enum kind kind = kind_of(t, r, second);
        CANVAS_ROW(cv, t->run[r].order, t->run[r].finish_without_holds_min, kind);
        n[kind]++;
    }
    canvas_block_end(cv, "runs");
    for (int i = 0; i < N_KIND; i++) canvas_number(cv, has[i], n[i] > 0);
}

/* Names from the last one backwards; one that would touch its neighbour is left out. */
static void add_names(const struct wr_chart_input *in, struct canvas *cv, double next_place)
{
    const struct wr_timing *t = in->timing;
    const char *next = in->target == WR_FOR_EXCURSION ? "excursion" : "next";
    double y = canvas_plot_bottom(cv) + NAMES_HEIGHT / 2.0, free_until = INFINITY;

    if (!say_missing_forecast(in)) {
        double half = canvas_text_width(cv, FACE_SMALL_INK, next) / 2, x = canvas_px_x(cv, next_place);
        x = fmin(x, cv->width - cv->margin - half);
        canvas_note(cv, FACE_SMALL_INK, ALIGN_CENTER, x, y, next);
        free_until = x - half - 6;
    }
    for (size_t i = t->n_run; i-- > 0;) {
        WR_SCOPED_STR name = {0};
        canvas_add_fit(cv, &name, FACE_SMALL, 90, chart_run_name(in, i));
        double half = canvas_text_width(cv, FACE_SMALL, wr_str_text(&name)) / 2, x = canvas_px_x(cv, t->run[i].order);
        if (x + half <= fmin(free_until, cv->width - 4) && x - half >= 4) {
            canvas_note(cv, FACE_SMALL, ALIGN_CENTER, x, y, wr_str_text(&name));
            free_until = x - half - 6;
        }
    }
}

/* What stands at the right end: the limit and the trend, kept apart. */
static void add_ends(const struct wr_chart_input *in, struct canvas *cv, const struct chart_line *line)
{
    struct chart_limit limit;
    WR_SCOPED_STR text = {0};
    double x = cv->width - cv->right + 6, limit_y = -INFINITY;

    if (chart_limit_of(in, &limit) && limit.minutes > cv->y_last && limit.minutes < cv->y_first) {
        wr_str_add(&text, "limit ");
        say_clock(&text, limit.minutes);
        limit_y = canvas_px_y(cv, limit.minutes);
        canvas_number(cv, "limit_level", limit.minutes);
        canvas_note(cv, FACE_ROW_BOLD, ALIGN_LEFT, x, limit_y, wr_str_text(&text));
    }
    if (line->known) {
        double end = chart_line_at(line, SIDE_MIDDLE, line->last_order + 1);
        double y = canvas_px_y(cv, as_far_as_shown(cv, end));
        if (fabs(y - limit_y) < 17) y = limit_y + (y < limit_y ? -17 : 17);
        canvas_note(cv, FACE_TREND, ALIGN_LEFT, x, y, "trend");
    }
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_timing *t = in->timing;
    size_t n_placed;
    struct chart_line line = place_trend(in, &n_placed);
    double range[2], last = 0;

    find_range(in, &line, range);
    for (size_t r = 0; r < t->n_run; r++) last = fmax(last, t->run[r].order);
    canvas_frame(cv, cv->narrow ? 48 : 66, cv->narrow ? 88 : 120, 12, cv->narrow ? 240 : 300, NAMES_HEIGHT);
    canvas_axes(cv, 0.6, last + 1.5, range[1], range[0]);
    add_levels(cv);
    add_trend(cv, &line);
    add_runs(cv, t);
    canvas_number(cv, "has_next", !say_missing_forecast(in));
    canvas_block_begin(cv, "rows");
    if (!say_missing_forecast(in)) {
        canvas_cell(cv, last + 1);
        for (size_t i = 0; i < WR_N_LENS; i++) canvas_cell(cv, as_far_as_shown(cv, in->forecast->lens_min[i]));
        canvas_row_end(cv);
    }
    canvas_block_end(cv, "rows");
    add_names(in, cv, last + 1);
    add_ends(in, cv, &line);
}

/* Of the next one, if it is drawn. */
static void about(const struct wr_chart_input *in, struct wr_str *out)
{
    if (in->forecast) say_about(in, out);
}

/* Its line, if it lies near enough to be drawn. */
static bool shows_limit(const struct wr_chart_input *in)
{
    size_t n_placed;
    struct chart_line line = place_trend(in, &n_placed);
    struct chart_limit limit;
    double range[2];

    find_range(in, &line, range);
    return chart_limit_of(in, &limit) && limit.minutes > range[0] && limit.minutes < range[1];
}

const struct chart_builder chart_runs = {.missing = missing, .words = words, .about = about, .build = build,
                                         .shows_limit = shows_limit};
