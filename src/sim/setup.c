#include "setup.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"
#include "wetrun/model/skew_normal.h"

static const double per_ln2 = 1.4426950408889634; /* log2 x = per_ln2 ln x */

/* ---- rows of parameters ---- */

static float *spread_out(const struct wr_setup *s, const double *value, double factor)
{
    float *row = WR_NEW_ARRAY(float, s->n_row);

    for (size_t i = 0; i < s->n_row; i++) row[i] = (float)(factor * value[i % s->n_draw]);
    return row;
}

static bool all_finite(const double *x, size_t n)
{
    for (size_t i = 0; i < n; i++)
        if (!isfinite(x[i])) return false;
    return true;
}

static enum wr_status check_input(const struct wr_network *net, const struct wr_durations *d, struct wr_error *err)
{
    size_t n = d->n_draw;

    if (net->n_task == 0) return wr_fail(err, WR_E_DOMAIN, "there is no task to simulate");
    WR_BUG_IF(d->n_task != net->n_task || n == 0 || d->n_line_up == 0);
    bool ok = all_finite(d->tau, n) && all_finite(d->rho, n) && all_finite(d->kappa, n)
              && all_finite(d->q, n * d->n_person) && (!d->run_effect_shift || all_finite(d->run_effect_shift, n))
              && (!d->run_effect_sd || all_finite(d->run_effect_sd, n));
    for (size_t k = 0; k < d->n_task && ok; k++) {
        ok = wr_durations_are_modelled(d, k)
                 ? all_finite(d->centre_log + k * n, n) && all_finite(d->spread_log + k * n, n)
                 : all_finite(d->source[k].p, 3);
    }
    if (!ok) return wr_fail(err, WR_E_DOMAIN, "a parameter of the duration model is not a finite number");
    for (size_t j = 0; j < n; j++)
        if (fabs(d->rho[j]) >= 1) return wr_fail(err, WR_E_DOMAIN, "the skewness %g is outside (-1, 1)", d->rho[j]);
    return WR_OK;
}

/* ---- what is drawn ---- */

static size_t effect_of(struct wr_setup *s, uint32_t lanes)
{
    size_t i = 0;

    if (!s->has_people) lanes = 0; /* then one row serves all */
    while (i < s->n_effect && s->effect_lanes[i] != lanes) i++;
    if (i == s->n_effect) s->effect_lanes[s->n_effect++] = lanes;
    return i;
}

static void set_up_task(struct wr_setup *s, size_t k, bool skewed)
{
    const struct wr_durations *d = s->durations;
    struct wr_task_setup *t = &s->task[k];

    t->form = wr_source_form(&d->source[k]);
    if (t->form != WR_FORM_FIXED) t->effect = effect_of(s, wr_durations_people_of(d, k));
    t->has_people = s->has_people && wr_durations_people_of(d, k) != 0;
    switch (t->form) {
    case WR_FORM_FIXED: t->fixed_min = (float)d->source[k].p[0]; break;
    case WR_FORM_BENT:
        t->table = WR_NEW(struct wr_score_table);
        wr_score_table_of(t->table, &d->source[k]);
        break;
    case WR_FORM_LOG:
        t->varies = wr_durations_are_modelled(d, k) && s->n_draw > 1;
        t->paired = wr_durations_are_modelled(d, k) && skewed;
        t->centre = WR_NEW_ARRAY(float, t->varies ? s->n_row : 1);
        t->spread = WR_NEW_ARRAY(float, t->varies ? s->n_row : 1);
        for (size_t i = 0; i < (t->varies ? s->n_row : 1); i++) {
            struct wr_log_law law = wr_durations_log_law(d, k, i % s->n_draw);
            t->centre[i] = (float)(per_ln2 * law.centre);
            t->spread[i] = (float)(per_ln2 * law.spread);
        }
        break;
    }
}

static void set_up_tasks(struct wr_setup *s)
{
    bool skewed = false;

    for (size_t j = 0; j < s->n_draw; j++) skewed |= s->durations->rho[j] != 0;
    s->task = WR_NEW_ARRAY(struct wr_task_setup, s->n_task);
    s->effect_lanes = WR_NEW_ARRAY(uint32_t, s->n_task);
    for (size_t k = 0; k < s->n_task; k++) set_up_task(s, k, skewed);
}

