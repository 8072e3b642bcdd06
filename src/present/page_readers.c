/* Behind the first screen: a section for who trains the crew, who plans the timeline, who reviews readiness, and the
 * tables that say in numbers what the charts show. */
#include <stdint.h>
#include <string.h>
#include "forecast_parts.h"
#include "page_parts.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/quantities.h"
#include "wetrun/present/words.h"

static void open_section(struct wr_str *out, const char *id, const char *head, const char *lead)
{
    wr_str_addf(
        out,
        "<section class=\"reader\" id=\"%s\" aria-labelledby=\"h-%s\"><div class=\"in\">\n<h2 id=\"h-%s\">%s</h2>\n"
        "<p class=\"lead\">%s</p>\n<div class=\"sheet\">\n",
        id, id, id, head, lead);
}

/* What speaks against the numbers of a sheet's tasks: where these stand in its table, a code says too little. */
enum sheet { OF_TASKS, OF_DAYS };

/* A sheet that is printed alone must not be without it, nor without what speaks against its numbers. */
static void add_caution_alone(struct wr_str *out, const struct wr_page *page, enum sheet what)
{
    WR_SCOPED_STR caution = {0}, found = {0};

    if (page->context->doubt) page_sentence(out, "<p class=\"alone\"><b>", page->context->doubt, "</b></p>\n");
    page_modelled(out, page->context, "<p class=\"alone\"><b>", "</b></p>\n");
    wr_context_found_words(page->context, &found);
    if (what == OF_TASKS) wr_context_add_finding(page->context, "task-lengthens", &found);
    if (what == OF_TASKS) wr_context_add_finding(page->context, "lengthening-decides", &found);
    if (what == OF_TASKS) wr_context_add_finding(page->context, "tasks-stuck", &found);
    if (what == OF_TASKS) wr_context_add_finding(page->context, "stuck-decides", &found);
    if (found.len > 0) page_sentence(out, "<p class=\"alone\">", wr_str_text(&found), "</p>\n");
    wr_caution_short(page->context, &caution);
    page_element(out, "<p class=\"caution alone\"><b>Caution.</b> ", wr_str_text(&caution), "</p>\n");
}

/* Above numbers that may be taken for those of the excursion. */
static void add_not_excursion(struct wr_str *out, const struct wr_page *page)
{
    if (page->context->has_target && page->context->excursion_words)
        page_sentence(out, "<p>", page->context->excursion_words, "</p>\n");
}

/* Above numbers that rest on one of two answers: its sheet is read, and printed, by itself. */
static void add_second(struct wr_str *out, const struct wr_page *page, const char *start)
{
    add_not_excursion(out, page);
    if (page->context->has_target && page->context->second_words)
        page_sentence(out, start, page->context->second_words, "</p>\n");
}

/* Below numbers of the rehearsals: what is found of a limit speaks against them only where a chart among them has
 * it. */
static void add_caution_of_runs(struct wr_str *out, const struct wr_page *page)
{
    struct wr_present_context context = *page->context;
    struct wr_page sheet = *page;
    bool shown = false;

    for (size_t i = 0; i < page->n_figure; i++) {
        const struct wr_page_figure *f = &page->figure[i];
        shown |= f->shows_limit && (f->place == WR_AT_RUNS || f->place == WR_AT_TRENDS);
    }
    if (!shown) wr_context_leave_out_limits(&context);
    sheet.context = &context;
    add_caution_alone(out, &sheet, OF_DAYS);
}

/* What follows is not on the section's one-page sheet. */
static void end_sheet_cautioned(struct wr_str *out)
{
    wr_str_add(out, "</div><div class=\"more\">\n");
}

static void end_sheet(struct wr_str *out, const struct wr_page *page, enum sheet what)
{
    add_caution_alone(out, page, what);
    end_sheet_cautioned(out);
}

static void close_section(struct wr_str *out)
{
    wr_str_add(out, "</div>\n</div></section>\n");
}

