/* report: everything at once: a folder with the page, the JSON and the charts. Without gnuplot the page and the JSON
 * are written all the same, say so, and the exit status is that of the failed charts. */
#include <stdio.h>
#include "against.h"
#include "emit.h"
#include "study_options.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/present/json_join.h"
#include "wetrun/present/against_view.h"
#include "wetrun/present/page.h"
#include "wetrun/present/study_view.h"

/* Four drawings of every chart: two files, and two for the page, wide and slim. */
enum { FIRST_SCREEN = 660 }; /* px: the chart beside the answer has seven twelfths of the page */
enum drawing { PNG_FILE, SVG_FILE, WIDE_INLINE, SLIM_INLINE, N_DRAWING };

struct pictures {
    enum wr_chart chart[WR_N_CHART]; size_t n_chart; /* those that can be drawn */
    struct wr_chart_job job[WR_N_CHART * N_DRAWING];
    struct wr_chart_words words[WR_N_CHART];
    struct wr_page_figure figure[WR_N_CHART];
    char id[WR_N_CHART][2][32];
    enum wr_status status;  /* of the first drawing that failed */
    struct wr_error err;
};

static struct wr_chart_job *job_of(struct pictures *p, size_t chart, enum drawing drawing)
{
    return &p->job[chart * N_DRAWING + (size_t)drawing];
}

static void set_jobs(struct pictures *p, size_t i)
{
    enum wr_chart chart = p->chart[i];

    snprintf(p->id[i][0], sizeof p->id[i][0], "%s-w-", wr_chart_name(chart));
    snprintf(p->id[i][1], sizeof p->id[i][1], "%s-s-", wr_chart_name(chart));
    for (int d = 0; d < N_DRAWING; d++) job_of(p, i, (enum drawing)d)->chart = chart;
    job_of(p, i, PNG_FILE)->options = (struct wr_chart_options){.format = WR_CHART_PNG};
    job_of(p, i, SVG_FILE)->options = (struct wr_chart_options){.format = WR_CHART_SVG};
    job_of(p, i, WIDE_INLINE)->options = (struct wr_chart_options){
        .format = WR_CHART_SVG, .width = chart == WR_CHART_FINISH ? FIRST_SCREEN : WR_CHART_WIDE, .bare = true,
        .inline_id = p->id[i][0], .row_table = wr_chart_row_table(chart), .css_class = "chart wide"};
    job_of(p, i, SLIM_INLINE)->options = (struct wr_chart_options){.format = WR_CHART_SVG,
                                                                   .width = WR_CHART_NARROW,
                                                                   .bare = true,
                                                                   .inline_id = p->id[i][1],
                                                                   .css_class = "chart slim"};
}

static struct wr_chart_runs *begin_drawing(struct pictures *p, const struct wr_chart_input *input, unsigned n_thread)
{
    for (int c = 0; c < WR_N_CHART; c++)
        if (!wr_chart_missing((enum wr_chart)c, input)) p->chart[p->n_chart++] = (enum wr_chart)c;
    for (size_t i = 0; i < p->n_chart; i++) set_jobs(p, i);
    return wr_chart_runs_begin(p->job, p->n_chart * N_DRAWING, input, n_thread);
}

static void take_drawings(struct pictures *p, const struct wr_chart_input *input)
{
    for (size_t i = 0; i < p->n_chart * N_DRAWING && !p->status; i++) {
        p->status = p->job[i].status;
        p->err = p->job[i].err;
    }
    for (size_t i = 0; i < p->n_chart; i++) {
        wr_chart_words(p->chart[i], input, &p->words[i]);
        p->figure[i] = (struct wr_page_figure){
            .name = wr_chart_name(p->chart[i]),
            .place = wr_chart_place(p->chart[i]),
            .shows_limit = wr_chart_shows_limit(p->chart[i], input),
            .title = wr_str_text(&p->words[i].title),
            .note = wr_str_text(&p->words[i].subtitle),
            .wide = job_of(p, i, WIDE_INLINE)->status ? NULL : wr_str_text(&job_of(p, i, WIDE_INLINE)->bytes),
            .slim = job_of(p, i, SLIM_INLINE)->status ? NULL : wr_str_text(&job_of(p, i, SLIM_INLINE)->bytes),
        };
    }
}

