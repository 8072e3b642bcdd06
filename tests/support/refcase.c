#include "refcase.h"

#include <check.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/reference/"

struct refcase {
    const char *id;
    json_t *root, *expected;
    size_t n_compared;
    double own_error; /* standard error of the value being compared */
    bool *settled; /* per expected value */
};

struct refcase *refcase_open(const char *id)
{
    struct refcase *c = calloc(1, sizeof *c);
    char path[200];
    json_error_t trouble;

    snprintf(path, sizeof path, FOLDER "cases/%s.json", id);
    c->root = json_load_file(path, 0, &trouble);
    ck_assert_msg(c->root != NULL, "%s:%d: %s (tests run at the top of the source tree)", path, trouble.line,
                  trouble.text);
    c->id = json_string_value(json_object_get(c->root, "id"));
    c->expected = json_object_get(c->root, "expected");
    ck_assert_msg(c->id && !strcmp(c->id, id), "%s holds another case", path);
    ck_assert_msg(json_string_length(json_object_get(c->root, "source")) > 0, "%s names no source", path);
    ck_assert_msg(json_array_size(c->expected) > 0, "%s expects nothing", path);
    c->settled = calloc(json_array_size(c->expected), sizeof *c->settled);
    return c;
}

void refcase_close(struct refcase *c)
{
    size_t i;
    json_t *e;

    ck_assert_msg(c->n_compared > 0, "%s: nothing compared", c->id);
    json_array_foreach(c->expected, i, e)
        ck_assert_msg(c->settled[i], "%s: %s was passed over", c->id, json_string_value(json_object_get(e, "name")));
    json_decref(c->root);
    free(c->settled);
    free(c);
}

const json_t *refcase_input(const struct refcase *c, const char *key)
{
    const json_t *v = json_object_get(json_object_get(c->root, "input"), key);
    ck_assert_msg(v != NULL, "%s: no input '%s'", c->id, key);
    return v;
}

double refcase_input_number(const struct refcase *c, const char *key)
{
    const json_t *v = refcase_input(c, key);
    ck_assert_msg(json_is_number(v), "%s: input '%s' is no number", c->id, key);
    return json_number_value(v);
}

static double number_or_0(const json_t *e, const char *key)
{
    return json_number_value(json_object_get(e, key));
}

static double tolerance_of(const json_t *e, double n_trial)
{
    double expected = number_or_0(e, "value"), t = number_or_0(e, "tol_rel") * fabs(expected);
    t = fmax(number_or_0(e, "tol_abs"), t);
    return n_trial > 0 ? t * sqrt(20000 / n_trial) + 3 * number_or_0(e, "err") : t;
}

static void compare_number(const struct refcase *c, const json_t *e, const char *name, double value, double n_trial)
{
    const json_t *want = json_object_get(e, "value");
    double tolerance = tolerance_of(e, n_trial) + 4 * c->own_error, expected = json_number_value(want);
    size_t i;
    json_t *w;

    ck_assert_msg(json_is_number(want), "%s: %s is %.17g, the case holds no number", c->id, name, value);
    ck_assert_msg(isfinite(value), "%s: %s is %g", c->id, name, value);
    ck_assert_msg(fabs(value - expected) <= tolerance, "%s: %s is %.15g, expected %.15g within %g", c->id, name, value,
                  expected, tolerance);
    json_array_foreach(json_object_get(c->root, "wrong"), i, w) {
        if (strcmp(json_string_value(json_object_get(w, "name")), name)) continue;
        double wrong = number_or_0(w, "value");
        ck_assert_msg(fabs(value - wrong) > fabs(value - expected), "%s: %s is %.15g, as by the mistake: %s", c->id,
                      name, value, json_string_value(json_object_get(w, "mistake")));
    }
}

enum kind { NUMBER, BOOLEAN, NOTHING };

/* Compares every expected value of that name; returns how many there were. */
static size_t compare_named(struct refcase *c, const char *name, enum kind kind, double value, double n_trial)
{
    size_t i, found = 0;
    json_t *e;

    json_array_foreach(c->expected, i, e) {
        const json_t *want = json_object_get(e, "value");
        if (strcmp(json_string_value(json_object_get(e, "name")), name)) continue;
        if (kind == NUMBER) compare_number(c, e, name, value, n_trial);
        else if (kind == NOTHING)
            ck_assert_msg(json_is_null(want), "%s: %s does not exist here, a value is expected", c->id, name);
        else
            ck_assert_msg(json_is_boolean(want) && json_is_true(want) == (value != 0), "%s: %s is %s", c->id, name,
                          value != 0 ? "true" : "false");
        c->settled[i] = true;
        found++;
    }
    return found;
}

static void compare(struct refcase *c, enum kind kind, double value, double n_trial, const char *format, va_list ap)
{
    char name[200] = "published.";
    size_t head = strlen(name);

    vsnprintf(name + head, sizeof name - head, format, ap);
    ck_assert_msg(compare_named(c, name + head, kind, value, n_trial) > 0, "%s: no expected value '%s'", c->id,
                  name + head);
    compare_named(c, name, kind, value, n_trial);
    c->n_compared++;
}

void refcase_is(struct refcase *c, double value, const char *name, ...)
{
    va_list ap;
    va_start(ap, name);
    compare(c, NUMBER, value, 0, name, ap);
    va_end(ap);
}

