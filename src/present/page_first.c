/* The first screen: a person who reads nothing else must not be misled. The answer and how sure it is, the forecast as
 * a picture, the caution right below it, what carries the uncertainty. */
#include <string.h>
#include <math.h>
#include "forecast_parts.h"
#include "page_parts.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/excursion_view.h"
#include "wetrun/present/words.h"

static const char *one_such(enum wr_target target)
{
    return target == WR_FOR_EXCURSION ? "excursions" : "rehearsals";
}

static void add_answer(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_forecast *f = page->forecast->forecast;
    WR_SCOPED_STR text = {0}, any = {0};

    wr_context_add_doubtful(page->context, &text);
    wr_str_addf(&text, "%s done by %s, as likely as not.", text.len > 0 ? "all" : "All",
                wr_moment(f->quantile_min[WR_Q50], WR_ROOM));
    if (f->n_limit > 0) {
        const struct wr_probability *over = &f->limit[0].over;
        wr_str_add_char(&text, ' ');
        wr_add_capital(&text, wr_chance(over, WR_ROOM));
        wr_str_addf(&text, " of 100 such %s %s the %s limit", one_such(page->context->target), wr_go_over(over->mean),
                    wr_moment(page->forecast->limits->limit[0].minutes, WR_ROOM));
        struct wr_maybe confidence = wr_wanted_confidence(page->context, page->forecast->limits, 0);
        if (!wr_interval_adds_nothing(over, confidence)) {
            wr_str_add(&text, "; ");
            wr_interval_words(over, confidence, &text);
        }
        forecast_add_second(page->context, page->forecast, &text);
        wr_any_limit_words(f, &any);
        wr_str_add(&text, any.len > 0 ? ". " : ".");
        wr_add_capital(&text, wr_str_text(&any));
        if (any.len > 0) wr_str_add_char(&text, '.');
    }
    page_element(out, "<h1>", wr_str_text(&text), "</h1>\n");
}

/* Beside the verdict on the next rehearsal, which may be taken for one on the excursion. */
static void add_excursion(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR text = {0};

    if (!page->context->excursion_words) return;
    wr_excursion_words(page->context, &text);
    page_sentence(out, "<p>", wr_str_text(&text), "</p>\n");
}

static void add_takes(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR text = {0};

    wr_beside_sentence(page->context, page->forecast, &text);
    if (text.len > 0) page_element(out, "<p class=\"takes\">", wr_str_text(&text), "</p>\n");
    wr_str_clear(&text);
    wr_takes_sentence(page->context, page->forecast, &text);
    if (text.len > 0) page_element(out, "<p class=\"takes\">", wr_str_text(&text), "</p>\n");
    wr_str_clear(&text);
    wr_planned_sentence(page->context, page->forecast, &text);
    wr_context_add_finding(page->context, "learning-open", &text);
    wr_context_add_finding(page->context, "learning-short-tasks", &text);
    wr_context_add_finding(page->context, "task-lengthens", &text);
    wr_context_add_finding(page->context, "lengthening-decides", &text);
    wr_context_add_finding(page->context, "tasks-stuck", &text);
    wr_context_add_finding(page->context, "stuck-decides", &text);
    if (text.len > 0) page_element(out, "<p class=\"takes\">", wr_str_text(&text), "</p>\n");
    wr_str_clear(&text);
    wr_not_in_it_sentence(page->context, page->forecast, &text);
    if (text.len > 0) page_element(out, "<p class=\"takes\">", wr_str_text(&text), "</p>\n");
}

static const char *why(enum wr_verdict verdict, bool has_ends)
{
    switch (verdict) {
    case WR_VERDICT_INSIDE: return has_ends ? "is within that up to its upper end" : "is within that";
    case WR_VERDICT_NOT_INSIDE: return has_ends ? "is beyond that from its lower end on" : "is beyond that";
    case WR_VERDICT_CANNOT_TELL: break;
    }
    return "lies on both sides of that";
}

static void add_interval_and_why(struct wr_str *out, const struct wr_page *page, const struct wr_limit_outlook *limit,
                                 struct wr_maybe confidence)
{
    const struct wr_probability *over = &limit->over;
    const struct wr_grounds grounds = wr_context_grounds(page->context);
    WR_SCOPED_STR cell = {0}, text = {0};

    if (!over->no_interval) wr_interval_cell(over, confidence, &cell);
    if (cell.len > 0) page_element(out, ": the 90 % interval, ", wr_str_text(&cell), ", ");
    else wr_str_add(out, ": the number itself, which has no interval, ");
    wr_str_add(&text, why(wr_verdict_on(over, confidence.value), !over->no_interval));
    wr_lack_words(", but ", wr_verdict_lacks(over, &limit->second, confidence.value, grounds), grounds,
                  page->context->complete_by, &limit->second, confidence.value, &text);
    wr_str_add_char(&text, '.');
    page_say(out, wr_str_text(&text));
}

