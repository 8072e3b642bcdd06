/* `cutoff`: the latest moment to begin each task and still stay inside a limit with the wanted confidence; with --now
 * the forecast given what has happened so far. */
#pragma once

#include "wetrun/campaign/plan.h"
#include "wetrun/decide/binding_cutoff.h"
#include "wetrun/decide/cutoff.h"
#include "wetrun/decide/update.h"
#include "wetrun/present/context.h"
#include "wetrun/present/grid.h"

/* What the first limit of a card is: the campaign's; another one in its place; one so early that nothing was worked out
 * for it, and its list is that of another. */
enum wr_first_limit { WR_FIRST_GIVEN, WR_FIRST_TRIED, WR_FIRST_UNKNOWN };

struct wr_cutoff_result { /* borrowed */
    const struct wr_plan *plan;
    const char *const *limit_name;     /* [card->n_limit] as in limits.csv */
    const struct wr_cutoff_card *card; /* with an update: that of the update */
    const struct wr_probability *over; /* [card->n_limit] before the day, with what the rehearsals leave open */
    const struct wr_second *second;    /* [card->n_limit] the worse answer where there is one, of the day with an
                                          update; NULL: there is none */
    const struct wr_update *update;    /* NULL: nothing has happened yet */
    struct wr_maybe start_min;         /* after midnight, when the excursion begins: tables show times of day; 0:
                                          elapsed */
    bool imposed;                      /* starts were imposed: a hold from outside, which tells nothing about the day */
    const struct wr_limits *limits;    /* of which the limits of the card are those with a wanted confidence */
    const struct wr_drop_price *price; size_t n_price; /* what the drop rules buy; NULL, 0: not computed, or none */
    enum wr_first_limit first;                         /* but for given ones: the prices are not of it */
};

/* Whether it is shown to help this limit of the card that the task is left out sooner than the plan drops it: where it
 * does not hold the limit up, a late start of it only says that the day is slow. Before the day by the price of the
 * rule; during the day by what leaving it out now does to the same days. */
bool wr_leaving_out_helps(const struct wr_cutoff_result *result, size_t task, size_t limit);

/* Table: one card per limit. CSV: all rows of all limits. JSON: `tasks` is the first limit's, `limits` holds all, `now`
 * what was reported and what follows, or null. */
WR_MUST_CHECK enum wr_status wr_show_cutoff(enum wr_format format, const struct wr_present_context *ctx,
                                            const struct wr_cutoff_result *result, struct wr_str *out,
                                            struct wr_error *err);

/* The same without the tasks that do not bear on the limit. */
void wr_grid_of_bearing_cutoffs(const struct wr_cutoff_result *result, size_t limit, struct wr_grid *grid);
/* From the usual start to the latest, of the two times as they are shown: what is read adds up. */
double wr_shown_slack_min(const struct wr_cutoff_row *row);
/* What "begin by" means here, and where to find the time for a delay from outside. */
const char *wr_cutoff_meaning(bool imposed);
/* What stands behind a row beyond its numbers, as words; "" if nothing does. */
void wr_cutoff_note(const struct wr_cutoff_row *row, struct wr_str *out);
/* Adds what speaks against reading the time to the minute: hardly a day begins later, or with a large error of its
 * own. False, and nothing added, where nothing does. */
bool wr_cutoff_trust_words(const struct wr_cutoff_row *row, struct wr_str *out);
/* The card for the console: the lines of one clock, or of elapsed time (clock SIZE_MAX). */
void wr_grid_of_card(const struct wr_cutoff_result *result, const struct wr_card_lines *lines, size_t clock,
                     struct wr_grid *grid);
/* A line of a clock whose task a limit on elapsed time asks for sooner, if the clock begins as usual, or which never is
 * early enough for one: own, then, as the card has it. False of a line on elapsed time. */
bool wr_is_sooner_elapsed(const struct wr_cutoff_result *result, const struct wr_card_line *line,
                          struct wr_binding_cutoff *own);
/* "excursion, 6:30, wanted inside in 90 of 100": no time to begin by is shown without what it is a time for. */
void wr_cutoff_limit_words(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out);
/* The same as a sentence, with how many go over it by the first answer, or why that is not said. */
void wr_cutoff_limit_line(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out);
/* The limits of a card's times in words: of one clock, or of elapsed time (clock SIZE_MAX). */
void wr_card_limits_words(const struct wr_cutoff_result *result, size_t clock, struct wr_str *out);
/* What a start exactly at its time is worth, by limit; nothing where no task has a time. */
void wr_card_exactly(const struct wr_cutoff_result *result, struct wr_str *out);
/* Which clock the times of a limit are read on; nothing for elapsed time. */
void wr_clock_sentence(const struct wr_cutoff_result *result, size_t limit, struct wr_str *out);
/* What stands in place of a time to begin by: "too late", "no matter", "begun", "cannot tell"; "" where there is
 * one. */
const char *wr_binding_words(enum wr_binding what);
/* In place of a limit's name, where the plan's drop time comes before any limit asks. */
extern const char wr_set_by_plan[];
/* Beside a time to begin by that lies where hardly any simulated day begins the task. */
extern const char wr_beyond_range[];
/* What the rehearsals, and with an update the day, say of every limit: times to begin by are never shown without it. */
void wr_cutoff_verdicts(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                        struct wr_str *out);
/* Says first which limits no start can keep with the wanted confidence, and what that takes; "" if all can be kept. */
void wr_cutoff_out_of_reach(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                            struct wr_str *out);
/* The same of one limit, where it is the likelier of two and no more: the verdict is that it cannot be told. */
void wr_cutoff_likelier_not_kept(const struct wr_present_context *ctx, const struct wr_cutoff_result *result,
                                 size_t limit, struct wr_str *out);
