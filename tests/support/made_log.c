#include "made_log.h"

#include <check.h>
#include <stdlib.h>
#include <string.h>

static const char *made_file = "made.csv";

size_t made_log_run(struct wr_run_log *log, const char *id)
{
    struct wr_log_run *r = WR_PUSH(log->run, log->n_run, log->room_run);

    if (!log->n_file) *(const char **)WR_PUSH(log->file, log->n_file, log->room_file) = made_file;
    *r = (struct wr_log_run){.id = wr_arena_copy(&log->text, id, strlen(id)), .date = "", .kind = WR_TIME_CLOCK};
    return log->n_run - 1;
}

static uint32_t task_number(struct wr_run_log *log, const char *task)
{
    for (size_t i = 0; i < log->n_task; i++)
        if (strcmp(log->task[i], task) == 0) return (uint32_t)i;
    *(const char **)WR_PUSH(log->task, log->n_task, log->room_task) = wr_arena_copy(&log->text, task, strlen(task));
    return (uint32_t)(log->n_task - 1);
}

static struct wr_log_step *add(struct wr_run_log *log, size_t run, const char *task)
{
    uint32_t number = task_number(log, task);
    struct wr_log_step *s = WR_PUSH(log->step, log->n_step, log->room_step);

    *s = (struct wr_log_step){.run = (uint32_t)run, .task = number, .step = "", .crew = "", .performer = "",
                              .line = log->n_step + 1};
    log->run[run].n_row++;
    return s;
}

struct wr_log_step *made_log_step(struct wr_run_log *log, size_t run, const char *task, double start, double end)
{
    struct wr_log_step *s = add(log, run, task);

    s->has_clock = true;
    s->start_min = start;
    s->end_min = end;
    return s;
}

struct wr_log_step *made_log_skip(struct wr_run_log *log, size_t run, const char *task)
{
    struct wr_log_step *s = add(log, run, task);

    s->outcome = WR_SKIPPED;
    return s;
}

static int by_run_task_start_line(const void *a, const void *b)
{
    const struct wr_log_step *x = a, *y = b;

    if (x->run != y->run) return x->run < y->run ? -1 : 1;
    if (x->task != y->task) return x->task < y->task ? -1 : 1;
    if (x->start_min != y->start_min) return x->start_min < y->start_min ? -1 : 1;
    return x->line < y->line ? -1 : x->line > y->line;
}

void made_log_finish(struct wr_run_log *log)
{
    for (size_t r = 0; r < log->n_run; r++) {
        double first = 0;
        bool any = false;
        for (size_t i = 0; i < log->n_step; i++) {
            const struct wr_log_step *s = &log->step[i];
            if (s->run != r || !s->has_clock) continue;
            if (!any || s->start_min < first) first = s->start_min;
            any = true;
        }
        for (size_t i = 0; i < log->n_step; i++) {
            struct wr_log_step *s = &log->step[i];
            if (s->run != r || !s->has_clock) continue;
            s->start_min -= first;
            s->end_min -= first;
            s->active_min = s->end_min - s->start_min - s->hold_min;
        }
    }
    for (size_t i = 0; i < log->n_step; i++) {
        log->has_crew |= log->step[i].crew[0] != '\0';
        log->has_performer |= log->step[i].performer[0] != '\0';
    }
    log->rows_read = log->rows_accepted = log->n_step;
    if (log->n_step) qsort(log->step, log->n_step, sizeof *log->step, by_run_task_start_line);
}

void made_log_release(struct wr_run_log *log)
{
    wr_free(log->file);
    wr_free(log->run);
    wr_free(log->task);
    wr_free(log->step);
    wr_arena_release(&log->text);
    *log = (struct wr_run_log){0};
}
