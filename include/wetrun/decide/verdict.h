/* Is a limit kept with the wanted probability? One rule, for every output. */
#pragma once

#include <stdbool.h>
#include "wetrun/sim/forecast.h"

enum wr_verdict {
    WR_VERDICT_INSIDE,      /* even the upper end of the interval is within 1 - confidence */
    WR_VERDICT_NOT_INSIDE,  /* even the lower end is beyond 1 - confidence */
    WR_VERDICT_CANNOT_TELL, /* the interval lies on both sides */
};

/* Is the probability of passing a limit beyond 1 - confidence? 1 - 0.9 is a hair below 0.1 in binary: what ends just
 * there is not beyond. */
bool wr_beyond_allowed(double prob_over, double confidence);
/* confidence: wanted probability of staying inside, in (0, 1). */
enum wr_verdict wr_verdict_on(const struct wr_probability *over, double confidence);

enum { WR_FEWEST_COMPLETE = 4 }; /* complete rehearsals below which no limit counts as kept, whatever the interval */

/* What stands behind a forecast. */
struct wr_grounds { size_t n_rehearsal, n_complete; };
/* The same of a forecast with these grounds: without a rehearsal the interval is judgement's own and tells nothing of
 * how far judgement is off, so nothing can be told; with too few complete ones nothing is inside. */
enum wr_verdict wr_verdict_from(const struct wr_probability *over, double confidence, struct wr_grounds grounds);
/* Would it be inside, had more rehearsals been complete? */
bool wr_lacks_complete(const struct wr_probability *over, double confidence, struct wr_grounds grounds);
