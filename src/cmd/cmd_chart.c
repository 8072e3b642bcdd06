/* chart NAME: one chart, PNG, SVG or PDF. */
#include <string.h>
#include <strings.h>
#include <unistd.h>
#include "emit.h"
#include "study_options.h"
#include "wetrun/present/study_view.h"
#include "wetrun/study/series.h"

static enum wr_status find_chart(const char *name, enum wr_chart *chart, struct wr_error *err)
{
    WR_SCOPED_STR all = {0};

    if (wr_chart_find(name, chart)) return WR_OK;
    for (int i = 0; i < WR_N_CHART; i++) wr_str_addf(&all, "%s%s", i ? ", " : "", wr_chart_name((enum wr_chart)i));
    return wr_fail(err, WR_E_USAGE, "there is no chart '%s'; there are: %s", name, wr_str_text(&all));
}

/* What is computed for a chart beyond the forecast. */
static enum wr_status make_what_it_shows(struct wr_study *study, enum wr_chart chart, struct wr_error *err)
{
    unsigned shows = wr_chart_shows(chart);
    enum wr_status status = wr_study_make(study, WR_RESULT_FORECAST, err);

    for (int i = 0; i < WR_N_RESULT && !status; i++) {
        if (shows & WR_RESULT_BIT(i)) status = wr_study_make(study, (enum wr_result)i, err);
        if (status == WR_E_TOO_FEW) status = WR_OK; /* the chart says itself what it is missing */
    }
    return status;
}

static const struct {
    const char *ending;
    enum wr_chart_format format;
} known_ending[] = {
    {".png", WR_CHART_PNG}, {".svg", WR_CHART_SVG}, {".pdf", WR_CHART_PDF}}; /* as --picture has them, from 1 */
enum { N_ENDING = sizeof known_ending / sizeof *known_ending };

/* What the file's name says, or --picture; where both speak they must agree. */
static enum wr_status find_format(const struct wr_settings *settings, enum wr_chart_format *format,
                                  struct wr_error *err)
{
    const char *out = settings->out, *ending = out ? strrchr(out, '.') : NULL;
    size_t asked = (size_t)settings->picture, named = 0; /* 0: not said */

    for (size_t i = 0; ending && i < N_ENDING; i++)
        if (strcasecmp(ending, known_ending[i].ending) == 0) named = i + 1;
    if (asked && named && asked != named)
        return wr_fail(err, WR_E_USAGE, "--picture and the name '%s' do not agree: leave one of them out", out);
    if (!asked && !named && out && strcmp(out, "-") != 0)
        return wr_fail(err, WR_E_USAGE, "'%s' does not say which kind of picture: end it in .png, .svg or .pdf, or add "
                       "--picture", out);
    size_t which = asked ? asked : named;
    *format = which ? known_ending[which - 1].format : WR_CHART_PNG;
    return WR_OK;
}

static enum wr_status check_asked(const struct wr_settings *settings, enum wr_chart chart, enum wr_chart_format *format,
                                  struct wr_error *err)
{
    enum wr_status status = find_format(settings, format, err);

    if (status) return status;
    if (settings->study.now && chart != WR_CHART_CUTOFF)
        return wr_fail(err, WR_E_USAGE,
                       "--now: only the chart 'cutoff' knows the day; '%s' would show the forecast before it: write "
                       "wetrun chart cutoff --now …",
                       wr_chart_name(chart));
    if (!settings->out && *format != WR_CHART_SVG && isatty(STDOUT_FILENO))
        return wr_fail(err, WR_E_USAGE, "a picture is not for a terminal: add --out FILE.png (or .svg, .pdf)");
    if (settings->width && (settings->width < 320 || settings->width > 4000))
        return wr_fail(err, WR_E_USAGE, "--width: %zu is not between 320 and 4000: write --width 800", settings->width);
    return WR_OK;
}

/* What is asked, and how it goes out. */
struct asked {
    const struct wr_command *command;
    const struct wr_settings *settings;
    const struct wr_study_options *options;
    struct wr_chart_options drawn;
    struct wr_progress *progress;
};

