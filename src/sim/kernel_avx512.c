/* The engine's inner loops: with AVX512 instructions. */
#ifdef __x86_64__
#include "kernel_set.h"
#define WR_KERNEL wr_kernel_avx512
#define WR_KERNEL_NAME "avx512"
#define WR_WIDE 16
#define WR_INTRINSICS 1
#include "kernel_body.h"
#else
typedef int wr_not_for_this_processor;
#endif
