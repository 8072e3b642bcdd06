/* Numbers, times and dates as people and spreadsheets write them, turned into what they mean where that is beyond
 * doubt. Everything that is not the plain form of wetrun-files(5) is named by its spelling, so that `check` can list
 * what was read as what. What may mean two things is refused, with both readings and what to type. No locale. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/log_time.h"

/* id, what `check` calls it */
#define WR_SPELLING_TABLE(ROW)                                                                  \
    ROW(WR_PLAIN, "as it stands")                                                               \
    ROW(WR_SP_AM_PM, "a time with AM or PM")                                                    \
    ROW(WR_SP_HOUR_LETTER, "a time with h")                                                     \
    ROW(WR_SP_ONE_DIGIT, "a time with one digit for the minutes")                               \
    ROW(WR_SP_PAST_MIDNIGHT, "a time past 24:00, on the next day")                              \
    ROW(WR_SP_POINT_CLOCK, "a time of day with a point")                                        \
    ROW(WR_SP_BARE_CLOCK, "a time of day without a separator")                                  \
    ROW(WR_SP_DAY_FRACTION, "a fraction of a day")                                              \
    ROW(WR_SP_ABOUT, "a time marked as approximate, taken as it stands")                        \
    ROW(WR_SP_ZONE, "a time of day with its zone")                                              \
    ROW(WR_SP_DATE, "a date")                                                                   \
    ROW(WR_SP_RUN_DATE, "a run's name that is its date as well")                                \
    ROW(WR_SP_DECIMAL_COMMA, "a number with a decimal comma")                                   \
    ROW(WR_SP_UNIT, "a number with its unit")                                                   \
    ROW(WR_SP_HMM, "hours and minutes")                                                         \
    ROW(WR_SP_OTHER_UNIT, "a number in the unit of --minutes-in")                               \
    ROW(WR_SP_PERCENT, "a confidence in per cent")                                              \
    ROW(WR_SP_OUTCOME, "an outcome in another word")                                            \
    ROW(WR_SP_NAME, "a name in another spelling")                                               \
    ROW(WR_SP_TITLE, "a title in place of the task")                                            \
    ROW(WR_SP_CREW, "several lanes, joined in another way")                                     \
    ROW(WR_SP_LANE_ROWS, "a step in a row for each of its lanes")                                \
    ROW(WR_SP_COLUMN, "a column under another name")                                            \
    ROW(WR_SP_MISSING_FIELDS, "a row whose last, empty fields were left off")                   \
    ROW(WR_SP_EMPTY_ROW, "a row of empty fields, passed over")                                  \
    ROW(WR_SP_COMMENT, "a comment, passed over")                                                \
    ROW(WR_SP_FOOTER, "a line below the table, passed over")                                    \
    ROW(WR_SP_SUM, "a sum of other rows, passed over")                                          \
    ROW(WR_SP_ABOVE, "a line above the header, passed over")                                    \
    ROW(WR_SP_NOTHING, "a word for nothing, taken as an empty cell")                            \
    ROW(WR_SP_FILLED, "an empty cell that means the one above")                                 \
    ROW(WR_SP_UTF16, "UTF-16 text")                                                             \
    ROW(WR_SP_CR_ENDS, "lines that end in a carriage return")

enum wr_spelling {
#define WR_SPELLING_ENUM(id, text) id,
    WR_SPELLING_TABLE(WR_SPELLING_ENUM)
#undef WR_SPELLING_ENUM
    WR_N_SPELLING
};

/* How one table writes things; found from all of it, or said by the user. */
enum wr_bare { WR_BARE_ELAPSED, WR_BARE_CLOCK, WR_BARE_DAY }; /* what a number without a colon is in start and end */
enum wr_date_order { WR_ORDER_UNKNOWN, WR_DAY_FIRST, WR_MONTH_FIRST }; /* of dates with slashes */
struct wr_habits { /* {0}: elapsed minutes, decimal points */
    enum wr_bare bare;
    bool colons_are_elapsed;  /* --times elapsed: 1:30 is an hour and a half since the start */
    bool zeros_were_dropped;  /* WR_BARE_CLOCK: 9.3 is 9:30, its last zero gone */
    bool whole_hours;         /* WR_BARE_CLOCK: 9 is 9:00, not nine minutes past midnight */
    bool decimal_comma;       /* the delimiter is no comma, so a comma is a decimal sign */
    enum wr_date_order order;
    double minutes_per_unit;  /* of a bare number of minutes; 0: 1 */
};

