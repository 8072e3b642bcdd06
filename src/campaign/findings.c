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

enum wr_open_by wr_code_open_by(const char *code)
{
    static const struct {
        const char *code;
        enum wr_open_by by;
    } open[] = {{"nothing-done", WR_OPEN_BY_REHEARSALS},
                {"no-interval", WR_OPEN_BY_MODEL},
                {"chains-disagree", WR_OPEN_BY_FORECAST},
                {"never-timed", WR_OPEN_BY_FORECAST},
                {"people-untold", WR_OPEN_BY_FORECAST},
                {"history-thin", WR_OPEN_BY_FORECAST},
                {"clock-reversed", WR_OPEN_BY_FILES},
                {"runs-reversed", WR_OPEN_BY_FILES},
                {"way-in-unplanned", WR_OPEN_BY_FILES},
                {"work-unplanned", WR_OPEN_BY_FILES},
                {"other-campaign", WR_OPEN_BY_FILES},
                {"lane-unlogged", WR_OPEN_BY_FILES},
                {"logs-unread", WR_OPEN_BY_FILES},
                {"limit-beyond", WR_OPEN_BY_FILES},
                {"limit-idle", WR_OPEN_BY_FILES},
                {"hold-filled", WR_OPEN_BY_FILES},
                {"implausible-limit", WR_OPEN_BY_FILES},
                {"implausible-unit", WR_OPEN_BY_FILES},
                {"implausible-judgement", WR_OPEN_BY_FILES},
                {"implausible-planned", WR_OPEN_BY_FILES},
                {"history-doubtful", WR_OPEN_BY_FILES},
                {"totals-far", WR_OPEN_BY_FORECAST},
                {"lengthening-decides", WR_OPEN_BY_FORECAST},
                {"stuck-decides", WR_OPEN_BY_FORECAST}};

    for (size_t i = 0; i < sizeof open / sizeof *open; i++)
        if (strcmp(code, open[i].code) == 0) return open[i].by;
    return WR_OPEN_BY_NOTHING;
}

bool wr_code_keeps_open(const char *code)
{
    return wr_code_open_by(code) != WR_OPEN_BY_NOTHING;
}

enum wr_open_by wr_findings_open_by(const struct wr_findings *f)
{
    enum wr_open_by by = WR_OPEN_BY_NOTHING;

    for (size_t i = 0; i < f->n_tally; i++) {
        enum wr_open_by of = f->tally[i].severity == WR_NOTE ? WR_OPEN_BY_NOTHING : wr_code_open_by(f->tally[i].code);
        if (of > by) by = of;
    }
    return by;
}

bool wr_findings_keep_open(const struct wr_findings *f)
{
    return wr_findings_open_by(f) != WR_OPEN_BY_NOTHING;
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
