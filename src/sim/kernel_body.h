/* The engine's inner loops, compiled once per instruction set. The including file defines
 *   WR_KERNEL      name of the struct wr_kernel to define
 *   WR_KERNEL_NAME its name as text
 *   WR_WIDE        numbers per vector: 4, 8 or 16
 *   WR_INTRINSICS  1: square roots, maxima and gathers by instruction; 0: by plain C
 * Coefficients come from tests/bench/polynomials.py. No fused multiply-add, no reordering: see rules.mk. */
#include <math.h>
#include <string.h>
#include "kernel.h"

#if WR_INTRINSICS
#include <immintrin.h>
#endif

typedef float vf __attribute__((vector_size(4 * WR_WIDE)));
typedef uint32_t vu __attribute__((vector_size(4 * WR_WIDE)));
typedef int32_t vi __attribute__((vector_size(4 * WR_WIDE)));

#define INLINE static inline __attribute__((always_inline))
#define ALL(value) ((vf){0} + (float)(value))

INLINE vf load(const float *p)
{
    vf v;
    memcpy(&v, p, sizeof v);
    return v;
}

INLINE vu load_bits(const uint32_t *p)
{
    vu v;
    memcpy(&v, p, sizeof v);
    return v;
}

INLINE void store(float *p, vf v)
{
    memcpy(p, &v, sizeof v);
}

INLINE void store_bits(uint32_t *p, vu v)
{
    memcpy(p, &v, sizeof v);
}

INLINE vf to_float(vi v)
{
    return __builtin_convertvector(v, vf);
}

INLINE vf either(vi mask, vf yes, vf no)
{
    return (vf)((mask & (vi)yes) | (~mask & (vi)no));
}

#if WR_INTRINSICS && WR_WIDE == 16
INLINE vf root(vf x) { return (vf)_mm512_sqrt_ps((__m512)x); }
INLINE vf larger(vf a, vf b) { return (vf)_mm512_max_ps((__m512)a, (__m512)b); }
INLINE vf smaller(vf a, vf b) { return (vf)_mm512_min_ps((__m512)a, (__m512)b); }
INLINE vf look_up(const float *table, vi at) { return (vf)_mm512_i32gather_ps((__m512i)at, table, 4); }
INLINE bool any(vi mask) { return _mm512_movepi32_mask((__m512i)mask) != 0; }
#elif WR_INTRINSICS && WR_WIDE == 8
INLINE vf root(vf x) { return (vf)_mm256_sqrt_ps((__m256)x); }
INLINE vf larger(vf a, vf b) { return (vf)_mm256_max_ps((__m256)a, (__m256)b); }
INLINE vf smaller(vf a, vf b) { return (vf)_mm256_min_ps((__m256)a, (__m256)b); }
INLINE vf look_up(const float *table, vi at) { return (vf)_mm256_i32gather_ps(table, (__m256i)at, 4); }
INLINE bool any(vi mask) { return _mm256_movemask_ps((__m256)mask) != 0; }
#else
#if WR_INTRINSICS
INLINE vf root(vf x) { return (vf)_mm_sqrt_ps((__m128)x); }
INLINE vf larger(vf a, vf b) { return (vf)_mm_max_ps((__m128)a, (__m128)b); }
INLINE vf smaller(vf a, vf b) { return (vf)_mm_min_ps((__m128)a, (__m128)b); }
INLINE bool any(vi mask) { return _mm_movemask_ps((__m128)mask) != 0; }
#else
INLINE vf root(vf x)
{
    for (int i = 0; i < WR_WIDE; i++) x[i] = sqrtf(x[i]);
    return x;
}
/* as the instructions have it: the second operand when neither is larger */
INLINE vf larger(vf a, vf b) { return either(a > b, a, b); }
INLINE vf smaller(vf a, vf b) { return either(a < b, a, b); }
INLINE bool any(vi mask)
{
    int32_t all = 0;
    for (int i = 0; i < WR_WIDE; i++) all |= mask[i];
    return all != 0;
}
#endif
INLINE vf look_up(const float *table, vi at)
{
    vf v;
    for (int i = 0; i < WR_WIDE; i++) v[i] = table[at[i]];
    return v;
}
#endif

/* ---- functions of one number ---- */

