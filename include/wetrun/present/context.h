/* What every output says about itself, whatever the command: filled in once by the command line. */
#ifndef WETRUN_PRESENT_CONTEXT_H
#define WETRUN_PRESENT_CONTEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/model/durations.h"

enum wr_format { WR_FORMAT_TABLE, WR_FORMAT_CSV, WR_FORMAT_JSON };

struct wr_present_input {
    const char *name;       /* as the user named it */
    const char *sha256_hex; /* 64 hexadecimal digits, or NULL */
};

struct wr_present_context { /* all borrowed */
    const char *version;    /* "0.1.0" */
    const char *command;    /* "forecast" */
    const char *campaign;   /* the folder's own name, or a title; may hold anything; NULL: none */
    const char *options;    /* what was asked beyond the defaults, as text for people; NULL or "" if nothing */
    bool has_seed;
    uint64_t seed;
    size_t n_trial;         /* 0: no trials were run */
    bool has_target;        /* something is forecast */
    enum wr_target target;
    bool has_carry_over;    /* history.csv was given: pool times are scaled for the excursion */
    bool anonymous;         /* performers are shown as A, B, …: presenters are given those names already */
    size_t n_run;           /* rehearsals the answer rests on */
    size_t n_complete_run;
    struct wr_maybe confidence; /* wanted probability of staying inside the excursion limit */
    const struct wr_present_input *input; size_t n_input;
};

/* "Petrel 7, 9 rehearsals: forecast of the next rehearsal, at pool pace", one line, not escaped. */
void wr_context_headline(const struct wr_present_context *ctx, const char *what, struct wr_str *out);

enum { WR_TERMINAL_COLUMNS = 80 };

#endif
