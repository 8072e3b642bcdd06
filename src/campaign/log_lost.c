#include "log_lost.h"

#include <stdlib.h>
#include <string.h>

static uint32_t number_of(struct log_lost *lost, const char *text)
{
    return wr_names_add(&lost->names, &lost->text, text, strlen(text));
}

static bool read_time(const char *text, const struct wr_habits *habits, int64_t *ns)
{
    struct wr_log_time time;
    enum wr_spelling spelling;

    if (!*text || wr_written_time(text, strlen(text), habits, &time, &spelling)) return false;
    *ns = time.ns;
    return true;
}

void log_lost_note(struct log_lost *lost, const struct log_lost_fields *f, uint32_t file, size_t line)
{
    if (!*f->run || !*f->task || lost->n_row >= LOG_MOST_LOST) return;
    struct log_lost_row *row = WR_PUSH(lost->row, lost->n_row, lost->room);

    *row = (struct log_lost_row){.run = number_of(lost, f->run), .task = number_of(lost, f->task),
                                 .step = number_of(lost, f->step), .file = file, .line = line};
    row->has_start = read_time(f->start, f->habits, &row->start_ns);
    row->has_end = read_time(f->end, f->habits, &row->end_ns);
}

static uint32_t place_of_name(const struct wr_names *names, const struct log_lost *lost, uint32_t name)
{
    return wr_names_find(names, lost->names.name[name].text, lost->names.name[name].len);
}

/* The wrong row may have its times exchanged. */
static bool shares_a_time(const struct log_lost_row *row, const struct log_piece *p)
{
    int64_t end_ns = p->start_ns + p->length_ns;

    return p->has_start && ((row->has_start && (row->start_ns == p->start_ns || row->start_ns == end_ns)) ||
                            (row->has_end && (row->end_ns == p->start_ns || row->end_ns == end_ns)));
}

static bool is_made_good(const struct log_lost *lost, const struct log_lost_row *row, struct log_pieces *pieces)
{
    uint32_t run = place_of_name(&pieces->runs, lost, row->run), task = place_of_name(&pieces->tasks, lost, row->task);
    uint32_t step = place_of_name(&pieces->steps, lost, row->step);
    bool named = lost->names.name[row->step].len > 0;

    if (run == WR_NO_NAME || task == WR_NO_NAME || step == WR_NO_NAME) return false;
    for (uint32_t i = *log_pieces_first(pieces, run, task, step); i != NO_PIECE; i = pieces->piece[i].next)
        if (shares_a_time(row, &pieces->piece[i]) || (!row->has_start && !row->has_end && named)) return true;
    return false;
}

static const char *text_for(const struct log_lost *lost, uint32_t name, struct wr_run_log *log)
{
    return wr_arena_copy(&log->text, lost->names.name[name].text, lost->names.name[name].len);
}

static int by_place(const void *a, const void *b)
{
    const struct log_lost_row *x = a, *y = b;

    if (x->file != y->file) return x->file < y->file ? -1 : 1;
    return (x->line > y->line) - (x->line < y->line);
}

/* The rows stand in the order in which they were read. */
static void mark_made_good(const struct log_lost *lost, const struct wr_run_log *log, struct wr_findings *findings)
{
    for (size_t i = 0; i < findings->n_finding; i++) {
        const struct wr_finding *f = &findings->finding[i];
        struct log_lost_row place = {.line = f->line};
        if (f->severity != WR_ERROR || !f->file) continue;
        while (place.file < log->n_file && strcmp(log->file[place.file], f->file) != 0) place.file++;
        const struct log_lost_row *row = bsearch(&place, lost->row, lost->n_row, sizeof place, by_place);
        if (row && row->made_good) wr_findings_make_good(findings, i);
    }
}

void log_lost_list(struct log_lost *lost, struct log_pieces *pieces, struct wr_run_log *log,
                   struct wr_findings *findings)
{
    for (size_t i = 0; i < lost->n_row; i++) {
        struct log_lost_row *row = &lost->row[i];
        row->made_good = is_made_good(lost, row, pieces);
        if (row->made_good) continue;
        struct wr_log_lost *out = WR_PUSH(log->lost, log->n_lost, log->room_lost);
        *out =
            (struct wr_log_lost){text_for(lost, row->run, log), text_for(lost, row->task, log), row->file, row->line};
    }
    if (lost->n_row) mark_made_good(lost, log, findings);
}

void log_lost_release(struct log_lost *lost)
{
    wr_free(lost->row);
    wr_names_release(&lost->names);
    wr_arena_release(&lost->text);
    *lost = (struct log_lost){0};
}
