/* What every number that is shown means, in one place: the page puts it one step away from each table and prints it
 * once as a glossary; a test walks the columns of all tables and finds none without its meaning. A meaning belongs to
 * the key of a column (present/grid.h), which is its name in CSV and JSON too; where one key means two things, to the
 * table's id and the key. */
#pragma once

#include <stddef.h>
#include "wetrun/base/str.h"

struct wr_quantity {
    const char *table;  /* id of the table on the page that it is about; NULL: any other */
    const char *key;
    const char *name;   /* as a glossary has it */
    const char *means;  /* a sentence or two, plain text, but for WR_WHAT_LEAVES: see wr_quantity_means */
};

extern const struct wr_quantity wr_quantities[];
extern const size_t wr_n_quantity;

/* In a meaning: who leaves open what an interval spans, which is not the same of every answer. */
#define WR_WHAT_LEAVES "{what leaves}"
/* What it means where this leaves open what its interval spans: "the rehearsals leave" (present/words.h). */
void wr_quantity_means(const struct wr_quantity *q, const char *what_leaves, struct wr_str *out);
/* NULL: what the column's head says is all there is to it (a name, a date, a run). table may be NULL. */
const struct wr_quantity *wr_quantity_find(const char *table, const char *key);
