#include "wetrun/present/logsheet.h"

#include <string.h>
#include "json.h"
#include "wetrun/present/escape.h"
#include "wetrun/present/grid.h"

static const struct wr_column sheet_columns[] = {
    {"run", "run", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"date", "date", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"task", "task", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    {"title", "title", WR_UNIT_TEXT, WR_TERMINAL, 10},
    {"step", "step", WR_UNIT_TEXT, WR_EVERYBODY, 8},
    {"crew", "crew", WR_UNIT_TEXT, WR_EVERYBODY, 7},
    {"performer", "who", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    {"start", "start", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    {"end", "end", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    {"hold", "hold", WR_UNIT_TEXT, WR_EVERYBODY, 0},
    {"outcome", "outcome", WR_UNIT_TEXT, WR_EVERYBODY, 0},
};

static void crew_of(const struct wr_plan *plan, const struct wr_plan_task *task, struct wr_str *crew)
{
    wr_str_clear(crew);
    for (size_t i = 0; i < task->n_lane; i++)
        wr_str_addf(crew, "%s%s", i ? "+" : "", plan->lane[task->lane_order[i]]);
}

static void fill(struct wr_grid *grid, const struct wr_plan *plan, const struct wr_run_log *log, const char *blank)
{
    enum { MOST_STEPS = 64 };
    const char *step[MOST_STEPS];
    WR_SCOPED_STR crew = {0};

    for (size_t k = 0; k < plan->n_task; k++) {
        size_t n = wr_run_log_steps_of(log, plan->task[k].id, step, MOST_STEPS);
        if (n == 0) step[n++] = ""; /* one nameless step */
        crew_of(plan, &plan->task[k], &crew);
        for (size_t i = 0; i < n; i++) {
            WR_GRID_TEXTS(grid, "", "", plan->task[k].id, plan->task[k].title, step[i], wr_str_text(&crew));
            for (size_t c = 6; c < sizeof sheet_columns / sizeof *sheet_columns; c++) wr_grid_text(grid, blank);
        }
    }
}

static void add_heading(const struct wr_present_context *ctx, struct wr_str *out)
{
    wr_str_add(out, "Step log");
    if (ctx->campaign) {
        wr_str_add(out, ", ");
        wr_escape_terminal(out, ctx->campaign);
    }
    wr_str_add(out, "\nrun ______________   date ______________   logged by ______________\n"
                    "Times h:mm:ss. Hold: minutes that the real excursion would not have.\n"
                    "Outcome: done, stopped (cut off before the end) or skipped (not attempted).\n\n");
}

enum wr_status wr_show_logsheet(enum wr_format format, const struct wr_present_context *ctx, const struct wr_plan *plan,
                                const struct wr_run_log *log, struct wr_str *out, struct wr_error *err)
{
    WR_SCOPED_GRID grid = {0};
    enum wr_status status = WR_OK;

    wr_grid_init(&grid, sheet_columns, sizeof sheet_columns / sizeof *sheet_columns);
    fill(&grid, plan, log, format == WR_FORMAT_TABLE ? "_____" : "");
    switch (format) {
    case WR_FORMAT_TABLE:
        add_heading(ctx, out);
        wr_grid_add_terminal(&grid, wr_context_columns(ctx), out);
        break;
    case WR_FORMAT_CSV:
        wr_grid_add_csv(&grid, out);
        break;
    case WR_FORMAT_JSON: {
        struct wr_json json;
        wr_json_begin(&json, ctx);
        wr_json_grid(&json, json.root, "rows", &grid);
        status = wr_json_finish(&json, out, err);
        break;
    }
    }
    return status;
}
