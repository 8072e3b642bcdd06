#include "wetrun/model/earlier.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "judgement.h"
#include "wetrun/base/memory.h"

enum { BETWEEN_POINTS = 120 };
static const double between_most = 3.0, between_median = 0.74, between_logsd = 0.4, common_variance = 0.25;
static const double least_informative = 0.98; /* a posterior as wide as this share of the default's variance tells
                                                 nothing */

const char *wr_common_words(enum wr_common which)
{
    static const char *const words[] = {
        [WR_COMMON_TAU] = "a slow or fast day", [WR_COMMON_KAPPA] = "people",
        [WR_COMMON_GAMMA] = "learning, per doubling", [WR_COMMON_S0] = "a task's own spread",
        [WR_COMMON_D] = "spread, task twice as long", [WR_COMMON_OMEGA_S] = "spread between tasks",
        [WR_COMMON_RHO] = "skewness", [WR_COMMON_A] = "times over plan",
        [WR_COMMON_JUDGED_BIAS] = "times over those judged", [WR_COMMON_JUDGED_OFF] = "one judgement off by",
        [WR_COMMON_JUDGED_WIDENING] = "spread over that judged"};

    return words[which];
}

/* Given between: weights w = 1/(between^2 + e^2), common ~ N(pull/precision, 1/precision), and the log likelihood of
 * all y with the common level integrated out. */
struct given { double log_weight, mean, variance; };

static struct given given_between(const struct wr_told *told, size_t n, double between)
{
    double precision = 1.0 / common_variance, pull = 0.0, squares = 0.0, log_det = 0.0;

    for (size_t j = 0; j < n; j++) {
        if (!told[j].known) continue;
        double variance = between * between + told[j].e * told[j].e;
        precision += 1.0 / variance;
        pull += told[j].y / variance;
        squares += told[j].y * told[j].y / variance;
        log_det += log(variance);
    }
    double mean = pull / precision;
    double loglik = -0.5 * (log_det + log(precision) + squares - mean * pull);
    double off = log(between / between_median) / between_logsd;
    return (struct given){loglik - 0.5 * off * off - log(between), mean, 1.0 / precision + between * between};
}

struct wr_score_law wr_earlier_predict(const struct wr_told *told, size_t n)
{
    struct given at[BETWEEN_POINTS];
    double most = -INFINITY, whole = 0.0, mean = 0.0, squares = 0.0;
    size_t n_known = 0;

    for (size_t j = 0; j < n; j++) n_known += told[j].known;
    if (n_known == 0) return (struct wr_score_law){0};
    for (size_t i = 0; i < BETWEEN_POINTS; i++) {
        at[i] = given_between(told, n, between_most * ((double)i + 0.5) / BETWEEN_POINTS);
        most = fmax(most, at[i].log_weight);
    }
    for (size_t i = 0; i < BETWEEN_POINTS; i++) {
        double w = exp(at[i].log_weight - most);
        whole += w;
        mean += w * at[i].mean;
        squares += w * (at[i].variance + at[i].mean * at[i].mean);
    }
    mean /= whole;
    return (struct wr_score_law){mean, sqrt(squares / whole - mean * mean)};
}

/* The draws of a campaign: of its posterior, and of what its judges are worth. */
struct draws {
    const struct wr_posterior *post;
    double order_shift;  /* of learning, to the run that is forecast now */
    bool judged;         /* there is a record of judgement: */
    struct wr_judged_common *bias, *widening;
};

/* A draw of a parameter in the numbers that its prior has. */
static double value_of(const struct draws *d, enum wr_common which, size_t i)
{
    const struct wr_posterior *post = d->post;

    switch (which) {
    case WR_COMMON_TAU: return post->tau[i];
    case WR_COMMON_KAPPA: return post->kappa[i];
    case WR_COMMON_GAMMA: return post->gamma[i];
    case WR_COMMON_S0: return log(post->s0[i]);
    case WR_COMMON_D: return post->d[i];
    case WR_COMMON_OMEGA_S: return post->omega_s[i];
    case WR_COMMON_RHO: return post->rho[i];
    case WR_COMMON_A: return post->a[i] + post->gamma[i] * d->order_shift;
    case WR_COMMON_JUDGED_BIAS: return d->bias[i].common + post->gamma[i] * d->order_shift;
    case WR_COMMON_JUDGED_OFF: return d->bias[i].own;
    case WR_COMMON_JUDGED_WIDENING: return d->widening[i].common;
    case WR_N_COMMON: break;
    }
    return 0.0;
}

