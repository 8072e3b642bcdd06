#include "wetrun/model/priors.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

enum { MOMENT_POINTS = 200 };
static const double score_most = 7.0; /* beyond it the chance is no longer told from 0 */

struct wr_priors wr_priors_default(void)
{
    return (struct wr_priors){
        .learning = true, .skew = true, .tau_scale = 0.10, .tau_logsd = 0.5, .kappa_scale = 0.05, .tau_most = 0.8,
        .kappa_most = 0.5, .gamma_sd = 0.10, .log_s0_mean = log(0.25), .log_s0_sd = 0.5, .d_mean = -0.2, .d_sd = 0.25,
        .omega_s_scale = 0.5, .sigma_least = 0.01, .a_mean = 0.1, .a_sd = 0.3, .a_sd_no_plan = 1.0, .c_sd = 0.25,
        .omega_df = 3.0, .omega_scale = 0.4, .rho_most = 0.98, .judged_bias_sd = 0.3, .judged_widening_sd = 0.3,
        .judged_off_scale = 0.3};
}

void wr_prior_forget_level(struct wr_priors *p)
{
    p->a_mean = 0.0;
    p->a_sd = p->a_sd_no_plan;
}

/* From the chances of being below and above: each is exact where it is small. */
static double score_of(double below, double above)
{
    double z =
        below < above ? gsl_cdf_ugaussian_Pinv(fmax(below, 1e-300)) : gsl_cdf_ugaussian_Qinv(fmax(above, 1e-300));

    return fmin(fmax(z, -score_most), score_most);
}

static double half_cauchy_score(double value, double scale, double most)
{
    double whole = atan(most / scale), below = atan(value / scale) / whole;

    return score_of(below, atan2((most - value) * scale, scale * scale + most * value) / whole);
}

static double half_cauchy_value(double score, double scale, double most)
{
    return scale * tan(gsl_cdf_ugaussian_P(score) * atan(most / scale));
}

/* Double exponential with mean 0 and scale b: half the chance lies on each side, falling with exp(-|x|/b). */
static double laplace_score(double value, double b)
{
    double tail = 0.5 * exp(-fabs(value) / b), z = score_of(tail, 1.0 - tail);

    return value < 0 ? z : -z;
}

static double laplace_value(double score, double b)
{
    double size = -b * log(2.0 * gsl_cdf_ugaussian_P(-fabs(score)));

    return score < 0 ? -size : size;
}

static double half_normal_score(double value, double scale)
{
    return score_of(erf(value / scale * M_SQRT1_2), 2.0 * gsl_cdf_ugaussian_Q(value / scale));
}

static double half_normal_value(double score, double scale)
{
    return scale * gsl_cdf_ugaussian_Qinv(0.5 * gsl_cdf_ugaussian_Q(score));
}

double wr_prior_score(const struct wr_priors *p, enum wr_common which, double value)
{
    switch (which) {
    case WR_COMMON_TAU: return half_cauchy_score(value, p->tau_scale, p->tau_most);
    case WR_COMMON_KAPPA: return half_cauchy_score(value, p->kappa_scale, p->kappa_most);
    case WR_COMMON_GAMMA: return laplace_score(value - p->gamma_mean, p->gamma_sd / M_SQRT2);
    case WR_COMMON_S0: return (value - p->log_s0_mean) / p->log_s0_sd;
    case WR_COMMON_D: return (value - p->d_mean) / p->d_sd;
    case WR_COMMON_OMEGA_S: return half_normal_score(value, p->omega_s_scale);
    case WR_COMMON_RHO: return score_of(0.5 + 0.5 * value / p->rho_most, 0.5 - 0.5 * value / p->rho_most);
    case WR_COMMON_A: return (value - p->a_mean) / p->a_sd;
    case WR_COMMON_JUDGED_BIAS: return (value - p->judged_bias_mean) / p->judged_bias_sd;
    case WR_COMMON_JUDGED_OFF: return half_normal_score(value, p->judged_off_scale);
    case WR_COMMON_JUDGED_WIDENING: return (value - p->judged_widening_mean) / p->judged_widening_sd;
    case WR_N_COMMON: break;
    }
    return 0.0;
}

