#include "emit.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "options.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/beside_view.h"
#include "wetrun/present/excursion_view.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/study_view.h"
#include "wetrun/present/words.h"

static void add_line(struct wr_str *out, const char *text)
{
    wr_str_add(out, "wetrun: ");
    wr_escape_terminal(out, text);
    wr_str_add_char(out, '\n');
}

void wr_note(struct wr_str *notes, const char *fmt, ...)
{
    char text[1024];

    WR_FORMAT(text, fmt);
    add_line(notes, text);
}

void wr_say_notes(const struct wr_str *notes)
{
    fwrite(wr_str_text(notes), 1, notes->len, stderr); /* a message that cannot be written has nowhere else to go */
}

void wr_say_error(const struct wr_error *err)
{
    WR_SCOPED_STR line = {0};

    add_line(&line, err->text[0] ? err->text : wr_status_text(err->status));
    wr_say_notes(&line);
}

enum wr_status wr_emit(const struct wr_settings *settings, const struct wr_str *text, struct wr_error *err)
{
    enum wr_status status = wr_spare_table(settings->out, wr_str_text(text), text->len, err);

    return status ? status : wr_output_write(settings->out ? settings->out : "-", wr_str_text(text), text->len, err);
}

static void note_findings(struct wr_str *notes, const struct wr_study *study, const struct wr_settings *settings,
                          bool no_limits)
{
    WR_RELEASED_BY(wr_doubts_release) struct wr_doubts doubts = {0};

    wr_doubts_add(&doubts, study);
    wr_note_doubts(notes, &doubts, settings->quiet, no_limits);
}

void wr_note_findings(struct wr_str *notes, const struct wr_study *study, const struct wr_settings *settings)
{
    note_findings(notes, study, settings, false);
}

void wr_note_findings_of(struct wr_str *notes, const struct wr_context *context, const struct wr_study *study,
                         const struct wr_settings *settings)
{
    note_findings(notes, study, settings, context->present.limits_left_out);
}

void wr_note_limits_left_out(struct wr_str *notes, const struct wr_study *study)
{
    for (size_t i = 0; i < study->limits.n_limit && wr_study_has(study, WR_RESULT_CUTOFFS); i++)
        if (!study->limits.limit[i].confidence.known)
            wr_note(notes, "limit '%s' has no confidence: it gets no cut-offs", study->limits.limit[i].name);
}

/* By another model than the usual one the same log says something else. */
static bool changes_model(const char *option)
{
    static const char *const name[] = {"model", "learning", "no-skew", "no-people", "run-effect", "run-effect-prior",
                                       "no-earlier", "gap-allowance", "three-point"};

    for (size_t i = 0; i < sizeof name / sizeof *name; i++)
        if (strcmp(option, name[i]) == 0) return true;
    return false;
}

/* What was asked beyond the defaults, as text for people. Texts of the user stay as they are: presenters escape them.
 */
static void say_options(const struct wr_settings *s, struct wr_str *out, struct wr_str *modelled)
{
    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *o = &wr_options[i];
        const char *at = (const char *)s + o->target;
        if (strcmp(o->name, "format") == 0 || strcmp(o->name, "out") == 0 || strcmp(o->name, "seed") == 0 ||
            strcmp(o->name, "threads") == 0 || strcmp(o->name, "quiet") == 0)
            continue;
        WR_SCOPED_STR one = {0};
        switch (o->type) {
        case WR_OPT_FLAG:
            if (*(const bool *)at) wr_str_addf(&one, "--%s", o->name);
            break;
        case WR_OPT_TEXT:
        case WR_OPT_COMMAS:
            if (*(const char *const *)at && !(s->study.anonymous && strcmp(o->name, "people") == 0)) {
                wr_str_addf(&one, "--%s ", o->name);
                wr_quote_shell(&one, s->study.anonymous && strcmp(o->argument, "FILE") == 0
                                         ? wr_without_folders(*(const char *const *)at)
                                         : *(const char *const *)at); /* so that the line can be typed again */
            }
            break;
        case WR_OPT_SIZE:
            if (*(const size_t *)at) wr_str_addf(&one, "--%s %zu", o->name, *(const size_t *)at);
            break;
        case WR_OPT_CHOICE:
            if (*(const int *)at) wr_str_addf(&one, "--%s %s", o->name, o->choice[*(const int *)at]);
            break;
        case WR_OPT_PROBABILITY:
        case WR_OPT_CONFIDENCE:
        case WR_OPT_LIMIT:
        case WR_OPT_POSITIVE:
        case WR_OPT_NUMBER:
            if (((const struct wr_maybe *)at)->known)
                wr_str_addf(&one, "--%s %.10g", o->name, ((const struct wr_maybe *)at)->value);
            break;
        case WR_OPT_TIMES:
            if (s->times_said) wr_str_addf(&one, "--%s %s", o->name, wr_option_times_word(s->times_said));
            break;
        case WR_OPT_LIST: /* files stand under the inputs, milestones in the answer */
        case WR_OPT_SEED:
        case WR_OPT_CHANGE: /* shown as the alternatives */
        case WR_OPT_JOIN:
            break;
        }
        if (one.len) wr_str_addf(out, "%s%s", out->len ? " " : "", one.text);
        if (one.len && changes_model(o->name)) wr_str_addf(modelled, "%s%s", modelled->len ? " " : "", one.text);
    }
}

