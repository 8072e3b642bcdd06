#include "wetrun/base/error.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/base/memory.h"

static const struct {
    const char *name, *text;
    int exit_code;
} rows[] = {
#define ROW(status, exit_class, what) [status] = {#status, what, exit_class},
    WR_STATUS_TABLE(ROW)
#undef ROW
};

enum wr_status wr_fail(struct wr_error *err, enum wr_status status, const char *fmt, ...)
{
    if (err) {
        va_list ap;
        err->status = status;
        va_start(ap, fmt);
        vsnprintf(err->text, sizeof err->text, fmt, ap);
        va_end(ap);
    }
    return status;
}

void wr_error_prefix(struct wr_error *err, const char *fmt, ...)
{
    char head[sizeof err->text], tail[sizeof err->text];
    va_list ap;

    if (!err) return;
    va_start(ap, fmt);
    vsnprintf(head, sizeof head, fmt, ap);
    va_end(ap);
    memcpy(tail, err->text, sizeof tail);
    /* a message too long for the buffer loses its end, which is the less telling part */
    size_t used = strlen(head);
    memcpy(err->text, head, used + 1);
    if (used + 2 < sizeof err->text) {
        size_t room = sizeof err->text - used - 3, more = strlen(tail);
        if (more > room) more = room;
        memcpy(err->text + used, ": ", 2);
        memcpy(err->text + used + 2, tail, more);
        err->text[used + 2 + more] = '\0';
    }
}

const char *wr_status_name(enum wr_status status)
{
    return rows[status].name;
}

const char *wr_status_text(enum wr_status status)
{
    return rows[status].text;
}

int wr_status_exit_code(enum wr_status status)
{
    return rows[status].exit_code;
}

void wr_bug(const char *file, int line, const char *what)
{
    wr_give_up(WR_E_BUG, "internal error at %s:%d: %s", file, line, what);
}
