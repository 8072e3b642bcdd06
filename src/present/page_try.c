/* The excursion limit and the wish, to be moved: every number is made into words here, by the functions that make those
 * of the page, and the script only shows them. */
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include "forecast_parts.h"
#include "json.h"
#include "page_parts.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/lengthens.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/words.h"

/* The findings that go by limit and wish. */
static const char lengthening[] = "lengthening-decides", stuck[] = "stuck-decides";

static bool goes_by_limit(const char *code)
{
    return strcmp(code, lengthening) == 0 || strcmp(code, stuck) == 0;
}

static bool is_decided_by_longer(const struct wr_other_limits *o, size_t limit, double confidence)
{
    return o->longer_over && wr_lengthening_decides(o->over[limit].mean, o->longer_over[limit], confidence);
}

static bool is_decided_by_stuck(const struct wr_other_limits *o, size_t limit, double confidence)
{
    return o->stuck && wr_stuck_decides(&o->over[limit], &o->stuck[limit], confidence);
}

/* The page's, with what keeps every answer open as it is found for a limit and a wish that are tried. */
static struct wr_present_context context_tried(const struct wr_page *page, size_t limit, double confidence)
{
    struct wr_present_context ctx = *page->context;
    const struct wr_other_limits *o = page->other;
    const bool is_open = is_decided_by_longer(o, limit, confidence) || o->longer_beside ||
                         is_decided_by_stuck(o, limit, confidence) || o->stuck_beside;

    ctx.open_by = is_open ? WR_OPEN_BY_FORECAST : WR_OPEN_BY_NOTHING;
    for (size_t i = 0; i < ctx.n_finding; i++) {
        const struct wr_present_finding *f = &ctx.finding[i];
        const bool is_other = f->severity != WR_NOTE && !goes_by_limit(f->code);
        enum wr_open_by by = is_other ? wr_code_open_by(f->code) : WR_OPEN_BY_NOTHING;
        if (by > ctx.open_by) ctx.open_by = by;
    }
    return ctx;
}

/* As the commands say it of such a limit, before its answer. */
static void add_doubt_tried(struct wr_str *out, const struct wr_other_limits *o, size_t limit, double confidence)
{
    if (is_decided_by_stuck(o, limit, confidence))
        wr_str_addf(out,
                    "Doubtful, for it rests on this: if the tasks that have not been stuck get stuck as others were, "
                    "about %.0f of 100 (perhaps %.0f) would go over %s. ",
                    100 * o->stuck[limit].mean, 100 * o->stuck[limit].hi, wr_moment(o->limit_min[limit], WR_ROOM));
    if (!is_decided_by_longer(o, limit, confidence)) return;
    wr_str_addf(out,
                "Doubtful, for it rests on this: with what is shown to get longer going on by its own trend, about "
                "%.0f of 100 would go over %s. ",
                100 * o->longer_over[limit], wr_moment(o->limit_min[limit], WR_ROOM));
}

static void say_point(struct wr_str *out, const struct wr_page *page, size_t limit, double confidence)
{
    static const struct wr_second none = {0};
    const struct wr_other_limits *o = page->other;
    const struct wr_probability *over = &o->over[limit];
    const struct wr_second *second = o->second ? &o->second[limit] : &none;
    const struct wr_present_context ctx = context_tried(page, limit, confidence);
    const struct wr_grounds grounds = wr_context_grounds(&ctx);
    struct wr_maybe wanted = wr_known(confidence);

    add_doubt_tried(out, o, limit, confidence);

    wr_add_capital(out, wr_chance(over, WR_ROOM));
    wr_str_addf(out, " of 100 %s it", wr_go_over(over->mean));
    if (!over->no_interval && !wr_interval_adds_nothing(over, wanted)) {
        wr_str_add(out, "; ");
        wr_interval_words(over, wanted, out);
    }
    forecast_add_second_to(page->context, over, second, wanted, out);
    wr_str_addf(out, ". Wanted at most %s: ", wr_allowed_of_100(confidence, WR_ROOM));
    wr_str_add(out, wr_verdict_said(wr_verdict_from(over, second, confidence, grounds), grounds));
    wr_lack_words(", for ", wr_verdict_lacks(over, second, confidence, grounds), grounds, page->context->complete_by,
                  second, confidence, out);
    if (page->context->n_run == 0)
        wr_str_add(out, ", for nothing was rehearsed: this rests on judgement alone, and leaves out how far that may "
                        "be off");
    wr_str_add_char(out, '.');
}

