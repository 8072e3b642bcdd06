#include "wetrun/model/source.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>

struct wr_three_point wr_source_judgement(const struct wr_source *s)
{
    WR_BUG_IF(s->kind != WR_SRC_JUDGED);
    return (struct wr_three_point){s->reading, s->p[0], s->p[1], s->p[2]};
}

enum wr_form wr_source_form(const struct wr_source *s)
{
    switch (s->kind) {
    case WR_SRC_MODEL:
    case WR_SRC_LOGNORMAL: return WR_FORM_LOG;
    case WR_SRC_JUDGED: return s->p[2] > s->p[0] ? WR_FORM_BENT : WR_FORM_FIXED;
    case WR_SRC_FIXED: break;
    }
    return WR_FORM_FIXED;
}

const char *wr_source_name(const struct wr_source *s)
{
    switch (s->kind) {
    case WR_SRC_MODEL: return "model";
    case WR_SRC_LOGNORMAL: return "lognormal";
    case WR_SRC_JUDGED: return wr_three_point_names[s->reading];
    case WR_SRC_FIXED: break;
    }
    return "fixed";
}

double wr_source_mean_min(const struct wr_source *s)
{
    struct wr_three_point judged;

    switch (s->kind) {
    case WR_SRC_LOGNORMAL: return exp(s->p[0] + 0.5 * s->p[1] * s->p[1]);
    case WR_SRC_JUDGED: return judged = wr_source_judgement(s), wr_three_point_mean_min(&judged);
    case WR_SRC_FIXED: return s->p[0];
    case WR_SRC_MODEL: break;
    }
    WR_BUG_IF(true);
    return 0;
}

double wr_source_sd_min(const struct wr_source *s)
{
    struct wr_three_point judged;

    switch (s->kind) {
    case WR_SRC_LOGNORMAL: return wr_source_mean_min(s) * sqrt(expm1(s->p[1] * s->p[1]));
    case WR_SRC_JUDGED: return judged = wr_source_judgement(s), wr_three_point_sd_min(&judged);
    case WR_SRC_FIXED: return 0;
    case WR_SRC_MODEL: break;
    }
    WR_BUG_IF(true);
    return 0;
}

double wr_source_quantile_min(const struct wr_source *s, double prob)
{
    struct wr_three_point judged;

    switch (s->kind) {
    case WR_SRC_LOGNORMAL: return exp(s->p[0]) * exp(s->p[1] * gsl_cdf_ugaussian_Pinv(prob));
    case WR_SRC_JUDGED: return judged = wr_source_judgement(s), wr_three_point_quantile_min(&judged, prob);
    case WR_SRC_FIXED: return s->p[0];
    case WR_SRC_MODEL: break;
    }
    WR_BUG_IF(true);
    return 0;
}

void wr_source_at_scores(const struct wr_source *s, int n, double step, double *minutes)
{
    const struct wr_three_point judged = wr_source_judgement(s);

    wr_three_point_at_scores(&judged, n, step, minutes);
}
