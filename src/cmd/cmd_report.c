/* report: everything at once: a folder with the page, the JSON and the charts. Without gnuplot the page and the JSON are
 * written all the same, say so, and the exit status is that of the failed charts. */
#include <stdio.h>
#include <string.h>
#include "commands.h"
#include "emit.h"
#include "results.h"
#include "wetrun/base/memory.h"
#include "wetrun/present/page.h"

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
        .inline_id = p->id[i][0], .css_class = "chart wide"};
    job_of(p, i, SLIM_INLINE)->options = (struct wr_chart_options){
        .format = WR_CHART_SVG, .width = WR_CHART_NARROW, .bare = true, .inline_id = p->id[i][1], .css_class = "chart slim"};
}

static void draw(struct pictures *p, const struct wr_chart_input *input, unsigned n_thread)
{
    for (int c = 0; c < WR_N_CHART; c++)
        if (!wr_chart_missing((enum wr_chart)c, input)) p->chart[p->n_chart++] = (enum wr_chart)c;
    for (size_t i = 0; i < p->n_chart; i++) set_jobs(p, i);
    wr_chart_render_all(p->job, p->n_chart * N_DRAWING, input, n_thread);
    for (size_t i = 0; i < p->n_chart * N_DRAWING && !p->status; i++) {
        p->status = p->job[i].status;
        p->err = p->job[i].err;
    }
    for (size_t i = 0; i < p->n_chart; i++) {
        wr_chart_words(p->chart[i], input, &p->words[i]);
        p->figure[i] = (struct wr_page_figure){
            .name = wr_chart_name(p->chart[i]),
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

static enum wr_status write_file(const char *folder, const char *name, const char *ending, const struct wr_str *bytes,
                                 struct wr_error *err)
{
    struct wr_str path = {0};

    wr_str_addf(&path, "%s/%s%s", folder, name, ending);
    enum wr_status status = wr_output_write(wr_str_text(&path), wr_str_text(bytes), bytes->len, err);
    wr_str_release(&path);
    return status;
}

static enum wr_status write_charts(struct pictures *p, const char *folder, struct wr_error *err)
{
    struct wr_str charts = {0};
    enum wr_status status;

    wr_str_addf(&charts, "%s/charts", folder);
    status = wr_output_make_folder(wr_str_text(&charts), err);
    for (size_t i = 0; i < p->n_chart && !status; i++) {
        const struct wr_chart_job *png = job_of(p, i, PNG_FILE), *svg = job_of(p, i, SVG_FILE);
        if (!png->status) status = write_file(wr_str_text(&charts), wr_chart_name(p->chart[i]), ".png", &png->bytes, err);
        if (!status && !svg->status)
            status = write_file(wr_str_text(&charts), wr_chart_name(p->chart[i]), ".svg", &svg->bytes, err);
    }
    wr_str_release(&charts);
    return status;
}

/* What the page and the JSON are made of. */
struct contents {
    struct wr_check_result check;
    struct wr_fit_result fit;
    struct wr_forecast_result forecast;
    struct wr_pad_result pad;
    struct wr_cutoff_result cutoff;
    struct wr_compare_result compare;
    struct wr_backtest_result backtest;
    struct wr_ready_result ready;
    struct wr_runs_needed_result runs_needed;
};

static void fill(struct contents *c, const struct wr_results *r, const struct wr_settings *settings)
{
    const struct wr_loaded *in = &r->a.in;

    c->check = (struct wr_check_result){.log = in->log.n_run ? &in->log : NULL, .plan = &in->plan,
                                        .timing = in->timing.n_run ? &in->timing : NULL, .findings = &in->findings};
    c->fit = wr_fit_result_of(r);
    c->forecast = wr_forecast_result_of(&r->a);
    c->pad = (struct wr_pad_result){.plan = &in->plan, .pad = &r->pad};
    c->cutoff = wr_cutoff_result_of(&r->cutoffs, &r->a, settings);
    c->compare = (struct wr_compare_result){
        .plan = &in->plan, .log = &in->log, .timing = &in->timing, .comparison = &r->comparison};
    c->backtest = (struct wr_backtest_result){.plan = &in->plan, .log = &in->log, .backtest = &r->backtest};
    c->runs_needed = (struct wr_runs_needed_result){
        .plan = &in->plan, .limit_min = in->limits.n_limit ? in->limits.limit[0].minutes : 0, .needed = &r->runs_needed};
    c->ready = (struct wr_ready_result){.plan = &in->plan, .log = &in->log, .limits = &in->limits, .ready = &r->ready};
}

static enum wr_status make_page(const struct contents *c, const struct wr_results *r, const struct pictures *p,
                                const struct wr_context *context, struct wr_str *out, struct wr_error *err)
{
    const struct wr_page page = {
        .context = &context->present,
        .forecast = &c->forecast,
        .check = &c->check,
        .figure = p->figure,
        .n_figure = p->n_chart,
        .fit = r->has & WR_WANT_FIT ? &c->fit : NULL,
        .pad = r->has & WR_WANT_PAD ? &c->pad : NULL,
        .cutoff = r->has & WR_WANT_CUTOFFS ? &c->cutoff : NULL,
        .compare = r->has & WR_WANT_COMPARISON ? &c->compare : NULL,
        .backtest = r->has & WR_WANT_BACKTEST ? &c->backtest : NULL,
        .ready = r->has & WR_WANT_READY ? &c->ready : NULL,
        .runs_needed = r->has & WR_WANT_RUNS_NEEDED ? &c->runs_needed : NULL,
        .no_charts = p->status ? p->err.text : NULL,
    };

    return wr_page_write(&page, out, err);
}

/* {"command": "report", "check": {…}, "fit": {…}, …}: the objects of the single commands, whole. */
static enum wr_status make_json(const struct contents *c, const struct wr_results *r, struct wr_context *context,
                                struct wr_str *out, struct wr_error *err)
{
    struct wr_present_context own = context->present;
    enum wr_status status = WR_OK;

    wr_str_add(out, "{\"command\": \"report\", \"version\": \"" WR_VERSION "\"");
#define PART(name, there, call)                                   \
    if (!status && (there)) {                                     \
        wr_str_add(out, ",\n\"" name "\": ");                     \
        own.command = name;                                       \
        status = call;                                            \
    }
    PART("check", true, wr_show_check(WR_FORMAT_JSON, &own, &c->check, out, err))
    PART("fit", r->has & WR_WANT_FIT, wr_show_fit(WR_FORMAT_JSON, &own, &c->fit, out, err))
    PART("forecast", true, wr_show_forecast(WR_FORMAT_JSON, &own, &c->forecast, out, err))
    PART("pad", r->has & WR_WANT_PAD, wr_show_pad(WR_FORMAT_JSON, &own, &c->pad, out, err))
    PART("cutoff", r->has & WR_WANT_CUTOFFS, wr_show_cutoff(WR_FORMAT_JSON, &own, &c->cutoff, out, err))
    PART("compare", r->has & WR_WANT_COMPARISON, wr_show_compare(WR_FORMAT_JSON, &own, &c->compare, out, err))
    PART("backtest", r->has & WR_WANT_BACKTEST, wr_show_backtest(WR_FORMAT_JSON, &own, &c->backtest, out, err))
    PART("ready", r->has & WR_WANT_READY, wr_show_ready(WR_FORMAT_JSON, &own, &c->ready, out, err))
    PART("runs-needed", r->has & WR_WANT_RUNS_NEEDED,
         wr_show_runs_needed(WR_FORMAT_JSON, &own, &c->runs_needed, out, err))
#undef PART
    wr_str_add(out, "}\n");
    return status;
}

static enum wr_status write_all(struct wr_results *r, const struct wr_settings *settings, struct wr_error *err)
{
    const char *folder = settings->out ? settings->out : "wetrun-report";
    struct pictures *p = WR_NEW(struct pictures);
    const struct wr_chart_input input = wr_chart_input_of(r);
    struct wr_context context = {0};
    struct contents contents = {0};
    struct wr_str page = {0}, json = {0};

    fill(&contents, r, settings);
    enum wr_status status = wr_context_make(&context, "report", &r->a.in, settings, err);
    if (!status) {
        wr_context_of_analysis(&context, &r->a, settings);
        draw(p, &input, (unsigned)settings->threads);
        status = make_page(&contents, r, p, &context, &page, err);
    }
    if (!status) status = make_json(&contents, r, &context, &json, err);
    if (!status) status = wr_output_make_folder(folder, err);
    if (!status) status = write_file(folder, "report", ".html", &page, err);
    if (!status) status = write_file(folder, "report", ".json", &json, err);
    if (!status) status = write_charts(p, folder, err);
    if (!status && !settings->quiet) wr_say("page, JSON and %zu charts are in %s", p->n_chart, folder);
    if (!status && p->status) {
        *err = p->err;
        wr_error_prefix(err, "the page and the JSON were written, without charts");
        status = p->status;
    }
    wr_str_release(&page);
    wr_str_release(&json);
    wr_context_done(&context);
    pictures_release(p);
    wr_free(p);
    return status;
}

enum wr_status wr_cmd_report(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_results r = {0};
    struct wr_progress progress;

    (void)verdict;
    wr_progress_begin(&progress, "computing", settings->quiet);
    enum wr_status status = wr_results_make(&r, WR_WANT_ALL & ~(unsigned)WR_WANT_CANDIDATES, settings, &progress, err);
    if (!status) status = wr_analysis_price_rules(&r.a, settings, err);
    if (!status) status = write_all(&r, settings, err);
    wr_results_release(&r);
    return status;
}
