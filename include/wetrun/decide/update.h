/* What has happened so far during the excursion, and the forecast given it.
 *
 * Definition. The finish, the overrun probability and the remaining cut-offs given what has been seen: tasks done with
 * their times, running tasks known to take longer than they have run, everything else as rehearsed, on this day's pace.
 * Method. The model is fitted again with the excursion as one more run (done cells done, running cells stopped at what
 * they have run, the rest absent), so that no weights on old draws can collapse. The run effect is then drawn, in every
 * posterior draw, from its law given the run: normal in closed form when errors are normal and nothing runs, otherwise
 * the same normal with an exact correction. A running task's time is drawn above what it has run.
 *
 * The stated probability is the mean over what is still unknown, parameters too. Over 80 made campaigns, with the limit
 * at the forecast's own 80 % point, it was 0.29, 0.48, 0.70 where the true parameters gave 0.26, 0.46, 0.66 (within the
 * noise of the study); with the limit at a point of the true law, which no forecaster knows, 0.29, 0.51, 0.71 against
 * 0.22, 0.40, 0.57. So most of what it is high by comes of uncertain parameters widening the tail; a small remainder is
 * not excluded. It was not held against worlds drawn from the prior, where it would have to be right on average.
 *
 * Being late by a share does not make the rest late by that share: part of it is the luck of single tasks. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/day_report.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/lead_in.h"
#include "wetrun/model/durations.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/sim/scenarios.h"

/* ---- what was reported ---- */

struct wr_now_event {           /* times are elapsed minutes since the excursion began; at least one is known */
    size_t task;
    struct wr_maybe begin_min, end_min; /* end unknown: it has begun; known: it is done */
    double hold_min;                    /* of that, no work: as in the log it tells nothing of the pace */
};

struct wr_now { /* start as {0} */
    struct wr_now_event *event; size_t n_event, room;
    struct wr_maybe said_min;   /* how late it is said to be now */
    double now_min;             /* that, or the latest moment named */
    double *part_min;           /* [n_task] of a task that goes on the latest moment of a part; NULL: none is known */
};

/* Adds what TEXT says: items separated by commas, each one of
 *     TASK@H:MM        begun then
 *     TASK@H:MM-H:MM   begun and done
 *     TASK=H:MM        done then
 *     @H:MM            it is now that late; without it, it is the latest moment named
 * H:MM is a moment (campaign/moment.h): elapsed, or, where start_min is known and not 0, a time of day. A task
 * identifier may hold any of , @ = -: the longest identifier of the plan that fits is taken, else the task that the
 * text means (wr_plan_resolve: names.csv, case and blanks, titles). WR_E_USAGE, quoting the item: unknown task,
 * malformed time, a task named twice, an end before the begin. */
WR_MUST_CHECK enum wr_status wr_now_parse(struct wr_now *now, const char *text, const struct wr_plan *plan,
                                          struct wr_maybe start_min, struct wr_error *err);
/* Adds what a table of reports says. */
WR_MUST_CHECK enum wr_status wr_now_take(struct wr_now *now, const struct wr_day_report *report,
                                         const struct wr_plan *plan, struct wr_error *err);
/* When all has been added. WR_E_USAGE: nothing named, a moment after the one said to be now, a hold longer than its
 * task has taken. */
WR_MUST_CHECK enum wr_status wr_now_close(struct wr_now *now, const struct wr_plan *plan, struct wr_error *err);
/* WR_E_USAGE, with both readings and what to type, if something is reported for later than an excursion can last: a
 * time of day that was taken as elapsed, or the other way round. A start of 0:00 says that times are elapsed. */
WR_MUST_CHECK enum wr_status wr_now_ask_if_late(const struct wr_now *now, struct wr_maybe start_min, double longest_min,
                                                struct wr_error *err);
void wr_now_release(struct wr_now *now);

/* ---- what it means for every task ---- */

enum wr_now_task {
    WR_NOW_AHEAD,       /* not begun: begins at max(its predecessors, now, not_before) */
    WR_NOW_UNREPORTED,  /* in a lane of which nothing was said since its last joint task: on its way as rehearsed */
    WR_NOW_RUNNING,
    WR_NOW_PAST,        /* must have ended, at an unknown time before what was reported: simulated so that that comes
                           true */
    WR_NOW_DONE,
    WR_N_NOW_TASK
};

