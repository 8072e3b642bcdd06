#include "json.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>
#include "wetrun/present/beside_view.h"
#include "wetrun/present/caution.h"
#include "wetrun/base/memory.h"
#include "wetrun/decide/limit_needed.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/json_join.h"
#include "wetrun/present/json_memory.h"
#include "wetrun/present/utf8.h"
#include "wetrun/present/words.h"

enum { DIGITS = 12 }; /* as wr_number_add: the same number in CSV and JSON */

static void went_wrong(struct wr_json *j, enum wr_status status, const char *key, const char *why)
{
    if (j->status == WR_OK) j->status = wr_fail(&j->err, status, "JSON key '%s': %s", key, why);
}

static void *take_memory(size_t n)
{
    return wr_alloc(n, 1);
}

void wr_json_use_our_memory(void)
{
    json_set_alloc_funcs(take_memory, wr_free);
}

/* Steals value. A key set twice would silently replace the first. */
static void put(struct wr_json *j, json_t *at, const char *key, json_t *value)
{
    if (json_object_get(at, key)) went_wrong(j, WR_E_OUTPUT, key, "set twice");
    if (json_object_set_new(at, key, value) != 0) went_wrong(j, WR_E_MEMORY, key, "could not be built");
}

void wr_json_take(struct wr_json *j, json_t *at, const char *key, json_t *value)
{
    put(j, at, key, value);
}

static void push(struct wr_json *j, json_t *array, json_t *value)
{
    if (json_array_append_new(array, value) != 0) went_wrong(j, WR_E_MEMORY, "(array)", "could not be built");
}

static json_t *text_of(const char *text)
{
    WR_SCOPED_STR valid = {0};

    if (!text) return json_null();
    wr_make_valid_utf8(&valid, text, strlen(text));
    return json_stringn(wr_str_text(&valid), valid.len);
}

static json_t *number_of(struct wr_json *j, const char *key, double number)
{
    if (!isfinite(number)) {
        went_wrong(j, WR_E_DOMAIN, key, "not a finite number");
        return json_null();
    }
    return json_real(number + 0.0); /* no minus zero */
}

void wr_json_text(struct wr_json *j, json_t *at, const char *key, const char *text)
{
    put(j, at, key, text_of(text));
}

void wr_json_number(struct wr_json *j, json_t *at, const char *key, double number)
{
    put(j, at, key, number_of(j, key, number));
}

void wr_json_maybe(struct wr_json *j, json_t *at, const char *key, struct wr_maybe number)
{
    put(j, at, key, number.known ? number_of(j, key, number.value) : json_null());
}

void wr_json_count(struct wr_json *j, json_t *at, const char *key, size_t count)
{
    put(j, at, key, json_integer((json_int_t)count));
}

void wr_json_bool(struct wr_json *j, json_t *at, const char *key, bool value)
{
    put(j, at, key, json_boolean(value));
}

void wr_json_null(struct wr_json *j, json_t *at, const char *key)
{
    put(j, at, key, json_null());
}

void wr_json_pair(struct wr_json *j, json_t *at, const char *key, double lo, double hi)
{
    json_t *pair = wr_json_array(j, at, key);

    push(j, pair, number_of(j, key, lo));
    push(j, pair, number_of(j, key, hi));
}

void wr_json_pair_if(struct wr_json *j, json_t *at, const char *key, bool known, double lo, double hi)
{
    if (known) wr_json_pair(j, at, key, lo, hi);
    else wr_json_null(j, at, key);
}

void wr_json_interval(struct wr_json *j, json_t *at, const char *key, const struct wr_probability *p)
{
    wr_json_pair_if(j, at, key, !p->no_interval, p->lo, p->hi);
}

json_t *wr_json_object(struct wr_json *j, json_t *at, const char *key)
{
    json_t *child = json_object();

    put(j, at, key, child);
    return child;
}

json_t *wr_json_object_if(struct wr_json *j, json_t *at, const char *key, bool there)
{
    if (there) return wr_json_object(j, at, key);
    wr_json_null(j, at, key);
    return NULL;
}

json_t *wr_json_array(struct wr_json *j, json_t *at, const char *key)
{
    json_t *child = json_array();

    put(j, at, key, child);
    return child;
}

