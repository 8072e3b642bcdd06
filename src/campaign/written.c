#include "wetrun/campaign/written.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "cursor.h"
#include "wetrun/base/number.h"

static const double MOST_MINUTES = 1e7; /* 19 years */
static const char not_a_time[] = "not a time: use HH:MM, HH:MM:SS, a date and time, or elapsed minutes";

static bool is_space(char c)
{
    return c == ' ' || c == '\t';
}

static void skip_spaces(struct cursor *c)
{
    while (is_space(peek(c))) c->at++;
}

/* least to most digits; the number of them, or 0 */
static int take_digits(struct cursor *c, int least, int most, int *value)
{
    int n = 0, v = 0;

    while (n < most && n < c->end - c->at && is_digit(c->at[n])) v = v * 10 + (c->at[n++] - '0');
    if (n < least || (n < c->end - c->at && is_digit(c->at[n]))) return 0;
    c->at += n;
    *value = v;
    return n;
}

/* The word at the front, letters and points, is one of a list that ends with NULL; its place in the list, or -1. */
static int take_word(struct cursor *c, const char *const *word)
{
    size_t n = 0;

    while ((ptrdiff_t)n < c->end - c->at && (((c->at[n] | 32) >= 'a' && (c->at[n] | 32) <= 'z') || c->at[n] == '.'))
        n++;
    for (int i = 0; word[i]; i++)
        if (strlen(word[i]) == n && strncasecmp(word[i], c->at, n) == 0) {
            c->at += n;
            return i;
        }
    return -1;
}

/* ---- numbers ---- */

/* A decimal comma made a point, where the table's delimiter leaves the comma free. */
static bool mend_comma(const char *text, const struct wr_habits *habits, char *mended, size_t room)
{
    const char *comma = strchr(text, ',');
    size_t n = strlen(text);

    if (!habits->decimal_comma || !comma || strchr(comma + 1, ',') || strchr(text, '.') || n >= room) return false;
    memcpy(mended, text, n + 1);
    mended[comma - text] = '.';
    return true;
}

const char *wr_written_number(const char *text, const struct wr_habits *habits, double *value,
                              enum wr_spelling *spelling)
{
    char mended[64];

    *spelling = WR_PLAIN;
    if (wr_parse_double(text, value)) return NULL;
    if (mend_comma(text, habits, mended, sizeof mended) && wr_parse_double(mended, value)) {
        *spelling = WR_SP_DECIMAL_COMMA;
        return NULL;
    }
    return strchr(text, ',') ? "not a number: write digits (with a decimal comma the columns need another delimiter, "
                               "or a point)"
                             : "not a number: write digits";
}

/* A statement about one day in a thousand already leans on the shape of the model's tail alone. */
static const double MOST_CONFIDENCE = 0.999 + 1e-12;

const char *wr_written_confidence(const char *text, const struct wr_habits *habits, double *prob,
                                  enum wr_spelling *spelling)
{
    char number[64];
    size_t n = strlen(text);
    bool percent = n > 0 && text[n - 1] == '%', named = (text[0] | 32) == 'p'; /* P90 */

    if (named) {
        text++;
        n--;
    }
    if (percent) n--;
    while (n > 0 && is_space(text[n - 1])) n--;
    if (n >= sizeof number) return "not a number: write 0.9 for 90 %";
    if (memchr(text, ',', n) && !habits->decimal_comma) return "written with a decimal comma: write a point, as 0.9";
    memcpy(number, text, n);
    number[n] = '\0';
    const char *trouble = wr_written_number(number, habits, prob, spelling);
    if (trouble) return "not a number: write 0.9 for 90 %";
    if (named && !percent && *prob < 1) return "a point in per cent, as P90, or a probability? write 0.9 for 90 %";
    if (percent || *prob > 1) {
        *prob /= 100;
        *spelling = WR_SP_PERCENT;
        if (*prob > 0 && *prob <= 0.5)
            return "that many per cent, and a limit is to be kept more often than not: write 90 or 0.9 for 90 %";
    }
    if (!(*prob > 0 && *prob < 1)) return "not between 0 and 1 (write 0.9 for 90 %)";
    if (*prob <= 0.5) return "not above 0.5: a limit is to be kept more often than not (write 0.9 for 90 %)";
    return *prob <= MOST_CONFIDENCE ? NULL
                                    : "above 0.999, and no number of rehearsals tells so much of so rare a "
                                      "day: write 0.99 or less";
}

