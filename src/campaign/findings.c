#include "wetrun/campaign/findings.h"

#include <stdio.h>
#include <string.h>
#include "wetrun/base/str.h"

static struct wr_finding_tally *tally_of(struct wr_findings *f, const char *code)
{
    for (size_t i = 0; i < f->n_tally; i++)
        if (f->tally[i].code == code || strcmp(f->tally[i].code, code) == 0) return &f->tally[i];
    struct wr_finding_tally *t = WR_PUSH(f->tally, f->n_tally, f->room_tally);
    t->code = code;
    return t;
}

/* Most findings in a row are about one file: its name is copied once. */
static const char *keep_file(struct wr_findings *f, const char *file)
{
    const char *last = f->n_finding ? f->finding[f->n_finding - 1].file : NULL;

    if (!file) return NULL;
    if (last && strcmp(last, file) == 0) return last;
    return wr_arena_copy(&f->text, file, strlen(file));
}

bool wr_findings_suppress(struct wr_findings *f, enum wr_severity severity, const char *code)
{
    struct wr_finding_tally *tally = tally_of(f, code);

    if (tally->n < WR_MOST_FINDINGS) return false;
    if (severity > tally->severity) tally->severity = severity;
    tally->n++;
    f->n_of[severity]++;
    f->n_suppressed++;
    return true;
}

void wr_findings_add(struct wr_findings *f, enum wr_severity severity, const char *code, const char *file,
                     size_t line, size_t column, const char *fmt, ...)
{
    char message[1024];

    if (wr_findings_suppress(f, severity, code)) return;
    struct wr_finding_tally *tally = tally_of(f, code);
    if (severity > tally->severity) tally->severity = severity;
    tally->n++;
    f->n_of[severity]++;
    WR_FORMAT(message, fmt);
    const char *kept_file = keep_file(f, file);
    struct wr_finding *finding = WR_PUSH(f->finding, f->n_finding, f->room);
    *finding = (struct wr_finding){
        .severity = severity,
        .code = code,
        .file = kept_file,
        .line = line,
        .column = column,
        .message = wr_arena_copy(&f->text, message, strlen(message)),
    };
}

void wr_findings_make_good(struct wr_findings *f, size_t at)
{
    struct wr_finding *finding = &f->finding[at];
    char message[1200];

    snprintf(message, sizeof message, "%s; another row has it right, so nothing is lost", finding->message);
    finding->message = wr_arena_copy(&f->text, message, strlen(message));
    finding->made_good = true;
}

bool wr_findings_has(const struct wr_findings *f, const char *code)
{
    for (size_t i = 0; i < f->n_tally; i++)
        if (strcmp(f->tally[i].code, code) == 0) return true;
    return false;
}

bool wr_code_keeps_open(const char *code)
{
    static const char *const open[] = {"chains-disagree", "nothing-done",  "never-timed",  "clock-reversed",
                                       "people-untold",   "history-thin", "runs-reversed", "way-in-unplanned",
                                       "work-unplanned"};

    for (size_t i = 0; i < sizeof open / sizeof *open; i++)
        if (strcmp(code, open[i]) == 0) return true;
    return false;
}

bool wr_findings_keep_open(const struct wr_findings *f)
{
    for (size_t i = 0; i < f->n_tally; i++)
        if (f->tally[i].severity != WR_NOTE && wr_code_keeps_open(f->tally[i].code)) return true;
    return false;
}

size_t wr_findings_count(const struct wr_findings *f, enum wr_severity severity)
{
    return f->n_of[severity];
}

void wr_findings_release(struct wr_findings *f)
{
    WR_FREE(f->finding, f->tally);
    wr_arena_release(&f->text);
    *f = (struct wr_findings){0};
}
