/* The people of a series of made campaigns: joined where they are the same, levelled where work goes on to others,
 * taken over where nobody rehearsed. */
#include <check.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>
#include "wetrun/base/str.h"
#include "wetrun/study/series.h"

enum { RUNS = 8, TASKS = 6 };
static const int number[TASKS] = {0, 1, 2, 3, 5, 4}; /* T5 may go on to others: it is not the way back in */

struct folder {
    char path[64];
};

static void put(const struct folder *f, const char *in, const char *name, const char *text)
{
    char path[160];

    snprintf(path, sizeof path, "%s/%s", f->path, in);
    (void)mkdir(path, 0700);
    snprintf(path, sizeof path, "%s/%s/%s", f->path, in, name);
    FILE *out = fopen(path, "w");
    ck_assert_ptr_nonnull(out);
    fputs(text, out);
    ck_assert_int_eq(fclose(out), 0);
}

/* Eight rehearsals in one lane by people in turn; person p takes 1 + p/5 times as long. */
static void put_campaign(const struct folder *f, const char *in, const char *const *person, size_t n_person,
                         size_t shift)
{
    struct wr_str plan = {0}, log = {0};

    wr_str_add(&plan, "task,crew,planned\n");
    for (size_t k = 0; k < TASKS; k++) wr_str_addf(&plan, "T%d,EV1,%zu\n", number[k], 20 + 3 * k);
    put(f, in, "plan.csv", wr_str_text(&plan));
    put(f, in, "limits.csv", "limit,crew,from,to,minutes,confidence\nexcursion,all,,,200,0.9\n");
    wr_str_add(&log, "run,task,crew,performer,start,end,outcome\n");
    for (size_t r = 0; r < (n_person ? RUNS : 0); r++) {
        const char *who = person[r % n_person];
        double at = 0;
        for (size_t k = 0; k < TASKS; k++) {
            double own = 1 + 0.04 * ((double)((7 * r + 5 * k + 3 * shift) % 11) - 5) / 5;
            double minutes = (20 + 3 * (double)k) * (who[0] ? 1 + (double)(who[0] - 'A') / 5 : 1) * own;
            wr_str_addf(&log, "R%zu,T%d,EV1,%s,%.2f,%.2f,done\n", r, number[k], who, at, at + minutes);
            at += minutes;
        }
    }
    if (n_person) put(f, in, "runs.csv", wr_str_text(&log));
    wr_str_release(&plan);
    wr_str_release(&log);
}

static void remove_all(const struct folder *f)
{
    static const char *const file[] = {"a/plan.csv",   "a/runs.csv", "a/limits.csv", "b/plan.csv",   "b/runs.csv",
                                       "b/limits.csv", "c/plan.csv", "c/limits.csv", "./series.csv", "./spill.csv"};
    char path[160];

    for (size_t i = 0; i < sizeof file / sizeof *file; i++) {
        snprintf(path, sizeof path, "%s/%s", f->path, file[i]);
        ck_assert_int_eq(unlink(path), 0);
    }
    for (const char *c = "abc"; *c; c++) {
        snprintf(path, sizeof path, "%s/%c", f->path, *c);
        ck_assert_int_eq(rmdir(path), 0);
    }
    ck_assert_int_eq(rmdir(f->path), 0);
}

/* a: A, B and C; b: B, C and D; c: a plan with three points; X of a's plan goes on to both. */
static void run(struct folder *f, struct wr_series_study *s)
{
    static const char *const first[] = {"A", "B", "C"}, *const second[] = {"B", "C", "D"};
    struct wr_study_options options = wr_study_default();
    struct wr_error err = {0};

    *f = (struct folder){"/tmp/wetrun-series-XXXXXX"};
    ck_assert_ptr_nonnull(mkdtemp(f->path));
    put_campaign(f, "a", first, 3, 0);
    put_campaign(f, "b", second, 3, 1);
    put_campaign(f, "c", NULL, 0, 0);
    put(f, "b", "plan.csv", "task,crew,planned\nT0,EV1,20\nT1,EV1,23\nT2,EV1,26\nT3,EV1,29\nT4,EV1,32\n");
    put(f, "c", "plan.csv", "task,crew,low,likely,high\nU,EV1,50,60,80\n");
    put(f, ".", "series.csv", "excursion,campaign,date,people\nOne,a,,\nTwo,b,,EV1=D\nThree,c,,EV1=A\n");
    put(f, ".", "spill.csv", "task,from,to,setup,before,stop\nT5,One,Two,0,T4,2:00\nT5,Two,Three,0,,2:00\n");
    options.folder = f->path;
    options.n_trial = 4096;
    ck_assert_msg(wr_series_study_run(s, &options, &err) == WR_OK, "%s", err.text);
}