/* Work that nobody named and that the plan drops: what is reported before it and what had to follow it settle whether
 * it could only have begun later than its rule, or may have. It does not count as done: its state is PAST. It takes no
 * time and tells nothing of the pace, but where a reported moment tells on which days it was done (open_rule). */
enum wr_now_rule { WR_NOW_KEPT, WR_NOW_DROPPED, WR_NOW_MAY_BE_DROPPED };

enum wr_now_source { WR_NOW_UNKNOWN, WR_NOW_INFERRED, WR_NOW_REPORTED };
/* EITHER_WAY: to a begin or an end, with work on its way that may have been dropped: of two lengths, so that no one law
 * is near it. It is met day by day (past.h), and teaches the pace by what the days weigh alone. */
enum wr_now_gap { WR_NOW_NO_GAP, WR_NOW_GAP_TO_BEGIN, WR_NOW_GAP_TO_END, WR_NOW_GAP_EITHER_WAY };

/* Law of a gap per posterior draw: log of the stretch ~ N(mean_log + loading b, sd_log^2); log_min: what it took. */
struct wr_now_gap_law { /* {0}: none */
    double *mean_log, *sd_log, *loading; /* [n_draw] */
    double log_min;
};
double wr_now_gap_log_density(const struct wr_now_gap_law *law, size_t draw, double b);

struct wr_now_state { /* start as {0}; also the condition under which cut-offs are computed */
    size_t n_task;
    double now_min;
    unsigned char *state;          /* [n_task] enum wr_now_task */
    double *begin_min, *end_min;   /* [n_task] RUNNING: begin; DONE: both; PAST: as far as known, else the latest they
                                      can be */
    double *hold_min;              /* [n_task] of the time since its begin, no work */
    unsigned char *time_known;     /* [n_task] 1 (DONE): begin and end are known, so that its duration was observed */
    unsigned char *begin_known, *end_known; /* [n_task] enum wr_now_source of those two moments */
    unsigned char *rule;           /* [n_task] enum wr_now_rule */
    unsigned char *open_rule;      /* [n_task] 1: MAY_BE_DROPPED, and the reported moment that it led to comes on some
                                      days if it was done and on others, slower ones, if not: both are simulated */
    unsigned char *gap;            /* [n_task] enum wr_now_gap: a moment of it is known while times before it are not,
                                      so that the stretch since the last moments known counts as one observation */
    struct wr_now_gap_law *gap_law; /* [n_task] NULL until wr_now_condition, and without gaps */
    struct wr_lead_in *lead_in;    /* [n_task] NULL: every task begins when it can */
    unsigned char *own_wait;       /* [n_task] 1: its begin was reported, and work that it waited for and that is known
                                      to have ended before may have decided it, a lead-in later: what is not known to
                                      have ended is not taken to have ended just then. NULL: of no task
                                      (wr_now_settle) */
    double *before_min, *after_min; /* [n_task] the minutes of a task as the model has them hold its lead-in, which is
                                       over when it is reported to have begun: how long that was before the begin,
                                       as rehearsed; and how long before its end, where that was taken from the begin
                                       of what follows, it had ended. NULL: no task has a lead-in */
    double *ready_min;              /* [n_task] of one whose begin was reported: when that which it waited for had
                                       ended, where a lead-in fits behind the latest moment known before; likewise */
    uint32_t unheard_lanes;        /* with UNREPORTED work that may have begun before now */
    unsigned char *doubted;        /* [n_task] 1: what was reported of it is doubtful (wr_now_stretch); NULL: nothing
                                      is */
    /* Correction of the run effect's normal law per posterior draw, NULL if it is exact:
     * log weight at score node i of draw d = log_correction[d * n_node + i], nodes evenly from -reach to reach */
    size_t n_node; double reach;
    double *log_correction;
};

static inline bool wr_now_has_begun(const struct wr_now_state *s, size_t task)
{
    return s->state[task] >= WR_NOW_RUNNING;
}
/* It is known not to have begun, and may no longer: the plan leaves it out. One rule with day.isPastRule
 * (present/day_plan.js). */