/* The verdict above is the first limit's alone: a limit that is not kept for sure must not hide below it. */
static void add_other_verdicts(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_limits *limits = page->forecast->limits;
    const struct wr_forecast *f = page->forecast->forecast;
    WR_SCOPED_STR lack = {0};

    for (size_t l = 1; l < f->n_limit; l++) {
        struct wr_maybe wanted = wr_wanted_confidence(page->context, limits, l);
        if (!wanted.known) continue;
        enum wr_verdict verdict = forecast_verdict(page->context, &f->limit[l], wanted.value);
        if (verdict == WR_VERDICT_INSIDE) continue;
        page_element(out, "<p class=\"verdict\"><bdi>", limits->limit[l].name, "</bdi>");
        wr_str_addf(out, ": <b%s>", verdict == WR_VERDICT_CANNOT_TELL ? " class=\"open\"" : "");
        wr_add_capital(out, wr_verdict_said(verdict, wr_context_grounds(page->context)));
        wr_str_add(out, "</b>");
        forecast_add_lack(page->context, &f->limit[l], wanted, &lack);
        page_element(out, "", wr_str_text(&lack), ".</p>\n");
        wr_str_clear(&lack);
    }
}

static void add_verdict(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_forecast *f = page->forecast->forecast;

    if (f->n_limit == 0) {
        wr_str_add(out,
                   "<p class=\"verdict\">No limit was given, so this page says nothing about going over one.</p>\n");
        return;
    }
    struct wr_maybe confidence = wr_wanted_confidence(page->context, page->forecast->limits, 0);
    if (!confidence.known) {
        wr_str_add(out, "<p class=\"verdict\">What is wanted was not said, so there is no verdict.</p>\n");
        return;
    }
    enum wr_verdict verdict = forecast_verdict(page->context, &f->limit[0], confidence.value);
    wr_str_add(out, "<p class=\"verdict\">");
    if (f->n_limit > 1) page_element(out, "<bdi>", page->forecast->limits->limit[0].name, "</bdi>. ");
    wr_str_addf(out, "Wanted: at most %s of 100. <b%s>", wr_allowed_of_100(confidence.value, WR_ROOM),
                verdict == WR_VERDICT_CANNOT_TELL ? " class=\"open\"" : "");
    wr_add_capital(out, wr_verdict_said(verdict, wr_context_grounds(page->context)));
    wr_str_add(out, "</b>");
    if (page->context->n_run > 0)
        add_interval_and_why(out, page, &f->limit[0], confidence);
    else
        wr_str_addf(out,
                    "%s nothing was rehearsed. The numbers rest on judgement alone, and leave out how far that may be "
                    "off.",
                    wr_is_in_doubt(wr_context_grounds(page->context)) ? "; and" : ":");
    wr_str_add(out, "</p>\n");
}

/* With the marks that the chart of the same has. */
static void add_carrier(struct wr_str *out, const char *name, const struct wr_variance_part *part)
{
    bool is_task = part->kind == WR_PART_TASK;

    page_element(out, "<li><span><bdi>", name, "</bdi></span>");
    wr_str_addf(out, "<span class=\"n\">%s</span><span class=\"dots\" aria-hidden=\"true\">",
                wr_percent(part->share, WR_ROOM));
    for (unsigned i = 0; i < part->n_mark; i++) wr_str_add(out, is_task ? "\xe2\x97\x8f" : "\xe2\x96\xa1");
    wr_str_add(out, "</span></li>\n");
}

/* The strongest tasks by name, then what no single task carries. */
static void add_carriers(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_forecast *f = page->forecast->forecast;
    struct wr_variance_part part[WR_PARTS_MOST];
    size_t n = wr_variance_parts(f, part), n_strongest;
    WR_SCOPED_STR head = {0};

    wr_strongest_share(f, &n_strongest);
    wr_carriers_words(f, &head);
    page_element(out, "<section aria-labelledby=\"h-carry\"><h2 id=\"h-carry\">", wr_str_text(&head), "</h2>\n");
    wr_str_add(out, "<ol class=\"carry\">\n");
    for (size_t i = 0; i < n_strongest; i++)
        add_carrier(out, page->forecast->plan->task[part[i].task].title, &part[i]);
    for (size_t i = n_strongest; i < n; i++) /* what is given has nothing unknown */
        if (part[i].kind > WR_PART_OTHER_TASKS && part[i].share >= 0.0005)
            add_carrier(out, wr_part_words(part[i].kind), &part[i]);
    wr_str_add(out, "</ol></section>\n");
}

static void add_caution(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR text = {0};

    wr_caution_short(page->context, &text);
    page_element(out, "<p class=\"caution\"><b>Caution.</b> ", wr_str_text(&text), "</p>\n");
}

/* ---- what to do, and what the evidence is ---- */

