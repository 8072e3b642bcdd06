/* What two studies side by side are said to be: each sentence from the numbers that it is about, by hand. */
#include <check.h>
#include <string.h>
#include "wetrun/present/against_view.h"

static struct wr_change change(double before, double after, double error)
{
    return (struct wr_change){.known = true, .before = before, .after = after, .error = error};
}

static struct wr_against_start moved(double before, double after, double error)
{
    return (struct wr_against_start){.in_before = true,
                                     .in_after = true,
                                     .before = WR_BINDING_FOUND,
                                     .after = WR_BINDING_FOUND,
                                     .latest_min = change(before, after, error)};
}

/* A time to begin by on one side alone: too late on the other. */
static struct wr_against_start turned_late(double before)
{
    return (struct wr_against_start){.in_before = true,
                                     .in_after = true,
                                     .before = WR_BINDING_FOUND,
                                     .after = WR_BINDING_TOO_LATE,
                                     .latest_min = {.only_before = true, .before = before, .after = before}};
}

static struct wr_against_start was_late(double after)
{
    return (struct wr_against_start){.in_before = true,
                                     .in_after = true,
                                     .before = WR_BINDING_TOO_LATE,
                                     .after = WR_BINDING_FOUND,
                                     .latest_min = {.only_after = true, .before = after, .after = after}};
}

static struct wr_against two_studies(void)
{
    return (struct wr_against){
        .before_name = "earlier",
        .n_run_before = 1,
        .n_run_after = 12,
        .half_min = change(355, 361, 0.5),
        .over = change(0.30, 0.20, 0.01),
        .said_lo = 0.25,
        .said_hi = 0.41,
        .part = {{true, 0.02, 0.004}, {true, -0.115, 0.005}, {true, -0.005, 0.01}},
    };
}

static const char *sentences(const struct wr_against *a)
{
    static struct wr_str out;

    wr_str_clear(&out);
    wr_against_sentences(a, &out);
    return wr_str_text(&out);
}

static const char *rest(const struct wr_against *a)
{
    static struct wr_str out;

    wr_str_clear(&out);
    wr_against_rest(a, &out);
    return wr_str_text(&out);
}

static void says(const char *text, const char *phrase)
{
    ck_assert_msg(strstr(text, phrase) != NULL, "'%s' is not in: %s", phrase, text);
}

START_TEST(the_answer_then_and_now)
{
    struct wr_against a = two_studies();

    says(
        sentences(&a),
        "Against earlier, one rehearsal then and twelve now: 20 of 100 go over the limit, 30 then (outside of what was "
        "said then, 25 to 41 of 100); all done by 6:01 as likely as not, 5:55 then (more than the noise of the "
        "simulation).");
    a.n_run_before = 2;
    says(sentences(&a), "two rehearsals then");
    struct wr_against_limit limit[2] = {{.name = "outside"}, {.name = "scrubber"}}; /* which, where there are several */
    a.limit = limit;
    a.n_limit = 2;
    says(sentences(&a), "20 of 100 go over the first limit, \xe2\x80\x9coutside\xe2\x80\x9d, 30 then (outside of");
    a.n_limit = 0;
    a.over = (struct wr_change){0}; /* no limit: nothing is said of one */
    ck_assert_ptr_null(strstr(sentences(&a), "limit"));
    says(sentences(&a), "5:55 then (more than the noise of the simulation).");
}
END_TEST

START_TEST(what_the_change_is_worth)
{
    struct wr_against a = two_studies();

    a.half_min = change(355, 355, 0);
    says(sentences(&a), "30 then (outside of what was said then, 25 to 41 of 100); all done");
    a.within_what_was_said = true;
    says(sentences(&a), "30 then (what was said then, 25 to 41 of 100, allowed for it); all done");
    a.over = change(0.30, 0.29, 0.00501); /* twice its error is noise still */
    says(sentences(&a), "30 then (no more than the noise of the simulation); all done");
    a.over = change(0.30, 0.2899, 0.00501);
    ck_assert_ptr_null(strstr(sentences(&a), "noise of the simulation"));
    a.over = change(0.30, 0.30, 0);
    memset(a.part, 0, sizeof a.part);
    says(sentences(&a), "30 then; all done by 5:55 as likely as not, 5:55 then. Nothing has changed.");
    ck_assert_ptr_null(strstr(sentences(&a), "Of the change"));
}
END_TEST

