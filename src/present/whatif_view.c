#include "wetrun/present/whatif_view.h"

#include <math.h>
#include "gain_columns.h"
#include "json.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/prose.h"
#include "wetrun/present/words.h"

static void grid_change(struct wr_grid *grid, const struct wr_paired *d)
{
    WR_SCOPED_STR text = {0};

    wr_gain_cell(d, 100, &text);
    wr_grid_text(grid, wr_str_text(&text));
}

static void number_or_none(struct wr_grid *grid, bool there, double value)
{
    wr_grid_maybe(grid, there ? wr_known(value) : WR_UNKNOWN);
}

/* How open the timeline as it is stands on the first limit; NULL: nothing is known of that. */
static const struct wr_probability *base_open(const struct wr_whatif_result *result)
{
    return result->base && !result->base->over.no_interval ? &result->base->over : NULL;
}

static enum wr_verdict base_verdict(const struct wr_present_context *ctx, const struct wr_whatif_result *result)
{
    return wr_verdict_from(&result->base->over, &result->base->second, ctx->confidence.value, wr_context_grounds(ctx));
}

static void whatif_row(struct wr_grid *grid, const struct wr_whatif_result *result, const struct wr_whatif_row *row,
                       size_t of_limit)
{
    static const struct wr_whatif_limit none = {0};
    bool has_limit = result->whatif->n_limit > 0, is_last = row->rank == result->whatif->n_row;
    const struct wr_whatif_limit *limit = has_limit ? &row->limit[of_limit] : &none;

    wr_grid_number(grid, (double)row->rank);
    wr_grid_text(grid, result->variant_name[row->variant]);
    WR_GRID_NUMBERS(grid, row->median_min, row->median_saved_min);
    wr_grid_gain(grid, &row->saved_min);
    number_or_none(grid, has_limit, limit->prob_over);
    if (has_limit)
        grid_change(grid, &limit->gain);
    else
        wr_grid_absent(grid);
    wr_grid_gain(grid, has_limit ? &limit->gain : NULL);
    number_or_none(grid, has_limit, limit->gain.se);
    wr_grid_number(grid, row->share_later);
    wr_grid_text(grid, is_last ? "" : row->told_apart ? "better" : "not told apart");
    WR_GRID_NUMBERS(grid, row->share_better_than_next, row->share_better_than_base, result->whatif->base_median_min);
    number_or_none(grid, has_limit, has_limit ? result->whatif->base_over[of_limit] : 0);
    const struct wr_probability *open = of_limit == 0 ? base_open(result) : NULL; /* of the first limit it is asked */
    number_or_none(grid, open, open ? open->lo : 0);
    number_or_none(grid, open, open ? open->hi : 0);
    if (has_limit) wr_grid_text(grid, result->limit_name[of_limit]);
    else wr_grid_absent(grid);
    number_or_none(grid, has_limit, row->any_over);
    number_or_none(grid, has_limit, result->whatif->base_any_over);
    wr_grid_gain_errors(grid, has_limit ? &limit->gain : NULL);
}