static void add_pad_advice(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_pad *pad = page->pad->pad;
    struct wr_planned_count n = wr_planned_count(pad);
    size_t worst = SIZE_MAX;

    for (size_t k = 0; k < pad->n_task; k++) {
        if (!wr_pad_is_short(&pad->task[k])) continue;
        if (worst == SIZE_MAX || wr_pad_by_falling_shortfall(&pad->task[k], &pad->task[worst]) < 0) worst = k;
    }
    if (worst == SIZE_MAX) return;
    wr_str_addf(out, "<li><b>Allow</b> %s more than planned for ",
                wr_minutes(wr_pad_shown_shortfall(&pad->task[worst]).value, WR_ROOM));
    page_element(out, "<bdi>", page->pad->plan->task[worst].title, "</bdi>");
    if (n.n_short > 1)
        wr_str_addf(out, "; %s more planned time%s shorter than median and pad", wr_count_words(n.n_short - 1, WR_ROOM),
                    n.n_short == 2 ? " is" : "s are");
    wr_str_add(out, ".</li>\n");
}

static void add_trust(struct wr_str *out, const struct wr_cutoff_row *row)
{
    WR_SCOPED_STR trust = {0};

    if (wr_cutoff_trust_words(row, &trust)) wr_str_addf(out, " (%s)", wr_str_text(&trust));
}

/* By when the task must have begun, or is to be let go: the earliest time to begin by of the limits that leaving it out
 * sooner than planned is shown to help, else the plan's time if its rule is. Unknown: neither is. row: of the
 * first. */
static struct wr_maybe drop_by_min(const struct wr_page *page, size_t i, const struct wr_cutoff_row **row)
{
    const struct wr_cutoff_result *cutoff = page->cutoff;
    const size_t task = cutoff->card->list[0].row[i].task;
    const double planned = cutoff->plan->task[task].drop_after_min.value;
    struct wr_maybe by = WR_UNKNOWN;

    *row = NULL;
    for (size_t p = 0; p < page->forecast->n_price; p++) {
        const struct wr_drop_price *price = &page->forecast->price[p];
        const bool may_add = page->forecast->limits->limit[price->limit].is_clock ||
                             page->forecast->n_price > page->forecast->limits->n_limit;
        if (price->task == task && wr_rule_gain_of(&price->rule, may_add) == WR_GAIN_HELPS) by = wr_known(planned);
    }
    for (size_t l = 0; l < cutoff->card->n_limit; l++) {
        const struct wr_binding_cutoff of = wr_cutoff_of_limit(cutoff->card, l, i);
        if (cutoff->card->list[l].limit.limit.is_clock || of.what != WR_BINDING_FOUND) continue;
        if (of.row->drop_rule_first || !wr_leaving_out_helps(cutoff, task, l)) continue;
        if (by.known && by.value <= of.row->latest_start_min) continue;
        by = wr_known(fmin(of.row->latest_start_min, planned));
        *row = of.row;
    }
    return by;
}

/* Some limit would be helped by the plan's drop time of the task, if more trials showed it. */
static bool rule_awaits_trials(const struct wr_page *page, size_t task)
{
    for (size_t p = 0; p < page->forecast->n_price; p++) {
        const struct wr_drop_price *price = &page->forecast->price[p];
        if (price->task == task && price->rule.mean > 0 && wr_gain_awaits_trials(&price->rule, 100)) return true;
    }
    return false;
}

/* Behind a time to begin by that no slow day may take for its own. */
static const char *of_outside(const struct wr_page *page)
{
    return page->cutoff->imposed ? ", for a delay from outside alone" : "";
}

static bool rules_help_together(const struct wr_forecast_result *f)
{
    for (size_t i = 0; i < f->n_price; i++)
        if (wr_rule_gain_of(&f->price[i].all_rules, f->limits->limit[f->price[i].limit].is_clock) == WR_GAIN_HELPS)
            return true;
    return false;
}

/* Get-ahead work is let go first: those tasks by name, with the time by which they must have begun. Where letting one
 * go when it is late is not shown to help any limit, that is said instead; without it from the start may do so. */