/* COLUMNS, as terminals set it: tables may be as wide, and need not cut what fits. */
static size_t terminal_columns(void)
{
    enum { LEAST = 40, MOST = 1000 };
    const char *text = getenv("COLUMNS");
    size_t columns;

    return text && wr_parse_size(text, &columns) && columns >= LEAST && columns <= MOST ? columns : 0;
}

enum wr_status wr_context_make(struct wr_context *c, const struct wr_command *command, const struct wr_study *study,
                               const struct wr_settings *settings, struct wr_error *err)
{
    return wr_context_make_from(c, command, study, study->file, study->n_file, settings, err);
}

/* Half of what was timed, or else planned, takes less than this: a moment to the minute would tell nothing. */
#define SECONDS_MATTER_BELOW_MIN 2.0

static bool seconds_matter(const struct wr_study *s)
{
    size_t n_brief = 0, n = 0, n_cell = s->timing.cell ? s->timing.n_task * s->timing.n_run : 0;

    for (size_t i = 0; i < n_cell; i++) {
        if (s->timing.cell[i].state != WR_CELL_DONE) continue;
        n_brief += s->timing.cell[i].active_min < SECONDS_MATTER_BELOW_MIN;
        n++;
    }
    for (size_t k = 0; n_cell == 0 && k < s->plan.n_task; k++) {
        if (!s->plan.task[k].planned_min.known) continue;
        n_brief += s->plan.task[k].planned_min.value < SECONDS_MATTER_BELOW_MIN;
        n++;
    }
    return 2 * n_brief > n;
}

void wr_show_moments_of(const struct wr_study *study)
{
    wr_moments_to_the_second(seconds_matter(study));
}

static void say_second(struct wr_context *c, const struct wr_study *study)
{
    if (study->n_beside == 0) return;
    const struct wr_forecast_result forecast = wr_forecast_result_of(study);
    c->present.n_answer = wr_n_answers(&forecast);
    if (c->present.n_answer > 1)
        c->present.first_is = wr_not_assumed_words(study->beside[study->n_beside - 1].kind);
    c->present.second = c->second = wr_second_answers(&forecast, study->confidence, &c->present.n_second);
    bool during = wr_study_has(study, WR_RESULT_CUTOFFS) && study->cutoffs.updated;
    wr_second_answer_words(&c->present, &forecast, during, &c->second_words);
    if (c->second_words.len) c->present.second_words = wr_str_text(&c->second_words);
}

/* Who says --for knows what is asked; whoever does not may take this for an answer about the excursion. */
static void say_excursion(struct wr_context *c, const struct wr_settings *settings)
{
    if (settings->target_said) return;
    wr_excursion_brief(&c->present, &c->excursion_words);
    if (c->excursion_words.len) c->present.excursion_words = wr_str_text(&c->excursion_words);
}