json_t *wr_json_row(struct wr_json *j, json_t *array)
{
    json_t *row = json_object();

    push(j, array, row);
    return row;
}

json_t *wr_json_push_array(struct wr_json *j, json_t *array)
{
    json_t *value = json_array();

    push(j, array, value);
    return value;
}

void wr_json_push_text(struct wr_json *j, json_t *array, const char *text)
{
    push(j, array, text_of(text));
}

void wr_json_push_count(struct wr_json *j, json_t *array, size_t count)
{
    push(j, array, json_integer((json_int_t)count));
}

void wr_json_push_number(struct wr_json *j, json_t *array, double number)
{
    push(j, array, number_of(j, "(array)", number));
}

static json_t *cell_of(struct wr_json *j, const struct wr_value *v, const struct wr_column *c)
{
    if (v->presence == WR_ABSENT) return json_null();
    if (v->presence == WR_TEXT) return text_of(v->text);
    if (c->unit == WR_UNIT_YES_NO) return json_boolean(v->number != 0);
    if (c->unit == WR_UNIT_COUNT && isfinite(v->number)) return json_integer((json_int_t)v->number);
    return number_of(j, c->key, v->number);
}

json_t *wr_json_grid(struct wr_json *j, json_t *at, const char *key, const struct wr_grid *grid)
{
    json_t *array = wr_json_array(j, at, key);

    for (size_t r = 0; r < wr_grid_rows(grid); r++) {
        json_t *row = wr_json_row(j, array);
        for (size_t c = 0; c < grid->n_column; c++) {
            const struct wr_column *column = &grid->column[c];
            if (!(column->audience & WR_MACHINE)) continue;
            put(j, row, column->key, cell_of(j, &grid->value[r * grid->n_column + c], column));
        }
    }
    return array;
}

void wr_json_take_grid(struct wr_json *j, json_t *at, const char *key, struct wr_grid *grid)
{
    wr_json_grid(j, at, key, grid);
    wr_grid_release(grid);
}

/* JSON's own integers end at 2^63 in the library; a larger seed is written as text rather than rounded. */
static json_t *seed_of(uint64_t seed)
{
    char text[32];

    if (seed <= INT64_MAX) return json_integer((json_int_t)seed);
    snprintf(text, sizeof text, "%" PRIu64, seed);
    return json_string(text);
}

/* Worse answers that may be as right as those beside them; none: an empty array. */
static void add_second(struct wr_json *j, json_t *at, const struct wr_present_second *second, size_t n)
{
    json_t *array = wr_json_array(j, at, "second_answers");

    for (size_t i = 0; i < n; i++) {
        const struct wr_present_second *s = &second[i];
        WR_SCOPED_STR assumed = {0};
        json_t *row = wr_json_row(j, array);
        wr_assumed_words(s->is.kind, s->is.percent, &assumed);
        wr_json_text(j, row, "assumption", wr_str_text(&assumed));
        wr_json_text(j, row, "limit", s->limit);
        wr_json_number(j, row, "probability_over", s->is.over.mean);
        wr_json_interval(j, row, "interval", &s->is.over);
        wr_json_maybe(j, row, "confidence", s->confidence);
        wr_json_maybe(j, row, "limit_needed_min", s->needed_min);
    }
}

/* The limit that the first one's wanted confidence takes. */
static void add_excursion_needed(struct wr_json *j, json_t *at, const struct wr_present_context *ctx)
{
    const struct wr_forecast *f = &ctx->excursion->forecast;
    struct wr_maybe wanted = f->n_limit > 0 ? wr_wanted_confidence(ctx, ctx->excursion_limits, 0) : WR_UNKNOWN;
    struct wr_limit_needed need = {0};

    if (wanted.known) need = wr_limit_needed(f, wanted.value);
    wr_json_maybe(j, at, "limit_needed_min", need.middle_min);
    wr_json_pair_if(j, at, "limit_needed_interval_min", need.lo_min.known && need.hi_min.known, need.lo_min.value,
                    need.hi_min.value);
}

