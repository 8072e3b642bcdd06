#include "wetrun/base/number.h"

#include <errno.h>
#include <inttypes.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *skip_blanks(const char *s)
{
    while (*s == ' ' || *s == '\t') s++;
    return s;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

/* Few digits with or without a point: both the digits as a whole number and the power of ten are exact, so that the
 * quotient is rounded once and is what strtod gives. False where the text is anything else. */
static bool parse_plain_decimal(const char *s, double *value)
{
    static const double power[] = {1e0, 1e1, 1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                   1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15};
    int64_t v = 0;
    int digits = 0, decimals = 0;

    for (; is_digit(*s) && digits < 15; s++, digits++) v = v * 10 + (*s - '0');
    if (digits == 0) return false;
    if (*s == '.')
        for (s++; is_digit(*s) && digits < 15; s++, digits++, decimals++) v = v * 10 + (*s - '0');
    if (*s != '\0') return false;
    *value = (double)v / power[decimals];
    return true;
}

bool wr_parse_double(const char *text, double *value)
{
    const char *s = skip_blanks(text), *p = s;
    char *end;

    if (parse_plain_decimal(s, value)) return true;

    /* strtod alone would take "nan", "inf", "0x1p3"; so the shape is checked first */
    if (*p == '+' || *p == '-') p++;
    if (!is_digit(*p) && !(*p == '.' && is_digit(p[1]))) return false;
    if (p[0] == '0' && (p[1] == 'x' || p[1] == 'X')) return false;
    double v = strtod(s, &end);
    if (*skip_blanks(end) != '\0' || !isfinite(v)) return false;
    *value = v;
    return true;
}

bool wr_parse_uint64(const char *text, unsigned long long *value)
{
    char *end;

    if (!is_digit(text[0])) return false;
    errno = 0;
    unsigned long long v = strtoull(text, &end, 10);
    if (errno || *end != '\0') return false;
    *value = v;
    return true;
}

bool wr_parse_size(const char *text, size_t *value)
{
    unsigned long long v;

    if (!wr_parse_uint64(text, &v) || v > SIZE_MAX) return false;
    *value = (size_t)v;
    return true;
}

#define MINUS "\xe2\x88\x92" /* U+2212 */

const char *wr_hmm(double minutes, char buf[WR_CLOCK_TEXT])
{
    if (!isfinite(minutes) || fabs(minutes) > 1e9) {
        snprintf(buf, WR_CLOCK_TEXT, "?");
        return buf;
    }
    int64_t m = llround(fabs(minutes));
    snprintf(buf, WR_CLOCK_TEXT, "%s%" PRId64 ":%02d", minutes < 0 && m > 0 ? MINUS : "", m / 60, (int)(m % 60));
    return buf;
}

double wr_shown_gap_min(double from_min, double to_min)
{
    return round(to_min) - round(from_min);
}

double wr_shown_by_min(double minutes)
{
    return floor(minutes + 1.0 / 60000.0);
}

const char *wr_hmmss(double minutes, char buf[WR_CLOCK_TEXT])
{
    if (!isfinite(minutes) || fabs(minutes) > 1e9) {
        snprintf(buf, WR_CLOCK_TEXT, "?");
        return buf;
    }
    int64_t s = llround(fabs(minutes) * 60.0);
    snprintf(buf, WR_CLOCK_TEXT, "%s%" PRId64 ":%02d:%02d", minutes < 0 && s > 0 ? MINUS : "", s / 3600,
             (int)(s / 60 % 60), (int)(s % 60));
    return buf;
}