static const double *effect(const struct wr_series_study *s, size_t e, const char *name)
{
    const struct wr_series_excursion *x = &s->excursion[e];

    for (size_t p = 0; p < x->n_who; p++)
        if (strcmp(s->person[x->who[p]].name, name) == 0) return x->durations.q + p * x->durations.n_draw;
    ck_abort_msg("no '%s' in excursion %zu", name, e);
    return NULL;
}

START_TEST(the_same_name_is_the_same_person)
{
    struct folder f;
    struct wr_series_study s = {0};

    run(&f, &s);
    const size_t n = s.excursion[0].durations.n_draw;
    for (const char *name = "B"; name; name = *name == 'B' ? "C" : NULL)
        ck_assert_double_gt(gsl_stats_correlation(effect(&s, 0, name), 1, effect(&s, 1, name), 1, n), 0.9);
    const double *fit = s.excursion[1].study.durations.q, *joined = s.excursion[1].durations.q;
    for (size_t p = 0; p < 3; p++) /* each campaign keeps what it says */
        ck_assert_double_eq_tol(gsl_stats_mean(fit + p * n, 1, n), gsl_stats_mean(joined + p * n, 1, n), 1e-9);
    ck_assert_uint_eq(s.n_person, 4);
    for (size_t i = 0; i < 4; i++)
        ck_assert_uint_eq(s.person[i].n_in, s.person[i].name[0] == 'A' || s.person[i].name[0] == 'D' ? 1 : 2);
    wr_series_study_release(&s);
    remove_all(&f);
}
END_TEST

/* T5 is known from One alone. Both campaigns know B and C: on the mean of these two it takes the same in Two as in One,
 * draw by draw. */
START_TEST(work_from_elsewhere_is_done_at_the_level_of_who_does_it)
{
    struct folder f;
    struct wr_series_study s = {0};

    run(&f, &s);
    const struct wr_durations *one = &s.excursion[0].durations, *two = &s.excursion[1].durations;
    const size_t n = one->n_draw, there = wr_plan_find(&s.excursion[0].plan, "T5");
    size_t here = 0;
    while (strcmp(s.excursion[1].plan.task[here].id, "T5") != 0) here++;
    double most = 0, apart = 0;
    for (size_t j = 0; j < n; j++) {
        double in_one = one->centre_log[there * n + j] + (effect(&s, 0, "B")[j] + effect(&s, 0, "C")[j]) / 2;
        double in_two = two->centre_log[here * n + j] + (effect(&s, 1, "B")[j] + effect(&s, 1, "C")[j]) / 2;
        most = fmax(most, fabs(in_one - in_two));
        apart = fmax(apart, fabs(one->centre_log[there * n + j] - two->centre_log[here * n + j]));
    }
    ck_assert_double_lt(most, 1e-9);
    ck_assert_double_gt(apart, 0.02); /* else there is nothing to level */
    wr_series_study_release(&s);
    remove_all(&f);
}
END_TEST

START_TEST(without_rehearsals_the_last_people_do_it)
{
    struct folder f;
    struct wr_series_study s = {0};

    run(&f, &s);
    const struct wr_durations *two = &s.excursion[1].durations, *three = &s.excursion[2].durations;
    ck_assert_uint_eq(s.excursion[2].team, 1);
    ck_assert_uint_eq(three->n_person, two->n_person + 1); /* A as well, below */
    ck_assert_mem_eq(three->q, two->q, two->n_person * two->n_draw * sizeof *two->q);
    ck_assert_uint_eq(three->n_line_up, two->n_line_up);
    wr_series_study_release(&s);
    remove_all(&f);
}
END_TEST