/* ---- spans ---- */

/* h:mm, h:mm:ss, 9h30, 9h; hours without bound. */
static bool take_hours(struct cursor *c, double *minutes, int *hours, bool *letter)
{
    struct cursor t = *c;
    int h, m = 0, s = 0;

    if (!take_digits(&t, 1, 5, &h)) return false;
    *letter = (peek(&t) | 32) == 'h';
    if (*letter ? t.at - c->at > 2 : peek(&t) != ':') return false; /* 0905h is a time of day */
    t.at++;
    if (*letter && t.at == t.end) goto out;
    if (!take_digits(&t, *letter ? 1 : 2, 2, &m) || m > 59) return false;
    if (peek(&t) == ':') {
        t.at++;
        if (!take_digits(&t, 2, 2, &s) || s > 59) return false;
    }
    if (*letter && (peek(&t) | 32) == 'm') t.at++; /* 1h30m */
out:
    if (t.at != t.end) return false;
    *minutes = h * 60.0 + m + s / 60.0;
    *hours = h;
    *c = t;
    return true;
}

/* A number followed by its unit: "3 min", "3'", "1.5 h", "90 s". */
static bool read_with_unit(const char *text, const struct wr_habits *habits, double *minutes)
{
    static const char *const word[] = {"min",     "min.", "mins", "minutes", "minute", "m", "h", "hr",
                                       "hrs",     "hour", "hours", "s",      "sec",    "sec.", "secs", "seconds", NULL};
    static const double factor[] = {1,  1,  1,  1,        1,        1,        60,       60,
                                    60, 60, 60, 1 / 60.0, 1 / 60.0, 1 / 60.0, 1 / 60.0, 1 / 60.0};
    size_t n = strspn(text, "0123456789.,+-");
    char number[32];
    enum wr_spelling spelling;
    struct cursor c = {text + n, text + strlen(text)};

    if (n == 0 || n >= sizeof number) return false;
    memcpy(number, text, n);
    number[n] = '\0';
    skip_spaces(&c);
    int unit = take_word(&c, word);
    if (unit < 0 && c.end - c.at == 1 && *c.at == '\'') {
        unit = 0;
        c.at++;
    }
    if (unit < 0 || c.at != c.end || wr_written_number(number, habits, minutes, &spelling)) return false;
    *minutes *= factor[unit];
    return true;
}

/* In another unit a number may be too large for any. */
static const char *trouble_of_size(double minutes)
{
    return isfinite(minutes) ? NULL : "too large a number of minutes";
}

bool wr_goes_beyond_59(const char *text)
{
    size_t h = strspn(text, "0123456789"), m = h && text[h] == ':' ? strspn(text + h + 1, "0123456789") : 0;

    return m == 2 && text[h + 1] > '5' && (text[h + 3] == '\0' || text[h + 3] == ':');
}

/* How a bare number of minutes or h:mm is read; *hours is -1 where there was no colon. */
static const char *read_span(const char *text, const struct wr_habits *habits, double *minutes, int *hours,
                             enum wr_spelling *spelling)
{
    struct cursor c = {text, text + strlen(text)};
    double factor = habits->minutes_per_unit > 0 ? habits->minutes_per_unit : 1;
    bool letter;

