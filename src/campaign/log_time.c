#include "wetrun/campaign/log_time.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include "cursor.h"
#include "wetrun/base/number.h"

#define NS_PER_S INT64_C(1000000000)

static bool take_char(struct cursor *c, char wanted)
{
    if (c->at == c->end || *c->at != wanted) return false;
    c->at++;
    return true;
}

/* exactly n digits */
static bool take_digits(struct cursor *c, int n, int *value)
{
    if (c->end - c->at < n) return false;
    int v = 0;
    for (int i = 0; i < n; i++) {
        if (!is_digit(c->at[i])) return false;
        v = v * 10 + (c->at[i] - '0');
    }
    c->at += n;
    *value = v;
    return true;
}

struct clock {
    int64_t ns; /* since midnight */
    bool leap;  /* second 60 */
};

static enum wr_time_trouble take_clock(struct cursor *c, struct clock *clock)
{
    int h, m, s = 0;
    int64_t fraction = 0;
    int digits = c->end - c->at > 1 && c->at[1] == ':' ? 1 : 2;

    if (!take_digits(c, digits, &h) || !take_char(c, ':') || !take_digits(c, 2, &m)) return WR_TIME_NOT_A_TIME;
    if (take_char(c, ':')) {
        if (!take_digits(c, 2, &s)) return WR_TIME_NOT_A_TIME;
        if ((peek(c) == '.' || peek(c) == ',') && (c->at++, !take_fraction(c, &fraction))) return WR_TIME_NOT_A_TIME;
    }
    clock->ns = (h * INT64_C(3600) + m * 60 + s) * NS_PER_S + fraction;
    clock->leap = s == 60;
    if (h > 24 || m > 59 || s > 60 || clock->ns > WR_NS_PER_DAY + NS_PER_S) return WR_TIME_NO_SUCH_TIME;
    if (clock->leap ? m != 59 : clock->ns > WR_NS_PER_DAY) return WR_TIME_NO_SUCH_TIME;
    if (clock->leap) clock->ns -= fraction; /* the moment is folded onto the next second's beginning */
    return WR_TIME_OK;
}

/* Days since 1970-01-01 in the Gregorian calendar: whole years of 365.2425 days counted from March, so that the leap
 * day is a year's last. */
static int64_t days_from(int year, int month, int day)
{
    int y = month <= 2 ? year - 1 : year;
    int from_march = (month + 9) % 12;

    return 365 * (int64_t)y + y / 4 - y / 100 + y / 400 + (153 * from_march + 2) / 5 + day - 1 - 719468;
}

static int month_length(int year, int month)
{
    static const int length[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);

    return length[month - 1] + (month == 2 && leap);
}

static bool looks_like_date(const struct cursor *c)
{
    return c->end - c->at >= 10 && is_digit(c->at[0]) && (c->at[4] == '-' || c->at[4] == '/');
}

static enum wr_time_trouble take_date(struct cursor *c, int64_t *day)
{
    int y, m, d;

    if (!take_digits(c, 4, &y)) return WR_TIME_NOT_A_TIME;
    char mark = peek(c);
    if ((mark != '-' && mark != '/') || (c->at++, !take_digits(c, 2, &m))) return WR_TIME_NOT_A_TIME;
    if (!take_char(c, mark) || !take_digits(c, 2, &d)) return WR_TIME_NOT_A_TIME;
    if (m < 1 || m > 12 || d < 1 || d > month_length(y, m)) return WR_TIME_NO_SUCH_DATE;
    if (y < 1700 || y > 2250) return WR_TIME_TOO_FAR; /* nanoseconds in 64 bits */
    *day = days_from(y, m, d);
    return WR_TIME_OK;
}

/* Z, +hh:mm, +hhmm or +hh; one blank may stand before it. */
static enum wr_time_trouble take_zone(struct cursor *c, int64_t *offset_min)
{
    int h, m = 0;

    if (peek(c) == ' ') c->at++;
    if (take_char(c, 'Z') || take_char(c, 'z')) return WR_TIME_OK;
    int sign = peek(c) == '-' ? -1 : 1;
    if (!take_char(c, '+') && !take_char(c, '-')) return WR_TIME_NOT_A_TIME;
    if (!take_digits(c, 2, &h)) return WR_TIME_NOT_A_TIME;
    if (c->at < c->end) {
        (void)take_char(c, ':');
        if (!take_digits(c, 2, &m)) return WR_TIME_NOT_A_TIME;
    }
    if (h > 23 || m > 59) return WR_TIME_NO_SUCH_TIME;
    *offset_min = sign * (h * 60 + m);
    return WR_TIME_OK;
}

static enum wr_time_trouble parse_stamp(struct cursor *c, struct wr_log_time *time)
{
    struct clock clock;
    int64_t day, offset_min = 0;
    enum wr_time_trouble trouble = take_date(c, &day);

    if (trouble != WR_TIME_OK) return trouble;
    if (!take_char(c, 'T') && !take_char(c, 't') && !take_char(c, ' ')) return WR_TIME_NOT_A_TIME;
    if ((trouble = take_clock(c, &clock)) != WR_TIME_OK) return trouble;
    time->kind = c->at == c->end ? WR_TIME_STAMP : WR_TIME_ZONED;
    if (time->kind == WR_TIME_ZONED && (trouble = take_zone(c, &offset_min)) != WR_TIME_OK) return trouble;
    if (c->at != c->end) return WR_TIME_NOT_A_TIME;
    time->day = day;
    time->ns = day * WR_NS_PER_DAY + clock.ns - offset_min * WR_NS_PER_MIN;
    if (clock.leap && time->kind == WR_TIME_ZONED && time->ns % WR_NS_PER_DAY != 0) return WR_TIME_NO_SUCH_TIME;
    return WR_TIME_OK;
}

