/* What every output says about itself, whatever the command: filled in once by the command line. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/limits.h"
#include "wetrun/decide/excursion.h"
#include "wetrun/decide/verdict.h"
#include "wetrun/model/durations.h"
#include "wetrun/present/grid.h"
#include "wetrun/present/words.h"

enum wr_format { WR_FORMAT_TABLE, WR_FORMAT_CSV, WR_FORMAT_JSON };

struct wr_present_input {
    const char *name;       /* as the user named it */
    const char *sha256_hex; /* 64 hexadecimal digits, or NULL */
};

/* A finding that moves the answer; of one code and severity the first stands for all. */
struct wr_present_finding {
    enum wr_severity severity;
    const char *code, *file, *message; /* file NULL: about the forecast itself */
    size_t line, column, n;            /* n: how many */
    int rank;                          /* order among them */
    size_t place;
    bool doubtful;                     /* the answer rests on it */
    const char *campaign;              /* where it was found; NULL: the only one */
    bool of_excursion;                 /* it moves the excursion alone, and that is not the target */
};

/* What is found against an answer. */
struct wr_present_found {
    const struct wr_present_finding *finding; size_t n_finding;
    const char *doubt;                 /* a sentence that goes before the answer; NULL: none */
    enum wr_open_by open_by;           /* why no answer may be firm: see wr_context_grounds */
};

/* A worse answer on one limit that may be as right as the one shown (struct wr_second). */
struct wr_present_second {
    const char *limit;         /* its name */
    size_t at;                 /* its place among the limits */
    struct wr_maybe confidence;
    struct wr_second is;
    struct wr_maybe needed_min; /* the limit that it would take; of the first, where one is wanted of it */
};

struct wr_present_context { /* all borrowed */
    const char *version;    /* "0.1.0" */
    const char *command;    /* "forecast" */
    const char *campaign;   /* the folder's own name, or a title; may hold anything; NULL: none */
    const char *options;    /* what was asked beyond the defaults, as text for people; NULL or "" if nothing */
    const char *modelled;   /* those of them by which another model is fitted; NULL: none */
    bool has_seed;
    uint64_t seed;
    size_t n_trial;         /* 0: no trials were run */
    bool has_target;        /* something is forecast */
    enum wr_target target;
    bool has_carry_over;    /* history.csv was given: pool times are scaled for the excursion */
    bool history_unused;    /* it was given, and the answer is one for the next rehearsal */
    const struct wr_excursion *excursion; const struct wr_limits *excursion_limits; /* the answer for the excursion with
                               it, beside the one shown, and its limits in their order; NULL: not made */
    const char *excursion_words; /* above the numbers: wr_excursion_brief; NULL: not to be said, or said elsewhere */
    bool leaves_out;        /* work is left out or may be dropped: what that does to the hardware is not known */
    bool anonymous;         /* performers are shown as A, B, …: presenters are given those names already */
    size_t n_run;           /* rehearsals the answer rests on */
    size_t n_complete_run;
    const char *complete_by;    /* behind "complete": by which plan, where two say otherwise; NULL: they do not */
    size_t n_line_up;       /* that the days forecast choose from at random; below 2: there is no choice */
    const int *line_up;     /* [n_line_up_row * n_lane] who is in which lane: places in person[], below 0 nobody known;
                               NULL: not known either */
    size_t n_line_up_row;   /* as often as they are chosen; 0 counts as 1 */
    bool people_named;      /* somebody was asked for in a lane, and somebody new may be */
    const char *const *person; size_t n_lane; const char *const *lane;
    struct wr_maybe confidence; /* wanted probability of staying inside the excursion limit */
    const struct wr_present_input *input; size_t n_input;
    bool no_forecast;           /* none was made, so that what only a forecast finds was not found */
    bool has_findings;          /* findings were looked through: they stand in JSON and above the first sentence */
    const struct wr_present_finding *finding; size_t n_finding;
    bool no_learning;           /* it was left out of the model */
    bool holds_learning;        /* no step beyond the last rehearsal is credited: the excursion, or a long gap */
    const char *doubt;          /* a sentence that goes before the answer; NULL: none */
    const struct wr_present_second *second; size_t n_second; /* by answer, then by limit; none
                                                                        of a limit that the answer does not reach */
    const char *first_is;       /* "as judged": what the one shown is where there are several; NULL: there is one */
    size_t n_answer;            /* the one shown and the worse ones; 0: as many as two where there are words of them */
    const char *second_words;   /* the same as sentences, where the numbers do not stand in a table; NULL: none */
    enum wr_open_by open_by;    /* why no answer may be firm: see wr_context_grounds */
    struct wr_present_found apart; /* the same but for what is found of limits */
    bool limits_left_out;       /* wr_context_leave_out_limits did so */
    size_t columns;             /* of the terminal, for tables; 0: WR_TERMINAL_COLUMNS */
    struct wr_maybe rhat, effective_draws; /* worst of the sampler's checks */
};

