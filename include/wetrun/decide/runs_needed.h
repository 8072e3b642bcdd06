/* What further rehearsals would add to what is known about passing the limit.
 *
 * Definition. The expected width of the 90 % interval on P(over) after m further complete rehearsals, and the chance
 * that the interval then lies wholly within 1 - confidence (clear inside) or wholly beyond it (clear outside), averaged
 * over what the model expects those rehearsals to show.
 * One target throughout, now and after any m: the run that the forecast is about now, with the learning that is
 * credited to it now (the next rehearsal: one step; the excursion: none). A later run would be credited more learning,
 * and without new data its interval would be wider, not narrower; comparing intervals of different runs would mix both.
 * For one target the stated P does not move in expectation, since it is a posterior mean: more rehearsals narrow the
 * interval, they do not lower P.
 *
 * How. Take a posterior draw, simulate m rehearsals from it at the next places in time (run effect, learning, the
 * people of a rehearsed line-up, every task done), add them to the log and fit the model again. The draw that made the
 * data is itself a draw from the posterior given all of them, so the chain starts there and needs no burn-in. Some
 * hundred such refits are few, so a regression predicts the interval after any simulated future from a few statistics
 * of the rehearsals simulated (outlook.h) and serves as control variate over all futures.
 *
 * Part-task sessions: one day on which one task is done WR_SESSION_REPEATS times. Their worth, and that of whole
 * rehearsals beside them, is the share of the variance of P's normal scores that a linear regression on what the day
 * would show removes, less the same with futures and draws out of step (what chance alone would seem to remove). Only
 * of tasks whose time moves the outcome on at least WR_SESSION_LEAST_MOVES of the simulated days: of one that waits
 * anyway such a day would still tell the pace, which any task tells as well. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/decide/basis.h"
#include "wetrun/decide/verdict.h"

enum { WR_SESSION_REPEATS = 4, WR_RUNS_NEEDED_LEAST = 3 };
#define WR_SESSION_LEAST_MOVES 0.05

struct wr_estimated { double value, error; }; /* error: standard error from the finite number of simulations */
/* Told apart by the simulations: the one is more than the other by twice the error of the difference. */
bool wr_estimated_is_more(const struct wr_estimated *one, const struct wr_estimated *other);

struct wr_runs_needed_row {
    size_t further;              /* m */
    struct wr_estimated width;   /* of the 90 % interval on P(over) */
    struct wr_estimated lo, hi;  /* its ends */
    struct wr_estimated over;    /* P(over) as it would be stated */
    struct wr_estimated clear_inside, clear_outside; /* chances */
    struct wr_estimated removed; /* share of the variance of P's normal scores, by linear regression */
    bool never_inside;           /* with these fewer complete ones than WR_FEWEST_COMPLETE: clear_inside is 0 */
};

struct wr_session_row {
    size_t task;                 /* of the plan */
    struct wr_estimated removed;
    double time_min;             /* WR_SESSION_REPEATS times its median */
};

/* Modelled tasks whose time moves the outcome of a limit, the most worth while for it first; a task that waits anyway
 * is none. */
struct wr_sessions { size_t n; struct wr_session_row *row; };
/* Whether the simulations leave open that a session behind the first removes as much. The first was picked because it
 * came out highest of n, so what leaves another behind must hold for all n - 1 together: with 5 % for all of them
 * (Bonferroni), 3.1 errors of the difference among 26 tasks, 2 among two. */
bool wr_session_may_be_first(const struct wr_sessions *sessions, size_t i);

/* The same for a limit beside the first, from the same futures. */
struct wr_runs_needed_other {
    size_t limit;                /* of the basis */
    double confidence;
    struct wr_probability over;  /* now */
    double width;
    struct wr_runs_needed_row *row; /* [n_row] as for the first */
    struct wr_sessions sessions;
};

struct wr_runs_needed { /* start as {0} */
    size_t n_run;                /* rehearsals that the fit rests on */
    size_t n_draw, n_future, n_refit, n_sweep; /* posterior draws; simulated futures; refits per m; sweeps per refit */
    double last_order, target_order; /* places in time: of the last rehearsal, of the run that P is about */
    double confidence;
    struct wr_probability over;  /* now */
    double width;
    bool drops;                  /* the plan has work that may be dropped: rehearsed all the same, as the pool does */
    bool carry_over;             /* P is about the excursion, by a carry-over that rehearsals do not teach */
    size_t n_judged;             /* tasks that rest on judgement: that a rehearsal would replace it is not counted */
    double day_min;              /* median length of the next rehearsal as simulated, by what the limit is about */
    size_t n_row; struct wr_runs_needed_row *row;
    size_t n_other; struct wr_runs_needed_other *other;
    struct wr_sessions sessions; /* for the first limit */
};

struct wr_runs_needed_wish {
    size_t limit;                /* of the basis, not the first */
    double confidence;
};

struct wr_runs_needed_options {
    const size_t *further; size_t n_further; /* values of m, rising */
    size_t n_future;             /* simulated futures; at least one per posterior draw is taken all the same */
    size_t n_refit;              /* of these, fitted again for every m */
    size_t n_keep, thin;         /* draws kept per refit, sweeps per kept draw */
    size_t per_draw;             /* lattice points per posterior draw of a refit: see wr_forecast_over */
    double confidence;           /* in (0, 1), of the first limit */
    const struct wr_runs_needed_wish *other; size_t n_other;
    const struct wr_forecast *now; /* of the basis and all its limits, or NULL: what is asked of it is found again */
    uint64_t seed;
    unsigned n_thread;           /* changes no result */
    void (*progress)(void *arg, double share_done); void *progress_arg; /* NULL: none; from the calling thread only */
};
struct wr_runs_needed_options wr_runs_needed_default(void); /* all but confidence, seed, progress */

/* Reads the whole basis, of the limits the first and those of options->other.
 *   WR_E_TOO_FEW  fewer than WR_RUNS_NEEDED_LEAST rehearsals, or no task in the model
 *   WR_E_USAGE    WR_MODEL_ALONE: there is nothing to fit again */
WR_MUST_CHECK enum wr_status wr_runs_needed_make(struct wr_runs_needed *needed, const struct wr_basis *basis,
                                                 const struct wr_runs_needed_options *options, struct wr_error *err);
/* Can it be said of this fit? Its status if not. */
WR_MUST_CHECK enum wr_status wr_runs_needed_takes(const struct wr_model_fit *fit, const struct wr_fit_options *options,
                                                  struct wr_error *err);
void wr_runs_needed_release(struct wr_runs_needed *needed);
