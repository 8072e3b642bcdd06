#include "chart_case.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/network/network.h"

enum { N_TRIAL = 400, N_CURVE = 60 };

static const char *const plain_titles[] = {
    "Leave the lock and hook on to the spine line",
    "Climb to battery bay A with the bolt driver",
    "Take the new camera head out to the docking ring",
    "Unplug worn-out module A",
    "Take the old camera head off its foot",
    "Back out the five bolts of module A",
    "Draw module A out, one at each handle",
    "Seat the fresh module A and drive its bolts",
    "Fit the new camera head on its foot",
    "Aim the camera head with the people indoors",
    "Re-tension the sunshade, one at each corner",
    "Sample the radiator hinge for wear, three swabs",
    "Stage the cable reel for Petrel 8",
    "Count the tools, go back in and shut the hatch",
};

/* Everything that a name must not be able to do: run a command, end a data block, begin a comment, carry markup or
 * control sequences, be no UTF-8, be far too long or in scripts of other widths and directions. */
const char *const hostile_titles[] = {
    "`touch /tmp/wetrun-was-here` $(touch /tmp/wetrun-was-here)",
    "@x @LENS !touch /tmp/wetrun-was-here",
    "# a comment, or not",
    "end_of_notes",
    "end_of_notes\n!touch /tmp/wetrun-was-here\nsystem(\"touch /tmp/wetrun-was-here\")",
    "\"quoted\" 'single' \"; set output \"x\"",
    "back\\slash \\n \\t \\101 %s %d %n",
    "<script>alert(1)</script> & &amp; </text></svg> ]]> <!--",
    "{/Bold x}_y^z {/Symbol a} ~a{.8-}",
    "\x1b[31mred\x1b[0m \x07 \x7f\x9b" "2J \r over\ttab",
    "not utf-8: \xff\xfe \xc0\xaf \xed\xa0\x80 \xf4\x90\x80\x80 cut\xe2\x80",
    "re\xe2\x80\xae" "versed\xe2\x80\xac \xe2\x80\xa8 line \xef\xbb\xbf mark",
    "Verify every one of the twelve captive fasteners on the starboard radiator interface plate by feel and by torque",
    "ABCDEFGHIJKLMNOPQRSTUVWXYZWWWWWWWWWWWWWWWWWWWWMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMMM",
    "二号電池モジュールの古いコネクタを外し、保護キャップを取り付けて記録する",
    "Подтянуть натяжение солнцезащитного экрана с обоих концов и записать показания",
    "فحص مفصلة الهوائي وأخذ ثلاث عينات من السطح الخارجي",
    "e\xcc\x81\xcc\x82\xcc\x83\xcc\x84 combining o\xcc\x88",
    "NaN",
    "",
    NULL,
};

static const char *title_of(const struct chart_case_options *o, size_t k, struct wr_arena *arena)
{
    enum { N_PLAIN = sizeof plain_titles / sizeof *plain_titles };
    char text[200];
    size_t n_hostile = 0;

    while (hostile_titles[n_hostile]) n_hostile++;
    if (o->titles == TITLES_HOSTILE && k % 3 != 0) return hostile_titles[(k - k / 3 - 1) % n_hostile];
    int n = snprintf(text, sizeof text, k < N_PLAIN ? "%s" : "%s, part %zu", plain_titles[k % N_PLAIN],
                     k / N_PLAIN + 1);
    return wr_arena_copy(arena, text, (size_t)n);
}

static double median_of(size_t k)
{
    return 9 + 3.7 * (double)(k * 7 % 9);
}

static double sdlog_of(const struct chart_case_options *o, size_t k)
{
    return o->spread * (0.12 + 0.03 * (double)(k * 5 % 8));
}