void wr_context_take_doubts(struct wr_context *c, const struct wr_study *study)
{
    wr_doubts_add(&c->doubts, study);
    const struct wr_present_found all = wr_present_found_of(&c->doubts.all);
    c->present.finding = all.finding;
    c->present.n_finding = all.n_finding;
    c->present.doubt = all.doubt;
    c->present.open_by = all.open_by;
    c->present.apart = wr_present_found_of(&c->doubts.apart);
}

enum wr_status wr_context_make_from(struct wr_context *c, const struct wr_command *command,
                                    const struct wr_study *study, struct wr_input *const *file, size_t n,
                                    const struct wr_settings *settings, struct wr_error *err)
{
    *c = (struct wr_context){0};
    enum wr_status status = wr_spare_inputs(settings, file, n, wr_command_id(command) == WR_CMD_LOGSHEET, err);
    if (status) return status;
    c->input = WR_NEW_ARRAY(struct wr_present_input, n);
    /* JSON and pages name checksums; the findings of a long log do without */
    bool named = wr_command_id(command) != WR_CMD_CHECK || settings->format == WR_FORMAT_JSON;
    for (size_t i = 0; i < n; i++)
        c->input[i] = (struct wr_present_input){.name = file[i]->name,
                                                .sha256_hex = named ? wr_text_sha256(&file[i]->text) : NULL};
    say_options(settings, &c->options, &c->modelled);
    c->present = (struct wr_present_context){.version = WR_VERSION,
                                             .command = command->name,
                                             .options = wr_str_text(&c->options),
                                             .modelled = c->modelled.len ? wr_str_text(&c->modelled) : NULL,
                                             .input = c->input,
                                             .n_input = n};
    wr_context_of_study(&c->present, study);
    wr_show_moments_of(study);
    c->present.columns = terminal_columns();
    c->present.has_findings = true;
    c->doubts.every_target = wr_command_id(command) == WR_CMD_CHECK;
    wr_context_take_doubts(c, study);
    say_second(c, study);
    say_excursion(c, settings);
    return WR_OK;
}

void wr_context_add_study(struct wr_context *c, const struct wr_study *study, const struct wr_settings *settings)
{
    struct wr_present_context further = {0};

    wr_context_take_doubts(c, study);
    wr_context_of_study(&further, study);
    if (c->present.history_unused || !further.history_unused) return;
    c->present.history_unused = true;
    say_excursion(c, settings);
}

void wr_context_done(struct wr_context *c)
{
    WR_FREE(c->input, c->second);
    wr_str_release(&c->second_words);
    wr_str_release(&c->excursion_words);
    wr_doubts_release(&c->doubts);
    wr_str_release(&c->options);
    wr_str_release(&c->modelled);
    *c = (struct wr_context){0};
}

void wr_note_modelled(struct wr_str *notes, const struct wr_context *context)
{
    WR_SCOPED_STR text = {0};

    wr_context_modelled_words(&context->present, &text);
    if (text.len > 0) wr_note(notes, "%s", wr_str_text(&text));
}

enum wr_status wr_emit_with_caution(const struct wr_settings *settings, const struct wr_context *context,
                                    struct wr_str *notes, const struct wr_str *text, struct wr_error *err)
{
    WR_SCOPED_STR whole = {0};

    if (settings->format == WR_FORMAT_TABLE) wr_context_add_doubts(&context->present, &whole);
    else wr_note_modelled(notes, context);
    wr_str_add_bytes(&whole, wr_str_text(text), text->len);
    wr_caution_terminal(&context->present, notes); /* all is ready before the first byte is written */
    enum wr_status status = wr_emit(settings, &whole, err);
    if (!status) wr_say_notes(notes);
    return status;
}

enum wr_status wr_emit_picture(const struct wr_settings *settings, const struct wr_context *context,
                               const struct wr_str *notes, const struct wr_str *picture, struct wr_error *err)
{
    WR_SCOPED_STR said = {0};

    wr_context_add_doubts(&context->present, &said);
    wr_str_add_bytes(&said, wr_str_text(notes), notes->len);
    wr_caution_terminal(&context->present, &said);
    enum wr_status status = wr_emit(settings, picture, err);
    if (!status) wr_say_notes(&said);
    return status;
}
