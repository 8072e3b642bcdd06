/* The test suites, listed by the Makefile. */
#pragma once
#include <check.h>
struct suite_row {
    const char *name;
    Suite *(*make)(void);
};
extern const struct suite_row suite_rows[];
extern const unsigned n_suite_row;
