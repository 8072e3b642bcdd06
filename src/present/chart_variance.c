/* Tasks ranked by their share of the finish-time variance. */
#include <math.h>
#include <stdio.h>
#include "chart_say.h"
#include "chart_canvas.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { STRONGEST = 3, MOST_TASKS = 14, MOST_SHARED = 3 };

enum kind { KIND_TASK, KIND_STRONGEST, KIND_SHARED };
struct row {
    const char *label;
    double share;
    enum kind kind;
};

struct ranking {
    size_t *task;     /* by falling share, ties in plan order */
    size_t n_task, n_strongest;
    double strongest_share;
};

static double share_of(double share)
{
    return share > 0 ? share : 0;
}

static struct ranking rank_tasks(const struct wr_forecast *f)
{
    struct ranking r = {.n_task = f->n_task, .task = WR_NEW_ARRAY(size_t, f->n_task)};

    wr_tasks_by_share(f, r.task);
    while (r.n_strongest < STRONGEST && r.n_strongest < r.n_task && f->task[r.task[r.n_strongest]].variance_share > 0)
        r.strongest_share += f->task[r.task[r.n_strongest++]].variance_share;
    return r;
}

/* What no single task carries. Returns the number of rows. Without rehearsals a share of nothing is no finding: the
 * judgements of a plan know no slow days and no open parameters. */
static size_t shared_rows(const struct wr_chart_input *in, struct row row[MOST_SHARED])
{
    const struct wr_forecast *f = in->forecast;
    const double least = 0.0005;
    size_t n = 0;

    if (chart_has_rehearsals(in) || f->run_effect_share >= least)
        row[n++] = (struct row){"a slow or fast day, all tasks at once", share_of(f->run_effect_share), KIND_SHARED};
    if (f->people_share >= least) row[n++] = (struct row){"who does it", share_of(f->people_share), KIND_SHARED};
    if (chart_has_rehearsals(in) || f->parameter_share >= least)
        row[n++] = (struct row){"not yet known from the rehearsals", share_of(f->parameter_share), KIND_SHARED};
    return n;
}

static void say_title(struct wr_str *out, const struct ranking *r, const struct wr_forecast *f)
{
    char percent[WR_WORDS], day[WR_WORDS];

    if (r->n_strongest == 0) {
        wr_str_add(out, "No single task makes the finish uncertain");
    } else if (f->run_effect_share > r->strongest_share) {
        wr_str_addf(out, "A slow or fast day carries %s of what makes the finish uncertain, ",
                    wr_percent(f->run_effect_share, day));
        say_count(out, r->n_strongest, "task", "tasks");
        wr_str_addf(out, " another %s", wr_percent(r->strongest_share, percent));
    } else {
        say_count(out, r->n_strongest, "task", "tasks");
        wr_str_addf(out, " %s %s of what makes the finish uncertain", r->n_strongest == 1 ? "carries" : "carry",
                    wr_percent(r->strongest_share, percent));
    }
    say_capital(out);
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_forecast *f = in->forecast;
    struct ranking r = rank_tasks(f);
    struct row shared[MOST_SHARED];
    char percent[WR_WORDS];

    say_title(&w->title, &r, f);
    size_t n_shared = shared_rows(in, shared);

    wr_str_add(&w->subtitle, "One mark is one hundredth of the finish-time variance.");
    if (n_shared) wr_str_add(&w->subtitle, " Round: a task’s own part. Square: shared by all tasks.");
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t i = 0; i < r.n_strongest; i++) {
        wr_str_add(&w->alt, i ? ", " : " Strongest: ");
        say_quoted(&w->alt, in->plan->task[r.task[i]].title);
        wr_str_addf(&w->alt, " %s", wr_percent(share_of(f->task[r.task[i]].variance_share), percent));
    }
    if (r.n_strongest) wr_str_add(&w->alt, ".");
    for (size_t i = 0; i < n_shared; i++)
        wr_str_addf(&w->alt, "%s%s %s", i ? ", " : " Shared by all tasks: ", shared[i].label,
                    wr_percent(shared[i].share, percent));
    if (n_shared) wr_str_add(&w->alt, ".");
    wr_free(r.task);
}

/* A round end behind the longest row, with room for its number. */
static double axis_end(const struct row *row, size_t n)
{
    double most = 0;

    for (size_t i = 0; i < n; i++)
        if (row[i].share > most) most = row[i].share;
    return fmax(10, ceil(100 * most / 5 + 0.4) * 5);
}

