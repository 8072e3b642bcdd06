/* Runs without dates are taken in the order of the log. Where their names count them in another order, one of the two
 * is wrong: sheets are often kept with the newest first, and learning is then read backwards. */
#include "log_oddities.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>
#include "cursor.h"

enum { MOST_PARTS = 12, MOST_BACK = 64, YEARS_BEGIN = 1000 };

/* "P7-9 b" is "P7-" as letters and marks with numbers between them; "3 Apr 2031" is three numbers. */
struct part {
    bool is_number;
    double number;
    const char *text;
    size_t n;
};

struct counted {
    const struct wr_log_run *run;
    struct part part[MOST_PARTS];
    size_t n_part, number[MOST_PARTS], n_number; /* the numbers among the parts */
    size_t date, n_date; /* of these, where a date may begin; it has 3 numbers, 2 without a year, or there is none */
};

/* How names may count: by their numbers as they stand (run 9, 7.2), or as dates. */
enum reading { AS_THEY_STAND, YEAR_FIRST, DAY_FIRST, MONTH_FIRST, N_READING };
/* Where the year, the month and the day are among the numbers of a date; without a year the month and the day. */
static const size_t place[N_READING][3] = {
    [YEAR_FIRST] = {0, 1, 2}, [DAY_FIRST] = {2, 1, 0}, [MONTH_FIRST] = {2, 0, 1}};

static bool is_letter(char c)
{
    return isalpha((unsigned char)c) || (unsigned char)c >= 0x80;
}

/* 1 to 12, or 0: "Apr", "april" */
static int month_of(const char *word, size_t n)
{
    static const char *const month[] = {"january", "february", "march",     "april",   "may",      "june",
                                        "july",    "august",   "september", "october", "november", "december"};

    for (int m = 0; n >= 3 && m < 12; m++)
        if (n <= strlen(month[m]) && strncasecmp(word, month[m], n) == 0) return m + 1;
    return 0;
}

static void take_apart(struct counted *c)
{
    for (const char *at = c->run->id; *at && c->n_part < MOST_PARTS;) {
        struct part *p = &c->part[c->n_part];
        const char *begin = at;
        if (is_digit(*at)) {
            for (; is_digit(*at); at++) p->number = 10 * p->number + (*at - '0');
            p->is_number = true;
        } else if (is_letter(*at)) {
            while (is_letter(*at)) at++;
            p->number = month_of(begin, (size_t)(at - begin));
            p->is_number = p->number > 0;
        } else {
            while (*at && !is_digit(*at) && !is_letter(*at)) at++;
        }
        p->text = begin;
        p->n = (size_t)(at - begin);
        if (p->is_number) c->number[c->n_number++] = c->n_part;
        c->n_part++;
    }
}

static const struct part *number_of(const struct counted *c, size_t i)
{
    return &c->part[c->number[i]];
}

static bool has_mark_before(const struct part *p, const char *marks)
{
    return strchr(marks, p->text[-1]) != NULL;
}

/* 28.03.2031, 3 Apr 2031, 2031-04-03 anywhere; 3.4., 3/4, 3 Apr alone. */
static void find_date(struct counted *c)
{
    for (size_t i = 0; i + 3 <= c->n_number && c->n_date == 0; i++) {
        bool first = number_of(c, i)->number >= YEARS_BEGIN, last = number_of(c, i + 2)->number >= YEARS_BEGIN;
        if (first != last) c->date = i, c->n_date = 3;
    }
    if (c->n_date || c->n_number != 2) return;
    const struct part *a = number_of(c, 0), *b = number_of(c, 1);
    if (is_letter(*a->text) || is_letter(*b->text) || has_mark_before(b, "./")) c->n_date = 2;
}

static bool are_alike(const struct part *a, const struct part *b)
{
    return a->is_number == b->is_number && a->n == b->n && strncasecmp(a->text, b->text, a->n) == 0;
}

static int order_of(double a, double b)
{
    return (a > b) - (a < b);
}

