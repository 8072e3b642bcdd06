/* limits.csv and history.csv. All limits here are invented. */
#include <check.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/campaign/limits.h"

static const char plan_text[] = "task,crew\nOUT,EV1+EV2\nA,EV1\nB,EV2\nC,EV2\nIN,EV1+EV2\n";

struct outcome {
    enum wr_status status;
    struct wr_plan plan;
    struct wr_limits limits;
    struct wr_history history;
    struct wr_findings findings;
    struct wr_error err;
};

static struct outcome read_limits(const char *text)
{
    struct outcome o = {0};

    ck_assert_int_eq(wr_plan_read_bytes(&o.plan, "plan.csv", plan_text, strlen(plan_text), &o.findings, NULL), WR_OK);
    o.status = wr_limits_read_bytes(&o.limits, "limits.csv", text, strlen(text), &o.plan, &o.findings, &o.err);
    return o;
}

static void release(struct outcome *o)
{
    wr_plan_release(&o->plan);
    wr_limits_release(&o->limits);
    wr_history_release(&o->history);
    wr_findings_release(&o->findings);
}

static void refuse(const char *row, const char *code, size_t column)
{
    char text[300];

    snprintf(text, sizeof text, "limit,crew,from,to,minutes,confidence\nday,,,,400,0.9\n%s\n", row);
    struct outcome o = read_limits(text);
    ck_assert_msg(o.status == WR_E_INPUT, "'%s' was taken", row);
    ck_assert_uint_eq(o.findings.n_finding, 1);
    ck_assert_str_eq(o.findings.finding[0].code, code);
    ck_assert_msg(o.findings.finding[0].line == 3 && o.findings.finding[0].column == column, "%s", o.err.text);
    ck_assert_int_eq(strncmp(o.err.text, "limits.csv:3:", 13), 0);
    release(&o);
}

START_TEST(all_kinds_of_limits)
{
    struct outcome o = read_limits("limit,crew,from,to,minutes,confidence\nexcursion,all,,,6:30,0.9\n"
                                   "EV1 suit,EV1,,,400.5,\nmodule cold,,A,B,90,0.95\nboth,ALL,B,B,20,\n");
    const struct wr_limit *l = o.limits.limit;

    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(o.limits.n_limit, 4);
    ck_assert_str_eq(l[0].name, "excursion");
    ck_assert_uint_eq(l[0].lanes, 3);
    ck_assert_double_eq(l[0].minutes, 390);
    ck_assert(l[0].confidence.known && l[0].confidence.value == 0.9);
    ck_assert(!l[0].is_clock);
    ck_assert_uint_eq(l[1].lanes, 1);
    ck_assert(!l[1].confidence.known);
    ck_assert(l[2].is_clock && l[2].from == 1 && l[2].to == 2);
    ck_assert_uint_eq(l[2].lanes, 3);
    ck_assert_uint_eq(l[3].line, 5);
    ck_assert_uint_eq(o.findings.n_finding, 0);
    release(&o);
}
END_TEST

START_TEST(limits_that_are_refused)
{
    refuse(",all,,,90,", "no-name", 1);
    refuse("x,EV3,,,90,", "unknown-lane", 3);
    refuse("x,EV1+EV3,,,90,", "unknown-lane", 3);
    refuse("x,EV1+EV1,,,90,", "unknown-lane", 3);
    refuse("x,all,A,,90,", "half-a-clock", 9);
    refuse("x,all,,B,90,", "half-a-clock", 7);
    refuse("x,all,A,Q,90,", "unknown-task", 9);
    refuse("x,all,C,B,90,", "clock-backwards", 9);
    refuse("x,all,,,,", "no-minutes", 9);
    refuse("x,all,,,0,", "no-minutes", 9);
    refuse("x,all,,,-5,", "number-out-of-range", 9);
    refuse("x,all,,,6:60,", "bad-number", 9);
    refuse("x,all,,,nan,", "bad-number", 9);
    refuse("x,all,,,90,50", "bad-confidence", 12);
    refuse("x,all,,,90,0.5", "bad-confidence", 12); /* a pad needs more */
    refuse("x,all,,,90,1", "bad-confidence", 12);
    refuse("x,all,,,90,0", "bad-confidence", 12);
    refuse("x,all,,,90,-0.5", "bad-confidence", 12);
}
END_TEST

/* C may be dropped: a limit from A to C would count the days without C as kept, one from C to IN has no begin on them.
 * One of C alone goes with it. */