static void set_up_skew(struct wr_setup *s)
{
    s->skew_h = WR_NEW_ARRAY(float, s->n_row);
    s->skew_z = WR_NEW_ARRAY(float, s->n_row);
    s->skew_0 = WR_NEW_ARRAY(float, s->n_row);
    for (size_t i = 0; i < s->n_row; i++) {
        double rho = s->durations->rho[i % s->n_draw], unit = wr_skew_unit(rho);
        s->skew_h[i] = (float)(rho / unit);
        s->skew_z[i] = (float)(sqrt(1 - rho * rho) / unit);
        s->skew_0[i] = (float)(rho * WR_SKEW_C0 / unit);
    }
}

static void set_up_people(struct wr_setup *s)
{
    const struct wr_durations *d = s->durations;
    bool anew = false;

    for (size_t i = 0; i < d->n_line_up * d->n_lane; i++) {
        WR_BUG_IF(d->line_up[i] < WR_PERSON_NONE || (d->line_up[i] >= 0 && (size_t)d->line_up[i] >= d->n_person));
        s->has_people |= d->line_up[i] != WR_PERSON_NONE;
        anew |= d->line_up[i] == WR_PERSON_NEW;
    }
    s->people_vary = s->has_people && (anew || d->n_line_up > 1);
    s->kappa = spread_out(s, d->kappa, per_ln2);
    s->q = WR_NEW_ARRAY(float, d->n_person * s->n_row);
    for (size_t p = 0; p < d->n_person; p++)
        for (size_t i = 0; i < s->n_row; i++)
            s->q[p * s->n_row + i] = (float)(per_ln2 * d->q[p * s->n_draw + i % s->n_draw]);
    if (!s->people_vary) return;
    s->lane_mean = WR_NEW_ARRAY(float, d->n_lane * s->n_row);
    for (size_t l = 0; l < d->n_lane; l++)
        for (size_t u = 0; u < d->n_line_up; u++) {
            int who = d->line_up[u * d->n_lane + l];
            for (size_t i = 0; i < s->n_row && who >= 0; i++)
                s->lane_mean[l * s->n_row + i] += s->q[(size_t)who * s->n_row + i] / (float)d->n_line_up;
        }
}

static void set_up_run_effect(struct wr_setup *s)
{
    const struct wr_durations *d = s->durations;
    const double *sd = d->run_effect_sd ? d->run_effect_sd : d->tau;

    s->run_sd = spread_out(s, sd, per_ln2);
    s->run_shift = d->run_effect_shift ? spread_out(s, d->run_effect_shift, per_ln2) : WR_NEW_ARRAY(float, s->n_row);
    for (size_t j = 0; j < s->n_draw; j++) s->run_effect |= sd[j] > 0;
}

/* ---- the network ---- */

static void set_up_successors(struct wr_setup *s)
{
    const struct wr_network *net = s->net;
    size_t n_edge = net->pred_first[net->n_task];

    s->succ_first = WR_NEW_ARRAY(size_t, net->n_task + 2);
    s->succ = WR_NEW_ARRAY(size_t, n_edge);
    s->end_task = WR_NEW_ARRAY(size_t, net->n_task);
    for (size_t i = 0; i < n_edge; i++) s->succ_first[net->pred[i] + 2]++;
    for (size_t k = 0; k < net->n_task; k++) s->succ_first[k + 2] += s->succ_first[k + 1];
    for (size_t k = 0; k < net->n_task; k++) {
        for (size_t i = net->pred_first[k]; i < net->pred_first[k + 1]; i++)
            s->succ[s->succ_first[net->pred[i] + 1]++] = k;
        if (net->is_end[k]) s->end_task[s->n_end++] = k;
    }
}

static void set_up_limits(struct wr_setup *s, const struct wr_sim_limit *limit, size_t n_limit)
{
    size_t n_lane = s->net->n_lane;

    s->n_limit = n_limit;
    s->limit = WR_NEW_ARRAY(struct wr_limit_setup, n_limit);
    s->limit_last = WR_NEW_ARRAY(size_t, n_limit * n_lane);
    for (size_t i = 0; i < n_limit; i++) {
        struct wr_limit_setup *l = &s->limit[i];
        size_t *last = s->limit_last + i * n_lane;
        *l = (struct wr_limit_setup){.lanes = limit[i].lanes, .is_clock = limit[i].is_clock, .from = limit[i].from,
                                     .to = limit[i].to, .minutes = (float)limit[i].minutes, .last = last};
        s->clocks |= l->is_clock;
        WR_BUG_IF(l->is_clock && (l->from >= s->n_task || l->to >= s->n_task));
        for (size_t lane = 0; lane < n_lane; lane++)
            if ((l->lanes >> lane & 1) && s->net->lane_last[lane] != SIZE_MAX)
                last[l->n_last++] = s->net->lane_last[lane];
    }
}