static void make_lanes(struct wr_plan *plan, size_t n_lane)
{
    char name[16];

    plan->n_lane = n_lane;
    plan->lane = WR_NEW_ARRAY(const char *, n_lane);
    for (size_t l = 0; l < n_lane; l++) {
        int n = snprintf(name, sizeof name, "EV%zu", l + 1);
        plan->lane[l] = wr_arena_copy(&plan->text, name, (size_t)n);
    }
}

static void make_plan(struct chart_case *c, const struct chart_case_options *o)
{
    char id[32];

    make_lanes(&c->plan, o->n_lane);
    for (size_t k = 0; k < o->n_task; k++) {
        struct wr_plan_task *t = WR_PUSH(c->plan.task, c->plan.n_task, c->plan.room_task);
        int n = snprintf(id, sizeof id, "T%zu", k + 1);
        bool joint = k == 0 || k + 1 == o->n_task || k % 10 == 6;
        t->id = wr_arena_copy(&c->plan.text, id, (size_t)n);
        t->title = title_of(o, k, &c->plan.text);
        t->kind = "";
        for (size_t l = 0; l < o->n_lane; l++)
            if (joint || l == k % o->n_lane) {
                t->lanes |= 1u << l;
                t->lane_order[t->n_lane++] = (uint8_t)l;
            }
        t->planned_min = wr_known(floor(median_of(k) * (0.85 + 0.06 * (double)(k % 8)) / 5 + 0.5) * 5 + 1);
    }
    if (o->titles == TITLES_HOSTILE) c->plan.lane[0] = "EV1 `id` <b>\\n\"";
}

/* Knuth's linear congruential generator (The Art of Computer Programming 2, 3.3.4): enough for pictures. */
static double uniform(unsigned long long *state)
{
    *state = *state * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(*state >> 11) / 9007199254740992.0;
}

static double normal(unsigned long long *state)
{
    double u = uniform(state), v = uniform(state);

    return sqrt(-2 * log(1 - u)) * cos(6.283185307179586 * v);
}

static int rising(const void *a, const void *b)
{
    const double *x = a, *y = b;

    return *x < *y ? -1 : *x > *y;
}

static double quantile(const double *sorted, double p)
{
    return sorted[(size_t)(p * (N_TRIAL - 1) + 0.5)];
}

static void lens_of(double *value, double lens[WR_N_LENS])
{
    static const double p[WR_N_LENS] = {0.025, 0.1, 0.25, 0.5, 0.75, 0.9, 0.975};

    qsort(value, N_TRIAL, sizeof *value, rising);
    for (size_t i = 0; i < WR_N_LENS; i++) lens[i] = quantile(value, p[i]);
}

struct trials {
    double *duration, *start, *end, *finish; /* [task * N_TRIAL + trial] */
    double *one_duration, *one_start, *one_end;
};

static void simulate(struct chart_case *c, const struct chart_case_options *o, struct trials *t)
{
    struct wr_network net = {0};
    unsigned long long state = 7;
    size_t n = o->n_task;

    if (wr_network_build(&net, &c->plan, NULL) != WR_OK) abort();
    for (size_t i = 0; i < N_TRIAL; i++) {
        double day = 0.04 * o->spread * normal(&state);
        for (size_t k = 0; k < n; k++) t->one_duration[k] = median_of(k) * exp(day + sdlog_of(o, k) * normal(&state));
        t->finish[i] = wr_network_forward(&net, t->one_duration, t->one_start, t->one_end, NULL);
        for (size_t k = 0; k < n; k++) {
            t->duration[k * N_TRIAL + i] = t->one_duration[k];
            t->start[k * N_TRIAL + i] = t->one_start[k];
            t->end[k * N_TRIAL + i] = t->one_end[k];
        }
    }
    wr_network_release(&net);
}

