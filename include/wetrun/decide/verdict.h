/* Is a limit kept with the wanted probability? One rule, for every output. */
#pragma once

#include <stdbool.h>
#include "wetrun/campaign/findings.h"
#include "wetrun/sim/forecast.h"

enum wr_verdict {
    WR_VERDICT_INSIDE,      /* even the upper end of the interval is within 1 - confidence, in the second answer too */
    WR_VERDICT_NOT_INSIDE,  /* even the lower end is beyond 1 - confidence */
    WR_VERDICT_CANNOT_TELL, /* the interval lies on both sides */
};

/* Is the probability of passing a limit beyond 1 - confidence? 1 - 0.9 is a hair below 0.1 in binary: what ends just
 * there is not beyond. */
bool wr_beyond_allowed(double prob_over, double confidence);
/* By the interval alone. confidence: wanted probability of staying inside, in (0, 1). */
enum wr_verdict wr_verdict_on(const struct wr_probability *over, double confidence);

enum { WR_FEWEST_COMPLETE = 4 }; /* complete rehearsals below which no limit counts as kept, whatever the interval */

/* What stands behind a forecast; nothing where a finding keeps every answer open. */
struct wr_grounds { size_t n_rehearsal, n_complete; enum wr_open_by open_by; };
/* Is there a doubt that is not for want of rehearsals? */
static inline bool wr_is_in_doubt(struct wr_grounds grounds)
{
    return grounds.open_by > WR_OPEN_BY_REHEARSALS;
}
/* What keeps an interval that lies on one side from being an answer: for "inside", that too few rehearsals were
 * complete, or that a second answer, under an assumption that nothing can settle, is not surely within; for either
 * side, that its end is nearer to what is allowed than that end's own error (one-sided 95 %), so that draws of another
 * seed might have it on the other side. On whatever side it lies: that what it rests on is in doubt. second: of the
 * same limit; not known: there is one answer. */
enum wr_lack { WR_LACKS_NOTHING, WR_LACKS_COMPLETE, WR_LACKS_PRECISION, WR_LACKS_SECOND, WR_LACKS_TRUST };
enum wr_lack wr_verdict_lacks(const struct wr_probability *over, const struct wr_second *second, double confidence,
                              struct wr_grounds grounds);
/* The second answer, if there is one, is surely within. Without a rehearsal no answer is firm anyway. */
bool wr_is_borne(const struct wr_second *second, double confidence, struct wr_grounds grounds);
#define WR_SURE_ERRORS 1.645 /* 95 of 100 numbers that are so many errors away lie on the side on which they seem to */
bool wr_surely_within(double prob_over, double mc_error, double confidence);

/* The verdict of a forecast with these grounds: as the interval, unless something is lacking; without a rehearsal it is
 * judgement's own and tells nothing of how far judgement is off, so nothing can be told. */
enum wr_verdict wr_verdict_from(const struct wr_probability *over, const struct wr_second *second, double confidence,
                                struct wr_grounds grounds);
