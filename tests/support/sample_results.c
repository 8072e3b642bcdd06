#include "sample_results.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { N_RUN = 9, N_DRAW = 120, PER_DRAW = 40, N_TRIAL = N_DRAW * PER_DRAW };

static const struct {
    const char *id, *title, *kind;
    int lanes;
    double median_min, sdlog, planned_min;
} work[] = {
    {"egress", "Leave the airlock together", "transit", 3, 24, .13, 25},
    {"safe-lines", "Hook and check both safety lines", "transit", 3, 11, .15, 12},
    {"carry-mod-1", "Carry battery module 1 along the north truss", "transit", 1, 15, .18, 15},
    {"foot-dock", "Mount the foot restraint at the docking port", "restraint", 2, 17, .21, 15},
    {"free-old-1", "Free the first spent module, four bolts", "fastener", 1, 22, .27, 20},
    {"unplug-cam", "Unplug the docking-camera head", "connector", 2, 18, .24, 20},
    {"lift-old-1", "Lift the first spent module out, both crew", "handling", 3, 12, .21, 12},
    {"seat-mod-1", "Seat battery module 1 and torque its bolts", "fastener", 1, 25, .34, 22},
    {"swap-cam", "Swap the docking-camera head", "handling", 2, 26, .24, 25},
    {"mate-mod-1", "Mate the connectors of module 1", "connector", 1, 13, .27, 12},
    {"mate-cam", "Mate the two camera connectors", "connector", 2, 18, .40, 15},
    {"carry-mod-2", "Carry battery module 2 along the north truss", "transit", 1, 14, .16, 15},
    {"photo-cam", "Photograph the camera mount", "inspection", 2, 8, .19, 10},
    {"free-old-2", "Free the second spent module, four bolts", "fastener", 1, 19, .26, 20},
    {"foot-shade", "Move the foot restraint to the sunshade", "restraint", 2, 15, .20, 15},
    {"lift-old-2", "Lift the second spent module out, both crew", "handling", 3, 11, .19, 12},
    {"seat-mod-2", "Seat battery module 2 and torque its bolts", "fastener", 1, 22, .30, 22},
    {"gauge-shade", "Read the tension gauge of the sunshade", "inspection", 2, 9, .22, 10},
    {"mate-mod-2", "Mate the connectors of module 2", "connector", 1, 12, .23, 12},
    {"free-drum", "Free the drum lock of the sunshade", "fastener", 2, 14, .30, 12},
    {"tension-shade", "Re-tension the sunshade, one at each end", "handling", 3, 34, .31, 30},
    {"stow-old", "Stow both spent modules on the carrier", "handling", 1, 22, .22, 20},
    {"swab-hinge", "Sample the hinge for wear, three swabs", "inspection", 2, 24, .26, 22},
    {"look-radiator", "Look over the edge of the battery radiator", "inspection", 1, 12, .25, 12},
    {"stage-frame", "Stage the panel frame for Petrel 8", "staging", 1, 16, .20, 15},
    {"stage-chest", "Stage the tool chest for Petrel 8", "staging", 2, 17, .22, 15},
    {"count-tools", "Count tools and clear both sites", "inspection", 3, 16, .18, 15},
    {"ingress", "Return to the airlock and close the hatch", "transit", 3, 22, .16, 25},
};
enum { N_WORK = sizeof work / sizeof *work };

const char *const sample_attacks[] = {
    "`touch pwned` $(touch pwned) ${HOME} @x ! \\",
    "</td><script>alert(\"one\")</script><img src=x onerror='alert(2)'>",
    "\x1b[2J\x1b]0;owned\x07 \xc2\x9b"
    "31m over\rwrite\x7f",
    "bytes \xff\xfe \xc3( \xed\xa0\x80 end",
    "=HYPERLINK(\"http://example.invalid/\",\"x\")",
    "a\xe2\x80\xae"
    "b\xe2\x81\xa6"
    "c, \"quoted\"; tab\t and\nline",
    "\xe4\xba\x8c\xe5\x8f\xb7\xe9\x9b\xbb\xe6\xb1\xa0\xe3\x81\xae\xe5\x8f\xa4\xe3\x81\x84\xe3\x82\xb3\xe3\x83\x8d",
    "Verify every one of the twelve captive fasteners on the starboard radiator plate, by feel and then by torque, "
    "twice",
    "]]>--><!-- &amp; </style></script> {/Bold x}_y^z #no %s%n",
    "-->\" style=\"x\" onload=\"y",
};
const size_t sample_n_attack = sizeof sample_attacks / sizeof *sample_attacks;

