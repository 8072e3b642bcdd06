/* A study: a campaign that was read, fitted and forecast, and what was decided on it, owned in one place. The command
 * line is one of its users.
 *
 *     struct wr_study study = {0};
 *     struct wr_study_options options = wr_study_default();
 *     struct wr_error err;
 *     options.folder = "datasets/petrel-7";
 *     enum wr_status status = wr_study_open(&study, &options, &err);
 *     if (status == WR_OK) status = wr_study_make(&study, WR_RESULT_FORECAST, &err);
 *     if (status == WR_OK && study.limits.n_limit)
 *         printf("%s: %.3f\n", study.limits.limit[0].name, study.forecast.limit[0].over.mean);
 *     else if (status != WR_OK) fprintf(stderr, "%s\n", err.text);
 *     wr_study_release(&study);
 *
 * Results are made on demand, each once, and what they rest on before them. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/number.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/criteria.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/campaign/run_log.h"
#include "wetrun/decide/backtest.h"
#include "wetrun/decide/basis.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/candidates.h"
#include "wetrun/decide/compare.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/debrief.h"
#include "wetrun/decide/excursion.h"
#include "wetrun/decide/other_limits.h"
#include "wetrun/decide/pad.h"
#include "wetrun/decide/ready.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/decide/search.h"
#include "wetrun/decide/stuck.h"
#include "wetrun/decide/update.h"
#include "wetrun/decide/whatif.h"
#include "wetrun/io/text_file.h"
#include "wetrun/model/durations.h"
#include "wetrun/model/earlier.h"
#include "wetrun/model/summary.h"
#include "wetrun/model/total_check.h"
#include "wetrun/network/network.h"
#include "wetrun/sim/forecast.h"
#include "wetrun/timing/implausible.h"
#include "wetrun/timing/timing.h"

/* One change of a what-if, in words. joined: belongs to the alternative of the change before it. */
enum wr_change_kind { WR_CHANGE_DROP, WR_CHANGE_SCALE, WR_CHANGE_SWAP, WR_CHANGE_LIMIT, WR_CHANGE_PLAN };
struct wr_change_text {
    enum wr_change_kind kind;
    const char *text;        /* TASK[,…]; TASK=F[,…] or kind:KIND=F; TASK=LANE[+…]; H:MM; FILE */
    bool joined;
};

struct wr_study_options {    /* texts are borrowed for as long as the study lives; start with wr_study_default */
    /* Files; NULL or none: the one of that name in the folder, as far as it is there. Without a log and a plan there is
     * nothing to read. */
    const char *folder;
    const char *const *runs; size_t n_runs;
    const char *plan, *plan_rehearsed, *limits, *history, *criteria, *names;
    struct wr_log_options log;
    const char *before_run;  /* only the rehearsals before this one; NULL: all */
    bool anonymous;          /* performers become A, B, … before anything else sees them */
    /* Of the excursion limit, before what limits.csv says. None is assumed where neither says anything. */
    struct wr_maybe limit_min, limit_as_clock_min, confidence; /* as_clock: see struct wr_limit */
    enum wr_time_form limit_form;
    struct wr_fit_options fit; /* seed and threads are taken from below */
    const char *const *earlier; size_t n_earlier; /* folders of earlier campaigns, which teach the priors */
    bool excursion_beside;   /* beside the forecast of the next rehearsal the answer for the excursion, where there is a
                                history of earlier ones (decide/excursion.h) */
    bool no_earlier;         /* leave out those in FOLDER/earlier */
    const char *on;          /* day of what is forecast, YYYY-MM-DD; NULL: not said */
    uint64_t seed;
    size_t n_trial;          /* 0: as many as each result usually takes; else WR_FEWEST_TRIALS at least */
    struct wr_maybe precision; /* wanted Monte Carlo error of every probability of passing a limit, n_trial 0: as many
                                  draws and points as that takes */
    unsigned n_thread;       /* 0: all processors; changes no result */
    void (*progress)(void *arg, double share_done); void *progress_arg; /* NULL: none; from the calling thread only */
    unsigned progress_of;    /* results (WR_RESULT_BIT …) that are the whole, over all calls; 0: what each call makes */
    double progress_after_s; /* what comes after them takes, in seconds of one thread; not done when they are */
    /* of single results */
    const char *run;         /* debrief */
    const char *by, *split;  /* comparison: groups by a column ("performer": by line-up), or from that rehearsal on */
    const char *const *at; size_t n_at; /* cut-offs of these tasks only; none: of all */
    bool at_checkpoints;     /* cut-offs of the pads' checkpoints only, where there are pads and no task is named */
    const char *now;         /* cut-offs: what has happened so far, see wr_now_parse; NULL: nothing */
    const char *reports;     /* the same as a table, see wr_day_report_read_bytes; both may be given */
    struct wr_maybe start_min; /* after midnight, when the excursion began: times of the report are times of day then,
                                  and
                                cut-offs are shown so too; unknown or 0: elapsed */
    bool outside_hold;       /* cut-offs: a late start that tells nothing about the day */
    const struct wr_change_text *change; size_t n_change; /* what-if: alternatives asked for */
    bool search;             /* what-if: look for the best changes instead, of those that are allowed */
    const char *moves;       /* file that allows them, as above */
    const char *allow;       /* kinds of change allowed in general, separated by commas; NULL: work that may be dropped,
                                where there is no such file */
    size_t most_changes;     /* at most so many together; 0: 2 */
    struct wr_maybe strictness; /* readiness */
    size_t n_future, n_refit; /* runs needed; 0: as usual, and one future in sixteen fitted again */
};
struct wr_study_options wr_study_default(void); /* the folder ".", seed 1 */

