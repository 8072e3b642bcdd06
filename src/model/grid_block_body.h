/* See grid_block.h. The including file defines WR_GRID_BLOCK (the struct to define) and WR_GRID_BLOCK_NAME. Inner loops
 * run over the points, as vectors of the compiler; no fused multiply-add, no reordering: see rules.mk. */
#include <math.h>
#include <string.h>
#include "grid_block.h"
#ifdef __AVX__
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

typedef double points __attribute__((vector_size(8 * WR_GRID_WIDE)));

static inline __attribute__((always_inline)) void load(points *to, const double *from)
{
    memcpy(to, from, sizeof *to);
}

static void fold(struct wr_grid_work *at, const double *row, const double *eigenvalue, const size_t *times, size_t n,
                 size_t n_effect)
{
    size_t len = wr_packed(n_effect) + n_effect + 1;
    struct products growth;
    points tau, grow, v, folded;

    load(&tau, at->tau);
    products_start(&growth);
    for (size_t i = 0; i < len; i++) EACH_POINT at->folded[i * WR_GRID_WIDE + p] = row[i];
    for (size_t s = 0; s < n; s++) {
        const double *along = row + (s + 1) * len;
        grow = 1.0 + tau * tau * eigenvalue[s];
        v = tau * tau / grow;
        for (size_t i = 0; i < times[s]; i++) products_times(&growth, (const double *)&grow);
        for (size_t i = 0; i < len; i++) {
            load(&folded, at->folded + i * WR_GRID_WIDE);
            folded -= v * along[i];
            memcpy(at->folded + i * WR_GRID_WIDE, &folded, sizeof folded);
        }
    }
    EACH_POINT at->growth[p] = -0.5 * (growth.log_sum[p] + log(growth.product[p]));
}

/* sum -= a b, point by point */
static inline __attribute__((always_inline)) void less(points *sum, const double *a, const double *b)
{
    points va, vb;

    load(&va, a);
    load(&vb, b);
    *sum -= va * vb;
}

static bool factor(struct wr_grid_work *at, size_t n_effect, double first)
{
    struct products reciprocal;
    const double *linear = at->folded + wr_packed(n_effect) * WR_GRID_WIDE;
    points squares = {0}, left, z, sum, other;

    products_start(&reciprocal);
    for (size_t i = 0; i < n_effect; i++) {
        const double *v = at->folded + wr_packed(i) * WR_GRID_WIDE;
        double *row_i = at->factor + wr_packed(i) * WR_GRID_WIDE, own[WR_GRID_WIDE];
        load(&left, v + i * WR_GRID_WIDE);
        load(&other, at->prior + i * WR_GRID_WIDE);
        left += other;
        load(&z, linear + i * WR_GRID_WIDE);
        if (i == 0) z += first;
        for (size_t j = 0; j < i; j++) {
            const double *row_j = at->factor + wr_packed(j) * WR_GRID_WIDE;
            load(&sum, v + j * WR_GRID_WIDE);
            for (size_t k = 0; k < j; k++) less(&sum, row_i + k * WR_GRID_WIDE, row_j + k * WR_GRID_WIDE);
            load(&other, row_j + j * WR_GRID_WIDE);
            sum *= other;
            memcpy(row_i + j * WR_GRID_WIDE, &sum, sizeof sum);
            left -= sum * sum;
            load(&other, at->half + j * WR_GRID_WIDE);
            z -= sum * other;
        }
        int is_bad = 0;
        EACH_POINT is_bad |= !(left[p] > 0.0);
        if (is_bad) return false;
        EACH_POINT own[p] = 1.0 / sqrt(left[p]);
        memcpy(row_i + i * WR_GRID_WIDE, own, sizeof own);
        load(&other, own);
        z *= other;
        memcpy(at->half + i * WR_GRID_WIDE, &z, sizeof z);
        squares += z * z;
        products_times(&reciprocal, own);
    }
    memcpy(at->squares, &squares, sizeof squares);
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

enum { LANES = 4 };
#define EACH_LANE for (size_t p = 0; p < LANES; p++)

/* value[j][p]: the coefficients of the piece of every lane. Rows are loaded whole and turned: to fetch each number, or
 * to gather them, takes longer. */
static inline void look_up(const struct wr_log_phi *table, const int *piece, double value[WR_LOG_PHI_TERMS][LANES])
{
#ifdef __AVX__
    const double *a = table->coef[piece[0]], *b = table->coef[piece[1]], *c = table->coef[piece[2]],
                 *d = table->coef[piece[3]];
    __m256d a03 = _mm256_loadu_pd(a), b03 = _mm256_loadu_pd(b), c03 = _mm256_loadu_pd(c), d03 = _mm256_loadu_pd(d);
    __m256d ab02 = _mm256_unpacklo_pd(a03, b03), ab13 = _mm256_unpackhi_pd(a03, b03);
    __m256d cd02 = _mm256_unpacklo_pd(c03, d03), cd13 = _mm256_unpackhi_pd(c03, d03);
    __m256d ac45 = _mm256_insertf128_pd(_mm256_castpd128_pd256(_mm_loadu_pd(a + 4)), _mm_loadu_pd(c + 4), 1);
    __m256d bd45 = _mm256_insertf128_pd(_mm256_castpd128_pd256(_mm_loadu_pd(b + 4)), _mm_loadu_pd(d + 4), 1);
    _mm256_storeu_pd(value[0], _mm256_permute2f128_pd(ab02, cd02, 0x20));
    _mm256_storeu_pd(value[1], _mm256_permute2f128_pd(ab13, cd13, 0x20));
    _mm256_storeu_pd(value[2], _mm256_permute2f128_pd(ab02, cd02, 0x31));
    _mm256_storeu_pd(value[3], _mm256_permute2f128_pd(ab13, cd13, 0x31));
    _mm256_storeu_pd(value[4], _mm256_unpacklo_pd(ac45, bd45));
    _mm256_storeu_pd(value[5], _mm256_unpackhi_pd(ac45, bd45));
#else
    for (int j = 0; j < WR_LOG_PHI_TERMS; j++) EACH_LANE value[j][p] = table->coef[piece[p]][j];
#endif
}

/* As wr_log_phi where the table has them all. */
static inline void log_phi_lanes(const struct wr_log_phi *table, const double *restrict x, double factor, double offset,
                                 double *restrict sum)
{
    double at[LANES], z[LANES], c[WR_LOG_PHI_TERMS][LANES];
    int piece[LANES];

    EACH_LANE at[p] = (x[p] * factor + offset - WR_LOG_PHI_LOW) * WR_LOG_PHI_PER_UNIT;
    EACH_LANE piece[p] = (int)at[p];
    EACH_LANE z[p] = at[p] - piece[p] - 0.5;
    look_up(table, piece, c);
    EACH_LANE {
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
        for (size_t half = 0; half < WR_GRID_WIDE; half += LANES)
            log_phi_lanes(table, x->value + i + half, factor, offset, sum + half);
    for (; i < x->n; i++) sum[i % WR_GRID_WIDE] += wr_log_phi(table, x->value[i] * factor + offset);
    return ((sum[0] + sum[1]) + (sum[2] + sum[3])) + ((sum[4] + sum[5]) + (sum[6] + sum[7]));
}

const struct wr_grid_block WR_GRID_BLOCK = {WR_GRID_BLOCK_NAME, fold, share, take_task, log_phi_sum, factor};
