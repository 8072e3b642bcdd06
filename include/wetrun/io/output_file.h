/* Whole or nothing: writes beside the target, flushes, checks, renames. "-" is standard output. */
#ifndef WETRUN_IO_OUTPUT_FILE_H
#define WETRUN_IO_OUTPUT_FILE_H

#include <stddef.h>
#include "wetrun/base/error.h"

/* WR_E_OUTPUT with the path and the system's reason; then the target is as it was before. */
WR_MUST_CHECK enum wr_status wr_output_write(const char *path, const char *bytes, size_t n, struct wr_error *err);
WR_MUST_CHECK enum wr_status wr_output_make_folder(const char *path, struct wr_error *err); /* exists already: fine */

#endif
