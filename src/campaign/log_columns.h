/* Which column of a step log holds what. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"
#include "wetrun/campaign/aliases.h"
#include "wetrun/campaign/findings.h"
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/written.h"
#include "wetrun/io/csv_reader.h"

enum log_role {
    ROLE_RUN,
    ROLE_TASK,
    ROLE_START,
    ROLE_END,
    ROLE_MINUTES,
    ROLE_STEP,
    ROLE_CREW,
    ROLE_PERFORMER,
    ROLE_DATE,
    ROLE_HOLD,
    ROLE_OUTCOME,
    N_ROLE
};
/* A column of that name, folded (near_name.h), may be an outcome, minutes of holds, or of the work, and must not be
 * passed over. */
bool log_names_outcome(const char *folded);
bool log_names_hold(const char *folded);
bool log_names_minutes(const char *folded);
bool log_names_step(const char *folded);
/* A word of the name as it stands may speak of a hold: "dead time", "Diver"; *surely: it says so, "diver hold". */
bool log_speaks_of_hold(const char *name, bool *surely);
const char *log_role_name(enum log_role role);

/* The role of that name, whatever its case. */
bool log_find_role(const char *name, enum log_role *role);

/* What --columns says, and names.csv. */
struct log_mapping {
    const char *column[N_ROLE]; /* by --columns; NULL: nothing; "-": no column holds it */
    bool found[N_ROLE];         /* in some file */
    bool crew_needed;           /* no plan says who does what */
    const struct wr_aliases *aliases; /* borrowed; those of kind column count where column is NULL */
    bool *hit;                  /* [aliases->n_alias] some file has that column, and it was read so */
};
/* text may be NULL. WR_E_USAGE if it is malformed. */
WR_MUST_CHECK enum wr_status log_mapping_parse(struct log_mapping *mapping, const char *text,
                                               const struct wr_aliases *aliases, struct wr_arena *arena,
                                               struct wr_error *err);
/* WR_E_INPUT if a column that was asked for is in no file. */
WR_MUST_CHECK enum wr_status log_mapping_check(const struct log_mapping *mapping, struct wr_error *err);
/* Says of which columns that names.csv names no file was read so. */
void log_mapping_doubt(const struct log_mapping *mapping, struct wr_findings *findings);

struct log_columns { /* start as {0} */
    size_t n_field;
    bool has[N_ROLE];
    size_t at[N_ROLE];    /* field number; of a missing column n_field, where a record has its empty one */
    uint32_t *attribute;  /* [n_field] index of a further column's name, or WR_NO_NAME */
    size_t n_attribute;   /* of them */
    size_t n_role;
    enum log_role role[N_ROLE]; /* [n_role] those that have a column */
    /* the row at hand */
    const struct wr_csv_field *cell[N_ROLE]; /* an empty one where there is none */
    const struct wr_csv_field *field; /* [n_in_row] of its record: where the next row has them there too, cells stay */
    size_t n_in_row;
    bool has_word;        /* a word stands in one of them for nothing, or for the cell above: it counts as empty */
};
/* Makes it the row at hand. Borrows the record. */
void log_columns_take(struct log_columns *columns, const struct wr_csv_record *record);

/* A cell of a record, the empty one where the row or the header has no such column. */
static inline const struct wr_csv_field *log_cell_as_it_is(const struct log_columns *columns,
                                                           const struct wr_csv_record *record, enum log_role role)
{
    size_t at = columns->at[role];

    return &record->field[at < record->n_field ? at : record->n_field];
}

/* All names by which a header may be told: the roles', those of the mapping, and what such columns are often called.
 * Returns how many. */
enum { MOST_COLUMN_NAMES = 10 * N_ROLE };
size_t log_column_names(const struct log_mapping *mapping, const char *name[MOST_COLUMN_NAMES]);
/* Reads a header. Names of further columns go to attributes. WR_E_INPUT as wr_run_log_read says. */
WR_MUST_CHECK enum wr_status log_columns_read(struct log_columns *columns, const struct wr_csv_record *header,
                                              const char *file, struct log_mapping *mapping,
                                              struct wr_names *attributes, struct wr_arena *arena,
                                              struct wr_read_as *read_as, struct wr_findings *findings,
                                              struct wr_error *err);
/* "crew=Diver": the column that may say who does what, where none is read so; nothing if none is like it. */
void log_columns_offer_crew(const struct log_columns *columns, const struct wr_csv_record *header, struct wr_str *out);
void log_columns_release(struct log_columns *columns);