static void put_sayings(struct wr_json *j, const struct wr_page *page)
{
    const struct wr_other_limits *o = page->other;
    json_t *limits = wr_json_array(j, j->root, "limit"), *wishes = wr_json_array(j, j->root, "wish");
    json_t *sayings = wr_json_array(j, j->root, "say"), *given = wr_json_array(j, j->root, "given");
    WR_SCOPED_STR say = {0};

    for (size_t i = 0; i < o->n_limit; i++) wr_json_push_text(j, limits, wr_moment(o->limit_min[i], WR_ROOM));
    for (size_t w = 0; w < o->n_confidence; w++) {
        json_t *row = wr_json_push_array(j, sayings);
        wr_json_push_text(j, wishes, wr_percent(o->confidence[w], WR_ROOM));
        for (size_t i = 0; i < o->n_limit; i++) {
            wr_str_clear(&say);
            say_point(&say, page, i, o->confidence[w]);
            wr_json_push_text(j, row, wr_str_text(&say));
        }
    }
    wr_json_push_count(j, given, o->given_limit);
    wr_json_push_count(j, given, o->given_confidence);
}

/* One cell of the card: what it shows and, in the row's last member, what it sorts by: "" where that is its text. */
static void push_cell(struct wr_json *j, json_t *row, json_t *keys, const struct wr_value *v, enum wr_unit unit)
{
    WR_SCOPED_STR text = {0};

    wr_value_add(v, unit, &text);
    wr_json_push_text(j, row, text.len == 0 && v->presence != WR_TEXT ? "\xe2\x80\x93" : wr_str_text(&text));
    if ((v->presence == WR_NUMBER || v->has_sort_key) && isfinite(v->number)) wr_json_push_number(j, keys, v->number);
    else wr_json_push_text(j, keys, "");
}

/* The rows of a card whose first limit is another: "task": [begin by, set by, slack, of ten starts, note, [what each
 * sorts by]] for the columns behind the usual start. */
static void put_card_rows(struct wr_json *j, json_t *card, const struct wr_grid *grid)
{
    enum { FIRST = 4, BEHIND = 9 };
    char key[32];

    for (size_t r = 0; r < wr_grid_rows(grid); r++) {
        snprintf(key, sizeof key, "%zu", grid->about[r]);
        json_t *row = wr_json_array(j, card, key);
        json_t *keys = json_array();
        for (size_t c = FIRST; c < BEHIND; c++)
            push_cell(j, row, keys, &grid->value[r * grid->n_column + c], grid->column[c].unit);
        json_array_append_new(row, keys);
    }
}

/* In the place of what the second answer says of the limits as they are given: of a limit that is tried. What it says
 * of the others, and what it takes, was not worked out for each wish. */
static void add_second_tried(const struct wr_page *page, const struct wr_cutoff_result *result, struct wr_str *out)
{
    const struct wr_forecast_result *f = page->forecast;
    const struct wr_cutoff_list *list = &result->card->list[0];

    if (!page->context->has_target || !page->context->second_words || wr_n_answers(f) == 1) return;
    wr_str_addf(out, "There are %s answers, and the numbers below are those %s.",
                wr_count_words(wr_n_answers(f), WR_ROOM), wr_not_assumed_words(f->beside[f->n_beside - 1].kind));
    if (result->second[0].known) {
        wr_str_addf(out, " Of the limit of %s that is tried: ", wr_moment(list->limit.limit.minutes, WR_ROOM));
        wr_second_words(&result->second[0], wr_known(list->limit.confidence), out);
        wr_str_add_char(out, '.');
    }
    wr_str_add(out, " What a worse answer says of the other limits, and the limit that it takes, is left out while "
                    "another limit is tried.");
}

/* What stands behind the times of each clock: "limit": {"task": note}. They stay as they are, but which limit on
 * elapsed time asks for the same work sooner does not. */
static void put_clock_notes(struct wr_json *j, json_t *clocks, const struct wr_cutoff_result *result,
                            const struct wr_card_lines *lines)
{
    enum { NOTE = 8 };
    char key[32];

    for (size_t l = 0; l < result->card->n_limit; l++) {
        if (!result->card->list[l].limit.limit.is_clock) continue;
        WR_SCOPED_GRID grid = {0};
        wr_grid_of_card(result, lines, l, &grid);
        snprintf(key, sizeof key, "%zu", l + 1);
        json_t *notes = wr_json_object(j, clocks, key);
        for (size_t r = 0; r < wr_grid_rows(&grid); r++) {
            snprintf(key, sizeof key, "%zu", grid.about[r]);
            wr_json_text(j, notes, key, grid.value[r * grid.n_column + NOTE].text);
        }
    }
}

