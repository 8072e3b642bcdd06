#include "staged_file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "quiet_write.h"

enum { MOST_TRIES = 1000 };

bool staged_aim(struct staged_file *f, const char *path, const char *bytes, size_t n)
{
    struct stat link;

    f->bytes = bytes;
    f->n = n;
    f->fd = -1;
    f->at = STAGED_NOWHERE;
    f->had_old = stat(path, &f->old) == 0;
    if (!f->had_old) {
        bool to_nowhere = errno == ENOENT && lstat(path, &link) == 0; /* which is no place for a file */
        if (to_nowhere) errno = ELOOP;
        if (to_nowhere || errno != ENOENT) return false;
        errno = ENAMETOOLONG;
        return snprintf(f->target, sizeof f->target, "%s", path) < (int)sizeof f->target;
    }
    errno = S_ISDIR(f->old.st_mode) ? EISDIR : EINVAL;
    if (!S_ISREG(f->old.st_mode)) return false;
    return access(path, W_OK) == 0 && realpath(path, f->target); /* a rename would not mind what may not be written */
}

/* ---- writing ---- */

static size_t folder_length(const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash ? (size_t)(slash + 1 - path) : 0;
}

int staged_open(const char *path, int flags)
{
    int fd;

    do fd = open(path, flags, 0666);
    while (fd < 0 && errno == EINTR);
    return fd;
}

bool staged_same_folder(const struct staged_file *a, const struct staged_file *b)
{
    size_t n = folder_length(a->target);

    return n == folder_length(b->target) && memcmp(a->target, b->target, n) == 0;
}

/* A file without a name, of which nothing is left however we end. -1: the file system has none. */
static int open_unnamed(const struct staged_file *f)
{
#ifdef O_TMPFILE
    char folder[PATH_MAX] = ".";
    size_t n = folder_length(f->target);

    if (n) memcpy(folder, f->target, n);
    if (n) folder[n] = '\0';
    return staged_open(folder, O_TMPFILE | O_WRONLY | O_CLOEXEC);
#else
    (void)f;
    return -1;
#endif
}

static bool set_aside(struct staged_file *f, int try)
{
    size_t n = folder_length(f->target);
    /* a name near the longest that is allowed still leaves room for ours */
    int length = snprintf(f->aside, sizeof f->aside, "%.*s.%.200s.%ld-%d.part", (int)n, f->target, f->target + n,
                          (long)getpid(), try);

    errno = ENAMETOOLONG;
    return length < (int)sizeof f->aside;
}

static int open_aside(struct staged_file *f)
{
    for (int try = 0; try < MOST_TRIES; try++) {
        if (!set_aside(f, try)) return -1;
        int fd = staged_open(f->aside, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC);
        if (fd >= 0 || errno != EEXIST) return fd;
    }
    return -1;
}

bool staged_write_all(int fd, const char *bytes, size_t n)
{
    struct quiet_write quiet;
    bool fine = true;

    quiet_write_begin(&quiet);
    while (n > 0 && fine) {
        ssize_t wrote = write(fd, bytes, n);
        fine = wrote >= 0 || errno == EINTR;
        if (wrote <= 0) continue;
        bytes += wrote;
        n -= (size_t)wrote;
    }
    quiet_write_end(&quiet);
    return fine;
}

bool staged_flush(int fd)
{
    int trouble;

    do trouble = fsync(fd);
    while (trouble < 0 && errno == EINTR);
    return trouble == 0;
}

static bool fill(const struct staged_file *f)
{
    if (!staged_write_all(f->fd, f->bytes, f->n)) return false;
    if (f->had_old && fchown(f->fd, f->old.st_uid, f->old.st_gid) != 0) {
        /* only root may give files away, and only root has to */
    }
    return (!f->had_old || fchmod(f->fd, f->old.st_mode & 07777) == 0) && staged_flush(f->fd);
}

static bool close_file(struct staged_file *f)
{
    int fd = f->fd;

    f->fd = -1;
    return fd < 0 || close(fd) == 0 || errno == EINTR; /* interrupted: closed all the same, and what it holds is
                                                          flushed */
}

static bool write_named(struct staged_file *f)
{
    f->fd = open_aside(f);
    if (f->fd < 0) return false;
    f->at = STAGED_ASIDE;
    return fill(f) && close_file(f);
}

