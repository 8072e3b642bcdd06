#include "day_data.h"

#include <math.h>
#include <stdint.h>
#include <string.h>
#include "json.h"
#include "wetrun/base/memory.h"
#include "wetrun/campaign/way_in.h"
#include "wetrun/decide/lead_in.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/words.h"

/* ---- packed rows ---- */

struct packed {
    size_t n_draw;
    json_t *lo, *step;
    struct wr_str bytes;
};

static void pack_row(struct packed *p, struct wr_json *j, const double *value)
{
    double lo = value[0], hi = value[0];

    for (size_t i = 1; i < p->n_draw; i++) {
        lo = fmin(lo, value[i]);
        hi = fmax(hi, value[i]);
    }
    double step = (hi - lo) / UINT16_MAX;
    wr_json_push_number(j, p->lo, lo);
    wr_json_push_number(j, p->step, step);
    for (size_t i = 0; i < p->n_draw; i++) {
        unsigned number = step > 0 ? (unsigned)lround((value[i] - lo) / step) : 0;
        const char pair[2] = {(char)(number & 255), (char)(number >> 8 & 255)};
        wr_str_add_bytes(&p->bytes, pair, 2);
    }
}

static void add_base64(struct wr_str *out, const unsigned char *byte, size_t n)
{
    static const char letter[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

    for (size_t i = 0; i < n; i += 3) {
        uint32_t group =
            (uint32_t)byte[i] << 16 | (i + 1 < n ? (uint32_t)byte[i + 1] << 8 : 0u) | (i + 2 < n ? byte[i + 2] : 0u);
        for (int at = 0; at < 4; at++)
            wr_str_add_char(out, i + (size_t)at > n ? '=' : letter[group >> (18 - 6 * at) & 63]);
    }
}

/* rows of n_draw numbers each: value[row * n_draw + draw]; pick: only the tasks of the model, NULL: all. */
static void put_packed(struct wr_json *j, json_t *at, const char *key, const double *value, size_t n_row, size_t n_draw,
                       const struct wr_durations *pick)
{
    json_t *object = wr_json_object(j, at, key);
    struct packed p = {.n_draw = n_draw};
    WR_SCOPED_STR text = {0};
    size_t n = 0;

    p.lo = wr_json_array(j, object, "lo");
    p.step = wr_json_array(j, object, "step");
    for (size_t r = 0; r < n_row; r++) {
        if (pick && !wr_durations_are_modelled(pick, r)) continue;
        pack_row(&p, j, value + r * n_draw);
        n++;
    }
    add_base64(&text, (const unsigned char *)wr_str_text(&p.bytes), p.bytes.len);
    wr_json_count(j, object, "rows", n);
    wr_json_text(j, object, "data", wr_str_text(&text));
    wr_str_release(&p.bytes);
}

/* ---- the plan ---- */

static void push_index(json_t *array, size_t index)
{
    json_array_append_new(array, json_integer(index == SIZE_MAX ? -1 : (json_int_t)index));
}

static void put_steps(struct wr_json *j, json_t *row, const struct wr_run_log *log, const char *id)
{
    enum { MOST_STEPS = 64 };
    const char *step[MOST_STEPS];
    size_t n = wr_run_log_steps_of(log, id, step, MOST_STEPS);
    json_t *steps = wr_json_array(j, row, "steps");

    for (size_t i = 0; i < n; i++) wr_json_push_text(j, steps, step[i]);
}

static void put_tasks(struct wr_json *j, const struct wr_day_page *page)
{
    json_t *tasks = wr_json_array(j, j->root, "tasks");

    for (size_t k = 0; k < page->plan->n_task; k++) {
        const struct wr_plan_task *t = &page->plan->task[k];
        json_t *row = wr_json_row(j, tasks);
        wr_json_text(j, row, "id", t->id);
        wr_json_text(j, row, "title", t->title);
        wr_json_text(j, row, "kind", t->kind);
        json_t *lanes = wr_json_array(j, row, "lanes");
        for (size_t l = 0; l < t->n_lane; l++) push_index(lanes, t->lane_order[l]);
        wr_json_maybe(j, row, "planned_min", t->planned_min);
        wr_json_maybe(j, row, "not_before_min", t->not_before_min);
        wr_json_maybe(j, row, "drop_after_min", t->drop_after_min);
        wr_json_bool(j, row, "way_in", wr_way_in_of(page->plan, k) != 0);
        wr_json_bool(j, row, "way_in_part", wr_way_in_after(page->plan, k) != SIZE_MAX);
        put_steps(j, row, page->log, t->id);
    }
}

static void put_network(struct wr_json *j, const struct wr_network *net)
{
    json_t *order = wr_json_array(j, j->root, "order"), *before = wr_json_array(j, j->root, "before");
    json_t *last = wr_json_array(j, j->root, "lane_last");

    for (size_t i = 0; i < net->n_task; i++) push_index(order, net->order[i]);
    for (size_t k = 0; k < net->n_task; k++) {
        json_t *row = json_array();
        for (size_t i = net->pred_first[k]; i < net->pred_first[k + 1]; i++) push_index(row, net->pred[i]);
        json_array_append_new(before, row);
    }
    for (size_t l = 0; l < net->n_lane; l++) push_index(last, net->lane_last[l]);
}

/* second: there is a worse answer, which the page does not work out: it does not call the limit kept. */
static void put_limits(struct wr_json *j, const struct wr_day_page *page)
{
    json_t *limits = wr_json_array(j, j->root, "limits");

    for (size_t i = 0; i < page->limits->n_limit; i++) {
        const struct wr_limit *l = &page->limits->limit[i];
        json_t *row = wr_json_row(j, limits);
        wr_json_text(j, row, "name", l->name);
        wr_json_number(j, row, "minutes", l->minutes);
        wr_json_maybe(j, row, "confidence", l->confidence);
        wr_json_bool(j, row, "second", page->forecast && page->forecast->limit[i].second.known);
        json_t *lanes = wr_json_array(j, row, "lanes");
        for (size_t lane = 0; lane < page->net->n_lane; lane++)
            if (l->lanes >> lane & 1) push_index(lanes, lane);
        wr_json_maybe(j, row, "from", l->is_clock ? wr_known((double)l->from) : WR_UNKNOWN);
        wr_json_maybe(j, row, "to", l->is_clock ? wr_known((double)l->to) : WR_UNKNOWN);
    }
}

/* The forecast before the day as the commands say it. */
static void put_stated(struct wr_json *j, const struct wr_day_page *page)
{
    const struct wr_forecast *f = page->forecast;
    json_t *stated = wr_json_object_if(j, j->root, "stated", f);

    if (!stated) return;
    json_t *limits = wr_json_array(j, stated, "limits");
    json_t *prob = wr_json_array(j, stated, "prob"), *finish = wr_json_array(j, stated, "finish_min");
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        wr_json_push_number(j, prob, wr_quantile_prob[q]);
        wr_json_push_number(j, finish, f->quantile_min[q]);
    }
    wr_json_number(j, stated, "any_over", f->any_over.mean);
    wr_json_bool(j, stated, "no_interval", f->nothing_unknown);
    for (size_t i = 0; i < f->n_limit; i++) {
        json_t *row = wr_json_row(j, limits);
        wr_json_number(j, row, "over", f->limit[i].over.mean);
        wr_json_number(j, row, "lo", f->limit[i].over.lo);
        wr_json_number(j, row, "hi", f->limit[i].over.hi);
        wr_json_number(j, row, "lo_error", f->limit[i].over.lo_mc_error);
        wr_json_number(j, row, "hi_error", f->limit[i].over.hi_mc_error);
    }
}

