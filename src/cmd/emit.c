#include "emit.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include "options.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/caution.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/study_view.h"

static void say_text(const char *text)
{
    struct wr_str line = {0};

    wr_str_add(&line, "wetrun: ");
    wr_escape_terminal(&line, text);
    wr_str_add_char(&line, '\n');
    fwrite(line.text, 1, line.len, stderr); /* a message that cannot be written has nowhere else to go */
    wr_str_release(&line);
}

void wr_say_error(const struct wr_error *err)
{
    say_text(err->text[0] ? err->text : wr_status_text(err->status));
}

void wr_say(const char *fmt, ...)
{
    char text[1024];
    va_list ap;

    va_start(ap, fmt);
    vsnprintf(text, sizeof text, fmt, ap);
    va_end(ap);
    say_text(text);
}

enum wr_status wr_emit(const struct wr_settings *settings, const struct wr_str *text, struct wr_error *err)
{
    return wr_output_write(settings->out ? settings->out : "-", wr_str_text(text), text->len, err);
}

void wr_say_findings(const struct wr_study *study, const struct wr_settings *settings)
{
    enum { MOST = 6 };
    size_t shown = 0, left = 0;

    if (settings->quiet) return;
    for (size_t i = 0; i < study->findings.n_finding; i++) {
        const struct wr_finding *f = &study->findings.finding[i];
        if (f->severity == WR_NOTE) continue;
        /* what has no place in a file is about the forecast itself: never cut, and `check` does not have it */
        if (f->file && shown == MOST) {
            left++;
            continue;
        }
        struct wr_str where = {0};
        if (f->file) wr_str_add(&where, f->file);
        if (f->file && f->line) wr_str_addf(&where, ":%zu", f->line);
        if (f->file && f->line && f->column) wr_str_addf(&where, ":%zu", f->column);
        wr_say("%s%s%s: %s", wr_str_text(&where), where.len ? ": " : "", f->severity == WR_ERROR ? "error" : "warning",
               f->message);
        wr_str_release(&where);
        shown += f->file != NULL;
    }
    if (left) wr_say("%zu more; `wetrun check` lists all findings", left);
}

void wr_say_limits_left_out(const struct wr_study *study)
{
    for (size_t i = 0; i < study->limits.n_limit && wr_study_has(study, WR_RESULT_CUTOFFS); i++)
        if (!study->limits.limit[i].confidence.known)
            wr_say("limit '%s' has no confidence: it gets no cut-offs", study->limits.limit[i].name);
}


/* What was asked beyond the defaults, as text for people. Texts of the user stay as they are: presenters escape them. */
static void say_options(const struct wr_settings *s, struct wr_str *out)
{
    for (size_t i = 0; i < wr_n_options; i++) {
        const struct wr_option *o = &wr_options[i];
        const char *at = (const char *)s + o->target;
        if (strcmp(o->name, "format") == 0 || strcmp(o->name, "out") == 0 || strcmp(o->name, "seed") == 0 ||
            strcmp(o->name, "threads") == 0 || strcmp(o->name, "quiet") == 0)
            continue;
        struct wr_str one = {0};
        switch (o->type) {
        case WR_OPT_FLAG:
            if (*(const bool *)at) wr_str_addf(&one, "--%s", o->name);
            break;
        case WR_OPT_TEXT:
            if (*(const char *const *)at && !(s->anonymous && strcmp(o->name, "people") == 0))
                wr_str_addf(&one, "--%s %s", o->name,
                            s->anonymous && strcmp(o->argument, "FILE") == 0 ? wr_without_folders(*(const char *const *)at)
                                                                             : *(const char *const *)at);
            break;
        case WR_OPT_SIZE:
            if (*(const size_t *)at) wr_str_addf(&one, "--%s %zu", o->name, *(const size_t *)at);
            break;
        case WR_OPT_CHOICE:
            if (*(const int *)at) wr_str_addf(&one, "--%s %s", o->name, o->choice[*(const int *)at]);
            break;
        case WR_OPT_PROBABILITY:
        case WR_OPT_CONFIDENCE:
        case WR_OPT_ELAPSED:
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
        wr_str_release(&one);
    }
}

enum wr_status wr_context_make(struct wr_context *c, const struct wr_command *command, const struct wr_study *study,
                               const struct wr_settings *settings, struct wr_error *err)
{
    return wr_context_make_from(c, command, study, study->file, study->n_file, settings, err);
}

enum wr_status wr_context_make_from(struct wr_context *c, const struct wr_command *command,
                                    const struct wr_study *study, struct wr_input *const *file, size_t n,
                                    const struct wr_settings *settings, struct wr_error *err)
{
    (void)err; /* nothing fails here at present */
    *c = (struct wr_context){0};
    c->input = WR_NEW_ARRAY(struct wr_present_input, n);
    for (size_t i = 0; i < n; i++)
        c->input[i] = (struct wr_present_input){.name = file[i]->name, .sha256_hex = file[i]->text.sha256};
    say_options(settings, &c->options);
    c->present = (struct wr_present_context){.version = WR_VERSION,
                                             .command = command->name,
                                             .options = wr_str_text(&c->options),
                                             .input = c->input,
                                             .n_input = n};
    wr_context_of_study(&c->present, study);
    return WR_OK;
}

void wr_context_done(struct wr_context *c)
{
    wr_free(c->input);
    wr_str_release(&c->options);
    *c = (struct wr_context){0};
}

enum wr_status wr_emit_with_caution(const struct wr_settings *settings, const struct wr_context *context,
                                    const struct wr_study *study, const struct wr_str *text, struct wr_error *err)
{
    enum wr_status status = wr_emit(settings, text, err);
    struct wr_str caution = {0};

    if (status) return status;
    wr_say_findings(study, settings);
    wr_caution_terminal(&context->present, &caution);
    fwrite(caution.text, 1, caution.len, stderr); /* our own words, no escaping needed */
    wr_str_release(&caution);
    return WR_OK;
}
