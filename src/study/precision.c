/* Draws for a wanted Monte Carlo error. The error of a probability comes from the finite number of draws, and falls
 * with its root; the points' part is the forecast's own affair (wr_sim_options.precision). */
#include <math.h>
#include "study_parts.h"

/* A stated error is itself known to about an eighth (stats/batch_means.h), and the first number of draws whose error is
 * small enough is likely to be one that looks better than it is: so a little less is aimed at than was asked for. */
static const double aimed_at = 0.8;

static enum wr_status check_asked(const struct wr_study *s, struct wr_error *err)
{
    if (!(s->options.precision.value < 0.5))
        return wr_fail(err, WR_E_USAGE, "--precision %g is no error of a probability: write 0.001 for 0.1 of 100",
                       s->options.precision.value);
    if (s->options.n_trial > 0)
        return wr_fail(err, WR_E_USAGE, "--precision takes as many trials and draws as it needs: leave --trials out");
    if (s->limits.n_limit == 0)
        return wr_fail(err, WR_E_USAGE,
                       "--precision is about the probability of going over a limit, and there is none: add limits.csv "
                       "or --limit H:MM");
    return WR_OK;
}

/* Upwards, to one digit. */
static double rounded_up(double x)
{
    double unit = pow(10, floor(log10(x)));

    return ceil(x / unit) * unit;
}

static enum wr_status refuse(const struct wr_study *s, const char *most, double least_error, struct wr_error *err)
{
    return wr_fail(err, WR_E_USAGE, "--precision %g: %s leave an error of about %.1g: write --precision %g",
                   s->options.precision.value, most, least_error, rounded_up(1.1 * least_error / aimed_at));
}

enum wr_status wr_study_weigh_draws(struct wr_study *s, bool *enough, struct wr_error *err)
{
    struct wr_sampler_options *sampler = &s->fit_options.sampler;
    size_t most = MOST_DRAWS_TIMES * s->options.fit.sampler.n_keep;
    struct wr_sim_options sim = wr_study_sim_options(s);
    struct wr_forecast f = {0};
    double error, wanted = aimed_at * s->options.precision.value;

    *enough = !s->options.precision.known;
    if (*enough) return WR_OK;
    enum wr_status status = check_asked(s, err);
    sim.precision = 0; /* few points show what the draws add */
    if (!status) status = wr_forecast_run(&f, &s->net, &s->durations, &sim, err);
    if (status) return status;
    wr_forecast_worst_error(&f, &error);
    *enough = f.nothing_unknown || error <= wanted;
    wr_forecast_release(&f);
    if (*enough) return WR_OK;
    double draws = (double)sampler->n_keep * pow(error / wanted, 2);
    if (sampler->n_keep == most || draws > 1.25 * (double)most)
        return refuse(s, "the most draws of the model that are taken",
                      error * sqrt((double)sampler->n_keep / (double)most), err);
    sampler->n_keep = (size_t)fmin((double)most, fmax(1.05 * draws, 1.1 * (double)sampler->n_keep));
    return WR_OK;
}

enum wr_status wr_study_check_precision(const struct wr_study *s, struct wr_error *err)
{
    double draws_part, error = wr_forecast_worst_error(&s->forecast, &draws_part);

    if (!s->options.precision.known || error <= s->options.precision.value) return WR_OK;
    return refuse(s, "the most simulated days that are taken", error, err);
}