/* 2^x, relative error 2e-7; x is held to [-100, 100] */
INLINE vf power_of_2(vf x)
{
    const float magic = 0x1.8p23f; /* adding it rounds to a whole number, kept in the low bits */
    x = larger(smaller(x, ALL(100)), ALL(-100));
    vf whole = x + magic, r = x - (whole - magic);
    vf r2 = r * r;
    vf p = (r * 0.00132647273f + 0.00967151299f) * (r2 * r2) + ((r * 0.0555073358f + 0.240222424f) * r2
           + (r * 0.693147004f + 1.0f));
    return (vf)((vu)p + ((vu)whole << 23));
}

/* x = m 2^e with m in [sqrt(1/2), sqrt(2)) */
INLINE void split(vf x, vf *e, vf *m)
{
    vi power = ((vi)x - 0x3f3504f3) >> 23;
    *e = to_float(power);
    *m = (vf)((vu)x - ((vu)power << 23));
}

/* scale * ln x for x > 0, relative error 2e-7 */
INLINE vf scaled_ln(vf x, float scale)
{
    vf e, m;
    split(x, &e, &m);
    vf f = m - 1.0f;
    vf f2 = f * f, f4 = f2 * f2;
    vf p0 = f * (scale * 0.333347142f) + scale * -0.500003219f;
    vf p2 = f * (scale * 0.199068829f) + scale * -0.249712288f;
    vf p4 = f * (scale * 0.161805004f) + scale * -0.172432259f;
    vf p = (p4 + f2 * (scale * -0.10082376f)) * f4 + (p2 * f2 + p0);
    return e * (scale * 0.693147181f) + (f * scale + f2 * p);
}

/* Two standard normals from two 32-bit numbers: stream.h */
INLINE void two_normals(vu x, vu y, vf *first, vf *second)
{
    vf u = to_float((vi)(x >> 1)) * 0x1p-31f + 0x1p-32f;
    vf r = root(scaled_ln(u, -2.0f));
    vf a = to_float((vi)(y << 2)) * 0x1p-31f, a2 = a * a;
    vf s = a2 * -3.58772595e-05f + 0.00248987204f;
    s = s * a2 + -0.0807453692f;
    s = s * a2 + 0.785398126f;
    s = s * a;
    vf c = a2 * -0.000318880513f + 0.0158499144f;
    c = c * a2 + -0.308424264f;
    c = c * a2 + 1.0f;
    c = (vf)((vu)c ^ (y & 0x80000000u));
    vu crossed = ((vu)c ^ (vu)s) & (vu)((vi)(y << 1) >> 31);
    *first = r * (vf)((vu)c ^ crossed);
    *second = r * (vf)((vu)s ^ crossed);
}

INLINE vf score_tail(vf w)
{
    vf v = root(w) - 3.0f;
    vf tail = v * -0.000248145137f + 0.00165962009f;
    tail = tail * v + -0.00475319475f;
    tail = tail * v + 0.00817188714f;
    tail = tail * v + -0.0109285712f;
    tail = tail * v + 0.0133454762f;
    tail = tail * v + 1.41659415f;
    return tail * v + 4.00643444f;
}

/* Phi^-1((u + 1/2) / 2^32), absolute error 2e-6: with x = 2 p - 1 and w = -ln(1 - x^2) it is x times a smooth function
 * of w in the middle and of sqrt(w) in the tails (the change of variable is that of Giles 2010, from memory). */
INLINE vf normal_score(vu u)
{
    vi centred = (vi)(u ^ 0x80000000u), size = centred ^ (centred >> 31);
    vf x = (to_float(size) + 0.5f) * 0x1p-31f, rest = (to_float(size ^ 0x7fffffff) + 0.5f) * 0x1p-31f;
    vf w = scaled_ln(rest * (x + 1.0f), -1.0f);
    vf v = w - 2.5f;
    vf middle = v * 4.99127111e-07f + -4.52226777e-06f;
    middle = middle * v + -6.32438059e-06f;
    middle = middle * v + 0.00030746925f;
    middle = middle * v + -0.00177278707f;
    middle = middle * v + -0.00590626942f;
    middle = middle * v + 0.348802567f;
    middle = middle * v + 2.12331319f;
    vi is_middle = w < ALL(5);
    vf z = x * middle;
    if (any(~is_middle)) z = x * either(is_middle, middle, score_tail(w)); /* one number in three hundred */
    return (vf)((vu)z ^ ((vu)centred & 0x80000000u));
}