/* A small generator of our own (Marsaglia's 64-bit xorshift): the sample must not move with the engine's streams. */
static double uniform(uint64_t *state)
{
    *state ^= *state << 13;
    *state ^= *state >> 7;
    *state ^= *state << 17;
    return ((double)(*state >> 11) + 0.5) / 9007199254740992.0;
}

static double normal(uint64_t *state)
{
    double r = sqrt(-2.0 * log(uniform(state)));
    return r * cos(6.283185307179586 * uniform(state));
}

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

/* x sorted; linear between order statistics */
static double quantile(const double *x, size_t n, double p)
{
    double at = p * (double)(n - 1);
    size_t i = (size_t)at;
    return i + 1 < n ? x[i] + (at - (double)i) * (x[i + 1] - x[i]) : x[n - 1];
}

static const char *keep(struct sample *s, const char *text)
{
    return wr_arena_copy(&s->text, text, strlen(text));
}

static const char *keep_number(struct sample *s, const char *text, size_t n)
{
    char with_number[512];
    snprintf(with_number, sizeof with_number, "%s-%zu", text, n);
    return keep(s, with_number);
}

static void make_plan(struct sample *s, size_t n_task, enum sample_flavour flavour)
{
    bool hostile = flavour == SAMPLE_HOSTILE;

    s->plan.file = hostile ? "plan<b>.csv" : "plan.csv";
    s->plan.n_lane = 2;
    s->plan.lane = wr_arena_alloc(&s->text, 2, sizeof *s->plan.lane);
    s->plan.lane[0] = hostile ? "EV<1>" : "EV1";
    s->plan.lane[1] = hostile ? "EV\x1b" "2" : "EV2";
    s->plan.n_task = s->plan.room_task = n_task;
    s->plan.task = wr_arena_alloc(&s->text, n_task, sizeof *s->plan.task);
    for (size_t k = 0; k < n_task; k++) {
        struct wr_plan_task *t = &s->plan.task[k];
        size_t w = k % N_WORK;
        t->id = k < N_WORK ? work[w].id : keep_number(s, work[w].id, k);
        t->title = k < N_WORK ? work[w].title : keep_number(s, work[w].title, k / N_WORK + 1);
        if (hostile) t->id = keep_number(s, sample_attacks[k % sample_n_attack], k);
        if (hostile) t->title = sample_attacks[k % sample_n_attack];
        t->kind = work[w].kind;
        t->lanes = (uint32_t)work[w].lanes;
        for (uint8_t l = 0; l < 2; l++)
            if (t->lanes & (1u << l)) t->lane_order[t->n_lane++] = l;
        t->planned_min = wr_known(work[w].planned_min);
        if (strcmp(work[w].kind, "staging") == 0) t->drop_after_min = wr_known(320.0);
        t->line = k + 2;
    }
}

static double planned_total(const struct sample *s)
{
    double *duration = WR_NEW_ARRAY(double, s->plan.n_task), *end = WR_NEW_ARRAY(double, s->plan.n_task);

    for (size_t k = 0; k < s->plan.n_task; k++) duration[k] = work[k % N_WORK].median_min;
    double total = wr_network_forward(&s->net, duration, NULL, end, NULL);
    wr_free(duration);
    wr_free(end);
    return total;
}

