/* The note that stands in a folder while the files of a set change hands. Whoever is killed there, or loses power,
 * leaves it behind: then the folder itself says that its files may be of two sets. Nothing here allocates. */
#pragma once

#include <limits.h>
#include <stdbool.h>

struct unfinished {
    char path[PATH_MAX]; /* "": none was raised */
    bool was_there;      /* left by another, for files that still lie there */
};

bool unfinished_raise(struct unfinished *u, const char *folder); /* false with errno, and no note is left */
bool unfinished_lower(const struct unfinished *u); /* false with errno: it stays */