/* By the file alone: D flies Two and rehearsed for it; A flies Three, which nobody rehearsed, and is
 * known from One. */
START_TEST(whom_the_file_names_flies)
{
    struct folder f;
    struct wr_series_study s = {0};

    run(&f, &s);
    const struct wr_durations *two = &s.excursion[1].durations, *three = &s.excursion[2].durations;
    const size_t n = two->n_draw;
    for (size_t i = 0; i < two->n_line_up; i++)
        ck_assert_ptr_eq(two->q + (size_t)two->line_up[i * two->n_lane] * n, effect(&s, 1, "D"));
    for (size_t i = 0; i < three->n_line_up; i++)
        ck_assert_mem_eq(three->q + (size_t)three->line_up[i * three->n_lane] * n, effect(&s, 0, "A"),
                         n * sizeof(double));
    wr_series_study_release(&s);
    remove_all(&f);
}
END_TEST

/* What the folders hold is named by the caller; whatever they are left with goes. */
static void remove_folders(const struct folder *f, const char *folders)
{
    static const char *const file[] = {"plan.csv", "runs.csv", "limits.csv"};
    char path[160];

    for (const char *c = folders; *c; c++) {
        for (size_t i = 0; i < 3; i++) {
            snprintf(path, sizeof path, "%s/%c/%s", f->path, *c, file[i]);
            (void)unlink(path);
        }
        snprintf(path, sizeof path, "%s/%c", f->path, *c);
        ck_assert_int_eq(rmdir(path), 0);
    }
    snprintf(path, sizeof path, "%s/series.csv", f->path);
    ck_assert_int_eq(unlink(path), 0);
    ck_assert_int_eq(rmdir(f->path), 0);
}

static void run_folders(struct folder *f, struct wr_series_study *s, const char *series)
{
    struct wr_study_options options = wr_study_default();
    struct wr_error err = {0};

    put(f, ".", "series.csv", series);
    options.folder = f->path;
    options.n_trial = 4096;
    ck_assert_msg(wr_series_study_run(s, &options, &err) == WR_OK, "%s", err.text);
}

/* E flies One and is known from Two alone, which comes later; nobody knows Z, who is anybody. */
START_TEST(who_is_known_from_a_later_excursion_alone)
{
    static const char *const first[] = {"A", "B", "C"}, *const second[] = {"B", "D", "E"};
    struct folder f = {"/tmp/wetrun-series-XXXXXX"};
    struct wr_series_study s = {0};

    ck_assert_ptr_nonnull(mkdtemp(f.path));
    put_campaign(&f, "a", first, 3, 0);
    put_campaign(&f, "b", second, 3, 1);
    run_folders(&f, &s, "excursion,campaign,date,people\nOne,a,,EV1=E\nTwo,b,,EV1=Z\n");
    const struct wr_durations *one = &s.excursion[0].durations, *two = &s.excursion[1].durations;
    const size_t n = one->n_draw;
    ck_assert_uint_eq(one->n_person, 4); /* A, B, C, and E as Two has them */
    for (size_t i = 0; i < one->n_line_up; i++) {
        ck_assert_int_eq(one->line_up[i * one->n_lane], 3);
        ck_assert_int_eq(two->line_up[i * two->n_lane], WR_PERSON_NEW);
    }
    const double *own = s.excursion[1].study.durations.q; /* in the order of its log: B, D, E */
    ck_assert_mem_eq(one->q + 3 * n, own + 2 * n, n * sizeof *own);
    wr_series_study_release(&s);
    remove_folders(&f, "ab");
}
END_TEST

