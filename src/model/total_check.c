#include "wetrun/model/total_check.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/learning.h"
#include "wetrun/stats/quantile.h"

#define BEYOND_CHANCE 0.01

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

/* The run's minutes, task by task; whether enough of them was seen. */
static bool fill_run(struct wr_total_check *check, const struct wr_timing *timing, size_t r,
                     const struct wr_maybe *fill, double *minutes)
{
    double all = 0, filled = 0;
    bool known = true;

    for (size_t k = 0; k < timing->n_task; k++) {
        const struct wr_cell *cell = wr_timing_cell(timing, k, r);
        double seen = wr_cell_seen_min(cell);
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
    WR_SCOPED double *end = WR_NEW_ARRAY(double, K), *scratch = WR_NEW_ARRAY(double, R),
                     *never = WR_NEW_ARRAY(double, K);
    const struct wr_network plain = wr_network_all_done(net, never);

    *check = (struct wr_total_check){.n_run = R, .total_min = WR_NEW_ARRAY(double, R), .order = WR_NEW_ARRAY(double, R),
                                     .least_min = WR_NEW_ARRAY(double, R),
                                     .n_filled = WR_NEW_ARRAY(size_t, R), .counts = WR_NEW_ARRAY(unsigned char, R),
                                     .all_done = wr_network_drops(net)};
    for (size_t k = 0; k < K; k++) {
        fill[k] = filler(&plan->task[k], timing, k, scratch);
        check->n_never += !is_ever_timed(timing, k);
    }
    for (size_t r = 0; r < R; r++) {
        bool enough = fill_run(check, timing, r, fill, minutes);
        check->total_min[r] = wr_network_forward(&plain, minutes, NULL, end, NULL);
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

void wr_total_disagreement_words(const struct wr_total_disagreement *d, struct wr_str *out)
{
    double percent = 100.0 * fabs(expm1(d->log_ratio));

    wr_str_add(out, d->as_rehearsed ? "of a further rehearsal, by whoever rehearsed, the same model's middle lies "
                                    : "the forecast's middle lies ");
    if (percent < 0.95) wr_str_add(out, "less than 1 %");
    else wr_str_addf(out, "%.0f %%", percent);
    wr_str_addf(out, " %s that of the %zu replayed totals", d->log_ratio < 0 ? "below" : "above", d->n);
    if (d->moved) wr_str_add(out, ", moved along the learning to the run that is forecast");
    if (d->all_done) wr_str_addf(out, "%s all work done in both", d->moved ? " and with" : ", with");
    if (d->p_spread < BEYOND_CHANCE) wr_str_add(out, ", and these scatter more than it foresees");
}

static struct wr_interval about(double middle, double half)
{
    return (struct wr_interval){.lo = middle - half, .hi = middle + half};
}

/* What the totals show by themselves. */
static void hold_own_trend_against(struct wr_total_disagreement *d, const struct wr_total_check *check,
                                   const struct wr_total_forecast *forecast)
{
    const double no_scatter = 1e-10, upper = 0.95;
    WR_SCOPED double *x = WR_NEW_ARRAY(double, check->n_run), *y = WR_NEW_ARRAY(double, check->n_run);
    size_t n = 0;
    struct wr_line line;

    for (size_t r = 0; r < check->n_run; r++)
        if (check->counts[r]) x[n] = log(check->order[r]), y[n++] = log(check->total_min[r]);
    if (wr_line_fit(x, y, n, &line, NULL) != WR_OK || line.residual_sd < no_scatter) return;
    double from_mean = log(forecast->target_order) - wr_sum(x, n) / (double)n;
    double middle = line.intercept + line.slope * log(forecast->target_order);
    double error = hypot(line.residual_sd / sqrt((double)n), line.slope_se * from_mean);
    struct wr_interval own = about(middle, gsl_cdf_tdist_Pinv(upper, line.df) * error);
    struct wr_summary all = wr_summarise(y, n);
    struct wr_interval unmoved = about(all.mean, gsl_cdf_tdist_Pinv(upper, (double)n - 1) * all.sd.value /
                                                     sqrt((double)n));
    double median_log = log(forecast->median_min);

    d->own_slope_log = wr_known(line.slope);
    d->own_slope = wr_line_slope_interval(&line, 0.9);
    d->own_middle_min = (struct wr_interval){.lo = exp(own.lo), .hi = exp(own.hi)};
    d->unshown = d->moved && (forecast->doubted || d->slope_log < d->own_slope.lo ||
                              (median_log < own.lo && median_log < unmoved.lo));
}

/* Two-sided, of a centre so far off where totals scatter by sd. */
static double centre_chance(const struct wr_total_disagreement *d, double sd)
{
    double n = (double)d->n;

    return 2.0 * gsl_cdf_tdist_Q(fabs(d->log_ratio) * sqrt(n) / sd, n - 1.0);
}

static void report_disagreement(const struct wr_total_disagreement *d, struct wr_findings *findings)
{
    WR_SCOPED_STR text = {0};

    if (!d->beyond_chance) return;
    wr_total_disagreement_words(d, &text);
    if (d->far)
        wr_findings_add(findings, WR_WARNING, "totals-far", NULL, 0, 0,
                        "%s: more than chance explains by the scatter of these totals, and no answer about a limit may "
                        "be firm",
                        wr_str_text(&text));
    else
        wr_findings_add(findings, WR_WARNING, "totals-disagree", NULL, 0, 0, "%s: more than chance explains",
                        wr_str_text(&text));
}

struct wr_maybe wr_total_check_above(const struct wr_total_check *check, const struct wr_total_forecast *forecast)
{
    if (check->n_counted < WR_FEWEST_TOTALS) return WR_UNKNOWN;
    return wr_known(log(forecast->median_min) - adjusted_logs(check, forecast).mean);
}

struct wr_total_disagreement wr_total_check_compare(const struct wr_total_check *check,
                                                    const struct wr_total_forecast *forecast,
                                                    struct wr_findings *findings)
{
    struct wr_total_disagreement d = {0};

    if (check->n_counted < WR_FEWEST_TOTALS) return d;
    struct wr_summary s = adjusted_logs(check, forecast);
    if (!s.sd.known || !(s.sd.value > 0) || !(forecast->sd_log > 0)) return d;
    double longest, n = (double)s.n, spread = forecast->sd_log / sqrt(1.0 + 1.0 / n);
    d.known = true;
    d.n = s.n;
    d.moved = forecast->slope_log != 0;
    d.slope_log = forecast->slope_log;
    d.all_done = check->all_done;
    d.as_rehearsed = forecast->as_rehearsed;
    d.log_ratio = log(forecast->median_min) - s.mean;
    d.p_centre = centre_chance(&d, fmax(s.sd.value, spread));
    d.p_spread = gsl_cdf_chisq_Q((n - 1.0) * s.sd.value * s.sd.value / (spread * spread), n - 1.0);
    d.p_own = centre_chance(&d, fmax(s.sd.value, WR_LEAST_SCATTER));
    d.far = d.p_own < BEYOND_CHANCE && fabs(d.log_ratio) >= WR_FAR_TOTALS && !forecast->shifted &&
            !(d.log_ratio > 0 && wr_total_check_longer(check, forecast->median_min, &longest) > 0);
    d.beyond_chance = d.far || d.p_centre < BEYOND_CHANCE || d.p_spread < BEYOND_CHANCE;
    hold_own_trend_against(&d, check, forecast);
    report_disagreement(&d, findings);
    return d;
}
