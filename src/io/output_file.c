#include "wetrun/io/output_file.h"

#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <signal.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#include "staged_file.h"
#include "unfinished.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/str.h"

/* What can be done about it, where the system's reason does not say so itself; ends in "". */
static const char *advice(int trouble)
{
    switch (trouble) {
    case ENOSPC: return " (make room, or name another place)";
    case EDQUOT: return " (your share of that disk is used up: make room, or name another place)";
    case EROFS: return " (name another place)";
    case EACCES:
    case EPERM: return " (it may not be written by you: name another place)";
    case EMFILE:
    case ENFILE: return " (`ulimit -n` allows too few files: raise it)";
    case EFBIG: return " (`ulimit -f` allows less: raise it)";
    case EIO: return " (the disk or its connection failed: name another place)";
    case ENOENT: return " (make its folder first, or name another place)";
    case ELOOP: return " (it is a link to nowhere, or to itself: name another place)";
    case ENOTDIR:
    case EEXIST:
    case EISDIR: return " (something else has that name: name another place)";
    case EINVAL: return " (it is no regular file: name another place)";
    default: return "";
    }
}

static enum wr_status fail(const char *path, const char *what, struct wr_error *err)
{
    int trouble = errno;

    return wr_fail(err, WR_E_OUTPUT, "%s: %s: %s%s", path, what, strerror(trouble), advice(trouble));
}

/* ---- what is written where it stands ---- */

static enum wr_status write_standard_output(const char *bytes, size_t n, struct wr_error *err)
{
    /* behind what others have printed there */
    bool fine = fflush(stdout) == 0 && staged_write_all(STDOUT_FILENO, bytes, n);

    return fine ? WR_OK : fail("standard output", "cannot be written", err);
}

/* A device or a pipe is written to, not replaced. */
static enum wr_status write_in_place(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    int fd = staged_open(path, O_WRONLY | O_CLOEXEC);

    if (fd < 0) return fail(path, "cannot be opened for writing", err);
    bool fine = staged_write_all(fd, bytes, n);
    int trouble = errno;
    if (close(fd) != 0 && fine && errno != EINTR) return fail(path, "cannot be written", err);
    errno = trouble;
    return fine ? WR_OK : fail(path, "cannot be written", err);
}

/* ---- what is put in place whole ---- */

/* While names change hands, a signal that would end us waits: nothing stays behind, nothing stays half done. */
static void hold_signals(sigset_t *before)
{
    static const int ends_us[] = {SIGINT, SIGTERM, SIGHUP, SIGQUIT, SIGALRM, SIGUSR1, SIGUSR2, SIGXCPU};
    sigset_t set;

    sigemptyset(&set);
    for (size_t i = 0; i < sizeof ends_us / sizeof *ends_us; i++) sigaddset(&set, ends_us[i]);
    pthread_sigmask(SIG_BLOCK, &set, before);
}

/* The renames themselves are kept over a power cut where the file system can do so; that it cannot is no failure. */
static void sync_folder(const char *folder)
{
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);

    if (fd < 0) return;
    (void)fsync(fd);
    close(fd);
}

static void sync_folder_of(const char *path)
{
    char folder[PATH_MAX] = ".";
    const char *slash = strrchr(path, '/');

    if (slash) {
        memcpy(folder, path, (size_t)(slash + 1 - path));
        folder[slash + 1 - path] = '\0';
    }
    sync_folder(folder);
}

static void sync_folders(const struct staged_file *file, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (i == 0 || !staged_same_folder(&file[i], &file[i - 1])) sync_folder_of(file[i].target);
}

enum { LOCK_NAPS = 500, LOCK_NAP_MS = 20 }; /* ten seconds */

struct set {
    const char *folder; /* NULL: the names are paths, and no folder is made */
    const struct wr_output_file *file;
    size_t n;
    struct staged_file *staged; /* [n] */
    const char **path;          /* [n] */
    char **made;                /* [n_made] folders that were not there */
    size_t n_made;
    int lock;
    struct unfinished note;
    sigset_t mask; /* as the caller has it */
};

static bool is_stream(const char *path)
{
    struct stat there;

    return strcmp(path, "-") == 0 || (stat(path, &there) == 0 && !S_ISREG(there.st_mode) && !S_ISDIR(there.st_mode));
}

static enum wr_status write_stream(const char *path, const struct wr_output_file *file, struct wr_error *err)
{
    return strcmp(path, "-") == 0 ? write_standard_output(file->bytes, file->n, err)
                                  : write_in_place(path, file->bytes, file->n, err);
}

/* A reader may take its time: then a signal ends us as usual. Nothing has a name or a place yet. */
static enum wr_status write_streams(struct set *set, struct wr_error *err)
{
    enum wr_status status = WR_OK;
    size_t n_stream = 0;
    sigset_t held;

    for (size_t i = 0; i < set->n; i++) n_stream += set->file[i].bytes && is_stream(set->path[i]);
    if (n_stream == 0) return WR_OK; /* and no signal is let in */
    pthread_sigmask(SIG_SETMASK, &set->mask, &held);
    for (size_t i = 0; i < set->n && !status; i++)
        if (set->file[i].bytes && is_stream(set->path[i])) status = write_stream(set->path[i], &set->file[i], err);
    pthread_sigmask(SIG_SETMASK, &held, NULL);
    return status;
}

static enum wr_status put_all(struct set *set, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < set->n && !status; i++)
        if (!staged_write(&set->staged[i])) status = fail(set->path[i], "cannot be written", err);
    if (!status) status = write_streams(set, err);
    for (size_t i = 0; i < set->n && !status; i++)
        if (!staged_name(&set->staged[i])) status = fail(set->path[i], "cannot be written", err);
    if (!status && set->folder && !unfinished_raise(&set->note, set->folder))
        status = fail(set->folder, "cannot be written", err);
    if (!status && set->folder) sync_folder(set->folder);
    for (size_t i = 0; i < set->n && !status; i++)
        if (!staged_put(&set->staged[i], i + 1 < set->n)) status = fail(set->path[i], "cannot be put in place", err);
    return status;
}