/* Phi(x), relative error 1e-5 in the lower tail, 0 below -13: exp(-x^2/2) times a polynomial in 1 / (1 + 0.3 |x|) */
INLINE vf normal_below(vf x)
{
    vf size = (vf)((vu)x & 0x7fffffffu);
    vf t = ALL(1) / (size * 0.3f + 1.0f);
    vf p = t * 0.0361948125f + -0.159378141f;
    p = p * t + 0.210118115f;
    p = p * t + -0.0571671352f;
    p = p * t + 0.130416349f;
    p = p * t + 0.0993471518f;
    p = p * t + 0.120845526f;
    p = p * t + 0.119623266f;
    vf tail = p * t * power_of_2(size * size * -0.72134752f);
    tail = either(size < ALL(13), tail, ALL(0));
    return either(x < ALL(0), tail, ALL(1) - tail);
}

/* ---- streams ---- */

INLINE vu turn(vu x, int by)
{
    return (x << by) | (x >> (32 - by));
}

INLINE void take_up(const struct wr_stream *stream, int lane, vu s[4])
{
    for (int i = 0; i < 4; i++) s[i] = load_bits(stream->s[i] + lane);
}

INLINE void put_down(struct wr_stream *stream, int lane, const vu s[4])
{
    for (int i = 0; i < 4; i++) store_bits(stream->s[i] + lane, s[i]);
}

INLINE vu next(vu s[4])
{
    vu result = turn(s[0] + s[3], 7) + s[0], t = s[1] << 9;
    s[2] ^= s[0];
    s[3] ^= s[1];
    s[1] ^= s[2];
    s[0] ^= s[3];
    s[2] ^= t;
    s[3] = turn(s[3], 11);
    return result;
}

static void normals(struct wr_stream *stream, size_t n, float *z)
{
    for (int lane = 0; lane < WR_LANES; lane += WR_WIDE) {
        vu s[4];
        vf first, second;
        take_up(stream, lane, s);
        for (size_t i = (size_t)lane; i < n; i += 2 * WR_LANES) {
            vu x = next(s), y = next(s);
            two_normals(x, y, &first, &second);
            store(z + i, first);
            store(z + i + WR_LANES, second);
        }
        put_down(stream, lane, s);
    }
}

static void pairs(struct wr_stream *stream, size_t n, float *h, float *z)
{
    for (int lane = 0; lane < WR_LANES; lane += WR_WIDE) {
        vu s[4];
        vf first, second;
        take_up(stream, lane, s);
        for (size_t i = (size_t)lane; i < n; i += WR_LANES) {
            vu x = next(s), y = next(s);
            two_normals(x, y, &first, &second);
            store(h + i, first);
            store(z + i, second);
        }
        put_down(stream, lane, s);
    }
}

static void uniforms(struct wr_stream *stream, size_t n, uint32_t *u)
{
    for (int lane = 0; lane < WR_LANES; lane += WR_WIDE) {
        vu s[4];
        take_up(stream, lane, s);
        for (size_t i = (size_t)lane; i < n; i += WR_LANES) store_bits(u + i, next(s));
        put_down(stream, lane, s);
    }
}

/* ---- from scores to minutes and ends ---- */

struct shape { /* known when a loop is compiled */
    bool paired, varying, effect;
};

INLINE vf parameter(const float *p, size_t i, bool varying)
{
    return varying ? load(p + i) : ALL(*p);
}

INLINE void put_log(const struct wr_draw_row *row, struct shape is, size_t i, vf h, vf z)
{
    vf score = z;

    if (is.paired) {
        vf size = (vf)((vu)h & 0x7fffffffu);
        score = parameter(row->skew_h, i, is.varying) * size + parameter(row->skew_z, i, is.varying) * z
                - parameter(row->skew_0, i, is.varying);
    }
    if (is.paired) store(row->score + i, score); /* else the scores are the normals, and in their place */
    vf y = parameter(row->centre, i, is.varying) + parameter(row->spread, i, is.varying) * score;
    if (is.effect) y = y + load(row->effect + i);
    vf minutes = power_of_2(y);
    store(row->minutes + i, minutes);
    store(row->end + i, load(row->start + i) + minutes);
}

