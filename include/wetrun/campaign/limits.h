/* limits.csv and history.csv. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/written.h"

struct wr_limit {
    const char *name;
    uint32_t lanes;        /* all lanes of the plan, or one; of a clock: all */
    bool is_clock;         /* from the beginning of task from to the end of task to; else the lanes, start to finish */
    size_t from, to;       /* task indices, is_clock only */
    double minutes;        /* > 0 */
    struct wr_maybe as_clock_min; /* what they are if their colon was lost: 390 for a number 630 */
    enum wr_time_form form;
    struct wr_maybe confidence; /* wanted probability of staying inside, in (0.5,1) */
    size_t line;           /* 0: from the command line */
};

struct wr_limits { /* start as {0} */
    struct wr_limit *limit; size_t n_limit, room; /* the first is the excursion limit */
    struct wr_arena text;
};
/* Every error (unknown lane or task, minutes missing or not above 0, confidence outside (0.5,1) …) becomes a finding;
 * WR_E_INPUT if there was any, with the first in *err: a safety limit is not read by halves. A first row that is not
 * about all lanes from start to finish is a warning. minutes may be h:mm. An empty crew means all. */
WR_MUST_CHECK enum wr_status wr_limits_read_bytes(struct wr_limits *limits, const char *name, const char *bytes,
                                                  size_t n, const struct wr_plan *plan, struct wr_findings *findings,
                                                  struct wr_error *err);
/* Makes minutes (> 0) the excursion limit: of a row that is about all lanes from start to finish, the first one or one
 * named "excursion", the minutes are replaced, its name and confidence stay, and it comes first; else a row "excursion"
 * without a confidence goes before the others ("excursion, as given" where another limit has that name). */
void wr_limits_set_excursion(struct wr_limits *limits, const struct wr_plan *plan, double minutes,
                             struct wr_maybe as_clock_min);
bool wr_limit_is_example(const struct wr_limit *limit); /* one that `wetrun start` wrote */
/* The first clock that begins or ends with the task; NULL: none. Without its end it would look kept and go on, without
 * its begin it is about nothing: no change may leave either out. */
const struct wr_limit *wr_clock_of(const struct wr_limits *limits, size_t task);
/* Adds "the limit 'line dead' runs from the begin of 'JOIN' to the end of 'TEST': without 'TEST' it cannot be kept";
 * without its begin: that it does not apply. */
void wr_clock_say(const struct wr_plan *plan, const struct wr_limit *clock, bool begins, struct wr_str *out);
void wr_limits_release(struct wr_limits *limits);

/* One task or kind of work as it went in the pool and then outside. */
struct wr_history_row {
    const char *excursion, *kind;
    double pool_min, flight_min;
    size_t line;
    bool meant; /* both are written with their unit */
};
struct wr_history { /* start as {0} */
    const struct wr_aliases *aliases; /* borrowed, set before reading; NULL: none */
    struct wr_history_row *row; size_t n_row, room;
    bool same; /* the flight times of an excursion are its pool times: nothing is known of how they carry over */
    bool odd;  /* they lie as far from them as of no work ("history-odd") */
    bool faster; /* on the whole they are shorter ("history-faster") */
    struct wr_arena text;
};
/* Errors as for limits. pool and flight are minutes above 0; excursion and kind are needed. A kind that no task of the
 * plan has is a warning; kinds are the same if they are but for spelling (near_name.h). */
WR_MUST_CHECK enum wr_status wr_history_read_bytes(struct wr_history *history, const char *name, const char *bytes,
                                                   size_t n, const struct wr_plan *plan, struct wr_findings *findings,
                                                   struct wr_error *err);
void wr_history_release(struct wr_history *history);