    *hours = -1;
    if (!wr_written_number(text, habits, minutes, spelling)) {
        *minutes *= factor;
        if (factor != 1) *spelling = WR_SP_OTHER_UNIT;
        return trouble_of_size(*minutes);
    }
    if (take_hours(&c, minutes, hours, &letter)) {
        *spelling = letter ? WR_SP_HOUR_LETTER : WR_SP_HMM;
        if (letter) *hours = -1;
        return NULL;
    }
    if (read_with_unit(text, habits, minutes)) {
        *spelling = WR_SP_UNIT;
        return trouble_of_size(*minutes);
    }
    if (wr_goes_beyond_59(text)) return "beyond 59 in its minutes: write h:mm, as 4:45, or minutes";
    return strchr(text, ',') ? "not a number of minutes or h:mm, for it has a comma: write a point, as 26.5, or 0:26:30"
                             : "not a number of minutes or h:mm: write 26, or 0:26";
}

const char *wr_written_span(const char *text, const struct wr_habits *habits, double *minutes,
                            enum wr_spelling *spelling)
{
    int hours;
    const char *trouble = read_span(text, habits, minutes, &hours, spelling);

    if (trouble) return trouble;
    if (hours >= 12 && strchr(text, ':') == strrchr(text, ':'))
        return "hours and minutes, or minutes and seconds? write h:mm:ss (0:26:10), or minutes (26.17)";
    return NULL;
}

bool wr_without_hold(double length_min, double hold_min, double *active_min)
{
    double rest = length_min - hold_min;

    *active_min = rest > 0 ? rest : 0;
    return rest > -1e-9;
}

/* 630 is 6:30 */
static double without_colon_min(const struct wr_bare_shape *shape)
{
    return floor(shape->value / 100) * 60 + fmod(shape->value, 100);
}

struct wr_maybe wr_as_lost_colon_min(const char *text, const struct wr_habits *habits)
{
    struct wr_bare_shape shape = wr_bare_shape_of(text, strlen(text), habits->decimal_comma);

    if (!shape.bare_clock || shape.value < 100 || habits->minutes_per_unit > 1) return WR_UNKNOWN;
    return wr_known(without_colon_min(&shape));
}

enum wr_time_form wr_time_form_of(const char *text)
{
    if (text[strcspn(text, "hmsHMS'")]) return WR_TIME_UNIT;
    return strchr(text, ':') ? WR_TIME_COLON : WR_TIME_NUMBER;
}

const char *wr_written_moment(const char *text, const struct wr_habits *habits, double *minutes,
                              enum wr_spelling *spelling)
{
    int hours;
    const char *trouble = read_span(text, habits, minutes, &hours, spelling);

    if (trouble) return trouble;
    if (*spelling == WR_SP_HMM) *spelling = WR_PLAIN; /* is asked for */
    struct wr_bare_shape shape = wr_bare_shape_of(text, strlen(text), habits->decimal_comma);
    if (wr_colon_was_lost(&shape)) {
        *minutes = without_colon_min(&shape);
        *spelling = WR_SP_BARE_CLOCK;
    }
    if (shape.is_number && shape.has_fraction && shape.point_clock && *minutes < 25)
        return "minutes, or hours and minutes? write h:mm (2:30), or h:mm:ss (0:02:18) for so few minutes";
    return NULL;
}

const char *wr_written_limit(const char *text, const struct wr_habits *habits, double *minutes)
{
    enum wr_spelling spelling;
    const char *trouble = wr_written_moment(text, habits, minutes, &spelling);

    if (trouble) return trouble;
    if (!(*minutes * 60 >= 1)) return "not a time of a second or more: write h:mm, as 6:30";
    return *minutes <= MOST_MINUTES ? NULL : "more minutes than could be meant: write h:mm, as 6:30";
}

/* ---- dates ---- */

static const char *check_date(int y, int m, int d, int64_t *day)
{
    char text[16];

    snprintf(text, sizeof text, "%04d-%02d-%02d", y % 10000, m % 100, d % 100);
    return wr_parse_log_date(text, 10, day) ? NULL : "there is no such date: write one that is, as 2031-05-20";
}

