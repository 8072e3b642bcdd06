/* What is in a folder: the names, in the order of their bytes, without those that begin with a dot. */
#pragma once

#include <stddef.h>
#include "wetrun/base/error.h"
#include "wetrun/base/memory.h"

struct wr_folder { /* start as {0}; release with wr_folder_release */
    const char **name;
    size_t n, room;
    struct wr_arena text;
};

/* A folder that is not there has no names, nor has a file. WR_E_INPUT: it is there and cannot be read. */
WR_MUST_CHECK enum wr_status wr_folder_read(struct wr_folder *folder, const char *path, struct wr_error *err);
void wr_folder_release(struct wr_folder *folder);
