/* Two studies side by side: what changed in the answer from the earlier one to the later one, and what of that is only
 * noise. The earlier one may be another campaign, the same one a rehearsal before, or the same logs with another plan.
 *
 * The change of the probability of passing the excursion limit is taken apart in this order: another limit, another
 * plan, what the rehearsals tell. The first two are measured on the earlier study's draws and days, each day met twice
 * with the same luck per task, so that their errors are those of paired differences; the rest is what is left of the
 * whole change. Of the same rehearsals that rest is no news from them: it is their times, measured anew against the
 * other plan, or what the other files say.
 *
 * Noise. A change is noise where it is within twice its own error. Of probabilities that is the Monte Carlo error of
 * both forecasts (draws and days); of a task's median the error of the two posterior means
 * (stats/batch_means.h) and of the trials; of a cut-off its own. Where both rest on the same data nothing differs at
 * all. What is beyond noise may still be within what was said then: the later probability lies in the earlier one's 90
 * % interval. */
#pragma once

#include "wetrun/decide/binding_cutoff.h"
#include "wetrun/study/study.h"

struct wr_change {
    bool known;              /* both have it */
    bool only_before, only_after; /* else: one of them has */
    double before, after;
    double error;            /* sd of after - before from the simulation; 0: none */
};
static inline double wr_change_of(const struct wr_change *c)
{
    return c->after - c->before;
}
bool wr_change_is_noise(const struct wr_change *c);

enum wr_against_part { WR_PART_LIMIT, WR_PART_PLAN, WR_PART_REHEARSALS, WR_N_AGAINST_PART };
struct wr_against_share { bool known; double change, error; }; /* of the probability; unknown: it cannot be taken
                                                                  apart */

struct wr_against_limit {
    const char *name;
    bool in_before, in_after;
    struct wr_change minutes, confidence, over;
    bool within_what_was_said; /* over.after lies in the interval of over.before: */
    double said_lo, said_hi;
};

struct wr_against_start {     /* the time to begin by, as the card has it; also that there is none */
    bool in_before, in_after; /* there was a card */
    enum wr_binding before, after;
    struct wr_change latest_min; /* of one side alone where the other has no time */
    bool is_rarely_met;          /* there is a time now, and it lies before the usual start: usually too late */
};
static inline bool wr_start_is_late(bool there, enum wr_binding what)
{
    return there && wr_binding_has_no_start(what);
}

struct wr_against_task {
    const char *id, *title;
    bool in_before, in_after;
    struct wr_change median_min;
    bool within_what_was_said; /* the later centre lies between the 5 and 95 % points of the earlier draws of it */
    struct wr_against_start start;  /* so that all limits on elapsed time are kept */
    size_t done_before, done_after; /* times that the rehearsals timed it */
    const char *edited;      /* what the plan says otherwise now, in words; NULL: nothing */
};

struct wr_against_criterion {
    enum wr_criterion_id id;
    enum wr_evidence before, after;
};

struct wr_against_clock { /* the times to begin by on one clock that both have */
    const char *limit;
    struct wr_against_start *start;
    size_t n_start; /* of the tasks that both plans have */
};

struct wr_against { /* start as {0}; names borrowed from the studies */
    const char *before_name;
    size_t n_run_before, n_run_after;
    bool same_runs, same_plan;           /* the same times of the same rehearsals; the same timeline */
    struct wr_change half_min;           /* the moment by which half of the days are done */
    struct wr_change over;               /* of the excursion limit */
    bool within_what_was_said;
    double said_lo, said_hi;             /* interval of over.before */
    struct wr_against_limit any;         /* of passing at least one; over not known: neither has several */
    struct wr_against_share part[WR_N_AGAINST_PART]; /* of over */
    struct wr_against_limit *limit; size_t n_limit;
    struct wr_against_task *task; size_t n_task;       /* the later plan's in its order, then those that are gone */
    struct wr_against_clock *clock;
    size_t n_clock;
    struct wr_against_criterion *criterion; size_t n_criterion; /* judged in both; 0: not made */
    struct wr_arena text;
};

/* Both studies have WR_RESULT_FORECAST; cut-offs and readiness are compared where both have them. */
WR_MUST_CHECK enum wr_status wr_against_make(struct wr_against *a, const struct wr_study *before,
                                             const struct wr_study *after, struct wr_error *err);
void wr_against_release(struct wr_against *a);