/* What stands about the card, of this one: "about": [[head, verdicts, what is out of reach, the second answer, the
 * table's caption, how the limit stands, what a start at its bold time is worth, the limit], …]. A card without them
 * would be read under those of another limit. */
static void put_about(struct wr_json *j, json_t *about, const struct wr_page *page,
                      const struct wr_cutoff_result *result, size_t limit, double confidence)
{
    const struct wr_present_context ctx = context_tried(page, limit, confidence);
    json_t *row = wr_json_push_array(j, about);
    WR_SCOPED_STR text = {0};
    const struct wr_chart_input in = {.plan = result->plan,
                                      .forecast = page->forecast->forecast,
                                      .limits = page->forecast->limits,
                                      .confidence = page->context->confidence,
                                      .target = page->context->target,
                                      .cutoff = *result,
                                      .context = &ctx};
    WR_RELEASED_BY(wr_chart_words_release) struct wr_chart_words head = {0};

    if (!wr_chart_missing(WR_CHART_CUTOFF, &in)) wr_chart_words(WR_CHART_CUTOFF, &in, &head);
    wr_json_push_text(j, row, wr_str_text(&head.title));
    add_doubt_tried(&text, page->other, limit, confidence);
    wr_cutoff_verdicts(&ctx, result, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    wr_cutoff_out_of_reach(&ctx, result, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    add_second_tried(page, result, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    page_card_caption(&text, result);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    wr_cutoff_limit_line(result, 0, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    wr_card_exactly(result, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
    wr_str_clear(&text);
    wr_cutoff_limit_words(result, 0, &text);
    wr_json_push_text(j, row, wr_str_text(&text));
}

/* What stands before the answer, on the printed card too, stays there while another limit is tried. */
static void add_of_given(struct wr_str *out, const struct wr_present_context *ctx)
{
    WR_SCOPED_STR longer = {0}, jams = {0};

    wr_context_add_finding(ctx, "task-lengthens", &longer);
    wr_context_add_finding(ctx, "lengthening-decides", &longer);
    wr_context_add_finding(ctx, "tasks-stuck", &jams);
    wr_context_add_finding(ctx, "stuck-decides", &jams);
    const bool excursion = ctx->has_target && ctx->excursion_words;
    if (!excursion && longer.len == 0 && jams.len == 0) return;
    wr_str_addf(out, " What the page says first%s%s%s%s%s is of the limits as given.",
                excursion ? " of the excursion" : "", excursion && longer.len > 0 ? " and" : "",
                longer.len > 0 ? " of what tasks that get longer would cost" : "",
                (excursion || longer.len > 0) && jams.len > 0 ? " and" : "",
                jams.len > 0 ? " of what tasks that get stuck would cost" : "");
}

/* What is tried is the first limit: of the others nothing changes, neither the minutes nor how sure is wanted. */
static void put_kept(struct wr_json *j, const struct wr_page *page)
{
    const struct wr_cutoff_result *given = page->cutoff;
    WR_SCOPED_STR text = {0};

    for (size_t l = 1; l < given->card->n_limit; l++) {
        wr_str_add(&text, l > 1 ? "; " : given->card->n_limit > 2 ? " The other limits stay as they are: "
                                                                  : " The other limit stays as it is: ");
        wr_cutoff_limit_words(given, l, &text);
    }
    if (text.len > 0) wr_str_add_char(&text, '.');
    add_of_given(&text, page->context);
    wr_json_text(j, j->root, "kept", wr_str_text(&text));
}

static void put_cutoffs(struct wr_json *j, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    const struct wr_other_limits *o = page->other;
    struct wr_cutoff_card card = *page->cutoff->card;
    json_t *at = wr_json_array(j, j->root, "at"), *cards = wr_json_array(j, j->root, "card");
    json_t *about = wr_json_array(j, j->root, "about"), *clocks = wr_json_array(j, j->root, "clock");
    WR_SCOPED struct wr_probability *over = WR_NEW_ARRAY(struct wr_probability, card.n_limit);
    WR_SCOPED struct wr_second *second = WR_NEW_ARRAY(struct wr_second, card.n_limit);

    card.list = WR_NEW_ARRAY(struct wr_cutoff_list, card.n_limit);
    for (size_t l = 0; l < card.n_limit; l++) {
        card.list[l] = page->cutoff->card->list[l];
        over[l] = page->cutoff->over[l];
        if (page->cutoff->second) second[l] = page->cutoff->second[l];
    }
    for (size_t c = 0; c < o->n_cut; c++) wr_json_push_count(j, at, o->cut_limit[c]);
    for (size_t i = 0; i < o->n_cut * o->n_confidence; i++) {
        struct wr_cutoff_result result = *page->cutoff;
        if (o->cut_limit[i / o->n_confidence] != o->given_limit) result.first = WR_FIRST_TRIED;
        WR_SCOPED_GRID grid = {0};
        card.list[0] = o->card.list[i];
        result.card = &card;
        over[0] = o->over[o->cut_limit[i / o->n_confidence]];
        second[0] = o->second ? o->second[o->cut_limit[i / o->n_confidence]] : (struct wr_second){0};
        result.over = over;
        result.second = second;
        put_about(j, about, page, &result, o->cut_limit[i / o->n_confidence], o->confidence[i % o->n_confidence]);
        struct wr_card_lines lines = wr_card_lines(&card);
        wr_grid_of_card(&result, &lines, SIZE_MAX, &grid);
        if (*status == WR_OK) *status = wr_grid_check(&grid, err);
        put_card_rows(j, wr_json_row(j, cards), &grid);
        put_clock_notes(j, wr_json_row(j, clocks), &result, &lines);
        wr_card_lines_release(&lines);
    }
    struct wr_cutoff_result early = *page->cutoff;
    early.first = WR_FIRST_UNKNOWN;
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines lines = wr_card_lines(early.card);
    put_clock_notes(j, wr_json_object(j, j->root, "early"), &early, &lines);
    wr_free(card.list);
}

/* An "inside" at a limit that is tried is of no more than this. */
static void add_reach(struct wr_str *out, const struct wr_page *page)
{
    bool several = page->forecast->forecast->n_limit > 1;

    if (!several && !page->context->history_unused) return;
    wr_str_addf(out, "<p class=\"small\">%s%s%s%s.</p>", several ? "Of this limit alone, the others not counted" : "",
                !several                      ? "Of"
                : page->context->history_unused ? ", and of"
                                                : "",
                page->context->history_unused ? " the next rehearsal, not the excursion" : "",
                page->context->history_unused ? ": for that one, <code>report --for excursion</code>" : "");
}

static bool has_cards(const struct wr_page *page)
{
    return page->other->n_cut > 0 && page->other->card.list && page->cutoff && !page->cutoff->update &&
           page->cutoff->card->n_row == page->cutoff->plan->n_task;
}

static void add_wishes(struct wr_str *out, const struct wr_other_limits *o)
{
    wr_str_add(out,
               "<label for=\"try-wish\">Wanted: inside with</label> <select id=\"try-wish\" autocomplete=\"off\">");
    for (size_t w = 0; w < o->n_confidence; w++)
        wr_str_addf(out, "<option value=\"%zu\"%s>%s</option>", w,
                    w == o->given_confidence ? " selected=\"selected\"" : "", wr_percent(o->confidence[w], WR_ROOM));
    wr_str_add(out, "</select>");
}

void page_try(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    const struct wr_other_limits *o = page->other;
    struct wr_json j;
    WR_SCOPED_STR json = {0};

    if (!o || o->n_limit < 2) return;
    wr_json_begin_bare(&j);
    put_sayings(&j, page);
    if (has_cards(page)) {
        put_kept(&j, page);
        put_cutoffs(&j, page, status, err);
    }
    enum wr_status built = wr_json_finish_for_script(&j, &json, *status == WR_OK ? err : NULL);
    if (*status == WR_OK) *status = built;
    wr_str_addf(
        out,
        "<div class=\"try\" id=\"try-box\" hidden><label for=\"try-limit\">Try another limit: <b "
        "id=\"try-at\"></b></label>"
        "<input type=\"range\" id=\"try-limit\" min=\"0\" max=\"%zu\" step=\"1\" value=\"%zu\" autocomplete=\"off\">",
        o->n_limit - 1, o->given_limit);
    add_wishes(out, o);
    wr_str_add(out, " <button type=\"button\" id=\"try-back\">As given</button>"
                    "<output id=\"try-out\" for=\"try-limit try-wish\" aria-live=\"polite\"></output>");
    add_reach(out, page);
    wr_str_add(out, "</div>\n<script type=\"application/json\" id=\"try-data\">");
    wr_str_add(out, wr_str_text(&json));
    wr_str_add(out, "</script>\n");
}
