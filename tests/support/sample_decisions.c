#include "sample_decisions.h"

#include <math.h>

static void make_pad(struct sample_decisions *d, struct sample *s)
{
    const struct wr_forecast *f = &s->forecast;
    struct wr_pad *p = &d->pad;
    size_t n = s->plan.n_task;

    *p = (struct wr_pad){.confidence = 0.9,
                         .n_trial = f->n_trial,
                         .n_task = n,
                         .median_timeline_min = f->quantile_min[4] - 6,
                         .median_finish_min = f->quantile_min[4],
                         .finish_quantile_min = f->quantile_min[7],
                         .finish_mc_error_min = 0.4,
                         .equal_percentile = 0.71,
                         .prob_all_kept = 0.86,
                         .together_level = 0.93,
                         .together_finish_min = f->quantile_min[7] + 9,
                         .twice_min = f->quantile_min[10] + 20,
                         .prob_inside_twice = 0.993};
    p->reserve_min = p->finish_quantile_min - p->median_timeline_min;
    p->factor = p->finish_quantile_min / p->median_timeline_min;
    p->twice_reserve_min = p->twice_min - p->median_timeline_min;
    p->task = wr_arena_alloc(&s->text, n, sizeof *p->task);
    p->checkpoint = wr_arena_alloc(&s->text, n + 1, sizeof *p->checkpoint);
    for (size_t k = 0; k < n; k++) {
        const struct wr_task_outlook *o = &f->task[k];
        bool joint = s->plan.task[k].n_lane > 1;
        p->task[k] = (struct wr_pad_task){.median_min = o->median_min,
                                          .pad_min = o->p80_min - o->median_min,
                                          .own_quantile_min = o->p95_min,
                                          .stretch = p->n_checkpoint,
                                          .on_longest_path = o->on_longest_path,
                                          .planned_min = s->plan.task[k].planned_min,
                                          .prob_planned_enough = wr_known(0.55),
                                          .dropped = o->dropped};
        if (k % 9 == 4)
            p->task[k] = (struct wr_pad_task){.median_min = o->median_min,
                                              .waits = true,
                                              .planned_wait_min = 12,
                                              .stretch = p->n_checkpoint,
                                              .own_quantile_min = o->p95_min};
        p->task[k].factor = (p->task[k].median_min + p->task[k].pad_min) / p->task[k].median_min;
        if (!joint) continue;
        size_t before = p->n_checkpoint > 0 ? p->n_checkpoint - 1 : SIZE_MAX;
        p->checkpoint[p->n_checkpoint++] = (struct wr_pad_checkpoint){
            .task = k, .before = before, .median_timeline_min = o->start_min[3] - 3, .time_min = o->start_min[5],
            .percentile = 0.72, .stretch_reserve_min = 9, .prob_kept = 0.9, .together_min = o->start_min[5] + 4};
    }
    size_t last = p->n_checkpoint > 0 ? p->n_checkpoint - 1 : SIZE_MAX;
    p->checkpoint[p->n_checkpoint++] = (struct wr_pad_checkpoint){
        .task = SIZE_MAX, .before = last, .median_timeline_min = p->median_timeline_min,
        .time_min = p->finish_quantile_min, .percentile = 0.63, .stretch_reserve_min = 7, .prob_kept = 0.9,
        .together_min = p->together_finish_min};
}

static void make_card(struct sample_decisions *d, struct sample *s)
{
    struct wr_cutoff_card *c = &d->card;
    size_t n = s->plan.n_task;

    *c = (struct wr_cutoff_card){.n_trial = s->forecast.n_trial, .n_limit = s->limits.n_limit, .n_row = n,
                                 .prob_any_over = s->forecast.any_over.mean};
    c->list = wr_arena_alloc(&s->text, c->n_limit, sizeof *c->list);
    for (size_t i = 0; i < c->n_limit; i++) {
        const struct wr_limit *l = &s->limits.limit[i];
        struct wr_cutoff_list *list = &c->list[i];
        list->limit.limit = (struct wr_sim_limit){l->lanes, l->is_clock, l->from, l->to, l->minutes};
        list->limit.confidence = l->confidence.known ? l->confidence.value : 0.9;
        list->prob_over = s->forecast.limit[i].over.mean;
        list->row = wr_arena_alloc(&s->text, n, sizeof *list->row);
        d->limit_name[i] = l->name;
        d->over[i] = s->forecast.limit[i].over;
        for (size_t k = 0; k < n; k++) {
            struct wr_cutoff_row *row = &list->row[k];
            double usual = s->forecast.task[k].start_min[3], slack = 30 - (double)k;
            *row = (struct wr_cutoff_row){.task = k, .typical_start_min = usual, .prob_inside_at_typical = 0.93,
                                          .latest_start_min = usual + slack, .slack_min = slack, .share_in_time = 0.88,
                                          .mc_error_min = 0.6, .effective = 900};
            row->reason = k < WR_CUTOFF_NO_CLOCK    ? (enum wr_cutoff_reason)k
                          : k == WR_CUTOFF_NO_CLOCK ? WR_CUTOFF_TOO_FEW
                                                    : WR_CUTOFF_FOUND; /* every reason once but that of a clock */
            row->beyond_range = k == 8;
            row->drop_rule_first = k == 24;
            if (k == 25) row->has_second_window = true, row->second_from_min = 320, row->second_to_min = 330.4;
        }
    }
}

