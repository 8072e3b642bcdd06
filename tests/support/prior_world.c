#include "prior_world.h"

#include <gsl/gsl_randist.h>
#include <math.h>
#include "wetrun/model/skew_normal.h"

static double half_cauchy(const gsl_rng *rng, double scale, double top)
{
    return scale * tan(gsl_rng_uniform_pos(rng) * atan(top / scale));
}

static double lognormal(const gsl_rng *rng, double mean, double sd)
{
    return exp(mean + gsl_ran_gaussian(rng, sd));
}

static double sqrt_scaled_inverse_chi2(const gsl_rng *rng, double df, double scale)
{
    return scale * sqrt(df / gsl_ran_chisq(rng, df));
}

/* A normal law whose variance is exponential with mean sd^2. */
static double double_exponential(const gsl_rng *rng, double sd)
{
    return gsl_ran_gaussian(rng, sqrt(gsl_ran_exponential(rng, sd * sd)));
}

/* What was learnt of a parameter elsewhere, on the scale of normal scores, in the place of its default law. */
static bool was_learnt(double *value, const gsl_rng *rng, const struct wr_priors *p, enum wr_common which,
                       const struct wr_score_law *law)
{
    if (law->sd > 0) *value = wr_prior_value(p, which, law->mean + gsl_ran_gaussian(rng, law->sd));
    return law->sd > 0;
}

static double mean_log_planned(const struct wr_model_data *data)
{
    double sum = 0.0;

    for (size_t k = 0; k < data->n_task; k++) sum += data->log_planned[k];
    return sum / (double)data->n_task;
}

/* The law of the spreads as a whole, given that none is below the least. */
static void draw_spreads(struct prior_world *w, const gsl_rng *rng, const struct wr_model_data *data,
                         const struct wr_priors *p)
{
    double m = mean_log_planned(data), least;

    do {
        w->s0 = lognormal(rng, p->log_s0_mean, p->log_s0_sd);
        w->d = p->d_mean + gsl_ran_gaussian(rng, p->d_sd);
        if (!was_learnt(&w->omega_s, rng, p, WR_COMMON_OMEGA_S, &p->omega_s_score))
            w->omega_s = fabs(gsl_ran_gaussian(rng, p->omega_s_scale));
        least = INFINITY;
        for (size_t k = 0; k < data->n_task; k++) {
            w->sigma[k] = lognormal(rng, log(w->s0) + w->d * (data->log_planned[k] - m), w->omega_s);
            least = fmin(least, w->sigma[k]);
        }
    } while (least < p->sigma_least);
}

void prior_world_draw(struct prior_world *w, const gsl_rng *rng, const struct wr_model_data *data,
                      const struct wr_priors *p)
{
    double m = mean_log_planned(data);

    if (!was_learnt(&w->tau, rng, p, WR_COMMON_TAU, &p->tau_score)) w->tau = half_cauchy(rng, p->tau_scale, 0.8);
    if (!was_learnt(&w->kappa, rng, p, WR_COMMON_KAPPA, &p->kappa_score))
        w->kappa = half_cauchy(rng, p->kappa_scale, 0.5);
    w->gamma = p->learning ? p->gamma_mean + double_exponential(rng, p->gamma_sd) : 0.0;
    if (!was_learnt(&w->rho, rng, p, WR_COMMON_RHO, &p->rho_score))
        w->rho = p->rho_most * (2.0 * gsl_rng_uniform(rng) - 1.0);
    if (!p->skew) w->rho = 0.0;
    draw_spreads(w, rng, data, p);
    w->a = p->a_mean + gsl_ran_gaussian(rng, p->a_sd);
    w->c = 1.0 + gsl_ran_gaussian(rng, p->c_sd);
    w->omega = sqrt_scaled_inverse_chi2(rng, p->omega_df, p->omega_scale);
    for (size_t k = 0; k < data->n_task; k++)
        w->mu[k] = m + w->a + w->c * (data->log_planned[k] - m) + gsl_ran_gaussian(rng, w->omega);
    for (size_t r = 0; r < data->n_run; r++) w->b[r] = gsl_ran_gaussian(rng, w->tau);
    for (size_t i = 0; i < data->n_person; i++) w->q[i] = gsl_ran_gaussian(rng, w->kappa);
}