void refcase_is_bool(struct refcase *c, bool value, const char *name, ...)
{
    va_list ap;
    va_start(ap, name);
    compare(c, BOOLEAN, value, 0, name, ap);
    va_end(ap);
}

void refcase_is_null(struct refcase *c, const char *name, ...)
{
    va_list ap;
    va_start(ap, name);
    compare(c, NOTHING, 0, 0, name, ap);
    va_end(ap);
}

void refcase_is_maybe(struct refcase *c, bool known, double value, const char *name, ...)
{
    va_list ap;
    va_start(ap, name);
    compare(c, known ? NUMBER : NOTHING, value, 0, name, ap);
    va_end(ap);
}

void refcase_is_simulated(struct refcase *c, double value, double n_trial, const char *name, ...)
{
    va_list ap;
    va_start(ap, name);
    compare(c, NUMBER, value, n_trial, name, ap);
    va_end(ap);
}

void refcase_is_estimated(struct refcase *c, double value, double own_error, const char *name, ...)
{
    va_list ap;
    ck_assert(isfinite(own_error) && own_error >= 0);
    c->own_error = own_error;
    va_start(ap, name);
    compare(c, NUMBER, value, 0, name, ap);
    va_end(ap);
    c->own_error = 0;
}

bool refcase_has(const struct refcase *c, const char *name)
{
    size_t i;
    json_t *e;

    json_array_foreach(c->expected, i, e)
        if (!strcmp(json_string_value(json_object_get(e, "name")), name)) return true;
    return false;
}

void refcase_put_aside(struct refcase *c, const char *prefix, const char *reason)
{
    size_t i, found = 0;
    json_t *e;

    ck_assert(reason && *reason);
    json_array_foreach(c->expected, i, e) {
        if (c->settled[i] || strncmp(json_string_value(json_object_get(e, "name")), prefix, strlen(prefix))) continue;
        c->settled[i] = true;
        found++;
    }
    ck_assert_msg(found > 0, "%s: nothing to put aside under '%s'", c->id, prefix);
}

static char *whole_file(const char *path)
{
    FILE *f = fopen(path, "rb");
    ck_assert_msg(f != NULL, "cannot open %s", path);
    ck_assert(fseek(f, 0, SEEK_END) == 0);
    long size = ftell(f);
    ck_assert(size >= 0 && fseek(f, 0, SEEK_SET) == 0);
    char *text = malloc((size_t)size + 1);
    ck_assert(fread(text, 1, (size_t)size, f) == (size_t)size);
    text[size] = '\0';
    fclose(f);
    return text;
}

/* Cuts text at the separator, returns the next piece. */
static char *cut(char **text, char at)
{
    char *piece = *text, *end = strchr(piece, at);
    if (end) *end++ = '\0';
    *text = end;
    return piece;
}

struct reftable *refcase_table(const struct refcase *c, const char *key)
{
    struct reftable *t = calloc(1, sizeof *t);
    char path[200], *rest;
    size_t n_line = 0, row = 0;

    snprintf(path, sizeof path, FOLDER "%s", json_string_value(refcase_input(c, key)));
    t->text = whole_file(path);
    ck_assert_msg(!strchr(t->text, '"'), "%s: quotes are not read here", path);
    t->n_column = 1;
    for (const char *p = t->text; *p && *p != '\n'; p++) t->n_column += *p == ',';
    for (const char *p = t->text; *p; p++) n_line += *p == '\n';
    t->cell = calloc((n_line + 1) * t->n_column, sizeof *t->cell);
    rest = t->text;
    while (rest && *rest) {
        char *line = cut(&rest, '\n');
        line[strcspn(line, "\r")] = '\0';
        for (size_t k = 0; k < t->n_column; k++) {
            ck_assert_msg(line != NULL, "%s: line %zu is short", path, row + 1);
            t->cell[row * t->n_column + k] = cut(&line, ',');
        }
        ck_assert_msg(line == NULL, "%s: line %zu is long", path, row + 1);
        row++;
    }
    ck_assert_msg(row > 1, "%s: no rows", path);
    t->n_row = row - 1;
    return t;
}

void reftable_free(struct reftable *t)
{
    free(t->cell);
    free(t->text);
    free(t);
}

const char *reftable_text(const struct reftable *t, size_t row, const char *column)
{
    ck_assert(row < t->n_row);
    for (size_t k = 0; k < t->n_column; k++)
        if (!strcmp(t->cell[k], column)) return t->cell[(row + 1) * t->n_column + k];
    ck_abort_msg("no column '%s'", column);
    return NULL;
}

double reftable_number(const struct reftable *t, size_t row, const char *column)
{
    const char *text = reftable_text(t, row, column);
    char *end;
    double v = strtod(text, &end);
    ck_assert_msg(end != text && !*end, "'%s' in column '%s' is no number", text, column);
    return v;
}

double *reftable_numbers(const struct reftable *t, const char *column)
{
    double *v = calloc(t->n_row, sizeof *v);
    for (size_t i = 0; i < t->n_row; i++) v[i] = reftable_number(t, i, column);
    return v;
}

size_t reftable_levels(const struct reftable *t, const char *column, size_t *level)
{
    size_t n_level = 0;

    for (size_t i = 0; i < t->n_row; i++) {
        const char *text = reftable_text(t, i, column);
        size_t j = 0;
        while (j < i && strcmp(reftable_text(t, j, column), text)) j++;
        level[i] = j < i ? level[j] : n_level++;
    }
    return n_level;
}