START_TEST(a_clock_needs_its_ends)
{
    static const char plan[] = "task,crew,drop_after\nOUT,EV1+EV2,\nA,EV1,\nC,EV2,60\nIN,EV1+EV2,\n";
    static const struct { const char *row; size_t column; } rows[] = {
        {"x,all,A,C,90,", 9}, {"x,all,C,IN,90,", 7}, {"x,all,C,C,90,", 0}, {"x,all,A,IN,90,", 0}};
    char text[200];

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct outcome o = {0};
        snprintf(text, sizeof text, "limit,crew,from,to,minutes,confidence\nday,,,,400,0.9\n%s\n", rows[i].row);
        ck_assert_int_eq(wr_plan_read_bytes(&o.plan, "plan.csv", plan, strlen(plan), &o.findings, NULL), WR_OK);
        o.status = wr_limits_read_bytes(&o.limits, "limits.csv", text, strlen(text), &o.plan, &o.findings, &o.err);
        ck_assert_int_eq(o.status, rows[i].column ? WR_E_INPUT : WR_OK);
        ck_assert_uint_eq(o.findings.n_finding, rows[i].column != 0);
        if (rows[i].column) {
            ck_assert_str_eq(o.findings.finding[0].code, "clock-dropped");
            ck_assert_uint_eq(o.findings.finding[0].column, rows[i].column);
        }
        release(&o);
    }
}
END_TEST

