/* Turns of phrase that several charts share. */
#pragma once

#include "wetrun/base/str.h"
#include "wetrun/present/chart.h"

/* The excursion limit with its forecast, or false if none was given. */
struct chart_limit {
    double minutes;
    struct wr_probability over;
};
bool chart_limit_of(const struct wr_chart_input *in, struct chart_limit *limit);

bool chart_has_rehearsals(const struct wr_chart_input *in);
/* "the rehearsals leave": what the forecast rests on, with what it does (wr_rests_on_words). */
void say_rests_on(struct wr_str *out, const struct wr_chart_input *in, const char *does);
const char *say_missing_forecast(const struct wr_chart_input *in); /* for a builder's `missing` */

/* “Title”, cut if it would fill a headline. Any bytes in, valid text out. */
void say_quoted(struct wr_str *out, const char *title);
/* "5:18" */
void say_clock(struct wr_str *out, double minutes);
/* "three tasks", "one task" */
void say_count(struct wr_str *out, size_t n, const char *one, const char *many);
/* "+6.2 %", "−13 %" */
void say_change(struct wr_str *out, double share);
/* Makes the first letter a capital. */
void say_capital(struct wr_str *sentence);
/* Any bytes in; valid text without controls out. */
void say_readable(struct wr_str *out, const char *text);
/* The rehearsal's name as logged, or its number. */
const char *chart_run_name(const struct wr_chart_input *in, size_t run);
/* "9 of 100 forecast finishes go over the 6:30 limit, but it could be as few as 1 or as many as 19" */
void say_overrun(struct wr_str *out, const struct wr_chart_input *in, const struct chart_limit *limit);
/* A task for who points at its row: its title, what it takes, what it costs the finish, and with_runs when it was done
 * by whom. */
void say_task(struct wr_str *out, const struct wr_chart_input *in, size_t task, bool with_runs);
/* "rehearsals at pool pace", "excursions": what was simulated. */
const char *say_simulated(const struct wr_chart_input *in);
/* " by the first of two answers", in a title that has but one number; nothing where there is one answer. */
void say_by_first(struct wr_str *out, const struct wr_chart_input *in);
/* " Drawn is the first of two answers, as judged.", behind a subtitle; nothing where there is one answer. */
void say_drawn_first(struct wr_str *out, const struct wr_chart_input *in);
/* " Complete by the plan that is forecast (new: SEAL).", of counts of complete rehearsals; nothing where all say the
 * same. */
void say_complete_by(struct wr_str *out, const struct wr_chart_input *in);
/* For a builder's `about`: what speaks against the numbers, what they are a forecast of and what they rest on, and the
 * second answer on the limit. */
void say_about(const struct wr_chart_input *in, struct wr_str *out);
/* Parts of it, for who says more: a sentence each, behind a blank if it is not the first; nothing where nothing is. */
bool say_shows_no_limit(const struct wr_chart_input *in); /* false: as shows_limit of a builder */
void say_doubt(struct wr_str *out, const struct wr_chart_input *in); /* and that it is not the usual model */
void say_modelled(struct wr_str *out, const struct wr_chart_input *in);
void say_target(struct wr_str *out, const struct wr_chart_input *in);
/* "; if judged 20 % short 23 of 100 go over (<1 to 70)": the worst answer on the limit, behind the one shown. */
void say_worse(struct wr_str *out, const struct wr_chart_input *in);