/* A probability that has not moved says nothing of the median, nor the other way round. */
START_TEST(each_number_is_judged_by_itself)
{
    struct wr_against a = two_studies();

    a.over = change(0.001, 0.0012, 0.0004);
    a.half_min = change(231, 226, 0.34);
    for (int i = 0; i < WR_N_AGAINST_PART; i++) a.part[i] = (struct wr_against_share){true, 0.0001, 0.0004};
    says(sentences(&a), "fewer than 1 of 100 go over the limit, fewer than 1 then (no more than the noise of the "
                        "simulation); all done by 3:46 as likely as not, 3:51 then (more than the noise of the "
                        "simulation).");
    ck_assert_ptr_null(strstr(sentences(&a), "Nothing has changed"));
    ck_assert_ptr_null(strstr(sentences(&a), "Of the change")); /* from 0.1 to 0.1 */
    a.half_min = change(231, 230, 0.51);
    says(sentences(&a), "3:51 then (no more than the noise of the simulation).");
    a.over = change(0.3, 0.3, 0); /* parts that outweigh each other */
    a.part[WR_PART_LIMIT] = (struct wr_against_share){true, 0.05, 0.004};
    a.part[WR_PART_PLAN] = (struct wr_against_share){true, 0, 0};
    a.part[WR_PART_REHEARSALS] = (struct wr_against_share){true, -0.05, 0.004};
    says(sentences(&a), " Of the change from 30.0 to 30.0 of 100: the limit +5.0, what the rehearsals tell "
                        "\xe2\x88\x92"
                        "5.0.");
}
END_TEST

/* "Nothing has changed" is about all that is compared: each thing alone is enough to withhold it. */
START_TEST(nothing_only_if_all_is_as_it_was)
{
    struct wr_against_start clock_start = moved(40, 40, 0);
    struct wr_against_clock clock = {.limit = "scrubber", .start = &clock_start, .n_start = 1};
    struct wr_against_criterion criterion = {.before = WR_EVIDENCE_MET, .after = WR_EVIDENCE_MET};
    struct wr_against_limit limit[2] = {{.name = "outside", .in_before = true, .in_after = true},
                                        {.name = "scrubber", .in_before = true, .in_after = true}};
    struct wr_against_task task = {.id = "A", .in_before = true, .in_after = true, .start = moved(100, 100, 0)};
    struct wr_against same = {.before_name = "earlier",
                              .half_min = change(355, 355, 0),
                              .over = change(0.3, 0.3, 0),
                              .any = {.over = change(0.4, 0.4, 0)},
                              .limit = limit,
                              .n_limit = 2,
                              .task = &task,
                              .n_task = 1,
                              .clock = &clock,
                              .n_clock = 1,
                              .criterion = &criterion,
                              .n_criterion = 1,
                              .part = {{true, 0, 0}, {true, 0, 0}, {true, 0, 0}}};
    enum { WAYS = 14 };

    for (int i = 0; i < 2; i++) {
        limit[i].minutes = change(390, 390, 0);
        limit[i].confidence = change(0.9, 0.9, 0);
        limit[i].over = change(0.3, 0.3, 0);
    }
    task.median_min = change(10, 10, 0);
    says(sentences(&same), "Nothing has changed.");
    const struct wr_against_limit was_limit[2] = {limit[0], limit[1]};
    const struct wr_against_task was_task = task;
    for (int way = 0; way < WAYS; way++) {
        struct wr_against a = same;
        memcpy(limit, was_limit, sizeof limit);
        task = was_task;
        clock_start = moved(40, 40, 0);
        criterion.after = WR_EVIDENCE_MET;
        switch (way) {
        case 0: limit[1].over = change(0.02, 0.23, 0.01); break;
        case 1: limit[1].minutes = change(405, 370, 0); break;
        case 2: limit[0].confidence = change(0.9, 0.95, 0); break;
        case 3: limit[0].confidence = (struct wr_change){.only_after = true, .before = 0.9, .after = 0.9}; break;
        case 4: limit[1].in_before = false; break;
        case 5: limit[1].in_after = false; break;
        case 6: task.start = moved(100, 96.3, 0.4); break;
        case 7: task.start = turned_late(100); break;
        case 8: task.edited = "other lanes"; break;
        case 9: task.in_after = false; break;
        case 10: task.median_min = change(10, 11, 0.1); break;
        case 11: clock_start = moved(40, 30, 0); break;
        case 12: criterion.after = WR_EVIDENCE_NOT_MET; break;
        default: a.any.over = change(0.4, 0.41, 0.1);
        }
        ck_assert_msg(!strstr(sentences(&a), "Nothing has changed"), "way %d: %s", way, sentences(&a));
        says(sentences(&a), " These two are as they were, other things are not.");
    }
}
END_TEST