/* In the place of what could not be computed: what to give to get it. */
static void add_absent(struct wr_str *out, const char *what, const char *give)
{
    wr_str_addf(out, "<p class=\"absent\"><b>%s</b> ", what);
    page_sentence(out, "", give, "</p>\n");
}

static void add_paragraph(struct wr_str *out, struct wr_str *text)
{
    if (text->len > 0) page_sentence(out, "<p>", wr_str_text(text), "</p>\n");
    wr_str_clear(text);
}

static void add_people(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    if (!page->fit) return;
    wr_run_effect_sentence(page->fit->summary, &text);
    add_paragraph(out, &text);
    if (page->fit->earlier.earlier) wr_earlier_sentence(&page->fit->earlier, page->forecast->forecast, &text);
    add_paragraph(out, &text);
    wr_grid_of_people(page->fit, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-people", "People (no ranking is meant)", WR_HTML_PLAIN},
               status, err);
}

static void add_trends(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR text = {0};

    wr_trend_sentence(page->compare->comparison, &text);
    add_paragraph(out, &text);
    if (page->fit) wr_learning_sentence(page->fit->summary, &text);
    add_paragraph(out, &text);
    wr_spread_sentence(page->compare->comparison, &text);
    add_paragraph(out, &text);
    wr_task_trends_sentence(page->compare, &text);
    add_paragraph(out, &text);
    for (size_t g = 0; g < page->compare->comparison->n_group; g++) {
        wr_group_sentence(&page->compare->comparison->group[g], &text);
        add_paragraph(out, &text);
    }
}

static void add_training(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    open_section(out, "train", "If you train the crew",
                 "How the rehearsals went, and which tasks still differ from run to run.");
    if (!page->check || !page->check->log || page->check->log->n_run == 0) {
        add_absent(out, "No rehearsals yet.",
                   "`wetrun logsheet` prints a log to fill in; saved as runs.csv, it brings this section.");
        end_sheet(out, page, OF_DAYS);
        close_section(out);
        return;
    }
    page_figures(out, page, WR_AT_RUNS, 3);
    if (page->compare) {
        add_trends(out, page);
        wr_grid_of_compared_runs(page->compare, &grid);
    } else {
        wr_grid_of_runs(page->check, &grid);
    }
    page_table(out, page, &grid, &(struct wr_html_table){"t-runs", "Rehearsals", WR_HTML_SORTABLE}, status, err);
    page_figures(out, page, WR_AT_TRENDS, 3);
    add_caution_of_runs(out, page);
    end_sheet_cautioned(out);
    page_figures(out, page, WR_AT_TASKS, 3);
    if (page->compare) {
        wr_grid_of_standing_out(page->compare, &grid);
        page_table(out, page, &grid,
                   &(struct wr_html_table){"t-stood-out", "What stood out; some of it by chance", WR_HTML_SORTABLE},
                   status, err);
        WR_SCOPED_STR waits = {0};
        wr_old_waits_words(page->compare->timing, &waits);
        add_paragraph(out, &waits);
    }
    add_people(out, page, status, err);
    close_section(out);
}

static bool has_limit(const struct wr_page *page)
{
    return page->forecast->forecast->n_limit > 0;
}

static bool has_confidence(const struct wr_page *page)
{
    return page->context->confidence.known;
}

static const char give_limit[] = "Add limits.csv, or --limit 6:30.";
static const char give_confidence[] = "Add a confidence to limits.csv, or --confidence 0.9.";

