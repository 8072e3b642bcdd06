/* Numbers without a colon among the starts and ends of one run: 9.30, 0930 and 0.375 may be times of day. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/number.h"
#include "wetrun/campaign/written.h"

struct bare_times { /* start as {0} */
    size_t n_bare, n_other;         /* numbers; times of another kind */
    size_t n_point, n_clock, n_day; /* numbers that could be 9.30, 0930, 0.375 */
    size_t n_four, n_zero, n_fraction,
        n_inside; /* of four digits, with a leading zero, with decimals, between 0 and 1 */
    size_t n_one_decimal, n_ends_in_zero;
    double least_start, most;
    size_t line, column; /* of the first */
    char example[32];
};

void bare_times_add(struct bare_times *times, const char *text, const struct wr_bare_shape *shape, bool is_start);

enum bare_doubt { NO_DOUBT, MAY_BE_POINT_CLOCK, MAY_BE_BARE_CLOCK, MAY_BE_DAY };
/* Of numbers and nothing else. */
enum bare_doubt bare_times_doubt(const struct bare_times *times);
/* 0905: nobody writes minutes so. */
bool bare_times_are_clock(const struct bare_times *times);

/* What a text of that doubt says if it is no number of minutes: "4:05". */
void bare_times_other_reading(const char *text, enum bare_doubt doubt, bool decimal_comma, char reading[WR_CLOCK_TEXT]);