bool staged_write(struct staged_file *f)
{
    if (!f->bytes) return true;
    f->fd = open_unnamed(f);
    if (f->fd < 0) return write_named(f);
    f->at = STAGED_UNNAMED;
    return fill(f);
}

/* ---- putting in place ---- */

static bool link_aside(struct staged_file *f)
{
    char by_number[64];

    snprintf(by_number, sizeof by_number, "/proc/self/fd/%d", f->fd);
    for (int try = 0; try < MOST_TRIES; try++) {
        if (!set_aside(f, try)) return false;
        if (linkat(AT_FDCWD, by_number, AT_FDCWD, f->aside, AT_SYMLINK_FOLLOW) == 0) return true;
        if (errno != EEXIST) return false;
    }
    return false;
}

bool staged_name(struct staged_file *f)
{
    if (f->at != STAGED_UNNAMED) return true;
    if (link_aside(f)) {
        f->at = STAGED_ASIDE;
        return close_file(f);
    }
    (void)close_file(f); /* without /proc, for one, it cannot be had by its number */
    f->at = STAGED_NOWHERE;
    return write_named(f);
}

static bool move(const char *from, const char *to)
{
    int trouble;

    do trouble = rename(from, to);
    while (trouble != 0 && errno == EINTR);
    return trouble == 0;
}

static bool swap(const struct staged_file *f)
{
#ifdef RENAME_EXCHANGE
    int trouble;

    do trouble = renameat2(AT_FDCWD, f->aside, AT_FDCWD, f->target, RENAME_EXCHANGE);
    while (trouble != 0 && errno == EINTR);
    return trouble == 0;
#else
    (void)f;
    return false;
#endif
}

static bool take_away(struct staged_file *f)
{
    if (!f->had_old) return true;
    if (!set_aside(f, 0) || !move(f->target, f->aside)) return false;
    f->at = STAGED_SWAPPED;
    return true;
}

/* Where the file system cannot swap two files there is no way back from a replaced one. */
bool staged_put(struct staged_file *f, bool may_come_back)
{
    if (!f->bytes) return take_away(f);
    if (f->had_old && may_come_back && swap(f)) {
        f->at = STAGED_SWAPPED;
        return true;
    }
    if (!move(f->aside, f->target)) return false;
    f->at = STAGED_IN_PLACE;
    return true;
}

bool staged_drop_replaced(const struct staged_file *f)
{
    return f->at != STAGED_SWAPPED || unlink(f->aside) == 0;
}

bool staged_undo(struct staged_file *f)
{
    int kept = errno;
    bool undone = true;

    (void)close_file(f);
    if (f->at == STAGED_SWAPPED && !f->bytes) undone = move(f->aside, f->target);
    else if (f->at == STAGED_SWAPPED && (undone = swap(f))) (void)unlink(f->aside);
    else if (f->at == STAGED_IN_PLACE && !f->had_old) (void)unlink(f->target);
    else if (f->at == STAGED_IN_PLACE) undone = false;
    else if (f->at == STAGED_ASIDE) (void)unlink(f->aside);
    f->at = STAGED_NOWHERE;
    errno = kept;
    return undone;
}

/* Is it a name as set_aside gives, of a process that is no more? */
static bool is_left_over(const char *name, const char *leaf)
{
    char before[NAME_MAX + 1], *end;
    int n = snprintf(before, sizeof before, ".%.200s.", leaf);

    if (strncmp(name, before, (size_t)n) != 0 || name[n] < '1' || name[n] > '9') return false;
    long pid = strtol(name + n, &end, 10);
    if (*end != '-' || end[1] < '0' || end[1] > '9') return false;
    (void)strtol(end + 1, &end, 10);
    return strcmp(end, ".part") == 0 && pid <= INT_MAX && kill((pid_t)pid, 0) != 0 && errno == ESRCH;
}

void staged_sweep(const struct staged_file *f)
{
    size_t n = folder_length(f->target);
    char path[PATH_MAX + NAME_MAX];
    int kept = errno;

    snprintf(path, sizeof path, "%.*s", (int)n, f->target);
    DIR *folder = opendir(n ? path : ".");
    for (const struct dirent *e; folder && (e = readdir(folder));) {
        if (!is_left_over(e->d_name, f->target + n)) continue;
        snprintf(path, sizeof path, "%.*s%s", (int)n, f->target, e->d_name);
        (void)unlink(path);
    }
    if (folder) closedir(folder);
    errno = kept;
}