static void add_drop_advice(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_cutoff_card *card = page->cutoff->card;
    size_t n = 0, n_idle = 0, n_open = 0;
    WR_SCOPED_STR buys = {0}, idle = {0}, open = {0};

    for (size_t i = 0; i < card->n_row; i++) {
        const struct wr_plan_task *task = &page->cutoff->plan->task[card->list[0].row[i].task];
        const struct wr_cutoff_row *row;
        if (!task->drop_after_min.known || wr_binding_cutoff(card, i).what != WR_BINDING_FOUND) continue;
        const struct wr_maybe by = drop_by_min(page, i, &row);
        if (!by.known) {
            bool awaits = rule_awaits_trials(page, card->list[0].row[i].task);
            struct wr_str *list = awaits ? &open : &idle;
            size_t *n_listed = awaits ? &n_open : &n_idle;
            page_element(list, (*n_listed)++ ? "; <bdi>" : "<bdi>", task->title, "</bdi>");
            wr_str_addf(list, " when late (after %s)", wr_moment(task->drop_after_min.value, WR_ROOM));
            continue;
        }
        page_element(out, n++ ? ", <bdi>" : "<li><b>Drop</b> <bdi>", task->title, "</bdi>");
        wr_str_addf(out, n == 1 ? " if it cannot begin by %s" : " by %s", wr_moment_by(by.value, WR_ROOM));
        if (row) wr_str_add(out, of_outside(page));
        if (by.value < task->drop_after_min.value - 0.5)
            wr_str_addf(out, " (the plan says %s, which drops it less often)",
                        wr_moment(task->drop_after_min.value, WR_ROOM));
        if (row) add_trust(out, row);
    }
    wr_rules_buy_words(page->forecast, &buys);
    if (n > 0 && n_open + n_idle > 0) wr_str_add(out, ".</li>\n");
    if (n_open > 0)
        wr_str_addf(out, "<li><b>With more trials it may be said</b> (--trials) whether dropping %s helps a limit: %s",
                    wr_str_text(&open), n_open == 1 ? "that alone" : "each of these alone");
    if (n_open > 0 && n_idle > 0) wr_str_add(out, ".</li>\n");
    if (n_idle > 0) {
        bool together = n_idle > 1 && rules_help_together(page->forecast);
        wr_str_addf(out, "<li><b>%s</b> %s: %s is not shown to help any limit",
                    together ? "Drop together, or count on none:" : "Do not count on dropping", wr_str_text(&idle),
                    n_idle == 1 ? "that alone" : "each of these alone");
    }
    if (n + n_open + n_idle == 0) return;
    if (buys.len > 0) page_element(out, ". As planned, ", wr_str_text(&buys), "");
    wr_str_add(out, ".</li>\n");
}

/* Whether a row is the better one to watch: the least slack; of those shown alike, who holds up the others oftenest. */
static bool is_tighter(const struct wr_page *page, const struct wr_cutoff_row *row, const struct wr_cutoff_row *than)
{
    double shown = wr_shown_slack_min(row), shown_than = wr_shown_slack_min(than);

    if (shown != shown_than) return shown < shown_than;
    if (!page->pad) return row->slack_min < than->slack_min;
    return page->pad->pad->task[row->task].on_longest_path > page->pad->pad->task[than->task].on_longest_path;
}

/* Where a limit is beyond reach no moment to begin by is leave to begin: what it takes stands above, and comes
 * first. */
static bool may_begin(const struct wr_page *page)
{
    const struct wr_cutoff_card *card = page->cutoff->card;

    if (!wr_has_binding_cutoffs(card)) return false;
    for (size_t i = 0; i < card->n_row; i++)
        if (wr_binding_cutoff(card, i).what == WR_BINDING_OPENS) return false;
    return true;
}

/* The row that this line of the card would be to watch; NULL: none. A time that only says how late the days looked at
 * begin, or when it may begin at all, is no cut-off, and how tight it looks says nothing; nor is a clock's time where
 * elapsed time leaves the same task less. */
static const struct wr_cutoff_row *to_watch(const struct wr_page *page, const struct wr_card_line *line)
{
    const struct wr_cutoff_card *card = page->cutoff->card;
    const struct wr_cutoff_row *row = line->cutoff.row;

    if (line->is_head || line->cutoff.what != WR_BINDING_FOUND || row->typical_start_min <= 0) return NULL;
    if (row->beyond_range || row->at_earliest || page->cutoff->plan->task[row->task].drop_after_min.known) return NULL;
    struct wr_binding_cutoff own;
    if (wr_is_sooner_elapsed(page->cutoff, line, &own)) return NULL;
    bool in_reach = line->clock == SIZE_MAX ? may_begin(page) : wr_cutoff_is_kept(&card->list[line->clock]);
    return in_reach ? row : NULL;
}

static void add_as_tight(struct wr_str *out, const struct wr_page *page, const struct wr_card_lines *lines,
                         const struct wr_cutoff_row *tightest)
{
    size_t n = 0, n_task = page->cutoff->plan->n_task;
    WR_SCOPED unsigned char *counted = WR_NEW_ARRAY(unsigned char, n_task);

    counted[tightest->task] = 1; /* it may stand on a clock as well */
    for (size_t i = 0; i < lines->n; i++) {
        const struct wr_cutoff_row *row = to_watch(page, &lines->line[i]);
        if (!row || counted[row->task] || wr_shown_slack_min(row) != wr_shown_slack_min(tightest)) continue;
        counted[row->task] = 1;
        n++;
    }
    if (n > 0) wr_str_addf(out, "; %s other task%s as little", wr_count_words(n, WR_ROOM), n == 1 ? " has" : "s have");
}

/* For which limit, where it is not the first; a clock's time is read from another moment. */
static void add_watched_limit(struct wr_str *out, const struct wr_page *page, const struct wr_card_line *line)
{
    const struct wr_sim_limit *limit = &page->cutoff->card->list[line->cutoff.limit].limit.limit;

    if (line->cutoff.limit == 0 && !limit->is_clock) return;
    page_element(out, ", for <bdi>", page->cutoff->limit_name[line->cutoff.limit], "</bdi>");
    if (limit->is_clock)
        page_element(out, ", read from when <bdi>", page->cutoff->plan->task[limit->from].title, "</bdi> begins");
}