START_TEST(limit_files_that_are_refused)
{
    struct outcome o = read_limits("limit,crew\nx,all\n");

    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "no column 'minutes'"));
    release(&o);
    o = read_limits("limit,minutes\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    release(&o);
    o = read_limits("");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    release(&o);
    o = read_limits("limit,minutes\nx,5\ny,6\nx,7\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    ck_assert_ptr_nonnull(strstr(o.err.text, "limits.csv:4:1: limit 'x' is in line 2 already"));
    release(&o);
}
END_TEST

START_TEST(the_first_limit_is_the_excursion)
{
    struct outcome o = read_limits("limit,crew,minutes\nsuit,EV1,400\n");

    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_str_eq(o.findings.finding[0].code, "first-limit");
    wr_limits_set_excursion(&o.limits, &o.plan, 420, WR_UNKNOWN); /* goes before it */
    ck_assert_uint_eq(o.limits.n_limit, 2);
    ck_assert_str_eq(o.limits.limit[0].name, "excursion");
    ck_assert_uint_eq(o.limits.limit[0].lanes, 3);
    ck_assert_double_eq(o.limits.limit[0].minutes, 420);
    ck_assert(!o.limits.limit[0].confidence.known);
    ck_assert_str_eq(o.limits.limit[1].name, "suit");
    wr_limits_set_excursion(&o.limits, &o.plan, 430, WR_UNKNOWN);
    ck_assert_uint_eq(o.limits.n_limit, 2);
    ck_assert_double_eq(o.limits.limit[0].minutes, 430);
    release(&o);
    o = read_limits("limit,crew,minutes,confidence\nday,all,390,0.9\n");
    wr_limits_set_excursion(&o.limits, &o.plan, 400, WR_UNKNOWN);
    ck_assert_uint_eq(o.limits.n_limit, 1);
    ck_assert_str_eq(o.limits.limit[0].name, "day");
    ck_assert(o.limits.limit[0].confidence.known);
    ck_assert_uint_eq(o.limits.limit[0].line, 0);
    release(&o);
    o = read_limits("limit,crew,minutes,confidence\nsuit,EV1,380,0.9\nspare,all,420,0.8\nexcursion,all,390,0.95\n");
    wr_limits_set_excursion(&o.limits, &o.plan, 400, WR_UNKNOWN); /* two of one name could not be told apart */
    ck_assert_uint_eq(o.limits.n_limit, 3);
    ck_assert_str_eq(o.limits.limit[0].name, "excursion");
    ck_assert_double_eq(o.limits.limit[0].minutes, 400);
    ck_assert_double_eq(o.limits.limit[0].confidence.value, 0.95);
    ck_assert_str_eq(o.limits.limit[1].name, "suit");
    ck_assert_str_eq(o.limits.limit[2].name, "spare");
    ck_assert_double_eq(o.limits.limit[2].minutes, 420);
    release(&o);
    o = read_limits("limit,crew,minutes\nExcursion,EV1,380\n");
    wr_limits_set_excursion(&o.limits, &o.plan, 400, WR_UNKNOWN);
    ck_assert_uint_eq(o.limits.n_limit, 2);
    ck_assert_str_eq(o.limits.limit[0].name, "excursion, as given");
    ck_assert_double_eq(o.limits.limit[1].minutes, 380);
    release(&o);
    o = read_limits("");
    wr_limits_set_excursion(&o.limits, &o.plan, 400, WR_UNKNOWN);
    ck_assert_uint_eq(o.limits.n_limit, 1);
    release(&o);
}
END_TEST

START_TEST(a_clock_is_about_all_lanes)
{
    struct outcome o = read_limits("limit,crew,from,to,minutes\nday,,,,400\nx,EV1,A,B,90\n");

    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_str_eq(o.findings.finding[0].code, "clock-with-lane");
    ck_assert_uint_eq(o.limits.limit[1].lanes, 3);
    release(&o);
}
END_TEST

/* ---- history ---- */

static size_t outcome_count(const struct outcome *o, const char *code)
{
    size_t n = 0;

    for (size_t i = 0; i < o->findings.n_finding; i++) n += strcmp(o->findings.finding[i].code, code) == 0;
    return n;
}

static struct outcome read_history(const char *text)
{
    struct outcome o = {0};

    struct wr_plan_task task[] = {{.kind = "k"}, {.kind = ""}, {.kind = "Fastener"}, {.kind = "j"}};
    const struct wr_plan plan = {.task = task, .n_task = 4};

    o.status = wr_history_read_bytes(&o.history, "history.csv", text, strlen(text), &plan, &o.findings, &o.err);
    return o;
}

START_TEST(history_rows)
{
    struct outcome o = read_history("Excursion;Kind;Pool;Flight\nPetrel 5;fastener;10.5;14\n"
                                    "Petrel 6;transit;20;19.5\n");

    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(o.history.n_row, 2);
    ck_assert_str_eq(o.history.row[0].excursion, "Petrel 5");
    ck_assert_str_eq(o.history.row[1].kind, "transit");
    ck_assert_double_eq(o.history.row[0].pool_min, 10.5);
    ck_assert_double_eq(o.history.row[1].flight_min, 19.5);
    ck_assert_uint_eq(o.history.row[1].line, 3);
    release(&o);
}
END_TEST

/* Misspelt ones included; case and blanks make no other kind. */
START_TEST(history_kinds_that_no_task_has)
{
    struct outcome o = read_history("excursion,kind,pool,flight\nP1,fastener,20,21\nP1,Fasteners,20,22\n"
                                    "P2,Fasteners,20,22\nP1,FASTE NER,20,23\nP1,digging deep holes,20,24\n");

    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(outcome_count(&o, "history-kind"), 2);
    ck_assert_uint_eq(o.findings.finding[0].line, 3);
    ck_assert_str_eq(o.findings.finding[0].message, "the plan has no work of kind 'Fasteners' (did you mean "
                                                    "'Fastener'?): it tells of kinds in general only");
    ck_assert_str_eq(o.findings.finding[1].message,
                     "the plan has no work of kind 'digging deep holes': it tells of kinds in general only");
    release(&o);
    o = read_history("excursion,kind,pool,flight\nP1,k,20,21\np 1,K,20,21\n");
    ck_assert_uint_eq(outcome_count(&o, "history-twice"), 1);
    release(&o);
}
END_TEST

/* The same times again may be of another excursion or kind. */
START_TEST(history_rows_that_stand_twice)
{
    struct outcome o = read_history("excursion,kind,pool,flight\nP1,k,20,22\nP2,k,20,22\nP1,k,20,22\nP1,j,20,22\n"
                                    "P1,k,20,21\n");

    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(o.history.n_row, 5);
    ck_assert_uint_eq(o.findings.n_finding, 1);
    ck_assert_str_eq(o.findings.finding[0].code, "history-twice");
    ck_assert_uint_eq(o.findings.finding[0].line, 4);
    ck_assert_ptr_nonnull(strstr(o.findings.finding[0].message, "line 2"));
    release(&o);
}
END_TEST

/* All rows of an excursion again under another name, in another order; one row may agree by chance, and one that
 * differs makes it another excursion. */
START_TEST(history_excursions_that_are_copies)
{
    struct outcome o = read_history("excursion,kind,pool,flight\nP1,k,20,21\nP1,j,10,12\nP2,j,10,12\nP2,K,20,21\n"
                                    "P3,k,20,21\nP4,k,20,21\nP4,j,10,13\n");

    ck_assert_int_eq(o.status, WR_OK);
    ck_assert_uint_eq(outcome_count(&o, "history-twice"), 1);
    ck_assert_uint_eq(o.findings.finding[0].line, 4);
    ck_assert_ptr_nonnull(strstr(o.findings.finding[0].message, "'P2' took to the minute what 'P1' took in all"));
    release(&o);
}
END_TEST

/* Headers exchanged; by 2 % (a geometric mean of 0.981) is let pass, and few rows are. */
START_TEST(history_that_is_faster_outside)
{
    static const struct { const char *rows; size_t n; } of[] = {
        {"P1,k,21,20\nP1,j,13,12\nP2,k,22,20\nP2,j,12,12\n", 1},
        {"P1,k,21,20\nP1,j,13,12\nP2,k,22,20\nP2,j,10,12\n", 0},
        {"P1,k,21,20\nP1,j,13,12\nP2,k,22,20\n", 0}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "excursion,kind,pool,flight\n%s", of[i].rows);
        struct outcome o = read_history(text.text);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_uint_eq(outcome_count(&o, "history-faster"), of[i].n);
        release(&o);
    }
}
END_TEST