static void add_pad_plan(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    if (!page->pad) {
        add_absent(out, "No pads.",
                   has_confidence(page) ? "They need a wanted confidence above 0.5." : give_confidence);
        return;
    }
    wr_pad_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_pad_clocks_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_pad_not_in_it_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_pad_middles_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_checkpoints_late_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_str_add(&text, wr_checkpoints_are_for_planning);
    add_paragraph(out, &text);
    wr_checkpoints_kept_sentence(page->pad, &text);
    add_paragraph(out, &text);
    wr_grid_of_checkpoints(page->pad, &grid);
    wr_str_clear(&text);
    wr_str_add(&text, "Checkpoints");
    if (page->cutoff && wr_has_binding_cutoffs(page->cutoff->card)) {
        wr_str_addf(&text, "; begin by%s: for ",
                    page->cutoff->imposed ? ", for a delay from outside alone" : "");
        wr_card_limits_words(page->cutoff, SIZE_MAX, &text);
    }
    page_table(out, page, &grid, &(struct wr_html_table){"t-checkpoints", wr_str_text(&text), WR_HTML_PLAIN}, status,
               err);
}

static void add_pads(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    page_figures(out, page, WR_AT_PADS, 3);
    if (!page->pad) return;
    wr_grid_of_pads(page->pad, &grid);
    grid.chart = page_has_figure(page, "pad") ? "fig-pad" : NULL;
    page_table(out, page, &grid, &(struct wr_html_table){"t-pads", "Pads", WR_HTML_SORTABLE}, status, err);
}