bool wr_slash_date_parts(const char *text, size_t len, int *first, int *second)
{
    struct cursor c = {text, text + len};
    int year;

    if (!take_digits(&c, 1, 2, first) || peek(&c) != '/') return false;
    c.at++;
    if (!take_digits(&c, 1, 2, second) || peek(&c) != '/') return false;
    c.at++;
    return take_digits(&c, 4, 4, &year) && (c.at == c.end || *c.at == ' ');
}

/* The date at the front: 2031-3-3, 2031/3/3, 3.3.2031, 3/3/2031. */
static const char *take_date(struct cursor *c, enum wr_date_order order, int64_t *day)
{
    static const char unread[] = "not a date: use YYYY-MM-DD";
    int a, b, y, n = take_digits(c, 1, 4, &a);
    char mark = peek(c);

    if (n == 0 || !strchr("-/.", mark) || mark == '\0') return unread;
    c->at++;
    if (!take_digits(c, 1, 2, &b) || peek(c) != mark) return unread;
    c->at++;
    if (n == 4) return take_digits(c, 1, 2, &y) ? check_date(a, b, y, day) : unread;
    if (n > 2 || mark == '-') return unread;
    if (!take_digits(c, 4, 4, &y)) return "not a date: use YYYY-MM-DD, with four digits for the year";
    if (mark == '.') return check_date(y, b, a, day);
    if (a == b) return check_date(y, a, b, day);
    if (order == WR_ORDER_UNKNOWN) return "day or month first? --dates dmy or --dates mdy says so";
    return order == WR_DAY_FIRST ? check_date(y, b, a, day) : check_date(y, a, b, day);
}

const char *wr_written_date(const char *text, size_t len, const struct wr_habits *habits, int64_t *day,
                            enum wr_spelling *spelling)
{
    struct cursor c = {text, text + len};

    *spelling = WR_PLAIN;
    if (wr_parse_log_date(text, len, day)) return NULL;
    *spelling = WR_SP_DATE;
    const char *trouble = take_date(&c, habits->order, day);
    if (trouble) return trouble;
    return c.at == c.end || is_space(*c.at) || *c.at == 'T' ? NULL : "not a date: use YYYY-MM-DD";
}

/* ---- times ---- */

enum half_day { NO_HALF, AM, PM };

/* AM, PM, a.m., pm. at the end; the text is cut before it. */
static enum half_day cut_half_day(struct cursor *c)
{
    static const char *const word[] = {"am", "a.m.", "am.", "a.m", "pm", "p.m.", "pm.", "p.m", NULL};
    const char *begin = c->end;

    while (begin > c->at &&
           ((begin[-1] | 32) == 'a' || (begin[-1] | 32) == 'p' || (begin[-1] | 32) == 'm' || begin[-1] == '.'))
        begin--;
    struct cursor end = {begin, c->end};
    int which = begin < c->end ? take_word(&end, word) : -1;
    if (which < 0) return NO_HALF;
    c->end = begin;
    while (c->end > c->at && is_space(c->end[-1])) c->end--;
    return which < 4 ? AM : PM;
}

struct parts {
    int h, m, s, m_digits;
    int64_t fraction_ns;
    bool has_colon, has_letter;
};

/* 9, 9:5, 9:05:30.5, 9h30, 9 h 30; everything up to the end. */
static bool take_clock(struct cursor *c, struct parts *p)
{
    *p = (struct parts){0};
    if (!take_digits(c, 1, 2, &p->h)) return false;
    if (c->at == c->end) return true;
    if (peek(c) == ' ' && c->at + 1 < c->end && (c->at[1] | 32) == 'h') c->at++;
    p->has_letter = (peek(c) | 32) == 'h';
    p->has_colon = peek(c) == ':';
    if (!p->has_colon && !p->has_letter) return false;
    c->at++;
    if (p->has_letter) skip_spaces(c);
    if (p->has_letter && c->at == c->end) return true;
    if (!(p->m_digits = take_digits(c, 1, 2, &p->m))) return false;
    if (c->at == c->end) return true;
    if (*c->at != ':' || p->m_digits != 2) return false;
    c->at++;
    if (!take_digits(c, 2, 2, &p->s)) return false;
    if (peek(c) == '.' || peek(c) == ',') {
        c->at++;
        if (!take_fraction(c, &p->fraction_ns)) return false;
    }
    return c->at == c->end;
}

