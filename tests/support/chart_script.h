/* The script of a chart read back, and the campaigns that charts are tested on. */
#pragma once

#include <check.h>
#include <stddef.h>
#include "chart_case.h"

/* As ck_assert_msg, but quiet while all is well: that one writes to a file at every call, too slow for inner loops. */
#define REQUIRE(cond, ...)                     \
    do {                                       \
        if (!(cond)) ck_abort_msg(__VA_ARGS__); \
    } while (0)

extern const struct chart_case_options chart_usual, chart_hostile;

struct line {
    const char *at;
    size_t n;
};

/* Walks the part of a script that the program writes; row is called for every line inside a data block. Anything that
 * is not a number, a data block or one of our own script files fails the test: no text became a command. */
void chart_script_walk(const char *script, void (*row)(void *arg, const char *block, struct line line), void *arg);