static void make_limits(struct sample *s, enum sample_flavour flavour)
{
    size_t n = s->plan.n_task;

    s->limits.n_limit = n >= 20 ? 3 : 1;
    s->limits.limit = wr_arena_alloc(&s->text, s->limits.n_limit, sizeof *s->limits.limit);
    s->limits.limit[0] = (struct wr_limit){.name = flavour == SAMPLE_HOSTILE ? "ex<cur>\x1bsion" : "excursion",
                                           .lanes = 3,
                                           .minutes = n == N_WORK ? 390 : round(planned_total(s) * 1.16),
                                           .confidence = wr_known(0.9),
                                           .line = 2};
    if (s->limits.n_limit == 1) return;
    s->limits.limit[1] = (struct wr_limit){.name = "EV2 consumables", .lanes = 2, .minutes = 420,
                                           .confidence = wr_known(0.95), .line = 3};
    s->limits.limit[2] = (struct wr_limit){.name = "module 1 without power", .lanes = 3, .is_clock = true, .from = 4,
                                           .to = 9, .minutes = 100, .line = 4};
}

static void make_log(struct sample *s, enum sample_flavour flavour)
{
    size_t n = s->plan.n_task;
    struct wr_run_log *log = &s->log;

    log->n_file = 1;
    log->file = wr_arena_alloc(&s->text, 1, sizeof *log->file);
    log->file[0] = "runs.csv";
    log->n_task = n;
    log->task = wr_arena_alloc(&s->text, n, sizeof *log->task);
    for (size_t k = 0; k < n; k++) log->task[k] = s->plan.task[k].id;
    log->n_run = N_RUN;
    log->run = wr_arena_alloc(&s->text, N_RUN, sizeof *log->run);
    for (size_t r = 0; r < N_RUN; r++) {
        char text[32];
        snprintf(text, sizeof text, "R%02zu", r + 1);
        log->run[r].id = flavour == SAMPLE_HOSTILE ? keep_number(s, sample_attacks[r], r) : keep(s, text);
        snprintf(text, sizeof text, "2041-03-%02zu", 3 * r + 2);
        log->run[r].date = keep(s, text);
        log->run[r].n_row = n;
        log->rows_accepted += n;
    }
    log->rows_rejected = 3;
    log->rows_read = log->rows_accepted + log->rows_rejected;
    log->has_performer = log->has_crew = log->has_dates = true;
}

static void make_timing(struct sample *s, enum sample_flavour flavour, uint64_t *rng)
{
    size_t n = s->plan.n_task;
    double *duration = WR_NEW_ARRAY(double, n), *start = WR_NEW_ARRAY(double, n), *end = WR_NEW_ARRAY(double, n);
    struct wr_timing *t = &s->timing;

    *t = (struct wr_timing){.n_task = n, .n_run = N_RUN, .n_person = 4, .n_lane = 2};
    t->cell = wr_arena_alloc(&s->text, n * N_RUN, sizeof *t->cell);
    t->run = wr_arena_alloc(&s->text, N_RUN, sizeof *t->run);
    t->person = wr_arena_alloc(&s->text, 4, sizeof *t->person);
    t->line_up = wr_arena_alloc(&s->text, 2 * N_RUN, sizeof *t->line_up);
    t->waiting_min = wr_arena_alloc(&s->text, 2 * N_RUN, sizeof *t->waiting_min);
    for (size_t p = 0; p < 4; p++) {
        static const char *const name[] = {"Asta", "Bram", "Ciro", "Dana"};
        t->person[p] = flavour == SAMPLE_HOSTILE ? sample_attacks[p] : name[p];
    }
    for (size_t r = 0; r < N_RUN; r++) {
        double day = .028 * normal(rng) - .055 * log((double)(r + 1) / (N_RUN + 1));
        struct wr_timing_run *run = &t->run[r];
        for (size_t k = 0; k < n; k++) {
            struct wr_cell *c = &t->cell[k * N_RUN + r];
            const double whole = work[k % N_WORK].median_min * exp(day + work[k % N_WORK].sdlog * normal(rng));
            bool skipped = (r == 0 && k == 22) || (r == 6 && (k == 24 || k == 25));
            bool stopped = r == 2 && (k == 8 || k == 22);
            c->state = skipped ? WR_CELL_SKIPPED : stopped ? WR_CELL_STOPPED : WR_CELL_DONE;
            c->line = 2 + r * n + k;
            duration[k] = skipped ? 0 : stopped ? .8 * whole : whole;
            if (skipped) continue;
            c->lead_in_min = .08 * duration[k];
            c->active_min = .92 * duration[k];
            c->hold_min = k % 7 == 3 ? 2.5 : 0;
            c->n_performer = s->plan.task[k].n_lane;
            for (size_t i = 0; i < c->n_performer; i++)
                c->person[i] = (unsigned)(2 * (r % 2) + s->plan.task[k].lane_order[i]);
        }
        run->by_plan_min = run->finish_without_holds_min = wr_network_forward(&s->net, duration, start, end, NULL);
        for (size_t k = 0; k < n; k++) {
            struct wr_cell *c = &t->cell[k * N_RUN + r];
            run->n_done += c->state == WR_CELL_DONE;
            run->n_stopped += c->state == WR_CELL_STOPPED;
            run->n_skipped += c->state == WR_CELL_SKIPPED;
            run->unlogged_min += c->lead_in_min;
            if (c->state == WR_CELL_SKIPPED) continue;
            c->start_min = start[k];
            c->end_min = end[k];
        }
        run->replay_min = run->finish_without_holds_min + 6.5;
        run->finish_min = wr_known(run->replay_min);
        run->complete = run->n_done == n;
        run->kept_to_plan = true;
        run->order = (double)(r + 1);
        t->waiting_min[2 * r] = 9 + (double)r;
        t->waiting_min[2 * r + 1] = 61 - (double)r;
        t->line_up[2 * r] = 2 * (int)(r % 2);
        t->line_up[2 * r + 1] = 2 * (int)(r % 2) + 1;
    }
    wr_free(duration);
    wr_free(start);
    wr_free(end);
}

