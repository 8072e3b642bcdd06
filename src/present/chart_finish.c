/* A hundred forecast finishes as a hundred dots, the lens below them, and the limit. */
#include <math.h>
#include "chart_say.h"
#include "chart_canvas.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum {
    N_DOT = 100,
    MOST_BINS_WIDE = 44,
    MOST_BINS_NARROW = 30,
    LEAST_BINS = 24,
    MOST_HEIGHT = 340,  /* px of the tallest column; beyond, dots shrink */
    SAY_HEIGHT = 46,    /* px above the dots, for the limit's words */
    UNDER_HEIGHT = 94,  /* px below the ground line: lens and percentiles */
    LENS_DROP = 22,     /* px from the ground line to the lens */
    MARK_FIRST = 44, MARK_STEP = 17, /* px from the ground line to the words of the percentiles */
};

/* Percentiles that are named; at: index into wr_forecast.quantile_min */
static const struct {
    size_t at;
    const char *words;
} named[] = {{4, "half by"}, {6, "80 of 100 by"}, {8, "95 of 100 by"}};
enum { N_NAMED = sizeof named / sizeof *named };

static void say_percentiles(struct wr_str *out, const struct wr_forecast *f)
{
    wr_str_add(out, "half of the forecast finishes come by ");
    say_clock(out, f->quantile_min[named[0].at]);
    wr_str_add(out, ", 80 of 100 by ");
    say_clock(out, f->quantile_min[named[1].at]);
    wr_str_add(out, ", 95 of 100 by ");
    say_clock(out, f->quantile_min[named[2].at]);
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_forecast *f = in->forecast;
    struct chart_limit limit;
    bool limited = chart_limit_of(in, &limit);

    if (limited)
        say_overrun(&w->title, in, &limit);
    else
        say_percentiles(&w->title, f);
    say_capital(&w->title);
    wr_str_addf(
        &w->subtitle,
        "Elapsed time, h:mm. Each dot is one in a hundred simulated %s%s. The lens below holds 50, 80 and 95 of 100.",
        say_simulated(in), limited ? "; rings go over the limit" : "");
    wr_str_add(&w->alt, "One hundred dots along elapsed time, from ");
    say_clock(&w->alt, f->hundredth_min[0]);
    wr_str_add(&w->alt, " to ");
    say_clock(&w->alt, f->hundredth_min[N_DOT - 1]);
    wr_str_add(&w->alt, ": ");
    say_percentiles(&w->alt, f);
    if (limited) {
        wr_str_addf(&w->alt, ". Past the limit of ");
        say_clock(&w->alt, limit.minutes);
        wr_str_addf(&w->alt, ": %s of 100; the 90 %% interval of that number is ", wr_chance(&limit.over, WR_ROOM));
        wr_interval_cell(&limit.over, in->confidence, &w->alt);
        say_worse(&w->alt, in);
    }
    wr_str_add(&w->alt, ".");
}

/* Equal bins of a round width; with a limit, one of their borders is the limit. Dots far out stand in the last. */
struct bins {
    double first, step; /* minutes: left border of bin 0, width */
    size_t n;
    bool has_limit;     /* a limit was given and lies near enough to be drawn */
    double limit;
    int n_over;         /* dots past it: the number said everywhere */
};

static double bin_width(double span, double most)
{
    static const double width[] = {1.0 / 60, 1.0 / 30, 1.0 / 12, 1.0 / 6, 0.25, 0.5, 1,   2,   3,  4,
                                   5,        10,       15,       20,      30,   60,  120, 240, 480};
    enum { N = sizeof width / sizeof *width };

    for (size_t i = 0; i < N; i++)
        if (span / width[i] <= most) return width[i];
    return width[N - 1] * ceil(span / width[N - 1] / most);
}

static struct bins make_bins(const struct wr_chart_input *in, double most)
{
    const double *q = in->forecast->hundredth_min;
    double lo = q[0], hi = fmin(q[N_DOT - 1], 1.5 * in->forecast->lens_min[WR_LENS97_5]), span = hi - lo;
    struct chart_limit limit;
    struct bins b = {0};

