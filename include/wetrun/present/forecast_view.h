/* `forecast`: when all are done, the probability of going over the limit, and which tasks drive it. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/decide/variance_parts.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/present/context.h"
#include "wetrun/present/earlier_view.h"
#include "wetrun/present/grid.h"
#include "wetrun/present/words.h"
#include "wetrun/sim/forecast.h"

struct wr_forecast_result { /* all borrowed */
    const struct wr_plan *plan;
    const struct wr_limits *limits;     /* in the order of forecast->limit; may be empty */
    const struct wr_forecast *forecast;
    const struct wr_drop_price *price; size_t n_price; /* what the drop rules buy; NULL, 0: not computed, or none */
    const struct wr_beside *beside; size_t n_beside; /* the same under other assumptions; NULL, 0: none */
    struct wr_maybe planned_min;        /* the finish by the plan's own times (network/planned.h) */
    const struct wr_gap *gap;           /* NULL: not known */
    const struct wr_judging_found *judging; /* NULL: not known */
    const struct wr_durations *durations; /* what they were drawn from; NULL: judged tasks are not named */
    const struct wr_carry_over *carry_over; /* applied to the forecast; NULL: none was */
    struct wr_earlier_result earlier;       /* earlier.earlier NULL: no earlier campaigns */
    const struct wr_timing *timing;         /* NULL: the rehearsed finishes are not spoken of */
};

WR_MUST_CHECK enum wr_status wr_show_forecast(enum wr_format format, const struct wr_present_context *ctx,
                                              const struct wr_forecast_result *result, struct wr_str *out,
                                              struct wr_error *err);

/* The wanted confidence of a limit: its own, and for the excursion limit (the first) what the context says. */
struct wr_maybe wr_wanted_confidence(const struct wr_present_context *ctx, const struct wr_limits *limits, size_t i);

/* The answer in a sentence or two: verdict first when nothing can be told, then how many of 100 go over the limit and
 * how sure that is. Plain text; the only part from user files are no names. */
void wr_forecast_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                          struct wr_str *out);
/* How late a finish is that is over the first limit, and how the rehearsed finishes themselves stood against it;
 * nothing where that limit is not one of all lanes. */
void wr_beside_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                        struct wr_str *out);
/* What it takes to be inside the first limit with the wanted confidence: the limit needed, the minutes to cut, the
 * get-ahead work to leave out. Nothing without a limit or a wish. Holds titles from user files. */
void wr_takes_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_str *out);
/* "By the plan's own times all would be done by 5:39, 14 min before half of the finishes have come."; nothing where the
 * plan gives none. */
void wr_planned_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                         struct wr_str *out);
/* Which work is not in the finish on every day, since the plan drops it when it comes late, and the finish with all of
 * it; nothing where no day drops any. Holds titles from user files. */
void wr_not_in_it_sentence(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                           struct wr_str *out);
/* "together the drop times take 2.5 of 100 off those over the limit (90 % interval 0.8 to 5.1)" of every limit of which
 * it can be told, by name where there are several, or that they buy nothing that can be told apart for any, or that
 * these trials are too few to tell. Nothing without rules or limits. Holds names from user files. */
void wr_rules_buy_words(const struct wr_forecast_result *result, struct wr_str *out);
/* "each drop time alone: Stage the reel (excursion), fewer by 1.1 (0.3 to 2.4)": of each by itself what can be told,
 * and with its interval what more trials may tell. Nothing where there is one at most. Holds titles from user files. */
void wr_each_rule_words(const struct wr_forecast_result *result, struct wr_str *out);
/* "always dropped, shown to lower the risk further: Stage the reel (excursion), fewer by 1.1 (0.3 to 2.4)", of every
 * limit, or that none of it is. Nothing without rules or limits. Holds titles from user files. */
void wr_always_dropped_words(const struct wr_forecast_result *result, struct wr_str *out);
/* "what drop times change rests on 256 days of each draw; Monte Carlo error up to 0.12 of 100": all of the above.
 * Nothing without a drop time or without a limit. */
void wr_rules_rest_words(const struct wr_forecast_result *result, struct wr_str *out);
/* "8 of 100 go over at least one of the three limits (1 to 20)"; nothing if there are fewer than two. */
void wr_any_limit_words(const struct wr_forecast *forecast, struct wr_str *out);
/* Whether both ends of the interval read as the number itself, or as fewer than 1, or as more than 99 of 100: then
 * wr_interval_words has nothing to add. */
bool wr_interval_adds_nothing(const struct wr_probability *over, struct wr_maybe confidence);
/* "it could be as few as 1 or as many as 19", "it could be fewer than 1": the 90 % interval beside the number and what
 * is allowed. */
void wr_interval_words(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out);
/* "1 to 19", for table cells. */
void wr_interval_cell(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out);
/* " (1 to 19)", or nothing where there is none or it adds nothing. */
void wr_interval_beside(const struct wr_probability *over, struct wr_maybe confidence, struct wr_str *out);
/* " (90 % interval 6:10 to 7:02, by both answers)"; both ends are known. */
void wr_needed_interval_words(const struct wr_forecast *f, const struct wr_limit_needed *need, struct wr_str *out);
/* "EV1", "EV1+EV3", "both", "all" */
void wr_lanes_words(const struct wr_plan *plan, uint32_t lanes, struct wr_str *out);
/* What carries the uncertainty, the two largest carriers by name: "Three tasks carry 27 % of what makes the finish
 * uncertain, what is not yet known 16 %". No full stop. */
void wr_carriers_words(const struct wr_forecast *forecast, struct wr_str *out);
/* "a slow or fast day, all tasks at once": what a part that is no single task is called. */
const char *wr_part_words(enum wr_part_kind kind);

/* Grids that the page shares; to be released by the caller. */
void wr_grid_of_limits(const struct wr_present_context *ctx, const struct wr_forecast_result *result,
                       struct wr_grid *grid);
void wr_grid_of_lanes(const struct wr_forecast_result *result, struct wr_grid *grid);
void wr_grid_of_finish(const struct wr_forecast_result *result, struct wr_grid *grid);
void wr_grid_of_carry_over(const struct wr_forecast_result *result, struct wr_grid *grid);
void wr_grid_of_drop_rules(const struct wr_forecast_result *result, struct wr_grid *grid);
void wr_grid_of_drivers(const struct wr_forecast_result *result, struct wr_grid *grid);