/* Everything that the trials leave behind, [task * N_TRIAL + trial] where it is by task. */
struct trials {
    double *duration, *score, *start, *end, *finish, *day;
    double *lane_end[2];
    double *clock;
    unsigned char *dropped, *on_path;
};

static void run_trials(const struct sample *s, struct trials *x, uint64_t *rng)
{
    size_t n = s->plan.n_task;
    double *d = WR_NEW_ARRAY(double, n), *start = WR_NEW_ARRAY(double, n), *end = WR_NEW_ARRAY(double, n);
    double *shift = WR_NEW_ARRAY(double, n), lane_end[2];
    unsigned char *dropped = WR_NEW_ARRAY(unsigned char, n), *path = WR_NEW_ARRAY(unsigned char, n);

    for (size_t i = 0; i < N_TRIAL; i++) {
        static double tau, common;
        if (i % PER_DRAW == 0) {
            tau = fabs(.034 + .014 * normal(rng));
            common = .02 * normal(rng);
            for (size_t k = 0; k < n; k++) shift[k] = common + .27 * work[k % N_WORK].sdlog * normal(rng);
        }
        double b = tau * normal(rng);
        x->day[i] = b;
        for (size_t k = 0; k < n; k++) {
            double z = normal(rng);
            x->score[k * N_TRIAL + i] = z;
            d[k] = 1.065 * work[k % N_WORK].median_min * exp(shift[k] + b + work[k % N_WORK].sdlog * z);
        }
        x->finish[i] = wr_network_forward(&s->net, d, start, end, dropped);
        wr_network_longest_path(&s->net, WR_FINISH, start, end, dropped, path);
        wr_network_lane_ends(&s->net, end, lane_end);
        for (size_t l = 0; l < 2; l++) x->lane_end[l][i] = lane_end[l];
        if (n > 9) x->clock[i] = end[9] - start[4];
        for (size_t k = 0; k < n; k++) {
            size_t at = k * N_TRIAL + i;
            x->duration[at] = d[k];
            x->start[at] = start[k];
            x->end[at] = end[k];
            x->dropped[at] = dropped[k];
            x->on_path[at] = path[k];
        }
    }
    wr_free(d), wr_free(start), wr_free(end), wr_free(shift), wr_free(dropped), wr_free(path);
}

static double mean_of(const double *x, size_t n)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++) sum += x[i];
    return sum / (double)n;
}

static double covariance(const double *x, const double *y, size_t n)
{
    double mx = mean_of(x, n), my = mean_of(y, n), sum = 0;
    for (size_t i = 0; i < n; i++) sum += (x[i] - mx) * (y[i] - my);
    return sum / (double)(n - 1);
}

