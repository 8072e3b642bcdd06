/* Two groups of runs compared. The unit is the run: what happens on a day touches all its tasks, so cells of one
 * run are not independent evidence, and permutations move whole runs.
 *
 * A difference is group 1 minus group 0; on logs its exponential is a ratio. Strata (dates, pairs of people) restrict
 * both the estimate and the permutations to comparisons inside a stratum.
 * Sources: Searle (1971), Linear Models, ch. 7 for the two-way fit; Westfall and Young (1993), Resampling-Based
 * Multiple Testing, for max-t; Holm (1979), Scand. J. Statist. 6, 65-70; Phipson and Smyth (2010), Stat. Appl. Genet.
 * Mol. Biol. 9, art. 39, for counting the observed grouping (all from memory). */
#pragma once

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include "wetrun/base/error.h"
#include "wetrun/base/number.h"
#include "wetrun/stats/interval.h"

/* Least squares of y[task * n_run + run] = task effect + run effect over the cells with present[] != 0.
 * run_effect[n_run] comes out with mean 0; task_effect[n_task] may be NULL, and holds 0 for a task with no cell.
 *   WR_E_DOMAIN   a present value is not finite
 *   WR_E_TOO_FEW  a run without cells, or runs that no chain of common tasks connects: not comparable */
WR_MUST_CHECK enum wr_status wr_two_way_fit(const double *y, const unsigned char *present, size_t n_task, size_t n_run,
                                            double *task_effect, double *run_effect, struct wr_error *err);

struct wr_grouping { /* all borrowed */
    size_t n_run;
    const unsigned char *group; /* [n_run] 0 or 1 */
    const size_t *stratum;      /* [n_run] any numbers below n_run, equal within a stratum; NULL: one stratum */
};

struct wr_group_difference {
    double difference, se, df;
    struct wr_interval interval; /* by t */
    struct wr_maybe p;           /* two-sided, of no difference; unknown if nothing varies */
};

/* value[n_run] (say, run effects) on group, and on trend[n_run] (say, the log of the order) unless NULL, each stratum
 * with its own level: df = runs - strata - 1, less 1 with a trend. Only strata that hold both groups tell anything.
 *   WR_E_TOO_FEW  no stratum holds both groups, no degree of freedom, or a trend that cannot be told from the groups */
WR_MUST_CHECK enum wr_status wr_group_difference(const double *value, const struct wr_grouping *grouping,
                                                 const double *trend, double level, struct wr_group_difference *out,
                                                 struct wr_error *err);

struct wr_permutation_options {
    size_t most_enumerated; /* up to so many groupings all are visited */
    size_t n_random;        /* beyond, so many are drawn, and the observed one counted with them */
    uint64_t seed;
    const double *trend;    /* [n_run] taken out of every task together with the groups (wr_permutation_tasks only);
                               NULL: none */
};
struct wr_permutation_options wr_permutation_default(void); /* 200 000; 20 000; 1; NULL */

struct wr_permutation {
    bool exact;              /* all groupings visited */
    double n_grouping;       /* visited, the observed one included */
    double n_two_sided, n_greater, n_less;          /* at least as extreme, the observed one included */
    double p_two_sided, p_greater, p_less;
    double smallest_p;       /* of a two-sided test with these numbers of runs, however large the difference */
};

/* value[n_run]: whole runs change groups; two-sided by the absolute difference of means (within strata). Values that
 * differ by rounding alone count as ties. WR_E_TOO_FEW if no stratum holds both groups. */
WR_MUST_CHECK enum wr_status wr_permutation_test(const double *value, const struct wr_grouping *grouping,
                                                 const struct wr_permutation_options *options,
                                                 struct wr_permutation *out, struct wr_error *err);

struct wr_task_comparison {
    size_t n_cell[2];        /* runs of each group in which the task is present */
    struct wr_maybe difference, t;           /* within strata; unknown if it cannot be compared */
    struct wr_maybe raw_p, holm_p, max_t_p;  /* two-sided */
};
/* Every task of y[task * n_run + run] (present as above) on the same groupings of whole runs, pooled two-sample t per
 * task. max_t_p keeps the chance of any false name among the tasks; holm_p does too, but cannot fall below tasks x
 * smallest p. A task can be compared if it leaves a degree of freedom and varies; the others stay unknown and do not
 * count. about->smallest_p and n_grouping describe the groupings; its counts are those of the largest |t| over tasks.
 * With options->trend, t is that of the group in a regression on both, and groupings move while the trend stays (Draper
 * and Stoneman 1966, Technometrics 8, 695-699, from memory): t has one law whatever the grouping and the slope.
 * WR_E_TOO_FEW if no stratum holds both groups or no task can be compared. */
WR_MUST_CHECK enum wr_status wr_permutation_tasks(const double *y, const unsigned char *present, size_t n_task,
                                                  const struct wr_grouping *grouping,
                                                  const struct wr_permutation_options *options,
                                                  struct wr_task_comparison *task, struct wr_permutation *about,
                                                  struct wr_error *err);

/* Holm's step-down adjustment of n p-values, in place. */
void wr_holm_adjust(double *p, size_t n);