static const char *clock_of(const struct parts *p, enum half_day half, int64_t *ns, enum wr_spelling *spelling)
{
    int h = p->h;

    if (p->m > 59 || p->s > 59 || (half && (h < 1 || h > 12)))
        return "there is no such time of day: write H:MM, from 0:00 to 24:00";
    if (half) h = h % 12 + (half == PM ? 12 : 0);
    if (h > 47) return "there is no such time of day: write H:MM, from 0:00 to 24:00";
    *spelling = half             ? WR_SP_AM_PM
                : p->has_letter  ? WR_SP_HOUR_LETTER
                : h >= 24        ? WR_SP_PAST_MIDNIGHT
                                 : WR_SP_ONE_DIGIT; /* all else is plain, and was read as such */
    *ns = ((int64_t)h * 3600 + p->m * 60 + p->s) * INT64_C(1000000000) + p->fraction_ns;
    return NULL;
}

/* A time of day, its h, AM or missing digits as people write them. */
static const char *read_clock(struct cursor c, int64_t *ns, enum wr_spelling *spelling)
{
    struct parts p;
    enum half_day half = cut_half_day(&c);

    if (!take_clock(&c, &p) || (!half && !p.has_colon && !p.has_letter)) return not_a_time;
    return clock_of(&p, half, ns, spelling);
}

/* A date and a time that the plain form does not cover. */
static const char *read_stamp(const char *text, size_t len, const struct wr_habits *habits, struct wr_log_time *time,
                              enum wr_spelling *spelling)
{
    struct cursor c = {text, text + len};
    char plain[64];
    int64_t day, ns;
    const char *trouble = take_date(&c, habits->order, &day);

    if (trouble) return strchr(trouble, '?') ? trouble : not_a_time;
    if (peek(&c) != ' ' && peek(&c) != 'T') return not_a_time;
    c.at++;
    skip_spaces(&c);
    /* the plain parser knows zones: the date is written out for it */
    struct wr_log_time of_day;
    int n = snprintf(plain, sizeof plain, "1970-01-01T%.*s", (int)(c.end - c.at), c.at);
    *spelling = WR_SP_DATE;
    if ((size_t)n < sizeof plain && wr_parse_log_time(plain, (size_t)n, &of_day) == WR_TIME_OK) {
        *time = of_day;
        time->ns += day * WR_NS_PER_DAY;
        time->day = day;
        return NULL;
    }
    if ((trouble = read_clock(c, &ns, spelling))) return trouble;
    if (ns > WR_NS_PER_DAY) return "there is no such time of day: write H:MM, from 0:00 to 24:00";
    *time = (struct wr_log_time){WR_TIME_STAMP, day * WR_NS_PER_DAY + ns, day};
    return NULL;
}

static bool begins_with_date(const char *text, size_t len)
{
    size_t digits = 0;

    while (digits < len && is_digit(text[digits])) digits++;
    if (digits == 0 || digits > 4 || digits >= len || !strchr("-/.", text[digits])) return false;
    size_t next = digits + 1;
    while (next < len && is_digit(text[next])) next++;
    return next > digits + 1 && next < len && text[next] == text[digits];
}

/* A number in a column of times of day: 9.30, 0930. */
static const char *clock_of_number(const struct wr_bare_shape *shape, const struct wr_habits *habits,
                                   struct wr_log_time *time, enum wr_spelling *spelling)
{
    int h, m;

