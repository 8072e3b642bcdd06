#include "doubts.h"

#include <stdlib.h>
#include <string.h>
#include "emit.h"
#include "wetrun/base/memory.h"

/* Warnings that change no number, or that the answer itself speaks of. */
static bool is_harmless(const char *code)
{
    static const char *const harmless[] = {"column-unknown", "column-twice",     "clock-with-lane", "duplicate-row",
                                           "date-varies"};

    for (size_t i = 0; i < sizeof harmless / sizeof *harmless; i++)
        if (strcmp(code, harmless[i]) == 0) return true;
    return false;
}

static bool is_of_excursion(const struct wr_study *in)
{
    return in->options.fit.target == WR_FOR_EXCURSION;
}

static bool is_of_history(const char *code)
{
    return strcmp(code, "history-faster") == 0 || strcmp(code, "history-same") == 0 ||
           strcmp(code, "history-odd") == 0;
}

static bool makes_doubtful(const char *code, const struct wr_study *in)
{
    static const char *const doubtful[] = {"chains-disagree",
                                           "nothing-done",
                                           "column-unread",
                                           "example-limit",
                                           "lone-name",
                                           "order-unsure",
                                           "person-new",
                                           "covers-run",
                                           "never-together",
                                           "run-repeats",
                                           "runs-overlap",
                                           "run-is-plan",
                                           "run-restarted",
                                           "repeated-row",
                                           "two-places",
                                           "names-planned",
                                           "run-other-crews",
                                           "run-in-parts",
                                           "run-lost",
                                           "logs-unread",
                                           "task-lost",
                                           "many-rejected",
                                           "report-too-early",
                                           "past-judgement",
                                           "report-too-old",
                                           "way-in-part",
                                           "lone-person",
                                           "run-effect-given",
                                           "never-timed",
                                           "never-finished",
                                           "clock-reversed",
                                           "skipped-but-timed",
                                           "planned-unlogged",
                                           "date-far",
                                           "date-order",
                                           "people-untold",
                                           "date-not-times",
                                           "way-in-unplanned",
                                           "work-unplanned",
                                           "history-thin",
                                           "history-doubtful",
                                           "totals-far",
                                           "runs-reversed",
                                           "lane-unlogged",
                                           "limit-beyond",
                                           "limit-idle",
                                           "planned-only",
                                           "minutes-alone",
                                           "other-campaign",
                                           "elapsed-from-later",
                                           "hold-filled",
                                           "hold-fixed",
                                           "learning-short-tasks",
                                           "lengthening-decides",
                                           "stuck-decides",
                                           "step-unlogged",
                                           "names-done",
                                           "names-column",
                                           "crew-differs"};

    if (is_of_history(code)) return is_of_excursion(in);
    for (size_t i = 0; i < sizeof doubtful / sizeof *doubtful; i++)
        if (strcmp(code, doubtful[i]) == 0) return true;
    return strncmp(code, "implausible-", 12) == 0;
}

/* What it says is of a limit alone: no task's time nor a rehearsal's moves by it. */
static bool is_of_limit(const char *code)
{
    static const char *const of_limit[] = {"implausible-limit", "limit-beyond", "limit-idle", "example-limit"};

    for (size_t i = 0; i < sizeof of_limit / sizeof *of_limit; i++)
        if (strcmp(code, of_limit[i]) == 0) return true;
    return false;
}

/* Who is who moves what the model makes of people, and nothing else. */
static bool counts_people(const struct wr_study *in)
{
    for (size_t i = 0; i < in->findings.n_finding; i++)
        if (strncmp(in->findings.finding[i].code, "people-", 7) == 0) return false; /* alike, too many, unused */
    return !in->options.fit.no_people && in->options.fit.model == WR_MODEL_POOLED;
}

static bool moves_its_factor(const char *code)
{
    return is_of_history(code) || strcmp(code, "history-one-faster") == 0;
}

/* The next rehearsal's answer does without. */
static bool moves_excursion_alone(const char *code)
{
    return moves_its_factor(code) || strcmp(code, "history-kind") == 0;
}

static bool moves_nothing(const struct wr_finding *f, const struct wr_study *in, bool every_target)
{
    if (f->severity != WR_WARNING) return f->severity == WR_NOTE;
    if (moves_excursion_alone(f->code))
        return !every_target && !is_of_excursion(in) && !(moves_its_factor(f->code) && in->has_excursion);
    return is_harmless(f->code) || (strcmp(f->code, "lone-person") == 0 && !counts_people(in));
}

/* About the forecast itself, the plan, what is implausible, rejected rows, the rest. */
static int rank_of(const struct wr_finding *f, const struct wr_study *in)
{
    if (wr_code_keeps_open(f->code)) return 0;
    if (!f->file) return 1;
    if (strcmp(f->code, "planned-only") == 0) return 4; /* no slip: after all that may be one */
    if (in->plan.file && strcmp(f->file, in->plan.file) == 0) return 2;
    if (makes_doubtful(f->code, in)) return 3;
    return f->severity == WR_ERROR ? 4 : 5;
}

/* Which columns are not read is said of each file, and of no other by it. */
static bool is_one_cause(const struct wr_present_finding *seen, const struct wr_finding *f)
{
    return seen->severity == f->severity && strcmp(seen->code, f->code) == 0 &&
           (strcmp(f->code, "column-unread") != 0 || (f->file && seen->file && strcmp(seen->file, f->file) == 0));
}

