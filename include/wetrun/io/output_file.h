/* Whole or nothing: written aside, flushed, checked, put in place. "-" is standard output. What ends a program from
 * outside (but not SIGKILL) waits for the moment that this takes. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"

/* WR_E_OUTPUT with the path, the system's reason and what to do; then the target is as it was before. */
WR_MUST_CHECK enum wr_status wr_output_write(const char *path, const char *bytes, size_t n, struct wr_error *err);

struct wr_output_file {
    const char *name;  /* within the folder, "charts/a.png"; a path where there is no folder */
    const char *bytes; /* NULL: there shall be no such file */
    size_t n;
};
/* All of them or none, in this order, into a folder that is made if it is not there; on failure it is as it was before.
 * Two programs that write into one folder wait for each other. folder NULL: wherever their paths are; standard output,
 * pipes and devices may be among them, and are written to before any file is put in place. Where the file system cannot
 * swap two files (renameat2) a failure between two renames leaves those before it new. That, SIGKILL and a power cut
 * leave UNFINISHED.txt in the folder, which says so; the next set there takes it away, and what was left aside. */
WR_MUST_CHECK enum wr_status wr_output_write_set(const char *folder, const struct wr_output_file *file, size_t n,
                                                 struct wr_error *err);