/* id, name; in the order in which they are made */
#define WR_RESULT_TABLE(ROW)                                                                                           \
    ROW(MODEL, model)                   /* fit, carry-over, durations */                                               \
    ROW(FORECAST, forecast)                                                                                            \
    ROW(SUMMARY, summary)               /* the fit in words, and the check without a model */                          \
    ROW(CANDIDATES, candidates)                                                                                        \
    ROW(COMPARISON, comparison)                                                                                        \
    ROW(PAD, pad)                                                                                                      \
    ROW(OTHER_LIMITS, other_limits)     /* the excursion limit and the wish moved about, for the page */               \
    ROW(CUTOFFS, cutoffs)               /* with those of the other limits, where these are made */                     \
    ROW(BACKTEST, backtest)                                                                                            \
    ROW(READY, ready)                                                                                                  \
    ROW(RUNS_NEEDED, runs_needed)                                                                                      \
    ROW(PRICES, prices)                 /* what the plan's drop rules buy */                                           \
    ROW(DEBRIEF, debrief)                                                                                              \
    ROW(WHATIF, whatif)
enum wr_result {
#define WR_RESULT_ENUM(id, name) WR_RESULT_##id,
    WR_RESULT_TABLE(WR_RESULT_ENUM)
#undef WR_RESULT_ENUM
    WR_N_RESULT
};
#define WR_RESULT_BIT(result) (1u << (result))

struct wr_study_cutoffs {
    struct wr_cutoff_limit *limit; /* [n_limit] those with a confidence */
    const char **limit_name;
    struct wr_probability *over;   /* [n_limit] as forecast */
    struct wr_second *second;      /* [n_limit] the worse answer where there is one; updated: given the day */
    size_t n_limit;
    bool updated;            /* something was reported: update holds the card */
    struct wr_cutoff_card card;
    struct wr_update update;
};

struct wr_study_whatif {
    struct wr_alternatives *alternatives; /* what was asked, private to the room; NULL: it was searched */
    struct wr_whatif asked;
    struct wr_search found;
    bool unordered;                       /* the search may change an order that the plan does not ask for */
    unsigned in_vain;                     /* bits 1 << enum wr_move_kind: allowed, and the plan has nothing for it */
    const struct wr_whatif *rows;         /* asked, or those that were found */
    const char *const *variant_name;      /* by wr_whatif_row.variant */
    const char **limit_name;              /* [limits.n_limit] */
};

/* What earlier campaigns taught: n 0, where there are none. */
struct wr_study;
struct wr_study_earlier {
    struct wr_study *study; size_t n; /* each opened by itself */
    struct wr_earlier taught;
    struct wr_priors usual;           /* as they would have been without them */
    struct wr_model_fit fit;          /* this campaign under those */
    struct wr_forecast without;       /* and its forecast; n_trial 0: not made */
    struct wr_findings unused;        /* of that fit: said once already */
};

/* A file, read once: what was used and what its checksum is about are the same bytes. */
struct wr_input {
    const char *name;
    struct wr_text text;
};