static void pictures_release(struct pictures *p)
{
    for (size_t i = 0; i < p->n_chart * N_DRAWING; i++) wr_str_release(&p->job[i].bytes);
    for (size_t i = 0; i < p->n_chart; i++) wr_chart_words_release(&p->words[i]);
}

/* The files of the report, the page last. Pictures that are not drawn this time go: they would be those of another
 * run. */
struct files {
    struct wr_output_file file[2 + 2 * WR_N_CHART];
    size_t n;
    char name[2 * WR_N_CHART][64];
};

/* Of a chart every drawing, or none. */
static bool is_whole(struct pictures *p, size_t chart)
{
    for (int d = 0; d < N_DRAWING; d++)
        if (job_of(p, chart, (enum drawing)d)->status) return false;
    return true;
}

static void add_picture(struct files *files, enum wr_chart chart, const char *ending, const struct wr_chart_job *job)
{
    char *name = files->name[files->n - 1]; /* the JSON stands before them */
    bool drawn = job && !job->status;

    snprintf(name, sizeof files->name[0], "charts/%s%s", wr_chart_name(chart), ending);
    files->file[files->n++] =
        (struct wr_output_file){name, drawn ? wr_str_text(&job->bytes) : NULL, drawn ? job->bytes.len : 0};
}

static enum wr_status write_files(struct pictures *p, const struct wr_str *page, const struct wr_str *json,
                                  const char *folder, struct wr_error *err)
{
    struct files files = {.n = 0};

    files.file[files.n++] = (struct wr_output_file){"report.json", wr_str_text(json), json->len};
    for (int c = 0; c < WR_N_CHART; c++) {
        size_t i = 0;
        while (i < p->n_chart && p->chart[i] != (enum wr_chart)c) i++;
        bool can_be_drawn = i < p->n_chart && is_whole(p, i);
        add_picture(&files, (enum wr_chart)c, ".png", can_be_drawn ? job_of(p, i, PNG_FILE) : NULL);
        add_picture(&files, (enum wr_chart)c, ".svg", can_be_drawn ? job_of(p, i, SVG_FILE) : NULL);
    }
    files.file[files.n++] = (struct wr_output_file){"report.html", wr_str_text(page), page->len};
    return wr_output_write_set(folder, files.file, files.n, err);
}

/* Charts of which all drawings succeeded. */
static size_t count_drawn(struct pictures *p)
{
    size_t n = 0;

    for (size_t i = 0; i < p->n_chart; i++) n += is_whole(p, i);
    return n;
}

static enum wr_status say_what_is_missing(const struct pictures *p, size_t n_drawn, struct wr_error *err)
{
    bool on_page = false;

    *err = p->err;
    for (size_t i = 0; i < p->n_chart; i++) on_page |= p->figure[i].wide || p->figure[i].slim;
    if (n_drawn == 0 && on_page)
        wr_error_prefix(err, "the page with its charts and the JSON were written, no pictures beside them");
    else if (n_drawn == 0) wr_error_prefix(err, "the page and the JSON were written, without charts");
    else wr_error_prefix(err, "the page and the JSON were written, with %zu of %zu charts", n_drawn, p->n_chart);
    return p->status;
}

/* What stands in a report beside the campaign itself, as far as it was asked for. */
struct also {
    const struct wr_against *against;
    const struct wr_series_view *series;
};