static double centre(const struct prior_world *w, const struct wr_model_data *data, size_t k, size_t r)
{
    double y = w->mu[k] + w->gamma * (log(data->order[r]) - log(data->target_order)) + w->b[r];

    for (size_t i = 0; i < data->n_person; i++)
        y += data->person_weight[(k * data->n_run + r) * data->n_person + i] * w->q[i];
    return y;
}

void prior_world_observe(const struct prior_world *w, const gsl_rng *rng, struct wr_model_table *table)
{
    const struct wr_model_data *data = &table->data;
    double mean_abs = sqrt(2.0 / M_PI), unit = sqrt(1.0 - mean_abs * mean_abs * w->rho * w->rho);

    for (size_t k = 0; k < data->n_task; k++)
        for (size_t r = 0; r < data->n_run; r++) {
            double skew = w->rho * (fabs(gsl_ran_gaussian(rng, 1.0)) - mean_abs);
            double e = (skew + sqrt(1.0 - w->rho * w->rho) * gsl_ran_gaussian(rng, 1.0)) / unit;
            double y = centre(w, data, k, r) + w->sigma[k] * e,
                   stop = data->log_planned[k] + 0.5 + gsl_ran_gaussian(rng, 0.7);
            bool absent = gsl_rng_uniform(rng) < 0.1;
            size_t at = k * data->n_run + r;
            table->obs[at] = absent ? WR_OBS_NONE : stop < y ? WR_OBS_STOPPED : WR_OBS_DONE;
            table->log_min[at] = fmin(y, stop);
        }
}

double prior_world_loglik(const struct prior_world *w, const struct wr_model_data *data)
{
    double sum = 0.0;

    for (size_t k = 0; k < data->n_task; k++)
        for (size_t r = 0; r < data->n_run; r++) {
            size_t at = k * data->n_run + r;
            if (data->obs[at] == WR_OBS_NONE) continue;
            struct wr_skew_normal law = wr_skew_normal_of(centre(w, data, k, r), w->sigma[k], w->rho, 0.0);
            sum += log(data->obs[at] == WR_OBS_DONE ? wr_skew_normal_pdf(&law, data->log_min[at])
                                                    : 1.0 - wr_skew_normal_cdf(&law, data->log_min[at]));
        }
    return sum;
}

const char *const world_view_name[WORLD_VIEWS] = {
    "tau", "kappa", "gamma", "rho", "log s0", "d", "omega_s", "a", "c", "log omega", "mu[1]", "mu[2]",
    "log sigma[1]", "b[1]", "q[1]"};

void prior_world_view(const struct prior_world *w, double v[WORLD_VIEWS])
{
    const double view[WORLD_VIEWS] = {w->tau,  w->kappa, w->gamma,      w->rho,   log(w->s0), w->d,
                                      w->omega_s, w->a,  w->c,          log(w->omega), w->mu[0], w->mu[1],
                                      log(w->sigma[0]), w->b[0], w->q[0]};

    for (size_t i = 0; i < WORLD_VIEWS; i++) v[i] = view[i];
}

void posterior_view(const struct wr_posterior *post, size_t draw, double v[WORLD_VIEWS])
{
    size_t n = post->n_draw;
    struct prior_world w = {.tau = post->tau[draw],
                            .kappa = post->kappa[draw],
                            .gamma = post->gamma[draw],
                            .rho = post->rho[draw],
                            .s0 = post->s0[draw],
                            .d = post->d[draw],
                            .omega_s = post->omega_s[draw],
                            .a = post->a[draw],
                            .c = post->c[draw],
                            .omega = post->omega[draw],
                            .mu = {post->mu[draw], post->mu[n + draw]},
                            .sigma = {post->sigma[draw]},
                            .b = {post->b[draw]},
                            .q = {post->q[draw]}};

    prior_world_view(&w, v);
}