    if (shape->has_fraction || (habits->whole_hours && shape->value <= 30)) {
        if (!shape->point_clock) return "not a time of day, for its minutes would be above 59: write h:mm";
        if (shape->one_decimal && !habits->zeros_were_dropped)
            return "five or fifty minutes past? write h:mm";
        int hundredths = (int)lround(shape->value * 100);
        h = hundredths / 100;
        m = hundredths % 100;
        *spelling = WR_SP_POINT_CLOCK;
    } else {
        if (!shape->bare_clock) return "not a time of day: write h:mm";
        h = (int)shape->value / 100;
        m = (int)shape->value % 100;
        *spelling = WR_SP_BARE_CLOCK;
    }
    int64_t ns = ((int64_t)h * 60 + m) * WR_NS_PER_MIN;
    *time = (struct wr_log_time){WR_TIME_CLOCK, ns > WR_NS_PER_DAY ? ns - WR_NS_PER_DAY : ns, 0};
    return NULL;
}

/* A spreadsheet's days, to the second: 0.375 is 9:00; with whole days the date counts too, 25569 being 1970-01-01. */
static const char *time_of_days(double days, struct wr_log_time *time)
{
    if (days < 0 || days > 100000) return "not a fraction of a day: write h:mm";
    double whole = floor(days);
    int64_t ns = (int64_t)llround((days - whole) * 86400) * INT64_C(1000000000);
    *time = (struct wr_log_time){WR_TIME_CLOCK, ns, 0};
    if (days <= 1) {
        if (days == 1) time->ns = WR_NS_PER_DAY;
        return NULL;
    }
    int64_t day = (int64_t)whole - 25569;
    *time = (struct wr_log_time){WR_TIME_STAMP, day * WR_NS_PER_DAY + ns, day};
    return NULL;
}

static const char *read_bare(const char *text, size_t len, const struct wr_bare_shape *shape,
                             const struct wr_habits *habits, struct wr_log_time *time, enum wr_spelling *spelling)
{
    (void)len;
    if (habits->bare == WR_BARE_CLOCK) return clock_of_number(shape, habits, time, spelling);
    if (habits->bare == WR_BARE_DAY) {
        *spelling = WR_SP_DAY_FRACTION;
        return time_of_days(shape->value, time);
    }
    double factor = habits->minutes_per_unit > 0 ? habits->minutes_per_unit : 1;
    if (fabs(shape->value * factor) > 1e7) return "too far away to be meant: correct it";
    *spelling = factor != 1 ? WR_SP_OTHER_UNIT : strchr(text, ',') ? WR_SP_DECIMAL_COMMA : WR_PLAIN;
    *time = (struct wr_log_time){WR_TIME_ELAPSED, llround(shape->value * factor * (double)WR_NS_PER_MIN), 0};
    return NULL;
}

/* --times elapsed: h:mm since the start. */
static bool read_elapsed_hours(const char *text, size_t len, struct wr_log_time *time)
{
    struct cursor c = {text, text + len};
    double minutes;
    int hours;
    bool letter;

    if (!take_hours(&c, &minutes, &hours, &letter)) return false;
    *time = (struct wr_log_time){WR_TIME_ELAPSED, llround(minutes * (double)WR_NS_PER_MIN), 0};
    return true;
}

static const char *read_other(const char *text, size_t len, const struct wr_habits *habits, struct wr_log_time *time,
                              enum wr_spelling *spelling)
{
    struct cursor c = {text, text + len};
    enum wr_time_trouble plain = wr_parse_log_time(text, len, time);
    int64_t ns;

    if (begins_with_date(text, len)) {
        const char *trouble = read_stamp(text, len, habits, time, spelling);
        return trouble == not_a_time && plain != WR_TIME_NOT_A_TIME ? wr_time_trouble_text(plain) : trouble;
    }
    const char *trouble = read_clock(c, &ns, spelling);
    if (trouble) return plain == WR_TIME_NOT_A_TIME ? trouble : wr_time_trouble_text(plain);
    *time = (struct wr_log_time){WR_TIME_CLOCK, ns > WR_NS_PER_DAY ? ns - WR_NS_PER_DAY : ns, 0};
    return NULL;
}