static void make_update(struct sample_decisions *d, struct sample *s)
{
    struct wr_update *u = &d->update;

    *u = (struct wr_update){.n_done = 9, .n_timed = 8, .n_running = 2, .effective = 5000, .effective_draws = 120,
                            .seen_factor = 1.21, .rest_factor = 1.13, .rest_factor_lo = 1.04, .rest_factor_hi = 1.22,
                            .mean_min = s->forecast.mean_min + 20, .sd_min = 12, .n_limit = s->limits.n_limit};
    u->state = (struct wr_now_state){.n_task = s->plan.n_task, .now_min = 150};
    u->state.state = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.state); /* nothing has begun */
    u->state.begin_known = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.begin_known);
    u->state.rule = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.rule);
    u->state.begin_min = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.begin_min);
    u->state.end_min = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.end_min);
    u->state.end_known = wr_arena_alloc(&s->text, u->state.n_task, sizeof *u->state.end_known);
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        u->before_quantile_min[q] = s->forecast.quantile_min[q];
        u->quantile_min[q] = s->forecast.quantile_min[q] + 21;
    }
    u->over = wr_arena_alloc(&s->text, u->n_limit, sizeof *u->over);
    u->over_before = wr_arena_alloc(&s->text, u->n_limit, sizeof *u->over_before);
    for (size_t i = 0; i < u->n_limit; i++) {
        u->over[i] = (struct wr_probability){.mean = .31, .lo = .12, .hi = .55, .mc_error = .003};
        u->over_before[i] = wr_known(s->forecast.limit[i].over.mean);
    }
    u->any_over = u->over[0];
    u->card = d->card;
}

static void make_whatif(struct sample_decisions *d, struct sample *s)
{
    static const double gain[] = {.034, .021, -.004};
    struct wr_whatif *w = &d->whatif;
    double base = s->forecast.limit[0].over.mean;

    *w = (struct wr_whatif){.n_trial = 16000, .n_draw = s->forecast.n_draw, .n_limit = s->limits.n_limit, .n_row = 3,
                            .base_mean_min = s->forecast.mean_min, .base_median_min = s->forecast.quantile_min[4],
                            .base_p90_min = s->forecast.quantile_min[7], .base_any_over = s->forecast.any_over.mean};
    w->base_over = wr_arena_alloc(&s->text, w->n_limit, sizeof *w->base_over);
    for (size_t l = 0; l < w->n_limit; l++) w->base_over[l] = s->forecast.limit[l].over.mean;
    w->row = wr_arena_alloc(&s->text, 3, sizeof *w->row);
    for (size_t i = 0; i < 3; i++) {
        struct wr_whatif_row *row = &w->row[i];
        *row = (struct wr_whatif_row){.variant = 2 - i,
                                      .any_over = .07,
                                      .mean_min = w->base_mean_min - 10 + 5 * (double)i,
                                      .median_min = w->base_median_min - 10 + 5 * (double)i,
                                      .p90_min = w->base_p90_min - 9,
                                      .saved_min = {10 - 5 * (double)i, 8 - 5 * (double)i, 12 - 5 * (double)i, .1},
                                      .median_saved_min = 10 - 5 * (double)i,
                                      .share_later = .003,
                                      .rank = i + 1,
                                      .share_better_than_next = i == 0   ? .97
                                                                : i == 1 ? .7
                                                                         : 1,
                                      .told_apart = i == 0,
                                      .share_better_than_base = .98};
        row->limit = wr_arena_alloc(&s->text, w->n_limit, sizeof *row->limit);
        for (size_t l = 0; l < w->n_limit; l++)
            row->limit[l] = (struct wr_whatif_limit){
                base - gain[i], base, {gain[i], gain[i] - .01, gain[i] + .02, .0004, 0, 0, false}};
    }
    d->variant_name[0] = s->plan.task[0].title;
    d->variant_name[1] = "scale fastener 0.9";
    d->variant_name[2] = s->plan.task[s->plan.n_task - 1].title;
}

static void make_prices(struct sample_decisions *d, struct sample *s)
{
    double base = s->forecast.limit[0].over.mean;

    for (size_t k = 0; k < s->plan.n_task && d->n_price < 2; k++) {
        if (!s->plan.task[k].drop_after_min.known) continue;
        d->price[d->n_price++] = (struct wr_drop_price){
            k, 0, 256, .08, base, base + .011, base - .006, {.011, .002, .025, .0003, 0, 0, false},
            {1.4, .6, 2.8, .02, 0, 0, false},
            s->forecast.quantile_min[4], s->forecast.quantile_min[4] + 2, base + .02,
            {.006, .002, .012, .0003, 0, 0, false},
            {.02, .01, .03, .0003, 0, 0, false}};
    }
}

void sample_decide(struct sample_decisions *d, struct sample *s)
{
    *d = (struct sample_decisions){0};
    make_pad(d, s);
    make_card(d, s);
    make_update(d, s);
    make_whatif(d, s);
    make_prices(d, s);
}
