/* Plans of judgement alone: thirty judged tasks, nothing rehearsed, a day that is slow or fast for all, and judges of
 * several kinds, against the true law of the day. */
#pragma once
#include <stddef.h>
#include <stdint.h>

enum judges {
    JUDGES_PERFECT,      /* low and high at the true 0.5 and 99.5 %, the likeliest where it is */
    JUDGES_OFF,          /* each off by 0.2 in the log */
    JUDGES_SHORT,        /* and all of them short: what they say times 1.2 is true; ranges of the log narrower by
                            1.15 */
    JUDGES_BLIND_ABOVE,  /* off, four fifths of the truth, and nothing seen beyond one sd above: short twice over */
    N_JUDGES
};
enum judged_treatment { TREAT_ALONE, TREAT_DAY, TREAT_SHORT, N_TREATMENT }; /* no common day; as judged; as if judges
                                                                               were short */
struct judged_study { double held80[N_TREATMENT], passed95[N_TREATMENT]; }; /* mean true probability over plans */
void judged_study_run(struct judged_study *s, enum judges judges, double tau, size_t n_plan, uint64_t seed,
                      unsigned n_thread);
