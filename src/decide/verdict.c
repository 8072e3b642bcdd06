#include "wetrun/decide/verdict.h"

bool wr_beyond_allowed(double prob_over, double confidence)
{
    double hair = 1e-12;

    return prob_over > 1.0 - confidence + hair;
}

enum wr_verdict wr_verdict_on(const struct wr_probability *over, double confidence)
{
    if (!wr_beyond_allowed(over->hi, confidence)) return WR_VERDICT_INSIDE;
    if (wr_beyond_allowed(over->lo, confidence)) return WR_VERDICT_NOT_INSIDE;
    return WR_VERDICT_CANNOT_TELL;
}

enum wr_verdict wr_verdict_from(const struct wr_probability *over, double confidence, size_t n_rehearsal)
{
    return n_rehearsal == 0 ? WR_VERDICT_CANNOT_TELL : wr_verdict_on(over, confidence);
}
