/* A helper program (gnuplot) fed through a pipe: argument vector, no shell. */
#ifndef WETRUN_IO_CHILD_H
#define WETRUN_IO_CHILD_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"

/* Runs argv[0] (looked up in PATH), feeds it n_input bytes, adds its standard output to *output, waits. Feeding and
 * draining go on together, so neither side can block the other for good. A program that stops reading early does not
 * kill us (SIGPIPE), and is no failure if its exit status is 0.
 *   WR_E_NO_PROGRAM  not found or not executable
 *   WR_E_CHILD       exit status not 0, or killed by a signal: the message has the beginning of its standard error
 * On failure *output may hold a part. */
WR_MUST_CHECK enum wr_status wr_child_run(char *const argv[], const char *input, size_t n_input, struct wr_str *output,
                                          struct wr_error *err);
#endif
