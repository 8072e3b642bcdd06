/* Everything of a refit but its draws; table is taken over. Private to the room. */
#pragma once

#include "wetrun/model/durations.h"

void wr_model_take_over(struct wr_model_fit *fit, const struct wr_model_fit *from, struct wr_model_table *table);