static double squared_correlation(const double *x, const double *y, size_t n)
{
    double c = covariance(x, y, n), v = covariance(x, x, n) * covariance(y, y, n);
    return v > 0 ? c * c / v : 0;
}

static double share_above(const double *x, size_t n, double bound)
{
    size_t above = 0;
    for (size_t i = 0; i < n; i++) above += x[i] > bound;
    return (double)above / (double)n;
}

/* x in trial order; per_draw[N_DRAW] may be NULL */
static struct wr_probability probability_over(const double *x, double bound, double *per_draw)
{
    double share[N_DRAW];
    struct wr_probability p = {.mean = share_above(x, N_TRIAL, bound)};

    for (size_t d = 0; d < N_DRAW; d++) share[d] = share_above(x + d * PER_DRAW, PER_DRAW, bound);
    if (per_draw) memcpy(per_draw, share, sizeof share);
    qsort(share, N_DRAW, sizeof *share, by_size);
    p.lo = quantile(share, N_DRAW, .05);
    p.hi = quantile(share, N_DRAW, .95);
    p.mc_error = sqrt(p.mean * (1 - p.mean) / N_TRIAL);
    return p;
}

static void lens_of(const double *x, double *lens_min)
{
    double *sorted = WR_NEW_ARRAY(double, N_TRIAL);

    memcpy(sorted, x, N_TRIAL * sizeof *sorted);
    qsort(sorted, N_TRIAL, sizeof *sorted, by_size);
    for (size_t i = 0; i < WR_N_LENS; i++) {
        static const double prob[WR_N_LENS] = {.025, .1, .25, .5, .75, .9, .975};
        lens_min[i] = quantile(sorted, N_TRIAL, prob[i]);
    }
    wr_free(sorted);
}

static void fill_task(struct wr_task_outlook *out, const struct trials *x, size_t k)
{
    const double *duration = x->duration + k * N_TRIAL;
    double *sorted = WR_NEW_ARRAY(double, N_TRIAL);

    memcpy(sorted, duration, N_TRIAL * sizeof *sorted);
    qsort(sorted, N_TRIAL, sizeof *sorted, by_size);
    out->median_min = quantile(sorted, N_TRIAL, .5);
    out->p80_min = quantile(sorted, N_TRIAL, .8);
    out->p95_min = quantile(sorted, N_TRIAL, .95);
    out->mean_min = mean_of(duration, N_TRIAL);
    out->sd_min = sqrt(covariance(duration, duration, N_TRIAL));
    lens_of(duration, out->lens_min);
    lens_of(x->start + k * N_TRIAL, out->start_min);
    lens_of(x->end + k * N_TRIAL, out->end_min);
    for (size_t i = 0; i < N_TRIAL; i++) {
        out->dropped += x->dropped[k * N_TRIAL + i] / (double)N_TRIAL;
        out->on_longest_path += x->on_path[k * N_TRIAL + i] / (double)N_TRIAL;
    }
    out->variance_share = squared_correlation(x->score + k * N_TRIAL, x->finish, N_TRIAL);
    wr_free(sorted);
}