double wr_prior_value(const struct wr_priors *p, enum wr_common which, double score)
{
    switch (which) {
    case WR_COMMON_TAU: return half_cauchy_value(score, p->tau_scale, p->tau_most);
    case WR_COMMON_KAPPA: return half_cauchy_value(score, p->kappa_scale, p->kappa_most);
    case WR_COMMON_GAMMA: return p->gamma_mean + laplace_value(score, p->gamma_sd / M_SQRT2);
    case WR_COMMON_S0: return p->log_s0_mean + p->log_s0_sd * score;
    case WR_COMMON_D: return p->d_mean + p->d_sd * score;
    case WR_COMMON_OMEGA_S: return half_normal_value(score, p->omega_s_scale);
    case WR_COMMON_RHO: return p->rho_most * erf(score * M_SQRT1_2);
    case WR_COMMON_A: return p->a_mean + p->a_sd * score;
    case WR_COMMON_JUDGED_BIAS: return p->judged_bias_mean + p->judged_bias_sd * score;
    case WR_COMMON_JUDGED_OFF: return half_normal_value(score, p->judged_off_scale);
    case WR_COMMON_JUDGED_WIDENING: return p->judged_widening_mean + p->judged_widening_sd * score;
    case WR_N_COMMON: break;
    }
    return 0.0;
}

double wr_prior_log_ratio(const struct wr_priors *p, enum wr_common which, const struct wr_score_law *law, double value)
{
    if (!(law->sd > 0)) return 0.0;
    double z = wr_prior_score(p, which, value), off = (z - law->mean) / law->sd;
    return 0.5 * (z * z - off * off) - log(law->sd);
}

/* Mean and sd of the value when its score follows the law, by its quantiles. */
static void moments(const struct wr_priors *p, enum wr_common which, const struct wr_score_law *law, double *mean,
                    double *sd)
{
    double sum = 0.0, squares = 0.0;

    for (int i = 0; i < MOMENT_POINTS; i++) {
        double z = gsl_cdf_ugaussian_Pinv((i + 0.5) / MOMENT_POINTS);
        double v = wr_prior_value(p, which, law->mean + law->sd * z);
        sum += v;
        squares += v * v;
    }
    *mean = sum / MOMENT_POINTS;
    *sd = sqrt(squares / MOMENT_POINTS - *mean * *mean);
}

static void move_normal(double *mean, double *sd, const struct wr_score_law *law)
{
    *mean += *sd * law->mean;
    *sd *= law->sd;
}

void wr_prior_learn(struct wr_priors *p, enum wr_common which, const struct wr_score_law *law)
{
    double mean, sd;

    if (!(law->sd > 0)) return;
    switch (which) {
    case WR_COMMON_TAU:
        if (!p->tau_lognormal && !(p->tau_fixed > 0)) p->tau_score = *law;
        break;
    case WR_COMMON_KAPPA: p->kappa_score = *law; break;
    case WR_COMMON_GAMMA:
        moments(p, which, law, &mean, &sd);
        p->gamma_mean = mean;
        p->gamma_sd = sd;
        break;
    case WR_COMMON_S0: move_normal(&p->log_s0_mean, &p->log_s0_sd, law); break;
    case WR_COMMON_D: move_normal(&p->d_mean, &p->d_sd, law); break;
    case WR_COMMON_OMEGA_S: p->omega_s_score = *law; break;
    case WR_COMMON_RHO: p->rho_score = *law; break;
    case WR_COMMON_A: move_normal(&p->a_mean, &p->a_sd, law); break;
    case WR_COMMON_JUDGED_BIAS:
        move_normal(&p->judged_bias_mean, &p->judged_bias_sd, law);
        p->judges_known = true;
        break;
    case WR_COMMON_JUDGED_OFF: p->judged_off_score = *law; break;
    case WR_COMMON_JUDGED_WIDENING: move_normal(&p->judged_widening_mean, &p->judged_widening_sd, law); break;
    case WR_N_COMMON: break;
    }
}
