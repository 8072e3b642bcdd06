#include "chart_say.h"

#include <stdio.h>
#include "wetrun/present/escape.h"
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

    wr_escape_terminal(&readable, title);
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
    if (sentence->len && sentence->text[0] >= 'a' && sentence->text[0] <= 'z')
        sentence->text[0] = (char)(sentence->text[0] - 'a' + 'A');
}

/* "as few as 1", "fewer than 1": the second has its comparison already */
static void say_end(struct wr_str *out, double prob, const char *comparison)
{
    char text[WR_WORDS];
    const char *said = wr_of_100(prob, text);

    if (said[0] >= '0' && said[0] <= '9') wr_str_addf(out, "%s ", comparison);
    wr_str_add(out, said);
}

void say_overrun(struct wr_str *out, const struct chart_limit *limit)
{
    int n = wr_count_of_100(limit->over.mean), lo = wr_count_of_100(limit->over.lo);
    int hi = wr_count_of_100(limit->over.hi);
    char text[WR_WORDS], clock[WR_CLOCK_TEXT];

    wr_str_addf(out, "%s of 100 forecast finishes %s the %s limit", wr_of_100(limit->over.mean, text),
                n == 1 ? "passes" : "pass", wr_hmm(limit->minutes, clock));
    if (lo >= n && hi <= n) return;
    wr_str_add(out, ", but it could be ");
    if (lo < n) say_end(out, limit->over.lo, "as few as");
    if (lo < n && hi > n) wr_str_add(out, " or ");
    if (hi > n) say_end(out, limit->over.hi, "as many as");
}

const char *say_simulated(const struct wr_chart_input *in)
{
    return in->target == WR_FOR_EXCURSION ? "excursions" : "rehearsals at pool pace";
}
