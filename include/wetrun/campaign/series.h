/* A series of excursions: which campaign stands for each (series.csv), and what is carried on to a later one where it
 * was not done (spill.csv). */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/findings.h"

enum { WR_MOST_EXCURSIONS = 20 };

struct wr_series_seat { const char *lane, *name; };

/* series.csv: excursion,campaign,date,people. In the order in which they are flown. */
struct wr_series_row {
    const char *excursion;      /* unique name */
    const char *campaign;       /* its folder, as written: from the series' folder where it is not absolute */
    const char *date;           /* "" if none: what it is forecast for (wr_series_day) */
    struct wr_series_seat *seat; size_t n_seat, room_seat; /* people: who flies it; lanes and people once each */
    size_t line;
};

/* spill.csv: task,from,to,setup,before,drop_after,stop. */
struct wr_spill_row {
    const char *task;
    size_t from, to;            /* excursions, from < to */
    double setup_min;           /* what it takes to begin anew there; 0 if empty */
    const char *before; /* the task of `to` it is done before, where that plan has no row of its own for it; "" */
    struct wr_maybe drop_after_min; /* its drop rule there, where that plan has no row of its own for it */
    struct wr_maybe stop_min;   /* when it is put down in `from` if it is still under way */
    size_t line, task_column, before_column; /* where it stands in its file */
};

struct wr_series_files { /* start as {0} */
    struct wr_series_row *row; size_t n_row, room;
    struct wr_spill_row *spill; size_t n_spill, room_spill;
    bool has_spill;             /* there was a spill.csv */
    const char *spill_file;     /* its name; NULL: there was none */
    struct wr_arena text;
};

/* Its date in days since 1970-01-01; false: it has none that can be read. */
bool wr_series_day(const struct wr_series_row *row, int64_t *day);

/* Errors (an excursion twice or without a folder, more than WR_MOST_EXCURSIONS) become findings; WR_E_INPUT if there
 * was any, with the first in *err. spill.csv is read after series.csv: from and to are names of its excursions, from
 * before to; a task goes on once from an excursion. */
WR_MUST_CHECK enum wr_status wr_series_read_bytes(struct wr_series_files *s, const char *name, const char *bytes,
                                                  size_t n, struct wr_findings *findings, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_spill_read_bytes(struct wr_series_files *s, const char *name, const char *bytes,
                                                 size_t n, struct wr_findings *findings, struct wr_error *err);
void wr_series_files_release(struct wr_series_files *s);
