/* An interval that may not exist: with one value there is a mean but no spread. Look at known before the ends. */
#pragma once

#include <stdbool.h>

struct wr_interval {
    bool known;
    double lo, hi;
};
