/* The people of a series: who is one and the same in several excursions, and who does the work of one that nobody
 * rehearsed (study/series.h). */
#pragma once

#include "wetrun/study/series.h"

/* Of all excursions, once they are fitted. */
WR_MUST_CHECK enum wr_status wr_series_see_people(struct wr_series_study *s, const struct wr_study_options *options,
                                                  struct wr_error *err);
/* Joins the people of excursion e with those of the excursions before it, whose durations are ready. */
void wr_series_join_people(struct wr_series_study *s, size_t e);
/* Puts those whom series.csv names into their lanes of excursion e, each with the effect that rehearsals anywhere in
 * the series tell of. After joining. WR_E_INPUT: nobody can be in two lanes, and who is in the others is not known. */
WR_MUST_CHECK enum wr_status wr_series_seat_people(struct wr_series_study *s, size_t e, struct wr_error *err);
/* Effects are against the others of a campaign: moves the log minutes [n_draw] of work of excursion `home` to the
 * zero of those who do it in excursion e. */
void wr_series_level_people(const struct wr_series_study *s, size_t e, size_t home, double *centre_log);
