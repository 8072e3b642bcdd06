/* Tasks ranked by their share of the finish-time variance. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include "chart_say.h"
#include "chart_canvas.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

enum { MOST_ROWS = WR_PARTS_MOST };
static const double least_share = 0.0005; /* shows as 0.1 % */

enum kind { KIND_TASK, KIND_STRONGEST, KIND_SHARED };
struct row {
    struct wr_str label;
    double share;
    int n_mark;
    enum kind kind;
    size_t task; /* SIZE_MAX: none alone */
};

struct rows {
    struct row row[MOST_ROWS];
    size_t n, n_own; /* those of tasks come first */
};

/* What no single task carries. Without rehearsals a share of nothing is no finding: a plan of judgement may be given
 * its run effect, and then nothing is open. */
static bool is_worth_a_row(const struct wr_chart_input *in, const struct wr_variance_part *part)
{
    if (part->kind == WR_PART_TASK || part->kind == WR_PART_OTHER_TASKS || part->share >= least_share) return true;
    return chart_has_rehearsals(in) && (part->kind == WR_PART_DAY || part->kind == WR_PART_UNKNOWN);
}

static void say_part(struct wr_str *out, const struct wr_chart_input *in, const struct wr_variance_part *part)
{
    if (part->kind == WR_PART_TASK)
        wr_str_add(out, in->plan->task[part->task].title);
    else if (part->kind == WR_PART_OTHER_TASKS)
        wr_str_addf(out, "the other %zu tasks together", part->task);
    else
        wr_str_add(out, wr_part_words(part->kind));
}

static void make_rows(const struct wr_chart_input *in, struct rows *rows)
{
    struct wr_variance_part part[WR_PARTS_MOST];
    size_t n_part = wr_variance_parts(in->forecast, part), n_strongest;

    *rows = (struct rows){.n = 0};
    wr_strongest_share(in->forecast, &n_strongest);
    for (size_t i = 0; i < n_part; i++) {
        bool own = part[i].kind == WR_PART_TASK || part[i].kind == WR_PART_OTHER_TASKS;
        if (!is_worth_a_row(in, &part[i])) continue;
        struct row *row = &rows->row[rows->n++];
        row->share = part[i].share;
        row->n_mark = (int)part[i].n_mark;
        row->task = part[i].kind == WR_PART_TASK ? part[i].task : SIZE_MAX;
        row->kind = !own ? KIND_SHARED : i < n_strongest ? KIND_STRONGEST : KIND_TASK;
        rows->n_own += own;
        say_part(&row->label, in, &part[i]);
    }
}

static void forget_rows(struct rows *rows)
{
    for (size_t i = 0; i < rows->n; i++) wr_str_release(&rows->row[i].label);
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    struct rows rows;
    size_t n_strongest = 0;

    make_rows(in, &rows);
    wr_carriers_words(in->forecast, &w->title);
    wr_str_add(&w->subtitle, "One mark is one hundredth of the finish-time variance, each row rounded.");
    if (rows.n > rows.n_own) wr_str_add(&w->subtitle, " Round: a task’s own part. Square: of no single task.");
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (; n_strongest < rows.n_own && rows.row[n_strongest].kind == KIND_STRONGEST; n_strongest++) {
        wr_str_add(&w->alt, n_strongest ? ", " : " Strongest tasks: ");
        say_quoted(&w->alt, wr_str_text(&rows.row[n_strongest].label));
        wr_str_addf(&w->alt, " %s", wr_percent(rows.row[n_strongest].share, WR_ROOM));
    }
    if (n_strongest) wr_str_add(&w->alt, ".");
    for (size_t i = rows.n_own; i < rows.n; i++)
        wr_str_addf(&w->alt, "%s%s %s", i > rows.n_own ? ", " : " Of no single task: ", wr_str_text(&rows.row[i].label),
                    wr_percent(rows.row[i].share, WR_ROOM));
    if (rows.n > rows.n_own) wr_str_add(&w->alt, ".");
    forget_rows(&rows);
}

/* A round end behind the longest row, with room for its number. */
static double axis_end(const struct row *row, size_t n)
{
    int most = 0;

    for (size_t i = 0; i < n; i++)
        if (row[i].n_mark > most) most = row[i].n_mark;
    return fmax(10, ceil(most / 5.0 + 0.4) * 5);
}

static void add_ticks(struct canvas *cv)
{
    static const double step[] = {5, 10, 20, 25, 50};
    double px = canvas_px_x(cv, 1) - canvas_px_x(cv, 0), each = step[0];
    char text[32];

    for (size_t i = 0; i < sizeof step / sizeof *step && each * px < 44; i++) each = step[i];
    canvas_block_begin(cv, "ticks");
    for (double x = 0; x <= cv->x_last + 1e-9; x += each) {
        CANVAS_ROW(cv, x);
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
        if (row[i].kind == kind && row[i].n_mark > 0) return true;
    return false;
}

static void add_row(struct canvas *cv, const struct row *row, double y)
{
    for (int i = 0; i < row->n_mark; i++) {
        CANVAS_ROW(cv, i + 0.5, y, row->kind);
    }
    canvas_row_label(cv, face_of(row), y, 0, wr_str_text(&row->label));
    canvas_note(cv, FACE_SMALL, ALIGN_LEFT, canvas_px_x(cv, row->n_mark) + (row->n_mark ? 10 : 2),
                canvas_px_y(cv, y + canvas_mark_drop(cv)), wr_percent(row->share, WR_ROOM));
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    struct rows rows;
    double longest = 0;

    make_rows(in, &rows);
    const struct row *row = rows.row;
    size_t n = rows.n, n_own = rows.n_own, n_line = n > n_own ? n + 1 : n; /* the dividing line takes one */
    canvas_rows(cv, n_line);
    for (size_t i = 0; i < n; i++)
        longest = fmax(longest, canvas_text_width(cv, face_of(&row[i]), wr_str_text(&row[i].label)));
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
                    canvas_px_y(cv, (double)n_own + 1), "of no single task");
    }
    canvas_block_begin(cv, "dots");
    for (size_t i = 0; i < n; i++) add_row(cv, &row[i], (double)(i < n_own ? i + 1 : i + 2));
    canvas_block_end(cv, "dots");
    for (size_t i = 0; i < n_own; i++)
        if (row[i].task != SIZE_MAX) canvas_row_about(cv, (double)i + 1, row[i].task);
    forget_rows(&rows);
}

const struct chart_builder chart_variance = {
    .missing = say_missing_forecast, .words = words, .about = say_about, .build = build,
    .shows_limit = say_shows_no_limit};