/* The columns of one excursion exchanged; three rows are few, and by 4 % is let pass. */
START_TEST(history_of_one_excursion_that_is_faster_outside)
{
    static const struct {
        const char *of_p1;
        size_t n;
    } of[] = {{"P1,k,21,20\nP1,j,13,12\nP1,l,30,28\nP1,m,40,37\n", 1},
              {"P1,k,20,21\nP1,j,12,13\nP1,l,28,30\nP1,m,37,40\n", 0},
              {"P1,k,21,20\nP1,j,13,12.7\nP1,l,30,28.7\nP1,m,40,38.3\n", 0},
              {"P1,k,21,20\nP1,j,13,12\nP1,l,30,28\n", 0}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "excursion,kind,pool,flight\nP2,k,20,23\nP2,j,12,13\nP2,l,28,31\n%sP3,m,37,41\n",
                    of[i].of_p1);
        struct outcome o = read_history(text.text);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_msg(outcome_count(&o, "history-one-faster") == of[i].n, "case %zu", i);
        for (size_t f = 0; f < o.findings.n_finding && of[i].n; f++)
            if (strcmp(o.findings.finding[f].code, "history-one-faster") == 0) {
                ck_assert_uint_eq(o.findings.finding[f].line, 5);
                ck_assert_ptr_nonnull(strstr(o.findings.finding[f].message, "'P1' took 7 % less"));
            }
        release(&o);
    }
}
END_TEST

/* Copied, or filled down in part. */
START_TEST(history_that_is_the_same_outside)
{
    static const struct { const char *rows, *says; } of[] = {
        {"P1,k,21.5,21.5\nP1,j,13,13\nP2,k,22,23\n", "in 2 of the 2 rows of 'P1' flight"},
        {"P1,k,21,21\nP1,j,13,13\nP1,l,22,23\nP2,k,22,23\nP2,l,8,9\n", "in 2 of the 3 rows of 'P1'"},
        {"P1,k,21,21\nP2,k,13,13\n", "in 2 of the 2 rows flight"},
        {"P1,k,21,21\nP1,j,13,13\nP1,l,22,23\nP1,m,8,9\n", NULL},
        {"P1,k,21,21\nP1,j,13,14\nP2,l,22,22\nP2,m,8,9\n", NULL},
        {"P1,k,21,21\n", NULL}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "excursion,kind,pool,flight\n%s", of[i].rows);
        struct outcome o = read_history(text.text);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_uint_eq(outcome_count(&o, "history-same"), of[i].says != NULL);
        ck_assert(o.history.same == (of[i].says != NULL));
        for (size_t f = 0; f < o.findings.n_finding && of[i].says; f++)
            if (strcmp(o.findings.finding[f].code, "history-same") == 0)
                ck_assert_ptr_nonnull(strstr(o.findings.finding[f].message, of[i].says));
        release(&o);
    }
}
END_TEST

/* Decimal marks lost, columns exchanged; a row that is one of three or of two, and so as likely the right one, is said
 * only where it is the one that no work has. A row may be meant. */