/* Little slack for one limit is no reason to think of another that it has some. */
static void add_without_slack(struct wr_str *out, const struct wr_page *page, size_t watched)
{
    const struct wr_cutoff_card *card = page->cutoff->card;

    for (size_t l = 0; l < card->n_limit; l++) {
        if (l == watched || wr_cutoff_is_kept(&card->list[l])) continue;
        page_element(out, "; <bdi>", page->cutoff->limit_name[l], "</bdi>");
        wr_str_addf(out, ", %s, is not kept as surely as wanted%s",
                    wr_moment(card->list[l].limit.limit.minutes, WR_ROOM),
                    card->list[l].limit.limit.is_clock ? "" : ", even begun on time");
    }
}

static void add_slack_advice(struct wr_str *out, const struct wr_page *page)
{
    WR_RELEASED_BY(wr_card_lines_release) struct wr_card_lines lines = wr_card_lines(page->cutoff->card);
    const struct wr_card_line *tightest = NULL;

    for (size_t i = 0; i < lines.n; i++) {
        const struct wr_cutoff_row *row = to_watch(page, &lines.line[i]);
        if (row && (!tightest || is_tighter(page, row, tightest->cutoff.row))) tightest = &lines.line[i];
    }
    if (tightest) {
        const struct wr_cutoff_row *row = tightest->cutoff.row;
        page_element(out, "<li><b>Watch</b> <bdi>", page->cutoff->plan->task[row->task].title, "</bdi>: ");
        wr_str_addf(out, "it must begin by %s%s, ", wr_moment_by(row->latest_start_min, WR_ROOM), of_outside(page));
        if (row->slack_min >= 0)
            wr_str_addf(out, "with only %s of slack", wr_minutes_whole(wr_shown_slack_min(row), WR_ROOM));
        else wr_str_addf(out, "%s before it usually does", wr_minutes_whole(-wr_shown_slack_min(row), WR_ROOM));
        add_watched_limit(out, page, tightest);
        add_trust(out, row);
        add_as_tight(out, page, &lines, row);
        add_without_slack(out, page, tightest->cutoff.limit);
        wr_str_add(out, ".</li>\n");
    }
}

/* "the interval would narrow from 17 to about 14 of 100", as far as the numbers bear it out. */
static void add_width(struct wr_str *out, const struct wr_needed_limit *of, const struct wr_runs_needed_row *row)
{
    int decimals = row->width.value < 0.1; /* hundredths are known no better where the interval is wide */
    double now = 100 * of->width, then = 100 * row->width.value;

    if (!wr_narrows(of, row)) wr_str_addf(out, "the interval, now %.*f of 100 wide, would ", decimals, now);
    switch (wr_narrowing_of(of, row)) {
    case WR_NARROWS:
        wr_str_addf(out, "the interval would narrow from %.*f to about %.*f of 100, by about ", decimals, now, decimals,
                    then);
        wr_narrower_words(of, row, out);
        break;
    case WR_WIDENS: wr_str_add(out, "rather widen, on average"); break;
    case WR_HARDLY_NARROWS: wr_str_add(out, "hardly narrow"); break;
    case WR_NARROWING_OPEN: wr_str_add(out, "narrow by no more than these simulations can tell"); break;
    }
}

static double clear_on_either_side(const struct wr_runs_needed_row *row)
{
    return row->clear_inside.value + row->clear_outside.value;
}

/* What two more rehearsals, or the nearest number that was looked at, would add, and as many as "inside" takes at
 * least; fewer, where they answer as often as far as is known and narrow the interval if those do. */
static const struct wr_runs_needed_row *to_rehearse(const struct wr_needed_limit *of, size_t n_row, size_t n_complete)
{
    const struct wr_runs_needed_row *row = of->row;

    for (size_t i = 1; i < n_row; i++)
        if (of->row[i].further <= 2 || n_complete + row->further < WR_FEWEST_COMPLETE) row = &of->row[i];
    for (const struct wr_runs_needed_row *r = row; r-- > of->row;) {
        double error = row->clear_inside.error + row->clear_outside.error;
        if (clear_on_either_side(r) + error >= clear_on_either_side(row) && (wr_narrows(of, r) || !wr_narrows(of, row)))
            row = r;
    }
    return row;
}

/* A second answer keeps the limit from being inside: no number of rehearsals, but which. */
static void add_settling_advice(struct wr_str *out, const struct wr_needed_limit *of)
{
    WR_SCOPED_STR what = {0};

    wr_settled_by_words(of->second.kind, &what);
    wr_str_addf(out, "<li><b>Rehearse</b> %s if the answer", wr_str_text(&what));
    if (of->name) page_element(out, " on the limit <bdi>", of->name, "</bdi>");
    wr_str_add(out, " is worth it: until then the second answer stands in the way of "
                    "\xe2\x80\x9cinside\xe2\x80\x9d, whatever other rehearsals show.</li>\n");
}

