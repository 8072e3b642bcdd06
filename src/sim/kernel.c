#include "kernel.h"

#include "kernel_set.h"

#ifdef __x86_64__
static bool runs(size_t i)
{
    __builtin_cpu_init();
    switch (i) {
    case 2: return __builtin_cpu_supports("avx2");
    case 3:
        return __builtin_cpu_supports("avx512f") && __builtin_cpu_supports("avx512dq")
               && __builtin_cpu_supports("avx512bw") && __builtin_cpu_supports("avx512vl");
    default: return true; /* SSE2 is part of x86-64 */
    }
}
static const struct wr_kernel *const kernels[] = {&wr_kernel_plain, &wr_kernel_sse2, &wr_kernel_avx2,
                                                  &wr_kernel_avx512};
#else
static bool runs(size_t i)
{
    return i == 0;
}
static const struct wr_kernel *const kernels[] = {&wr_kernel_plain};
#endif

const struct wr_kernel *wr_kernel_at(size_t i)
{
    return i < sizeof kernels / sizeof *kernels && runs(i) ? kernels[i] : NULL;
}

const struct wr_kernel *wr_kernel_best(void)
{
    size_t i = 0;

    while (wr_kernel_at(i + 1)) i++;
    return kernels[i];
}

wr_push_fn *wr_push_best(void)
{
    return wr_kernel_best()->push;
}
