/* The engine's inner loops: for any processor. */
#include "kernel_set.h"
#define WR_KERNEL wr_kernel_plain
#define WR_KERNEL_NAME "plain"
#define WR_WIDE 4
#define WR_INTRINSICS 0
#include "kernel_body.h"
