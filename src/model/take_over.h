/* Everything of a refit but its draws; table is taken over. Private to the room. */
#ifndef WETRUN_MODEL_TAKE_OVER_H
#define WETRUN_MODEL_TAKE_OVER_H

#include "wetrun/model/durations.h"

void wr_model_take_over(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table);

#endif
