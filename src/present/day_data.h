/* The data block of the day's page: one JSON object, in a script element that does not run.
 *
 *   format            "wetrun day sheet 1": a page's script reads only its own
 *   version, campaign, seed, forecast_of, caution, inputs [{file, sha256}] as in every JSON of the program
 *   rehearsals        how many the forecast rests on
 *   done_by           by whom, in words; "" where nobody is known
 *   cautions          [paragraph] the long form
 *   lanes             [name]
 *   people            [name] who did rehearsals, for typing
 *   tasks             [{id, title, kind, lanes [lane, as written in crew], planned_min, not_before_min, drop_after_min,
 *                     way_in, way_in_part (campaign/way_in.h), steps [name]}] in plan order; unknown numbers are null
 *   order             [task], each after what it waits for
 *   before            [[task]] what each task waits for
 *   lane_last         [task or -1]
 *   limits            [{name, minutes, confidence or null, second, lanes [lane], from, to}]; second: a worse answer
 *                     may be as right; from and to: a clock, else null
 *   stated            null, or what the commands say before the day: {prob [p], finish_min [quantile], any_over,
 *                     no_interval (nothing is unknown: lo and hi are not to be shown), limits [{over, lo, hi}]}
 *   forecast          null: the page only logs. Else
 *     draws           number of posterior draws
 *     source          [{kind model|lognormal|pert|triangular|fixed, p [3], row or -1, learned, seen_shift, shift or
 *                     -1, lead_in {shape, scale, mean} (decide/lead_in.h)}] by task
 *     line_ups        [[person, -1 somebody new, -2 no person effect] by lane], each as likely
 *     pool, spread    packed, one row per modelled task: log minutes without its shift; sd of log minutes
 *     shift, q        packed, one row per shift and per person
 *     tau, rho, kappa packed, one row each
 * packed: {rows, lo [row], step [row], data}: data is base64 of rows x draws unsigned 16-bit numbers, low byte first;
 * value = lo + step * number. A row that does not vary has step 0. */
#pragma once

#include "wetrun/present/day_page.h"

/* Appends the object as ASCII without < or >, so that it can stand in a script element as it is. */
WR_MUST_CHECK enum wr_status day_data_add(const struct wr_day_page *page, struct wr_str *out, struct wr_error *err);