/* Behind the first limit's number: the limit that is the likelier gone over now, and all of them together. */
START_TEST(the_limit_that_changed_most)
{
    struct wr_against a = two_studies();
    struct wr_against_limit limit[4] = {{.name = "outside", .in_before = true, .in_after = true, .over = a.over},
                                        {.name = "scrubber",
                                         .in_before = true,
                                         .in_after = true,
                                         .minutes = change(405, 370, 0),
                                         .over = change(0.02, 0.10, 0.01),
                                         .said_lo = 0.001,
                                         .said_hi = 0.08},
                                        {.name = "bay",
                                         .in_before = true,
                                         .in_after = true,
                                         .confidence = change(0.9, 0.95, 0),
                                         .over = change(0.02, 0.23, 0.01),
                                         .said_lo = 0.001,
                                         .said_hi = 0.08},
                                        {.name = "lamp",
                                         .in_before = true,
                                         .in_after = true,
                                         .over = change(0.5, 0.4, 0.01),
                                         .within_what_was_said = true,
                                         .said_lo = 0.3,
                                         .said_hi = 0.6}};

    a.limit = limit;
    a.n_limit = 3;
    a.any = (struct wr_against_limit){.over = change(0.31, 0.33, 0.02), .said_lo = 0.2, .said_hi = 0.5};
    says(sentences(&a), "simulation). \xe2\x80\x9cscrubber\xe2\x80\x9d is 6:10 now, 6:45 then. "
                        "\xe2\x80\x9c"
                        "bay\xe2\x80\x9d is wanted with 95 % confidence now, with 90 % then. "
                        "23 of 100 go over \xe2\x80\x9c"
                        "bay\xe2\x80\x9d, 2 then (outside of what was said then, <1 "
                        "to 8 of 100). 33 of 100 go over at least one limit, 31 then (no more than the noise of the "
                        "simulation). Of the first limit's change from 30.0 to 20.0 of 100: ");
    ck_assert_ptr_null(strstr(sentences(&a), "10 of 100")); /* the table has the rest */
    a.n_limit = 4; /* what has become safer does not stand in the place of what has not */
    says(sentences(&a),
         "<1 to 8 of 100). 40 of 100 go over \xe2\x80\x9clamp\xe2\x80\x9d, 50 then (what was said then, 30 to "
         "60 of 100, allowed for it). 33 of 100 go over at least");
    limit[2].over.error = limit[1].over.error = limit[3].over.error = 0.2;
    ck_assert_ptr_null(strstr(sentences(&a), "go over \xe2\x80\x9c")); /* noise is no news */
}
END_TEST

START_TEST(where_it_comes_from)
{
    struct wr_against a = two_studies();

    says(sentences(&a), " Of the change from 30.0 to 20.0 of 100: the limit +2.0, the plan \xe2\x88\x92"
                        "11.5, what the rehearsals tell "
                        "\xe2\x88\x92"
                        "0.5 (noise).");
    a.same_runs = true; /* nobody can have learnt anything from the same rehearsals */
    says(sentences(&a), "11.5, times measured anew against the new plan \xe2\x88\x92"
                        "0.5 (noise).");
    a.same_plan = true;
    says(sentences(&a), "11.5, what else was read \xe2\x88\x92"
                        "0.5 (noise).");
    a.same_runs = a.same_plan = false;
    a.part[WR_PART_LIMIT] = (struct wr_against_share){true, 0, 0}; /* the same limit */
    says(sentences(&a), " of 100: the plan \xe2\x88\x92"
                        "11.5, what");
    a.part[WR_PART_LIMIT] = (struct wr_against_share){true, 0, 0.001};
    says(sentences(&a), " of 100: the limit 0.0 (noise), the plan");
    a.part[WR_PART_PLAN] = a.part[WR_PART_REHEARSALS] = (struct wr_against_share){0};
    a.part[WR_PART_LIMIT] = (struct wr_against_share){true, 0, 0};
    says(sentences(&a), " Plan and rehearsals cannot be told apart: the plan has work that was not in it then.");
    ck_assert_ptr_null(strstr(sentences(&a), "Of the change"));
    a.same_runs = true;
    says(sentences(&a), " Plan and measured times cannot be told apart: the plan has work that was not in it then.");
}
END_TEST