/* What the numbers of the context rest on, before a day. */
struct wr_rests_on wr_context_rests_on(const struct wr_present_context *ctx);
/* "two", "four": how many answers there are, where there are several */
const char *wr_context_answers(const struct wr_present_context *ctx);
/* What stands behind a firm answer: nothing where a finding keeps every answer open. */
struct wr_grounds wr_context_grounds(const struct wr_present_context *ctx);
/* "three rehearsals are complete, and …": why an interval within what is wanted is not called inside, behind the lead;
 * nothing if nothing is lacking. complete_by: as above. grounds, second, confidence: as the lack was found with. */
void wr_lack_words(const char *lead, enum wr_lack lack, struct wr_grounds grounds, const char *complete_by,
                   const struct wr_second *second, double confidence, struct wr_str *out);
/* What may be said of something, or nothing. */
static inline const char *wr_or_nothing(const char *text)
{
    return text ? text : "";
}
/* "Found, and may move this: 6 errors (row-negative 2 …)."; nothing where nothing was. */
/* "6 errors, 1 warning" of what may move an answer; returns how many. */
size_t wr_context_found_counts(const struct wr_present_context *ctx, struct wr_str *out);
void wr_context_found_words(const struct wr_present_context *ctx, struct wr_str *out);
/* Beside a count of findings where no forecast was made. */
extern const char wr_found_by_forecast[];
/* What a finding of this code says, as a sentence behind a blank; nothing where there is none. */
void wr_context_add_finding(const struct wr_present_context *ctx, const char *code, struct wr_str *out);
/* For numbers none of which rests on a limit: what is found of limits is left out, but where the sentences above the
 * numbers say how many go over one. */
void wr_context_leave_out_limits(struct wr_present_context *ctx);
/* "Doubtful: " where a finding speaks against the answer: for a first sentence that may be read alone. */
void wr_context_add_doubtful(const struct wr_present_context *ctx, struct wr_str *out);
/* "Not the usual model: --learning off."; nothing where it is. It stands beside every answer. */
void wr_context_modelled_words(const struct wr_present_context *ctx, struct wr_str *out);
/* What stands above the first sentence of a table: the doubt, and how many findings may move the answer. */
void wr_context_add_doubts(const struct wr_present_context *ctx, struct wr_str *out);

/* "Petrel 7, 9 rehearsals: forecast of the next rehearsal, at pool pace", one line, not escaped. */
void wr_context_headline(const struct wr_present_context *ctx, const char *what, struct wr_str *out);
/* The same where what is shown is not of the context's target. */
void wr_context_headline_as(const struct wr_present_context *ctx, const char *what, struct wr_str *out);

/* "done by one of the two rehearsed line-ups at random; --people names one"; "done by Ada in EV1, Bo in EV2" where
 * there is no choice, "done by Ada in EV1, the rest as in one of …" where people were named in
 * part; nothing where nobody is known. */
void wr_context_line_up_words(const struct wr_present_context *ctx, struct wr_str *out);

size_t wr_context_columns(const struct wr_present_context *ctx);
/* A table below an empty line, under a head unless NULL, as wide as the terminal; nothing if it has no row. Releases
 * it. */
void wr_context_add_grid(const struct wr_present_context *ctx, const char *head, struct wr_grid *grid,
                         struct wr_str *out);
