/* Every lane as a course through its tasks, with the spread of each start and end. */
#include <math.h>
#include <string.h>
#include "chart_say.h"
#include "chart_canvas.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { MEDIAN = 3, LENS_10 = 1, LENS_90 = 5, N_LEVEL = 3 };
static const double head_rows = 1.1, gap_rows = 0.7; /* above and below a lane, in rows */
static const double least_wait_said = 3.5, least_wait_drawn = 0.5; /* minutes */

static bool takes_part(const struct wr_plan_task *task, size_t lane)
{
    return task->lanes >> lane & 1u;
}

static bool is_joint(const struct wr_plan_task *task)
{
    return task->n_lane > 1;
}

static size_t last_task_of(const struct wr_plan *plan, size_t lane)
{
    for (size_t k = plan->n_task; k-- > 0;)
        if (takes_part(&plan->task[k], lane)) return k;
    return SIZE_MAX;
}

/* The task that ends every lane, or SIZE_MAX. */
static size_t common_end(const struct wr_plan *plan)
{
    size_t last = last_task_of(plan, 0);

    for (size_t l = 1; l < plan->n_lane; l++)
        if (last_task_of(plan, l) != last) return SIZE_MAX;
    return last;
}

/* " between 5:18 and 6:28, 8 times in 10" */
static void say_between(struct wr_str *out, const double lens[WR_N_LENS])
{
    char lo[WR_CLOCK_TEXT], hi[WR_CLOCK_TEXT];

    if (strcmp(wr_moment(lens[LENS_10], lo), wr_moment(lens[LENS_90], hi)) == 0)
        wr_str_addf(out, " at %s", lo);
    else
        wr_str_addf(out, " between %s and %s, 8 times in 10", lo, hi);
}

/* The lane that is done last and the one that waits most, by their medians. */
static size_t lane_most(const struct wr_forecast *f, double (*of)(const struct wr_lane_outlook *))
{
    size_t most = 0;

    for (size_t l = 1; l < f->n_lane; l++)
        if (of(&f->lane[l]) > of(&f->lane[most])) most = l;
    return most;
}

static double waiting(const struct wr_lane_outlook *lane)
{
    return lane->waiting_min;
}

static double finish(const struct wr_lane_outlook *lane)
{
    return lane->finish_p50_min;
}

/* With those that the same task ends. */
static void say_last(struct wr_str *out, const struct wr_plan *plan, size_t last)
{
    size_t n = 0;

    wr_str_add(out, "; usually ");
    for (size_t l = 0; l < plan->n_lane; l++) {
        if (last_task_of(plan, l) != last_task_of(plan, last)) continue;
        if (n++ > 0) wr_str_add(out, " and ");
        say_quoted(out, plan->lane[l]);
    }
    wr_str_add(out, n > 1 ? " are last" : " is last");
}

static void say_title(struct wr_str *out, const struct wr_plan *plan, const struct wr_forecast *f)
{
    size_t end = common_end(plan);

    if (plan->n_lane == 1) {
        say_quoted(out, plan->lane[0]);
        wr_str_add(out, " is done");
        say_between(out, f->lens_min);
        return;
    }
    if (end != SIZE_MAX) {
        wr_str_addf(out, "%s lanes finish together",
                    plan->n_lane == 2 ? "both" : wr_count_words(plan->n_lane, WR_ROOM));
        say_between(out, f->lens_min);
    } else {
        wr_str_addf(out, "%s lanes are done", plan->n_lane == 2 ? "both" : wr_count_words(plan->n_lane, WR_ROOM));
        say_between(out, f->lens_min);
        say_last(out, plan, lane_most(f, finish));
    }
    size_t most = lane_most(f, waiting);
    if (f->lane[most].waiting_min >= 1) {
        wr_str_add(out, end != SIZE_MAX ? "; " : ", and ");
        say_quoted(out, plan->lane[most]);
        wr_str_addf(out, " waits longest, %.0f min in all", f->lane[most].waiting_min);
    }
}

/* Moments of work that most days leave out are those of other days than its neighbours'. */
static bool is_seldom_done(const struct wr_forecast *f, size_t task)
{
    return f->task[task].dropped > 0.5;
}