static inline bool wr_now_is_past_rule(const struct wr_now_state *s, size_t task, double drop_after_min)
{
    return s->state[task] == WR_NOW_AHEAD && s->now_min > drop_after_min;
}
/* Minutes at work of a task that runs, so far, or is done: without its hold. */
static inline double wr_now_active_min(const struct wr_now_state *s, size_t task)
{
    return (s->state[task] == WR_NOW_RUNNING ? s->now_min : s->end_min[task]) - s->begin_min[task] - s->hold_min[task];
}

/* The same as the model has it, its lead-in counted in: what a duration is held against. */
static inline double wr_now_modelled_min(const struct wr_now_state *s, size_t task)
{
    double minutes = wr_now_active_min(s, task);

    if (!s->before_min) return minutes;
    return minutes + s->before_min[task] - (s->state[task] == WR_NOW_RUNNING ? 0 : s->after_min[task]);
}

static inline double wr_now_ready_min(const struct wr_now_state *s, size_t task)
{
    return s->ready_min ? s->ready_min[task] : s->begin_min[task];
}

/* Its minutes were observed, and something of it was reported: not the time between two other tasks. */
static inline bool wr_now_is_timed(const struct wr_now_state *s, size_t task)
{
    return s->state[task] == WR_NOW_DONE && s->time_known[task] &&
           (s->begin_known[task] == WR_NOW_REPORTED || s->end_known[task] == WR_NOW_REPORTED);
}

/* What the report lacks, so that nothing can be said of a limit: its clock runs since nobody knows when, or has stopped
 * and, as far as it is known, may have been over. Such a limit is not counted among others. Nothing can be said of any
 * limit if something of the report is doubtful, but for what is a fact in spite of it. state NULL: nothing. */
enum wr_now_lack { WR_NOW_LACKS_NOTHING, WR_NOW_LACKS_BEGIN, WR_NOW_LACKS_END, WR_NOW_LACKS_TIMES };
enum wr_now_lack wr_now_lacks(const struct wr_now_state *state, const struct wr_sim_limit *limit);

/* What has happened to a limit is no forecast: its work took so long, or its time is over and work of it still open.
 * That it was kept is none where what it ends with waited for something doubtful. One rule with day.factOf
 * (present/day_days.js). */
enum wr_now_fact_kind { WR_FACT_NONE, WR_FACT_TOOK, WR_FACT_PASSED };
struct wr_now_fact {
    enum wr_now_fact_kind kind;
    double took_min;
    bool at_most; /* not all of it was reported, but it was inside in any case */
    bool over;
};
struct wr_now_fact wr_now_fact_of(const struct wr_now_state *state, const struct wr_network *net,
                                  const struct wr_sim_limit *limit);

/* Predecessors of a begun task are done; a task is taken to end when the next one in its way begins, where the network
 * leaves no choice. A lane of which nothing was said since its last joint task was done is taken to be on its way as
 * rehearsed (UNREPORTED); in a lane that was spoken of, what was not named has not begun. plan gives the names for
 * messages. WR_E_USAGE: the report contradicts the plan (a task begins or ends before one that must be done first). */
WR_MUST_CHECK enum wr_status wr_now_resolve(struct wr_now_state *state, const struct wr_now *now,
                                            const struct wr_network *net, const struct wr_plan *plan,
                                            struct wr_error *err);
/* The same where tasks take a while to begin (lead_in[n_task], NULL: none), as rehearsed: a reported begin came a
 * lead-in after the latest of what it waited for. Where, of that, something was reported and something was not, the
 * days of `before` say which it may have been, by the density of such a begin: the one that was not, alone, only where
 * the others are less than a twentieth as likely. */
WR_MUST_CHECK enum wr_status wr_now_settle(struct wr_now_state *state, const struct wr_now *now,
                                           const struct wr_network *net, const struct wr_plan *plan,
                                           const struct wr_lead_in *lead_in, const struct wr_scenarios *before,
                                           struct wr_error *err);
void wr_now_state_release(struct wr_now_state *state);

