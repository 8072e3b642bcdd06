#include "wetrun/io/folder.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

struct listing {
    struct wr_folder *folder;
    DIR *open;
};

static enum wr_status read_names(void *arg, struct wr_error *err)
{
    struct wr_folder *f = ((struct listing *)arg)->folder;
    DIR *open = ((struct listing *)arg)->open;

    for (;;) {
        errno = 0; /* only so is its end told from what went wrong */
        const struct dirent *entry = readdir(open);
        if (!entry) break;
        if (entry->d_name[0] == '.') continue;
        *WR_PUSH(f->name, f->n, f->room) = wr_arena_copy(&f->text, entry->d_name, strlen(entry->d_name));
    }
    return errno ? wr_fail(err, WR_E_INPUT, "cannot be read: %s", strerror(errno)) : WR_OK;
}

static int by_bytes(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

enum wr_status wr_folder_read(struct wr_folder *folder, const char *path, struct wr_error *err)
{
    DIR *open = opendir(path);
    enum wr_status status;

    *folder = (struct wr_folder){0};
    if (open) {
        status = wr_guard(wr_pool_in_use(), read_names, &(struct listing){folder, open}, err);
        closedir(open);
    } else if (errno == ENOENT || errno == ENOTDIR) {
        status = WR_OK;
    } else {
        int trouble = errno;
        status = wr_fail(err, WR_E_INPUT, "cannot be opened: %s%s", strerror(trouble),
                         trouble == EACCES ? " (it may not be read by you: `chmod u+rx` allows it)" : "");
    }
    if (status) {
        wr_error_prefix(err, "%s", path);
        wr_folder_release(folder);
    } else if (folder->n) qsort(folder->name, folder->n, sizeof *folder->name, by_bytes);
    return status;
}

void wr_folder_release(struct wr_folder *folder)
{
    wr_free(folder->name);
    wr_arena_release(&folder->text);
    *folder = (struct wr_folder){0};
}
