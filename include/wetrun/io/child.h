/* A helper program (gnuplot) fed through a pipe: argument vector, no shell. */
#ifndef WETRUN_IO_CHILD_H
#define WETRUN_IO_CHILD_H

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/str.h"

/* Runs argv[0] (looked up in PATH), feeds it n_input bytes, collects its standard output in *output (and up to 4 KiB
 * of standard error for the message), waits. A reader that dies early does not kill us (SIGPIPE).
 *   WR_E_NO_PROGRAM  not found or not executable
 *   WR_E_CHILD       exit status not 0, killed by a signal, or wrote to standard error and exited 0 only if strict */
WR_MUST_CHECK enum wr_status wr_child_run(char *const argv[], const char *input, size_t n_input, struct wr_str *output,
                                          struct wr_error *err);
#endif