static bool is_estimated(const struct wr_telling *c, const struct draws *d, enum wr_common which)
{
    const struct wr_model_fit *fit = c->fit;
    const struct wr_priors *p = &c->options->priors;

    if (!fit->has_runs || fit->post.n_draw < 2) return false;
    switch (which) {
    case WR_COMMON_TAU: return !(p->tau_fixed > 0);
    case WR_COMMON_KAPPA: return fit->n_person > 0;
    case WR_COMMON_GAMMA: return p->learning;
    case WR_COMMON_RHO: return p->skew;
    case WR_COMMON_A: return fit->data.log_planned != NULL;
    case WR_COMMON_D: return fit->n_model_task > 1;
    case WR_COMMON_JUDGED_BIAS:
    case WR_COMMON_JUDGED_OFF:
    case WR_COMMON_JUDGED_WIDENING: return d->judged;
    case WR_COMMON_S0:
    case WR_COMMON_OMEGA_S:
    case WR_N_COMMON: break;
    }
    return true;
}

static struct wr_told told_by(const struct wr_telling *c, const struct draws *d, enum wr_common which)
{
    size_t n = d->post->n_draw;
    double mean = 0.0, variance = 0.0;

    if (!is_estimated(c, d, which)) return (struct wr_told){.p_against = 1.0};
    for (size_t i = 0; i < n; i++) {
        double z = wr_prior_score(&c->options->priors, which, value_of(d, which, i)), off = z - mean;
        mean += off / (double)(i + 1);
        variance += off * (z - mean) / ((double)n - 1.0);
    }
    if (!(variance < least_informative)) return (struct wr_told){.p_against = 1.0};
    return (struct wr_told){true, mean / (1.0 - variance), sqrt(variance / (1.0 - variance)), 1.0};
}

/* What a campaign tells, about each parameter. */
static void listen(const struct wr_telling *c, double order_shift, struct wr_told told[WR_N_COMMON])
{
    size_t n = c->fit->post.n_draw;
    struct draws d = {&c->fit->post, order_shift, false, WR_NEW_ARRAY(struct wr_judged_common, n),
                      WR_NEW_ARRAY(struct wr_judged_common, n)};

    d.judged = c->plan && wr_judgement_learn(c->plan, c->fit, c->options, d.bias, d.widening);
    for (int w = 0; w < WR_N_COMMON; w++) told[w] = told_by(c, &d, (enum wr_common)w);
    WR_FREE(d.bias, d.widening);
}

void wr_earlier_add(struct wr_earlier *e, const char *name, const struct wr_telling *campaign, double target_order)
{
    const struct wr_model_fit *fit = campaign->fit;
    size_t j = e->n_campaign++;

    e->name = wr_realloc(e->name, e->n_campaign, sizeof *e->name);
    e->n_run = wr_realloc(e->n_run, e->n_campaign, sizeof *e->n_run);
    e->told = wr_realloc(e->told, e->n_campaign * WR_N_COMMON, sizeof *e->told);
    e->name[j] = name;
    e->n_run[j] = 0;
    for (size_t r = 0; r < fit->data.n_run; r++) e->n_run[j] += wr_model_saw_run(fit, r);
    listen(campaign, log(target_order) - log(fit->target_order), e->told + j * WR_N_COMMON);
}

/* How far y lies from a law, its own error included. */
static double chance_of(const struct wr_told *told, const struct wr_score_law *law)
{
    if (!told->known || !(law->sd > 0)) return 1.0;
    return 2.0 * gsl_cdf_ugaussian_Q(fabs(told->y - law->mean) / hypot(told->e, law->sd));
}

static void combine_one(struct wr_earlier *e, enum wr_common which)
{
    WR_SCOPED struct wr_told *column = WR_NEW_ARRAY(struct wr_told, e->n_campaign);

    for (size_t j = 0; j < e->n_campaign; j++) {
        column[j] = e->told[j * WR_N_COMMON + which];
        e->n_telling[which] += column[j].known;
    }
    e->law[which] = wr_earlier_predict(column, e->n_campaign);
    for (size_t j = 0; j < e->n_campaign; j++) { /* each against all others */
        bool known = column[j].known;
        column[j].known = false;
        const struct wr_score_law others = wr_earlier_predict(column, e->n_campaign);
        column[j].known = known;
        e->told[j * WR_N_COMMON + which].p_against = chance_of(&column[j], &others);
    }
}

void wr_earlier_combine(struct wr_earlier *e, const struct wr_telling *present)
{
    listen(present, 0.0, e->present);
    for (int c = 0; c < WR_N_COMMON; c++) {
        e->n_telling[c] = 0;
        combine_one(e, (enum wr_common)c);
        e->present[c].p_against = chance_of(&e->present[c], &e->law[c]);
    }
}

void wr_earlier_teach(const struct wr_earlier *e, struct wr_priors *priors)
{
    for (int c = 0; c < WR_N_COMMON; c++) wr_prior_learn(priors, (enum wr_common)c, &e->law[c]);
}

void wr_earlier_release(struct wr_earlier *e)
{
    WR_FREE((void *)e->name, e->n_run, e->told);
    *e = (struct wr_earlier){0};
}
