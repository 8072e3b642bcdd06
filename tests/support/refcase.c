#include "refcase.h"

#include <check.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

json_t *refcase_load(const char *id)
{
    char path[256];
    json_error_t why;

    snprintf(path, sizeof path, "tests/reference/cases/%s.json", id);
    json_t *c = json_load_file(path, 0, &why);
    ck_assert_msg(c != NULL, "%s: %s", path, why.text);
    ck_assert_str_eq(json_string_value(json_object_get(c, "id")), id);
    ck_assert_msg(json_is_string(json_object_get(c, "source")), "%s names no source", path);
    return c;
}

static const json_t *expected(const json_t *c, const char *name)
{
    size_t i;
    const json_t *e;

    json_array_foreach(json_object_get(c, "expected"), i, e)
        if (strcmp(json_string_value(json_object_get(e, "name")), name) == 0) return e;
    ck_abort_msg("%s has no value named %s", json_string_value(json_object_get(c, "id")), name);
    return NULL;
}

double refcase_value(const json_t *c, const char *name)
{
    const json_t *v = json_object_get(expected(c, name), "value");

    ck_assert_msg(json_is_number(v), "%s is not a number", name);
    return json_number_value(v);
}

double refcase_tolerance(const json_t *c, const char *name)
{
    const json_t *e = expected(c, name);

    return fmax(json_number_value(json_object_get(e, "tol_abs")),
                json_number_value(json_object_get(e, "tol_rel")) * fabs(refcase_value(c, name)));
}

void refcase_check(const json_t *c, const char *name, double got)
{
    double want = refcase_value(c, name), tolerance = refcase_tolerance(c, name);

    ck_assert_msg(fabs(got - want) <= tolerance, "%s %s: got %.10g, expected %.10g ± %.3g",
                  json_string_value(json_object_get(c, "id")), name, got, want, tolerance);
}
