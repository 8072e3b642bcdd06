#include "wetrun/present/caution.h"

#include "wetrun/present/prose.h"

/* Decision support comes first in every form; the rest depends on what the answer is about. */
static const char decision_support[] =
    "Decision support only: flight rules, pool and diving safety limits, suit consumables, medical limits and licensed "
    "practice come first, and the people responsible for the crew decide.";

const char wr_caution_line[] = "Decision support only: flight rules, safety limits and licensed practice come first, "
                               "and the people responsible for the crew decide.";

static const char face_value[] = "Pool time was taken at face value; first performances in flight have been found "
                                 "substantially longer than the last "
                                 "one before flight.";

static const char pool_pace[] =
    "This is about another rehearsal in the pool; the excursion itself may go differently.";

static const char pool_pace_alone[] =
    "This is about another rehearsal in the pool, and uses no history of earlier excursions: --for excursion answers "
    "for the excursion itself.";

static const char carried_over[] =
    "Pool times were scaled by how earlier excursions went, which need not hold for this one.";

static const char left_out[] =
    "Work that is dropped or left out is taken out of the times alone: what state that leaves the hardware in, and who "
    "then relies on it, is not in these numbers.";

static const char *on_the_target(const struct wr_present_context *ctx)
{
    if (!ctx->has_target) return NULL;
    if (ctx->target != WR_FOR_EXCURSION)
        return ctx->history_unused ? pool_pace_alone : pool_pace;
    return ctx->has_carry_over ? carried_over : face_value;
}

void wr_caution_short(const struct wr_present_context *ctx, struct wr_str *out)
{
    wr_str_add(out, decision_support);
    if (on_the_target(ctx)) wr_str_addf(out, " %s", on_the_target(ctx));
    wr_str_add(out,
               " The logs cannot show what never happened in a rehearsal: failures, stops outside the plan, changes "
               "of hardware or crew.");
    if (ctx->leaves_out) wr_str_addf(out, " %s", left_out);
}

void wr_caution_terminal(const struct wr_present_context *ctx, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    wr_str_add(&text, "Caution. ");
    wr_caution_short(ctx, &text);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

const char *wr_caution_paragraph(const struct wr_present_context *ctx, size_t i)
{
    static const char *const always[] = {
        decision_support,
        "The logs cannot show what never happened in a rehearsal: failed hardware, a stop ordered from outside, a "
        "change of "
        "crew or tools, an ill crew member. None of that is in these probabilities.",
        "Pool and real times differ kind by kind: water drags, and holds things where they are left; divers, mock-up "
        "resets "
        "and suit adjustments take time in the pool that the excursion would not have, and are logged as holds.",
        "In flight the first performance of most work took substantially longer than the last one before flight, and "
        "was "
        "nearly as efficient again by the end of the second: the gap is of the nature of a factor, not of a constant. "
        "Source: J. F. Kubis and E. J. McLaughlin, Skylab task and work performance (Experiment M-151, time and motion "
        "study), 1975.",
        "Skills not practised for weeks degrade and come back quickly with retraining, so the date of the last "
        "rehearsal "
        "matters. Source: T. E. Sitterley and W. A. Berge, Degradation of learned skills, 1972, NASA CR-128612.",
    };
    enum { N_ALWAYS = sizeof always / sizeof *always };

    if (i < N_ALWAYS) return always[i];
    const char *of_this[] = {on_the_target(ctx), ctx->leaves_out ? left_out : NULL};
    if (!of_this[0]) of_this[0] = of_this[1], of_this[1] = NULL;
    return i < N_ALWAYS + 2 ? of_this[i - N_ALWAYS] : NULL;
}