static const char *read_time(const char *text, size_t len, const struct wr_habits *habits, struct wr_log_time *time,
                             enum wr_spelling *spelling)
{
    *spelling = WR_PLAIN;
    if (habits->colons_are_elapsed && read_elapsed_hours(text, len, time)) {
        *spelling = WR_SP_HMM;
        return NULL;
    }
    enum wr_time_trouble plain = wr_parse_log_time(text, len, time);
    if (plain == WR_TIME_OK && time->kind != WR_TIME_ELAPSED) return NULL;
    struct wr_bare_shape shape = wr_bare_shape_of(text, len, habits->decimal_comma);
    if (shape.is_number) return read_bare(text, len, &shape, habits, time, spelling);
    return read_other(text, len, habits, time, spelling);
}

/* The length of a word at the front, and the blanks behind it; 0 if none of the list is there. */
static size_t front_mark(const char *text, const char *const *mark)
{
    for (int i = 0; mark[i]; i++) {
        size_t n = strlen(mark[i]);
        if (strncasecmp(text, mark[i], n) == 0) return n + strspn(text + n, " ");
    }
    return 0;
}

static void cut_end(struct wr_time_core *core, const char *mark, bool *found)
{
    size_t n = strlen(mark);

    if (*found || core->len <= n || strcasecmp(core->text + core->len - n, mark) != 0) return;
    if (!is_digit(core->text[core->len - n - 1]) && core->text[core->len - n - 1] != ' ') return;
    core->len -= n;
    while (core->len > 0 && core->text[core->len - 1] == ' ') core->len--;
    core->text[core->len] = '\0';
    *found = true;
}

bool wr_cut_time_marks(const char *text, size_t len, struct wr_time_core *core)
{
    static const char *const about[] = {"~", "\xe2\x89\x88", "ca.", "ca ", NULL};

    *core = (struct wr_time_core){.len = 0};
    if (len == 0 || len >= sizeof core->text || (is_digit(text[0]) && is_digit(text[len - 1]))) return false;
    size_t at = front_mark(text, about);
    core->about = at > 0;
    core->len = len - at;
    memcpy(core->text, text + at, core->len + 1);
    if (!begins_with_date(core->text, core->len)) {
        cut_end(core, "Z", &core->zone);
        cut_end(core, "UTC", &core->zone);
        cut_end(core, "GMT", &core->zone);
        size_t digits = strspn(core->text, "0123456789");
        if (digits == 3 || digits == 4) { /* 0900h; 9h is nine hours anyway */
            cut_end(core, "h", &core->hours);
            cut_end(core, "hrs", &core->hours);
        }
    }
    return core->about || core->zone || core->hours;
}

const char *wr_written_time(const char *text, size_t len, const struct wr_habits *habits, struct wr_log_time *time,
                            enum wr_spelling *spelling)
{
    const char *trouble = read_time(text, len, habits, time, spelling);
    struct wr_time_core core;

    if (!trouble) return NULL;
    if (len > 1 && text[len - 1] == '?')
        return "doubtful as it is written: write it without its question mark, or leave the cell empty";
    if (!wr_cut_time_marks(text, len, &core)) return trouble;
    struct wr_habits of_day = *habits;
    if (core.zone || core.hours) of_day.bare = WR_BARE_CLOCK;
    trouble = read_time(core.text, core.len, &of_day, time, spelling);
    if (!trouble && core.zone && time->kind != WR_TIME_CLOCK) return not_a_time;
    *spelling = core.about ? WR_SP_ABOUT : core.zone ? WR_SP_ZONE : WR_SP_HOUR_LETTER;
    return trouble;
}

/* ---- shapes ---- */

struct wr_bare_shape wr_bare_shape_of(const char *text, size_t len, bool decimal_comma)
{
    struct wr_bare_shape s = {0};
    struct wr_habits habits = {.decimal_comma = decimal_comma};
    enum wr_spelling spelling;
    size_t whole = strspn(text, "0123456789"), decimals;