static void add_limits(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    if (!has_limit(page)) {
        add_absent(out, "No limit was given,",
                   "so this page says nothing about going over one, has no cut-offs and no criteria.");
        add_absent(out, "To get them:", give_limit);
        return;
    }
    wr_grid_of_limits(page->context, page->forecast, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-limits", "Limits", WR_HTML_PLAIN}, status, err);
    wr_grid_of_drop_rules(page->forecast, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-drop", "What the drop rules buy", WR_HTML_PLAIN}, status,
               err);
    wr_grid_of_carry_over(page->forecast, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-carry", "How pool times carry over", WR_HTML_PLAIN}, status,
               err);
    WR_SCOPED_STR as_it_stands = {0};
    wr_context_add_finding(page->context, "not-carried-over", &as_it_stands);
    if (as_it_stands.len > 0) page_sentence(out, "<p>", wr_str_text(&as_it_stands), "</p>\n");
}

static void add_series(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR what = {0}, gain = {0};
    struct wr_grid grid;

    if (!page->series) return;
    page_figures(out, page, WR_AT_SERIES, 3);
    wr_series_sentence(page->series, &what);
    add_paragraph(out, &what);
    wr_str_clear(&what);
    wr_series_second_sentence(page->series, &what);
    if (what.len) add_paragraph(out, &what);
    wr_str_clear(&what);
    wr_series_other_limits_sentence(page->series, &what);
    if (what.len) add_paragraph(out, &what);
    wr_str_clear(&what);
    wr_series_people_sentence(page->series, &what);
    if (what.len) add_paragraph(out, &what);
    wr_str_clear(&what);
    wr_grid_of_series(page->series, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-series", "The excursions in a row", WR_HTML_PLAIN}, status,
               err);
    wr_grid_of_carried_work(page->series, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-carried", "Work that may be carried on", WR_HTML_PLAIN},
               status, err);
    for (size_t i = 0; wr_series_advice(page->series, i, &what, &gain); i++) {
        wr_str_addf(&what, ": %s", wr_str_text(&gain));
        add_paragraph(out, &what);
        wr_str_clear(&what);
        wr_str_clear(&gain);
    }
}

static void add_planning(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    open_section(
        out, "plan", "If you plan the timeline",
        "Where the time goes, what makes the end uncertain, where padding is missing, and what a limit would bring.");
    add_second(out, page, "<p>");
    page_figures(out, page, WR_AT_UNCERTAINTY, 3);
    add_pad_plan(out, page, status, err);
    add_limits(out, page, status, err);
    wr_grid_of_lanes(page->forecast, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-lanes", "Lanes", WR_HTML_PLAIN}, status, err);
    end_sheet(out, page, OF_TASKS);
    page_figures(out, page, WR_AT_LIMIT, 3);
    page_figures(out, page, WR_AT_COURSE, 3);
    add_pads(out, page, status, err);
    add_series(out, page, status, err);
    close_section(out);
}

/* ---- the card for the console ---- */

static void add_clock_card(struct wr_str *out, const struct wr_page *page, const struct wr_card_lines *lines,
                           size_t clock, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR id = {0}, caption = {0}, text = {0}, verdict = {0};
    struct wr_grid grid;

    wr_str_addf(&id, "t-clock-%zu", clock + 1);
    wr_str_add(&caption, "Clock: ");
    wr_card_limits_words(page->cutoff, clock, &caption);
    wr_clock_sentence(page->cutoff, clock, &text);
    wr_str_add(out, "<div class=\"clock\">\n"); /* on one sheet: its times mean nothing without the sentence */
    wr_cutoff_limit_line(page->cutoff, clock, &verdict); /* which may be another than the card's */
    page_element(out, "<p class=\"alone of\"><b>If you sit at the console:</b> ", wr_str_text(&verdict), "</p>\n");
    add_paragraph(out, &text);
    wr_grid_of_card(page->cutoff, lines, clock, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){id.text, caption.text, WR_HTML_PLAIN}, status, err);
    wr_str_add(out, "</div>\n");
}

/* Every limit with its notes, for who wants more than the card. */
static void add_cutoffs(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    wr_str_add(out, "<details class=\"all\"><summary>The cut-offs of each limit, with notes</summary>\n");
    for (size_t i = 0; i < page->cutoff->card->n_limit; i++) {
        WR_SCOPED_STR id = {0}, caption = {0}, text = {0};
        wr_str_addf(&id, "t-cutoff-%zu", i + 1);
        wr_str_add(&caption, "Begin by, for the limit ");
        wr_cutoff_limit_words(page->cutoff, i, &caption);
        wr_clock_sentence(page->cutoff, i, &text);
        add_paragraph(out, &text);
        wr_grid_of_bearing_cutoffs(page->cutoff, i, &grid);
        page_table(out, page, &grid, &(struct wr_html_table){id.text, caption.text, WR_HTML_SORTABLE}, status, err);
    }
    wr_str_add(out, "</details>\n");
}

static bool has_clock_limit(const struct wr_page *page)
{
    const struct wr_limits *limits = page->forecast->limits;

    for (size_t l = 0; l < page->forecast->forecast->n_limit; l++)
        if (limits->limit[l].is_clock) return true;
    return false;
}

/* The sheet may be torn off: how sure is wanted of which limit, and how it stands. The first may be tried. */
static void add_card_limits(struct wr_str *out, const struct wr_page *page)
{
    wr_str_add(out, "<ul class=\"plain\">\n");
    for (size_t l = 0; l < page->cutoff->card->n_limit; l++) {
        WR_SCOPED_STR line = {0};
        wr_cutoff_limit_line(page->cutoff, l, &line);
        page_element(out, l == 0 ? "<li id=\"card-limit\">" : "<li>", wr_str_text(&line), "</li>\n");
    }
    wr_str_add(out, "</ul>\n");
}

void page_card_caption(struct wr_str *out, const struct wr_cutoff_result *cutoff)
{
    wr_str_add(out, "Begin by, elapsed time: for ");
    wr_card_limits_words(cutoff, SIZE_MAX, out);
}

static void add_console(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    open_section(out, "console", "If you sit at the console",
                 has_clock_limit(page)
                     ? "By when each task must have begun, in elapsed time since the beginning, h:mm. A limit that "
                       "runs from another moment is read on a clock of its own."
                     : "By when each task must have begun, in elapsed time since the beginning, h:mm.");
    if (!page->cutoff) {
        add_absent(out, "No cut-offs.", has_limit(page) ? give_confidence : give_limit);
        end_sheet(out, page, OF_DAYS);
        close_section(out);
        return;
    }
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines lines = wr_card_lines(page->cutoff->card);
    WR_SCOPED_STR beyond = {0}; /* before any time to act on: the sheet may be printed alone */
    add_caution_alone(out, page, OF_TASKS);
    add_second(out, page, "<p id=\"card-second\">");
    wr_cutoff_verdicts(page->context, page->cutoff, &beyond);
    page_sentence(out, "<p id=\"card-verdicts\">", wr_str_text(&beyond), "</p>\n");
    wr_str_clear(&beyond);
    wr_cutoff_out_of_reach(page->context, page->cutoff, &beyond); /* hidden: there for another limit tried */
    page_sentence(out, beyond.len > 0 ? "<p id=\"card-reach\">" : "<p id=\"card-reach\" hidden>", wr_str_text(&beyond),
                  "</p>\n");
    add_card_limits(out, page);
    page_figures(out, page, WR_AT_CARD, 3);
    page_sentence(out, "<p>", wr_cutoff_meaning(page->cutoff->imposed), "</p>\n");
    wr_str_clear(&beyond);
    wr_card_exactly(page->cutoff, &beyond);
    page_sentence(out, beyond.len > 0 ? "<p id=\"card-exactly\">" : "<p id=\"card-exactly\" hidden>",
                  wr_str_text(&beyond), "</p>\n");
    wr_str_add(out, "<p id=\"card-note\" class=\"tried\" hidden></p>\n");
    wr_grid_of_card(page->cutoff, &lines, SIZE_MAX, &grid);
    grid.chart = page_has_figure(page, "cutoff") ? "fig-cutoff" : NULL;
    WR_SCOPED_STR caption = {0};
    page_card_caption(&caption, page->cutoff);
    page_table(out, page, &grid, &(struct wr_html_table){"t-card", caption.text, WR_HTML_SORTABLE}, status, err);
    for (size_t i = 0; i < page->cutoff->card->n_limit; i++)
        if (page->cutoff->card->list[i].limit.limit.is_clock) add_clock_card(out, page, &lines, i, status, err);
    end_sheet_cautioned(out);
    add_cutoffs(out, page, status, err);
    close_section(out);
}

static const char *how_learnt(const struct wr_present_context *ctx)
{
    return ctx->no_learning ? "Learning was left out, so that none is credited"
           : !ctx->holds_learning ? "Learning is credited to all tasks alike, from each rehearsal to the run that is "
                                    "forecast, the one after the last"
           : ctx->target == WR_FOR_EXCURSION ? "Learning is held at the last rehearsal"
                                             : "Learning is held at the last rehearsal, since the gap after it is "
                                               "longer than any between two";
}

static void add_assumptions(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    WR_SCOPED_STR lengthens = {0}, by = {0};

    wr_str_add(
        out, "<h3 class=\"gap\">What the forecast assumes</h3>\n<ul class=\"plain\">\n"
             "<li>A day can be slow or fast for all tasks at once; beyond that, tasks vary independently of each "
             "other.</li>\n"
             "<li>A task's time runs from the moment it could have begun; holds that the real excursion would not have "
             "are taken out.</li>\n"
             "<li>A step that was stopped counts as “at least this long”; a skipped one says nothing about its "
             "time.</li>\n");
    if (ctx->n_run == 0)
        wr_str_add(out, "<li>Nothing was rehearsed: tasks rest on judgement, which has no record here, and how far "
                        "days differ rests on "
                        "what is usual elsewhere.</li>\n");
    else
        wr_str_addf(out, "<li>%s", how_learnt(ctx));
    if (ctx->n_run > 0 && ctx->target == WR_FOR_EXCURSION)
        wr_str_add(out, ctx->has_carry_over ? "; pool times are scaled by the history of earlier excursions"
                                            : "; pool times are taken at face value");
    if (ctx->n_run > 0) wr_str_add_char(out, '.');
    if (ctx->n_run > 0) {
        if (ctx->target == WR_FOR_EXCURSION) wr_context_add_finding(ctx, "not-carried-over", &lengthens);
        wr_context_add_finding(ctx, "task-lengthens", &lengthens);
        wr_context_add_finding(ctx, "lengthening-decides", &lengthens);
        page_element(out, "", wr_str_text(&lengthens), "</li>\n");
    }
    wr_context_line_up_words(ctx, &by);
    if (by.len > 0) page_element(out, "<li>The days forecast are ", wr_str_text(&by), ".</li>\n");
    wr_str_add(out, "<li>Intervals are 90 % and say what ");
    wr_rests_on_words(wr_context_rests_on(ctx), "leave", out);
    wr_str_add(out, " open about a number. With fewer than six rehearsals they are wide, and themselves less "
                    "sure.</li>\n</ul>\n");
}

static void add_cautions(struct wr_str *out, const struct wr_page *page)
{
    const char *text;

    wr_str_add(out,
               "<h3 class=\"gap\">What comes first, and what these numbers cannot show</h3>\n<ul class=\"plain\">\n");
    for (size_t i = 0; (text = wr_caution_paragraph(page->context, i)) != NULL; i++)
        page_element(out, "<li>", text, "</li>\n");
    wr_str_add(out, "</ul>\n");
}

static void add_record(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    page_figures(out, page, WR_AT_RECORD, 3);
    if (!page->backtest)
        add_absent(out, "No record of forecasts.", "It takes three rehearsals: each is then forecast from the others.");
    if (page->backtest) {
        wr_backtest_sentence(page->backtest->backtest, page->backtest->complete_by, &text);
        add_paragraph(out, &text);
        wr_record_reach(page->context->target, &text);
        add_paragraph(out, &text);
        wr_grid_of_backtest(page->backtest, &page->backtest->backtest->leave_one_out, &grid);
        page_table(out, page, &grid,
                   &(struct wr_html_table){"t-backtest", "Each rehearsal, forecast from the others", WR_HTML_SORTABLE},
                   status, err);
    }
    if (page->fit) {
        wr_total_sentence(page->fit, &text);
        add_paragraph(out, &text);
        wr_chains_sentence(page->fit->posterior, &text);
        add_paragraph(out, &text);
    }
}

static void add_needed_of_limit(struct wr_str *out, const struct wr_page *page, size_t l, enum wr_status *status,
                                struct wr_error *err)
{
    WR_SCOPED_STR id = {0}, text = {0};
    struct wr_grid grid;

    wr_str_add(&id, "t-further");
    if (l > 0) {
        wr_str_addf(&id, "-%zu", l + 1);
        wr_needed_limit_sentence(page->runs_needed, l, &text);
        add_paragraph(out, &text);
    }
    wr_needed_caption(page->runs_needed, l, &text);
    wr_grid_of_runs_needed(page->runs_needed, l, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){wr_str_text(&id), wr_str_text(&text), WR_HTML_PLAIN}, status,
               err);
}

