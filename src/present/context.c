#include "wetrun/present/context.h"

#include <string.h>
#include "wetrun/present/beside_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

/* Who is in this lane whatever the day; NULL: not known, or not one and the same. */
static const char *always_in(const struct wr_present_context *ctx, size_t lane)
{
    const int who = ctx->line_up[lane];

    for (size_t i = 1; i < ctx->n_line_up_row; i++)
        if (ctx->line_up[i * ctx->n_lane + lane] != who) return NULL;
    return who >= 0 ? ctx->person[who] : who == WR_PERSON_NEW && ctx->people_named ? "somebody new" : NULL;
}

void wr_context_line_up_words(const struct wr_present_context *ctx, struct wr_str *out)
{
    const bool choice = ctx->n_line_up > 1;
    size_t n = 0;

    if (!ctx->has_target) return;
    for (size_t l = 0; l < ctx->n_lane && ctx->line_up && (!choice || ctx->people_named); l++) {
        const char *who = always_in(ctx, l);
        if (who) wr_str_addf(out, "%s%s in %s", n++ ? ", " : "done by ", who, ctx->lane[l]);
    }
    if (choice)
        wr_str_addf(out, "%s one of the %s rehearsed line-ups at random%s", n ? ", the rest as in" : "done by",
                    wr_count_words(ctx->n_line_up, WR_ROOM), n ? "" : "; --people names one");
}

void wr_context_headline(const struct wr_present_context *ctx, const char *what, struct wr_str *out)
{
    WR_SCOPED_STR of_target = {0};

    wr_str_add(&of_target, what);
    if (ctx->has_target) wr_str_addf(&of_target, " of %s", wr_target_words(ctx->target));
    wr_context_headline_as(ctx, wr_str_text(&of_target), out);
}

void wr_context_headline_as(const struct wr_present_context *ctx, const char *what, struct wr_str *out)
{
    if (ctx->campaign && *ctx->campaign) wr_str_addf(out, "%s: ", ctx->campaign);
    wr_str_add(out, what);
    if (ctx->n_run > 0)
        wr_str_addf(out, ", from %s rehearsal%s", wr_count_words(ctx->n_run, WR_ROOM), ctx->n_run == 1 ? "" : "s");
    WR_SCOPED_STR by = {0};
    wr_context_line_up_words(ctx, &by);
    if (by.len > 0) wr_str_addf(out, " (%s)", wr_str_text(&by));
}

struct wr_rests_on wr_context_rests_on(const struct wr_present_context *ctx)
{
    return (struct wr_rests_on){.rehearsed = ctx->n_run > 0,
                                .carried_over = ctx->target == WR_FOR_EXCURSION && ctx->has_carry_over};
}

struct wr_grounds wr_context_grounds(const struct wr_present_context *ctx)
{
    if (ctx->open_by != WR_OPEN_BY_NOTHING) return (struct wr_grounds){.open_by = ctx->open_by};
    return (struct wr_grounds){.n_rehearsal = ctx->n_run, .n_complete = ctx->n_complete_run};
}

void wr_lack_words(const char *lead, enum wr_lack lack, struct wr_grounds grounds, const char *complete_by,
                   const struct wr_second *second, double confidence, struct wr_str *out)
{
    const size_t n_complete = grounds.n_complete;

    if (lack == WR_LACKS_NOTHING) return;
    wr_str_add(out, lead);
    if (lack == WR_LACKS_TRUST) {
        wr_str_add(out, grounds.open_by == WR_OPEN_BY_FILES
                            ? "the numbers count only once the doubt is answered in the file, and no number of "
                              "rehearsals answers it"
                        : grounds.open_by == WR_OPEN_BY_MODEL ? "this model does not say how sure it is"
                                                              : "the numbers count only once the doubt is settled");
        return;
    }
    if (lack == WR_LACKS_PRECISION) {
        wr_str_add(out, "the interval's end is nearer to what is allowed than its own error, from the finite number of "
                        "draws");
        return;
    }
    if (lack == WR_LACKS_SECOND) {
        wr_second_words(second, wr_known(confidence), out);
        wr_str_add(out, ", and nothing here says which of the answers is right");
        return;
    }
    wr_str_addf(out,
                "%s %s complete%s, and with fewer than %s no limit counts as kept, since the number then leans more on "
                "the model than on whole days that were seen",
                n_complete == 0   ? "no rehearsal"
                : n_complete == 1 ? "one rehearsal"
                : n_complete == 2 ? "two rehearsals"
                                  : "three rehearsals",
                n_complete < 2 ? "is" : "are", wr_or_nothing(complete_by), wr_count_words(WR_FEWEST_COMPLETE, WR_ROOM));
    if (!second->known || !wr_beyond_allowed(second->over.hi, confidence)) return;
    wr_str_add(out, "; nor is it within that by another answer: ");
    wr_second_words(second, wr_known(confidence), out);
}

