/* --against: the campaign beside another one, another plan, or itself before a rehearsal. */
#ifndef WETRUN_CMD_AGAINST_H
#define WETRUN_CMD_AGAINST_H

#include "progress.h"
#include "wetrun/cmd/settings.h"
#include "wetrun/study/against.h"

struct wr_beside { /* start as {0} */
    struct wr_study before;
    struct wr_against against;
};
/* Opens what settings->against names, makes it (the results `wanted` as far as they can be had), and compares; `after` has
 * its forecast. Its warnings and errors are said. */
WR_MUST_CHECK enum wr_status wr_beside_make(struct wr_beside *b, const struct wr_command *command,
                                            const struct wr_settings *settings, const struct wr_study *after,
                                            unsigned wanted, struct wr_progress *progress, struct wr_error *err);
void wr_beside_release(struct wr_beside *b);
#endif
