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

bool wr_lacks_complete(const struct wr_probability *over, double confidence, struct wr_grounds grounds)
{
    return grounds.n_rehearsal > 0 && grounds.n_complete < WR_FEWEST_COMPLETE &&
           wr_verdict_on(over, confidence) == WR_VERDICT_INSIDE;
}

enum wr_verdict wr_verdict_from(const struct wr_probability *over, double confidence, struct wr_grounds grounds)
{
    if (grounds.n_rehearsal == 0 || wr_lacks_complete(over, confidence, grounds)) return WR_VERDICT_CANNOT_TELL;
    return wr_verdict_on(over, confidence);
}