/* Why so many: with fewer no limit counts as kept. */
static void add_fewest(struct wr_str *out, const struct wr_page *page, const struct wr_runs_needed_row *row)
{
    const size_t n = page->context->n_complete_run;

    if (n >= WR_FEWEST_COMPLETE || wr_count_of_100(row->clear_inside.value) == 0) return;
    wr_str_addf(out,
                "\xe2\x80\x9cinside\xe2\x80\x9d takes %s complete rehearsals%s, of which there %s %s; after %s more ",
                wr_count_words(WR_FEWEST_COMPLETE, WR_ROOM), wr_or_nothing(page->context->complete_by),
                n > 1 ? "are" : "is", n ? wr_count_words(n, WR_ROOM) : "none", wr_count_words(row->further, WR_ROOM));
}

/* What the same days would do for the limits that are open beside the one named first. */
static void add_other_limits(struct wr_str *out, const struct wr_page *page, const struct wr_needed_limit *first,
                             size_t at)
{
    for (size_t l = 0; l < wr_n_needed_limit(page->runs_needed); l++) {
        const struct wr_needed_limit of = wr_needed_limit(page->runs_needed, l);
        if (of.over == first->over || of.held || !wr_needed_is_open(page->runs_needed, &of)) continue;
        page_element(out, " On the limit <bdi>", of.name, "</bdi>, after as many: ");
        add_width(out, &of, &of.row[at]);
        wr_str_add(out, ", and the answer be ");
        wr_clear_words(&of.row[at], out);
        wr_str_add_char(out, '.');
    }
}

/* Nothing to say when the answer is clear; where it would hardly become so, that: an interval that narrows and stays on
 * both sides of what is wanted is no answer. */
static void add_rehearse_advice(struct wr_str *out, const struct wr_page *page)
{
    const double hardly = 0.1;
    struct wr_needed_limit of;

    if (page->runs_needed->needed->n_row == 0) return;
    if (wr_held_limit(page->runs_needed, &of)) add_settling_advice(out, &of);
    if (!wr_open_limit(page->runs_needed, &of) || of.held || page->context->doubt) return; /* first what is doubted */
    const struct wr_runs_needed_row *row = to_rehearse(&of, page->runs_needed->needed->n_row,
                                                       page->context->n_complete_run);
    bool tells = clear_on_either_side(row) >= hardly;
    const char *more = wr_count_words(row->further, WR_ROOM), *times = row->further == 1 ? "time" : "times";
    if (tells) wr_str_addf(out, "<li><b>Rehearse</b> %s more %s if the answer", more, times);
    else wr_str_addf(out, "<li><b>Rehearsing</b> %s more %s would hardly bring the answer", more, times);
    if (of.name) page_element(out, " on the limit <bdi>", of.name, "</bdi>");
    wr_str_add(out, tells ? " is worth it: " : ": ");
    add_fewest(out, page, row);
    add_width(out, &of, row);
    wr_str_add(out, ", and the answer be ");
    wr_clear_words(row, out);
    wr_str_add_char(out, '.');
    add_other_limits(out, page, &of, (size_t)(row - of.row));
    if (!page->runs_needed->no_learning && wr_narrows(&of, row))
        wr_str_add(out, " That is about the run that is forecast now: one further on would be credited more learning, "
                        "and need not have so narrow an interval.");
    if (page->context->history_unused) wr_str_addf(out, " %s", wr_carry_over_stays);
    wr_str_add(out, "</li>\n");
}

/* Only where the answer is clear: what cannot be told yet calls for no change of the timeline. */
static void add_late_advice(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_limits *limits = page->forecast->limits;
    const struct wr_forecast *f = page->forecast->forecast;
    const struct wr_plan *plan = page->forecast->plan;

    for (size_t l = 0; l < f->n_limit; l++) {
        const struct wr_limit *limit = &limits->limit[l];
        struct wr_maybe wanted = wr_wanted_confidence(page->context, limits, l);
        if (!wanted.known || forecast_verdict(page->context, &f->limit[l], wanted.value) != WR_VERDICT_NOT_INSIDE)
            continue;
        if (limit->is_clock) {
            page_element(out, "<li><b>Shorten</b> the way from the begin of <bdi>", plan->task[limit->from].title,
                         "</bdi> ");
            page_element(out, "to the end of <bdi>", plan->task[limit->to].title, "</bdi>: ");
        } else {
            wr_str_add(out, "<li><b>Shorten</b> the timeline: ");
        }
        page_element(out, "<bdi>", limit->name, "</bdi>");
        wr_str_addf(out, ", %s, is not kept with %s confidence%s.</li>\n", wr_moment(limit->minutes, WR_ROOM),
                    wr_percent(wanted.value, WR_ROOM), limit->is_clock ? "" : " even begun on time");
    }
}