static void fill_tasks(struct chart_case *c, const struct chart_case_options *o, struct trials *t)
{
    struct wr_forecast *f = &c->forecast;
    double sum = 0;

    f->task = WR_NEW_ARRAY(struct wr_task_outlook, o->n_task);
    f->lane = WR_NEW_ARRAY(struct wr_lane_outlook, c->plan.n_lane);
    for (size_t k = 0; k < o->n_task; k++) {
        lens_of(t->duration + k * N_TRIAL, f->task[k].lens_min);
        lens_of(t->start + k * N_TRIAL, f->task[k].start_min);
        lens_of(t->end + k * N_TRIAL, f->task[k].end_min);
        f->task[k].median_min = f->task[k].lens_min[3];
        f->task[k].variance_share = pow(median_of(k) * sdlog_of(o, k), 2);
        f->task[k].dropped = k > 20 && k % 11 == 0 ? 0.13 : 0;
        sum += f->task[k].variance_share;
        for (size_t l = 0; l < c->plan.n_lane; l++)
            if (c->plan.task[k].lanes >> l & 1u) {
                f->lane[l].busy_min += median_of(k);
                f->lane[l].finish_p50_min = f->task[k].end_min[3];
            }
    }
    for (size_t k = 0; k < o->n_task && sum > 0; k++) f->task[k].variance_share *= 0.6 / sum;
    for (size_t l = 0; l < c->plan.n_lane; l++)
        f->lane[l].waiting_min = fmax(0, f->lane[l].finish_p50_min - f->lane[l].busy_min);
    f->run_effect_share = sum > 0 ? 0.24 : 0;
    f->parameter_share = sum > 0 ? 0.11 : 0;
}

static void fill_finish(struct chart_case *c, const struct chart_case_options *o, struct trials *t)
{
    static const double p[WR_N_QUANTILE] = {0.025, 0.05, 0.1, 0.25, 0.5, 0.75, 0.8, 0.9, 0.95, 0.975, 0.99};
    struct wr_forecast *f = &c->forecast;
    double limit = o->limit_min;

    lens_of(t->finish, f->lens_min);
    for (size_t i = 0; i < WR_N_QUANTILE; i++) {
        f->quantile_min[i] = quantile(t->finish, p[i]);
        f->quantile_lo_min[i] = f->quantile_min[i] * 0.96;
        f->quantile_hi_min[i] = f->quantile_min[i] * 1.05;
    }
    f->hundredth_min = WR_NEW_ARRAY(double, 100);
    for (size_t i = 0; i < 100; i++) f->hundredth_min[i] = quantile(t->finish, ((double)i + 0.5) / 100);
    f->n_curve = N_CURVE;
    f->curve_limit_min = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_over = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_lo = WR_NEW_ARRAY(double, N_CURVE);
    f->curve_hi = WR_NEW_ARRAY(double, N_CURVE);
    for (size_t i = 0; i < N_CURVE; i++) {
        double share = 0.2 + 0.8 * (double)i / (N_CURVE - 1);
        f->curve_limit_min[i] = quantile(t->finish, share) + 0.01 * (double)i;
        f->curve_over[i] = 1 - share;
        f->curve_lo[i] = (1 - share) * (1 - share);
        f->curve_hi[i] = fmin(1, (1 - share) * 1.8);
    }
    if (limit < 0) limit = ceil(quantile(t->finish, -limit / 100) / 5) * 5;
    if (limit == 0) return;
    struct wr_limit *l = WR_PUSH(c->limits.limit, c->limits.n_limit, c->limits.room);
    l->name = "excursion";
    l->minutes = limit;
    size_t n_over = 0;
    for (size_t i = 0; i < N_TRIAL; i++) n_over += t->finish[i] > limit;
    double over = (double)n_over / N_TRIAL;
    f->n_limit = 1;
    f->limit = WR_NEW_ARRAY(struct wr_limit_outlook, 1);
    f->limit[0].over = (struct wr_probability){.mean = over, .lo = over * over, .hi = fmin(1, over * 2.1 + 0.003)};
}

