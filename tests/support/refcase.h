/* A published or independently computed case: tests/reference/cases/ID.json with its data in tests/reference/data/. */
#ifndef REFCASE_H
#define REFCASE_H
#include <jansson.h>

json_t *refcase_load(const char *id);                            /* ends the test if it cannot be read */
double refcase_value(const json_t *c, const char *name);         /* the expected value of that name */
double refcase_tolerance(const json_t *c, const char *name);     /* max(tol_abs, tol_rel·|value|) */
/* The test fails unless got is within the case's own tolerance of its value. */
void refcase_check(const json_t *c, const char *name, double got);
#endif
