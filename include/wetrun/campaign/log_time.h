/* Times and dates as step logs write them. Whole text or nothing, no locale, no time zone database.
 *   clock     H:MM, HH:MM, HH:MM:SS, HH:MM:SS.fff; 24:00 is the end of the day
 *   stamp     YYYY-MM-DD or YYYY/MM/DD, then T or one blank, then a clock time; with Z, +hh:mm, +hhmm or +hh it is
 *             zoned and counts from the same moment everywhere, else it is local
 *   elapsed   a bare decimal number: minutes
 * Source of the stamp's shape: RFC 3339 (Klyne and Newman 2002), ISO 8601. Second 60 is taken in the last minute of
 * a UTC day, as there, and counts as the first second of the next day; without a zone in the last minute of an hour.
 * A fraction may follow a comma, as ISO 8601 allows. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum wr_time_kind { WR_TIME_NONE, WR_TIME_CLOCK, WR_TIME_STAMP, WR_TIME_ELAPSED, WR_TIME_MINUTES, WR_TIME_ZONED };

#define WR_NS_PER_MIN INT64_C(60000000000)
#define WR_NS_PER_DAY (1440 * WR_NS_PER_MIN)

struct wr_log_time {
    enum wr_time_kind kind; /* CLOCK, STAMP, ZONED or ELAPSED */
    int64_t ns;             /* since midnight (CLOCK, up to one day inclusive), 1970-01-01T00:00 (STAMP: local, ZONED:
                               UTC), or 0 (ELAPSED) */
    int64_t day;            /* STAMP, ZONED: the date as written, in days since 1970-01-01 */
};

enum wr_time_trouble { WR_TIME_OK, WR_TIME_NOT_A_TIME, WR_TIME_NO_SUCH_DATE, WR_TIME_NO_SUCH_TIME, WR_TIME_TOO_FAR };

/* Blanks around the text are not taken. Years 1700 to 2250; elapsed times up to ten million minutes. */
enum wr_time_trouble wr_parse_log_time(const char *text, size_t len, struct wr_log_time *time);
/* The same of HH:MM and HH:MM:SS of an ordinary moment, by far the most of what logs hold; false: anything else. */
bool wr_parse_plain_clock(const char *text, size_t len, struct wr_log_time *time);
const char *wr_time_trouble_text(enum wr_time_trouble trouble); /* "no such date" */
/* YYYY-MM-DD or YYYY/MM/DD, possibly followed by a time that is ignored: days since 1970-01-01. */
bool wr_parse_log_date(const char *text, size_t len, int64_t *day);
/* "2031-03-04"; days since 1970-01-01, years 1700 to 2250. */
void wr_date_text(int64_t day, char text[16]);
const char *wr_time_kind_text(enum wr_time_kind kind); /* "clock time", "date and time without zone", … */