/* Work whose end nobody reported is taken to have ended before a reported moment of a task that waits for it. Where it
 * leads to that moment, what is known of the day before it is left as it was reported and the rest goes as on the days
 * forecast beforehand. Doubtful: the moment comes as early on fewer than one of 1000 of them, even
 * without what the plan lets go and by a minute of rounding, if it is one of whole minutes. Lengthy: as late, by that
 * minute and a lead-in as rehearsed, though the plan has the task wait for its not_before. Doubtful beside these is
 * what one task alone is
 * reported to have taken: less than on all but one of 1000 days, by that minute, or no time at all; or, judged
 * beforehand and still running, more than on 199 of 200 ordinary days by its judgement, where next to nothing says when
 * it ends. And silence: the last work of a lane that nobody
 * spoke of would be done by now on 19 of 20 days, so that it is taken to have gone on as rehearsed without a word. */
enum wr_now_alone { WR_NOW_OF_OTHERS, WR_NOW_TOOK_LITTLE, WR_NOW_OVER_JUDGEMENT, WR_NOW_UNHEARD };
struct wr_now_stretch {
    size_t task;             /* whose moment it is */
    bool to_end;             /* its end, for nobody reported its begin */
    double from_min, at_min; /* between which the work must have been done */
    size_t n_untimed, first; /* how many tasks of it, and the first */
    bool doubtful, lengthy;  /* lengthy: of one task whose minutes follow, see beyond_task */
    enum wr_now_alone alone; /* doubtful, and of no other work (UNHEARD: also of what leads to it) */
};

/* ---- the pace of the day ---- */

enum wr_pace_kind { WR_PACE_DONE, WR_PACE_RUNNING };
struct wr_judged_law;
struct wr_pace_seen {       /* one observation of log minutes: centre + loading b + error */
    enum wr_pace_kind kind;
    double residual_log;    /* log minutes (RUNNING: log of what it has run) - centre */
    double spread_log;      /* sd of the error, > 0 */
    double loading;         /* 1; less for a stretch only part of which carries the run effect */
    double rho;             /* skew of the error, 0 if normal */
    const struct wr_judged_law *judged; /* NULL, or the law of a judged task's error: spread_log is its sd */
};
struct wr_pace { double mean, sd; }; /* of the run effect's score: b = tau * score, score ~ N(0,1) beforehand */

/* Law of the run effect's score given what was seen. Exact: closed form for normal errors and nothing running, else
 * sums over 33 nodes within 8 standard deviations of what the normal errors alone would say. */
struct wr_pace wr_pace_given(double tau, const struct wr_pace_seen *seen, size_t n_seen);

/* Law of the run effect in every posterior draw given the state: durations get run_effect_shift and run_effect_sd
 * (normal, matched), the state its log_correction where that is not exact. Gaps count as one lognormal each, with the
 * moments of the simulated stretch, and weigh the draws: effective_draws. WR_E_TOO_FEW: fewer than 5 draws count. */
WR_MUST_CHECK enum wr_status wr_now_condition(struct wr_durations *durations, struct wr_now_state *state,
                                              const struct wr_network *net, uint64_t seed, unsigned n_thread,
                                              double *effective_draws, struct wr_error *err);

/* ---- the update ---- */

struct wr_update_options {
    struct wr_maybe start_min;  /* after midnight, when the excursion began, if it is known: see wr_now_ask_if_late */
    size_t n_trial;             /* 0: 6000 */
    uint64_t seed;
    unsigned n_thread;
};

/* A task taken as not begun, since nothing is reported of it, though later work of its lane or of others was spoken of
 * and it could have begun ten minutes before now or earlier. One rule with day.notBegun (present/day_log.js). */
struct wr_now_silent {
    size_t task;
    double since_min; /* when all that it waits for had ended; at the latest, where that is not known */
};

/* A task that the plan lets go (drop_after) and that has not begun. */
struct wr_now_drop {
    size_t task;
    double dropped;             /* share of the days that drop it */
    double *over;               /* [n_limit + 1] of each limit, then of any, were it left out now: what is stated, less
                                   the difference that leaving it out makes to the same days */
};

