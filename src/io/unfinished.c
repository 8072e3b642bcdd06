#include "unfinished.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>
#include "staged_file.h"

static const char note[] =
    "wetrun was ended while it put files into this folder: some may be new and others old.\n"
    "Run the same command again. This note goes when all of them are in place.\n";

/* On the disk before the first file changes hands: else a power cut could keep the files and lose the note. */
static bool write_note(int fd)
{
    bool fine = staged_write_all(fd, note, sizeof note - 1) && staged_flush(fd);
    int trouble = errno;

    if (close(fd) != 0 && errno != EINTR && fine) return false;
    errno = trouble;
    return fine;
}

bool unfinished_raise(struct unfinished *u, const char *folder)
{
    int fd, length = snprintf(u->path, sizeof u->path, "%s/UNFINISHED.txt", folder);

    errno = ENAMETOOLONG;
    if (length >= (int)sizeof u->path) {
        u->path[0] = '\0';
        return false;
    }
    fd = staged_open(u->path, O_WRONLY | O_CREAT | O_EXCL | O_NOFOLLOW | O_CLOEXEC);
    u->was_there = fd < 0 && errno == EEXIST;
    if (u->was_there) return true;
    if (fd >= 0 && write_note(fd)) return true;
    int trouble = errno;
    if (fd >= 0) (void)unlink(u->path);
    u->path[0] = '\0';
    errno = trouble;
    return false;
}

bool unfinished_lower(const struct unfinished *u)
{
    return !u->path[0] || unlink(u->path) == 0;
}