static void fill_timing(struct chart_case *c, const struct chart_case_options *o)
{
    struct wr_timing *t = &c->timing;
    unsigned long long state = 11;
    char id[16];

    t->n_task = o->n_task;
    t->n_run = o->n_run;
    t->cell = WR_NEW_ARRAY(struct wr_cell, o->n_task * o->n_run);
    t->run = WR_NEW_ARRAY(struct wr_timing_run, o->n_run);
    for (size_t r = 0; r < o->n_run; r++) {
        struct wr_log_run *run = WR_PUSH(c->log.run, c->log.n_run, c->log.room_run);
        int n = snprintf(id, sizeof id, "R%02zu", r + 1);
        run->id = wr_arena_copy(&c->log.text, id, (size_t)n);
        t->run[r].order = (double)r + 1;
        t->run[r].complete = true;
        for (size_t k = 0; k < o->n_task; k++) {
            struct wr_cell *cell = &t->cell[k * o->n_run + r];
            double draw = uniform(&state);
            cell->state = draw < 0.008 ? WR_CELL_STOPPED : draw < 0.016 ? WR_CELL_SKIPPED : WR_CELL_DONE;
            if (cell->state != WR_CELL_DONE) t->run[r].complete = false;
            if (cell->state == WR_CELL_SKIPPED) continue;
            cell->active_min = median_of(k) * exp(sdlog_of(o, k) * normal(&state));
            t->run[r].n_done++;
        }
        double finish = c->forecast.quantile_min[4] * (1.08 - 0.06 * log((double)r + 1) + 0.05 * normal(&state));
        t->run[r].finish_min = wr_known(finish);
        t->run[r].replay_min = t->run[r].finish_without_holds_min = t->run[r].by_plan_min = finish;
    }
}

/* Two pairs in turn, named people, and a trend whose interval depends on how many runs there are. */
static void fill_comparison(struct chart_case *c)
{
    static const char *person[] = {"Ana `id`", "Bo <b>", "Cy", "Dee"};
    struct wr_timing *t = &c->timing;

    t->n_lane = c->plan.n_lane;
    t->n_person = 4;
    t->person = person;
    t->line_up = WR_NEW_ARRAY(int, t->n_run * t->n_lane);
    for (size_t r = 0; r < t->n_run; r++)
        for (size_t l = 0; l < t->n_lane; l++) t->line_up[r * t->n_lane + l] = (int)((r % 2 * 2 + l) % 4);
    c->comparison.n_run = t->n_run;
    c->comparison.run = WR_NEW_ARRAY(struct wr_compared_run, t->n_run);
    for (size_t r = 0; r < t->n_run; r++) c->comparison.run[r].effect = wr_known(0.06 - 0.06 * log((double)r + 1));
    c->comparison.trend = (struct wr_trend){.known = t->n_run > 2,
                                            .n_run = t->n_run,
                                            .level_log = 0.06,
                                            .slope_log = -0.06,
                                            .lo = -0.13,
                                            .hi = t->n_run > 10 ? -0.01 : 0.02,
                                            .per_doubling = -0.041,
                                            .per_doubling_lo = -0.086,
                                            .per_doubling_hi = t->n_run > 10 ? -0.007 : 0.014};
    c->comparison.n_task = t->n_task;
    c->comparison.task_trend = WR_NEW_ARRAY(struct wr_task_trend, t->n_task);
    for (size_t k = 0; k < t->n_task && t->n_run > 3; k++) { /* all fall a little; of four in turn one is told apart */
        struct wr_task_trend *trend = &c->comparison.task_trend[k];
        trend->told = k % 4 == 1;
        trend->line = (struct wr_trend){.known = true,
                                        .n_run = t->n_run,
                                        .level_log = log(median_of(k)) + 0.05,
                                        .slope_log = -0.08,
                                        .lo = trend->told ? -0.12 : -0.22,
                                        .hi = trend->told ? -0.04 : 0.06,
                                        .per_doubling = -0.054,
                                        .per_doubling_lo = trend->told ? -0.08 : -0.14,
                                        .per_doubling_hi = trend->told ? -0.027 : 0.042};
        c->comparison.n_task_trend++;
        c->comparison.n_task_told += trend->told;
    }
}