static enum wr_status make_page(const struct wr_study *study, const struct also *also, const struct pictures *p,
                                const struct wr_context *context, struct wr_str *out, struct wr_error *err)
{
    const struct wr_forecast_result forecast = wr_forecast_result_of(study);
    const struct wr_check_result check = wr_check_result_of(study);
    const struct wr_fit_result fit = wr_fit_result_of(study);
    const struct wr_pad_result pad = wr_pad_result_of(study);
    const struct wr_cutoff_result cutoff = wr_cutoff_result_of(study);
    const struct wr_compare_result compare = wr_compare_result_of(study);
    const struct wr_backtest_result backtest = wr_backtest_result_of(study);
    const struct wr_ready_result ready = wr_ready_result_of(study);
    const struct wr_runs_needed_result runs_needed = wr_runs_needed_result_of(study);
#define IF_MADE(id, view) (wr_study_has(study, WR_RESULT_##id) ? &(view) : NULL)
    const struct wr_page page = {
        .context = &context->present,
        .forecast = &forecast,
        .check = &check,
        .figure = p->figure,
        .n_figure = p->n_chart,
        .fit = IF_MADE(SUMMARY, fit),
        .pad = IF_MADE(PAD, pad),
        .cutoff = IF_MADE(CUTOFFS, cutoff),
        .compare = IF_MADE(COMPARISON, compare),
        .backtest = IF_MADE(BACKTEST, backtest),
        .ready = IF_MADE(READY, ready),
        .runs_needed = IF_MADE(RUNS_NEEDED, runs_needed),
        .other = IF_MADE(OTHER_LIMITS, study->other),
        .against = also->against,
        .series = also->series,
        .no_charts = p->status ? p->err.text : NULL,
    };
#undef IF_MADE

    return wr_page_write(&page, out, err);
}

/* {"command": "report", "check": {…}, "fit": {…}, …}: the objects of the single commands, in the order of their
 * table. */
static enum wr_status make_json(const struct wr_study *study, const struct also *also,
                                const struct wr_context *context, struct wr_str *out, struct wr_error *err)
{
    const struct wr_check_result check = wr_check_result_of(study);
    struct wr_present_context own = context->present;
    WR_SCOPED_STR part = {0};
    enum wr_status status = WR_OK;

    wr_str_add(out, "{\"command\": \"report\", \"version\": \"" WR_VERSION "\"}");
    for (size_t i = 0; i < WR_N_COMMAND && !status; i++) {
        const struct wr_command *command = &wr_commands[i];
        bool made = command->run == wr_cmd_result && wr_study_has(study, command->result);
        own.command = command->name;
        wr_str_clear(&part);
        if (made) status = wr_show_result(command->result, WR_FORMAT_JSON, &own, study, &part, err);
        else if (command->run == wr_cmd_check) status = wr_show_check(WR_FORMAT_JSON, &own, &check, &part, err);
        if (part.len) wr_json_join(out, command->name, &part);
    }
    own.command = "against";
    wr_str_clear(&part);
    if (also->against && !status) status = wr_show_against(WR_FORMAT_JSON, &own, also->against, &part, err);
    if (part.len) wr_json_join(out, own.command, &part);
    own.command = "series";
    wr_str_clear(&part);
    if (also->series && !status) status = wr_show_series(WR_FORMAT_JSON, &own, also->series, &part, err);
    if (part.len) wr_json_join(out, own.command, &part);
    return status;
}

/* What no picture shows: it is worked out while they are drawn. */
#define BESIDE_DRAWING WR_RESULT_BIT(WR_RESULT_RUNS_NEEDED)

struct last_part {
    const struct wr_command *command;
    const struct wr_settings *settings;
    struct wr_study *study;
    struct wr_progress *progress;
    struct wr_chart_runs *runs;
    struct wr_before *beside; /* NULL: no other state to set it against */
    struct wr_str *notes;     /* on that */
    unsigned wanted, n_thread;
    enum wr_status status;
    struct wr_error err;
};

static void finish_results(struct last_part *last)
{
    last->status = wr_study_gather(last->study, last->wanted, &last->err);
    if (!last->status && last->beside)
        last->status =
            wr_before_make(last->beside, last->settings, last->study, last->progress, last->notes, &last->err);
    if (!last->status) wr_progress_say(last->progress, "drawing the charts");
}

/* Short of memory the results let go of the study: what draws beside them must not look at it. */
static void draw_or_finish(void *arg, size_t piece)
{
    struct last_part *last = arg;

    if (piece == 0) finish_results(last);
    else wr_chart_runs_draw(last->runs, last->n_thread);
}

