/* Numbers and spans of time as text. The program never calls setlocale, so the decimal sign is a point
 * whatever the user's locale. Parsing takes the whole text or nothing: no tail, no "nan", no "inf", no hex. */
#pragma once

#include <stdbool.h>
#include <stddef.h>

/* A number that may be absent. Look at known before value. */
struct wr_maybe {
    bool known;
    double value;
};
static inline struct wr_maybe wr_known(double value)
{
    return (struct wr_maybe){true, value};
}
#define WR_UNKNOWN ((struct wr_maybe){false, 0.0})

bool wr_parse_double(const char *text, double *value);  /* decimal, blanks around it allowed, finite */
bool wr_parse_size(const char *text, size_t *value);    /* decimal digits only */
bool wr_parse_uint64(const char *text, unsigned long long *value);

/* Whole minutes between two moments as wr_hmm shows them, so that what is read adds up: 5:35 and 46 min are 6:21. */
double wr_shown_gap_min(double from_min, double to_min);

enum { WR_CLOCK_TEXT = 32, WR_WORDS = 64 }; /* room for a clock; for a phrase (present/words.h) */
/* Room for one of either where it is said, until the end of the block: wr_hmm(minutes, WR_ROOM). */
#define WR_ROOM ((char[WR_WORDS]){0})
/* "6:30"; rounded to the nearest minute, minus sign U+2212, hours unbounded. Returns buf. */
const char *wr_hmm(double minutes, char buf[WR_CLOCK_TEXT]);
/* Of a moment that must not be passed the last whole minute before it (a millisecond is forgiven). */
double wr_shown_by_min(double minutes);
/* "6:30:05"; rounded to the nearest second. Returns buf. */
const char *wr_hmmss(double minutes, char buf[WR_CLOCK_TEXT]);
