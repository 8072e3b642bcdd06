/* What the files of the study share. */
#pragma once

#include "wetrun/study/study.h"

/* The last part of the folder's real path; "campaign" where it has none. */
char *wr_base_name(struct wr_arena *text, const char *folder);

typedef enum wr_status wr_study_fn(struct wr_study *study, struct wr_error *err);

/* A file of the folder, or the one that was named; NULL if neither exists. */
const char *wr_study_path(struct wr_study *study, const char *named, const char *in_folder);
/* Reads a file and counts it among the inputs that the output names with their checksums; lives as long as the
 * study. */
WR_MUST_CHECK enum wr_status wr_study_read(struct wr_study *study, const char *path, const struct wr_input **input,
                                           struct wr_error *err);
/* With `anonymous` the performers of the log become A, B, … before anything else sees them. options.fit.people is then
 * said in the names of plan and log, and as they are shown. */
void wr_study_people_names(struct wr_study *study);

/* Step logs in the folder of a campaign that is a plan alone, whatever they are called: a warning "logs-unread". */
wr_study_fn wr_study_find_other_logs;

/* wr_study_open without its guard. */
WR_MUST_CHECK enum wr_status wr_study_read_all(struct wr_study *study, const struct wr_study_options *options,
                                               struct wr_error *err);

enum { MOST_DRAWS_TIMES = 16 }; /* the usual number of draws: that many still fit in memory */

/* The makers, wr_study_NAME, each with what undoes it, also after it failed. */
#define WR_RESULT_MAKER(id, name) wr_study_fn wr_study_##name;
WR_RESULT_TABLE(WR_RESULT_MAKER)
#undef WR_RESULT_MAKER
void wr_study_cutoffs_release(struct wr_study *study);
void wr_study_whatif_release(struct wr_study *study);

/* Whether the draws of the model that stands are enough for options.precision; if not, fit_options has the number to
 * try next. *enough without a precision.
 *   WR_E_USAGE  no limit, a number of trials besides, or the most draws that may be taken would not do */
WR_MUST_CHECK enum wr_status wr_study_weigh_draws(struct wr_study *study, bool *enough, struct wr_error *err);
/* What stands for a name: A … Z, then P27, P28, …; i: how many were before it. */
const char *wr_letter_name(struct wr_arena *text, size_t i);

/* So many simulated days are kept in memory, at most 2 GiB. WR_E_USAGE: more are asked for. */
WR_MUST_CHECK enum wr_status wr_study_days_fit(size_t n_trial, size_t n_task, struct wr_error *err);

/* Of the forecast that stands. WR_E_USAGE: its points would not do. */
WR_MUST_CHECK enum wr_status wr_study_check_precision(const struct wr_study *study, struct wr_error *err);

/* Takes what earlier campaigns teach into fit_options.priors.
 *   WR_E_USAGE  this campaign among them, or one folder twice
 *   WR_E_INPUT  a folder without rehearsals, or one that cannot be read, by its name */
wr_study_fn wr_study_learn_from_earlier;
/* The forecast as it would have been without them. */
WR_MUST_CHECK enum wr_status wr_study_forecast_without_earlier(struct wr_study *study, const struct wr_sim_options *sim,
                                                               struct wr_error *err);
void wr_study_earlier_release(struct wr_study *study);

struct wr_variant wr_study_as_it_is(const struct wr_study *study); /* the timeline */
struct wr_whatif_options wr_study_longer_options(const struct wr_study *study); /* what own_trend_scale does to it */
struct wr_sim_options wr_study_sim_options(const struct wr_study *study);