START_TEST(history_that_is_odd)
{
    static const struct {
        const char *rows;
        size_t n, line;
    } of[] = {{"P1,k,210,20\nP1,j,130,12\nP2,k,220,20\n", 1, 0}, /* a tenth */
              {"P1,k,21,200\nP1,j,13,120\nP2,k,22,200\n", 1, 0}, /* tenfold */
              {"P1,k,21,62\nP1,j,13,37\nP2,k,22,60\n", 0, 0},    /* 2.8 times */
              {"P1,k,21,64\nP1,j,13,40\nP2,k,22,67\n", 1, 0},    /* 3.05 times */
              {"P1,k,21,12\nP1,j,13,7\n", 0, 0},                 /* 0.56 times */
              {"P1,k,21,10\n", 1, 0},                            /* of a single row */
              {"P1,k,21,23\nP1,j,13,140\nP2,k,22,20\n", 1, 3},   /* one row */
              {"P1,k,21,23\nP1,j,13,1.4\nP2,k,22,20\n", 1, 3},
              {"P1,k,21,23\nP1,j,13 min,140 min\nP2,k,22,20\n", 0, 0}, /* that is meant */
              {"P1,k,21,23\nP1,j,13,140 min\nP2,k,22,20\n", 1, 3},     /* half of it is */
              {"P1,k,21,23\nP1,j,13,50\nP2,k,22,20\n", 0, 0},          /* 3.8 times the others */
              {"P1,k,20,21\nP1,j,13,50\n", 0, 0},                      /* work that got stuck in one of two */
              {"P1,k,20,21\nP1,j,13,140\n", 2, 0},                     /* the second, and both typically */
              {"P1,k,20,21\nP1,k,20,22\nP1,k,20,200\nP1,k,20,210\nP1,k,20,21\n", 2, 4}};

    for (size_t i = 0; i < sizeof of / sizeof *of; i++) {
        WR_SCOPED_STR text = {0};
        wr_str_addf(&text, "excursion,kind,pool,flight\n%s", of[i].rows);
        struct outcome o = read_history(text.text);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_msg(outcome_count(&o, "history-odd") == of[i].n, "case %zu", i);
        ck_assert(o.history.odd == (of[i].n > 0));
        ck_assert(o.history.faster == (outcome_count(&o, "history-faster") > 0));
        for (size_t f = 0; f < o.findings.n_finding; f++)
            if (strcmp(o.findings.finding[f].code, "history-odd") == 0) {
                ck_assert_uint_eq(o.findings.finding[f].line, of[i].line);
                break;
            }
        release(&o);
    }
}
END_TEST

/* Sound ones: a common factor of 0.8 to 2 and 0.2 for each row, as the model expects them. */
START_TEST(history_that_is_sound)
{
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);

    for (size_t i = 0; i < 300; i++) {
        WR_SCOPED_STR text = {0};
        double common = 0.8 * pow(2.5, gsl_rng_uniform(rng));
        wr_str_add(&text, "excursion,kind,pool,flight\n");
        for (size_t r = 0; r < 1 + i % 20; r++) {
            double pool = 10 + 80 * gsl_rng_uniform(rng);
            double flight = pool * common * exp(gsl_ran_gaussian(rng, 0.2));
            wr_str_addf(&text, "P%zu,k%zu,%.1f,%.1f\n", r / 4, r % 4, pool, flight);
        }
        struct outcome o = read_history(text.text);
        ck_assert_int_eq(o.status, WR_OK);
        ck_assert_msg(outcome_count(&o, "history-odd") == 0, "%s", text.text);
        release(&o);
    }
    gsl_rng_free(rng);
}
END_TEST

START_TEST(history_that_is_refused)
{
    static const struct {
        const char *row;
        size_t column;
    } bad[] = {{",k,1,1", 1},    {"e,,1,1", 3},      {"e,k,,1", 5},      {"e,k,0,1", 5},
               {"e,k,1,0", 7},   {"e,k,-1,1", 5},    {"e,k,1,x", 7},     {"e,k,1", 6},
               {"e,k,1,1,1", 9}, {"e,k,26:10,1", 5}, {"e,k,20,1200", 8}, {"e,k,20,0.5", 8}};
    char text[100];

    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        snprintf(text, sizeof text, "excursion,kind,pool,flight\n%s\n", bad[i].row);
        struct outcome o = read_history(text);
        ck_assert_msg(o.status == WR_E_INPUT, "'%s' was taken", bad[i].row);
        ck_assert_msg(o.findings.n_finding == 1 && o.findings.finding[0].column == bad[i].column, "'%s': %s",
                      bad[i].row, o.err.text);
        release(&o);
    }
    struct outcome o = read_history("excursion,kind,pool,flight\n");
    ck_assert_int_eq(o.status, WR_E_INPUT);
    release(&o);
}
END_TEST