static enum wr_time_trouble parse_elapsed(const char *text, size_t len, struct wr_log_time *time)
{
    char number[64]; /* ends behind len, which the text need not */
    double minutes;

    if (len >= sizeof number) return WR_TIME_NOT_A_TIME;
    memcpy(number, text, len);
    number[len] = '\0';
    if (!wr_parse_double(number, &minutes)) return WR_TIME_NOT_A_TIME;
    if (fabs(minutes) > 1e7) return WR_TIME_TOO_FAR;
    time->kind = WR_TIME_ELAPSED;
    time->ns = llround(minutes * (double)WR_NS_PER_MIN);
    return WR_TIME_OK;
}

enum { CLOCK_BYTES = 8 };

/* All bytes of hh:mm:ss at once: less those of 00:00:00, by exclusive or, each is at most that of 29:59:59, which
 * `beyond` takes to the edge of its highest bit. */
bool wr_parse_plain_clock(const char *text, size_t len, struct wr_log_time *time)
{
    static const char zero[CLOCK_BYTES + 1] = "00:00:00";
    static const unsigned char beyond[CLOCK_BYTES] = {0x7f - 2, 0x7f - 9, 0x7f,     0x7f - 5,
                                                      0x7f - 9, 0x7f,     0x7f - 5, 0x7f - 9};
    const uint64_t highest_bits = UINT64_C(0x8080808080808080);
    uint64_t bytes, zeros, room;
    unsigned char digit[CLOCK_BYTES];

    memcpy(&zeros, zero, CLOCK_BYTES);
    memcpy(&room, beyond, CLOCK_BYTES);
    if (len == CLOCK_BYTES) {
        memcpy(&bytes, text, CLOCK_BYTES);
    } else if (len == 5) {
        bytes = zeros;
        memcpy(&bytes, text, 5);
    } else {
        return false;
    }
    bytes ^= zeros;
    memcpy(digit, &bytes, CLOCK_BYTES);
    const int hour = digit[0] * 10 + digit[1], minute = digit[3] * 10 + digit[4], second = digit[6] * 10 + digit[7];
    if (((bytes + room) | bytes) & highest_bits || hour > 23) return false;
    time->kind = WR_TIME_CLOCK;
    time->ns = ((hour * 60 + minute) * 60 + second) * NS_PER_S;
    return true;
}

enum wr_time_trouble wr_parse_log_time(const char *text, size_t len, struct wr_log_time *time)
{
    struct cursor c = {text, text + len};
    struct clock clock;

    if (wr_parse_plain_clock(text, len, time)) return WR_TIME_OK;
    if (looks_like_date(&c)) return parse_stamp(&c, time);
    if (len >= 4 && (text[1] == ':' || text[2] == ':')) {
        enum wr_time_trouble trouble = take_clock(&c, &clock);
        if (trouble != WR_TIME_OK) return trouble;
        if (c.at != c.end) return WR_TIME_NOT_A_TIME;
        time->kind = WR_TIME_CLOCK;
        time->ns = clock.ns;
        return WR_TIME_OK;
    }
    return parse_elapsed(text, len, time);
}

const char *wr_time_trouble_text(enum wr_time_trouble trouble)
{
    switch (trouble) {
    case WR_TIME_OK: return "fine";
    case WR_TIME_NO_SUCH_DATE: return "there is no such date: write one that is, as 2031-05-20";
    case WR_TIME_NO_SUCH_TIME: return "there is no such time of day: write H:MM, from 0:00 to 24:00";
    case WR_TIME_TOO_FAR: return "too far away to be meant: correct it";
    case WR_TIME_NOT_A_TIME: break;
    }
    return "not a time: use HH:MM, HH:MM:SS, a date and time, or elapsed minutes";
}

bool wr_parse_log_date(const char *text, size_t len, int64_t *day)
{
    struct cursor c = {text, text + len};
    struct wr_log_time time;

    if (len > 10) {
        if (!looks_like_date(&c) || parse_stamp(&c, &time) != WR_TIME_OK) return false;
        *day = time.day;
        return true;
    }
    return len == 10 && take_date(&c, day) == WR_TIME_OK;
}

void wr_date_text(int64_t day, char text[16])
{
    const int64_t below = (day + 719468) / 366; /* see days_from: no later year than its own */
    int year = below > 1700 ? (int)below : 1700, month = 1;

    while (days_from(year + 1, 1, 1) <= day) year++;
    while (month < 12 && days_from(year, month + 1, 1) <= day) month++;
    snprintf(text, 16, "%04d-%02d-%02d", year % 10000, month % 100, (int)(day - days_from(year, month, 1)) % 31 + 1);
}

const char *wr_time_kind_text(enum wr_time_kind kind)
{
    switch (kind) {
    case WR_TIME_NONE: break;
    case WR_TIME_CLOCK: return "times of day";
    case WR_TIME_STAMP: return "dates and times without a zone";
    case WR_TIME_ZONED: return "dates and times with a zone";
    case WR_TIME_ELAPSED: return "elapsed minutes";
    case WR_TIME_MINUTES: return "minutes without a start";
    }
    return "no times";
}
