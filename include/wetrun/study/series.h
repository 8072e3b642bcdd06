/* A series of campaigns as one thing: every excursion a study, the work that may be carried on from one to another
 * added to the plan of the one it goes to, and what comes out (decide/series.h).
 * Work goes on as spill.csv says. Without that file every task with drop_after goes on to the next excursion whose plan
 * has a task of the same name. A plan that has no row for work that is carried on to it gets one: before the task that
 * spill.csv names, else before the last joint task of its lanes, the way back in. It takes the time that it takes in
 * the excursion it comes from, on the day and with the people of the one it goes to. What earlier campaigns teach is
 * handed on: each excursion is fitted with those before it as earlier campaigns.
 * One who rehearsed for several excursions is the same person in all of them, by name: one draw a series
 * (model/shared_people.h). An excursion that nobody rehearsed takes the people and line-ups of the last one before it
 * that somebody did, for the work that is known from rehearsals. Whom series.csv puts into a lane does it there, at the
 * pace that their own rehearsals tell of, wherever they were. Who is known from one campaign alone, or from none, is
 * linked to nobody.
 * Every excursion is forecast for its date in series.csv, as with `on` of its study: after a long gap no further step
 * of learning is credited, and the worse answer is made as well. Without a date it is `on` of the options, if any.
 * Every excursion is fitted with the same seed. Where nothing was rehearsed, draw j of how much days differ is then the
 * same in every excursion: it is one team, and whether its days differ much is not known for one excursion apart from
 * the others. Days themselves are independent. */
#pragma once

#include <stdint.h>
#include "wetrun/campaign/series.h"
#include "wetrun/decide/series.h"
#include "wetrun/study/study.h"

#define WR_SEAT_OPEN SIZE_MAX
#define WR_SEAT_NEW (SIZE_MAX - 1)

struct wr_series_excursion {
    struct wr_study study;
    const char *folder;         /* of the campaign */
    size_t *who; size_t n_who;  /* number in `person` of each of the people in the model */
    size_t *seat;               /* [n_lane of its plan] number in `person` of who flies in that lane, WR_SEAT_OPEN: as
                                   rehearsed, WR_SEAT_NEW: somebody whom no excursion knows */
    size_t team;                /* the excursion whose people it takes: its own number, as a rule */
    struct wr_plan plan;        /* the study's, and rows for what is carried on to it; borrows from the study's */
    struct wr_network net;
    struct wr_durations durations;
    bool is_worse;              /* there is a second answer for it: the options below, after a long gap before its date
                                   or where it rests on judgement without a record (decide/beside.h) */
    struct wr_fit_options worse;
    struct wr_sim_limit *limit; /* [study.limits.n_limit], in the numbers of `plan` */
};

struct wr_series_person {
    const char *name;           /* as shown: with `anonymous` a letter of the series' own */
    const char *identity;       /* as written in the logs; "" after the run with `anonymous` */
    bool in[WR_MOST_EXCURSIONS]; /* has an effect of their own in the model of that excursion's campaign */
    size_t n_in;
};

struct wr_series_study { /* start as {0} */
    struct wr_pool *pool;             /* what it holds beside its studies; as in study.h */
    struct wr_series_files files;
    struct wr_findings findings;      /* of series.csv and spill.csv */
    struct wr_series_excursion *excursion; size_t n_excursion;
    struct wr_study plain;            /* while the people are told apart: a log by its own names */
    struct wr_series_person *person; size_t n_person, room_person; /* in order of first appearance */
    struct wr_spill *spill; size_t n_spill; /* task numbers are those of the excursions' plans */
    struct wr_arena text;
    char *name;                       /* base name of the folder */
    struct wr_input file[2]; size_t n_file; /* series.csv, spill.csv: what was read */
    size_t n_trial;
    bool has_interval;                /* every excursion rests on as many posterior draws */
    struct wr_series result;
    bool has_worse;                   /* of some excursion there is a second answer: */
    struct wr_series worse;           /* the same with the worse assumptions of all of them together; {0} if not */
    struct wr_series_changes changes;
};

/* WR_E_USAGE: options name people, and series.csv as well.
 * options: folder is that of series.csv; of the rest what holds for every excursion (seed, trials, threads, model,
 * target …). limit_min, if given, is the excursion limit of each. Findings of the campaigns are in their studies. */
WR_MUST_CHECK enum wr_status wr_series_study_run(struct wr_series_study *s, const struct wr_study_options *options,
                                                 struct wr_error *err);
void wr_series_study_release(struct wr_series_study *s);