static void put_grounds(struct wr_json *j, struct wr_grounds grounds)
{
    json_t *o = wr_json_object(j, j->root, "grounds");

    wr_json_count(j, o, "rehearsals", grounds.n_rehearsal);
    wr_json_count(j, o, "complete", grounds.n_complete);
    wr_json_count(j, o, "fewest_complete", WR_FEWEST_COMPLETE);
    wr_json_text(j, o, "open", wr_verdict_said(WR_VERDICT_CANNOT_TELL, grounds));
}

static void put_names(struct wr_json *j, const struct wr_day_page *page)
{
    json_t *lanes = wr_json_array(j, j->root, "lanes"), *people = wr_json_array(j, j->root, "people");

    for (size_t l = 0; l < page->plan->n_lane; l++) wr_json_push_text(j, lanes, page->plan->lane[l]);
    for (size_t p = 0; p < page->timing->n_person; p++) wr_json_push_text(j, people, page->timing->person[p]);
}

static void put_long_caution(struct wr_json *j, const struct wr_present_context *ctx)
{
    json_t *caution = wr_json_array(j, j->root, "cautions");

    for (size_t i = 0; wr_caution_paragraph(ctx, i); i++) wr_json_push_text(j, caution, wr_caution_paragraph(ctx, i));
}