INLINE void put_table(const struct wr_draw_row *row, size_t i, vf z)
{
    vf place = (larger(smaller(z, ALL(WR_SCORE_REACH)), ALL(-WR_SCORE_REACH)) + (float)WR_SCORE_REACH) * WR_SCORE_STEPS;
    vi cell = __builtin_convertvector(place, vi);
    vf minutes = look_up(row->table->at, cell) + look_up(row->table->rise, cell) * (place - to_float(cell));

    if (row->effect) minutes = minutes * power_of_2(load(row->effect + i));
    store(row->score + i, z);
    store(row->minutes + i, minutes);
    store(row->end + i, load(row->start + i) + minutes);
}

INLINE void follow_log(const struct wr_draw_row *row, struct shape is, const float *h, const float *z, size_t n)
{
    for (size_t i = 0; i < n; i += WR_WIDE) put_log(row, is, i, load(h + i), load(z + i));
}

/* The loop for each shape; `row` is a copy that nothing else can point to, so that its members stay in registers. */
static void follow(const struct wr_draw_row *given, const float *h, const float *z, size_t n)
{
    const struct wr_draw_row row = *given;
    const int shape = row.paired << 2 | row.varying << 1 | (row.effect != NULL);

    if (row.kind == WR_DRAW_TABLE) {
        for (size_t i = 0; i < n; i += WR_WIDE) put_table(&row, i, load(z + i));
        return;
    }
    if (!row.paired && row.score != z) memcpy(row.score, z, n * sizeof *z);
    switch (shape) {
    case 0: follow_log(&row, (struct shape){false, false, false}, z, z, n); break;
    case 1: follow_log(&row, (struct shape){false, false, true}, z, z, n); break;
    case 2: follow_log(&row, (struct shape){false, true, false}, z, z, n); break;
    case 3: follow_log(&row, (struct shape){false, true, true}, z, z, n); break;
    case 4: follow_log(&row, (struct shape){true, false, false}, h, z, n); break;
    case 5: follow_log(&row, (struct shape){true, false, true}, h, z, n); break;
    case 6: follow_log(&row, (struct shape){true, true, false}, h, z, n); break;
    default: follow_log(&row, (struct shape){true, true, true}, h, z, n); break;
    }
}

/* ---- walking the network ---- */

static void latest(const float *const *end, size_t n_end, float floor, size_t n, float *start)
{
    const float *a = end[0], *b = end[n_end > 1 ? 1 : 0];

    for (size_t i = 0; i < n; i += WR_WIDE) {
        vf v = larger(larger(load(a + i), ALL(floor)), load(b + i));
        for (size_t j = 2; j < n_end; j++) v = larger(v, load(end[j] + i));
        store(start + i, v);
    }
}

static void drop(const float *start, float drop_after, size_t n, float *minutes, float *end, uint32_t *dropped)
{
    for (size_t i = 0; i < n; i += WR_WIDE) {
        vf s = load(start + i);
        vi late = s > ALL(drop_after);
        vf taken = (vf)((vi)load(minutes + i) & ~late);
        store(minutes + i, taken);
        store(end + i, s + taken);
        store_bits(dropped + i, (vu)late);
    }
}

static void add(const float *start, const float *minutes, size_t n, float *end)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(end + i, load(start + i) + load(minutes + i));
}

static void add_scaled(const float *start, const float *minutes, const float *factor, size_t n, float *end)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(end + i, load(start + i) + load(minutes + i) * load(factor + i));
}

static void exp2_row(const float *x, size_t n, float *y)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(y + i, power_of_2(load(x + i)));
}

static void ln_row(const float *x, size_t n, float *y)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(y + i, scaled_ln(larger(load(x + i), ALL(1e-30f)), 1.0f));
}

INLINE vu marked_by(const struct wr_path_edge *edge, size_t n_edge, vf end, size_t i)
{
    vu marked = {0};

    for (size_t j = 0; j < n_edge; j++) {
        vu after = load_bits(edge[j].path + i);
        if (edge[j].start) after &= (vu)(end == load(edge[j].start + i));
        marked |= after;
    }
    return marked;
}

