#include "study_options.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include "against.h"
#include "wetrun/campaign/written.h"

/* One day in three then takes seven times as long as usual, or a seventh: no rehearsals are like that. */
static const double MOST_RUN_EFFECT = 2, MOST_GAP_ALLOWANCE = 100;

static enum wr_status take_run_effect_prior(struct wr_priors *priors, const char *text, struct wr_error *err)
{
    char median[64];
    size_t len = strcspn(text, ",");
    const char *logsd = text[len] == ',' ? text + len + 1 : NULL;

    snprintf(median, sizeof median, "%.*s", (int)len, text);
    priors->tau_lognormal = true;
    if (len >= sizeof median || !wr_parse_double(median, &priors->tau_scale) || !(priors->tau_scale > 0) ||
        priors->tau_scale > MOST_RUN_EFFECT ||
        (logsd && (!wr_parse_double(logsd, &priors->tau_logsd) || !(priors->tau_logsd > 0) || priors->tau_logsd > 10)))
        return wr_fail(err, WR_E_USAGE,
                       "--run-effect-prior: '%.60s' is not MEDIAN or MEDIAN,LOGSD, above 0 and at most "
                       "%g and 10: write --run-effect-prior 0.1,0.5",
                       text, MOST_RUN_EFFECT);
    return WR_OK;
}

static enum wr_status take_fit_options(struct wr_fit_options *o, const struct wr_settings *settings,
                                       struct wr_error *err)
{
    o->target = settings->target ? WR_FOR_EXCURSION : WR_FOR_REHEARSAL;
    o->model = settings->model ? WR_MODEL_ALONE : WR_MODEL_POOLED;
    o->reading = (enum wr_three_point_reading)settings->three_point;
    o->gap_allowance = settings->gap_allowance.known ? settings->gap_allowance.value : 0;
    o->priors.learning = settings->learning == 0;
    o->priors.skew = !settings->no_skew;
    if (o->gap_allowance > MOST_GAP_ALLOWANCE)
        return wr_fail(err, WR_E_USAGE,
                       "--gap-allowance: %g is more than %g per cent, which is twice the time: write "
                       "--gap-allowance 10",
                       o->gap_allowance, MOST_GAP_ALLOWANCE);
    if (settings->run_effect.known && settings->run_effect.value > MOST_RUN_EFFECT)
        return wr_fail(err, WR_E_USAGE,
                       "--run-effect: %g is more than %g, the sd of log minutes over days: write "
                       "--run-effect 0.1",
                       settings->run_effect.value, MOST_RUN_EFFECT);
    if (settings->run_effect.known) o->priors.tau_fixed = settings->run_effect.value;
    if (!settings->run_effect_prior) return WR_OK;
    if (settings->run_effect.known)
        return wr_fail(err, WR_E_USAGE, "--run-effect gives the sd, --run-effect-prior estimates it: leave one out");
    return take_run_effect_prior(&o->priors, settings->run_effect_prior, err);
}

static void take_log_options(struct wr_log_options *o, const struct wr_settings *settings)
{
    static const double minutes_per_unit[] = {0, 1, 1 / 60.0, 60};

    o->times = (enum wr_times_said)settings->times_said;
    o->dates = (enum wr_date_order)settings->dates;
    o->minutes_per_unit = minutes_per_unit[settings->minutes_in];
    o->join = settings->join_names ? WR_JOIN_NAMES : settings->keep_names ? WR_KEEP_NAMES : WR_JOIN_ASK;
}

static enum wr_status take_start(struct wr_maybe *start, const char *text, struct wr_error *err)
{
    const struct wr_habits plain = {0};
    struct wr_log_time time;
    enum wr_spelling spelling;

    if (!text) return WR_OK;
    const char *trouble = wr_written_time(text, strlen(text), &plain, &time, &spelling);
    if (trouble || time.kind != WR_TIME_CLOCK || spelling == WR_SP_PAST_MIDNIGHT)
        return wr_fail(err, WR_E_USAGE, "--start: '%s' is no time of day: write H:MM, as 9:30", text);
    *start = wr_known((double)time.ns / (double)WR_NS_PER_MIN);
    return WR_OK;
}

enum wr_status wr_study_options_from(struct wr_study_options *o, const struct wr_command *command,
                                     const struct wr_settings *settings, struct wr_progress *progress,
                                     struct wr_error *err)
{
    enum wr_status status = wr_before_is_there(settings, err);

    *o = settings->study;
    if (status) return status;
    o->runs = settings->runs.text;
    o->n_runs = settings->runs.n_text;
    o->earlier = settings->earlier.text;
    o->n_earlier = settings->earlier.n_text;
    o->at = settings->at.text;
    o->n_at = settings->at.n_text;
    o->change = settings->change;
    o->n_change = settings->n_change;
    o->run = settings->name;
    take_log_options(&o->log, settings);
    o->n_thread = settings->threads > UINT_MAX ? UINT_MAX : (unsigned)settings->threads;
    o->progress = progress ? wr_progress_show : NULL;
    o->progress_arg = progress;
    o->excursion_beside = !settings->target_said && !o->now && !o->reports;
    if (command->result == WR_RESULT_RUNS_NEEDED) o->n_future = o->n_trial; /* elsewhere they are simulated days */
    status = take_start(&o->start_min, settings->start, err);
    return status == WR_OK ? take_fit_options(&o->fit, settings, err) : status;
}