/* What stands on the sheet is the first limit's; the others come behind it. */
static void add_needed_of_others(struct wr_str *out, const struct wr_page *page, enum wr_status *status,
                                 struct wr_error *err)
{
    for (size_t l = 1; page->runs_needed && l < wr_n_needed_limit(page->runs_needed); l++)
        add_needed_of_limit(out, page, l, status, err);
}

static void add_runs_needed(struct wr_str *out, const struct wr_page *page, enum wr_status *status,
                            struct wr_error *err)
{
    const struct wr_runs_needed_result *needed = page->runs_needed;
    WR_SCOPED_STR text = {0};

    wr_str_add(out, "<h3 class=\"gap\">What further rehearsals would add</h3>\n");
    if (!needed) {
        add_absent(out, "Not worked out.", !has_limit(page) ? give_limit : !has_confidence(page) ? give_confidence
                                           : "It takes rehearsals, and the model that pools all tasks.");
        return;
    }
    wr_runs_needed_sentence(needed, &text);
    add_paragraph(out, &text);
    if (wr_n_needed_limit(needed) > 0) add_needed_of_limit(out, page, 0, status, err);
}

static void add_sessions(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    const struct wr_runs_needed_result *needed = page->runs_needed;
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    if (!needed || wr_n_session(needed) == 0) return;
    wr_session_sentence(needed, &text);
    add_paragraph(out, &text);
    wr_grid_of_sessions(needed, WR_SESSIONS_SHOWN, &grid);
    wr_str_clear(&text);
    wr_str_add(&text, "Sessions on one task");
    if (wr_n_session(needed) > WR_SESSIONS_SHOWN)
        wr_str_addf(&text, ": the %s that would remove most, of %s tasks", wr_count_words(WR_SESSIONS_SHOWN, WR_ROOM),
                    wr_count_words(wr_n_session(needed), WR_ROOM));
    page_table(out, page, &grid, &(struct wr_html_table){"t-sessions", wr_str_text(&text), WR_HTML_SORTABLE}, status,
               err);
}

