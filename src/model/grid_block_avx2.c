/* Grid points side by side: with AVX2 instructions. */
#ifdef __x86_64__
#define WR_GRID_BLOCK wr_grid_block_avx2
#define WR_GRID_BLOCK_NAME "avx2"
#include "grid_block_body.h"
#else
typedef int wr_not_for_this_processor;
#endif
