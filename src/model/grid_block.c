/* For any processor; and which version runs. */
#define WR_GRID_BLOCK wr_grid_block_plain
#define WR_GRID_BLOCK_NAME "plain"
#include "grid_block_body.h"

#ifdef __x86_64__
static bool runs(size_t i)
{
    __builtin_cpu_init();
    switch (i) {
    case 1: return __builtin_cpu_supports("avx2");
    case 2: return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512vl");
    default: return true;
    }
}
static const struct wr_grid_block *const blocks[] = {&wr_grid_block_plain, &wr_grid_block_avx2, &wr_grid_block_avx512};
#else
static bool runs(size_t i)
{
    return i == 0;
}
static const struct wr_grid_block *const blocks[] = {&wr_grid_block_plain};
#endif

const struct wr_grid_block *wr_grid_block_at(size_t i)
{
    return i < sizeof blocks / sizeof *blocks && runs(i) ? blocks[i] : NULL;
}

const struct wr_grid_block *wr_grid_block_best(void)
{
    size_t i = 0;

    while (wr_grid_block_at(i + 1)) i++;
    return wr_grid_block_at(i);
}