    if (len == 0 || wr_written_number(text, &habits, &s.value, &spelling)) return s;
    s.is_number = true;
    if (whole == len) {
        s.four_digits = whole == 4;
        s.leading_zero = whole > 1 && text[0] == '0';
        s.bare_clock = whole <= 4 && s.value < 2460 && (int)s.value % 100 < 60;
        s.point_clock = whole <= 2 && s.value <= 30;
        return s;
    }
    if (whole == 0 || (text[whole] != '.' && text[whole] != ',')) return s;
    decimals = strspn(text + whole + 1, "0123456789");
    if (whole + 1 + decimals != len || decimals == 0) return s;
    s.has_fraction = true;
    s.one_decimal = decimals == 1;
    s.ends_in_zero = text[len - 1] == '0';
    s.point_clock = decimals <= 2 && whole <= 2 && s.value < 31 && (text[whole + 1] - '0') < 6;
    return s;
}

/* ---- what was read as what ---- */

static const char *const spelling_text[] = {
#define WR_SPELLING_TEXT(id, text) [id] = text,
    WR_SPELLING_TABLE(WR_SPELLING_TEXT)
#undef WR_SPELLING_TEXT
};

/* Where the same word comes again and again, and another may mean something else. */
static bool is_word(enum wr_spelling spelling)
{
    return spelling == WR_SP_OUTCOME || spelling == WR_SP_NAME || spelling == WR_SP_TITLE || spelling == WR_SP_CREW ||
           spelling == WR_SP_NOTHING || spelling == WR_SP_SUM;
}

static struct wr_reading_tally *tally_for(struct wr_read_as *tally, enum wr_spelling spelling, const char *from,
                                          const char *to)
{
    char kept_from[64], kept_to[64];

    if (!is_word(spelling)) return &tally->of[spelling];
    snprintf(kept_from, sizeof kept_from, "%.60s", from);
    snprintf(kept_to, sizeof kept_to, "%.60s", to);
    for (size_t i = 0; i < tally->n_word; i++) {
        struct wr_reading_tally *w = &tally->word[i];
        if (w->spelling == spelling && strcmp(w->from, kept_from) == 0 && strcmp(w->to, kept_to) == 0) return w;
    }
    return tally->n_word < WR_MOST_WORDS_TALLIED ? &tally->word[tally->n_word++] : &tally->of[spelling];
}

void wr_read_as_note(struct wr_read_as *tally, enum wr_spelling spelling, size_t line, size_t column, const char *from,
                     const char *to)
{
    if (spelling == WR_PLAIN) return;
    struct wr_reading_tally *t = tally_for(tally, spelling, from ? from : "", to ? to : "");
    if (t->n++ > 0) return;
    t->spelling = spelling;
    t->line = line;
    t->column = column;
    snprintf(t->from, sizeof t->from, "%.60s", from ? from : "");
    snprintf(t->to, sizeof t->to, "%.60s", to ? to : "");
}

static void report_reading(const struct wr_reading_tally *t, bool all_alike, const char *file,
                           struct wr_findings *findings)
{
    char times[48] = "";

    if (t->n == 0) return;
    if (t->n > 1) snprintf(times, sizeof times, all_alike ? " (%zu times)" : " (the first of %zu)", t->n);
    wr_findings_add(findings, WR_NOTE, "read-as", file, t->line, t->column, "%s%s%s%s%s%s%s", t->from[0] ? "'" : "",
                    t->from, t->from[0] ? "' is read as " : "", spelling_text[t->spelling], t->to[0] ? ": " : "", t->to,
                    times);
}

void wr_read_as_report(const struct wr_read_as *tally, const char *file, struct wr_findings *findings)
{
    for (int i = WR_PLAIN + 1; i < WR_N_SPELLING; i++) {
        report_reading(&tally->of[i], tally->of[i].from[0] == '\0', file, findings);
        for (size_t k = 0; k < tally->n_word; k++)
            if (tally->word[k].spelling == (enum wr_spelling)i) report_reading(&tally->word[k], true, file, findings);
    }
}