/* 9 and 10, 2 and 2b, a and b at the end: -1 or 1; 0 where the names do not say. */
static int compare_as_they_stand(const struct counted *a, const struct counted *b)
{
    size_t i = 0;

    while (i < a->n_part && i < b->n_part && are_alike(&a->part[i], &b->part[i])) i++;
    const struct part *x = i < a->n_part ? &a->part[i] : NULL, *y = i < b->n_part ? &b->part[i] : NULL;
    if (x && y && x->is_number && y->is_number) return order_of(x->number, y->number);
    bool letter_x = x && x->n == 1 && i + 1 == a->n_part && is_letter(*x->text);
    bool letter_y = y && y->n == 1 && i + 1 == b->n_part && is_letter(*y->text);
    if (i == 0 || (!x && !y) || (x && !letter_x) || (y && !letter_y)) return 0;
    return order_of(x ? tolower((unsigned char)*x->text) : 0, y ? tolower((unsigned char)*y->text) : 0);
}

static const struct part *of_date(const struct counted *c, enum reading reading, size_t i)
{
    size_t at = c->n_date == 3 ? place[reading][i] : place[reading][i + 1];

    return number_of(c, c->date + at);
}

/* Both hold a date of the same kind, and without a year stand behind the same letters. */
static int compare_as_dates(const struct counted *a, const struct counted *b, enum reading reading)
{
    if (a->n_date == 2 && a->number[0] != b->number[0]) return 0;
    for (size_t i = 0; a->n_date == 2 && i < a->number[0]; i++)
        if (!are_alike(&a->part[i], &b->part[i])) return 0;
    for (size_t i = 0; i < a->n_date; i++) {
        int order = order_of(of_date(a, reading, i)->number, of_date(b, reading, i)->number);
        if (order) return order;
    }
    return compare_as_they_stand(a, b);
}

static bool is_within(const struct part *p, double most)
{
    return p->number >= 1 && p->number <= most;
}

static bool fits(const struct counted *c, enum reading reading)
{
    if (reading == YEAR_FIRST && c->n_date == 2) return false;
    const struct part *month = of_date(c, reading, c->n_date - 2), *day = of_date(c, reading, c->n_date - 1);
    bool with_year = c->n_date == 3, point = has_mark_before(number_of(c, c->date + 1), ".");

    return is_within(month, 12) && is_within(day, 31) && !is_letter(*day->text) &&
           (!with_year || of_date(c, reading, 0)->number >= YEARS_BEGIN) && !(reading == MONTH_FIRST && point);
}

/* Every name is such a date, or may be; one with its year or a month's name is nothing else. */
static void find_readings(const struct counted *c, size_t n, bool can_be[N_READING])
{
    bool any = false, certain = false;

    for (int reading = YEAR_FIRST; reading < N_READING; reading++) {
        can_be[reading] = n > 0 && c[0].n_date > 0;
        for (size_t i = 0; i < n && can_be[reading]; i++)
            can_be[reading] = c[i].n_date == c[0].n_date && fits(&c[i], (enum reading)reading);
        any |= can_be[reading];
    }
    for (size_t i = 0; i < n && any; i++)
        certain |= c[i].n_date == 3 || is_letter(*number_of(&c[i], 0)->text) || is_letter(*number_of(&c[i], 1)->text);
    can_be[AS_THEY_STAND] = !certain;
}

static int compare_names(const struct counted *a, const struct counted *b, enum reading reading)
{
    if (a->run->day.known && b->run->day.known && a->run->day.value != b->run->day.value)
        return order_of(a->run->day.value, b->run->day.value);
    return reading == AS_THEY_STAND ? compare_as_they_stand(a, b) : compare_as_dates(a, b, reading);
}

struct counts {
    size_t n_up, n_down;
    const struct wr_log_run *behind, *before; /* of the first that goes down */
};

/* Each run against the one before it whose name tells. */
static struct counts count(const struct counted *c, size_t n, enum reading reading)
{
    struct counts k = {0};

