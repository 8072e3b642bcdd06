/* Reference cases: tests/reference/cases/ID.json (expected values with their tolerance and source) and the data beside
 * them. A test opens a case, compares its values by name and closes it; closing fails the test if an expected name was
 * neither compared nor put aside with a reason. Must run at the top of the source tree.
 *
 *     struct refcase *c = refcase_open("S-PCT-01");
 *     struct reftable *t = refcase_table(c, "file");
 *     refcase_is(c, wr_quantile(…), "type7.p%g", prob);
 *     refcase_put_aside(c, "type6.", "not offered");
 *     reftable_free(t);
 *     refcase_close(c);
 *
 * A value passes if it is within max(tol_abs, tol_rel |expected|) of the expected one, and outside that distance of
 * every value listed under "wrong" for the name (what a known mistake would give). Where the case also has
 * "published.NAME", the value as printed in the source, comparing NAME compares that too. */
#pragma once

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

struct refcase;
struct refcase *refcase_open(const char *id);
void refcase_close(struct refcase *c);

const json_t *refcase_input(const struct refcase *c, const char *key);     /* fails if absent */
double refcase_input_number(const struct refcase *c, const char *key);

__attribute__((format(printf, 3, 4))) void refcase_is(struct refcase *c, double value, const char *name, ...);
__attribute__((format(printf, 3, 4))) void refcase_is_bool(struct refcase *c, bool value, const char *name, ...);
/* The quantity does not exist and the program says so: the case must hold null. */
__attribute__((format(printf, 2, 3))) void refcase_is_null(struct refcase *c, const char *name, ...);
/* known ? refcase_is : refcase_is_null */
__attribute__((format(printf, 4, 5))) void refcase_is_maybe(struct refcase *c, bool known, double value,
                                                            const char *name, ...);
/* The case's tolerance is meant for 20 000 trials (4 standard errors): scaled to n_trial, and 3 times the error of the
 * stored value added. */
__attribute__((format(printf, 4, 5))) void refcase_is_simulated(struct refcase *c, double value, double n_trial,
                                                                const char *name, ...);
/* A value with a standard error of its own, as the program states it: 4 of them are added to the case's tolerance. */
__attribute__((format(printf, 4, 5))) void refcase_is_estimated(struct refcase *c, double value, double own_error,
                                                                const char *name, ...);
bool refcase_has(const struct refcase *c, const char *name);

/* Not compared: every expected name that begins with prefix and has not been compared. Fails if there is none. The
 * reason is for the reader of the test. */
void refcase_put_aside(struct refcase *c, const char *prefix, const char *reason);

/* A data file of the case: header and rows of plain fields, without quotes. */
struct reftable {
    size_t n_row, n_column;
    char **cell; /* [(row + 1) * n_column + column]; row -1 is the header */
    char *text;
};
struct reftable *refcase_table(const struct refcase *c, const char *key); /* key of the file's name in "input" */
void reftable_free(struct reftable *t);
const char *reftable_text(const struct reftable *t, size_t row, const char *column);
double reftable_number(const struct reftable *t, size_t row, const char *column);
double *reftable_numbers(const struct reftable *t, const char *column); /* [n_row]; free() */
/* Text of a column as indices in order of first appearance: fills level[n_row], returns how many there are. */
size_t reftable_levels(const struct reftable *t, const char *column, size_t *level);
