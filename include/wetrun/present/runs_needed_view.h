/* `runs-needed`: what further rehearsals would add to what is known. */
#pragma once

#include "wetrun/campaign/limits.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/decide/runs_needed.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

struct wr_runs_needed_result { /* borrowed */
    const struct wr_plan *plan;
    double limit_min;
    const struct wr_runs_needed *needed;
    const struct wr_limits *limits; /* NULL: their names are not known, and no limit but the first is looked at */
    struct wr_grounds grounds;
    const struct wr_forecast *forecast; /* of the limits, for a second answer on them; NULL: there is none */
    const char *complete_by; /* see struct wr_present_context */
    bool no_learning;        /* likewise */
    bool history_unused;     /* likewise */
};

/* Where the history of earlier excursions is not used in this. */
extern const char wr_carry_over_stays[];

/* One limit of it. */
struct wr_needed_limit {
    const char *name; /* NULL: the only limit, which needs none */
    double minutes, confidence, width;
    double width_error; /* of the width now: sd over seeds, as the rows' have it */
    const struct wr_probability *over;
    struct wr_second second;
    enum wr_verdict verdict;
    bool held;        /* whatever further days show, the second answer keeps it from being inside: they are drawn under
                         the first, and settle nothing between the two */
    bool in_doubt;    /* whatever further days show, a doubt that they do not answer keeps it open */
    const struct wr_runs_needed_row *row; /* [needed->n_row] */
    const struct wr_sessions *sessions;
};
size_t wr_n_needed_limit(const struct wr_runs_needed_result *result);
struct wr_needed_limit wr_needed_limit(const struct wr_runs_needed_result *result, size_t i);
/* It cannot be told about yet, by the better answer either, and nothing is in doubt: what further days are for. */
bool wr_needed_is_open(const struct wr_runs_needed_result *result, const struct wr_needed_limit *of);
/* The first of these; false where there is none. */
bool wr_open_limit(const struct wr_runs_needed_result *result, struct wr_needed_limit *of);
/* The first that cannot be told about for the second answer's sake; what would settle that: "shortly before the
 * day". */
bool wr_held_limit(const struct wr_runs_needed_result *result, struct wr_needed_limit *of);
void wr_settled_by_words(enum wr_beside_kind kind, struct wr_str *out);
/* What further rehearsals do to the interval's width: prose and tables say no more than this. A share by which it is
 * narrower is a number only where it narrows or widens. */
enum wr_narrowing {
    WR_NARROWS,         /* by more than twice the error of the difference, that of the width now included */
    WR_WIDENS,
    WR_HARDLY_NARROWS,  /* neither, and by a tenth at most, the error included */
    WR_NARROWING_OPEN   /* the simulations do not tell */
};
enum wr_narrowing wr_narrowing_of(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row);
bool wr_narrows(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row);
/* "20 % (± 3.6 %)": narrower than now by that share, where it narrows. The widths now and then come from draws and
 * refits of their own, so their errors add up as independent ones: over twelve seeds the share varied by .041 on
 * petrel-7, .034 on petrel-2, where .042 and .049 were stated. */
void wr_narrower_words(const struct wr_needed_limit *of, const struct wr_runs_needed_row *row, struct wr_str *out);

/* Table: the answer, the interval now and after further rehearsals, the sessions most worth while, and what each number
 * means. CSV: now and after further rehearsals. JSON: everything. */
WR_MUST_CHECK enum wr_status wr_show_runs_needed(enum wr_format format, const struct wr_present_context *ctx,
                                                 const struct wr_runs_needed_result *result, struct wr_str *out,
                                                 struct wr_error *err);

/* "“inside” in 38 of 100 cases, “not inside” in 2": what the answer would then be, of a limit that is not held. */
void wr_clear_words(const struct wr_runs_needed_row *row, struct wr_str *out);
/* What is known now of the first limit, and what one and the most further rehearsals would do; the verdicts on the
 * others; what rehearsals are for. */
void wr_runs_needed_sentence(const struct wr_runs_needed_result *result, struct wr_str *out);
/* The first part of that, of any limit. */
void wr_needed_limit_sentence(const struct wr_runs_needed_result *result, size_t limit, struct wr_str *out);
/* How many tasks a session on one would be about, for the first limit that it may tell of: 0 where all are clear, or
 * open for want of complete rehearsals alone. */
size_t wr_n_session(const struct wr_runs_needed_result *result);
/* Whether a session on one task would pay for that limit; names the best task by its title. Nothing where there is
 * none. */
void wr_session_sentence(const struct wr_runs_needed_result *result, struct wr_str *out);
void wr_grid_of_runs_needed(const struct wr_runs_needed_result *result, size_t limit, struct wr_grid *grid);
/* "Now, and after further rehearsals: excursion, 6:30"; the name only where there are several. */
void wr_needed_caption(const struct wr_runs_needed_result *result, size_t limit, struct wr_str *out);
enum { WR_SESSIONS_SHOWN = 8 }; /* to people */
void wr_grid_of_sessions(const struct wr_runs_needed_result *result, size_t most, struct wr_grid *grid);
/* What a number of this output means and what it leaves out; NULL behind the last. */
const char *wr_runs_needed_definition(const struct wr_runs_needed_result *result, size_t i);
