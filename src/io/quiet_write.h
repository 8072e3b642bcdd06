/* Writing where nobody reads any more (SIGPIPE) or beyond what a file may hold (SIGXFSZ), without being killed and
 * without touching what the process does with those signals: they are held back in this thread, and what our own
 * writing raised is taken away again. */
#pragma once

#include <signal.h>

struct quiet_write {
    sigset_t before, pending;
};

void quiet_write_begin(struct quiet_write *q);
void quiet_write_end(struct quiet_write *q);