/* A limit that is not kept as it stands comes before any slack, also where rehearsals are too few to be sure of it. */
static void add_reach_advice(struct wr_str *out, const struct wr_page *page)
{
    for (size_t l = 0; l < page->cutoff->card->n_limit; l++) {
        WR_SCOPED_STR text = {0};
        wr_cutoff_likelier_not_kept(page->context, page->cutoff, l, &text);
        if (text.len > 0) page_element(out, "<li><b>Find time.</b> ", wr_str_text(&text), "</li>\n");
    }
}

/* Rows that were not read are times that are there already: to mend them costs less than any rehearsal. */
static void add_mend_advice(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    const struct wr_present_finding *first = NULL;
    size_t n = 0;

    for (size_t i = 0; i < ctx->n_finding; i++) {
        const struct wr_present_finding *f = &ctx->finding[i];
        if (f->severity != WR_ERROR || strncmp(f->code, "row-", 4) != 0 || !f->file) continue;
        n += f->n;
        if (!first || f->place < first->place) first = f;
    }
    if (n > 0) {
        wr_str_addf(out, "<li><b>Mend the log</b> first: %s of its rows %s rejected, ", wr_count_words(n, WR_ROOM),
                    n == 1 ? "was" : "were");
        page_element(out, n == 1 ? "<bdi>" : "the first <bdi>", wr_without_folders(first->file), "</bdi>");
        wr_str_addf(out, ":%zu. What was done there counts, and may answer what a further rehearsal would; "
                         "<code>wetrun check</code> says what to type.</li>\n", first->line);
    } else if (ctx->doubt) {
        wr_str_add(out, "<li><b>Settle the doubt</b> at the head of this page first: the rest hangs on it.</li>\n");
    }
}

/* All advice goes by the first answer: what the worse one takes may be more than any of it gives. */
static void add_answers_apart(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_forecast_result *r = page->forecast;
    WR_SCOPED_STR worse = {0};

    if (wr_n_answers(r) == 1) return;
    wr_worse_answers_words(page->context, r, &worse);
    wr_str_addf(out, "<li><b>Mind which answer.</b> What is said here goes by the first of %s answers, %s.",
                wr_count_words(wr_n_answers(r), WR_ROOM), wr_not_assumed_words(r->beside[r->n_beside - 1].kind));
    page_element(out, "", wr_str_text(&worse), "</li>\n");
}

/* What is said here is of the next rehearsal: of the excursion there is another answer. */
static void add_excursion_advice(struct wr_str *out, const struct wr_page *page)
{
    if (!page->context->excursion_words) return;
    wr_str_add(out, "<li><b>Look at the excursion</b> before you decide on it: the verdict, and all that is said "
                    "here, is of the next rehearsal");
    if (page->context->excursion) {
        wr_str_add(out, "; of the excursion ");
        wr_excursion_half_words(page->context, out);
    }
    wr_str_add(out, ". <code>wetrun report --for excursion</code> makes a page about it.</li>\n");
}

static void add_advice(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR items = {0};

    add_excursion_advice(&items, page);
    add_mend_advice(&items, page);
    add_late_advice(&items, page);
    if (page->cutoff) add_reach_advice(&items, page);
    if (page->pad) add_pad_advice(&items, page);
    if (page->cutoff && may_begin(page)) add_drop_advice(&items, page);
    if (page->cutoff) add_slack_advice(&items, page);
    if (page->runs_needed) add_rehearse_advice(&items, page);
    if (items.len > 0) {
        wr_str_add(out, "<section aria-labelledby=\"h-next\"><h2 id=\"h-next\">Do next</h2>\n<ul>\n");
        add_answers_apart(out, page);
        wr_str_add_bytes(out, items.text, items.len);
        wr_str_add(out, "</ul></section>\n");
    }
}

const char *page_evidence_class(enum wr_evidence evidence)
{
    switch (evidence) {
    case WR_EVIDENCE_MET: return "met";
    case WR_EVIDENCE_NOT_MET: return "not";
    case WR_EVIDENCE_NOT_JUDGED:
    case WR_EVIDENCE_NOT_ENOUGH: break;
    }
    return "open";
}

static void add_tally(struct wr_str *out, size_t n, enum wr_evidence evidence)
{
    wr_str_addf(out, "<span class=\"mark %s\" aria-hidden=\"true\"></span>%zu %s", page_evidence_class(evidence), n,
                wr_evidence_words(evidence));
}

static void add_unmet(struct wr_str *out, const struct wr_page *page, enum wr_evidence evidence)
{
    WR_SCOPED_STR asked = {0};

    for (int i = 0; i < WR_N_CRITERION; i++) {
        const struct wr_criterion_result *c = &page->ready->ready->result[i];
        if (!c->on || c->evidence != evidence) continue;
        wr_str_clear(&asked);
        wr_criterion_asked(page->ready, (enum wr_criterion_id)i, &asked);
        wr_str_addf(out, "<li><span class=\"mark %s\" aria-hidden=\"true\"></span>%s: ",
                    page_evidence_class(evidence), wr_evidence_words(evidence));
        page_element(out, "", wr_str_text(&asked), "");
        wr_str_clear(&asked);
        wr_criterion_against_verdict(page->ready, (enum wr_criterion_id)i, &asked);
        if (asked.len > 0) page_element(out, ": not met ", wr_str_text(&asked), "");
        wr_str_add(out, "</li>\n");
    }
}

