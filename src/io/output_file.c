#include "wetrun/io/output_file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "quiet_pipe.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"

enum { MOST_TRIES = 1000 };

static bool write_all(int fd, const char *bytes, size_t n)
{
    while (n > 0) {
        ssize_t wrote = write(fd, bytes, n);
        if (wrote < 0 && errno == EINTR) continue;
        if (wrote < 0) return false;
        bytes += wrote;
        n -= (size_t)wrote;
    }
    return true;
}

static enum wr_status fail(const char *path, const char *what, struct wr_error *err)
{
    return wr_fail(err, WR_E_OUTPUT, "%s: %s: %s", path, what, strerror(errno));
}

static enum wr_status write_standard_output(const char *bytes, size_t n, struct wr_error *err)
{
    struct quiet_pipe quiet;

    quiet_pipe_begin(&quiet);
    bool fine = fwrite(bytes, 1, n, stdout) == n && fflush(stdout) == 0; /* behind what others have printed there */
    quiet_pipe_end(&quiet);
    return fine ? WR_OK : fail("standard output", "cannot be written", err);
}

/* A device or a pipe is written to, not replaced. */
static enum wr_status write_in_place(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    struct quiet_pipe quiet;
    int fd = open(path, O_WRONLY | O_CLOEXEC);

    if (fd < 0) return fail(path, "cannot be opened for writing", err);
    quiet_pipe_begin(&quiet);
    bool fine = write_all(fd, bytes, n);
    quiet_pipe_end(&quiet);
    int trouble = errno;
    if (close(fd) != 0 && fine) return fail(path, "cannot be written", err);
    errno = trouble;
    return fine ? WR_OK : fail(path, "cannot be written", err);
}

/* A new file beside the target, so that the rename stays within one file system. Its name goes to *aside. */
static int open_aside(const char *path, struct wr_str *aside)
{
    const char *slash = strrchr(path, '/');
    size_t n_folder = slash ? (size_t)(slash + 1 - path) : 0;

    for (int try = 0; try < MOST_TRIES; try++) {
        wr_str_clear(aside);
        wr_str_add_bytes(aside, path, n_folder);
        /* a name near the longest that is allowed still leaves room for ours */
        wr_str_addf(aside, ".%.200s.%ld-%d.part", path + n_folder, (long)getpid(), try);
        int fd = open(aside->text, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
        if (fd >= 0 || errno != EEXIST) return fd;
    }
    return -1;
}

/* The rename itself is kept over a power cut where the file system can do so; that it cannot is no failure. */
static void sync_folder(const char *path)
{
    const char *slash = strrchr(path, '/');
    struct wr_str folder = {0};

    wr_str_add_bytes(&folder, slash ? path : ".", slash ? (size_t)(slash + 1 - path) : 1);
    int fd = open(folder.text, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd >= 0) {
        (void)fsync(fd);
        close(fd);
    }
    wr_str_release(&folder);
}

/* old: the file that is there, or NULL. */
static enum wr_status replace(const char *path, const struct stat *old, const char *bytes, size_t n,
                              struct wr_error *err)
{
    struct wr_str aside = {0};
    enum wr_status status = WR_OK;
    int fd = open_aside(path, &aside);

    if (fd < 0) {
        status = fail(path, "cannot be written", err);
        wr_str_release(&aside);
        return status;
    }
    bool fine = write_all(fd, bytes, n) && (!old || fchmod(fd, old->st_mode & 07777) == 0) && fsync(fd) == 0;
    int trouble = errno;
    fine = close(fd) == 0 && fine;
    if (!fine && trouble) errno = trouble;
    if (!fine) status = fail(path, "cannot be written", err);
    else if (rename(aside.text, path) != 0) status = fail(path, "cannot be put in place", err);
    if (status == WR_OK) sync_folder(path);
    else (void)unlink(aside.text);
    wr_str_release(&aside);
    return status;
}

enum wr_status wr_output_write(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    struct stat old;
    char behind_links[PATH_MAX];

    if (strcmp(path, "-") == 0) return write_standard_output(bytes, n, err);
    if (stat(path, &old) != 0) return replace(path, NULL, bytes, n, err);
    if (S_ISDIR(old.st_mode)) {
        errno = EISDIR;
        return fail(path, "cannot be written", err);
    }
    if (!S_ISREG(old.st_mode)) return write_in_place(path, bytes, n, err);
    if (access(path, W_OK) != 0) return fail(path, "cannot be written", err); /* a rename would not mind */
    if (!realpath(path, behind_links)) return fail(path, "cannot be written", err);
    return replace(behind_links, &old, bytes, n, err);
}

enum wr_status wr_output_make_folder(const char *path, struct wr_error *err)
{
    struct stat there;

    if (mkdir(path, 0777) == 0) return WR_OK;
    int trouble = errno;
    if (trouble == EEXIST && stat(path, &there) == 0 && S_ISDIR(there.st_mode)) return WR_OK;
    errno = trouble == EEXIST ? ENOTDIR : trouble;
    return fail(path, "the folder cannot be made", err);
}