static void fill_pad(struct chart_case *c)
{
    struct wr_pad *p = &c->pad;

    p->confidence = 0.9;
    p->n_task = c->plan.n_task;
    p->reserve_min = c->forecast.quantile_min[7] - c->forecast.quantile_min[4];
    p->task = WR_NEW_ARRAY(struct wr_pad_task, p->n_task);
    for (size_t k = 0; k < p->n_task; k++) {
        p->task[k].median_min = c->forecast.task[k].median_min;
        p->task[k].pad_min = k % 5 == 3 ? 0 : (c->forecast.task[k].lens_min[5] - c->forecast.task[k].lens_min[3]) * 0.7;
        p->task[k].planned_min = k % 9 == 8 ? WR_UNKNOWN : c->plan.task[k].planned_min;
    }
}

static void fill_cutoff(struct chart_case *c)
{
    struct wr_cutoff_card *card = &c->cutoff;
    double slack = c->limits.limit[0].minutes - c->forecast.quantile_min[7];

    card->n_limit = 1;
    card->n_row = c->plan.n_task;
    card->list = WR_NEW_ARRAY(struct wr_cutoff_list, 1);
    card->list[0].limit = (struct wr_cutoff_limit){{.minutes = c->limits.limit[0].minutes}, 0.9};
    card->list[0].row = WR_NEW_ARRAY(struct wr_cutoff_row, card->n_row);
    for (size_t k = 0; k < card->n_row; k++) {
        struct wr_cutoff_row *row = &card->list[0].row[k];
        row->task = k;
        row->reason = k == 0         ? WR_CUTOFF_BEGUN
                      : k % 13 == 12 ? WR_CUTOFF_NOT_BEFORE_LIMIT
                      : k % 17 == 16 ? WR_CUTOFF_TOO_FEW
                                     : WR_CUTOFF_FOUND;
        row->typical_start_min = c->forecast.task[k].start_min[3];
        row->slack_min = slack + 0.9 * (double)k;
        row->latest_start_min = row->typical_start_min + row->slack_min;
        if (row->latest_start_min < 0) row->reason = WR_CUTOFF_NEVER;
        row->share_in_time = fmin(1, fmax(0, 0.7 + slack / 60));
    }
}

/* Three excursions; the names of the first tasks stand for theirs, so that hostile ones are among them. */
static void fill_series(struct chart_case *c)
{
    for (size_t e = 0; e < 3; e++) {
        double middle = 200 + 60 * (double)e;
        c->leg_over[e] = (struct wr_series_over){.with = 0.08 * (double)e, .without = 0.05 * (double)e};
        c->leg[e] = (struct wr_series_leg_result){
            .over = &c->leg_over[e], .finish_p50_min = middle, .without_p50_min = middle - 4};
        for (int q = 0; q < WR_N_LENS; q++) c->leg[e].lens_min[q] = middle + 9 * (q - WR_N_LENS / 2);
        c->leg_limit[e] = (struct wr_sim_limit){.lanes = UINT32_MAX, .minutes = middle + 25};
        c->leg_name[e] = (struct wr_series_leg_names){.excursion = c->plan.task[e % c->plan.n_task].title,
                                                      .date = "",
                                                      .plan = &c->plan,
                                                      .limit = &c->leg_limit[e],
                                                      .n_limit = 1};
    }
    c->series = (struct wr_series){.n_leg = 3, .leg = c->leg, .any_over = 0.2};
    c->series_view = (struct wr_series_view){.series = &c->series, .leg = c->leg_name};
    c->input.series = &c->series_view;
}

