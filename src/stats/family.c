/* Formulas: Johnson, Kotz and Balakrishnan (1994, 1995), Continuous Univariate Distributions, vols. 1 and 2 (chapters
 * on each family). */
#include "wetrun/stats/family.h"

#include <math.h>
#include "family_row.h"
#include "wetrun/base/error.h"

double wr_log1p_exp(double x)
{
    return x > 0 ? x + log1p(exp(-x)) : log1p(exp(x));
}

double wr_log_one_minus_exp(double x)
{
    return x > -M_LN2 ? log(-expm1(x)) : log1p(-exp(x));
}

const struct family_row *wr_family_row(enum wr_family family)
{
    static const struct family_row *const families[] = {
#define ROW(id, name) [id] = &wr_family_##name,
        WR_FAMILY_TABLE(ROW)
#undef ROW
    };

    WR_BUG_IF((unsigned)family >= WR_N_FAMILY);
    return families[family];
}

const char *wr_family_name(enum wr_family family)
{
    return wr_family_row(family)->name;
}

bool wr_family_is_log_scale(enum wr_family family)
{
    return wr_family_row(family)->log_scale;
}

int wr_family_n_parameter(enum wr_family family)
{
    int n = 0;

    while (n < WR_MOST_PARAMETERS && wr_family_row(family)->parameter[n].name) n++;
    return n;
}

const char *wr_family_parameter(enum wr_family family, int i)
{
    WR_BUG_IF(i < 0 || i >= wr_family_n_parameter(family));
    return wr_family_row(family)->parameter[i].name;
}

double wr_law_log_pdf(const struct wr_law *law, double t_min)
{
    return wr_family_row(law->family)->log_pdf(law->par, t_min);
}

double wr_law_log_cdf(const struct wr_law *law, double t_min)
{
    return wr_family_row(law->family)->log_cdf(law->par, t_min);
}

double wr_law_log_sf(const struct wr_law *law, double t_min)
{
    return wr_family_row(law->family)->log_sf(law->par, t_min);
}

double wr_law_draw_min(const struct wr_law *law, gsl_rng *rng)
{
    return wr_family_row(law->family)->draw(law->par, rng);
}
