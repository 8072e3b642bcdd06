/* One file on its way to its place: written where nobody sees it, then given a name beside its target, then put in
 * place, which can be taken back until it is settled. Nothing here allocates: files are held open meanwhile. */
#pragma once

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>
#include <sys/stat.h>

struct staged_file {
    char target[PATH_MAX]; /* behind links */
    char aside[PATH_MAX];  /* the name beside it, once it has one; after the swap it is the old file's */
    const char *bytes;     /* NULL: there shall be no such file */
    size_t n;
    bool had_old;
    struct stat old;
    int fd; /* -1: closed */
    enum { STAGED_NOWHERE, STAGED_UNNAMED, STAGED_ASIDE, STAGED_IN_PLACE, STAGED_SWAPPED } at;
};

/* Each: false with errno. What was reached is in .at, and staged_undo takes it back. */
bool staged_aim(struct staged_file *f, const char *path, const char *bytes, size_t n); /* looks, and touches nothing */
bool staged_write(struct staged_file *f);
bool staged_name(struct staged_file *f);
bool staged_put(struct staged_file *f, bool may_come_back);

int staged_open(const char *path, int flags); /* whoever interrupts it; -1 with errno */
bool staged_write_all(int fd, const char *bytes, size_t n);
bool staged_flush(int fd);
bool staged_same_folder(const struct staged_file *a, const struct staged_file *b);
bool staged_drop_replaced(const struct staged_file *f); /* what was replaced goes; false with errno: it stays */
bool staged_undo(struct staged_file *f); /* false: the target is the new file, and the old one is gone */
void staged_sweep(const struct staged_file *f); /* what others who were killed left beside the target goes */