static void fill_finish(struct sample *s, const struct trials *x)
{
    static const double prob[WR_N_QUANTILE] = {.025, .05, .1, .25, .5, .75, .8, .9, .95, .975, .99};
    struct wr_forecast *f = &s->forecast;
    double *sorted = WR_NEW_ARRAY(double, N_TRIAL), part[PER_DRAW], of_draw[N_DRAW];

    memcpy(sorted, x->finish, N_TRIAL * sizeof *sorted);
    qsort(sorted, N_TRIAL, sizeof *sorted, by_size);
    f->mean_min = mean_of(sorted, N_TRIAL);
    f->sd_min = sqrt(covariance(sorted, sorted, N_TRIAL));
    lens_of(x->finish, f->lens_min);
    f->hundredth_min = wr_arena_alloc(&s->text, 100, sizeof(double));
    for (size_t i = 0; i < 100; i++) f->hundredth_min[i] = quantile(sorted, N_TRIAL, ((double)i + .5) / 100);
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        f->quantile_min[q] = quantile(sorted, N_TRIAL, prob[q]);
        for (size_t d = 0; d < N_DRAW; d++) {
            memcpy(part, x->finish + d * PER_DRAW, sizeof part);
            qsort(part, PER_DRAW, sizeof *part, by_size);
            of_draw[d] = quantile(part, PER_DRAW, prob[q]);
        }
        qsort(of_draw, N_DRAW, sizeof *of_draw, by_size);
        f->quantile_lo_min[q] = quantile(of_draw, N_DRAW, .05);
        f->quantile_hi_min[q] = quantile(of_draw, N_DRAW, .95);
    }
    f->n_curve = 61;
    f->curve_limit_min = wr_arena_alloc(&s->text, f->n_curve, sizeof(double));
    f->curve_over = wr_arena_alloc(&s->text, f->n_curve, sizeof(double));
    f->curve_lo = wr_arena_alloc(&s->text, f->n_curve, sizeof(double));
    f->curve_hi = wr_arena_alloc(&s->text, f->n_curve, sizeof(double));
    double from = floor(quantile(sorted, N_TRIAL, .3) / 5) * 5, to = ceil(quantile(sorted, N_TRIAL, .99) / 5) * 5;
    for (size_t i = 0; i < f->n_curve; i++) {
        f->curve_limit_min[i] = from + (to - from) * (double)i / (double)(f->n_curve - 1);
        struct wr_probability p = probability_over(x->finish, f->curve_limit_min[i], NULL);
        f->curve_over[i] = p.mean, f->curve_lo[i] = p.lo, f->curve_hi[i] = p.hi;
    }
    wr_free(sorted);
}

static void fill_limits(struct sample *s, const struct trials *x)
{
    struct wr_forecast *f = &s->forecast;
    const struct wr_limit *l = s->limits.limit;
    double *any = WR_NEW_ARRAY(double, N_TRIAL);

    f->limit = wr_arena_alloc(&s->text, f->n_limit, sizeof *f->limit);
    f->draw_over = wr_arena_alloc(&s->text, f->n_limit * N_DRAW, sizeof(double));
    f->limit[0].over = probability_over(x->finish, l[0].minutes, f->draw_over);
    if (f->n_limit == 3) {
        f->limit[1].over = probability_over(x->lane_end[1], l[1].minutes, f->draw_over + N_DRAW);
        f->limit[2].over = probability_over(x->clock, l[2].minutes, f->draw_over + 2 * N_DRAW);
    }
    for (size_t i = 0; i < N_TRIAL; i++) {
        any[i] = x->finish[i] > l[0].minutes;
        if (f->n_limit == 3) any[i] += (x->lane_end[1][i] > l[1].minutes) + (x->clock[i] > l[2].minutes);
    }
    f->any_over = probability_over(any, .5, NULL);
    memcpy(any, x->finish, N_TRIAL * sizeof *any);
    qsort(any, N_TRIAL, sizeof *any, by_size);
    f->half_over_min = quantile(any, N_TRIAL, 1 - f->limit[0].over.mean / 2);
    wr_free(any);
}

static void make_forecast(struct sample *s, uint64_t *rng)
{
    size_t n = s->plan.n_task;
    struct wr_forecast *f = &s->forecast;
    struct trials x = {0};

    double **by_task[] = {&x.duration, &x.score, &x.start, &x.end}, **by_trial[] = {&x.finish, &x.day, &x.lane_end[0],
                                                                                   &x.lane_end[1], &x.clock};
    for (size_t i = 0; i < sizeof by_task / sizeof *by_task; i++) *by_task[i] = WR_NEW_ARRAY(double, n * N_TRIAL);
    for (size_t i = 0; i < sizeof by_trial / sizeof *by_trial; i++) *by_trial[i] = WR_NEW_ARRAY(double, N_TRIAL);
    x.dropped = WR_NEW_ARRAY(unsigned char, n * N_TRIAL);
    x.on_path = WR_NEW_ARRAY(unsigned char, n * N_TRIAL);
    run_trials(s, &x, rng);

    f->n_trial = N_TRIAL, f->n_task = n, f->n_lane = 2, f->n_limit = s->limits.n_limit, f->n_draw = N_DRAW;
    f->task = wr_arena_alloc(&s->text, n, sizeof *f->task);
    f->lane = wr_arena_alloc(&s->text, 2, sizeof *f->lane);
    fill_finish(s, &x);
    fill_limits(s, &x);
    for (size_t k = 0; k < n; k++) fill_task(&f->task[k], &x, k);
    for (size_t l = 0; l < 2; l++) {
        double lens[WR_N_LENS];
        lens_of(x.lane_end[l], lens);
        f->lane[l].finish_p50_min = lens[3];
        for (size_t k = 0; k < n; k++)
            if (s->plan.task[k].lanes & (1u << l)) f->lane[l].busy_min += f->task[k].median_min;
        f->lane[l].waiting_min = fmax(0, f->lane[l].finish_p50_min - f->lane[l].busy_min);
    }
    f->run_effect_share = squared_correlation(x.day, x.finish, N_TRIAL);
    f->parameter_share = .1;
    for (size_t i = 0; i < sizeof by_task / sizeof *by_task; i++) wr_free(*by_task[i]);
    for (size_t i = 0; i < sizeof by_trial / sizeof *by_trial; i++) wr_free(*by_trial[i]);
    wr_free(x.dropped), wr_free(x.on_path);
}

