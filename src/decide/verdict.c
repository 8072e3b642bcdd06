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

bool wr_surely_within(double prob_over, double mc_error, double confidence)
{
    return !wr_beyond_allowed(prob_over + WR_SURE_ERRORS * mc_error, confidence);
}

bool wr_is_borne(const struct wr_second *second, double confidence, struct wr_grounds grounds)
{
    return !second->known || grounds.n_rehearsal == 0 ||
           (!second->before_day && wr_surely_within(second->over.hi, second->over.hi_mc_error, confidence));
}

enum wr_lack wr_verdict_lacks(const struct wr_probability *over, const struct wr_second *second, double confidence,
                              struct wr_grounds grounds)
{
    bool sure = true;

    if (wr_is_in_doubt(grounds)) return WR_LACKS_TRUST;
    switch (wr_verdict_on(over, confidence)) {
    case WR_VERDICT_CANNOT_TELL: return WR_LACKS_NOTHING;
    case WR_VERDICT_INSIDE:
        if (grounds.n_rehearsal > 0 && grounds.n_complete < WR_FEWEST_COMPLETE) return WR_LACKS_COMPLETE;
        if (!wr_is_borne(second, confidence, grounds)) return WR_LACKS_SECOND;
        sure = wr_surely_within(over->hi, over->hi_mc_error, confidence);
        break;
    case WR_VERDICT_NOT_INSIDE:
        sure = wr_beyond_allowed(over->lo - WR_SURE_ERRORS * over->lo_mc_error, confidence);
        break;
    }
    return sure ? WR_LACKS_NOTHING : WR_LACKS_PRECISION;
}

enum wr_verdict wr_verdict_from(const struct wr_probability *over, const struct wr_second *second, double confidence,
                                struct wr_grounds grounds)
{
    bool open = grounds.n_rehearsal == 0 || wr_verdict_lacks(over, second, confidence, grounds) != WR_LACKS_NOTHING;

    return open ? WR_VERDICT_CANNOT_TELL : wr_verdict_on(over, confidence);
}
