/* The one door to jansson. Setters record the first thing that went wrong and go on; wr_json_finish reports it, so a
 * key can neither be lost nor hold a number that is not one. Objects belong to their parent. Private to present/. */
#pragma once

#include <jansson.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/base/str.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"
#include "wetrun/sim/forecast.h"

struct wr_json { /* start with wr_json_begin, end with wr_json_finish */
    json_t *root;
    enum wr_status status;
    struct wr_error err;
};

/* The top object with what every command says: command, version, seed, campaign, what is forecast, inputs … */
void wr_json_begin(struct wr_json *j, const struct wr_present_context *ctx);
void wr_json_begin_bare(struct wr_json *j); /* without all that: data for a script of ours */
/* Appends the text and a line end to *out and lets everything go; on failure *out is as it was. */
WR_MUST_CHECK enum wr_status wr_json_finish(struct wr_json *j, struct wr_str *out, struct wr_error *err);
/* The same without blanks and line ends, as the text of a script element: plain ASCII, nothing in it that ends the
 * element. */
WR_MUST_CHECK enum wr_status wr_json_finish_for_script(struct wr_json *j, struct wr_str *out, struct wr_error *err);

/* at: an object; a repeated key is a bug. Text is made valid UTF-8; NULL gives null. */
void wr_json_text(struct wr_json *j, json_t *at, const char *key, const char *text);
void wr_json_number(struct wr_json *j, json_t *at, const char *key, double number); /* must be finite */
void wr_json_maybe(struct wr_json *j, json_t *at, const char *key, struct wr_maybe number);
void wr_json_count(struct wr_json *j, json_t *at, const char *key, size_t count);
void wr_json_bool(struct wr_json *j, json_t *at, const char *key, bool value);
void wr_json_null(struct wr_json *j, json_t *at, const char *key);
void wr_json_pair(struct wr_json *j, json_t *at, const char *key, double lo, double hi); /* [lo, hi] */
void wr_json_pair_if(struct wr_json *j, json_t *at, const char *key, bool known, double lo, double hi); /* else null */
void wr_json_interval(struct wr_json *j, json_t *at, const char *key, const struct wr_probability *p); /* null: none */
json_t *wr_json_object(struct wr_json *j, json_t *at, const char *key);
json_t *wr_json_object_if(struct wr_json *j, json_t *at, const char *key, bool there); /* else null, and NULL */
json_t *wr_json_array(struct wr_json *j, json_t *at, const char *key);
void wr_json_take(struct wr_json *j, json_t *at, const char *key, json_t *value); /* value becomes the object's */
json_t *wr_json_row(struct wr_json *j, json_t *array); /* a new object at the end of the array */
json_t *wr_json_push_array(struct wr_json *j, json_t *array); /* a new array at its end */
void wr_json_push_text(struct wr_json *j, json_t *array, const char *text);
void wr_json_push_count(struct wr_json *j, json_t *array, size_t count);
void wr_json_push_number(struct wr_json *j, json_t *array, double number);

/* key: an array with one object per row of the grid, its keys the machine columns. Returns the array, so that a
 * presenter may add what is nested to its rows. */
json_t *wr_json_grid(struct wr_json *j, json_t *at, const char *key, const struct wr_grid *grid);
void wr_json_take_grid(struct wr_json *j, json_t *at, const char *key, struct wr_grid *grid); /* and releases it */
