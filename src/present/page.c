#include "wetrun/present/page.h"

#include <inttypes.h>
#include <math.h>
#include <string.h>
#include "page_files.h"
#include "forecast_parts.h"
#include "page_parts.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/io/digest.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/utf8.h"
#include "wetrun/present/words.h"

enum { LONG_CHART = 40 }; /* tasks: more rows cannot be read on half a sheet */

void page_say(struct wr_str *out, const char *text)
{
    wr_escape_html(out, text);
}

void page_element(struct wr_str *out, const char *open, const char *text, const char *close)
{
    wr_str_add(out, open);
    page_say(out, text);
    wr_str_add(out, close);
}

static const char *end_of_command(const char *after)
{
    size_t n = strspn(after, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -_.,:=/@");

    return n > 0 && after[n] == '`' ? after + n : NULL;
}

void page_sentence(struct wr_str *out, const char *open, const char *text, const char *close)
{
    wr_str_add(out, open);
    for (const char *tick; (tick = strchr(text, '`')) != NULL;) {
        const char *end = end_of_command(tick + 1);
        wr_escape_html_bytes(out, text, (size_t)(tick - text) + (end == NULL));
        text = tick + 1;
        if (!end) continue;
        wr_str_add(out, "<code>");
        wr_escape_html_bytes(out, text, (size_t)(end - text));
        wr_str_add(out, "</code>");
        text = end + 1;
    }
    page_element(out, "", text, close);
}

static bool is_drawn(const struct wr_page_figure *f)
{
    return f->wide || f->slim;
}

static void add_figure(struct wr_str *out, const struct wr_page_figure *f, bool is_long, int level)
{
    wr_str_addf(out, "<figure id=\"fig-%s\"%s><figcaption><h%d>", f->name, is_long ? " class=\"long\"" : "", level);
    page_say(out, f->title);
    wr_str_addf(out, "</h%d>", level);
    if (f->note && *f->note) page_element(out, "<p>", f->note, "</p>");
    wr_str_add(out, "</figcaption>\n");
    if (f->wide) wr_str_add(out, f->wide);
    wr_str_add_char(out, '\n');
    if (f->slim) wr_str_add(out, f->slim);
    wr_str_add(out, "</figure>\n");
}

void page_modelled(struct wr_str *out, const struct wr_present_context *ctx, const char *open, const char *close)
{
    WR_SCOPED_STR text = {0};

    wr_context_modelled_words(ctx, &text);
    if (text.len > 0) page_element(out, open, wr_str_text(&text), close);
}

bool page_figures(struct wr_str *out, const struct wr_page *page, enum wr_place place, int level)
{
    bool any = false;

    for (size_t i = 0; i < page->n_figure; i++) {
        const struct wr_page_figure *f = &page->figure[i];
        if (f->place != place || !is_drawn(f)) continue;
        add_figure(out, f, page->forecast->plan->n_task > LONG_CHART, level);
        any = true;
    }
    return any;
}

bool page_has_figure(const struct wr_page *page, const char *name)
{
    for (size_t i = 0; i < page->n_figure; i++)
        if (strcmp(page->figure[i].name, name) == 0 && is_drawn(&page->figure[i])) return true;
    return false;
}

void page_table(struct wr_str *out, const struct wr_page *page, struct wr_grid *grid, const struct wr_html_table *table,
                enum wr_status *status, struct wr_error *err)
{
    WR_SCOPED_STR leave = {0};

    wr_rests_on_words(wr_context_rests_on(page->context), "leave", &leave);
    if (*status == WR_OK) *status = wr_grid_check(grid, err);
    if (*status == WR_OK && wr_grid_rows(grid) > 0) wr_grid_add_html(grid, table, wr_str_text(&leave), out);
    wr_grid_release(grid);
}

const char *page_file(const char *name)
{
    for (const struct embedded *f = page_files; f->name; f++)
        if (strcmp(f->name, name) == 0) return f->text;
    wr_bug(__FILE__, __LINE__, "a page file was not embedded");
}

/* 'sha256-…' as a content security policy names an inline element: of the bytes between its tags. */
static void add_policy_hash(struct wr_str *out, const char *text)
{
    char base64[WR_SHA256_BASE64];

    wr_sha256_base64(text, strlen(text), base64);
    wr_str_addf(out, " 'sha256-%s'", base64);
}

void page_head(struct wr_str *out, const char *const *css, size_t n_css, const char *js)
{
    wr_str_add(out, "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
                    "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n"
                    "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; base-uri 'none'; "
                    "form-action 'none'; style-src");
    for (size_t i = 0; i < n_css; i++) add_policy_hash(out, css[i]);
    wr_str_add(out, "; script-src");
    add_policy_hash(out, js);
    wr_str_add(
        out,
        "\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<meta name=\"color-scheme\" content=\"light dark\">\n");
}

/* "6 of 100 go over the 6:30 limit, by the worst answer 23, not enough rehearsals to tell": of several limits each, by
 * its name. */
static void add_limit_to_title(struct wr_str *title, const struct wr_page *page, size_t l)
{
    const struct wr_present_context *ctx = page->context;
    const struct wr_forecast_result *r = page->forecast;
    const struct wr_probability *over = &r->forecast->limit[l].over;
    struct wr_maybe confidence = wr_wanted_confidence(ctx, r->limits, l);

    wr_str_add(title, l == 0 ? ": " : "; ");
    if (r->forecast->n_limit > 1)
        wr_str_addf(title, "%s, %s: %s of 100 %s", r->limits->limit[l].name,
                    wr_moment(r->limits->limit[l].minutes, WR_ROOM), wr_chance(over, WR_ROOM),
                    wr_go_over(over->mean));
    else
        wr_str_addf(title, "%s of 100 %s the %s limit", wr_chance(over, WR_ROOM), wr_go_over(over->mean),
                    wr_moment(r->limits->limit[l].minutes, WR_ROOM));
    if (r->forecast->limit[l].second.known)
        wr_str_addf(title, ", by the worst answer %s", wr_chance(&r->forecast->limit[l].second.over, WR_ROOM));
    if (confidence.known)
        wr_str_addf(title, ", %s",
                    wr_verdict_said(forecast_verdict(ctx, &r->forecast->limit[l], confidence.value),
                                    wr_context_grounds(ctx)));
}

static void add_title(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    const struct wr_forecast_result *r = page->forecast;
    WR_SCOPED_STR title = {0};

    wr_context_add_doubtful(ctx, &title);
    wr_str_add(&title, ctx->campaign && *ctx->campaign ? ctx->campaign : "Rehearsals");
    for (size_t l = 0; l < r->forecast->n_limit; l++) add_limit_to_title(&title, page, l);
    if (r->forecast->n_limit == 0)
        wr_str_addf(&title, ": half of the finishes by %s", wr_moment(r->forecast->quantile_min[WR_Q50], WR_ROOM));
    page_element(out, "<title>", wr_str_text(&title), "</title>\n");
}

/* Text as a CSS string: whatever is no plain letter or digit as its code (CSS Syntax Module Level 3, 4.3.7; from
 * memory). */
static void add_css_string(struct wr_str *out, const char *text)
{
    const char *at = text, *end = text + strlen(text);

    wr_str_add_char(out, '"');
    while (at < end) {
        uint32_t code = wr_utf8_next(&at, end);
        bool plain =
            (code >= '0' && code <= '9') || (code >= 'A' && code <= 'Z') || (code >= 'a' && code <= 'z') || code == ' ';
        if (plain) wr_str_add_char(out, (char)code);
        else if (code >= 0x20 && !wr_code_is_hidden_command(code)) wr_str_addf(out, "\\%06X ", (unsigned)code);
    }
    wr_str_add_char(out, '"');
}

static bool last_date(const struct wr_page *page, char text[16])
{
    const struct wr_run_log *log = page->check ? page->check->log : NULL;
    double last = -INFINITY;

    for (size_t r = 0; log && r < log->n_run; r++)
        if (log->run[r].day.known) last = fmax(last, log->run[r].day.value);
    if (!isfinite(last)) return false;
    wr_date_text((int64_t)last, text);
    return true;
}

/* What every printed sheet says about itself, in its margins. */
static void add_sheet_margins(struct wr_str *css, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    WR_SCOPED_STR head = {0}, foot = {0};
    char last[16];

    wr_str_add(&head, ctx->campaign && *ctx->campaign ? ctx->campaign : "Rehearsals");
    wr_str_addf(&foot, "wetrun %s", ctx->version);
    if (ctx->has_seed) wr_str_addf(&foot, ", seed %" PRIu64, ctx->seed);
    if (last_date(page, last)) wr_str_addf(&foot, ", rehearsals up to %s", last);
    wr_str_add(css, "@page { @top-left { content: ");
    add_css_string(css, wr_str_text(&head));
    wr_str_add(css, " } @top-right { content: ");
    add_css_string(css, wr_target_words(ctx->target));
    wr_str_add(css, " } @bottom-left { content: ");
    add_css_string(css, wr_str_text(&foot));
    wr_str_add(css, " } }\n");
}

static void add_head(struct wr_str *out, const struct wr_page *page)
{
    const char *css = page_file("page.css");
    WR_SCOPED_STR margins = {0};

    add_sheet_margins(&margins, page);
    page_head(out, (const char *const[]){css, wr_str_text(&margins)}, 2, page_file("page.js"));
    add_title(out, page);
    wr_str_add(out, "<style>");
    wr_str_add(out, css);
    wr_str_add(out, "</style>\n<style>");
    wr_str_add(out, wr_str_text(&margins));
    wr_str_add(out, "</style>\n</head>\n");
}

/* "9 rehearsals, 6 of them complete · limit 6:30 · forecast of the next rehearsal, at pool pace" */
static void add_banner(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    const struct wr_forecast_result *r = page->forecast;
    WR_SCOPED_STR by = {0};

    wr_str_add(out,
               "<body>\n<a class=\"skip\" href=\"#answer\">To the answer</a>\n<header><div class=\"in top\">\n<p>");
    page_element(out, "<b><bdi>", ctx->campaign && *ctx->campaign ? ctx->campaign : "Rehearsals", "</bdi></b>");
    if (ctx->n_run > 0) {
        wr_str_addf(out, " · %s rehearsal%s", wr_count_words(ctx->n_run, WR_ROOM), ctx->n_run == 1 ? "" : "s");
        if (ctx->n_complete_run < ctx->n_run || ctx->complete_by) {
            wr_str_addf(out, ", %s complete",
                        ctx->n_complete_run ? wr_count_words(ctx->n_complete_run, WR_ROOM) : "none");
            page_say(out, wr_or_nothing(ctx->complete_by));
        }
    } else {
        wr_str_add(out, " · nothing rehearsed yet");
    }
    for (size_t l = 0; l < r->forecast->n_limit; l++)
        wr_str_addf(out, "%s%s",
                    l                          ? ", "
                    : r->forecast->n_limit > 1 ? " · limits "
                                               : " · limit ",
                    wr_moment(r->limits->limit[l].minutes, WR_ROOM));
    wr_str_addf(out, " · forecast of %s", wr_target_words(ctx->target));
    wr_context_line_up_words(ctx, &by);
    if (by.len > 0) page_element(out, ", <bdi>", wr_str_text(&by), "</bdi>");
    wr_str_addf(out, " · times are elapsed, h:mm%s</p>\n", wr_moments_are_to_the_second() ? ":ss" : "");
    wr_str_add(out, "<nav aria-label=\"Sections\"><ul>");
    wr_str_add(out, "<li><a href=\"#train\">For training</a></li><li><a href=\"#plan\">For planning</a></li>"
                    "<li><a href=\"#console\">For the console</a></li><li><a href=\"#review\">For review</a></li>"
                    "<li><a href=\"#tables\">Tables</a></li></ul></nav>\n</div></header>\n"
                    "<section class=\"in sheets\" id=\"sheets\" aria-label=\"Print\" hidden>Print: <button "
                    "type=\"button\" data-print=\"\">everything</button> "
                    "<button type=\"button\" data-print=\"train\">training sheet</button> "
                    "<button type=\"button\" data-print=\"plan\">planning sheet</button> "
                    "<button type=\"button\" data-print=\"console\">console card</button> "
                    "<button type=\"button\" data-print=\"review\">review sheet</button></section>\n");
}

static void add_footer(struct wr_str *out, const struct wr_page *page)
{
    const struct wr_present_context *ctx = page->context;
    WR_SCOPED_STR rules = {0};

    wr_str_add(out, "<footer><div class=\"in\">\n<p>");
    page_element(out, "wetrun ", ctx->version, "");
    if (ctx->has_seed) wr_str_addf(out, ", seed %" PRIu64, ctx->seed);
    if (ctx->n_trial > 0) wr_str_addf(out, ", %zu trials", ctx->n_trial);
    wr_rules_rest_words(page->forecast, &rules);
    page_element(out, rules.len > 0 ? "; " : "", wr_str_text(&rules), "");
    wr_str_add(out, ". The same files, options and seed give the same page.</p>\n");
    if (ctx->options && *ctx->options) page_element(out, "<p>Options: <code>", ctx->options, "</code></p>\n");
    for (size_t i = 0; i < ctx->n_input; i++) {
        page_element(out, "<p><bdi>", ctx->input[i].name, "</bdi>");
        if (ctx->input[i].sha256_hex) page_element(out, ", SHA-256 <code>", ctx->input[i].sha256_hex, "</code>");
        wr_str_add(out, "</p>\n");
    }
    wr_str_add(out, "</div></footer>\n");
}

enum wr_status wr_page_write(const struct wr_page *page, struct wr_str *out, struct wr_error *err)
{
    enum wr_status status = WR_OK;
    WR_SCOPED_STR text = {0};

    add_head(&text, page);
    add_banner(&text, page);
    wr_str_add(&text, "<main id=\"answer\">\n");
    page_first_screen(&text, page, &status, err);
    page_readers(&text, page, &status, err);
    wr_str_add(&text, "</main>\n");
    add_footer(&text, page);
    wr_str_add(&text, "<script>");
    wr_str_add(&text, page_file("page.js"));
    wr_str_add(&text, "</script>\n</body>\n</html>\n");
    if (status == WR_OK) wr_str_add_bytes(out, text.text, text.len);
    return status;
}
