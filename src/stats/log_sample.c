#include "wetrun/stats/log_sample.h"

#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/stats/special.h"

enum wr_status wr_log_sample_of(const double *value, size_t n, struct wr_log_sample *sample, struct wr_error *err)
{
    if (!n) return wr_fail(err, WR_E_TOO_FEW, "no values");
    for (size_t i = 0; i < n; i++)
        if (!isfinite(value[i]) || !(value[i] > 0))
            return wr_fail(err, WR_E_DOMAIN, "value %zu is %g: not above 0 and finite", i + 1, value[i]);

    WR_SCOPED double *log_value = WR_NEW_ARRAY(double, n);
    for (size_t i = 0; i < n; i++) log_value[i] = log(value[i]);
    sample->log = wr_summarise(log_value, n);
    return WR_OK;
}

struct wr_maybe wr_log_predictive_quantile(const struct wr_log_sample *s, double prob)
{
    double n = (double)s->log.n;

    if (!s->log.sd.known || !(s->log.sd.value > 0)) return WR_UNKNOWN;
    return wr_known(exp(s->log.mean + wr_t_quantile(prob, n - 1) * s->log.sd.value * sqrt(1 + 1 / n)));
}
