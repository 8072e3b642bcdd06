#include "wetrun/model/model_table.h"

#include <math.h>
#include <string.h>
#include "wetrun/base/memory.h"

void wr_model_table_init(struct wr_model_table *table, size_t n_task, size_t n_run, size_t n_person,
                         enum wr_plan_times plan_times)
{
    size_t n_cell;

    WR_BUG_IF(__builtin_mul_overflow(n_task, n_run, &n_cell));
    *table = (struct wr_model_table){.obs = WR_NEW_ARRAY(unsigned char, n_cell),
                                     .log_min = WR_NEW_ARRAY(double, n_cell),
                                     .order = WR_NEW_ARRAY(double, n_run)};
    if (plan_times == WR_HAS_PLAN_TIMES) table->log_planned = WR_NEW_ARRAY(double, n_task);
    if (n_person) {
        WR_BUG_IF(__builtin_mul_overflow(n_cell, n_person, &n_cell));
        table->person_weight = WR_NEW_ARRAY(double, n_cell);
    }
    for (size_t r = 0; r < n_run; r++) table->order[r] = (double)r + 1.0;
    table->data = (struct wr_model_data){n_task, n_run, n_person, table->obs, table->log_min, table->log_planned,
                                         table->person_weight, table->order, (double)n_run + 1.0};
}

static void copy_cell(struct wr_model_table *to, size_t at, const struct wr_model_data *from, size_t from_at)
{
    to->obs[at] = from->obs[from_at];
    to->log_min[at] = from->log_min[from_at];
    if (from->n_person)
        memcpy(to->person_weight + at * from->n_person, from->person_weight + from_at * from->n_person,
               from->n_person * sizeof(double));
}

void wr_model_table_keep_runs(struct wr_model_table *table, const struct wr_model_data *from,
                              const unsigned char *keep, double target_order)
{
    size_t n_run = 0, to = 0;

    for (size_t r = 0; r < from->n_run; r++) n_run += keep[r] != 0;
    wr_model_table_init(table, from->n_task, n_run, from->n_person,
                        from->log_planned ? WR_HAS_PLAN_TIMES : WR_NO_PLAN_TIMES);
    if (from->log_planned) memcpy(table->log_planned, from->log_planned, from->n_task * sizeof(double));
    for (size_t r = 0; r < from->n_run; r++) {
        if (!keep[r]) continue;
        table->order[to] = from->order[r];
        for (size_t k = 0; k < from->n_task; k++) copy_cell(table, k * n_run + to, from, k * from->n_run + r);
        to++;
    }
    table->data.target_order = target_order;
}

void wr_model_table_add_run(struct wr_model_table *table, const struct wr_model_data *from, double order,
                            double target_order)
{
    wr_model_table_init(table, from->n_task, from->n_run + 1, from->n_person,
                        from->log_planned ? WR_HAS_PLAN_TIMES : WR_NO_PLAN_TIMES);
    if (from->log_planned) memcpy(table->log_planned, from->log_planned, from->n_task * sizeof(double));
    if (from->n_run) memcpy(table->order, from->order, from->n_run * sizeof(double));
    table->order[from->n_run] = order;
    for (size_t k = 0; k < from->n_task; k++)
        for (size_t r = 0; r < from->n_run; r++)
            copy_cell(table, k * table->data.n_run + r, from, k * from->n_run + r);
    table->data.target_order = target_order;
}

void wr_model_table_set_cell(struct wr_model_table *table, size_t task, size_t run, enum wr_obs obs, double min,
                             const unsigned *person, size_t n)
{
    size_t at = task * table->data.n_run + run, n_person = table->data.n_person;

    WR_BUG_IF(task >= table->data.n_task || run >= table->data.n_run || (obs != WR_OBS_NONE && !(min > 0)));
    table->obs[at] = (unsigned char)obs;
    table->log_min[at] = obs == WR_OBS_NONE ? 0.0 : log(min);
    for (size_t p = 0; p < n_person; p++) table->person_weight[at * n_person + p] = 0.0;
    for (size_t i = 0; n_person && i < n; i++) {
        WR_BUG_IF(person[i] >= n_person);
        table->person_weight[at * n_person + person[i]] += 1.0 / (double)n;
    }
}

void wr_model_table_release(struct wr_model_table *table)
{
    WR_FREE(table->obs, table->log_min, table->log_planned, table->person_weight, table->order);
    *table = (struct wr_model_table){0};
}
