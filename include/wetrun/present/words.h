/* Numbers and verdicts in words, the same in tables, charts and the page. A number is rounded here and nowhere else.
 * The functions fill and return buf; texts are plain ASCII or UTF-8 without anything to escape. */
#pragma once

#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/model/durations.h"
#include "wetrun/timing/timing.h"

/* "9", "fewer than 1", "more than 99": of a hundred, half up; never 0 or 100, which no simulation can show. */
const char *wr_of_100(double prob, char buf[WR_WORDS]);
/* The same in a table cell: "9", "<1", ">99". */
const char *wr_of_100_cell(double prob, char buf[WR_WORDS]);
/* The same of what no day is counted for, since it holds on all days or on none by the files alone: 1 and 0 are "all"
 * and "none" then. */
const char *wr_of_100_certain(double prob, bool certain, char buf[WR_WORDS]);
const char *wr_of_100_certain_cell(double prob, bool certain, char buf[WR_WORDS]);
/* Of a probability as it is stated: wr_of_100, or the like where it is certain. */
const char *wr_chance(const struct wr_probability *p, char buf[WR_WORDS]);
const char *wr_chance_cell(const struct wr_probability *p, char buf[WR_WORDS]);
/* The whole number that wr_of_100 shows (0 for "fewer than 1", 100 for "more than 99"): how many marks to draw. */
int wr_count_of_100(double prob);
/* "go over", of one "goes over": what so many of a hundred do to a limit that they do not keep. */
const char *wr_go_over(double prob);
/* One end of an interval beside a wished-for bound: takes a decimal where a whole number would seem to lie on the
 * other side of the bound ("10.3" of 100 when 10 were allowed). bound unknown: as wr_of_100_cell. */
const char *wr_of_100_beside(double prob, struct wr_maybe bound, char buf[WR_WORDS]);
/* What a wanted probability of staying inside allows: "10" for 0.9, "0.5" for 0.995. */
const char *wr_allowed_of_100(double confidence, char buf[WR_WORDS]);

/* Moments are shown to the minute, h:mm, or to the second, h:mm:ss, where tasks last tens of seconds: set by each
 * thread that shows, for itself, before anything is shown. These are wr_hmm, wr_shown_by_min and wr_shown_gap_min
 * (base/number.h) to the step that is shown. */
void wr_moments_to_the_second(bool on);
bool wr_moments_are_to_the_second(void);
const char *wr_moment(double minutes, char buf[WR_CLOCK_TEXT]);
const char *wr_moment_by(double minutes, char buf[WR_CLOCK_TEXT]);
double wr_moment_by_min(double minutes);
double wr_moment_gap_min(double from_min, double to_min);

/* "28 %", "5.3 %", "<0.1 %", ">9999 %" */
const char *wr_percent(double share, char buf[WR_WORDS]);
/* "17 min"; below ten minutes one decimal: "4.2 min". Minus is U+2212. */
const char *wr_minutes(double minutes, char buf[WR_WORDS]);
/* "17 min", "4 min": always whole, where shown clocks stand beside; "37 s" where these show seconds. */
const char *wr_minutes_whole(double minutes, char buf[WR_WORDS]);
/* As wr_minutes without the unit. */
const char *wr_minutes_bare(double minutes, char buf[WR_WORDS]);
/* "72 accepted (1 a duplicate, not counted again), 0 rejected" */
void wr_add_rows_kept(const struct wr_run_log *log, struct wr_str *out);
/* A change, one decimal: "3.2", "-1.0" (with U+2212), "0.0". */
const char *wr_change(double change, char buf[WR_WORDS]);
/* What a gain on the same days is called, wherever one is: nothing counts as shown of which the end of the interval
 * that is nearer to none reads as 0.0 or would within twice its own Monte Carlo error, nor what is within twice its
 * own. per: what wr_change shows it in, 100 for a probability, 1 for minutes. */
enum wr_gain { WR_GAIN_OPEN, WR_GAIN_HELPS, WR_GAIN_HARMS };
enum wr_gain wr_gain_of(const struct wr_paired *gain, double per);
/* It is open, and more trials alone may show it: within two of its Monte Carlo errors that end of the interval would
 * not read as 0.0. */
bool wr_gain_awaits_trials(const struct wr_paired *gain, double per);
/* The same of a drop rule's, in overrun probability. Work that is dropped delays nothing, so that a limit on an end can
 * but gain, and what the days tell apart is told wherever its interval begins; a clock may begin earlier where
 * something before it is dropped, and what one rule of several drops may keep other work: there may_add. */
enum wr_gain wr_rule_gain_of(const struct wr_paired *gain, bool may_add);
/* The end of its interval as wr_change shows it, but "<0.1" for more than none that would read as 0.0. */
const char *wr_gain_end(double end, char buf[WR_WORDS]);
/* "3.2 (1.1 to 6.0)": a gain with its interval, one decimal, since changes are known far better than levels. */
void wr_gain_cell(const struct wr_paired *gain, double per, struct wr_str *out);
/* Of a probability; a loss is no negative gain: "fewer by 3.1 (0.5 to 8.3)", "more by 1.0 (0.2 to 2.4)", "as many as
 * now". */
void wr_fewer_words(const struct wr_paired *gain, struct wr_str *out);
/* "+17", "-4.2" (with U+2212), "0": the sign always shown, one decimal below ten. */
const char *wr_signed(double change, char buf[WR_WORDS]);
/* "x 1.24" without the sign: two decimals. */
const char *wr_factor(double factor, char buf[WR_WORDS]);

/* "0.08", "below 0.01": a Monte Carlo error. Never none: what did not show in these trials may show in more. */
void wr_add_error(struct wr_str *out, double error, double least);

/* "inside", "not inside", "not enough rehearsals to tell": for machines, one of three whatever keeps it open */
const char *wr_verdict_words(enum wr_verdict verdict);
/* The same for people: where a doubt keeps it open, and not the number of rehearsals, "cannot be told for a doubt of
 * the files". */
const char *wr_verdict_said(enum wr_verdict verdict, struct wr_grounds grounds);
/* What is forecast: "the next rehearsal, at pool pace", "the excursion". */
const char *wr_target_words(enum wr_target target);
/* What an answer rests on, so whose doubt its interval is: no rehearsal narrows that of a carry-over. */
struct wr_rests_on {
    bool rehearsed;    /* false: on judgement */
    bool carried_over; /* on earlier excursions too, which say how pool times carry over */
    bool day;          /* on what was reported of this one too */
};
/* With what it does: "the rehearsals leave", "the rehearsals and the earlier excursions put", "judgement leaves". */
void wr_rests_on_words(struct wr_rests_on on, const char *does, struct wr_str *out);
/* "one", "two" … "twelve", then digits. */
const char *wr_count_words(size_t n, char buf[WR_WORDS]);
const char *wr_cell_state_words(enum wr_cell_state state); /* "done" … "absent" */
/* Adds our own words with a capital at their beginning. */
void wr_add_capital(struct wr_str *out, const char *text);
