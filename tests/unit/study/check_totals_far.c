/* A forecast that something draws away from what all rehearsals took, here priors that are sure of what is not so: no
 * answer about a limit is firm, whatever is asked for. */
#include <check.h>
#include <string.h>
#include "wetrun/study/study.h"

enum { TRIALS = 4000 };

/* Nine invented rehearsals, and priors by which tasks take exp(level) times what is planned, to 2 %: at 0.1 they are
 * not far from it. Tests run at the top of the source tree. */
static struct wr_study_options options_with(double level)
{
    struct wr_study_options o = wr_study_default();

    o.folder = "datasets/petrel-7";
    o.n_trial = TRIALS;
    o.fit.priors.a_mean = level;
    o.fit.priors.a_sd = 0.02;
    o.fit.priors.omega_scale = 0.02;
    o.fit.priors.tau_scale = 0.5;
    return o;
}

static size_t count_far(const struct wr_study *s, const char **message)
{
    size_t n = 0;

    for (size_t i = 0; i < s->findings.n_finding; i++) {
        if (strcmp(s->findings.finding[i].code, "totals-far") != 0) continue;
        n++;
        *message = s->findings.finding[i].message;
    }
    return n;
}

static const struct {
    double level;
    enum wr_target target;
    const char *people;
    double gap;
    const char *says; /* NULL: nothing is found */
} asked[] = {
    {0.1, WR_FOR_REHEARSAL, NULL, 0, NULL},
    {0.1, WR_FOR_EXCURSION, NULL, 0, NULL},
    {0.1, WR_FOR_REHEARSAL, NULL, 50, NULL}, /* a third later, which is the allowance's */
    {-2.3, WR_FOR_REHEARSAL, NULL, 0, "the forecast's middle lies"},
    {2.3, WR_FOR_REHEARSAL, NULL, 0, "the forecast's middle lies"},
    {-2.3, WR_FOR_EXCURSION, NULL, 0, "of a further rehearsal, by whoever rehearsed, the same model's middle lies"},
    {-2.3, WR_FOR_REHEARSAL, NULL, 50, "of a further rehearsal, by whoever rehearsed, the same model's middle lies"},
    {-2.3, WR_FOR_REHEARSAL, "EV1=Somebody", 0, "of a further rehearsal, by whoever rehearsed, the same model's"}};

START_TEST(no_answer_far_from_all_rehearsals_is_firm)
{
    struct wr_study_options options = options_with(asked[_i].level);
    struct wr_study study = {0};
    struct wr_error err;
    const char *message = "";

    options.fit.target = asked[_i].target;
    options.fit.people = asked[_i].people;
    options.fit.gap_allowance = asked[_i].gap;
    enum wr_status status = wr_study_open(&study, &options, &err);
    if (!status) status = wr_study_make(&study, WR_RESULT_FORECAST, &err);
    ck_assert_msg(status == WR_OK, "%s", err.text);
    ck_assert_uint_eq(count_far(&study, &message), asked[_i].says != NULL);
    if (asked[_i].says) ck_assert_msg(strncmp(message, asked[_i].says, strlen(asked[_i].says)) == 0, "%s", message);
    ck_assert(wr_findings_keep_open(&study.findings) == (asked[_i].says != NULL));
    wr_study_release(&study);
}
END_TEST

Suite *suite_totals_far(void);
Suite *suite_totals_far(void)
{
    Suite *s = suite_create("totals_far");
    TCase *t = tcase_create("totals_far");

    tcase_set_timeout(t, 120);
    tcase_add_loop_test(t, no_answer_far_from_all_rehearsals_is_firm, 0, sizeof asked / sizeof *asked);
    suite_add_tcase(s, t);
    return s;
}