static bool is_drawn(const struct wr_chart_input *in, size_t task, size_t lane)
{
    return takes_part(&in->plan->task[task], lane) && !is_seldom_done(in->forecast, task);
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    size_t n_seldom = 0;

    const struct wr_plan *plan = in->plan;
    const struct wr_forecast *f = in->forecast;

    say_title(&w->title, plan, f);
    say_capital(&w->title);
    wr_str_add(&w->subtitle, "Time runs right, work runs down. White line: the median course; shading: 50, 80 and 95 "
                             "of 100. Flat stretches are long tasks");
    if (plan->n_lane > 1) wr_str_add(&w->subtitle, "; dotted: waiting. Ringed: done together");
    wr_str_add(&w->subtitle, ".");
    for (size_t k = 0; k < plan->n_task; k++) n_seldom += is_seldom_done(f, k);
    if (n_seldom > 0) wr_str_add(&w->subtitle, " Work that most days leave out is not drawn.");
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t l = 0; l < plan->n_lane; l++) {
        wr_str_add(&w->alt, " ");
        say_quoted(&w->alt, plan->lane[l]);
        wr_str_add(&w->alt, " works ");
        say_clock(&w->alt, f->lane[l].busy_min);
        wr_str_add(&w->alt, ", waits ");
        say_clock(&w->alt, f->lane[l].waiting_min);
        wr_str_add(&w->alt, " and is usually done at ");
        say_clock(&w->alt, f->lane[l].finish_p50_min);
        wr_str_add(&w->alt, ".");
    }
}

/* One lane being drawn: y is the row at which the next task begins. */
struct course {
    const struct wr_chart_input *in;
    struct canvas *cv;
    double limit; /* minutes, or INFINITY */
    double y;
    size_t lane;
    size_t previous; /* task before in this lane, SIZE_MAX at its start */
    struct wr_str path, waits;
    bool has_shared, has_waits;
};

static void add_cells(struct wr_str *out, double minutes, double row, int mark)
{
    wr_str_addf(out, "%.8g\t%.8g\t%d\n", minutes, row, mark);
}

static void add_band(struct course *c, const struct wr_task_outlook *t)
{
    for (size_t level = 0; level < N_LEVEL; level++) {
        size_t lo = level, hi = WR_N_LENS - 1 - level;
        const double corner[4][2] = {{t->start_min[lo], c->y}, {t->start_min[hi], c->y},
                                     {t->end_min[hi], c->y + 1}, {t->end_min[lo], c->y + 1}};
        for (size_t i = 0; i < 4; i++) {
            CANVAS_ROW(c->cv, corner[i][0], corner[i][1], (double)level);
        }
        canvas_gap(c->cv);
    }
}

static double wait_before(const struct course *c, size_t task)
{
    const struct wr_forecast *f = c->in->forecast;

    return c->previous == SIZE_MAX ? 0 : f->task[task].start_min[MEDIAN] - f->task[c->previous].end_min[MEDIAN];
}

static void add_path(struct course *c, size_t task)
{
    const struct wr_task_outlook *t = &c->in->forecast->task[task];
    int joint = is_joint(&c->in->plan->task[task]);

    if (wait_before(c, task) > least_wait_drawn) {
        add_cells(&c->waits, c->in->forecast->task[c->previous].end_min[MEDIAN], c->y, 0);
        add_cells(&c->waits, t->start_min[MEDIAN], c->y, 0);
        wr_str_add(&c->waits, "\n");
        c->has_waits = true;
    }
    add_cells(&c->path, t->start_min[MEDIAN], c->y, joint);
    add_cells(&c->path, t->end_min[MEDIAN], c->y + 1, joint);
    wr_str_add(&c->path, "\n");
    if (joint) c->has_shared = true;
}

/* Where in its row a label stands: off the edge on which a wait is drawn, which the course leaves on that side. */
static const double right_row = 0.4, left_row = 0.6, half_text_row = 0.25;

/* px on both sides of the course, whose edges slant, over the height of a label. */
static void find_extent(const struct course *c, size_t task, double *first, double *last)
{
    const struct wr_task_outlook *t = &c->in->forecast->task[task];
    double top = left_row - half_text_row, bottom = right_row + half_text_row;
    double earliest = t->start_min[0], latest = t->start_min[WR_LENS97_5];

    *first = canvas_px_x(c->cv, earliest + top * (t->end_min[0] - earliest));
    *last = canvas_px_x(c->cv, latest + bottom * (t->end_min[WR_LENS97_5] - latest));
}

