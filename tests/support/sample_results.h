/* An invented campaign with results, for tests of what is shown: outpost Petrel, excursion Petrel 7, nine rehearsals by
 * two pairs. The numbers come from a small simulation written for this purpose, not from the program's own engine: they
 * are plausible and consistent with each other, and stand for nothing. */
#pragma once

#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/network/network.h"
#include "wetrun/present/context.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/timing.h"

enum sample_flavour { SAMPLE_TAME, SAMPLE_HOSTILE }; /* hostile: titles, ids, names and files hold attacks on every
                                                        sink */

struct sample { /* start as {0} */
    struct wr_arena text;
    struct wr_plan plan;
    struct wr_network net;
    struct wr_run_log log;
    struct wr_timing timing;
    struct wr_limits limits;
    struct wr_findings findings;
    struct wr_forecast forecast;
    struct wr_present_context context; /* of a forecast of the next rehearsal */
    struct wr_present_input input[2];
};

/* n_task: 28 is the whole excursion; fewer takes the first ones, more repeats them. */
void sample_make(struct sample *s, size_t n_task, enum sample_flavour flavour);
void sample_release(struct sample *s);

/* Texts that try to be code somewhere: shell, plotting script, markup, terminal, spreadsheet; and bytes that are no
 * UTF-8. */
extern const char *const sample_attacks[];
extern const size_t sample_n_attack;