/* What the history of earlier excursions makes of the same, where what follows is about the next rehearsal. */
static void add_excursion(struct wr_json *j, const struct wr_present_context *ctx)
{
    json_t *at = wr_json_object_if(j, j->root, "excursion_answer", ctx->excursion);

    if (!at) return;
    const struct wr_forecast *f = &ctx->excursion->forecast;
    wr_json_number(j, at, "finish_p50_min", f->quantile_min[WR_Q50]);
    wr_json_number(j, at, "finish_p50_mc_error_min", f->quantile_mc_error_min[WR_Q50]);
    const struct wr_finish_ends ends = wr_finish_ends(f, WR_Q50); /* as the forecast's own: by all its answers */
    wr_json_pair_if(j, at, "finish_p50_interval_min", !f->nothing_unknown, ends.lo_min, ends.hi_min);
    wr_json_bool(j, at, "intervals_span_answers", f->n_worse > 0 && !f->nothing_unknown);
    json_t *limits = wr_json_array(j, at, "limits");
    for (size_t l = 0; l < f->n_limit; l++) {
        json_t *row = wr_json_row(j, limits);
        wr_json_text(j, row, "limit", ctx->excursion_limits->limit[l].name);
        wr_json_number(j, row, "probability_over", f->limit[l].over.mean);
        wr_json_interval(j, row, "interval", &f->limit[l].over);
        wr_json_number(j, row, "mc_error", f->limit[l].over.mc_error);
    }
    add_excursion_needed(j, at, ctx);
    wr_json_maybe(j, at, "any_limit_over", f->n_limit > 0 ? wr_known(f->any_over.mean) : WR_UNKNOWN);
    if (f->n_limit > 0) wr_json_interval(j, at, "any_limit_over_interval", &f->any_over);
    const struct wr_forecast_result worse = {.limits = ctx->excursion_limits, .forecast = f,
                                             .beside = ctx->excursion->beside, .n_beside = ctx->excursion->n_beside};
    size_t n_second;
    WR_SCOPED struct wr_present_second *second = wr_second_answers(&worse, ctx->confidence, &n_second);
    add_second(j, at, second, n_second);
    const struct wr_second *any = &f->any_second;
    const struct wr_beside *latest = wr_latest_answer(ctx->excursion->beside, ctx->excursion->n_beside);
    wr_json_maybe(j, at, "second_finish_p50_min",
                  latest ? wr_known(latest->forecast.quantile_min[WR_Q50]) : WR_UNKNOWN);
    wr_json_maybe(j, at, "second_any_limit_over", any->known ? wr_known(any->over.mean) : WR_UNKNOWN);
    wr_json_maybe(j, at, "second_any_limit_over_hi",
                  any->known && !any->over.no_interval ? wr_known(any->over.hi) : WR_UNKNOWN);
    wr_json_bool(j, at, "may_be_firm", !ctx->excursion->durations.history_thin);
}

static void add_findings(struct wr_json *j, const struct wr_present_context *ctx)
{
    json_t *array = wr_json_array(j, j->root, "findings");

    for (size_t i = 0; i < ctx->n_finding; i++) {
        const struct wr_present_finding *f = &ctx->finding[i];
        json_t *row = wr_json_row(j, array);
        wr_json_text(j, row, "severity", f->severity == WR_ERROR ? "error" : "warning");
        wr_json_text(j, row, "code", f->code);
        wr_json_count(j, row, "count", f->n);
        wr_json_text(j, row, "file", f->file);
        if (f->line) wr_json_count(j, row, "line", f->line);
        else wr_json_null(j, row, "line");
        wr_json_text(j, row, "message", f->message);
    }
    wr_json_text(j, j->root, "doubt", ctx->doubt);
    if (ctx->has_target) {
        add_second(j, j->root, ctx->second, ctx->n_second);
        wr_json_bool(j, j->root, "history_unused", ctx->history_unused);
        add_excursion(j, ctx);
    }
    wr_json_bool(j, j->root, "may_be_firm", ctx->open_by == WR_OPEN_BY_NOTHING);
    json_t *open = wr_json_array(j, j->root, "kept_open_by");
    for (size_t i = 0; i < ctx->n_finding; i++)
        if (wr_code_keeps_open(ctx->finding[i].code)) wr_json_push_text(j, open, ctx->finding[i].code);
    if (!ctx->rhat.known) return;
    json_t *sampler = wr_json_object(j, j->root, "sampler");
    wr_json_maybe(j, sampler, "rhat_worst", ctx->rhat);
    wr_json_maybe(j, sampler, "effective_draws_least", ctx->effective_draws);
}