/* ---- the forecast ---- */

static void put_sources(struct wr_json *j, json_t *forecast, const struct wr_day_page *page)
{
    const struct wr_day_sheet *sheet = page->sheet;
    const struct wr_durations *d = sheet->durations;
    WR_SCOPED struct wr_lead_in *lead_in = WR_NEW_ARRAY(struct wr_lead_in, d->n_task);
    json_t *sources = wr_json_array(j, forecast, "source");
    size_t n_row = 0;

    wr_lead_in_laws(lead_in, page->timing);
    for (size_t k = 0; k < d->n_task; k++) {
        json_t *row = wr_json_row(j, sources);
        bool modelled = wr_durations_are_modelled(d, k);
        wr_json_text(j, row, "kind", wr_source_name(&d->source[k]));
        json_t *p = wr_json_array(j, row, "p");
        for (int i = 0; i < 3; i++) wr_json_push_number(j, p, d->source[k].p[i]);
        wr_json_number(j, row, "row", modelled ? (double)n_row++ : -1);
        wr_json_bool(j, row, "learned", sheet->learned[k]);
        wr_json_number(j, row, "seen_shift", sheet->seen_shift_log[k]);
        wr_json_number(j, row, "shift", sheet->shift_of[k] == SIZE_MAX ? -1 : (double)sheet->shift_of[k]);
        json_t *law = wr_json_object(j, row, "lead_in");
        wr_json_number(j, law, "shape", lead_in[k].shape);
        wr_json_number(j, law, "scale", lead_in[k].scale);
        wr_json_number(j, law, "mean", wr_lead_in_modelled_min(&lead_in[k], modelled, sheet->seen_shift_log[k]));
    }
}

static void put_line_ups(struct wr_json *j, json_t *forecast, const struct wr_durations *d)
{
    json_t *line_ups = wr_json_array(j, forecast, "line_ups");

    for (size_t i = 0; i < d->n_line_up; i++) {
        json_t *row = json_array();
        for (size_t l = 0; l < d->n_lane; l++) json_array_append_new(row, json_integer(d->line_up[i * d->n_lane + l]));
        json_array_append_new(line_ups, row);
    }
}

static void put_forecast(struct wr_json *j, const struct wr_day_page *page)
{
    const struct wr_day_sheet *sheet = page->sheet;
    json_t *forecast = wr_json_object_if(j, j->root, "forecast", sheet);

    if (!forecast) return;
    const struct wr_durations *d = sheet->durations;
    wr_json_count(j, forecast, "draws", d->n_draw);
    put_sources(j, forecast, page);
    put_line_ups(j, forecast, d);
    put_packed(j, forecast, "pool", sheet->pool_log, d->n_task, d->n_draw, d);
    put_packed(j, forecast, "spread", d->spread_log, d->n_task, d->n_draw, d);
    put_packed(j, forecast, "shift", sheet->shift_log, sheet->n_shift, d->n_draw, NULL);
    put_packed(j, forecast, "q", d->q, d->n_person, d->n_draw, NULL);
    put_packed(j, forecast, "tau", d->tau, 1, d->n_draw, NULL);
    put_packed(j, forecast, "rho", d->rho, 1, d->n_draw, NULL);
    put_packed(j, forecast, "kappa", d->kappa, 1, d->n_draw, NULL);
}

enum wr_status day_data_add(const struct wr_day_page *page, struct wr_str *out, struct wr_error *err)
{
    struct wr_json j;
    WR_SCOPED_STR by = {0};

    wr_json_begin(&j, page->context);
    wr_json_text(&j, j.root, "format", "wetrun day sheet 1");
    wr_json_count(&j, j.root, "rehearsals", page->context->n_run);
    wr_context_line_up_words(page->context, &by);
    wr_json_text(&j, j.root, "done_by", wr_str_text(&by));
    put_grounds(&j, wr_context_grounds(page->context));
    put_names(&j, page);
    put_tasks(&j, page);
    put_network(&j, page->net);
    put_limits(&j, page);
    put_stated(&j, page);
    put_long_caution(&j, page->context);
    put_forecast(&j, page);
    return wr_json_finish_for_script(&j, out, err);
}