START_TEST(all_lanes_by_their_names)
{
    struct outcome o = read_limits("limit,crew,from,to,minutes,confidence\na,both,,,390,\nb,EV2+EV1,,,390,\n");

    ck_assert_msg(o.status == WR_OK, "%s", o.err.text);
    ck_assert_uint_eq(o.limits.limit[0].lanes, 3);
    ck_assert_uint_eq(o.limits.limit[1].lanes, 3);
    release(&o);
}
END_TEST

/* Three lanes: both is two of them, and which is not said; two of three are not all. */
START_TEST(both_of_three_lanes)
{
    static const char plan[] = "task,crew\nA,EV1\nB,EV2\nC,EV3\n";
    static const char *const rows[] = {"x,both,,,90,", "x,EV1+EV2,,,90,"};
    char text[200];

    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        struct outcome o = {0};
        snprintf(text, sizeof text, "limit,crew,from,to,minutes,confidence\nday,EV3+EV1+EV2,,,400,0.9\n%s\n", rows[i]);
        ck_assert_int_eq(wr_plan_read_bytes(&o.plan, "plan.csv", plan, strlen(plan), &o.findings, NULL), WR_OK);
        o.status = wr_limits_read_bytes(&o.limits, "limits.csv", text, strlen(text), &o.plan, &o.findings, &o.err);
        ck_assert_int_eq(o.status, WR_E_INPUT);
        ck_assert_msg(strstr(o.err.text, "limits.csv:3:3: ") && strstr(o.err.text, "write a lane, or all"), "%s",
                      o.err.text);
        ck_assert_uint_eq(o.limits.limit[0].lanes, 7);
        release(&o);
    }
}
END_TEST

/* Below the table: what the minutes above it come to is passed over; anything else of that name is a limit. */
START_TEST(a_limit_called_total)
{
    static const struct {
        const char *rows;
        size_t n_limit; /* 0: refused */
    } c[] = {{"day,400\nsuit,300\nTotal,700\n", 2},
             {"day,400\nsuit,300\n_Total: *,11:40\n", 2},
             {"day,400\nsuit,300\nTotal,650\n", 3},
             {"day,400\nsuit,300\nTotal,soon\n", 0},
             {"Total,400\nsuit,300\n", 2},
             {"day,400\nTotal,400\n", 2},
             {"day,400\nsuit,300\n\xe2\x81\xa0.,700\n", 3}, /* a full stop is no sum */
             {"day,400\nsuit,300\nTotal station,700\n", 3}};
    char text[200];

    for (size_t i = 0; i < sizeof c / sizeof *c; i++) {
        snprintf(text, sizeof text, "limit,minutes\n%s", c[i].rows);
        struct outcome o = read_limits(text);
        ck_assert_msg((o.status == WR_OK) == (c[i].n_limit > 0), "%s: %s", c[i].rows, o.err.text);
        if (c[i].n_limit) ck_assert_msg(o.limits.n_limit == c[i].n_limit, "%s: %zu", c[i].rows, o.limits.n_limit);
        release(&o);
    }
}
END_TEST

Suite *suite_limits(void);
Suite *suite_limits(void)
{
    Suite *s = suite_create("limits");
    TCase *t = tcase_create("limits");

    tcase_add_test(t, all_kinds_of_limits);
    tcase_add_test(t, limits_that_are_refused);
    tcase_add_test(t, a_clock_needs_its_ends);
    tcase_add_test(t, limit_files_that_are_refused);
    tcase_add_test(t, the_first_limit_is_the_excursion);
    tcase_add_test(t, a_clock_is_about_all_lanes);
    tcase_add_test(t, history_rows);
    tcase_add_test(t, history_kinds_that_no_task_has);
    tcase_add_test(t, history_rows_that_stand_twice);
    tcase_add_test(t, history_excursions_that_are_copies);
    tcase_add_test(t, history_that_is_faster_outside);
    tcase_add_test(t, history_of_one_excursion_that_is_faster_outside);
    tcase_add_test(t, history_that_is_the_same_outside);
    tcase_add_test(t, history_that_is_odd);
    tcase_add_test(t, history_that_is_sound);
    tcase_add_test(t, history_that_is_refused);
    tcase_add_test(t, all_lanes_by_their_names);
    tcase_add_test(t, both_of_three_lanes);
    tcase_add_test(t, a_limit_called_total);
    suite_add_tcase(s, t);
    return s;
}