/* The alternatives against the first n_limit limits, each limit's rows together; without limits against the finish. */
static void whatif_grid(const struct wr_whatif_result *result, size_t n_limit, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"rank", "rank", WR_UNIT_COUNT, WR_EVERYBODY, 0},
        {"alternative", "alternative", WR_UNIT_TEXT, WR_EVERYBODY, 14},
        {"median_min", "half\nby", WR_UNIT_CLOCK, WR_EVERYBODY, 0},
        {"median_saved_min", "earlier,\nmin", WR_UNIT_TENTHS, WR_EVERYBODY, 0},
        {"mean_saved_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"mean_saved_lo_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"mean_saved_hi_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_EVERYBODY, 0},
        {"fewer", "fewer, of 100\n(90 % interval)", WR_UNIT_TEXT, WR_PEOPLE, 0},
        {"gain", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"gain_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"gain_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"gain_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"share_later", "later,\nof 100", WR_UNIT_OF_100, WR_PAGE | WR_MACHINE, 0},
        {"against_next", "against\nthe next", WR_UNIT_TEXT, WR_PAGE | WR_MACHINE, 0},
        {"share_better_than_next", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"share_better_than_base", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"base_median_min", "", WR_UNIT_MINUTES, WR_MACHINE, 0},
        {"base_probability_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"base_probability_over_lo", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"base_probability_over_hi", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"limit", "", WR_UNIT_TEXT, WR_MACHINE, 0},
        {"any_limit_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"base_any_limit_over", "", WR_UNIT_SHARE, WR_MACHINE, 0},
        {"gain_lo_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
        {"gain_hi_se", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t l = 0; l < n_limit || l == 0; l++)
        for (size_t i = 0; i < result->whatif->n_row; i++) whatif_row(grid, result, &result->whatif->row[i], l);
}

static void other_limit_rows(struct wr_grid *grid, const struct wr_whatif_result *result, size_t l)
{
    const struct wr_whatif *w = result->whatif;
    const char *name = l < w->n_limit ? result->limit_name[l] : "at least one";

    WR_GRID_TEXTS(grid, name, "", "as it is");
    wr_grid_number(grid, l < w->n_limit ? w->base_over[l] : w->base_any_over);
    wr_grid_absent(grid);
    for (size_t i = 0; i < w->n_row; i++) {
        const struct wr_whatif_row *row = &w->row[i];
        wr_grid_text(grid, "");
        wr_grid_number(grid, (double)row->rank);
        wr_grid_text(grid, result->variant_name[row->variant]);
        wr_grid_number(grid, l < w->n_limit ? row->limit[l].prob_over : row->any_over);
        if (l < w->n_limit) grid_change(grid, &row->limit[l].gain);
        else wr_grid_text(grid, wr_change((w->base_any_over - row->any_over) * 100.0, WR_ROOM));
    }
}

/* What the alternatives do to the limits but the first, and to all of them together. */
static void other_limits_grid(const struct wr_whatif_result *result, struct wr_grid *grid)
{
    static const struct wr_column column[] = {
        {"limit", "limit", WR_UNIT_TEXT, WR_PEOPLE, 14},
        {"rank", "rank", WR_UNIT_COUNT, WR_PEOPLE, 0},
        {"alternative", "timeline", WR_UNIT_TEXT, WR_PEOPLE, 14},
        {"probability_over", "go over it,\nof 100", WR_UNIT_OF_100, WR_PEOPLE, 0},
        {"fewer", "fewer, of 100\n(90 % interval)", WR_UNIT_TEXT, WR_PEOPLE, 0},
    };

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (size_t l = 1; l <= result->whatif->n_limit; l++) other_limit_rows(grid, result, l);
}

/* Of the limit that ranks them, else of the finish. */
static enum wr_gain gain_of(const struct wr_whatif *w, const struct wr_whatif_row *row)
{
    return w->n_limit > 0 ? wr_gain_of(&row->limit[0].gain, 100) : wr_gain_of(&row->saved_min, 1);
}

/* Of a limit: an alternative that ends the day earlier does help, if not against that risk. */
static const char *not_helping(const struct wr_whatif *w, enum wr_gain gain)
{
    if (gain == WR_GAIN_HARMS) return "shown to make it worse";
    return w->n_limit > 0 ? "not shown to lower the risk" : "not shown to help";
}

/* Nothing is called best of which the interval allows that it does harm, or nothing. */
static void add_first(const struct wr_whatif *w, const char *name, struct wr_str *out)
{
    enum wr_gain gain = gain_of(w, &w->row[0]);

    if (w->n_row == 1) {
        wr_str_addf(out, " With '%s'", name);
        if (gain == WR_GAIN_HELPS) wr_str_add_char(out, ' ');
        else wr_str_addf(out, ", which is %s, ", not_helping(w, gain));
    } else if (gain != WR_GAIN_HELPS) {
        wr_str_addf(out, " Highest in rank, but %s: '%s', ", not_helping(w, gain), name);
    } else {
        wr_str_addf(out, " %s: '%s', ",
                    w->row[0].told_apart ? "Best" : "Highest in rank, but not told apart from the next", name);
    }
}

/* A gain on one limit must not hide a loss on another: of those from `first` on. */
static void add_harm(const struct wr_whatif_result *result, const struct wr_whatif_row *row, size_t first,
                     struct wr_str *out)
{
    for (size_t l = first; l < result->whatif->n_limit; l++) {
        const struct wr_paired *gain = &row->limit[l].gain;
        if (wr_gain_of(gain, 100) != WR_GAIN_HARMS) continue;
        wr_str_addf(out, " But it makes %s worse: %s of 100, ", result->limit_name[l],
                    wr_of_100(row->limit[l].prob_over, WR_ROOM));
        wr_fewer_words(gain, out);
        wr_str_add_char(out, '.');
    }
}

/* The one that is shown to help the limit most; NULL: none is. */
static const struct wr_whatif_row *most_helping(const struct wr_whatif *w, size_t limit)
{
    const struct wr_whatif_row *most = NULL;

    for (size_t i = 0; i < w->n_row; i++) {
        const struct wr_paired *gain = &w->row[i].limit[limit].gain;
        if (wr_gain_of(gain, 100) != WR_GAIN_HELPS) continue;
        if (!most || gain->mean > most->limit[limit].gain.mean) most = &w->row[i];
    }
    return most;
}

/* The ranks are those of the first limit alone: what helps another must not be looked for below. */
static void add_helping_others(const struct wr_whatif_result *result, struct wr_str *out)
{
    const struct wr_whatif *w = result->whatif;

    for (size_t l = gain_of(w, &w->row[0]) == WR_GAIN_HELPS; l < w->n_limit; l++) {
        const struct wr_whatif_row *row = most_helping(w, l);
        if (!row) continue;
        wr_str_addf(out, " Shown to lower the risk over %s: '%s', %s of 100, ", result->limit_name[l],
                    result->variant_name[row->variant], wr_of_100(row->limit[l].prob_over, WR_ROOM));
        wr_fewer_words(&row->limit[l].gain, out);
        wr_str_add_char(out, '.');
        if (row != &w->row[0]) add_harm(result, row, 0, out);
    }
}

static void whatif_sentence(const struct wr_whatif_result *result, struct wr_str *out)
{
    const struct wr_whatif *w = result->whatif;

    wr_str_addf(out, "The timeline as it is: all done by %s, as likely as not", wr_moment(w->base_median_min, WR_ROOM));
    if (w->n_limit > 0)
        wr_str_addf(out, ", %s of 100 %s the limit", wr_of_100(w->base_over[0], WR_ROOM), wr_go_over(w->base_over[0]));
    if (w->n_limit > 1)
        wr_str_addf(out, " %s, %s over at least one of the %s limits", result->limit_name[0],
                    wr_of_100(w->base_any_over, WR_ROOM), wr_count_words(w->n_limit, WR_ROOM));
    wr_str_add(out, ".");
    if (w->n_row == 0) {
        if (result->search && result->search->n_allowed == 1)
            wr_str_add(out, " The one change allowed does not lower that by more than chance would.");
        else if (result->search)
            wr_str_addf(out, " Of the %zu changes allowed none lowers that by more than chance would.",
                        result->search->n_allowed);
        return;
    }
    add_first(w, result->variant_name[w->row[0].variant], out);
    if (w->n_limit > 0) {
        wr_str_addf(out, "%s of 100, ", wr_of_100(w->row[0].limit[0].prob_over, WR_ROOM));
        wr_fewer_words(&w->row[0].limit[0].gain, out);
    } else {
        wr_str_addf(out, "all done by %s", wr_moment(w->row[0].median_min, WR_ROOM));
    }
    if (w->n_limit > 1)
        wr_str_addf(out, "; over at least one limit: %s of 100", wr_of_100(w->row[0].any_over, WR_ROOM));
    wr_str_add_char(out, '.');
    add_harm(result, &w->row[0], 1, out);
    add_helping_others(result, out);
}

/* A change is no level: who reads the alternative's must see how open that is. */
static void add_level(const struct wr_present_context *ctx, const struct wr_whatif_result *result, struct wr_str *out)
{
    if (!base_open(result)) return;
    wr_str_add(out, " As it is, the timeline has a 90 % interval of ");
    wr_interval_cell(base_open(result), ctx->confidence, out);
    if (ctx->confidence.known)
        wr_str_addf(out, " of 100 over the limit (wanted: at most %s), %s",
                    wr_allowed_of_100(ctx->confidence.value, WR_ROOM),
                    wr_verdict_said(base_verdict(ctx, result), wr_context_grounds(ctx)));
    else wr_str_add(out, " of 100 over the limit");
    if (result->whatif->n_row > 0) wr_str_add(out, "; an alternative has no verdict of its own");
    wr_str_add_char(out, '.');
}

/* "Ranks 2 and 3 are not told apart." */
static void add_told_apart(const struct wr_whatif *w, struct wr_str *out)
{
    for (size_t i = 0; i + 1 < w->n_row; i++)
        if (!w->row[i].told_apart) wr_str_addf(out, "Ranks %zu and %zu are not told apart. ", i + 1, i + 2);
}

static void in_vain_words(unsigned in_vain, struct wr_str *out)
{
    for (int kind = 0; kind < WR_N_MOVE_KIND; kind++)
        if (in_vain >> kind & 1)
            wr_str_addf(out, "%s%s", out->len ? "," : "", wr_move_word((enum wr_move_kind)kind));
}

/* Of what was allowed in general, what the plan has nothing for. */
static void add_in_vain(unsigned in_vain, struct wr_str *out)
{
    WR_SCOPED_STR kinds = {0};

    in_vain_words(in_vain, &kinds);
    if (kinds.len == 0) return;
    wr_str_addf(out, "`--allow %s` finds nothing to apply to in this plan", wr_str_text(&kinds));
    if (in_vain & (1U << WR_MOVE_DROP | 1U << WR_MOVE_SHORTEN))
        wr_str_add(out, ": drop and shorten mean get-ahead work, tasks with `drop_after`");
    wr_str_add(out, ". ");
}

static void add_search(const struct wr_whatif_result *result, struct wr_str *out)
{
    const struct wr_search *s = result->search;

    wr_str_addf(out, "%zu change%s allowed; timelines made of %s and looked at: %zu", s->n_allowed,
                s->n_allowed == 1 ? " is" : "s are", s->n_allowed == 1 ? "it" : "them", s->n_looked_at);
    if (s->n_impossible) wr_str_addf(out, ", %zu more cannot be worked", s->n_impossible);
    wr_str_add(out, ". ");
    add_in_vain(result->in_vain, out);
    if (result->whatif->n_row > 0)
        wr_str_add(out, "The gains shown are from days that the search did not see, in the order that it found them "
                        "in. ");
    if (result->unordered)
        wr_str_add(
            out,
            "What the plan does not order with 'after' counted as free: somebody who knows the work must look at each. "
            "Work given to another lane is taken to need the time that it needed in its own. ");
}

/* "All done by 5:37, as likely as not, 15.8 min earlier." */
static void say_earlier(struct wr_str *out, const struct wr_whatif_row *row)
{
    wr_str_addf(out, "All done by %s, as likely as not, %s min %s.", wr_moment(row->median_min, WR_ROOM),
                wr_change(fabs(row->median_saved_min), WR_ROOM), row->median_saved_min < 0 ? "later" : "earlier");
}

/* One alternative that was found: what is changed, what that brings, what it costs, and what it does to other
 * limits. */
static void add_found(const struct wr_whatif_result *result, const struct wr_whatif_row *row, struct wr_str *out)
{
    const struct wr_search_row *found = &result->search->row[row->variant];
    WR_SCOPED_STR text = {0};

    wr_str_addf(&text, "%zu. %s", row->rank, result->variant_name[row->variant]);
    wr_prose_say(out, &text);
    say_earlier(&text, row);
    for (size_t l = 0; l < result->whatif->n_limit; l++) {
        wr_str_addf(&text, " Over '%s': %s of 100, ", result->limit_name[l],
                    wr_of_100(row->limit[l].prob_over, WR_ROOM));
        wr_fewer_words(&row->limit[l].gain, &text);
        if (l == 0 && gain_of(result->whatif, row) != WR_GAIN_HELPS)
            wr_str_addf(&text, ", %s", not_helping(result->whatif, gain_of(result->whatif, row)));
        wr_str_add_char(&text, '.');
    }
    wr_str_addf(&text, " Costs %zu change%s", found->n_move, found->n_move == 1 ? "" : "s");
    if (found->left_out_min > 0)
        wr_str_addf(&text, " and %s min of work not done", wr_change(found->left_out_min, WR_ROOM));
    wr_str_add_char(&text, '.');
    wr_prose_add(out, wr_str_text(&text), 3, WR_TERMINAL_COLUMNS);
}

static void add_other_limits(const struct wr_present_context *ctx, const struct wr_whatif_result *result,
                             struct wr_str *out)
{
    struct wr_grid others;

    other_limits_grid(result, &others);
    wr_context_add_grid(ctx, NULL, &others, out);
}

/* The largest of what the rows show: how many fewer on any limit, how much earlier. */
static void add_errors(const struct wr_whatif *w, struct wr_str *out)
{
    double fewer = 0, earlier = 0;

    for (size_t i = 0; i < w->n_row; i++) {
        earlier = fmax(earlier, w->row[i].median_saved_se_min);
        if (w->n_limit > 1) fewer = fmax(fewer, w->row[i].any_gain_se);
        for (size_t l = 0; l < w->n_limit; l++) fewer = fmax(fewer, w->row[i].limit[l].gain.se);
    }
    if (w->n_row == 0) return;
    wr_str_add(out, "; Monte Carlo error of the differences ");
    if (w->n_limit > 0) {
        wr_str_add(out, w->n_row * w->n_limit > 1 && 100 * fewer >= 0.01 ? "up to " : "");
        wr_add_error(out, 100 * fewer, 0.01);
        wr_str_add(out, " of 100, of how much earlier ");
    }
    if (w->n_row > 1 && earlier >= 0.001) wr_str_add(out, "up to ");
    wr_add_error(out, earlier, 0.001);
    wr_str_add(out, " min");
}

static void whatif_table(const struct wr_present_context *ctx, const struct wr_whatif_result *result,
                         const struct wr_grid *rows, struct wr_str *out)
{
    WR_SCOPED_STR text = {0};

    whatif_sentence(result, &text);
    add_level(ctx, result, &text);
    wr_prose_say(out, &text);
    wr_context_headline(ctx, "what if, on the same simulated days", &text);
    if (result->whatif->n_limit > 0)
        wr_str_addf(&text, ", %zu days of each of %zu draw%s (for when half are done: %zu trials)",
                    result->whatif->n_per_draw, result->whatif->n_draw, result->whatif->n_draw == 1 ? "" : "s",
                    result->whatif->n_trial);
    else wr_str_addf(&text, ", %zu trials", result->whatif->n_trial);
    add_errors(result->whatif, &text);
    wr_str_add_char(&text, '.');
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
    wr_str_add_char(out, '\n');
    if (result->search)
        for (size_t i = 0; i < result->whatif->n_row; i++) add_found(result, &result->whatif->row[i], out);
    else {
        wr_grid_add_terminal(rows, wr_context_columns(ctx), out);
        if (result->whatif->n_limit > 1) add_other_limits(ctx, result, out);
    }
    if (!result->search || result->whatif->n_row > 0) wr_str_add_char(out, '\n');
    wr_str_clear(&text);
    if (result->search) add_search(result, &text);
    add_told_apart(result->whatif, &text);
    if (!result->search && result->whatif->n_row > 0)
        wr_str_add(&text, "Earlier: by how much half of the finishes come earlier. ");
    if (!result->search && result->whatif->n_limit > 1 && result->whatif->n_row > 0)
        wr_str_add(&text, "Of at least one limit the change has no interval. ");
    if (result->whatif->n_row > 0)
        wr_str_add(&text, "Gains do not add up: ask for combinations as alternatives of their own.");
    if (result->whatif->n_row > 0 && result->whatif->n_limit > 1)
        wr_str_addf(&text, " Ranked by the limit %s.", result->limit_name[0]);
    wr_prose_add(out, wr_str_text(&text), 0, WR_TERMINAL_COLUMNS);
}

/* One that nine days in ten do not reach is made up by a few far out, others with every seed (wr_sd_says). */
static struct wr_maybe mean_of_days(double mean_min, double p90_min)
{
    return mean_min <= p90_min + 1e-3 ? wr_known(mean_min) : WR_UNKNOWN; /* of days that are alike: rounding */
}

static enum wr_status whatif_json(const struct wr_present_context *ctx, const struct wr_whatif_result *result,
                                  const struct wr_grid *rows, struct wr_str *out, struct wr_error *err)
{
    const struct wr_whatif *w = result->whatif;
    struct wr_json j;

    wr_json_begin(&j, ctx);
    wr_json_count(&j, j.root, "trials", w->n_trial);
    wr_json_count(&j, j.root, "days_per_draw", w->n_per_draw);
    wr_json_count(&j, j.root, "draws", w->n_draw);
    json_t *base = wr_json_object(&j, j.root, "base");
    wr_json_maybe(&j, base, "mean_min", mean_of_days(w->base_mean_min, w->base_p90_min));
    wr_json_number(&j, base, "median_min", w->base_median_min);
    wr_json_number(&j, base, "p90_min", w->base_p90_min);
    wr_json_maybe(&j, base, "probability_over", w->n_limit > 0 ? wr_known(w->base_over[0]) : WR_UNKNOWN);
    const struct wr_probability *open = base_open(result);
    wr_json_pair_if(&j, base, "interval", open, open ? open->lo : 0, open ? open->hi : 0);
    if (open && ctx->confidence.known) wr_json_text(&j, base, "verdict", wr_verdict_words(base_verdict(ctx, result)));
    else wr_json_null(&j, base, "verdict");
    wr_json_maybe(&j, base, "any_limit_over", w->n_limit > 0 ? wr_known(w->base_any_over) : WR_UNKNOWN);
    json_t *of_base = wr_json_array(&j, base, "limits");
    for (size_t l = 0; l < w->n_limit; l++) {
        json_t *limit = wr_json_row(&j, of_base);
        wr_json_text(&j, limit, "limit", result->limit_name[l]);
        wr_json_number(&j, limit, "probability_over", w->base_over[l]);
    }
    if (result->search) {
        json_t *search = wr_json_object(&j, j.root, "search");
        wr_json_count(&j, search, "changes_allowed", result->search->n_allowed);
        wr_json_count(&j, search, "timelines_looked_at", result->search->n_looked_at);
        wr_json_count(&j, search, "timelines_impossible", result->search->n_impossible);
        WR_SCOPED_STR in_vain = {0};
        in_vain_words(result->in_vain, &in_vain);
        wr_json_text(&j, search, "allowed_in_vain", in_vain.len ? wr_str_text(&in_vain) : NULL);
    }
    json_t *alternatives = wr_json_grid(&j, j.root, "alternatives", rows);
    for (size_t i = 0; i < w->n_row; i++) {
        const struct wr_whatif_row *row = &w->row[i];
        json_t *at = json_array_get(alternatives, i), *limits = wr_json_array(&j, at, "limits");
        if (result->search) {
            const struct wr_search_row *found = &result->search->row[row->variant];
            wr_json_count(&j, at, "changes", found->n_move);
            wr_json_number(&j, at, "gain_in_search", found->gain_in_search);
            wr_json_number(&j, at, "left_out_min", found->left_out_min);
        }
        wr_json_maybe(&j, at, "mean_min", mean_of_days(row->mean_min, row->p90_min));
        wr_json_number(&j, at, "p90_min", row->p90_min);
        for (size_t l = 0; l < w->n_limit; l++) {
            json_t *limit = wr_json_row(&j, limits);
            wr_json_text(&j, limit, "limit", result->limit_name[l]);
            wr_json_number(&j, limit, "probability_over", row->limit[l].prob_over);
            wr_json_number(&j, limit, "gain", row->limit[l].gain.mean);
            const struct wr_paired *gain = &row->limit[l].gain;
            wr_json_pair_if(&j, limit, "gain_interval", !gain->no_interval, gain->lo, gain->hi);
            wr_json_number(&j, limit, "mc_error", gain->se);
            wr_json_pair_if(&j, limit, "gain_interval_mc_error", !gain->no_interval, gain->lo_se, gain->hi_se);
        }
        wr_json_number(&j, at, "median_saved_mc_error_min", row->median_saved_se_min);
        wr_json_maybe(&j, at, "any_limit_gain_mc_error", w->n_limit > 0 ? wr_known(row->any_gain_se) : WR_UNKNOWN);
    }
    return wr_json_finish(&j, out, err);
}

enum wr_status wr_show_whatif(enum wr_format format, const struct wr_present_context *ctx,
                              const struct wr_whatif_result *result, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID rows = {0}, all = {0};

    whatif_grid(result, 1, &rows);
    whatif_grid(result, result->whatif->n_limit, &all);
    enum wr_status status = wr_grid_check(&all, err);
    if (status) return status;
    switch (format) {
    case WR_FORMAT_TABLE: whatif_table(ctx, result, &rows, out); break;
    case WR_FORMAT_CSV: wr_grid_add_csv(&all, out); break;
    case WR_FORMAT_JSON: return whatif_json(ctx, result, &rows, out, err);
    }
    return WR_OK;
}