/* A task's label: who, if several; the title; what else there is to say. */
struct label {
    enum face face;
    const char *title;
    struct wr_str who, tail;
};

static struct label label_of(const struct course *c, size_t task)
{
    const struct wr_plan_task *plan_task = &c->in->plan->task[task];
    struct label l = {.face = is_joint(plan_task) ? FACE_ROW_BOLD : FACE_ROW, .title = plan_task->title};
    double wait = wait_before(c, task), share = c->in->forecast->task[task].dropped;

    if (c->cv->narrow) return l;
    if (wait >= least_wait_said) wr_str_add(&l.tail, " (waits first)"); /* a gap of medians: no time of anybody's */
    if (wr_count_of_100(share) > 0)
        wr_str_addf(&l.tail, " (left out in %s of 100)",
                    wr_of_100_certain(share, c->in->forecast->nothing_varies, WR_ROOM));
    if (is_joint(plan_task)) {
        wr_lanes_words(c->in->plan, plan_task->lanes, &l.who);
        wr_str_add(&l.who, ": ");
    }
    return l;
}

static double width_of(const struct canvas *cv, const struct label *l, const char *text)
{
    return canvas_text_width(cv, l->face, text);
}

/* All of it, or with its title cut; before hardly any of the title is left, what else there is to say goes. */
static void fit_label(struct canvas *cv, struct label *l, double room, struct wr_str *out)
{
    static const double least_title = 60;
    double who = width_of(cv, l, wr_str_text(&l->who)), tail = width_of(cv, l, wr_str_text(&l->tail));
    double title = fmin(width_of(cv, l, l->title), least_title);

    if (who + tail + title > room) {
        wr_str_clear(&l->tail);
        tail = 0;
    }
    if (who + title > room) { /* the ring says it as well */
        wr_str_clear(&l->who);
        who = 0;
    }
    wr_str_add(out, wr_str_text(&l->who));
    canvas_add_fit(cv, out, l->face, room - who - tail, l->title);
    wr_str_add(out, wr_str_text(&l->tail));
}

/* Where a label may stand that begins or ends beside the course, at this x: on one side of the limit's line. */
struct room { double from, to; };

static struct room left_of(const struct canvas *cv, double x, double limit_px)
{
    if (x <= limit_px - 6) return (struct room){cv->margin, x};
    return x < limit_px + 40 ? (struct room){cv->margin, limit_px - 6} : (struct room){limit_px + 6, x};
}

static struct room right_of(const struct canvas *cv, double x, double limit_px)
{
    if (x >= limit_px + 6) return (struct room){x, cv->width - 8};
    return x > limit_px - 40 ? (struct room){limit_px + 6, cv->width - 8}
                             : (struct room){x, fmin(limit_px - 6, cv->width - 8)};
}

/* The label goes to the roomier of the two triangles beside the diagonal, left of the course or right of it, before
 * the limit's line or behind it; to the other one if all of it fits only there. */
static void add_label(struct course *c, size_t task)
{
    struct canvas *cv = c->cv;
    struct label l = label_of(c, task);
    WR_SCOPED_STR text = {0};
    double first, last, limit_px = isfinite(c->limit) ? canvas_px_x(cv, c->limit) : INFINITY;

    find_extent(c, task, &first, &last);
    const struct room before = left_of(cv, first - 8, limit_px), behind = right_of(cv, last + 8, limit_px);
    double left_room = before.to - before.from, right_room = behind.to - behind.from;
    bool left = left_room > right_room + 30;
    double whole = width_of(cv, &l, wr_str_text(&l.who)) + width_of(cv, &l, l.title) +
                   width_of(cv, &l, wr_str_text(&l.tail));
    if (whole > (left ? left_room : right_room) && whole <= (left ? right_room : left_room)) left = !left;
    fit_label(cv, &l, left ? left_room : right_room, &text);
    canvas_note(cv, l.face, left ? ALIGN_RIGHT : ALIGN_LEFT, left ? before.to : behind.from,
                canvas_px_y(cv, c->y + (left ? left_row : right_row)), wr_str_text(&text));
    WR_STR_RELEASE(&l.who, &l.tail);
}