START_TEST(what_moved_beside_the_table)
{
    struct wr_against_task task[] = {
        {.id = "A", .in_before = true, .in_after = true, .median_min = change(10, 10.1, 0.2)},
        {.id = "B",
         .in_before = true,
         .in_after = true,
         .median_min = change(10, 9, 0.2),
         .within_what_was_said = true},
        {.id = "C", .in_before = true, .in_after = true},
    };
    struct wr_against a = {.task = task, .n_task = 1};

    ck_assert_str_eq(rest(&a), "Nothing else about the tasks has changed by more than noise.");
    a.n_task = 2;
    ck_assert_str_eq(rest(&a), "1 task has moved by more than noise and no more than what was said then allowed for. ");
    task[0].start = moved(100, 100.5, 1);
    task[1].start = moved(200, 212, 1);
    says(rest(&a), "1 cut-off has moved by more than noise, by +12 min. ");
    a.n_task = 3;
    task[2].start = moved(300, 297.5, 1);
    says(rest(&a), "2 cut-offs have moved by more than noise, by \xe2\x88\x92"
                   "2.5 to +12 min. ");
    task[2].start = moved(300, 312, 1);
    says(rest(&a), "2 cut-offs have moved by more than noise, by +12 min. ");
    task[0].median_min = task[2].median_min = task[1].median_min;
    task[0].within_what_was_said = task[2].within_what_was_said = true;
    says(rest(&a), "3 tasks have moved by more than noise");
    task[1].edited = "lane"; /* then it is a row of the table, and not beside it */
    says(rest(&a), "2 tasks have moved");
}
END_TEST

/* What became too late moved further than any number says: it is counted, and a row with the words of the card. */
START_TEST(too_late_is_the_worst_change)
{
    struct wr_against_task task[] = {
        {.id = "A", .title = "", .in_before = true, .in_after = true, .start = turned_late(139)},
        {.id = "B", .title = "", .in_before = true, .in_after = true, .start = turned_late(22)},
        {.id = "C", .title = "", .in_before = true, .in_after = true, .start = was_late(60)},
        {.id = "D", .title = "", .in_before = true, .in_after = true, .start = moved(100, 97, 1)},
        {.id = "E",
         .title = "",
         .in_before = true,
         .in_after = true,
         .start = {true, true, WR_BINDING_TOO_LATE, WR_BINDING_TOO_LATE, {0}}},
    };
    struct wr_against_start on_clock[] = {moved(90, 88, 0.5), turned_late(80)};
    struct wr_against_clock clock = {.limit = "bay", .start = on_clock, .n_start = 2};
    struct wr_against a = {.task = task, .n_task = 1, .clock = &clock, .n_clock = 1};
    struct wr_grid grid;
    struct wr_str csv = {0}, table = {0};

    says(rest(&a), "1 task is too late now, whenever it begins, and was not then. ");
    a.n_task = 5;
    says(rest(&a), "2 tasks are too late now, whenever they begin, and were not then. 1 task was too late then and is "
                   "no longer. 1 cut-off has moved by more than noise, by \xe2\x88\x92"
                   "3.0 min. On the clock "
                   "\xe2\x80\x9c"
                   "bay\xe2\x80\x9d: 1 task is too late now, whenever it begins, and was not then. "
                   "1 cut-off has moved by more than noise, by \xe2\x88\x92"
                   "2.0 min. ");
    task[3].start = was_late(97);
    says(rest(&a), "2 tasks were too late then and are no longer. ");
    task[3].start.is_rarely_met = true; /* the card calls it usually too late */
    says(rest(&a), "1 task was too late then and is no longer. 1 task was too late then and has a time to begin by "
                   "now, but usually begins later. ");
    task[3].start = moved(100, 97, 1);
    wr_grid_of_against_tasks(&a, WR_AGAINST_CHANGED, &grid);
    ck_assert_uint_eq(wr_grid_rows(&grid), 3);
    wr_grid_add_terminal(&grid, 100, &table);
    says(table.text, "2:19  too late  changed");
    says(table.text, "too late      1:00  changed");
    wr_grid_release(&grid);
    wr_grid_of_against_tasks(&a, WR_AGAINST_ALL, &grid);
    wr_grid_add_csv(&grid, &csv);
    says(csv.text, "A,,,,,,139,,found,too late,changed,,");
    says(csv.text, "C,,,,,,,60,too late,found,changed,,");
    says(csv.text, "D,,,,,,100,97,found,found,changed,1,");
    says(csv.text, "E,,,,,,,,too late,too late,the same,,");
    wr_grid_release(&grid);
    wr_str_release(&csv);
    wr_str_release(&table);
}
END_TEST

