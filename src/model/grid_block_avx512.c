/* Grid points side by side: with AVX-512 instructions. */
#ifdef __x86_64__
#define WR_GRID_BLOCK wr_grid_block_avx512
#define WR_GRID_BLOCK_NAME "avx512"
#include "grid_block_body.h"
#else
typedef int wr_not_for_this_processor;
#endif
