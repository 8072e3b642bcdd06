/* Planned times against what the tasks need. */
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include "chart_canvas.h"
#include "chart_say.h"
#include "wetrun/present/pad_view.h"
#include "wetrun/present/words.h"

static const char *missing(const struct wr_chart_input *in)
{
    return in->pad && in->pad->n_task == in->plan->n_task && in->plan->n_task > 0 ? NULL
                                                                                 : "padding, and none was worked out";
}

static double needed(const struct wr_pad_task *t)
{
    return t->median_min + t->pad_min;
}

/* As the table beside it says it. */
static const char *say_lack(const struct wr_pad_task *t, int sign, char buf[WR_WORDS])
{
    struct wr_maybe missing = wr_pad_shown_shortfall(t);

    return wr_minutes(missing.known ? sign * missing.value : 0, buf);
}

struct ranked {
    const struct wr_pad_task *task;
    size_t index;
};

/* What is missing most first; tasks without a planned time last, each kind in plan order. */
static int by_falling_lack(const void *a, const void *b)
{
    const struct ranked *x = a, *y = b;
    const int lack = wr_pad_by_falling_shortfall(x->task, y->task);

    return lack ? lack : (x->index > y->index) - (x->index < y->index);
}

static struct ranked *rank_tasks(const struct wr_pad *pad)
{
    struct ranked *r = WR_NEW_ARRAY(struct ranked, pad->n_task);

    for (size_t k = 0; k < pad->n_task; k++) r[k] = (struct ranked){&pad->task[k], k};
    qsort(r, pad->n_task, sizeof *r, by_falling_lack);
    return r;
}

static void words(const struct wr_chart_input *in, struct wr_chart_words *w)
{
    const struct wr_pad *pad = in->pad;
    struct wr_planned_count n = wr_planned_count(pad);
    WR_SCOPED struct ranked *r = rank_tasks(pad);
    char text[WR_WORDS];

    const char *reserve = wr_reserve_words(pad, WR_ROOM);
    wr_str_addf(&w->title, "The timeline needs %s of reserve for %s confidence", reserve,
                wr_percent(pad->confidence, text));
    say_by_first(&w->title, in);
    if (n.n_planned)
        wr_str_addf(&w->title, "; %zu of %zu planned times %s shorter than median and pad", n.n_short,
                    n.n_planned, n.n_short == 1 ? "is" : "are");
    wr_str_add(&w->subtitle, "Minutes. Tick: median. Disc: median and pad; where a lane waits anyway there is no pad, "
                             "and the disc lies on the tick.");
    if (n.n_planned)
        wr_str_add(&w->subtitle, " Diamond: planned. A thick orange link is missing time; a thin one, right of the "
                                 "disc, is time to spare.");
    wr_str_addf(&w->alt, "%s.", wr_str_text(&w->title));
    for (size_t i = 0; i < pad->n_task && i < 3 && wr_pad_is_short(r[i].task); i++) {
        wr_str_add(&w->alt, i ? ", " : " Most is missing in: ");
        say_quoted(&w->alt, in->plan->task[r[i].index].title);
        wr_str_addf(&w->alt, " %s", say_lack(r[i].task, 1, text));
    }
    if (n.n_short) wr_str_add(&w->alt, ".");
}

static double axis_end(const struct wr_pad *pad)
{
    double most = 1;

    for (size_t k = 0; k < pad->n_task; k++) {
        if (wr_is_done_enough(pad->task[k].dropped)) most = fmax(most, needed(&pad->task[k]));
        if (pad->task[k].planned_min.known) most = fmax(most, pad->task[k].planned_min.value);
    }
    return most * 1.06;
}

static void say_gap(struct wr_str *out, const struct wr_pad_task *t)
{
    char text[WR_WORDS];

    if (!wr_is_done_enough(t->dropped))
        wr_str_add(out, "left out");
    else if (!t->planned_min.known)
        wr_str_add(out, wr_minutes(needed(t), text));
    else if (wr_pad_is_short(t))
        wr_str_addf(out, "%s short", say_lack(t, 1, text));
    else if (strcmp(say_lack(t, -1, text), "0 min") == 0)
        wr_str_add(out, "fits");
    else
        wr_str_addf(out, "%s to spare", text);
}

static void add_row(struct canvas *cv, const struct wr_pad_task *t, const char *title, double row)
{
    WR_SCOPED_STR gap = {0};
    enum face face = wr_pad_is_short(t) ? FACE_SMALL_BOLD : FACE_SMALL;
    bool is_done = wr_is_done_enough(t->dropped);

    CANVAS_ROW(cv, row, is_done ? t->median_min : NAN, is_done ? needed(t) : NAN,
               t->planned_min.known ? t->planned_min.value : NAN, wr_pad_is_short(t));
    say_gap(&gap, t);
    canvas_row_value(cv, face, row, gap.text);
    canvas_row_label(cv, FACE_ROW, row, canvas_text_width(cv, face, gap.text) + 10, title);
}

static void build(const struct wr_chart_input *in, struct canvas *cv)
{
    const struct wr_pad *pad = in->pad;
    struct wr_planned_count n = wr_planned_count(pad);
    WR_SCOPED struct ranked *r = rank_tasks(pad);
    double longest = 0;

    for (size_t k = 0; k < pad->n_task; k++)
        longest = fmax(longest, canvas_text_width(cv, FACE_ROW, in->plan->task[k].title));
    canvas_rows(cv, pad->n_task);
    canvas_frame(cv, canvas_label_column(cv, longest), cv->narrow ? 40 : 140, 10,
                 (double)pad->n_task * canvas_row_height(cv, pad->n_task), 44);
    canvas_axes(cv, 0, axis_end(pad), cv->y_first, cv->y_last);
    canvas_minute_ticks(cv);
    canvas_block_begin(cv, "pads");
    for (size_t i = 0; i < pad->n_task; i++) add_row(cv, r[i].task, in->plan->task[r[i].index].title, (double)i + 1);
    canvas_block_end(cv, "pads");
    for (size_t i = 0; i < pad->n_task; i++) canvas_row_about(cv, (double)i + 1, r[i].index);
    canvas_number(cv, "has_short", n.n_short > 0);
    canvas_number(cv, "has_planned", n.n_planned > 0);
}

const struct chart_builder chart_pad = {
    .missing = missing, .words = words, .about = say_about, .build = build};
