/* Which families are laid against the times of a task, and in which order. When a family has a fit at all is stated in
 * stats/censored_fit.h. */
#include <check.h>
#include <string.h>
#include "made_timing.h"
#include "wetrun/decide/candidates.h"
#include "wetrun/model/durations.h"

static const struct wr_candidate_options options = {.n_resample = 0, .seed = 1, .n_thread = 1};

START_TEST(families_with_a_fit_come_first)
{
    static const double times[] = {4, 5, 40, 50, 60, 70, 80};
    struct wr_timing t;
    struct wr_candidates c = {0};
    size_t n_fitted = 0;

    made_timing_init(&t, 2, 7, 1);
    for (size_t r = 0; r < 7; r++) { /* mostly stopped: the inverse Gaussian would have an infinite mean */
        made_cell(&t, 0, r)->active_min = times[r];
        if (r > 1) made_cell(&t, 0, r)->state = WR_CELL_STOPPED;
    }
    wr_candidates_fit(&c, &t, &options);
    for (size_t i = 0; i < WR_N_FAMILY; i++) {
        const struct wr_candidate *x = &c.candidate[i];
        n_fitted += x->fitted;
        ck_assert(x->fitted == (x->why[0] == '\0'));
        ck_assert(!x->anderson_darling.known);
        if (i > 0) {
            ck_assert(x[-1].fitted || !x->fitted);
            if (x->fitted && x->fit.aicc.known) ck_assert_double_le(x[-1].fit.aicc.value, x->fit.aicc.value);
        }
    }
    ck_assert(n_fitted == WR_N_FAMILY - 1 && c.candidate[WR_N_FAMILY - 1].family == WR_INVGAUSS);
    /* seven times of 10 min: none has a fit, and they stand in their own order */
    for (size_t i = 0; i < WR_N_FAMILY; i++) {
        const struct wr_candidate *x = &c.candidate[WR_N_FAMILY + i];
        ck_assert(!x->fitted && x->why[0] && x->family == (enum wr_family)i);
    }
    wr_candidates_release(&c);
    made_timing_release(&t);
}
END_TEST

/* The rehearsals that the model takes, the last WR_MOST_RUNS, are those that are looked at. */
START_TEST(only_what_is_modelled_is_looked_at)
{
    enum { RUNS = WR_MOST_RUNS + 5 };
    struct wr_timing t;
    struct wr_candidates c = {0};

    made_timing_init(&t, 1, RUNS, 1);
    for (size_t r = 0; r < RUNS; r++) made_cell(&t, 0, r)->active_min = r < 5 ? 1000 : 10 + (double)(r % 7);
    wr_candidates_fit(&c, &t, &options);
    ck_assert(c.candidate[0].fitted && c.candidate[0].fit.n_done == WR_MOST_RUNS);
    wr_candidates_release(&c);
    made_timing_release(&t);
}
END_TEST

Suite *suite_candidates(void);
Suite *suite_candidates(void)
{
    Suite *s = suite_create("candidates");
    TCase *t = tcase_create("candidates");

    tcase_add_test(t, families_with_a_fit_come_first);
    tcase_add_test(t, only_what_is_modelled_is_looked_at);
    suite_add_tcase(s, t);
    return s;
}