static void make_findings(struct sample *s, enum sample_flavour flavour)
{
    const char *odd = flavour == SAMPLE_HOSTILE ? sample_attacks[1] : "25:61";

    wr_findings_add(&s->findings, WR_ERROR, "row-rejected", "runs.csv", 57, 14, "start '%s' is no time", odd);
    wr_findings_add(&s->findings, WR_ERROR, "row-rejected", "runs.csv", 81, 20,
                    "hold of 40 min is longer than the step");
    wr_findings_add(&s->findings, WR_ERROR, "row-rejected", "runs.csv", 144, 0, "7 fields where the header has 9");
    wr_findings_add(
        &s->findings, WR_WARNING, "began-early", "runs.csv", 92, 0,
        "R04 began 'Lift the first spent module out, both crew' 3 min before 'Unplug the docking-camera head' "
        "had ended: plan and log disagree");
    wr_findings_add(&s->findings, WR_NOTE, "duplicate-row", "runs.csv", 200, 0, "the same step twice; kept once");
}

static void make_context(struct sample *s, enum sample_flavour flavour)
{
    s->input[0] = (struct wr_present_input){flavour == SAMPLE_HOSTILE ? "runs<i>.csv" : "runs.csv",
                                            "0f343b0931126a20f133d67c2b018a3b5b1d5a6c7a2a4f0b9c8d7e6f5a4b3c2d"};
    s->input[1] = (struct wr_present_input){"plan.csv",
                                            "9a271f2a916b0b6ee6cecb2426f0b3206ef074578be55d9bc94f6f3fe3ab86aa"};
    s->context = (struct wr_present_context){.version = "0.1.0",
                                             .command = "forecast",
                                             .campaign = flavour == SAMPLE_HOSTILE ? sample_attacks[1] : "petrel-7",
                                             .options = flavour == SAMPLE_HOSTILE ? sample_attacks[0] : "",
                                             .has_seed = true,
                                             .seed = 7,
                                             .n_trial = N_TRIAL,
                                             .has_target = true,
                                             .target = WR_FOR_REHEARSAL,
                                             .n_run = N_RUN,
                                             .n_complete_run = 6,
                                             .confidence = wr_known(0.9),
                                             .input = s->input,
                                             .n_input = 2};
}

void sample_make(struct sample *s, size_t n_task, enum sample_flavour flavour)
{
    uint64_t rng = 0x9E3779B97F4A7C15u;
    struct wr_error err;

    *s = (struct sample){0};
    make_plan(s, n_task, flavour);
    WR_BUG_IF(wr_network_build(&s->net, &s->plan, &err) != WR_OK);
    make_limits(s, flavour);
    make_log(s, flavour);
    make_timing(s, flavour, &rng);
    make_forecast(s, &rng);
    make_findings(s, flavour);
    make_context(s, flavour);
}

/* What the sample put into its own arena is not released through the types' own functions. */
void sample_release(struct sample *s)
{
    wr_network_release(&s->net);
    wr_findings_release(&s->findings);
    wr_arena_release(&s->text);
    *s = (struct sample){0};
}