enum wr_status wr_setup_build(struct wr_setup *s, const struct wr_kernel *kernel, const struct wr_network *net,
                              const struct wr_durations *durations, const struct wr_sim_limit *limit, size_t n_limit,
                              uint64_t seed, struct wr_error *err)
{
    *s = (struct wr_setup){.kernel = kernel, .net = net, .durations = durations, .seed = seed,
                           .n_task = net->n_task, .n_draw = durations->n_draw};
    enum wr_status status = check_input(net, durations, err);
    if (status != WR_OK) return status;
    s->n_row = s->n_draw == 1 ? 1 : s->n_draw + WR_BLOCK;
    set_up_people(s);
    set_up_tasks(s);
    set_up_skew(s);
    set_up_run_effect(s);
    set_up_successors(s);
    set_up_limits(s, limit, n_limit);
    s->scales = true;
    for (size_t k = 0; k < s->n_task; k++) {
        const struct wr_task_setup *t = &s->task[k];
        bool waits = t->form == WR_FORM_FIXED && t->fixed_min != 0; /* whatever the day */
        s->drops |= net->drop_after_min[k] < INFINITY;
        if (net->not_before_min[k] > 0 || s->drops || waits) s->scales = false;
    }
    return WR_OK;
}

void wr_setup_release(struct wr_setup *s)
{
    for (size_t k = 0; k < s->n_task && s->task; k++) {
        WR_FREE(s->task[k].centre, s->task[k].spread, s->task[k].table);
    }
    WR_FREE(s->task, s->skew_h, s->skew_z, s->skew_0, s->run_shift, s->run_sd, s->q, s->kappa, s->lane_mean,
            s->effect_lanes, s->end_task, s->succ_first, s->succ, s->limit, s->limit_last);
    *s = (struct wr_setup){0};
}

/* ---- effects of a block ---- */

static void fill_lane(const struct wr_setup *s, const uint32_t *u, const float *anew, size_t lane, size_t place,
                      float *out)
{
    size_t step = s->n_draw == 1 ? 0 : 1;

    for (size_t i = 0; i < WR_BLOCK; i++) {
        size_t at = place + step * i;
        int who = wr_person_in(s->durations, u[i], lane);
        out[i] = who >= 0 ? s->q[(size_t)who * s->n_row + at] : who == WR_PERSON_NEW ? s->kappa[at] * anew[i] : 0.0f;
    }
}

/* effect = run effect + mean over the lanes of a set */
static void join(const struct wr_setup *s, uint32_t lanes, const float *run, const float *person, float *effect)
{
    float sum[WR_BLOCK] = {0};
    int n = 0;

    for (size_t l = 0; l < s->durations->n_lane && lanes; l++) {
        if (!(lanes >> l & 1)) continue;
        for (size_t i = 0; i < WR_BLOCK; i++) sum[i] += person[l * WR_BLOCK + i];
        n++;
    }
    const float share = n ? 1.0f / (float)n : 0.0f;
    for (size_t i = 0; i < WR_BLOCK; i++) effect[i] = run[i] + share * sum[i];
}

void wr_effects_fill(const struct wr_setup *s, struct wr_effect_streams *streams, uint64_t first, struct wr_effects *e)
{
    const struct wr_durations *d = s->durations;
    size_t place = wr_setup_place(s, first), step = s->n_draw == 1 ? 0 : 1;
    float known[WR_BLOCK], anew[WR_BLOCK] = {0};
    uint32_t u[WR_BLOCK] = {0};

    s->kernel->normals(&streams->run, WR_BLOCK, e->run_score);
    for (size_t i = 0; i < WR_BLOCK; i++) {
        e->run[i] = s->run_sd[place + step * i] * e->run_score[i];
        known[i] = s->run_shift[place + step * i] + e->run[i];
    }
    if (!s->has_people) {
        memcpy(e->effect, known, sizeof known);
        return;
    }
    if (d->n_line_up > 1) s->kernel->uniforms(&streams->line_up, WR_BLOCK, u);
    for (size_t l = 0; l < d->n_lane; l++) {
        if (s->people_vary) s->kernel->normals(&streams->new_person[l], WR_BLOCK, anew);
        fill_lane(s, u, anew, l, place, e->lane + l * WR_BLOCK);
    }
    for (size_t i = 0; i < s->n_effect; i++)
        join(s, s->effect_lanes[i], known, e->lane, e->effect + i * WR_BLOCK);
    for (size_t l = 0; l < d->n_lane && s->people_vary; l++)
        for (size_t i = 0; i < WR_BLOCK; i++)
            e->lane[l * WR_BLOCK + i] -= s->lane_mean[l * s->n_row + place + step * i];
}