/* The picture with all that the commands say beside such numbers. */
static enum wr_status draw(const struct asked *asked, enum wr_chart chart, const struct wr_chart_input *input,
                           struct wr_context *context, struct wr_str *notes, struct wr_error *err)
{
    WR_SCOPED_STR picture = {0};

    enum wr_status status = wr_chart_render(chart, input, &asked->drawn, &picture, err);
    wr_progress_clear(asked->progress);
    return status ? status : wr_emit_picture(asked->settings, context, notes, &picture, err);
}

/* The one chart that is not about a single campaign. */
static enum wr_status draw_series(const struct asked *asked, struct wr_error *err)
{
    const struct wr_settings *settings = asked->settings;
    WR_RELEASED_BY(wr_series_study_release) struct wr_series_study series = {0};
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    WR_SCOPED_STR notes = {0}, second = {0};
    enum wr_status status = wr_series_study_run(&series, asked->options, err);

    for (size_t i = 0; i < series.n_file && !status; i++)
        status = wr_spare_inputs(settings, &(struct wr_input *){&series.file[i]}, 1, false, err);
    for (size_t e = 0; e < series.n_excursion && !status; e++)
        status = wr_spare_inputs(settings, series.excursion[e].study.file, series.excursion[e].study.n_file, false,
                                 err);
    if (!status) status = wr_context_make(&context, asked->command, &series.excursion[0].study, settings, err);
    if (!status) {
        struct wr_series_view view = wr_series_view_of(&series);
        const struct wr_chart_input input = {.plan = &series.excursion[0].study.plan,
                                             .series = &view,
                                             .target = context.present.target,
                                             .context = &context.present};
        wr_series_second_sentence(&view, &second);
        context.present.second_words = second.len ? wr_str_text(&second) : NULL;
        for (size_t e = 0; e < series.n_excursion; e++)
            wr_note_findings(&notes, &series.excursion[e].study, settings);
        status = draw(asked, WR_CHART_SERIES, &input, &context, &notes, err);
        wr_series_view_done(&view);
    }
    return status;
}

static enum wr_status draw_study(const struct asked *asked, enum wr_chart chart, struct wr_error *err)
{
    WR_RELEASED_BY(wr_study_release) struct wr_study study = {0};
    WR_RELEASED_BY(wr_context_done) struct wr_context context = {0};
    WR_SCOPED_STR notes = {0};
    enum wr_status status = wr_study_open(&study, asked->options, err);

    if (!status) status = make_what_it_shows(&study, chart, err);
    if (!status) status = wr_context_make(&context, asked->command, &study, asked->settings, err);
    if (!status) {
        struct wr_chart_input input = wr_chart_input_of(&study);
        input.context = &context.present;
        context.present.has_target = context.present.has_target && wr_chart_is_forecast(chart);
        if (!wr_chart_missing(chart, &input) && !wr_chart_shows_limit(chart, &input))
            wr_context_leave_out_limits(&context.present);
        wr_note_limits_left_out(&notes, &study);
        wr_note_findings_of(&notes, &context, &study, asked->settings);
        status = draw(asked, chart, &input, &context, &notes, err);
    }
    return status;
}

enum wr_status wr_cmd_chart(const struct wr_command *command, const struct wr_settings *settings, int *verdict,
                            struct wr_error *err)
{
    struct wr_study_options options;
    struct wr_progress progress;
    enum wr_chart_format format = WR_CHART_PNG;
    enum wr_chart chart;

    (void)verdict;
    enum wr_status status = find_chart(settings->name, &chart, err);
    if (!status) status = check_asked(settings, chart, &format, err);
    if (status) return status;
    wr_progress_begin(&progress, command->busy, settings->quiet);
    status = wr_study_options_from(&options, command, settings, &progress, err);
    const struct asked asked = {
        command, settings, &options, {.format = format, .width = (unsigned)settings->width}, &progress};
    if (!status) status = chart == WR_CHART_SERIES ? draw_series(&asked, err) : draw_study(&asked, chart, err);
    wr_progress_clear(&progress);
    return status;
}
