#include "wetrun/decide/verdict.h"

enum wr_verdict wr_verdict_on(const struct wr_probability *over, double confidence)
{
    /* 1 - 0.9 is a hair below 0.1 in binary: an interval that ends at what the user wrote counts as inside */
    double allowed = 1.0 - confidence, hair = 1e-12;

    if (over->hi <= allowed + hair) return WR_VERDICT_INSIDE;
    if (over->lo > allowed + hair) return WR_VERDICT_NOT_INSIDE;
    return WR_VERDICT_CANNOT_TELL;
}

enum wr_verdict wr_verdict_from(const struct wr_probability *over, double confidence, size_t n_rehearsal)
{
    return n_rehearsal == 0 ? WR_VERDICT_CANNOT_TELL : wr_verdict_on(over, confidence);
}
