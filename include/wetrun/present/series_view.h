/* `series`: several excursions, and what is carried on from one to the next. */
#pragma once

#include <stdbool.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/decide/series.h"
#include "wetrun/model/gap.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/study/series.h"

struct wr_series_leg_names {
    const char *excursion, *date;       /* date "" if none */
    const struct wr_plan *plan;         /* with the rows for what is carried on to it */
    const char *const *limit_name; const struct wr_sim_limit *limit; size_t n_limit;
    const size_t *seat;                 /* [plan->n_lane] as in study/series.h */
    size_t n_run;                       /* rehearsals behind it */
    const struct wr_gap *gap;           /* before its date; NULL: not known */
    bool has_date;                      /* one that can be read */
    size_t n_judged, n_own;             /* tasks that rest on judgement without a record, of those of its own plan */
    bool is_forgotten, is_judged;       /* the worse answer assumes something of it: decide/beside.h */
    size_t team;                        /* whose people do its rehearsed work: its own number, as a rule */
};

struct wr_series_view { /* leg and limit_name its own, all else borrowed */
    const struct wr_series *series;
    const struct wr_series *worse;      /* the second answer; NULL: there is one answer */
    const struct wr_series_changes *changes;
    struct wr_series_leg_names *leg;    /* [series->n_leg] */
    const char **limit_name;            /* those of all excursions one behind the other */
    const struct wr_spill *spill;       /* [series->n_spill] */
    const struct wr_series_person *person; size_t n_person;
    bool has_interval;
};

/* Of a series that was run; borrows from it. To be released with wr_series_view_done. */
struct wr_series_view wr_series_view_of(const struct wr_series_study *s);
void wr_series_view_done(struct wr_series_view *view);

/* Table: the answer, the excursions, the work that may be carried on, what may be decided beforehand. CSV: the
 * excursions. */
WR_MUST_CHECK enum wr_status wr_show_series(enum wr_format format, const struct wr_present_context *ctx,
                                            const struct wr_series_view *view, struct wr_str *out,
                                            struct wr_error *err);
/* In how many some excursion goes over any of its limits, and when all work is done. */
void wr_series_sentence(const struct wr_series_view *view, struct wr_str *out);
/* That there are two answers, why, and the worse one of each excursion's first limit; "" where there is one. */
void wr_series_second_sentence(const struct wr_series_view *view, struct wr_str *out);
/* Some excursion has more limits than the first, which the table and the chart show. */
bool wr_series_has_other_limits(const struct wr_series_view *view);
/* How many go over those others, by name; "" where there are none. */
void wr_series_other_limits_sentence(const struct wr_series_view *view, struct wr_str *out);
/* Whose pace is linked between excursions, whose cannot be, and who does the work of one without rehearsals; "" where
 * there is nothing to say. */
void wr_series_people_sentence(const struct wr_series_view *view, struct wr_str *out);
void wr_grid_of_carried_work(const struct wr_series_view *view, struct wr_grid *grid);
/* What may be decided beforehand, as a list of sentences for the page and the terminal: those that lower the risk by
 * more than these data leave open, best first; row i or false where there are no more. */
bool wr_series_advice(const struct wr_series_view *view, size_t i, struct wr_str *what, struct wr_str *gain);
void wr_grid_of_series(const struct wr_series_view *view, struct wr_grid *grid);
