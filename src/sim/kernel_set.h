/* The compiled versions of the engine's inner loops; which of them may run is kernel.c's business. */
#pragma once

#include "kernel.h"

extern const struct wr_kernel wr_kernel_plain;
#ifdef __x86_64__
extern const struct wr_kernel wr_kernel_sse2, wr_kernel_avx2, wr_kernel_avx512;
#endif
