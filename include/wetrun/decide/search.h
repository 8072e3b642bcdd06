/* The planner's move: of the changes that a planner allows (campaign/moves.h), the few that lower the risk of the first
 * limit most for the least change.
 * How. Every allowed change alone, then the best with one more, then with a third, each on the same simulated days as
 * the timeline as it is (a beam search: WR_SEARCH_BEAM arrangements are carried on, each with the WR_SEARCH_PARTNERS
 * best changes). A combination counts only if leaving any one of its changes out loses more than two paired standard
 * errors: more change than is needed is no gain. The best of many noisy gains is too good by selection (the winner's
 * curse): so the few that are shown are run again, by wr_whatif_run, on fresh days, and the gains shown are those. What
 * the search itself saw is kept beside them. A beam may miss a combination whose parts are worth nothing alone. */
#pragma once

#include "wetrun/campaign/moves.h"
#include "wetrun/decide/whatif.h"

enum { WR_SEARCH_MOST_CHANGES = 3, WR_SEARCH_SHOWN = 5, WR_SEARCH_BEAM = 8, WR_SEARCH_PARTNERS = 60 };

struct wr_search_options {
    size_t n_trial;             /* of each of the two looks; 0: 8192 to search, 16 000 to show */
    uint64_t seed;
    unsigned n_thread;
    size_t most_changes;        /* 1 … WR_SEARCH_MOST_CHANGES; 0: 2 */
    void (*progress)(void *arg, double share_done); /* NULL: none */
    void *progress_arg;
};

struct wr_search_row {
    size_t n_move, move[WR_SEARCH_MOST_CHANGES]; /* indices into the moves that were allowed, ascending */
    double gain_in_search;      /* overrun probability (without a limit: minutes of the finish) as the search saw it */
    double left_out_min;        /* mean minutes of the work that is left out or shortened away */
};

struct wr_search { /* start as {0} */
    size_t n_allowed;           /* changes that the planner allows */
    size_t n_looked_at;         /* arrangements that were walked */
    size_t n_impossible;        /* that cannot be worked: tasks would wait for one another in a circle */
    size_t n_row;               /* 0: no change lowers the risk by more than two standard errors */
    struct wr_search_row *row;  /* [n_row] in the order in which whatif was asked */
    const char **name;          /* [n_row] in words: "exchange A and B, drop C" */
    struct wr_whatif whatif;    /* the rows on fresh days; in the order of the search: the best of
                                   several fresh gains would be too good again */
    struct wr_arena text;
};

/* base is the timeline as it is: all members but name, net, durations and limit are to be NULL. */
WR_MUST_CHECK enum wr_status wr_search_run(struct wr_search *search, const struct wr_plan *plan,
                                           const struct wr_variant *base, const struct wr_moves *moves,
                                           const struct wr_search_options *options, struct wr_error *err);
void wr_search_release(struct wr_search *search);