static struct wr_present_finding *seen_before(struct wr_doubts_found *d, const struct wr_finding *f)
{
    for (size_t i = 0; i < d->n_finding; i++)
        if (is_one_cause(&d->finding[i], f)) return &d->finding[i];
    return NULL;
}

static int compare(const void *a, const void *b)
{
    const struct wr_present_finding *x = a, *y = b;

    if (x->rank != y->rank) return x->rank < y->rank ? -1 : 1;
    return (x->place > y->place) - (x->place < y->place);
}

static void make_sentence(struct wr_doubts_found *d, size_t n_study)
{
    const struct wr_present_finding *first = d->n_finding ? &d->finding[0] : NULL;
    size_t n = 0;

    for (size_t i = 0; i < d->n_finding; i++) {
        if (!d->finding[i].doubtful) continue;
        if (n == 0) first = &d->finding[i];
        n += d->finding[i].n;
    }
    wr_str_clear(&d->sentence);
    if (n == 0) return;
    wr_str_add(&d->sentence, "Doubtful, for it rests on this: ");
    if (n_study > 1) wr_str_addf(&d->sentence, "%s: ", first->campaign);
    wr_str_add(&d->sentence, first->message);
    /* check takes one campaign */
    const char *where = n_study > 1 ? "named with the warnings" : "see `wetrun check`";
    if (n > 1) wr_str_addf(&d->sentence, " (and %zu more of the kind: %s)", n - 1, where);
    else if (strchr(".?!", d->sentence.text[d->sentence.len - 1])) return;
    wr_str_add_char(&d->sentence, '.');
}

static void take(struct wr_doubts_found *d, const struct wr_finding *f, const struct wr_study *in)
{
    if (wr_code_open_by(f->code) > d->open_by) d->open_by = wr_code_open_by(f->code);
    struct wr_present_finding *seen = seen_before(d, f);
    if (seen) {
        seen->n++;
        return;
    }
    size_t place = d->n_finding;
    *WR_PUSH(d->finding, d->n_finding, d->room) = (struct wr_present_finding){
        .severity = f->severity, .code = f->code, .file = f->file, .line = f->line, .column = f->column,
        .message = f->message, .n = 1, .rank = rank_of(f, in), .place = place,
        .doubtful = makes_doubtful(f->code, in), .campaign = in->name,
        .of_excursion = moves_excursion_alone(f->code) && !is_of_excursion(in)};
}

static void put_in_order(struct wr_doubts_found *d, size_t n_study)
{
    if (d->n_finding) qsort(d->finding, d->n_finding, sizeof *d->finding, compare);
    make_sentence(d, n_study);
}

void wr_doubts_add(struct wr_doubts *d, const struct wr_study *in)
{
    d->n_study++;
    for (size_t i = 0; i < in->findings.n_finding; i++) {
        const struct wr_finding *f = &in->findings.finding[i];
        d->n_made_good += f->made_good;
        if (f->made_good || moves_nothing(f, in, d->every_target)) continue;
        take(&d->all, f, in);
        if (!is_of_limit(f->code)) take(&d->apart, f, in);
    }
    put_in_order(&d->all, d->n_study);
    put_in_order(&d->apart, d->n_study);
}

struct wr_present_found wr_present_found_of(const struct wr_doubts_found *d)
{
    return (struct wr_present_found){d->finding, d->n_finding, d->sentence.len ? d->sentence.text : NULL, d->open_by};
}

void wr_doubts_release(struct wr_doubts *d)
{
    WR_FREE(d->all.finding, d->apart.finding);
    WR_STR_RELEASE(&d->all.sentence, &d->apart.sentence);
    *d = (struct wr_doubts){0};
}

static void note_one(struct wr_str *notes, const struct wr_present_finding *f)
{
    WR_SCOPED_STR text = {0};

    if (f->file) wr_str_add(&text, f->file);
    if (f->file && f->line) wr_str_addf(&text, ":%zu", f->line);
    if (f->file && f->line && f->column) wr_str_addf(&text, ":%zu", f->column);
    wr_str_addf(&text, "%s%s: %s", text.len ? ": " : "", f->severity == WR_ERROR ? "error" : "warning", f->message);
    if (f->n > 1) wr_str_addf(&text, " (and %zu more like it)", f->n - 1);
    wr_note(notes, "%s", text.text);
}

void wr_note_doubts(struct wr_str *notes, const struct wr_doubts *d, bool quiet, bool no_limits)
{
    enum { MOST = 8 };
    const struct wr_doubts_found *found = no_limits ? &d->apart : &d->all;
    size_t shown = 0, left = 0;

    for (size_t i = 0; i < found->n_finding; i++) {
        const struct wr_present_finding *f = &found->finding[i];
        bool grave = f->severity == WR_ERROR || f->doubtful;
        if (quiet && !grave) continue;
        if (f->file && !grave && shown >= MOST) { /* what has no place in a file `check` does not have */
            left += f->n;
            continue;
        }
        note_one(notes, f);
        shown++;
    }
    if (d->n_made_good == 1) wr_note(notes, "one row of the log was rejected and another row has it right");
    else if (d->n_made_good)
        wr_note(notes, "%zu rows of the log were rejected and other rows have them right", d->n_made_good);
    if (left) wr_note(notes, "%zu more; `wetrun check` lists all findings", left);
}
