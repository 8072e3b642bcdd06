/* names.csv: names that mean the same. `kind,from,to`: where a file says `from`, `to` is meant. Kinds: run, task, lane,
 * person, outcome, column (of the step log), work (the plan's column `kind`). */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/findings.h"

enum wr_name_kind {
    WR_NAME_RUN,
    WR_NAME_TASK,
    WR_NAME_LANE,
    WR_NAME_PERSON,
    WR_NAME_OUTCOME,
    WR_NAME_COLUMN,
    WR_NAME_WORK,
    WR_N_NAME_KIND
};

struct wr_alias {
    enum wr_name_kind kind;
    const char *from, *to;
    size_t line, column; /* of from */
};
struct wr_aliases { /* start as {0} */
    struct wr_alias *alias;
    size_t n_alias, room;
    const char *file; /* its name */
    struct wr_arena text;
};
/* WR_E_INPUT, with findings, for an unknown kind, an empty name, a name given two meanings, or a meaning that is itself
 * given another. Names are compared without case and blanks. */
WR_MUST_CHECK enum wr_status wr_aliases_read_bytes(struct wr_aliases *aliases, const char *name, const char *bytes,
                                                   size_t n, struct wr_findings *findings, struct wr_error *err);
/* What is meant by a text, or the text itself. aliases may be NULL. */
const char *wr_alias_of(const struct wr_aliases *aliases, enum wr_name_kind kind, const char *text);
/* Has the file a row for this very name? A name that it translates into itself is no slip. */
bool wr_alias_is_given(const struct wr_aliases *aliases, enum wr_name_kind kind, const char *text);
/* Adds the row that would say it, to be pasted: task,"Fit cover, port",Fit cover. Texts of more than some hundred bytes
 * are not for a message: FROM and TO stand for them. */
void wr_alias_add_row(struct wr_str *out, enum wr_name_kind kind, const char *from, const char *to);
void wr_aliases_release(struct wr_aliases *aliases);
