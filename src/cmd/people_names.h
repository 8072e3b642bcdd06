/* People's names on their way in: letters for --anonymous, and --people in the names that the log has. */
#ifndef WETRUN_CMD_PEOPLE_NAMES_H
#define WETRUN_CMD_PEOPLE_NAMES_H

#include "load.h"

/* With --anonymous the performers of the log become A, B, … before anything downstream sees them. in->people is then what
 * --people says, its lanes and names as plan and log spell them and as they are shown. */
void wr_people_names(struct wr_loaded *in, const struct wr_settings *settings);

#endif