struct wr_study { /* start as {0} */
    struct wr_pool *pool;    /* what the study holds */
    struct wr_study_options options;
    const char *people_said; /* options.fit.people as it was given */
    const struct wr_study *again; size_t left_out; /* the files as that study read them, without that run of its log;
                                                      NULL: they are read */
    struct wr_arena text;
    char *name;              /* base name of the campaign folder */
    struct wr_input **file; size_t n_file, room_file; /* every input file that was read */
    /* by wr_study_open */
    struct wr_findings findings;
    struct wr_aliases aliases;
    struct wr_run_log log;   /* no runs if there is only a plan */
    struct wr_plan plan;
    struct wr_plan rehearsed; bool has_rehearsed; /* what the runs followed, where that is not the plan */
    struct wr_limits limits; /* the first is the excursion limit, with the confidence below */
    struct wr_history history; bool has_history;
    struct wr_network net;
    struct wr_timing timing;
    struct wr_timing rehearsed_timing; /* of the same runs, held against the plan as rehearsed */
    const char *complete_by; /* " by the plan that is forecast (new: SEAL)": of timing, where the other has other runs
                                complete; NULL: both say the same */
    struct wr_screen screen; /* what is implausible in the above */
    struct wr_sim_limit *limit; /* [limits.n_limit] */
    struct wr_maybe confidence; /* wanted probability of staying inside the excursion limit */
    /* by wr_study_make: a result exists where its bit is set */
    unsigned made;
    struct wr_study_progress { /* in seconds that results usually take, roughly */
        double whole, done, under_way;
        void (*show)(void *arg, double share_done); void *arg; /* the options', while a result is made */
    } progress;
    struct wr_fit_options fit_options; /* as resolved */
    struct wr_study_earlier earlier;
    struct wr_model_fit fit;
    struct wr_carry_over carry_over; bool has_carry_over;
    struct wr_durations durations;
    struct wr_gap gap;       /* before the day of what is forecast, if it was said */
    struct wr_forecast forecast;
    struct wr_beside beside[WR_BESIDE_MOST]; size_t n_beside; /* with the forecast, under other assumptions */
    struct wr_excursion excursion; bool has_excursion; /* the answer of the options' excursion_beside */
    struct wr_total_check total; /* with the forecast, which is held against it */
    struct wr_total_disagreement disagreement;
    double *own_trend_scale; /* [n_task] what takes tasks that get longer to their own trends; NULL: there are none */
    bool lengthening_beside; /* they decide of a limit other than the first: decide/lengthens.h */
    struct wr_stuck stuck;   /* with the forecast, of the rehearsals: decide/stuck.h */
    bool stuck_beside;       /* it decides of a limit other than the first */
    bool short_tasks_drive;  /* the learning that all tasks are credited with: decide/short_tasks.h */
    struct wr_fit_summary summary;
    struct wr_candidates candidates;
    struct wr_comparison comparison;
    struct wr_pad pad;
    struct wr_study_cutoffs cutoffs;
    struct wr_backtest backtest;
    struct wr_criteria criteria;
    struct wr_ready ready;
    struct wr_runs_needed runs_needed;
    struct wr_drop_price *price; size_t n_price;
    struct wr_other_limits other;
    struct wr_debrief debrief;
    struct wr_study_whatif whatif;
};

/* Out of memory (WR_E_MEMORY) or after an error of its own (WR_E_BUG) a study is empty again: all that it held is
 * released. A block that a callback takes from base/memory.h is the study's too; one that it makes larger stays whose
 * it was. A study may be used by one thread at a time; different studies by different ones. */

/* Reads and checks the campaign. The findings are kept when it fails; to be released either way. From the first call on
 * GSL reports its errors to its callers, in the whole process, instead of aborting it. */
WR_MUST_CHECK enum wr_status wr_study_open(struct wr_study *study, const struct wr_study_options *options,
                                           struct wr_error *err);
void wr_study_release(struct wr_study *study);

/* WR_E_USAGE   a limit or a confidence is needed and none is given, or an option does not fit the campaign
 * WR_E_TOO_FEW the rehearsals are too few for it */
WR_MUST_CHECK enum wr_status wr_study_make(struct wr_study *study, enum wr_result result, struct wr_error *err);
/* Those of the results in `wanted` (WR_RESULT_BIT …) that can be had from this campaign; what cannot is left out. */
WR_MUST_CHECK enum wr_status wr_study_gather(struct wr_study *study, unsigned wanted, struct wr_error *err);
/* The runs beside the plan that they followed: for what is said of them, not for what is computed. */
const struct wr_timing *wr_study_timing_of_runs(const struct wr_study *study);
bool wr_study_has(const struct wr_study *study, enum wr_result result);

/* Plan, network, timing, limits; with WR_RESULT_MODEL everything. */
struct wr_basis wr_study_basis(const struct wr_study *study);