    for (size_t i = 1; i < n; i++) {
        int order = 0;
        size_t j = i;
        while (order == 0 && j > 0 && i - j < MOST_BACK) order = compare_names(&c[--j], &c[i], reading);
        k.n_up += order < 0;
        if (order <= 0) continue;
        if (k.n_down++ == 0) k.behind = c[i].run, k.before = c[j].run;
    }
    return k;
}

static size_t larger(size_t a, size_t b)
{
    return a > b ? a : b;
}

/* Tells of more pairs of runs; or has more of them one way; or agrees better with the log. */
static bool is_better(const struct counts *a, const struct counts *b)
{
    size_t told_a = a->n_up + a->n_down, told_b = b->n_up + b->n_down;
    size_t one_way_a = larger(a->n_up, a->n_down), one_way_b = larger(b->n_up, b->n_down);

    if (told_a != told_b) return told_a > told_b;
    return one_way_a != one_way_b ? one_way_a > one_way_b : a->n_down < b->n_down;
}

static struct counts count_best(const struct counted *c, size_t n)
{
    bool can_be[N_READING];
    struct counts best = {0};

    find_readings(c, n, can_be);
    for (int reading = 0; reading < N_READING; reading++) {
        if (!can_be[reading]) continue;
        struct counts k = count(c, n, (enum reading)reading);
        if (is_better(&k, &best)) best = k;
    }
    return best;
}

static void ask_if_reversed(const struct oddities *o, size_t n)
{
    const struct wr_log_run *first = &o->log->run[0], *last = &o->log->run[n - 1];
    WR_SCOPED_STR row = {0};

    wr_alias_add_row(&row, WR_NAME_RUN, first->id, first->id);
    wr_findings_add(o->findings, WR_WARNING, "runs-reversed", o->log->file[first->file], first->line, 0,
                    "by their names or dates the runs stand in the log from the last to the first ('%.60s' to "
                    "'%.60s'), and without all dates the log's order counts, so that what was learnt is read "
                    "backwards: write the first rehearsal first, or a column date; if the log is right, names.csv "
                    "says so: %s",
                    first->id, last->id, row.text);
}

static void warn_of_disorder(const struct oddities *o, const struct counts *k)
{
    WR_SCOPED_STR row = {0};
    char more[64] = "";

    wr_alias_add_row(&row, WR_NAME_RUN, k->behind->id, k->behind->id);
    if (k->n_down > 1)
        snprintf(more, sizeof more, " (and %zu more such place%s)", k->n_down - 1, k->n_down == 2 ? "" : "s");
    wr_findings_add(o->findings, WR_WARNING, "runs-disordered", o->log->file[k->behind->file], k->behind->line, 0,
                    "run '%.60s' stands behind run '%.60s' in the log%s, and without all dates the log's order counts: "
                    "put it into its place, or write a column date; if the log is right, names.csv says so: %s",
                    k->behind->id, k->before->id, more, row.text);
}

void log_find_odd_order(const struct oddities *o)
{
    enum { DOWN = 2, ONE_UP_IN = 5 }; /* three runs that go down; of more, one slip in the other direction */
    const struct wr_run_log *log = o->log;
    WR_SCOPED struct counted *c = NULL;
    size_t n = 0;

    if (log->has_dates || log->n_run < 2) return;
    c = WR_NEW_ARRAY(struct counted, log->n_run);
    for (size_t r = 0; r < log->n_run; r++) {
        bool meant = wr_alias_is_given(o->options->aliases, WR_NAME_RUN, log->run[r].id);
        if (meant && r == 0) return;
        if (meant) continue;
        c[n].run = &log->run[r];
        take_apart(&c[n]);
        find_date(&c[n++]);
    }
    struct counts k = count_best(c, n);
    if (k.n_down >= DOWN && ONE_UP_IN * k.n_up <= k.n_up + k.n_down) ask_if_reversed(o, log->n_run);
    else if (k.n_down > 0) warn_of_disorder(o, &k);
}