static enum wr_status write_report(const struct last_part *last, struct pictures *p, const struct also *also,
                                   const struct wr_context *context, struct wr_error *err)
{
    const char *folder = last->settings->out ? last->settings->out : "wetrun-report";
    WR_SCOPED_STR page = {0}, json = {0}, notes = {0};

    wr_str_add_bytes(&notes, last->notes->text, last->notes->len);
    wr_note_modelled(&notes, context);
    wr_note_limits_left_out(&notes, last->study);
    enum wr_status status = make_page(last->study, also, p, context, &page, err);
    if (!status) status = make_json(last->study, also, context, &json, err);
    if (!last->settings->quiet && !p->status)
        wr_note(&notes, "page, JSON and %zu charts are in %s", p->n_chart, folder);
    if (!status) status = write_files(p, &page, &json, folder, err);
    if (!status) wr_say_notes(&notes);
    if (!status && p->status) status = say_what_is_missing(p, count_drawn(p), err);
    return status;
}

/* All that is left to do once there is what the pictures show. */
static enum wr_status finish(struct last_part *last, const struct wr_series_view *series, struct wr_error *err)
{
    struct wr_chart_input input = wr_chart_input_of(last->study);
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    enum wr_status status = wr_context_make(&context, last->command, last->study, last->settings, err);

    if (status) return status;
    WR_SCOPED struct pictures *p = WR_NEW(struct pictures);
    const struct also also = {last->beside ? &last->beside->against : NULL, series};
    input.series = series;
    input.context = &context.present;
    last->runs = begin_drawing(p, &input, last->n_thread);
    wr_parallel_for(2, last->n_thread, draw_or_finish, last);
    if (!last->status) {
        wr_chart_runs_finish(last->runs, last->n_thread);
        take_drawings(p, &input);
    }
    wr_chart_runs_release(last->runs);
    wr_progress_clear(last->progress);
    if (last->status) *err = last->err;
    status = last->status ? last->status : write_report(last, p, &also, &context, err);
    pictures_release(p);
    return status;
}

/* The excursions that this one stands among, where a folder of them is named. */
static enum wr_status run_series(struct wr_series_study *series, const struct wr_study_options *options,
                                 const struct wr_settings *settings, struct wr_error *err)
{
    struct wr_study_options own = *options;

    if (!settings->series) return WR_OK;
    own.folder = settings->series;
    enum wr_status status = wr_series_study_run(series, &own, err);
    if (status) wr_error_prefix(err, "--series");
    return status;
}

enum wr_status wr_cmd_report(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                             struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    WR_RELEASED_BY(wr_series_study_release) struct wr_series_study series = {0};
    struct wr_study_options options;
    struct wr_progress progress;
    WR_SCOPED_STR notes = {0};
    unsigned wanted = 0;

    (void)verdict;
    for (size_t i = 0; i < WR_N_COMMAND; i++) wanted |= wr_commands[i].in_report;
    wanted |= WR_RESULT_BIT(WR_RESULT_OTHER_LIMITS); /* for the page alone */
    wr_progress_begin(&progress, command->busy, settings->quiet);
    enum wr_status status = wr_study_options_from(&options, command, settings, &progress, err);
    options.progress_of = wanted | WR_RESULT_BIT(WR_RESULT_FORECAST);
    options.progress_after_s = 1.2; /* the charts (tests/bench/bench_report.c) */
    WR_SCOPED struct wr_before *beside = settings->against ? WR_NEW(struct wr_before) : NULL;
    if (!status) status = wr_study_open(&study, &options, err);
    if (!status) status = wr_before_open(beside, command, settings, &progress, err);
    if (!status) status = run_series(&series, &options, settings, err);
    if (!status) status = wr_study_make(&study, WR_RESULT_FORECAST, err);
    if (!status) status = wr_study_gather(&study, wanted & ~BESIDE_DRAWING, err);
    if (!status) {
        struct wr_series_view view = settings->series ? wr_series_view_of(&series) : (struct wr_series_view){0};
        struct last_part last = {.command = command, .settings = settings, .study = &study, .progress = &progress,
                                 .beside = beside, .notes = &notes, .wanted = wanted, .n_thread = options.n_thread};
        status = finish(&last, settings->series ? &view : NULL, err);
        wr_series_view_done(&view);
    }
    wr_progress_clear(&progress);
    if (beside) wr_before_release(beside);
    return status;
}
