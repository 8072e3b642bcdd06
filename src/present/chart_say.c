#include "chart_say.h"

#include "wetrun/present/beside_view.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/text_width.h"
#include "wetrun/present/words.h"

bool chart_limit_of(const struct wr_chart_input *in, struct chart_limit *limit)
{
    if (!in->limits || in->limits->n_limit == 0 || !in->forecast || in->forecast->n_limit == 0) return false;
    limit->minutes = in->limits->limit[0].minutes;
    limit->over = in->forecast->limit[0].over;
    return true;
}

bool chart_has_rehearsals(const struct wr_chart_input *in)
{
    return in->timing && in->timing->n_run > 0;
}

void say_rests_on(struct wr_str *out, const struct wr_chart_input *in, const char *does)
{
    struct wr_rests_on on = {0};

    if (in->context) on = wr_context_rests_on(in->context);
    on.rehearsed = chart_has_rehearsals(in);
    wr_rests_on_words(on, does, out);
}

const char *say_missing_forecast(const struct wr_chart_input *in)
{
    return in->forecast && in->forecast->n_task == in->plan->n_task && in->plan->n_task > 0
               ? NULL
               : "a forecast of this timeline, and none was made";
}

void say_quoted(struct wr_str *out, const char *title)
{
    enum { MOST_EM = 26 };
    WR_SCOPED_STR readable = {0};

    say_readable(&readable, title);
    wr_str_add(out, "\xe2\x80\x9c");
    wr_text_fit(out, wr_str_text(&readable), 1, WR_REGULAR, MOST_EM);
    wr_str_add(out, "\xe2\x80\x9d");
}

void say_clock(struct wr_str *out, double minutes)
{
    wr_str_add(out, wr_moment(minutes, WR_ROOM));
}

void say_count(struct wr_str *out, size_t n, const char *one, const char *many)
{
    wr_str_addf(out, "%s %s", wr_count_words(n, WR_ROOM), n == 1 ? one : many);
}

void say_capital(struct wr_str *sentence)
{
    WR_SCOPED_STR small = *sentence;

    *sentence = (struct wr_str){0};
    wr_add_capital(sentence, wr_str_text(&small));
}

void say_readable(struct wr_str *out, const char *text)
{
    wr_escape_terminal(out, text); /* what is safe on a terminal is one line of valid text */
}

const char *chart_run_name(const struct wr_chart_input *in, size_t run)
{
    return in->log && run < in->log->n_run ? in->log->run[run].id : "";
}

void say_overrun(struct wr_str *out, const struct wr_chart_input *in, const struct chart_limit *limit)
{
    wr_str_addf(out, "%s of 100 forecast finishes %s the %s limit", wr_chance(&limit->over, WR_ROOM),
                wr_go_over(limit->over.mean), wr_moment(limit->minutes, WR_ROOM));
    if (!wr_interval_adds_nothing(&limit->over, in->confidence)) {
        wr_str_add(out, ", but ");
        wr_interval_words(&limit->over, in->confidence, out);
    }
    say_worse(out, in);
}

/* The worst answer on the first limit; NULL: none reaches it. */
static const struct wr_present_second *worst_on_first(const struct wr_chart_input *in)
{
    const struct wr_present_second *worst = NULL;

    for (size_t i = 0; in->context && in->forecast && i < in->context->n_second; i++) {
        const struct wr_present_second *second = &in->context->second[i];
        if (second->at == 0 && (!worst || second->is.over.hi > worst->is.over.hi)) worst = second;
    }
    return worst;
}

void say_worse(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_present_second *worst = worst_on_first(in);

    if (!worst) return;
    wr_str_add(out, "; ");
    wr_second_words(&worst->is, worst->confidence, out);
}

void say_by_first(struct wr_str *out, const struct wr_chart_input *in)
{
    if (in->context && in->context->second_words)
        wr_str_addf(out, " by the first of %s answers", wr_context_answers(in->context));
}

void say_drawn_first(struct wr_str *out, const struct wr_chart_input *in)
{
    const struct wr_present_context *ctx = in->context;

    if (!ctx || !ctx->second_words) return;
    wr_str_addf(out, " Drawn is the first of %s answers", wr_context_answers(ctx));
    if (ctx->first_is) wr_str_addf(out, ", %s", ctx->first_is);
    wr_str_add_char(out, '.');
}

static void next_sentence(struct wr_str *out)
{
    if (out->len > 0) wr_str_add_char(out, ' ');
}

void say_complete_by(struct wr_str *out, const struct wr_chart_input *in)
{
    if (!in->context || !in->context->complete_by) return;
    wr_str_add(out, " Complete");
    say_readable(out, in->context->complete_by);
    wr_str_add_char(out, '.');
}