struct wr_update { /* start as {0} */
    struct wr_now_state state;
    struct wr_durations durations;   /* from the refit, run effect given the day */
    struct wr_scenarios scenarios;   /* of those, not yet weighed: meant for cut-offs under `state` */
    size_t n_done, n_timed, n_running, n_gap, n_unreported;
    size_t n_dropped;                /* or may have been, by their rule: not among n_done */
    double hold_min;                 /* of all tasks, taken out of what was timed */
    double effective;                /* effective number of trials after weighing */
    double effective_draws;          /* of posterior draws after the gaps were weighed; n_draw without gaps */
    /* pace, as factors on task times of this day against the day forecast beforehand */
    double seen_factor;              /* time taken so far / median expected for the same tasks; 1 if nothing was
                                        timed */
    double rest_factor, rest_factor_lo, rest_factor_hi; /* the run effect that what is to come shares: median and 90 %
                                                           interval of exp(b); what the refit learnt of tasks, people
                                                           and learning is not in it */
    size_t n_beyond, beyond_task;    /* tasks timed, or running, longer than on 999 of 1000 days forecast before; the
                                        first. One rule with day.beyond (present/day_days.js) */
    size_t n_brief, brief_task;      /* the same, done and shorter, but not so that it is doubtful */
    struct wr_now_stretch *stretch; size_t n_stretch; /* in network order, those of tasks themselves last */
    size_t n_doubted, n_lengthy;     /* stretches; doubted: nothing is forecast, all but what was reported is 0 and
                                        without meaning, and cut-offs have reason WR_CUTOFF_DOUBTFUL */
    double mean_min, sd_min, quantile_min[WR_N_QUANTILE], lens_min[WR_N_LENS]; /* finish */
    double before_quantile_min[WR_N_QUANTILE]; /* finish as forecast before the day */
    size_t n_limit;
    struct wr_probability *over;     /* [n_limit] given the day; intervals over posterior draws as in forecast.h, always
                                        with the stated probability inside */
    struct wr_maybe *over_before;    /* [n_limit] share of trials before the day */
    struct wr_now_fact *fact;        /* [n_limit] */
    struct wr_probability any_over;  /* of those that lack nothing */
    struct wr_now_drop *drop; size_t n_drop;
    struct wr_now_silent *silent;
    size_t n_silent;                 /* in network order */
    struct wr_cutoff_card card;      /* remaining cut-offs; begun tasks have reason WR_CUTOFF_BEGUN */
};

/* Of each limit alone what wr_update_make says, for a basis under another assumption: over[n_limit]. */
WR_MUST_CHECK enum wr_status wr_update_over(struct wr_probability *over, const struct wr_basis *basis,
                                            const struct wr_scenarios *before, const struct wr_now *now,
                                            const struct wr_cutoff_limit *limit, size_t n_limit,
                                            const struct wr_update_options *options,
                                            struct wr_error *err);

/* From update->durations (already those of the refit, or of known parameters) and update->state on: condition, days,
 * finish, limits, cut-offs. What compares with the day before (before_…, seen_factor, over_before, beyond) stays
 * empty. */
WR_MUST_CHECK enum wr_status wr_update_answer(struct wr_update *update, const struct wr_network *net,
                                              const struct wr_cutoff_limit *limit, size_t n_limit,
                                              const struct wr_cutoff_options *card_options,
                                              const struct wr_update_options *options, struct wr_error *err);

/* basis and before: as forecast without the day's report. What is doubtful goes to the findings. With carry-over the
 * day's times are compared with pool times carried over. card_options: tasks wanted, threads; its `now` is ignored.
 * WR_E_USAGE: wr_now_ask_if_late, with the latest finish of `before` and the limits.
 * WR_E_TOO_FEW: fewer than 5 posterior draws or 20 trials count after a gap was weighed, or something that would be
 * said is no number: name more tasks with begin and end. */
WR_MUST_CHECK enum wr_status wr_update_make(struct wr_update *update, const struct wr_basis *basis,
                                            const struct wr_scenarios *before, const struct wr_now *now,
                                            const struct wr_cutoff_limit *limit, size_t n_limit,
                                            const struct wr_cutoff_options *card_options,
                                            const struct wr_update_options *options, struct wr_findings *findings,
                                            struct wr_error *err);
void wr_update_check(const struct wr_update *update); /* WR_BUG_IF something that it says is no number: after each make
                                                       * if WR_CHECKED */
void wr_update_release(struct wr_update *update);