    if (chart_limit_of(in, &limit)) {
        b.limit = limit.minutes;
        b.n_over = wr_count_of_100(limit.over.mean);
        /* a limit far from every finish would squeeze the dots: it is then only spoken of */
        b.has_limit = b.limit > lo - span - 30 && b.limit < hi + span + 30;
    }
    double anchor = b.has_limit ? b.limit : 0;
    if (b.has_limit) {
        lo = fmin(lo, b.limit);
        hi = fmax(hi, b.limit);
    }
    b.step = bin_width(hi - lo, most);
    double before = ceil((anchor - lo) / b.step - 1e-9) + 1, behind = ceil((hi - anchor) / b.step - 1e-9) + 1;
    while (before + behind < LEAST_BINS) {
        before++;
        behind++;
    }
    b.first = anchor - before * b.step;
    b.n = (size_t)(before + behind);
    return b;
}

static bool is_over(const struct bins *b, size_t i)
{
    return i >= N_DOT - (size_t)b->n_over;
}

/* The bin of finish i. The count past the limit is the stated one, rounded once; where a quantile lies on the other
 * side of the limit by less than a dot's worth it is drawn on the side it counts for. */
static size_t bin_of(const struct bins *b, const double *q, size_t i)
{
    double at = floor((q[i] - b->first) / b->step + 1e-9);

    if (b->has_limit) {
        double border = round((b->limit - b->first) / b->step);
        at = is_over(b, i) ? fmax(at, border) : fmin(at, border - 1);
    }
    return at < 0 ? 0 : at > (double)b->n - 1 ? b->n - 1 : (size_t)at;
}

static size_t tallest(const struct bins *b, const double *q)
{
    size_t most = 0, run = 0;

    for (size_t i = 0; i < N_DOT; i++) {
        run = i > 0 && bin_of(b, q, i) == bin_of(b, q, i - 1) ? run + 1 : 1;
        if (run > most) most = run;
    }
    return most;
}

static void add_dots(struct canvas *cv, const struct bins *b, const double *q, double base, double dot)
{
    size_t height = 0;

    canvas_block_begin(cv, "dots");
    for (size_t i = 0; i < N_DOT; i++) {
        size_t bin = bin_of(b, q, i);
        height = i > 0 && bin_of(b, q, i - 1) == bin ? height + 1 : 1;
        CANVAS_ROW(cv, b->first + ((double)bin + 0.5) * b->step, base - ((double)height - 0.5) * dot, is_over(b, i));
    }
    canvas_block_end(cv, "dots");
    canvas_number(cv, "has_inside", b->n_over < N_DOT);
    canvas_number(cv, "has_over", b->n_over > 0);
}

/* "1 later, by 32:15" above the last dots, where they are drawn earlier than they come. */
static void add_far_out(struct canvas *cv, const struct bins *b, const double *q, double base, double dot)
{
    WR_SCOPED_STR text = {0};
    double last = b->first + b->step * (double)b->n;
    size_t n_later = 0, height = 0;

    for (size_t i = 0; i < N_DOT; i++) {
        n_later += q[i] > last;
        height += bin_of(b, q, i) == b->n - 1;
    }
    if (n_later == 0) return;
    wr_str_addf(&text, "%zu later, by ", n_later);
    say_clock(&text, q[N_DOT - 1]);
    wr_str_add(&text, " \xe2\x86\x92");
    canvas_note(cv, FACE_SMALL, ALIGN_RIGHT, cv->width - cv->margin, base - (double)height * dot - 12,
                wr_str_text(&text));
}

static void add_percentiles(struct canvas *cv, const struct wr_forecast *f, double base)
{
    WR_SCOPED_STR text = {0};

    canvas_block_begin(cv, "marks");
    for (size_t i = 0; i < N_NAMED; i++) {
        double at = f->quantile_min[named[i].at], y = base + MARK_FIRST + MARK_STEP * (double)i;
        double x = canvas_px_x(cv, at);
        CANVAS_ROW(cv, at, base + LENS_DROP, y);
        wr_str_clear(&text);
        wr_str_addf(&text, "%s ", named[i].words);
        say_clock(&text, at);
        bool fits = x - 5 - canvas_text_width(cv, FACE_ROW, wr_str_text(&text)) >= cv->margin;
        canvas_note(cv, FACE_ROW, fits ? ALIGN_RIGHT : ALIGN_LEFT, fits ? x - 5 : x + 5, y, wr_str_text(&text));
    }
    canvas_block_end(cv, "marks");
}

/* "9 of 100 go over the limit"; brief: "9 over it" */
static void say_over(struct wr_str *out, const struct wr_probability *over, bool brief)
{
    const char *text = wr_chance(over, WR_ROOM);

    if (brief) wr_str_addf(out, "%s over it", text);
    else wr_str_addf(out, "%s of 100 %s the limit", text, wr_go_over(over->mean));
}

