#include "chart_say.h"

#include <stdio.h>
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

const char *say_missing_forecast(const struct wr_chart_input *in)
{
    return in->forecast && in->forecast->n_task == in->plan->n_task && in->plan->n_task > 0
               ? NULL
               : "a forecast of this timeline, and none was made";
}

void say_quoted(struct wr_str *out, const char *title)
{
    enum { MOST_EM = 26 };
    struct wr_str readable = {0};

    say_readable(&readable, title);
    wr_str_add(out, "\xe2\x80\x9c");
    wr_text_fit(out, wr_str_text(&readable), 1, WR_REGULAR, MOST_EM);
    wr_str_add(out, "\xe2\x80\x9d");
    wr_str_release(&readable);
}

void say_clock(struct wr_str *out, double minutes)
{
    char text[WR_CLOCK_TEXT];

    wr_str_add(out, wr_hmm(minutes, text));
}

void say_count(struct wr_str *out, size_t n, const char *one, const char *many)
{
    char text[WR_WORDS];

    wr_str_addf(out, "%s %s", wr_count_words(n, text), n == 1 ? one : many);
}

void say_capital(struct wr_str *sentence)
{
    struct wr_str small = *sentence;

    *sentence = (struct wr_str){0};
    wr_add_capital(sentence, wr_str_text(&small));
    wr_str_release(&small);
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
    char text[WR_WORDS], clock[WR_CLOCK_TEXT];

    wr_str_addf(out, "%s of 100 forecast finishes %s the %s limit", wr_of_100(limit->over.mean, text),
                wr_go_over(limit->over.mean), wr_hmm(limit->minutes, clock));
    int n = wr_count_of_100(limit->over.mean), lo = wr_count_of_100(limit->over.lo), hi = wr_count_of_100(limit->over.hi);
    if (lo == n && hi == n) return;
    wr_str_add(out, ", but ");
    if (lo == 0 && n == 0)
        wr_str_addf(out, "it could be as many as %d", hi);
    else
        wr_interval_words(&limit->over, in->confidence, out);
}

const char *say_simulated(const struct wr_chart_input *in)
{
    return in->target == WR_FOR_EXCURSION ? "excursions" : "rehearsals at pool pace";
}

void say_change(struct wr_str *out, double share)
{
    char text[WR_WORDS];

    wr_str_addf(out, "%s%s", share > 0 ? "+" : "", wr_percent(share, text));
}