static void fill_backtest(struct chart_case *c)
{
    struct wr_backtest_record *b = &c->backtest.leave_one_out;

    b->run = WR_NEW_ARRAY(struct wr_backtest_run, c->timing.n_run);
    for (size_t r = 0; r < c->timing.n_run; r++) {
        struct wr_backtest_run *run = &b->run[b->n_run++];
        run->run = r;
        run->forecast_made = r % 7 != 5;
        if (!run->forecast_made) continue;
        run->actual_min = c->timing.run[r].finish_without_holds_min;
        for (size_t i = 0; i < WR_N_LENS; i++)
            run->lens_min[i] = c->forecast.lens_min[i] * (1 + 0.004 * (double)(r % 3));
        run->inside80 = run->actual_min >= run->lens_min[1] && run->actual_min <= run->lens_min[5];
        run->inside95 = run->actual_min >= run->lens_min[0] && run->actual_min <= run->lens_min[6];
        b->n_forecast++;
        b->n_inside80 += run->inside80;
        b->n_inside95 += run->inside95;
    }
    b->expected_least80 = b->n_forecast * 2 / 3;
}

void chart_case_make(struct chart_case *c, const struct chart_case_options *o)
{
    struct trials t;
    size_t n = o->n_task;

    *c = (struct chart_case){0};
    make_plan(c, o);
    t.duration = WR_NEW_ARRAY(double, n * N_TRIAL);
    t.start = WR_NEW_ARRAY(double, n * N_TRIAL);
    t.end = WR_NEW_ARRAY(double, n * N_TRIAL);
    t.finish = WR_NEW_ARRAY(double, N_TRIAL);
    t.one_duration = WR_NEW_ARRAY(double, n);
    t.one_start = WR_NEW_ARRAY(double, n);
    t.one_end = WR_NEW_ARRAY(double, n);
    simulate(c, o, &t);
    c->forecast.n_task = n;
    c->forecast.n_lane = c->plan.n_lane;
    fill_tasks(c, o, &t);
    fill_finish(c, o, &t);
    if (o->n_run) fill_timing(c, o);
    c->input = (struct wr_chart_input){.plan = &c->plan, .forecast = &c->forecast};
    fill_pad(c);
    c->input.pad = &c->pad;
    if (o->n_run) {
        fill_comparison(c);
        fill_backtest(c);
        c->input.timing = &c->timing;
        c->input.log = &c->log;
        c->input.comparison = &c->comparison;
        c->input.backtest = &c->backtest;
    }
    if (c->limits.n_limit) {
        fill_cutoff(c);
        c->input.cutoff = (struct wr_cutoff_result){.plan = &c->plan, .card = &c->cutoff};
        c->input.limits = &c->limits;
        c->input.confidence = wr_known(0.9);
    }
    wr_free(t.duration);
    wr_free(t.start);
    wr_free(t.end);
    wr_free(t.finish);
    wr_free(t.one_duration);
    wr_free(t.one_start);
    wr_free(t.one_end);
    fill_series(c);
}

void chart_case_release(struct chart_case *c)
{
    wr_free(c->plan.task);
    wr_free(c->plan.lane);
    wr_arena_release(&c->plan.text);
    wr_free(c->forecast.task);
    wr_free(c->forecast.lane);
    wr_free(c->forecast.limit);
    wr_free(c->forecast.hundredth_min);
    wr_free(c->forecast.curve_limit_min);
    wr_free(c->forecast.curve_over);
    wr_free(c->forecast.curve_lo);
    wr_free(c->forecast.curve_hi);
    wr_free(c->comparison.run);
    wr_free(c->comparison.task_trend);
    wr_free(c->pad.task);
    if (c->cutoff.list) wr_free(c->cutoff.list[0].row);
    wr_free(c->cutoff.list);
    wr_free(c->backtest.leave_one_out.run);
    wr_free(c->timing.line_up);
    wr_free(c->timing.cell);
    wr_free(c->timing.run);
    wr_free(c->log.run);
    wr_arena_release(&c->log.text);
    wr_free(c->limits.limit);
    *c = (struct chart_case){0};
}
