/* A progress line on standard error, for work that takes longer than a second, on a terminal only. */
#pragma once

#include <stdbool.h>

struct wr_progress {
    const char *what;
    bool wanted, shown;
    bool in_parts;           /* it began anew: how much is still to come is not known */
    double begun_s, drawn_s; /* monotonic clock */
    double share_done;
};
void wr_progress_begin(struct wr_progress *p, const char *what, bool quiet);
void wr_progress_show(void *progress, double share_done); /* fits every progress callback of the rooms below */
void wr_progress_say(struct wr_progress *p, const char *what); /* in place of the bar, where no share is known */
void wr_progress_clear(struct wr_progress *p);
