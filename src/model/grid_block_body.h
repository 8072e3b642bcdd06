/* See grid_block.h. The including file defines WR_GRID_BLOCK (the struct to define) and WR_GRID_BLOCK_NAME. Inner loops
 * run over the points and are left to the compiler's vectors; no fused multiply-add, no reordering: see rules.mk. */
#include <math.h>
#include <string.h>
#include "grid_block.h"
#ifdef __AVX512F__
#include <immintrin.h>
#endif

#define EACH_POINT for (size_t p = 0; p < WR_GRID_WIDE; p++)

/* Products kept in range, for one logarithm instead of many. */
struct products { double product[WR_GRID_WIDE], log_sum[WR_GRID_WIDE]; };

static void products_start(struct products *all)
{
    EACH_POINT all->product[p] = 1.0;
    EACH_POINT all->log_sum[p] = 0.0;
}

static void products_times(struct products *all, const double *restrict factor)
{
    int out_of_range = 0;

    EACH_POINT all->product[p] *= factor[p];
    EACH_POINT out_of_range |= (all->product[p] > 1e100) | (all->product[p] < 1e-100);
    if (!out_of_range) return;
    EACH_POINT {
        if (!(all->product[p] > 1e100 || all->product[p] < 1e-100)) continue;
        all->log_sum[p] += log(all->product[p]);
        all->product[p] = 1.0;
    }
}

static void fold(struct wr_grid_work *at, const double *row, const double *eigenvalue, const size_t *times, size_t n,
                 size_t n_effect)
{
    size_t len = wr_packed(n_effect) + n_effect + 1;
    struct products growth;

    products_start(&growth);
    for (size_t i = 0; i < len; i++) EACH_POINT at->folded[i * WR_GRID_WIDE + p] = row[i];
    for (size_t s = 0; s < n; s++) {
        const double *restrict along = row + (s + 1) * len;
        double grow[WR_GRID_WIDE], v[WR_GRID_WIDE];
        EACH_POINT grow[p] = 1.0 + at->tau[p] * at->tau[p] * eigenvalue[s];
        EACH_POINT v[p] = at->tau[p] * at->tau[p] / grow[p];
        for (size_t i = 0; i < times[s]; i++) products_times(&growth, grow);
        for (size_t i = 0; i < len; i++) {
            double *restrict folded = at->folded + i * WR_GRID_WIDE;
            EACH_POINT folded[p] -= v[p] * along[i];
        }
    }
    EACH_POINT at->growth[p] = -0.5 * (growth.log_sum[p] + log(growth.product[p]));
}

/* sum -= a b, point by point */
static inline void less(double *restrict sum, const double *restrict a, const double *restrict b)
{
    EACH_POINT sum[p] -= a[p] * b[p];
}

static bool factor(struct wr_grid_work *at, size_t n_effect, double first)
{
    struct products reciprocal;
    const double *linear = at->folded + wr_packed(n_effect) * WR_GRID_WIDE;

    products_start(&reciprocal);
    EACH_POINT at->squares[p] = 0.0;
    for (size_t i = 0; i < n_effect; i++) {
        const double *v = at->folded + wr_packed(i) * WR_GRID_WIDE;
        double *row_i = at->factor + wr_packed(i) * WR_GRID_WIDE, *own = row_i + i * WR_GRID_WIDE;
        double *half = at->half + i * WR_GRID_WIDE, left[WR_GRID_WIDE], z[WR_GRID_WIDE], sum[WR_GRID_WIDE];
        EACH_POINT left[p] = v[i * WR_GRID_WIDE + p] + at->prior[i * WR_GRID_WIDE + p];
        EACH_POINT z[p] = linear[i * WR_GRID_WIDE + p];
        if (i == 0) EACH_POINT z[p] += first;
        for (size_t j = 0; j < i; j++) {
            const double *row_j = at->factor + wr_packed(j) * WR_GRID_WIDE;
            memcpy(sum, v + j * WR_GRID_WIDE, sizeof sum);
            for (size_t k = 0; k < j; k++) less(sum, row_i + k * WR_GRID_WIDE, row_j + k * WR_GRID_WIDE);
            EACH_POINT sum[p] *= row_j[j * WR_GRID_WIDE + p];
            memcpy(row_i + j * WR_GRID_WIDE, sum, sizeof sum);
            less(left, sum, sum);
            less(z, sum, at->half + j * WR_GRID_WIDE);
        }
        EACH_POINT if (!(left[p] > 0.0)) return false;
        EACH_POINT own[p] = 1.0 / sqrt(left[p]);
        EACH_POINT half[p] = z[p] * own[p];
        EACH_POINT at->squares[p] += half[p] * half[p];
        products_times(&reciprocal, own);
    }
    EACH_POINT at->log_det[p] = -reciprocal.log_sum[p] - log(reciprocal.product[p]);
    return true;
}