static enum wr_status finish_set(struct set *set, struct wr_error *err)
{
    static const char left[] = "all is written, but this could not be removed: remove it";
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < set->n; i++)
        if (!staged_drop_replaced(&set->staged[i])) status = fail(set->staged[i].aside, left, err);
    for (size_t i = 0; i < set->n && set->folder; i++) staged_sweep(&set->staged[i]); /* we have the lock */
    sync_folders(set->staged, set->n);
    return unfinished_lower(&set->note) ? status : fail(set->note.path, left, err);
}

static void take_back(struct set *set)
{
    bool undone = true;

    for (size_t i = set->n; i-- > 0;) undone &= staged_undo(&set->staged[i]);
    if (undone && !set->note.was_there) (void)unfinished_lower(&set->note);
}

/* All of them or none. */
static enum wr_status commit(struct set *set, struct wr_error *err)
{
    enum wr_status status = put_all(set, err);

    if (!status) return finish_set(set, err);
    take_back(set);
    return status;
}

/* ---- a folder of files ---- */

static enum wr_status make_folder(struct set *set, const char *path, struct wr_error *err)
{
    struct stat there;

    if (mkdir(path, 0777) == 0) {
        snprintf(set->made[set->n_made++], PATH_MAX, "%s", path);
        return WR_OK;
    }
    int trouble = errno;
    if (trouble == EEXIST && stat(path, &there) == 0 && S_ISDIR(there.st_mode)) return WR_OK;
    errno = trouble == EEXIST ? ENOTDIR : trouble;
    return fail(path, "the folder cannot be made", err);
}

/* One after the other into one folder. A file system without locks goes on without. */
static enum wr_status lock_folder(struct set *set, struct wr_error *err)
{
    set->lock = open(set->folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (set->lock < 0) return errno == EACCES ? WR_OK : fail(set->folder, "cannot be opened", err);
    for (int nap = 0; flock(set->lock, LOCK_EX | LOCK_NB) != 0 && (errno == EWOULDBLOCK || errno == EINTR); nap++) {
        if (nap == LOCK_NAPS)
            return wr_fail(err, WR_E_OUTPUT, "%s: another wetrun has been writing there for ten seconds: try again",
                           set->folder);
        (void)nanosleep(&(struct timespec){0, LOCK_NAP_MS * 1000000L}, NULL);
    }
    return WR_OK;
}

static enum wr_status make_folders(struct set *set, struct wr_error *err)
{
    char folder[PATH_MAX];
    enum wr_status status = WR_OK;

    for (size_t i = 0; i < set->n && !status; i++) {
        const char *path = set->path[i], *slash = strrchr(path, '/');
        if (!set->file[i].bytes || strlen(path) >= sizeof folder) continue; /* one too long is refused further on */
        snprintf(folder, sizeof folder, "%.*s", (int)(slash - path), path);
        status = make_folder(set, folder, err);
    }
    return status;
}

static enum wr_status aim(struct set *set, struct wr_error *err)
{
    for (size_t i = 0; i < set->n; i++) set->staged[i].fd = -1; /* so that a stream is no file to be put anywhere */
    for (size_t i = 0; i < set->n; i++)
        if (!is_stream(set->path[i])
            && !staged_aim(&set->staged[i], set->path[i], set->file[i].bytes, set->file[i].n))
            return fail(set->path[i], "cannot be written", err);
    return WR_OK;
}

static enum wr_status write_set(struct set *set, struct wr_error *err)
{
    enum wr_status status = set->folder ? make_folder(set, set->folder, err) : WR_OK;

    if (!status && set->folder) status = lock_folder(set, err);
    if (!status && set->folder) status = make_folders(set, err);
    if (!status) status = aim(set, err);
    if (!status) status = commit(set, err);
    while (status && set->n_made > 0) (void)rmdir(set->made[--set->n_made]); /* only if nobody else has used it */
    if (set->lock >= 0) close(set->lock);
    return status;
}

enum wr_status wr_output_write_set(const char *folder, const struct wr_output_file *file, size_t n,
                                   struct wr_error *err)
{
    WR_RELEASED_BY(wr_arena_release) struct wr_arena arena = {0};
    WR_SCOPED_STR path = {0};
    struct set set = {.folder = folder, .file = file, .n = n, .lock = -1};

    set.staged = WR_NEW_ARRAY(struct staged_file, n);
    set.path = WR_NEW_ARRAY(const char *, n);
    set.made = WR_NEW_ARRAY(char *, n + 1);
    for (size_t i = 0; i < n; i++) {
        wr_str_clear(&path);
        wr_str_addf(&path, "%s%s%s", folder ? folder : "", folder ? "/" : "", file[i].name);
        set.path[i] = wr_arena_copy(&arena, path.text, path.len);
    }
    for (size_t i = 0; i <= n && folder; i++) set.made[i] = wr_arena_alloc(&arena, PATH_MAX, 1);
    hold_signals(&set.mask); /* nothing is allocated from here on */
    enum wr_status status = write_set(&set, err);
    pthread_sigmask(SIG_SETMASK, &set.mask, NULL);
    WR_FREE(set.staged, set.path, set.made);
    return status;
}

enum wr_status wr_output_write(const char *path, const char *bytes, size_t n, struct wr_error *err)
{
    const struct wr_output_file file = {path, bytes, n};

    return is_stream(path) ? write_stream(path, &file, err) : wr_output_write_set(NULL, &file, 1, err);
}