bool say_shows_no_limit(const struct wr_chart_input *in)
{
    (void)in;
    return false;
}

void say_doubt(struct wr_str *out, const struct wr_chart_input *in)
{
    if (!in->context) return;
    if (in->context->doubt) {
        next_sentence(out);
        wr_str_add(out, in->context->doubt);
    }
    say_modelled(out, in);
}

void say_modelled(struct wr_str *out, const struct wr_chart_input *in)
{
    if (!in->context || !in->context->modelled) return;
    next_sentence(out);
    wr_context_modelled_words(in->context, out);
}

void say_target(struct wr_str *out, const struct wr_chart_input *in)
{
    next_sentence(out);
    wr_str_addf(out, "Forecast of %s.", wr_target_words(in->target));
    if (in->context && in->context->excursion_words)
        wr_str_add(out, " Earlier excursions are not used; --for excursion draws the excursion.");
    if (!chart_has_rehearsals(in)) wr_str_add(out, " Nothing was rehearsed: it rests on judgement.");
}

void say_about(const struct wr_chart_input *in, struct wr_str *out)
{
    struct chart_limit limit;

    say_doubt(out, in);
    say_target(out, in);
    if (!in->context || !in->context->second_words) return;
    wr_str_addf(out, " By one of %s answers", wr_context_answers(in->context));
    if (worst_on_first(in) && chart_limit_of(in, &limit)) {
        wr_str_addf(out, ": %s of 100 %s the %s limit", wr_chance(&limit.over, WR_ROOM),
                    wr_go_over(limit.over.mean), wr_moment(limit.minutes, WR_ROOM));
        say_worse(out, in);
    }
    wr_str_add_char(out, '.');
}

const char *say_simulated(const struct wr_chart_input *in)
{
    return in->target == WR_FOR_EXCURSION ? "excursions" : "rehearsals at pool pace";
}

void say_change(struct wr_str *out, double share)
{
    wr_str_addf(out, "%s%s", share > 0 ? "+" : "", wr_percent(share, WR_ROOM));
}

static void say_who(struct wr_str *out, const struct wr_chart_input *in, size_t task, size_t run)
{
    const struct wr_timing *t = in->timing;
    size_t n = 0;

    if (!t->line_up || t->n_person == 0) return;
    for (size_t l = 0; l < t->n_lane; l++) {
        int person = t->line_up[run * t->n_lane + l];
        if (!(in->plan->task[task].lanes >> l & 1u) || person < 0) continue;
        wr_str_add(out, n++ ? " and " : " ");
        wr_str_add(out, t->person[person]);
    }
}

static void say_times(struct wr_str *out, const struct wr_chart_input *in, size_t task)
{
    enum { MOST = 12 };
    size_t n_run = in->timing->n_run, n = 0;

    for (size_t r = n_run > MOST ? n_run - MOST : 0; r < n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(in->timing, task, r);
        bool stopped = cell->state == WR_CELL_STOPPED;
        if (!stopped && !wr_cell_is_timed(cell)) continue;
        wr_str_addf(out, "%s%s %s%s", n++ ? "; " : ". ", chart_run_name(in, r), stopped ? "stopped after " : "",
                    wr_minutes(wr_cell_modelled_min(cell), WR_ROOM));
        say_who(out, in, task, r);
    }
}

void say_task(struct wr_str *out, const struct wr_chart_input *in, size_t task, bool with_runs)
{
    WR_SCOPED_STR whole = {0};

    wr_str_addf(&whole, "%s, %s", in->plan->task[task].id, in->plan->task[task].title);
    if (!say_missing_forecast(in) && !wr_is_done_enough(in->forecast->task[task].dropped)) {
        wr_str_add(&whole, ": left out on nearly every day");
    } else if (!say_missing_forecast(in)) {
        const struct wr_task_outlook *o = &in->forecast->task[task];
        wr_str_addf(&whole, ": median %s", wr_minutes(o->median_min, WR_ROOM));
        wr_str_addf(&whole, ", 8 times in 10 from %s to %s", wr_minutes_bare(o->lens_min[WR_LENS10], WR_ROOM),
                    wr_minutes(o->lens_min[WR_LENS90], WR_ROOM));
        wr_str_addf(&whole, ", %s of what makes the finish uncertain", wr_percent(o->variance_share, WR_ROOM));
    }
    if (with_runs && chart_has_rehearsals(in)) say_times(&whole, in, task);
    say_readable(out, wr_str_text(&whole));
}