/* The limit's words: its name, how many are inside, how many go over it. Beside the line where there is room; all on
 * one side of it where there is not. */
static void add_limit_words(struct canvas *cv, const struct chart_limit *l, double top)
{
    WR_SCOPED_STR limit = {0}, inside = {0}, past = {0};
    double x = canvas_px_x(cv, l->minutes), left_room = x - 6 - cv->margin, right_room = cv->width - cv->margin - x - 6;
    int n_inside = N_DOT - wr_count_of_100(l->over.mean);

    wr_str_add(&limit, "limit ");
    say_clock(&limit, l->minutes);
    wr_str_addf(&inside, "%d of 100 inside", n_inside);
    say_over(&past, &l->over, cv->narrow);
    bool right_fits = fmax(canvas_text_width(cv, FACE_ROW, past.text),
                           canvas_text_width(cv, FACE_ROW_BOLD, limit.text)) <= right_room;
    bool left_fits = canvas_text_width(cv, FACE_ROW, inside.text) <= left_room;
    enum align side = right_fits ? ALIGN_LEFT : ALIGN_RIGHT;
    double beside = right_fits ? x + 6 : x - 6;

    canvas_note(cv, FACE_ROW_BOLD, side, beside, top + 8, limit.text);
    canvas_note(cv, FACE_ROW, side, beside, top + 25, past.text);
    if (left_fits && right_fits && n_inside > 0 && n_inside < N_DOT)
        canvas_note(cv, FACE_ROW, ALIGN_RIGHT, x - 6, top + 25, inside.text);
}

static void add_far_limit_words(struct canvas *cv, const struct chart_limit *l, const struct wr_forecast *f, double top)
{
    WR_SCOPED_STR limit = {0}, past = {0};
    bool right = l->minutes > f->hundredth_min[N_DOT - 1];
    enum align side = right ? ALIGN_RIGHT : ALIGN_LEFT;
    double x = right ? cv->width - cv->margin : cv->margin;

    wr_str_add(&limit, right ? "limit " : "\xe2\x86\x90 limit ");
    say_clock(&limit, l->minutes);
    if (right) wr_str_add(&limit, " \xe2\x86\x92");
    say_over(&past, &l->over, cv->narrow);
    canvas_note(cv, FACE_ROW_BOLD, side, x, top + 8, limit.text);
    canvas_note(cv, FACE_ROW, side, x, top + 25, past.text);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_forecast *f = in->forecast;
    const double *q = f->hundredth_min;
    struct bins b = make_bins(in, cv->narrow ? MOST_BINS_NARROW : MOST_BINS_WIDE);
    struct chart_limit limit;
    bool limited = chart_limit_of(in, &limit);
    double edge = cv->narrow ? 22 : 30, say = limited ? SAY_HEIGHT : 8;
    double rows = (double)tallest(&b, q), dot = fmin((cv->width - 2 * edge) / (double)b.n, MOST_HEIGHT / rows);
    double column = ceil(rows * dot);

    canvas_frame(cv, edge, edge, 6, say + column + UNDER_HEIGHT, 36);
    canvas_axes(cv, b.first, b.first + b.step * (double)b.n, 0, 1);
    double base = canvas_plot_top(cv) + say + column;
    canvas_number(cv, "dot_px", dot);
    canvas_number(cv, "base_px", base);
    canvas_number(cv, "lens_px", base + LENS_DROP);
    if (b.has_limit) {
        canvas_number(cv, "limit", b.limit);
        canvas_number(cv, "limit_top_px", canvas_plot_top(cv));
        add_limit_words(cv, &limit, canvas_plot_top(cv));
    } else if (limited) {
        add_far_limit_words(cv, &limit, f, canvas_plot_top(cv));
    }
    add_dots(cv, &b, q, base, dot);
    add_far_out(cv, &b, q, base, dot);
    canvas_block_begin(cv, "rows");
    canvas_cell(cv, 1);
    canvas_lens_cells(cv, f->lens_min, NULL);
    canvas_row_end(cv);
    canvas_block_end(cv, "rows");
    add_percentiles(cv, f, base);
    canvas_time_ticks(cv);
}

/* With a limit the title has both answers. */
static void about(const struct wr_chart_input *in, struct wr_str *out)
{
    struct chart_limit limit;

    if (!chart_limit_of(in, &limit)) {
        say_about(in, out);
        return;
    }
    say_doubt(out, in);
    say_target(out, in);
}

const struct chart_builder chart_finish = {
    .missing = say_missing_forecast, .words = words, .about = about, .build = build};
