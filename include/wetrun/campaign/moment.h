/* Moments that are reported while an excursion goes on: elapsed since it began or, where the time of day is known at
 * which it began, times of day. The rule of the log for times, on a text by itself; the page for the day has the same
 * (present/day_log.js), and tests/day/moments.tsv holds both to it. */
#pragma once

#include <stdbool.h>
#include "wetrun/base/number.h"
#include "wetrun/campaign/written.h"

enum wr_moment_numbers {
    WR_NUMBERS_ALONE,   /* a number without a colon is looked at by itself: 0405 is 4:05, 4.05 may be two things */
    WR_NUMBERS_MINUTES, /* all of a table say that they are minutes since the beginning */
    WR_NUMBERS_CLOCK    /* all of a table say that they are h:mm without the colon */
};
struct wr_moment_reader {
    struct wr_maybe start_min; /* of the day; unknown or 0: moments are elapsed */
    enum wr_moment_numbers numbers;
    bool decimal_comma;
};

enum { WR_MOMENT_TROUBLE = 192 };
/* Elapsed minutes; a time of day before the start is of the next day. false: *trouble says in words that follow the
 * text why it cannot be read, and what to type. */
bool wr_read_moment(const struct wr_moment_reader *reader, const char *text, double *minutes,
                    enum wr_spelling *spelling, char trouble[WR_MOMENT_TROUBLE]);