static void share(double *matrix, size_t stride, const double *is_in, double shared, size_t n)
{
    for (size_t i = 0; i < n; i++) {
        double *restrict row = matrix + i * stride;
        if (is_in[i] == 0.0) continue;
        for (size_t j = 0; j <= i; j++) row[j] -= shared * is_in[j];
    }
}

static void take_task(const struct wr_task_cells *t, double *gram, double *restrict pull, double *cross, double *less)
{
    enum { WIDE = 4 };
    const size_t n_effect = t->n_effect, wide = wr_wide(n_effect), packed = wr_packed(n_effect);
    const double w = t->w, shared = t->shared;

    for (size_t i = 0; i < t->n; i++) {
        const double *restrict x = t->design + i * wide, e = t->e[i];
        double *restrict row = cross + t->run[i] * wide;
        for (size_t d = 0; d < wide; d += WIDE)
            for (size_t j = d; j < d + WIDE; j++) {
                pull[j] += e * x[j];
                row[j] += w * x[j];
            }
    }
    for (size_t set = 0; set < t->n_alike; set++) {
        double *restrict row = less + set * wide;
        if (t->is_in[set] == 0.0) continue;
        for (size_t d = 0; d < wide; d += WIDE)
            for (size_t j = d; j < d + WIDE; j++) row[j] += shared * t->sum[j];
    }
    double *restrict to = gram;
    for (size_t at = 0; at < packed; at++) to[at] += w * t->gram[at] - shared * t->outer[at];
}

/* coef[at[p]] of every lane */
static inline void look_up(const double *coef, const int *at, double *value)
{
#ifdef __AVX512F__
    __m256i index = _mm256_loadu_si256((const void *)at);
    _mm512_storeu_pd(value, _mm512_i32gather_pd(index, coef, sizeof *coef));
#else
    EACH_POINT value[p] = coef[at[p]];
#endif
}

/* As wr_log_phi where the table has them all. */
static inline void log_phi_lanes(const struct wr_log_phi *table, const double *restrict x, double factor, double offset,
                                 double *restrict sum)
{
    double at[WR_GRID_WIDE], z[WR_GRID_WIDE], c[WR_LOG_PHI_TERMS][WR_GRID_WIDE];
    int first[WR_GRID_WIDE];

    EACH_POINT at[p] = (x[p] * factor + offset - WR_LOG_PHI_LOW) * WR_LOG_PHI_PER_UNIT;
    EACH_POINT first[p] = (int)at[p];
    EACH_POINT z[p] = at[p] - first[p] - 0.5;
    EACH_POINT first[p] *= WR_LOG_PHI_TERMS;
    for (int j = 0; j < WR_LOG_PHI_TERMS; j++) look_up(table->coef[0] + j, first, c[j]);
    EACH_POINT {
        const double z2 = z[p] * z[p], high = c[4][p] + c[5][p] * z[p];
        sum[p] += ((c[0][p] + c[1][p] * z[p]) + (c[2][p] + c[3][p] * z[p]) * z2) + high * (z2 * z2);
    }
}

static double log_phi_sum(const struct wr_log_phi *table, const struct wr_numbers *x, double factor, double offset)
{
    const double one = x->least * factor + offset, other = x->most * factor + offset;
    const bool has_all = wr_log_phi_has(one) && wr_log_phi_has(other);
    double sum[WR_GRID_WIDE] = {0};
    size_t i = 0;

    for (; has_all && i + WR_GRID_WIDE <= x->n; i += WR_GRID_WIDE)
        log_phi_lanes(table, x->value + i, factor, offset, sum);
    for (; i < x->n; i++) sum[i % WR_GRID_WIDE] += wr_log_phi(table, x->value[i] * factor + offset);
    return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}

const struct wr_grid_block WR_GRID_BLOCK = {WR_GRID_BLOCK_NAME, fold, share, take_task, log_phi_sum, factor};
