#include "wetrun/model/total_check.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/quantile.h"

/* What stands in for a cell that was not done or is not known. */
static struct wr_maybe filler(const struct wr_plan_task *task, const struct wr_timing *timing, size_t k,
                              double *scratch)
{
    size_t n = 0;
    double bound = 0.0;

    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, r);
        if (wr_cell_is_timed(cell)) scratch[n++] = wr_cell_modelled_min(cell);
        if (cell->state == WR_CELL_STOPPED || cell->lead_in_unknown) bound = fmax(bound, wr_cell_modelled_min(cell));
    }
    if (n > 0) return wr_known(wr_median(scratch, n));
    if (task->planned_min.known) return task->planned_min;
    if (task->median_min.known) return task->median_min;
    if (task->likely_min.known) return task->likely_min;
    return bound > 0 ? wr_known(bound) : WR_UNKNOWN;
}

static bool is_ever_timed(const struct wr_timing *timing, size_t k)
{
    for (size_t r = 0; r < timing->n_run; r++)
        if (wr_cell_is_timed(wr_timing_cell(timing, k, r))) return true;
    return false;
}

/* Of its minutes, what was seen; a task begun early can have less than no time. */
static double seen_min(const struct wr_cell *cell)
{
    bool seen = wr_cell_is_timed(cell) || cell->state == WR_CELL_STOPPED || cell->lead_in_unknown;

    return seen ? fmax(wr_cell_modelled_min(cell), 0.0) : 0.0;
}

/* The run's minutes, task by task; whether enough of them was seen. */
static bool fill_run(struct wr_total_check *check, const struct wr_timing *timing, size_t r,
                     const struct wr_maybe *fill, double *minutes)
{
    double all = 0, filled = 0;
    bool known = true;

    for (size_t k = 0; k < timing->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, r);
        double seen = seen_min(cell);
        minutes[k] = wr_cell_is_timed(cell) ? seen : fmax(seen, fill[k].value);
        all += minutes[k];
        if (wr_cell_is_timed(cell)) continue;
        check->n_filled[r]++;
        filled += minutes[k] - seen;
        known = known && fill[k].known;
    }
    return known && filled <= WR_MOST_FILLED * all;
}

static void take_sample(struct wr_total_check *check)
{
    WR_SCOPED double *total = WR_NEW_ARRAY(double, check->n_run);

    for (size_t r = 0; r < check->n_run; r++)
        if (check->counts[r]) total[check->n_counted++] = check->total_min[r];
    /* every total that counts is above 0, so nothing but emptiness can be wrong */
    if (check->n_counted > 0) WR_BUG_IF(wr_log_sample_of(total, check->n_counted, &check->sample, NULL) != WR_OK);
}

void wr_total_check_make(struct wr_total_check *check, const struct wr_plan *plan, const struct wr_network *net,
                         const struct wr_timing *timing)
{
    size_t K = plan->n_task, R = timing->n_run;
    WR_SCOPED struct wr_maybe *fill = WR_NEW_ARRAY(struct wr_maybe, K);
    WR_SCOPED double *minutes = WR_NEW_ARRAY(double, K);
    WR_SCOPED double *end = WR_NEW_ARRAY(double, K), *scratch = WR_NEW_ARRAY(double, R);

    *check = (struct wr_total_check){.n_run = R, .total_min = WR_NEW_ARRAY(double, R), .order = WR_NEW_ARRAY(double, R),
                                     .least_min = WR_NEW_ARRAY(double, R),
                                     .n_filled = WR_NEW_ARRAY(size_t, R), .counts = WR_NEW_ARRAY(unsigned char, R)};
    for (size_t k = 0; k < K; k++) {
        fill[k] = filler(&plan->task[k], timing, k, scratch);
        check->n_never += !is_ever_timed(timing, k);
    }
    for (size_t r = 0; r < R; r++) {
        bool enough = fill_run(check, timing, r, fill, minutes);
        check->total_min[r] = wr_network_forward(net, minutes, NULL, end, NULL);
        check->order[r] = timing->run[r].order;
        check->least_min[r] = timing->run[r].finish_without_holds_min;
        check->counts[r] = enough && check->total_min[r] > 0;
    }
    take_sample(check);
}

size_t wr_total_check_longer(const struct wr_total_check *check, double minutes, double *longest_min)
{
    size_t n = 0;

    *longest_min = 0;
    for (size_t r = 0; r < check->n_run && check->least_min; r++) {
        if (check->counts[r] || check->least_min[r] <= minutes) continue;
        *longest_min = fmax(*longest_min, check->least_min[r]);
        n++;
    }
    return n;
}

void wr_total_check_release(struct wr_total_check *check)
{
    WR_FREE(check->total_min, check->order, check->least_min, check->n_filled, check->counts);
    *check = (struct wr_total_check){0};
}

static struct wr_summary adjusted_logs(const struct wr_total_check *check, const struct wr_total_forecast *forecast)
{
    WR_SCOPED double *y = WR_NEW_ARRAY(double, check->n_run);
    size_t n = 0;

    for (size_t r = 0; r < check->n_run; r++)
        if (check->counts[r])
            y[n++] =
                log(check->total_min[r]) + forecast->slope_log * (log(forecast->target_order) - log(check->order[r]));
    return wr_summarise(y, n);
}

struct wr_total_disagreement wr_total_check_compare(const struct wr_total_check *check,
                                                    const struct wr_total_forecast *forecast,
                                                    struct wr_findings *findings)
{
    struct wr_total_disagreement d = {0};

    if (check->n_counted < WR_FEWEST_TOTALS) return d;
    struct wr_summary s = adjusted_logs(check, forecast);
    if (!s.sd.known || !(s.sd.value > 0) || !(forecast->sd_log > 0)) return d;
    double n = (double)s.n, spread = forecast->sd_log / sqrt(1.0 + 1.0 / n);
    d.known = true;
    d.log_ratio = log(forecast->median_min) - s.mean;
    d.p_centre = 2.0 * gsl_cdf_tdist_Q(fabs(d.log_ratio) * sqrt(n) / fmax(s.sd.value, spread), n - 1.0);
    d.p_spread = gsl_cdf_chisq_Q((n - 1.0) * s.sd.value * s.sd.value / (spread * spread), n - 1.0);
    d.beyond_chance = d.p_centre < 0.01 || d.p_spread < 0.01;
    if (d.beyond_chance)
        wr_findings_add(
            findings, WR_WARNING, "totals-disagree", NULL, 0, 0,
            d.p_centre < 0.01
                ? "the forecast's middle is %+.0f %% off the replayed totals of the %zu runs: more than chance explains"
                : "the replayed totals scatter more than the forecast foresees (its middle is %+.0f %% off those of "
                  "%zu runs): more than chance explains",
            100.0 * expm1(d.log_ratio), s.n);
    return d;
}
