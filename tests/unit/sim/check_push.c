/* The forward pass of pushed days against one written out with the C library's exp, and one instruction set against
 * another. */
#include <check.h>
#include <math.h>
#include <string.h>
#include "../../../src/sim/kernel.h"
#include "made_plan.h"
#include "wetrun/sim/push.h"

enum { N_BEFORE = 3, N_OUT = 4 };

struct made {
    double end[N_BEFORE][WR_ABREAST], end_rate[N_BEFORE][WR_ABREAST], minutes[WR_ABREAST], rate[WR_ABREAST];
    double delta[WR_ABREAST], held[WR_ABREAST];
    const double *ends[N_BEFORE], *end_rates[N_BEFORE];
    struct wr_push_row row;
    double out[N_OUT][WR_ABREAST];
    uint64_t dropped[WR_ABREAST];
};

static void make(struct made *m, unsigned variant, unsigned long long *state)
{
    memset(m, 0, sizeof *m);
    for (size_t i = 0; i < WR_ABREAST; i++) {
        for (size_t j = 0; j < N_BEFORE; j++) {
            m->end[j][i] = floor(200 * made_uniform(state)) / 2; /* ties happen */
            m->end_rate[j][i] = 20 * made_uniform(state);
        }
        m->minutes[i] = 1 + 40 * made_uniform(state);
        m->rate[i] = made_uniform(state);
        m->delta[i] = 16 * made_uniform(state) - 8;
        m->held[i] = 150 * made_uniform(state);
    }
    m->rate[3] = 100; /* beyond what a double holds, either way */
    m->delta[3] = 8;
    m->rate[4] = 100;
    m->delta[4] = -8;
    for (size_t j = 0; j < N_BEFORE; j++) {
        m->ends[j] = m->end[j];
        m->end_rates[j] = m->end_rate[j];
    }
    m->row = (struct wr_push_row){
        .end_min = m->ends, .end_rate = m->end_rates, .n_before = variant % (N_BEFORE + 1), .floor_min = 30,
        .held_min = variant & 4 ? m->held : NULL, .drop_after_min = variant & 8 ? 70 : INFINITY, .given = variant & 16,
        .factor = (variant & 48) == 48 ? m->held : NULL, .minutes = m->minutes, .rate = m->rate,
        .delta = m->delta, .start_min = m->out[0], .start_rate = m->out[1],
        .end = m->out[2], .rate_at_end = m->out[3], .dropped = m->dropped};
}

/* Beyond the error of the kernel's exp, at most 5e-16, the C library's exp and the sums round: two units in the last
 * place each, 4.4e-16. */
START_TEST(as_written_out)
{
    unsigned long long state = 11 + (unsigned long long)_i;
    struct made m;

    make(&m, (unsigned)_i, &state);
    wr_push_best()(&m.row);
    for (size_t i = 0; i < WR_ABREAST; i++) {
        double start = 30, start_rate = 0;
        if (m.row.held_min && m.held[i] > start) start = m.held[i];
        for (size_t j = 0; j < m.row.n_before; j++) {
            if (m.end[j][i] <= start) continue;
            start = m.end[j][i];
            start_rate = m.end_rate[j][i];
        }
        bool dropped = start > m.row.drop_after_min;
        double power = fmin(fmax(m.rate[i] * m.delta[i], -700), 700);
        double factor = m.row.factor ? m.held[i] : m.row.given ? 1 : exp(power), minutes = m.minutes[i] * factor;
        double rate = m.row.given && !m.row.factor ? m.rate[i] : m.rate[i] * minutes;
        if (dropped) minutes = rate = 0;
        ck_assert_double_eq(m.out[0][i], start);
        ck_assert_double_eq(m.out[1][i], start_rate);
        ck_assert_double_le(fabs(m.out[2][i] - (start + minutes)), 1e-15 * (start + minutes) + 4e-16 * minutes);
        ck_assert_double_le(fabs(m.out[3][i] - (start_rate + rate)), 1e-15 * (start_rate + rate) + 1e-15 * rate);
        ck_assert_int_eq(m.dropped[i] != 0, dropped);
        ck_assert(m.dropped[i] == 0 || m.dropped[i] == UINT64_MAX);
    }
}
END_TEST

START_TEST(the_same_bytes_from_every_kernel)
{
    for (unsigned variant = 0; variant < 64; variant++) {
        unsigned long long state = 71 + variant;
        struct made first, other;
        make(&first, variant, &state);
        wr_kernel_at(0)->push(&first.row);
        for (size_t k = 1; wr_kernel_at(k); k++) {
            state = 71 + variant;
            make(&other, variant, &state);
            wr_kernel_at(k)->push(&other.row);
            ck_assert_msg(memcmp(first.out, other.out, sizeof first.out) == 0, "%s, variant %u", wr_kernel_at(k)->name,
                          variant);
            ck_assert_msg(memcmp(first.dropped, other.dropped, sizeof first.dropped) == 0, "%s", wr_kernel_at(k)->name);
        }
    }
}
END_TEST

/* A push of nothing must not move a day in the last bit. */
START_TEST(no_push_changes_nothing)
{
    unsigned long long state = 5;
    struct made m;

    make(&m, 0, &state);
    memset(m.delta, 0, sizeof m.delta);
    wr_push_best()(&m.row);
    for (size_t i = 0; i < WR_ABREAST; i++) ck_assert_double_eq(m.out[2][i], 30 + m.minutes[i]);
}
END_TEST

Suite *suite_push(void);
Suite *suite_push(void)
{
    Suite *s = suite_create("push");
    TCase *t = tcase_create("rows");

    tcase_add_loop_test(t, as_written_out, 0, 64);
    tcase_add_test(t, the_same_bytes_from_every_kernel);
    tcase_add_test(t, no_push_changes_nothing);
    suite_add_tcase(s, t);
    return s;
}
