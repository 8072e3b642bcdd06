/* Who did what: names from the performer column, and who held each lane of a run. */
#pragma once

#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/memory.h"
#include "wetrun/campaign/names.h"
#include "wetrun/campaign/plan.h"
#include "wetrun/timing/timing.h"

/* The people named in one cell so far. */
struct cell_people {
    int in_lane[WR_MAX_LANES]; /* -1: nobody yet */
    unsigned person[WR_MAX_PERFORMERS];
    size_t n;
};
void cell_people_clear(struct cell_people *c);

enum performer_fit { PERFORMERS_FIT, PERFORMERS_OTHER_COUNT, PERFORMERS_TWICE };
/* Adds the people of one row, "AB+CD", in the order of lane[n_lane]. New names go into people and text. */
enum performer_fit cell_people_add(struct cell_people *c, struct wr_names *people, struct wr_arena *text,
                                   const char *performer, const uint8_t *lane, size_t n_lane);
/* Writes them into the cell, those of the task's lanes first and in their order. */
void cell_people_write(const struct cell_people *c, const struct wr_plan_task *task, struct wr_cell *cell);

/* How often somebody was seen in a lane of the run. */
struct lane_votes { /* start as {0} */
    struct lane_vote { size_t lane; int person; size_t count; } *vote;
    size_t n, room;
};
void lane_votes_add(struct lane_votes *votes, const struct cell_people *c, size_t n_lane);
/* The person most often seen in that lane, the first seen among equals; -1: nobody. *n_person: how many were seen. */
int lane_votes_winner(const struct lane_votes *votes, size_t lane, size_t *n_person);
void lane_votes_release(struct lane_votes *votes);