static void add_lane_head(struct course *c, size_t lane)
{
    const struct wr_lane_outlook *l = &c->in->forecast->lane[lane];
    struct canvas *cv = c->cv;
    WR_SCOPED_STR text = {0}, name = {0};
    double y = canvas_px_y(cv, c->y + 0.2);

    canvas_add_fit(cv, &name, FACE_HEADING, cv->width * 0.4, c->in->plan->lane[lane]);
    canvas_note(cv, FACE_HEADING, ALIGN_LEFT, cv->margin, y, wr_str_text(&name));
    wr_str_add(&text, "works ");
    say_clock(&text, l->busy_min);
    wr_str_add(&text, ", waits ");
    say_clock(&text, l->waiting_min);
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, cv->margin + canvas_text_width(cv, FACE_HEADING, wr_str_text(&name)) + 10,
                y, wr_str_text(&text));
}

static void add_lane(struct course *c, size_t lane)
{
    add_lane_head(c, lane);
    c->y += head_rows;
    c->lane = lane;
    c->previous = SIZE_MAX;
    for (size_t k = 0; k < c->in->plan->n_task; k++) {
        if (!is_drawn(c->in, k, lane)) continue;
        add_band(c, &c->in->forecast->task[k]);
        add_path(c, k);
        add_label(c, k);
        c->previous = k;
        c->y++;
    }
    c->y += gap_rows;
}

static double rows_of_all_lanes(const struct wr_chart_input *in)
{
    double rows = 0;

    for (size_t l = 0; l < in->plan->n_lane; l++) {
        rows += head_rows + gap_rows;
        for (size_t k = 0; k < in->plan->n_task; k++) rows += is_drawn(in, k, l);
    }
    return rows;
}

static void add_limit(struct course *c)
{
    struct canvas *cv = c->cv;
    WR_SCOPED_STR text = {0};
    double x = canvas_px_x(cv, c->limit);

    wr_str_add(&text, "limit ");
    say_clock(&text, c->limit);
    double half = canvas_text_width(cv, FACE_SMALL_BOLD, wr_str_text(&text)) / 2;
    bool centred = x + half <= cv->width - 6;
    canvas_note(cv, FACE_SMALL_BOLD, centred ? ALIGN_CENTER : ALIGN_RIGHT, centred ? x : cv->width - 6,
                canvas_plot_top(cv) - 10, wr_str_text(&text));
    canvas_number(cv, "limit", c->limit);
    canvas_number(cv, "limit_top_px", canvas_plot_top(cv) - 2);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_forecast *f = in->forecast;
    struct course c = {.in = in, .cv = cv, .limit = INFINITY};
    struct chart_limit limit;
    bool limited = chart_limit_of(in, &limit);
    double rows = rows_of_all_lanes(in), edge = cv->narrow ? 18 : 24;
    double last = fmin(f->hundredth_min[99], 1.5 * f->lens_min[WR_LENS97_5]); /* nor squeezed by a day far out */
    last = fmax(last, 1); /* a day of no minutes has an axis too */
    bool crowded = in->plan->n_task > 40;
    double row = cv->narrow ? 26 : crowded ? 15 : 19;

    /* a limit far beyond every finish is left to the words: it would squeeze the courses */
    limited = limited && limit.minutes < last * 1.5;
    if (!cv->narrow) cv->row_size = crowded ? 11.5 : 12.5;
    canvas_frame(cv, edge, edge, limited ? 24 : 10, rows * row, 40);
    canvas_axes(cv, 0, limited ? fmax(limit.minutes + fmin(10, 0.1 * limit.minutes), last) : last, 0, rows);
    if (limited) {
        c.limit = limit.minutes;
        add_limit(&c);
    }
    canvas_time_ticks(cv);
    canvas_block_begin(cv, "band");
    for (size_t l = 0; l < in->plan->n_lane; l++) add_lane(&c, l);
    canvas_block_end(cv, "band");
    canvas_block_of_text(cv, "course", &c.path);
    canvas_block_of_text(cv, "waits", &c.waits);
    canvas_number(cv, "has_waits", c.has_waits);
    canvas_number(cv, "has_shared", c.has_shared);
    WR_STR_RELEASE(&c.path, &c.waits);
}

const struct chart_builder chart_lanes = {
    .missing = say_missing_forecast, .words = words, .about = say_about, .build = build};
