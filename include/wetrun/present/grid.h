/* One result table, shown four ways. Columns say what their values are; terminal, CSV, HTML and JSON each show them in
 * their own manner, so a number cannot differ between outputs. Minutes stay decimal for machines and become "17 min" or
 * "5:50" for people; a probability becomes "9" of 100; what is absent is blank, "-" or null. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"

enum wr_unit {
    WR_UNIT_TEXT,
    WR_UNIT_COUNT,   /* whole number */
    WR_UNIT_MINUTES, /* people: whole minutes, below ten one decimal */
    WR_UNIT_TENTHS,  /* minutes; people: one decimal throughout, where what is shown has to add up */
    WR_UNIT_WHOLE,   /* minutes; people: whole minutes, where what is shown has to add up */
    WR_UNIT_CLOCK,   /* minutes; people: h:mm */
    WR_UNIT_BY,      /* minutes, a moment not to be passed; people: h:mm, rounded down */
    WR_UNIT_SHARE,   /* 0 to 1; people: per cent */
    WR_UNIT_OF_100,  /* a probability; people: of 100 */
    WR_UNIT_FACTOR,  /* people: two decimals */
    WR_UNIT_PLAIN,   /* people: four significant digits */
    WR_UNIT_YES_NO,
};

enum wr_audience { WR_TERMINAL = 1, WR_PAGE = 2, WR_PEOPLE = 3, WR_MACHINE = 4, WR_EVERYBODY = 7 };

struct wr_column {
    const char *key;    /* CSV header and JSON key, unit in it: "median_min" */
    const char *head;   /* for people; may hold "\n" to stand in two lines */
    enum wr_unit unit;
    enum wr_audience audience;
    unsigned least;     /* > 0: on a narrow terminal the text may be cut with an ellipsis down to this many columns */
};

enum wr_presence { WR_ABSENT, WR_TEXT, WR_NUMBER };
struct wr_value {
    enum wr_presence presence;
    const char *text;
    double number; /* of a text: what it sorts by, if it has a sort key */
    bool has_sort_key;
    bool certain;  /* of a WR_UNIT_OF_100: no day was counted (wr_of_100_certain) */
};

struct wr_grid {
    const struct wr_column *column; size_t n_column; /* borrowed: a static table of the caller */
    struct wr_value *value; size_t n_value, room;    /* row by row */
    const char *chart;                               /* on the page the rows that are about something link back to it;
                                                        NULL: none */
    size_t *about; size_t n_about, room_about;       /* see wr_grid_about */
    struct wr_arena text;
};

/* The array must outlive the grid. */
void wr_grid_init(struct wr_grid *g, const struct wr_column *column, size_t n_column);
void wr_grid_release(struct wr_grid *g);
#define WR_SCOPED_GRID WR_RELEASED_BY(wr_grid_release) struct wr_grid

/* The next cell, row by row. Texts are copied as they are; escaping is the renderers' work. */
void wr_grid_text(struct wr_grid *g, const char *text);
void wr_grid_textf(struct wr_grid *g, const char *fmt, ...) WR_PRINTF(2, 3);
void wr_grid_chance(struct wr_grid *g, double prob, bool certain); /* certain: as wr_of_100_certain has it */
void wr_grid_number(struct wr_grid *g, double number); /* also counts, and 0 or 1 for yes and no */
/* Several of them, one after the other. */
#define WR_GRID_NUMBERS(g, ...)                                                                                        \
    wr_grid_numbers(g, (const double[]){__VA_ARGS__}, sizeof(double[]){__VA_ARGS__} / sizeof(double))
void wr_grid_numbers(struct wr_grid *g, const double *number, size_t n);
#define WR_GRID_TEXTS(g, ...)                                                                                          \
    wr_grid_texts(g, (const char *const[]){__VA_ARGS__}, sizeof(const char *const[]){__VA_ARGS__} / sizeof(char *))
void wr_grid_texts(struct wr_grid *g, const char *const *text, size_t n);
void wr_grid_maybe(struct wr_grid *g, struct wr_maybe number);
#define WR_GRID_MAYBES(g, ...)                                                                                         \
    wr_grid_maybes(g, (const struct wr_maybe[]){__VA_ARGS__},                                                          \
                   sizeof(struct wr_maybe[]){__VA_ARGS__} / sizeof(struct wr_maybe))
void wr_grid_maybes(struct wr_grid *g, const struct wr_maybe *number, size_t n);
void wr_grid_absent(struct wr_grid *g);
void wr_grid_copy(struct wr_grid *g, const struct wr_value *value); /* of another grid */
/* What the last cell, a text, sorts by: "+17 min" and "9 to 12" are no numbers to a script. */
void wr_grid_sorts_by(struct wr_grid *g, double number);
/* What the row just finished is about, a task's index: in table t it becomes the element "t-r7", which charts link
 * to. */
void wr_grid_about(struct wr_grid *g, size_t index);
size_t wr_grid_rows(const struct wr_grid *g);

/* A number that is not finite never becomes text: WR_E_DOMAIN, naming column and row. An unfinished row is a bug. */
WR_MUST_CHECK enum wr_status wr_grid_check(const struct wr_grid *g, struct wr_error *err);

/* For all three: call wr_grid_check first; a number that is not finite is shown as absent here. */
/* width: columns of the terminal. Columns that may give are cut; a table that still does not fit is wider. */
void wr_grid_add_terminal(const struct wr_grid *g, size_t width, struct wr_str *out);
void wr_grid_add_csv(const struct wr_grid *g, struct wr_str *out);
/* id is a fixed name of ours, unique on the page; caption and id are our own words and still escaped. */
struct wr_html_table {
    const char *id, *caption;
    enum { WR_HTML_PLAIN, WR_HTML_SORTABLE } kind;
};
/* what_leaves: of its columns' meanings, see wr_quantity_means (quantities.h). */
void wr_grid_add_html(const struct wr_grid *g, const struct wr_html_table *table, const char *what_leaves,
                      struct wr_str *out);

/* A value as people read it, unescaped. */
void wr_value_add(const struct wr_value *value, enum wr_unit unit, struct wr_str *out);
/* A finite number for machines: the shortest of up to 12 digits, a point whatever the locale, no minus zero. */
void wr_number_add(struct wr_str *out, double number);