static void add_findings(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;
    WR_SCOPED_STR counts = {0};

    if (!page->check) return;
    if (page->check->log) {
        wr_str_addf(out, "<p class=\"gap\">%zu rows of the log were read: ", page->check->log->rows_read);
        wr_add_rows_kept(page->check->log, out);
        wr_str_add(out, ".</p>\n");
    }
    wr_findings_sentence(page->context, page->check->findings, &counts);
    page_element(out, "<p id=\"findings\">Findings: ", wr_str_text(&counts), "</p>\n");
    wr_grid_of_findings(page->check->findings, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-findings", "What is odd about the files", WR_HTML_SORTABLE},
               status, err);
}

static void add_review(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    open_section(out, "review", "If you review readiness",
                 "What the evidence shows, and how far the forecast has earned trust.");
    add_not_excursion(out, page);
    page_against(out, page, status, err);
    if (page->ready) {
        wr_grid_of_ready(page->ready, &grid);
        page_table(out, page, &grid, &(struct wr_html_table){"t-criteria", "Criteria", WR_HTML_PLAIN}, status, err);
    } else {
        add_absent(out, "No criteria.", has_limit(page) ? give_confidence : give_limit);
    }
    add_record(out, page, status, err);
    add_runs_needed(out, page, status, err);
    end_sheet(out, page, OF_DAYS);
    add_needed_of_others(out, page, status, err);
    add_sessions(out, page, status, err);
    add_findings(out, page, status, err);
    wr_str_add(out, "<div class=\"pair\">\n");
    add_assumptions(out, page);
    add_cautions(out, page);
    wr_str_add(out, "</div>\n");
    close_section(out);
}

