/* Any bytes as a step log: no row is lost, records lie in the input in order, and the plan that is derived from
 * whatever was accepted reads back. Input that holds a NUL byte within its first 64 gives --columns before it; its
 * length chooses among the other options. */
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include "wetrun/campaign/plan.h"
#include "wetrun/io/csv_reader.h"

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n);

#define HOLDS(condition) WR_BUG_IF(!(condition))

struct records {
    const char *begin, *end;
    size_t line;
};

static enum wr_csv_next look_at_record(void *arg, const struct wr_csv_record *record)
{
    struct records *r = arg;

    HOLDS(record->raw >= r->begin && record->raw + record->n_raw <= r->end);
    HOLDS(record->line >= r->line);
    HOLDS(record->trouble ? record->n_field == 0 && record->trouble_at <= record->n_raw : record->n_field > 0);
    for (size_t i = 0; i < record->n_field; i++) {
        struct wr_csv_place here = wr_csv_place_of_field(record, i), next = wr_csv_place_of_field(record, i + 1);
        HOLDS(strlen(record->field[i].text) == record->field[i].len);
        HOLDS(here.line < next.line || (here.line == next.line && here.column < next.column) || record->n_raw == 0 ||
              i + 1 == record->n_field);
    }
    r->begin = record->raw + record->n_raw;
    r->line = record->line + 1;
    return WR_CSV_GO_ON;
}

struct rejected {
    const char *begin, *end;
    size_t n;
};

static void take_rejected(void *arg, const char *file, size_t line, size_t column, const char *reason, const char *raw,
                          size_t n_raw)
{
    struct rejected *r = arg;

    HOLDS(strcmp(file, "fuzz") == 0 && line >= 1 && column >= 1 && reason[0]);
    HOLDS(raw >= r->begin && raw + n_raw <= r->end);
    r->n++;
}

static void check_log(const struct wr_run_log *log)
{
    size_t in_steps = 0, in_runs = 0;

    for (size_t i = 0; i < log->n_step; i++) {
        const struct wr_log_step *s = &log->step[i];
        in_steps += s->n_row;
        HOLDS(s->run < log->n_run && s->task < log->n_task && s->file < log->n_file && s->line > 0);
        HOLDS(isfinite(s->active_min) && s->active_min >= 0 && isfinite(s->hold_min) && s->hold_min >= 0);
        HOLDS(s->start_min >= 0 && s->end_min >= s->start_min && isfinite(s->end_min));
        if (i == 0) continue;
        HOLDS(s[-1].run < s->run || (s[-1].run == s->run && s[-1].task <= s->task));
        HOLDS(s[-1].run < s->run || s[-1].task < s->task || s[-1].start_min <= s->start_min);
    }
    for (size_t i = 0; i < log->n_run; i++) in_runs += log->run[i].n_row;
    HOLDS(in_runs == log->rows_accepted);
    HOLDS(in_steps + log->rows_duplicate == log->rows_accepted);
}

static void derive_plan(const struct wr_run_log *log, bool keep_names, struct wr_findings *findings)
{
    struct wr_plan plan = {0}, back = {.keep_names = keep_names};
    struct wr_str text = {0}, again = {0};

    if (wr_plan_derive(&plan, log, findings, NULL) == WR_OK) {
        wr_plan_write(&plan, &text);
        HOLDS(wr_plan_read_bytes(&back, "back", text.text, text.len, findings, NULL) == WR_OK);
        wr_plan_write(&back, &again);
        HOLDS(strcmp(text.text, again.text) == 0);
        HOLDS(back.n_task == log->n_task);
        (void)!wr_plan_check_against_log(&back, log, findings, NULL);
    }
    wr_plan_release(&plan);
    wr_plan_release(&back);
    wr_str_release(&text);
    wr_str_release(&again);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t n)
{
    const char *text = (const char *)bytes, *nul = memchr(text, '\0', n < 64 ? n : 64), *columns = NULL;
    struct wr_run_log log = {0};
    struct wr_findings findings = {0};

    if (nul) {
        columns = text;
        n -= (size_t)(nul + 1 - text);
        text = nul + 1;
    }
    struct records records = {text, text + n, 1};
    struct rejected rejected = {text, text + n, 0};
    struct wr_log_options options = {
        .columns = columns,
        .rejected = take_rejected,
        .rejected_arg = &rejected,
        .times = (enum wr_times_said)(n % 4),
        .dates = (enum wr_date_order)(n / 4 % 3),
        .join = (enum wr_join)(n / 12 % 3),
        .minutes_per_unit = n % 5 == 1 ? 1 / 60.0 : 0,
        .fill_down = n % 7 == 3 ? "run,date,task" : NULL,
    };
    wr_csv_read(text, n, NULL, look_at_record, &records);
    enum wr_status status = wr_run_log_read_bytes(&log, "fuzz", text, n, &options, &findings, NULL);
    HOLDS(log.rows_read == log.rows_accepted + log.rows_rejected);
    HOLDS(log.rows_rejected == rejected.n);
    if (status == WR_OK) {
        check_log(&log);
        derive_plan(&log, options.join == WR_KEEP_NAMES, &findings);
    }
    wr_run_log_release(&log);
    wr_findings_release(&findings);
    return 0;
}
