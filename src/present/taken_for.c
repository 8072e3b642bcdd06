#include "taken_for.h"

#include <string.h>
#include "wetrun/campaign/log_time.h"
#include "wetrun/present/prose.h"

enum { MOST_NAMED = 12 };

static const char *delimiter_words(char delimiter)
{
    switch (delimiter) {
    case ';': return "semicolons";
    case '\t': return "tabs";
    case '|': return "bars";
    default: return "commas";
    }
}

/* "run = Case, task = Activity, start, end" */
static void add_columns(struct wr_str *line, const struct wr_log_facts *f)
{
    for (size_t i = 0; i < f->n_column; i++) {
        bool same = strcmp(f->role[i], f->column[i]) == 0;
        wr_str_addf(line, "%s%s", i ? ", " : "", f->role[i]);
        if (!same) wr_str_addf(line, " = '%s'", f->column[i]);
    }
}

static void add_file(struct wr_str *line, const char *name, const struct wr_log_facts *f)
{
    wr_str_addf(line, "%s is taken for a step log: %s between the columns", name, delimiter_words(f->delimiter));
    if (f->header_line > 1) wr_str_addf(line, ", header in line %zu", f->header_line);
    wr_str_add(line, "; ");
    add_columns(line, f);
    wr_str_add_char(line, '.');
}

static size_t runs_of_kind(const struct wr_run_log *log, enum wr_time_kind kind)
{
    size_t n = 0;

    for (size_t r = 0; r < log->n_run; r++) n += log->run[r].kind == kind;
    return n;
}

static void add_times(struct wr_str *line, const struct wr_run_log *log)
{
    size_t kinds = 0;

    for (int kind = WR_TIME_CLOCK; kind <= WR_TIME_ZONED; kind++) {
        size_t n = runs_of_kind(log, (enum wr_time_kind)kind);
        if (n == 0) continue;
        wr_str_addf(line, "%s%s", kinds++ ? ", " : "Times: ", wr_time_kind_text((enum wr_time_kind)kind));
        if (n < log->n_run) wr_str_addf(line, " in %zu run%s", n, n == 1 ? "" : "s");
    }
    if (kinds) wr_str_add(line, ". ");
}

static void add_names(struct wr_str *line, const char *what, const char *const *name, size_t n)
{
    if (n == 0) return;
    wr_str_addf(line, "%s: ", what);
    for (size_t i = 0; i < n && i < MOST_NAMED; i++) wr_str_addf(line, "%s%s", i ? ", " : "", name[i]);
    if (n > MOST_NAMED) wr_str_addf(line, " and %zu more", n - MOST_NAMED);
    wr_str_add(line, ". ");
}

static void add_runs(struct wr_str *line, const struct wr_run_log *log)
{
    wr_str_addf(line, "Runs: %zu kept", log->n_run);
    if (log->n_lost_run == 0) wr_str_add(line, ", none lost");
    else wr_str_addf(line, ", %zu lost (", log->n_lost_run);
    for (size_t i = 0; i < log->n_lost_run && i < MOST_NAMED; i++)
        wr_str_addf(line, "%s%s", i ? ", " : "", log->lost_run[i]);
    wr_str_add(line, log->n_lost_run ? ")" : "");
    if (log->n_run > 1) wr_str_add(line, log->has_dates ? ", in order of their dates" : ", in the order of the log");
    wr_str_add_char(line, '.');
}

void wr_taken_for_table(const struct wr_check_result *result, size_t columns, struct wr_str *out)
{
    const struct wr_run_log *log = result->log;
    WR_SCOPED_STR line = {0};

    for (size_t i = 0; log && i < log->n_facts; i++) {
        wr_str_clear(&line);
        add_file(&line, log->file[i], &log->facts[i]);
        wr_prose_add(out, wr_str_text(&line), 0, columns);
    }
    wr_str_clear(&line);
    if (log && log->n_run) add_times(&line, log);
    if (result->plan) add_names(&line, "Lanes", result->plan->lane, result->plan->n_lane);
    if (result->timing) add_names(&line, "People", result->timing->person, result->timing->n_person);
    if (log) add_names(&line, "Columns not read, but for compare --by", log->attribute, log->n_attribute);
    if (log && log->n_run + log->n_lost_run) add_runs(&line, log);
    wr_prose_add(out, wr_str_text(&line), 0, columns);
}

static void json_names(struct wr_json *j, const char *key, const char *const *name, size_t n)
{
    json_t *array = wr_json_array(j, j->root, key);

    for (size_t i = 0; i < n; i++) wr_json_push_text(j, array, name[i]);
}

static void json_files(struct wr_json *j, const struct wr_run_log *log)
{
    json_t *files = wr_json_array(j, j->root, "files");

    for (size_t i = 0; log && i < log->n_facts; i++) {
        const struct wr_log_facts *f = &log->facts[i];
        json_t *row = wr_json_row(j, files);
        const char delimiter[2] = {f->delimiter, '\0'};
        wr_json_text(j, row, "file", log->file[i]);
        wr_json_text(j, row, "delimiter", delimiter);
        wr_json_count(j, row, "header_line", f->header_line);
        json_t *columns = wr_json_object(j, row, "columns");
        for (size_t c = 0; c < f->n_column; c++) wr_json_text(j, columns, f->role[c], f->column[c]);
    }
}

static void json_limits(struct wr_json *j, const struct wr_limits *limits, const struct wr_plan *plan)
{
    json_t *array = wr_json_array(j, j->root, "limits");

    for (size_t i = 0; limits && plan && i < limits->n_limit; i++) {
        const struct wr_limit *l = &limits->limit[i];
        json_t *row = wr_json_row(j, array);
        bool one_lane = l->lanes && (l->lanes & (l->lanes - 1)) == 0 && plan->n_lane > 1;
        wr_json_text(j, row, "limit", l->name);
        wr_json_text(j, row, "crew", one_lane ? plan->lane[__builtin_ctz(l->lanes)] : "all");
        wr_json_text(j, row, "from", l->is_clock ? plan->task[l->from].id : NULL);
        wr_json_text(j, row, "to", l->is_clock ? plan->task[l->to].id : NULL);
        wr_json_number(j, row, "minutes", l->minutes);
        wr_json_maybe(j, row, "confidence", l->confidence);
    }
}

void wr_taken_for_json(struct wr_json *j, const struct wr_check_result *result)
{
    const struct wr_run_log *log = result->log;
    json_t *times = NULL;

    json_files(j, log);
    times = wr_json_array(j, j->root, "times");
    for (int kind = WR_TIME_CLOCK; log && kind <= WR_TIME_ZONED; kind++) {
        size_t n = runs_of_kind(log, (enum wr_time_kind)kind);
        if (n == 0) continue;
        json_t *row = wr_json_row(j, times);
        wr_json_text(j, row, "kind", wr_time_kind_text((enum wr_time_kind)kind));
        wr_json_count(j, row, "runs", n);
    }
    json_names(j, "lanes", result->plan ? result->plan->lane : NULL, result->plan ? result->plan->n_lane : 0);
    json_names(j, "people", result->timing ? result->timing->person : NULL,
               result->timing ? result->timing->n_person : 0);
    json_names(j, "further_columns", log ? log->attribute : NULL, log ? log->n_attribute : 0);
    json_names(j, "lost_runs", log ? log->lost_run : NULL, log ? log->n_lost_run : 0);
    json_limits(j, result->limits, result->plan);
}