/* A caption without the limits that it names. */
static size_t short_caption(const char *caption, const char *end)
{
    static const char *const details[] = {": ", ", for the limit "};

    for (size_t i = 0; i < sizeof details / sizeof *details; i++) {
        const char *from = strstr(caption, details[i]);
        if (from && from < end) end = from;
    }
    return (size_t)(end - caption);
}

/* The captions of the tables on the page that say so, each once; nothing where none does. */
static void find_tables(const char *page, const char *means, struct wr_str *captions)
{
    static const char opens[] = "<caption id=\"", closes[] = "</caption>";
    const char *table = NULL, *next = strstr(page, opens);
    WR_SCOPED_STR said = {0};

    wr_str_add(&said, "</dt><dd>"); /* as a table's own meanings have it */
    page_say(&said, means);
    for (const char *here = strstr(page, said.text); here; here = strstr(here + 1, said.text)) {
        WR_SCOPED_STR quoted = {0};
        for (; next && next < here; next = strstr(table + 1, opens)) table = next;
        if (!table) continue;
        const char *text = strchr(table, '>') + 1; /* escaped already */
        wr_str_add(&quoted, "\xe2\x80\x9c");
        wr_str_add_bytes(&quoted, text, short_caption(text, strstr(text, closes)));
        wr_str_add(&quoted, "\xe2\x80\x9d");
        if (!strstr(wr_str_text(captions), quoted.text))
            wr_str_addf(captions, "%s%s", captions->len ? ", " : "", quoted.text);
    }
}