/* Loops over rows in the order of count lanes, so that a lane's count stays in a register. */
INLINE void mark(const struct wr_path_edge *edge, size_t n_edge, const float *end, const float *finish, size_t n,
                 uint32_t *on_path, uint32_t *counts)
{
    for (int lane = 0; lane < WR_LANES; lane += WR_WIDE) {
        vu sum = load_bits(counts + lane);
        for (size_t i = (size_t)lane; i < n; i += WR_LANES) {
            vf own_end = load(end + i);
            vu marked = marked_by(edge, n_edge, own_end, i);
            if (finish) marked |= (vu)(own_end == load(finish + i));
            store_bits(on_path + i, marked);
            sum -= marked; /* all ones is minus one */
        }
        store_bits(counts + lane, sum);
    }
}

static void path(const struct wr_path_edge *edge, size_t n_edge, const float *end, const float *finish, size_t n,
                 size_t n_valid, uint32_t *on_path, uint32_t *counts)
{
    struct wr_path_edge own[2];

    if (n_edge && n_edge <= 2 && !finish) { /* nearly all; a copy, so that it stays in registers */
        own[0] = edge[0];
        own[1] = edge[n_edge - 1];
        if (n_edge == 1) mark(own, 1, end, NULL, n, on_path, counts);
        else mark(own, 2, end, NULL, n, on_path, counts);
    } else {
        mark(edge, n_edge, end, finish, n, on_path, counts);
    }
    for (size_t i = n_valid; i < n; i++) {
        counts[i % WR_LANES] -= on_path[i] & 1;
        on_path[i] = 0;
    }
}

static void count(const uint32_t *on_path, const uint32_t *dropped, size_t n, uint32_t *counts)
{
    for (int lane = 0; lane < WR_LANES; lane += WR_WIDE) {
        vu sum = load_bits(counts + lane);
        for (size_t i = (size_t)lane; i < n; i += WR_LANES)
            sum -= dropped ? load_bits(on_path + i) & ~load_bits(dropped + i) : load_bits(on_path + i);
        store_bits(counts + lane, sum);
    }
}

static void bins(const struct wr_window *w, const float *value, size_t n, uint32_t *bin)
{
    const vi last = (vi){0} + (int32_t)(w->n_bin - 1);

    for (size_t i = 0; i < n; i += WR_WIDE) {
        vi above = (vi)((vu)load(value + i) - w->low_bits);
        vi at = (vi)((vu)(above & ~(above >> 31)) >> w->shift);
        vi beyond = at > last;
        store_bits(bin + i, (vu)((beyond & last) | (~beyond & at)));
    }
}

static void dots(const float *row, size_t stride, size_t n_row, const float *deviation, size_t n, float *sum)
{
    enum { PARTS = WR_SUM_LANES / WR_WIDE };

    for (size_t k = 0; k < n_row; k++, row += stride, sum += WR_SUM_LANES) {
        vf s[PARTS];
        for (int j = 0; j < PARTS; j++) s[j] = load(sum + j * WR_WIDE);
        for (size_t i = 0; i < n; i += WR_SUM_LANES)
            for (int j = 0; j < PARTS; j++) s[j] += load(row + i + j * WR_WIDE) * load(deviation + i + j * WR_WIDE);
        for (int j = 0; j < PARTS; j++) store(sum + j * WR_WIDE, s[j]);
    }
}

/* ---- days pushed along a way, in double precision ---- */

enum { WIDE_2 = WR_WIDE / 2 }; /* doubles per vector */
typedef double vd __attribute__((vector_size(8 * WIDE_2)));
typedef int64_t vl __attribute__((vector_size(8 * WIDE_2)));
#define ALL_2(value) ((vd){0} + (double)(value))

INLINE vd load_2(const double *p)
{
    vd v;
    memcpy(&v, p, sizeof v);
    return v;
}

INLINE void store_2(double *p, vd v)
{
    memcpy(p, &v, sizeof v);
}

INLINE vd either_2(vl mask, vd yes, vd no)
{
    return (vd)((mask & (vl)yes) | (~mask & (vl)no));
}

/* e^x as 2^whole times the Taylor series of e^r, |r| <= ln 2 / 2, up to r^12; x is held to [-700, 700]. Relative error
 * below 5e-16: at 4.5 million arguments the largest was 4.8e-16, against expl. */
