/* Crews as people write them: EV1+EV2, but also EV1 & EV2, EV1/EV2, "EV1, EV2", EV1 and EV2, EV1 EV2, both, all.
 * Whether such a text is several lanes or one of that name is told by the rows that name lanes alone. */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include "wetrun/base/str.h"
#include "wetrun/campaign/names.h"

struct crew_lanes { /* start as {0} */
    struct wr_names name; /* of lanes that stand alone or are joined by + */
    struct wr_arena text;
    bool are_people; /* Kim Lee may be somebody else than Kim and Lee */
};
void crew_learn(struct crew_lanes *lanes, const char *crew);
void crew_lanes_release(struct crew_lanes *lanes);

/* The same in lanes joined by +; false: it may mean several things, and *trouble says what to type. A text that is in
 * the plain form stays as it is. */
bool crew_plain(const struct crew_lanes *lanes, const char *crew, struct wr_str *plain, const char **trouble);

/* A lane may be named only beside others, as EV3 in EV1/EV3, and may then be a part of another text: learns it too, so
 * that a plan which is written in the plain form asks nothing that this text did not ask. True: another one learned;
 * try all again. */
bool crew_learn_joined(struct crew_lanes *lanes, const char *crew);

/* The parts of a crew text between its joiners, blanks dropped: name(arg, text, len) for each. */
typedef void crew_part_fn(void *arg, const char *part, size_t len);
void crew_parts(const char *crew, bool any_joiner, crew_part_fn *fn, void *arg);
/* Not if each names one lane, and not the same: crews of the plain form. */
bool crews_may_share_a_lane(const char *a, const char *b);
bool crew_means_group(const char *crew); /* both, all */
