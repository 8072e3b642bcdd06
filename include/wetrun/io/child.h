/* A helper program (gnuplot) fed through a pipe: argument vector, no shell. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"

/* What it may take: then it is ended, with all that it has started; and what it is not told. */
struct wr_child_bounds {
    unsigned seconds;
    size_t most_output; /* bytes */
    const char *without; /* "NAME=": this variable is not in its environment; NULL: all are */
};

/* Runs argv[0] (looked up in PATH), feeds it n_input bytes, adds its standard output to *output, waits. Feeding and
 * draining go on together, so neither side can block the other for good. A program that stops reading early does not
 * kill us (SIGPIPE), and is no failure if its exit status is 0. Nothing that it starts outlives the call, and on Linux
 * the program does not outlive us, however we end.
 *   WR_E_NO_PROGRAM  not found or not executable
 *   WR_E_CHILD_HUNG  not done in time: it, or something that it started and that holds its output
 *   WR_E_CHILD       exit status not 0, killed by a signal, or too much output: the message has the beginning of its
 *                    standard error
 * On failure *output may hold a part. */
WR_MUST_CHECK enum wr_status wr_child_run(char *const argv[], const char *input, size_t n_input,
                                          const struct wr_child_bounds *bounds, struct wr_str *output,
                                          struct wr_error *err);