/* New, gone, edited, changed: a row each; noise, what was allowed for and what nobody knows: none. */
START_TEST(rows_of_what_changed)
{
    struct wr_against_task task[] = {
        {.id = "new", .title = "", .in_after = true, .done_after = 3, .median_min = {0}},
        {.id = "gone", .title = "", .in_before = true, .done_before = 2},
        {.id = "edited",
         .title = "",
         .in_before = true,
         .in_after = true,
         .edited = "after",
         .median_min = change(10, 10, 0)},
        {.id = "changed", .title = "", .in_before = true, .in_after = true, .median_min = change(10, 12, 0.2)},
        {.id = "noise", .title = "", .in_before = true, .in_after = true, .median_min = change(10, 10.1, 0.2)},
        {.id = "allowed",
         .title = "",
         .in_before = true,
         .in_after = true,
         .median_min = change(10, 12, 0.2),
         .within_what_was_said = true},
        {.id = "unknown", .title = "", .in_before = true, .in_after = true},
    };
    struct wr_against_limit limit[] = {
        {.name = "excursion",
         .in_before = true,
         .in_after = true,
         .minutes = change(390, 390, 0),
         .over = change(0.3, 0.2, 0.01)},
        {.name = "fresh", .in_after = true},
        {.name = "lost", .in_before = true},
        {.name = "as it was", .in_before = true, .in_after = true, .over = change(0.3, 0.3, 0.01)},
        {.name = "loud", .in_before = true, .in_after = true, .over = change(0.3, 0.31, 0.01)},
        {.name = "foretold",
         .in_before = true,
         .in_after = true,
         .over = change(0.3, 0.4, 0.01),
         .within_what_was_said = true},
    };
    struct wr_against_criterion criterion[] = {{.before = WR_EVIDENCE_MET, .after = WR_EVIDENCE_MET},
                                               {.before = WR_EVIDENCE_NOT_MET, .after = WR_EVIDENCE_MET}};
    struct wr_against a = {
        .task = task, .n_task = 7, .limit = limit, .n_limit = 6, .criterion = criterion, .n_criterion = 2};
    struct wr_grid grid;
    struct wr_str csv = {0};

    wr_grid_of_against_tasks(&a, WR_AGAINST_CHANGED, &grid);
    ck_assert_uint_eq(wr_grid_rows(&grid), 4);
    wr_grid_release(&grid);
    wr_grid_of_against_tasks(&a, WR_AGAINST_ALL, &grid);
    ck_assert_uint_eq(wr_grid_rows(&grid), 7);
    wr_grid_add_csv(&grid, &csv);
    says(csv.text, "\nnew,,,,,,,,,,,,,3,new\n");
    says(csv.text, "\ngone,,,,,,,,,,,,2,,gone\n");
    says(csv.text, "edited,,10,10,the same,0,");
    says(csv.text, "changed,,10,12,changed,0.2,");
    says(csv.text, "noise,,10,10.1,noise,0.2,");
    says(csv.text, "allowed,,10,12,within what was said,0.2,");
    says(csv.text, "unknown,,,,,,");
    wr_grid_release(&grid);
    wr_str_clear(&csv);
    wr_grid_of_against_limits(&a, &grid);
    wr_grid_add_csv(&grid, &csv);
    says(csv.text, "excursion,390,390,,,0.3,0.2,0.01,");
    says(csv.text, ",new\n");
    says(csv.text, ",gone\n");
    says(csv.text, ",the same\n");
    says(csv.text, ",noise\n");
    says(csv.text, ",within what was said\n");
    wr_grid_release(&grid);
    wr_grid_of_against_criteria(&a, WR_AGAINST_CHANGED, &grid);
    ck_assert_uint_eq(wr_grid_rows(&grid), 1);
    wr_grid_release(&grid);
    wr_str_release(&csv);
}
END_TEST

Suite *suite_against_words(void);
Suite *suite_against_words(void)
{
    Suite *s = suite_create("against_words");
    TCase *t = tcase_create("against_words");

    tcase_add_test(t, the_answer_then_and_now);
    tcase_add_test(t, what_the_change_is_worth);
    tcase_add_test(t, each_number_is_judged_by_itself);
    tcase_add_test(t, nothing_only_if_all_is_as_it_was);
    tcase_add_test(t, the_limit_that_changed_most);
    tcase_add_test(t, too_late_is_the_worst_change);
    tcase_add_test(t, where_it_comes_from);
    tcase_add_test(t, what_moved_beside_the_table);
    tcase_add_test(t, rows_of_what_changed);
    suite_add_tcase(s, t);
    return s;
}