const char *wr_context_answers(const struct wr_present_context *ctx)
{
    return ctx && ctx->n_answer > 2 ? "four" : "two";
}

static size_t count_findings(const struct wr_present_context *ctx, enum wr_severity severity)
{
    size_t n = 0;

    for (size_t i = 0; i < ctx->n_finding; i++) n += ctx->finding[i].severity == severity ? ctx->finding[i].n : 0;
    return n;
}

size_t wr_context_found_counts(const struct wr_present_context *ctx, struct wr_str *out)
{
    size_t n_error = count_findings(ctx, WR_ERROR), n_warning = count_findings(ctx, WR_WARNING);

    if (n_error) wr_str_addf(out, "%zu error%s", n_error, n_error == 1 ? "" : "s");
    if (n_error && n_warning) wr_str_add(out, ", ");
    if (n_warning) wr_str_addf(out, "%zu warning%s", n_warning, n_warning == 1 ? "" : "s");
    return n_error + n_warning;
}

const char wr_found_by_forecast[] = "a forecast may find more (`forecast`)";

void wr_context_found_words(const struct wr_present_context *ctx, struct wr_str *out)
{
    WR_SCOPED_STR counts = {0};
    size_t n = wr_context_found_counts(ctx, &counts);

    if (n > 0) wr_str_addf(out, "Found, and may move this: %s (", wr_str_text(&counts));
    if (n == 0) return;
    for (size_t i = 0; i < ctx->n_finding && i < 4; i++) {
        wr_str_addf(out, "%s%s", i ? ", " : "", ctx->finding[i].code);
        if (ctx->finding[i].n > 1) wr_str_addf(out, " %zu", ctx->finding[i].n);
    }
    wr_str_add(out, ctx->n_finding > 4 ? " …)" : ")");
    if (ctx->no_forecast) wr_str_addf(out, "; %s", wr_found_by_forecast);
    wr_str_add_char(out, '.');
}

void wr_context_add_finding(const struct wr_present_context *ctx, const char *code, struct wr_str *out)
{
    for (size_t i = 0; i < ctx->n_finding; i++) {
        if (strcmp(ctx->finding[i].code, code) != 0) continue;
        wr_str_add_char(out, ' ');
        wr_add_capital(out, ctx->finding[i].message);
        wr_str_add_char(out, '.');
        return;
    }
}

void wr_context_leave_out_limits(struct wr_present_context *ctx)
{
    if (ctx->has_target && (ctx->second_words || ctx->excursion_words || ctx->n_second > 0 || ctx->excursion)) return;
    ctx->finding = ctx->apart.finding;
    ctx->n_finding = ctx->apart.n_finding;
    ctx->doubt = ctx->apart.doubt;
    ctx->open_by = ctx->apart.open_by;
    ctx->limits_left_out = true;
}

void wr_context_add_doubtful(const struct wr_present_context *ctx, struct wr_str *out)
{
    if (ctx->doubt) wr_str_add(out, "Doubtful: ");
}

void wr_context_modelled_words(const struct wr_present_context *ctx, struct wr_str *out)
{
    if (ctx->modelled) wr_str_addf(out, "Not the usual model: %s.", ctx->modelled);
}

void wr_context_add_doubts(const struct wr_present_context *ctx, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    wr_context_found_words(ctx, &text);
    if (ctx->doubt) wr_prose_add(out, ctx->doubt, 0, WR_TERMINAL_COLUMNS);
    if (text.len > 0) wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    if (ctx->doubt || text.len > 0) wr_str_add_char(out, '\n');
    if (ctx->modelled) {
        wr_str_clear(&text);
        wr_context_modelled_words(ctx, &text);
        wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
        wr_str_add_char(out, '\n');
    }
    const char *const above[] = {ctx->excursion_words, ctx->second_words};
    for (size_t i = 0; i < sizeof above / sizeof *above && ctx->has_target; i++) {
        if (!above[i]) continue;
        wr_prose_add(out, above[i], 0, WR_TERMINAL_COLUMNS);
        wr_str_add_char(out, '\n');
    }
    WR_SCOPED_STR as_it_stands = {0};
    wr_context_add_finding(ctx, "not-carried-over", &as_it_stands);
    if (as_it_stands.len == 0) return;
    wr_prose_add(out, as_it_stands.text + 1, 0, WR_TERMINAL_COLUMNS); /* a blank stands in front */
    wr_str_add_char(out, '\n');
}

size_t wr_context_columns(const struct wr_present_context *ctx)
{
    return ctx->columns ? ctx->columns : WR_TERMINAL_COLUMNS;
}

void wr_context_add_grid(const struct wr_present_context *ctx, const char *head, struct wr_grid *grid,
                         struct wr_str *out)
{
    if (wr_grid_rows(grid) > 0) {
        wr_str_add_char(out, '\n');
        if (head) wr_str_addf(out, "%s\n", head);
        wr_grid_add_terminal(grid, wr_context_columns(ctx), out);
    }
    wr_grid_release(grid);
}