/* A text of len bytes has a NUL behind them, as every field of a record has.
 * Each returns NULL, or why the text cannot be read: a phrase that may go on with what to type, without the text
 * itself. *spelling is set where the text was not in the plain form. */
const char *wr_written_time(const char *text, size_t len, const struct wr_habits *habits, struct wr_log_time *time,
                            enum wr_spelling *spelling);
const char *wr_written_date(const char *text, size_t len, const struct wr_habits *habits, int64_t *day,
                            enum wr_spelling *spelling);
const char *wr_written_number(const char *text, const struct wr_habits *habits, double *value,
                              enum wr_spelling *spelling);
/* How long something took or is allotted: minutes, h:mm, h:mm:ss, with a unit (min, h, s). 26:10 is refused: hours and
 * minutes, or minutes and seconds? */
const char *wr_written_span(const char *text, const struct wr_habits *habits, double *minutes,
                            enum wr_spelling *spelling);
/* What is left of a step without its hold; false if that is longer (by more than decimal minutes round). */
bool wr_without_hold(double length_min, double hold_min, double *active_min);
/* A moment or a limit of a whole excursion: the same, 26:10 is 26 hours; but 2.30 is refused: minutes, or 2:30? */
const char *wr_written_moment(const char *text, const struct wr_habits *habits, double *minutes,
                              enum wr_spelling *spelling);
/* The same of an option: above 0, and no more than could be meant. */
const char *wr_written_limit(const char *text, const struct wr_habits *habits, double *minutes);
/* Of a number of minutes that may be hours and minutes without a colon, 630 for 6:30: the minutes that it is then. */
struct wr_maybe wr_as_lost_colon_min(const char *text, const struct wr_habits *habits);
/* With a unit (390 min, 6h30) it is surely meant as it stands; with a colon it may be a time of day. */
enum wr_time_form { WR_TIME_NUMBER, WR_TIME_COLON, WR_TIME_UNIT };
enum wr_time_form wr_time_form_of(const char *text);
/* A probability between 0 and 1, or per cent: 0.9, 90, 90 %. */
const char *wr_written_confidence(const char *text, const struct wr_habits *habits, double *prob,
                                  enum wr_spelling *spelling);

/* ---- what stands around a time ---- */

struct wr_time_core {
    bool about; /* ~9:26, ca. 9:26 */
    bool zone;  /* 0900Z, 09:00 UTC, GMT: times of day, all in one zone or none of them */
    bool hours; /* 0900h, 0900 hrs */
    size_t len;
    char text[32]; /* without the marks */
};
/* false: there is none, and the text is not copied. Zones of a date and time are left to their reader. */
bool wr_cut_time_marks(const char *text, size_t len, struct wr_time_core *core);

/* ---- what a number without a colon may be, looked at alone ---- */

struct wr_bare_shape {
    bool is_number;
    bool point_clock;  /* up to two decimals below .60, up to 30 */
    bool has_fraction, one_decimal, ends_in_zero;
    bool four_digits, leading_zero, bare_clock; /* whole, up to 2459, last two digits below 60 */
    double value;
};
struct wr_bare_shape wr_bare_shape_of(const char *text, size_t len, bool decimal_comma);
/* 0630: nobody writes minutes so. */
static inline bool wr_colon_was_lost(const struct wr_bare_shape *shape)
{
    return shape->four_digits && shape->leading_zero && shape->bare_clock;
}
/* 4:75 */
bool wr_goes_beyond_59(const char *text);
/* A date with slashes: the two first numbers, to tell day from month. false: it is none. */
bool wr_slash_date_parts(const char *text, size_t len, int *first, int *second);

/* ---- what was read as what ---- */

struct wr_reading_tally {
    enum wr_spelling spelling;
    size_t n, line, column; /* of the first */
    char from[64], to[64];
};
enum { WR_MOST_WORDS_TALLIED = 24 };
struct wr_read_as { /* start as {0}: one table's tally */
    struct wr_reading_tally of[WR_N_SPELLING]; /* times and numbers, each another */
    struct wr_reading_tally word[WR_MOST_WORDS_TALLIED]; /* of words and names each, as far as there is room */
    size_t n_word;
};
/* Counts one; the first is kept as the example. to NULL: the spelling says it all. */
void wr_read_as_note(struct wr_read_as *tally, enum wr_spelling spelling, size_t line, size_t column, const char *from,
                     const char *to);
/* A note "read-as" for each spelling that occurred. */
void wr_read_as_report(const struct wr_read_as *tally, const char *file, struct wr_findings *findings);