INLINE vd power_of_e(vd x)
{
    const double magic = 0x1.8p52; /* adding it rounds to a whole number, kept in the low bits */
    x = either_2(x > ALL_2(700), ALL_2(700), x);
    x = either_2(x < ALL_2(-700), ALL_2(-700), x);
    vd whole = x * 0x1.71547652b82fep0 + magic, n = whole - magic;
    /* ln 2, its first 37 bits apart, so that n times these is exact */
    vd r = (x - n * 0x1.62e42fefap-1) - n * 0x1.cf79abc9e3b3ap-40;
    vd r2 = r * r, r4 = r2 * r2;
    vd p0 = (r + 1.0) + r2 * (r * (1.0 / 6) + 0.5);
    vd p4 = (r * (1.0 / 120) + 1.0 / 24) + r2 * (r * (1.0 / 5040) + 1.0 / 720);
    vd p8 = (r * (1.0 / 362880) + 1.0 / 40320) + r2 * (r * (1.0 / 39916800) + 1.0 / 3628800) + r4 * (1.0 / 479001600);
    vd p = p0 + r4 * (p4 + r4 * p8);
    return (vd)((vl)p + ((vl)whole << 52));
}

INLINE void start_of(const struct wr_push_row *row, size_t i, vd *start, vd *rate)
{
    *start = ALL_2(row->floor_min);
    *rate = ALL_2(0);
    if (row->held_min) {
        vd held = load_2(row->held_min + i);
        *start = either_2(held > *start, held, *start);
    }
    for (size_t j = 0; j < row->n_before; j++) {
        vd end = load_2(row->end_min[j] + i);
        vl later = (vl)(end > *start);
        *start = either_2(later, end, *start);
        *rate = either_2(later, load_2(row->end_rate[j] + i), *rate);
    }
}

INLINE void push_some(const struct wr_push_row *row, bool given, bool factor, bool drops)
{
    for (size_t i = 0; i < WR_ABREAST; i += WIDE_2) {
        vd start, start_rate, minutes = load_2(row->minutes + i), rate = load_2(row->rate + i);
        start_of(row, i, &start, &start_rate);
        if (!given) {
            minutes = minutes * power_of_e(rate * load_2(row->delta + i));
            rate = rate * minutes;
        }
        if (factor) {
            minutes = minutes * load_2(row->factor + i);
            rate = rate * minutes;
        }
        if (drops) {
            vl late = (vl)(start > ALL_2(row->drop_after_min));
            minutes = (vd)((vl)minutes & ~late);
            rate = (vd)((vl)rate & ~late);
            memcpy(row->dropped + i, &late, sizeof late);
        }
        store_2(row->start_min + i, start);
        store_2(row->start_rate + i, start_rate);
        store_2(row->end + i, start + minutes);
        store_2(row->rate_at_end + i, start_rate + rate);
    }
}

static void push(const struct wr_push_row *given)
{
    const struct wr_push_row row = *given; /* a copy that nothing else can point to: see follow() */

    if (row.given && row.factor) push_some(&row, true, true, isfinite(row.drop_after_min));
    else if (row.given) push_some(&row, true, false, isfinite(row.drop_after_min));
    else if (isfinite(row.drop_after_min)) push_some(&row, false, false, true);
    else push_some(&row, false, false, false);
}

/* ---- lattice points and tails ---- */

static void lattice(const uint32_t *index, uint32_t generator, const uint32_t *shift, size_t n, uint32_t *u)
{
    for (size_t i = 0; i < n; i += WR_WIDE) {
        vu x = load_bits(index + i) * generator + load_bits(shift + i);
        store_bits(u + i, (x << 1) ^ (vu)((vi)x >> 31));
    }
}

static void scores(const uint32_t *u, size_t n, float *z)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(z + i, normal_score(load_bits(u + i)));
}

static void below(const float *x, float at, float slope, size_t n, float *p)
{
    for (size_t i = 0; i < n; i += WR_WIDE) store(p + i, normal_below((load(x + i) - at) * slope));
}

const struct wr_kernel WR_KERNEL = {
    .name = WR_KERNEL_NAME,
    .normals = normals,
    .pairs = pairs,
    .uniforms = uniforms,
    .follow = follow,
    .latest = latest,
    .drop = drop,
    .add = add,
    .add_scaled = add_scaled,
    .exp2_row = exp2_row,
    .ln_row = ln_row,
    .path = path,
    .count = count,
    .bins = bins,
    .dots = dots,
    .push = push,
    .lattice = lattice,
    .scores = scores,
    .below = below,
};