static void add_ticks(struct canvas *cv)
{
    static const double step[] = {5, 10, 20, 25, 50};
    double px = canvas_px_x(cv, 1) - canvas_px_x(cv, 0), each = step[0];
    char text[32];

    for (size_t i = 0; i < sizeof step / sizeof *step && each * px < 44; i++) each = step[i];
    canvas_block_begin(cv, "ticks");
    for (double x = 0; x <= cv->x_last + 1e-9; x += each) {
        canvas_cell(cv, x);
        canvas_row_end(cv);
        snprintf(text, sizeof text, "%.0f %%", x);
        canvas_tick_note(cv, x, text);
    }
    canvas_block_end(cv, "ticks");
}

static enum face face_of(const struct row *row)
{
    return row->kind == KIND_STRONGEST ? FACE_ROW_BOLD : FACE_ROW;
}

static bool has_marks(const struct row *row, size_t n, enum kind kind)
{
    for (size_t i = 0; i < n; i++)
        if (row[i].kind == kind && wr_count_of_100(row[i].share) > 0) return true;
    return false;
}

static void add_row(struct canvas *cv, const struct row *row, double y)
{
    int n = wr_count_of_100(row->share);
    char percent[WR_WORDS];

    for (int i = 0; i < n; i++) {
        canvas_cell(cv, i + 0.5);
        canvas_cell(cv, y);
        canvas_cell(cv, row->kind);
        canvas_row_end(cv);
    }
    canvas_row_label(cv, face_of(row), y, 0, row->label);
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, canvas_px_x(cv, n) + (n ? 10 : 2),
                canvas_px_y(cv, y + canvas_mark_drop(cv)),
                wr_percent(row->share, percent));
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_forecast *f = in->forecast;
    struct ranking r = rank_tasks(f);
    struct row row[MOST_TASKS + 1 + MOST_SHARED];
    struct wr_str others = {0};
    size_t n = 0, n_task = f->n_task > MOST_TASKS + 1 ? MOST_TASKS : f->n_task;

    for (size_t i = 0; i < n_task; i++)
        row[n++] = (struct row){in->plan->task[r.task[i]].title, share_of(f->task[r.task[i]].variance_share),
                                i < r.n_strongest ? KIND_STRONGEST : KIND_TASK};
    if (n_task < f->n_task) {
        row[n] = (struct row){NULL, 0, KIND_TASK};
        for (size_t i = n_task; i < f->n_task; i++) row[n].share += share_of(f->task[r.task[i]].variance_share);
        wr_str_addf(&others, "the other %zu tasks together", f->n_task - n_task);
        row[n++].label = wr_str_text(&others);
    }
    size_t n_own = n;
    n += shared_rows(in, &row[n]);

    size_t n_line = n > n_own ? n + 1 : n; /* the dividing line takes one */
    double longest = 0;
    canvas_rows(cv, n_line);
    for (size_t i = 0; i < n; i++) longest = fmax(longest, canvas_text_width(cv, face_of(&row[i]), row[i].label));
    canvas_frame(cv, canvas_label_column(cv, longest), cv->narrow ? 40 : 80, 10,
                 (double)n_line * canvas_row_height(cv, n_line), 44);
    canvas_axes(cv, 0, axis_end(row, n), cv->y_first, cv->y_last);
    canvas_number(cv, "mark_px", fmin(5.5, 0.42 * (canvas_px_x(cv, 1) - canvas_px_x(cv, 0))));
    canvas_number(cv, "has_others", has_marks(row, n, KIND_TASK));
    canvas_number(cv, "has_strongest", has_marks(row, n, KIND_STRONGEST));
    canvas_number(cv, "has_shared", has_marks(row, n, KIND_SHARED));
    add_ticks(cv);
    if (n > n_own) {
        canvas_number(cv, "split_row", (double)n_own + 1);
        canvas_note(cv, FACE_SMALL, ALIGN_LEFT, cv->narrow ? cv->margin : canvas_px_x(cv, 0),
                    canvas_px_y(cv, (double)n_own + 1), "shared by all tasks");
    }
    canvas_block_begin(cv, "dots");
    for (size_t i = 0; i < n; i++) add_row(cv, &row[i], (double)(i < n_own ? i + 1 : i + 2));
    canvas_block_end(cv, "dots");
    wr_str_release(&others);
    wr_free(r.task);
}

const struct chart_builder chart_variance = {.missing = say_missing_forecast, .words = words, .build = build};