/* Another meaning on the page stands under the same name. */
static bool is_ambiguous(const struct wr_str *captions, size_t i)
{
    for (size_t o = 0; o < wr_n_quantity; o++)
        if (o != i && captions[o].len > 0 && strcmp(wr_quantities[o].name, wr_quantities[i].name) == 0) return true;
    return false;
}

/* What stands one step away from each table on a screen is printed once; a name that means two things, with the tables
 * in which it means this one. */
static void add_glossary(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED struct wr_str *captions = WR_NEW_ARRAY(struct wr_str, wr_n_quantity);
    WR_SCOPED struct wr_str *means = WR_NEW_ARRAY(struct wr_str, wr_n_quantity);
    WR_SCOPED_STR leave = {0};

    wr_rests_on_words(wr_context_rests_on(page->context), "leave", &leave);
    for (size_t i = 0; i < wr_n_quantity; i++) {
        wr_quantity_means(&wr_quantities[i], wr_str_text(&leave), &means[i]);
        find_tables(wr_str_text(out), wr_str_text(&means[i]), &captions[i]);
    }
    wr_str_add(out, "<div class=\"glossary\"><h3 class=\"gap\">What the numbers mean</h3>\n<dl>\n");
    for (size_t i = 0; i < wr_n_quantity; i++) {
        if (captions[i].len == 0) continue;
        wr_str_add(out, "<dt>");
        page_say(out, wr_quantities[i].name);
        if (is_ambiguous(captions, i))
            wr_str_addf(out, " <span class=\"in\">(%s)</span>", wr_str_text(&captions[i]));
        wr_str_add(out, "</dt>");
        page_element(out, "<dd>", wr_str_text(&means[i]), "</dd>\n");
    }
    wr_str_add(out, "</dl></div>\n");
    for (size_t i = 0; i < wr_n_quantity; i++) WR_STR_RELEASE(&captions[i], &means[i]);
}

static void add_tables(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid grid;

    open_section(out, "tables", "Tables", "The charts in numbers. Minutes, unless h:mm.");
    wr_grid_of_finish(page->forecast, &grid);
    page_table(out, page, &grid, &(struct wr_html_table){"t-finish", "When all are done", WR_HTML_PLAIN}, status, err);
    WR_SCOPED_STR span = {0};
    forecast_span_words(page->forecast->forecast, &span);
    if (span.len > 0) page_element(out, "<p>", wr_str_text(&span), "</p>\n");
    wr_grid_of_drivers(page->forecast, &grid);
    grid.chart = page_has_figure(page, "variance") ? "fig-variance" : NULL;
    page_table(out, page, &grid, &(struct wr_html_table){"t-tasks", "Tasks in the forecast", WR_HTML_SORTABLE}, status,
               err);
    WR_SCOPED_STR far_out = {0};
    forecast_far_out_words(page->forecast->forecast, &far_out);
    if (far_out.len > 0) page_element(out, "<p>", wr_str_text(&far_out), "</p>\n");
    if (page->fit) {
        wr_grid_of_task_times(page->fit, &grid);
        grid.chart = page_has_figure(page, "tasks") ? "fig-tasks" : NULL;
        page_table(out, page, &grid, &(struct wr_html_table){"t-times", "How long each task takes", WR_HTML_SORTABLE},
                   status, err);
    }
    end_sheet(out, page, OF_DAYS);
    add_glossary(out, page);
    close_section(out);
}

void page_readers(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    add_training(out, page, status, err);
    add_planning(out, page, status, err);
    add_console(out, page, status, err);
    add_review(out, page, status, err);
    add_tables(out, page, status, err);
}
