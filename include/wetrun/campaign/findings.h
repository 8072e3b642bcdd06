/* Findings: what is odd or wrong in the user's files, collected without stopping. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/error.h"

enum wr_severity { WR_NOTE, WR_WARNING, WR_ERROR }; /* an error makes the input unusable or loses a row */

struct wr_finding {
    enum wr_severity severity;
    const char *code;    /* kebab-case, documented in wetrun-findings(7): "row-rejected" … */
    const char *file;    /* as the user named it, NULL if none */
    size_t line, column; /* from 1; 0: does not apply. column counts bytes */
    const char *message; /* may hold bytes from user files: escape before showing */
    bool made_good;      /* a rejected row that another one gives right: nothing is lost, and the message says so */
};

enum { WR_MOST_FINDINGS = 2000 }; /* kept of one code; the further ones are counted only */

struct wr_finding_tally {
    const char *code;
    enum wr_severity severity; /* the worst seen with this code */
    size_t n;                  /* kept or not */
};

struct wr_findings { /* start as {0} */
    struct wr_finding *finding;
    size_t n_finding, room;
    struct wr_finding_tally *tally; /* one per code, in order of first appearance */
    size_t n_tally, room_tally;
    size_t n_of[WR_ERROR + 1];  /* by severity, kept or not */
    size_t n_suppressed;        /* not kept */
    struct wr_arena text;
};

/* code is a string literal; file may be NULL; file and message are copied. */
void wr_findings_add(struct wr_findings *f, enum wr_severity severity, const char *code, const char *file,
                     size_t line, size_t column, const char *fmt, ...) WR_PRINTF(7, 8);
/* Counts one that is past the limit of its code and returns true; else does nothing. Saves the making of a message. */
bool wr_findings_suppress(struct wr_findings *f, enum wr_severity severity, const char *code);
/* Marks the rejected row of finding[at] as made good. */
void wr_findings_make_good(struct wr_findings *f, size_t at);
/* Is there one with this code? */
bool wr_findings_has(const struct wr_findings *f, const char *code);
/* What keeps every answer from being firm, whatever its interval; of several the last is what is said. */
enum wr_open_by {
    WR_OPEN_BY_NOTHING,
    WR_OPEN_BY_REHEARSALS, /* nothing was ever done: further rehearsals are what is lacking */
    WR_OPEN_BY_MODEL,      /* it has no interval, and so does not say how sure it is */
    WR_OPEN_BY_FORECAST,   /* something else that the forecast rests on: times, people, the history, the sampler */
    WR_OPEN_BY_FILES,      /* a file says what can hardly be meant: no number of rehearsals answers that */
};
enum wr_open_by wr_code_open_by(const char *code);
bool wr_code_keeps_open(const char *code);
enum wr_open_by wr_findings_open_by(const struct wr_findings *f);
/* Is there one that does? */
bool wr_findings_keep_open(const struct wr_findings *f);
/* How many of this severity there were, those not kept included. */
size_t wr_findings_count(const struct wr_findings *f, enum wr_severity severity);
void wr_findings_release(struct wr_findings *f);
