/* The engine's inner loops: with SSE2 instructions. */
#ifdef __x86_64__
#include "kernel_set.h"
#define WR_KERNEL wr_kernel_sse2
#define WR_KERNEL_NAME "sse2"
#define WR_WIDE 4
#define WR_INTRINSICS 1
#include "kernel_body.h"
#else
typedef int wr_not_for_this_processor;
#endif
