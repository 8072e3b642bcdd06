/* Simulated days of a changed timeline. */
#pragma once

#include "days.h"
#include "wetrun/decide/whatif.h"

/* Drops, factors and lifted rules of the variant, on days that were made with its network and durations. */
void wr_days_change(struct wr_days *days, const struct wr_variant *v);
/* Whether a task's own minutes or rules differ, of the same days changed twice. */
bool wr_days_differ(const struct wr_days *a, const struct wr_days *b, size_t task);