void wr_json_begin_bare(struct wr_json *j)
{
    *j = (struct wr_json){.root = json_object()};
}

void wr_json_begin(struct wr_json *j, const struct wr_present_context *ctx)
{
    wr_json_begin_bare(j);
    wr_json_text(j, j->root, "command", ctx->command);
    wr_json_text(j, j->root, "version", ctx->version);
    if (ctx->has_seed) put(j, j->root, "seed", seed_of(ctx->seed));
    if (ctx->campaign) wr_json_text(j, j->root, "campaign", ctx->campaign);
    if (ctx->options && *ctx->options) wr_json_text(j, j->root, "options", ctx->options);
    if (ctx->has_target) {
        WR_SCOPED_STR caution = {0};
        wr_json_text(j, j->root, "forecast_of", wr_target_words(ctx->target));
        if (ctx->n_line_up > 0) wr_json_count(j, j->root, "line_ups", ctx->n_line_up);
        wr_caution_short(ctx, &caution);
        wr_json_text(j, j->root, "caution", wr_str_text(&caution));
    }
    if (ctx->n_input > 0) {
        json_t *inputs = wr_json_array(j, j->root, "inputs");
        for (size_t i = 0; i < ctx->n_input; i++) {
            json_t *row = wr_json_row(j, inputs);
            wr_json_text(j, row, "file", ctx->input[i].name);
            wr_json_text(j, row, "sha256", ctx->input[i].sha256_hex);
        }
    }
    if (ctx->has_findings) add_findings(j, ctx);
}

/* Plain ASCII that cannot end a script element or begin a comment in it: inside strings, the only place where these
 * bytes stand in JSON, as \u escapes. */
static void add_for_script(struct wr_str *out, const char *json)
{
    for (const char *at = json, *end = json + strlen(json); at < end;) {
        uint32_t code = wr_utf8_next(&at, end);
        if (code == '<' || code == '>' || code == '&' || (code >= 0x7F && code < 0x10000))
            wr_str_addf(out, "\\u%04x", (unsigned)code);
        else if (code < 0x7F) wr_str_add_char(out, (char)code);
        else
            wr_str_addf(out, "\\u%04x\\u%04x", 0xD800 + (unsigned)((code - 0x10000) >> 10),
                        0xDC00 + (unsigned)((code - 0x10000) & 0x3FF));
    }
}

static enum wr_status finish(struct wr_json *j, size_t layout, void (*add)(struct wr_str *out, const char *json),
                             struct wr_str *out, struct wr_error *err)
{
    enum wr_status status = j->status;

    if (status == WR_OK) {
        json_free_t give_back;
        json_get_alloc_funcs(NULL, &give_back);
        char *text = json_dumps(j->root, layout | JSON_REAL_PRECISION(DIGITS));
        if (text) add(out, text);
        else status = wr_fail(&j->err, WR_E_MEMORY, "the JSON text could not be built");
        give_back(text);
    }
    if (status != WR_OK) wr_fail(err, status, "%s", j->err.text);
    json_decref(j->root);
    *j = (struct wr_json){0};
    return status;
}

enum wr_status wr_json_finish(struct wr_json *j, struct wr_str *out, struct wr_error *err)
{
    enum wr_status status = finish(j, JSON_INDENT(2), wr_escape_json, out, err);

    if (status == WR_OK) wr_str_add_char(out, '\n');
    return status;
}

enum wr_status wr_json_finish_for_script(struct wr_json *j, struct wr_str *out, struct wr_error *err)
{
    return finish(j, JSON_COMPACT, add_for_script, out, err);
}

static void take_off(struct wr_str *text, char last)
{
    while (text->len && (text->text[text->len - 1] == '\n' || text->text[text->len - 1] == last))
        if (text->text[--text->len] == last) last = '\n';
    if (text->text) text->text[text->len] = '\0';
}

void wr_json_join(struct wr_str *object, const char *key, const struct wr_str *value)
{
    take_off(object, '}');
    wr_str_addf(object, "%s\"%s\": ", object->len ? ",\n" : "{", key);
    wr_str_add_bytes(object, value->text, value->len);
    take_off(object, '\n');
    wr_str_add(object, "}\n");
}