/* One lane is called otherwise in the second plan, which nobody rehearsed: who stands there is anybody. */
START_TEST(a_lane_that_the_others_do_not_have)
{
    static const char *const first[] = {"A", "B", "C"};
    struct folder f = {"/tmp/wetrun-series-XXXXXX"};
    struct wr_series_study s = {0};

    ck_assert_ptr_nonnull(mkdtemp(f.path));
    put_campaign(&f, "a", first, 3, 0);
    put_campaign(&f, "b", NULL, 0, 0);
    put(&f, "b", "plan.csv", "task,crew,low,likely,high\nU,EV1,50,60,80\nV,EV2,40,50,70\n");
    run_folders(&f, &s, "excursion,campaign,date\nOne,a,\nTwo,b,\n");
    const struct wr_durations *one = &s.excursion[0].durations, *two = &s.excursion[1].durations;
    ck_assert_uint_eq(two->n_line_up, one->n_line_up);
    for (size_t i = 0; i < two->n_line_up; i++) {
        ck_assert_int_eq(two->line_up[2 * i], one->line_up[i]);
        ck_assert_int_eq(two->line_up[2 * i + 1], WR_PERSON_NEW);
    }
    wr_series_study_release(&s);
    remove_folders(&f, "ab");
}
END_TEST

/* Nobody is named in any log: whom the file puts into a lane changes nothing, for people are not in the model. */
START_TEST(people_of_logs_that_name_none)
{
    static const char *const nobody[] = {""};
    struct folder f = {"/tmp/wetrun-series-XXXXXX"};
    struct wr_series_study s = {0};

    ck_assert_ptr_nonnull(mkdtemp(f.path));
    for (const char *c = "ab"; *c; c++) {
        char folder[2] = {*c, '\0'};
        put_campaign(&f, folder, nobody, 1, *c == 'b');
    }
    run_folders(&f, &s, "excursion,campaign,date,people\nOne,a,,EV1=Z\nTwo,b,,\n");
    for (size_t e = 0; e < 2; e++) {
        const struct wr_durations *d = &s.excursion[e].durations;
        ck_assert_uint_eq(d->n_person, 0);
        for (size_t i = 0; i < d->n_line_up; i++) ck_assert_int_eq(d->line_up[i * d->n_lane], WR_PERSON_NONE);
    }
    wr_series_study_release(&s);
    remove_folders(&f, "ab");
}
END_TEST

/* Each task fitted by itself leaves one draw: what is taken for known has no interval. */
START_TEST(one_draw_has_no_interval)
{
    static const char *const first[] = {"A", "B", "C"};
    struct folder f = {"/tmp/wetrun-series-XXXXXX"};
    struct wr_series_study s = {0};
    struct wr_study_options options = wr_study_default();
    struct wr_error err = {0};

    ck_assert_ptr_nonnull(mkdtemp(f.path));
    put_campaign(&f, "a", first, 3, 0);
    put_campaign(&f, "b", first, 3, 1);
    put(&f, ".", "series.csv", "excursion,campaign,date\nOne,a,\nTwo,b,\n");
    options.folder = f.path;
    options.n_trial = 4096;
    options.fit.model = WR_MODEL_ALONE;
    ck_assert_msg(wr_series_study_run(&s, &options, &err) == WR_OK, "%s", err.text);
    ck_assert(!s.has_interval && s.excursion[0].durations.n_draw == 1);
    ck_assert_double_eq(s.result.any_over_mc_error, 0);
    wr_series_study_release(&s);
    remove_folders(&f, "ab");
}
END_TEST

Suite *suite_series_people(void);
Suite *suite_series_people(void)
{
    Suite *s = suite_create("series_people");
    TCase *c = tcase_create("series_people");

    tcase_set_timeout(c, 120);
    tcase_add_test(c, the_same_name_is_the_same_person);
    tcase_add_test(c, work_from_elsewhere_is_done_at_the_level_of_who_does_it);
    tcase_add_test(c, without_rehearsals_the_last_people_do_it);
    tcase_add_test(c, whom_the_file_names_flies);
    tcase_add_test(c, who_is_known_from_a_later_excursion_alone);
    tcase_add_test(c, a_lane_that_the_others_do_not_have);
    tcase_add_test(c, people_of_logs_that_name_none);
    tcase_add_test(c, one_draw_has_no_interval);
    suite_add_tcase(s, c);
    return s;
}