static void add_evidence(struct wr_str *out, const struct wr_page *page)
{
    if (!page->ready) return;
    const struct wr_ready *r = page->ready->ready;
    wr_str_add(out, "<section aria-labelledby=\"h-evidence\"><h2 id=\"h-evidence\">Evidence</h2>\n<p class=\"tally\">");
    add_tally(out, r->n_met, WR_EVIDENCE_MET);
    wr_str_add(out, " · ");
    add_tally(out, r->n_not_met, WR_EVIDENCE_NOT_MET);
    wr_str_add(out, " · ");
    add_tally(out, r->n_not_enough, WR_EVIDENCE_NOT_ENOUGH);
    wr_str_add(out, "</p>\n");
    WR_SCOPED_STR own = {0};
    wr_ready_own_criteria(r, &own);
    if (own.len) page_element(out, "<p class=\"small\">", own.text + 1, "</p>\n");
    wr_str_add(out, "<ul>\n");
    add_unmet(out, page, WR_EVIDENCE_NOT_MET);
    add_unmet(out, page, WR_EVIDENCE_NOT_ENOUGH);
    wr_str_add(out,
               "</ul>\n<p class=\"small\"><a href=\"#review\">All criteria, with what was found</a></p></section>\n");
}

/* What the files hold that may move the answer, as every command begins with it. */
static void add_found(struct wr_str *out, const struct wr_page *page)
{
    WR_SCOPED_STR text = {0};

    wr_context_found_words(page->context, &text);
    if (text.len > 0) {
        page_element(out, "<p class=\"takes\">", wr_str_text(&text), "");
        wr_str_add(out, page->check ? " <a href=\"#findings\">All that was found</a></p>\n" : "</p>\n");
    }
}

/* A second answer that belongs beside the first, with what calls for it. */
static void add_beside(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR text = {0};
    struct wr_grid grid;

    wr_beside_words(page->forecast, &text);
    if (text.len) page_sentence(out, "<p>", wr_str_text(&text), "</p>\n");
    if (page->forecast->n_beside == 0) return;
    wr_grid_of_beside(page->context, page->forecast, &grid);
    wr_str_add(out, "<div class=\"beside\">\n");
    WR_SCOPED_STR caption = {0};
    wr_add_capital(&caption, wr_count_words(1 + page->forecast->n_beside, WR_ROOM));
    wr_str_add(&caption, " answers, side by side");
    page_table(out, page, &grid, &(struct wr_html_table){"t-beside", wr_str_text(&caption), WR_HTML_PLAIN}, status,
               err);
    wr_grid_of_beside_others(page->forecast, &grid);
    if (wr_grid_rows(&grid) > 0)
        page_table(out, page, &grid,
                   &(struct wr_html_table){"t-beside-others",
                                           wr_n_answers(page->forecast) > 2 ? "The worse answers on the other limits"
                                                                            : "The worse answer on the other limits",
                                           WR_HTML_PLAIN},
                   status, err);
    else wr_grid_release(&grid);
    wr_str_add(out, "</div>\n");
}

void page_first_screen(struct wr_str *out, const struct wr_page *page, enum wr_status *status, struct wr_error *err)
{
    struct wr_grid finish;

    wr_str_add(out, "<div class=\"in\">\n");
    if (page->context->doubt) page_sentence(out, "<p class=\"verdict\"><b>", page->context->doubt, "</b></p>\n");
    page_modelled(out, page->context, "<p class=\"verdict\"><b>", "</b></p>\n");
    add_answer(out, page);
    add_verdict(out, page);
    if (page->forecast->forecast->n_limit > 1) add_other_verdicts(out, page);
    add_excursion(out, page);
    add_takes(out, page);
    add_found(out, page);
    add_beside(out, page, status, err);
    wr_str_add(out, "<div class=\"first\">\n<div>\n");
    if (!page_figures(out, page, WR_AT_FIRST, 2)) {
        wr_grid_of_finish(page->forecast, &finish);
        page_table(out, page, &finish, &(struct wr_html_table){"t-finish-first", "When all are done", WR_HTML_PLAIN},
                   status, err);
    }
    add_caution(out, page);
    if (page->no_charts) page_sentence(out, "<p class=\"missing\">Charts are missing: ", page->no_charts, "</p>\n");
    page_try(out, page, status, err);
    wr_str_add(out, "</div>\n<div class=\"side\">\n");
    add_carriers(out, page);
    add_advice(out, page);
    add_evidence(out, page);
    wr_str_add(out, "</div>\n</div>\n</div>\n");
}
