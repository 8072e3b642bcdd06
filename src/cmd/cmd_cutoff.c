/* cutoff: the latest moment to begin each task and still stay inside each limit with the wanted confidence; with --now the
 * same, and the forecast, given what has happened so far. */
#include <stdint.h>
#include "analysis.h"
#include "commands.h"
#include "emit.h"
#include "trial_set.h"
#include "wetrun/decide/update.h"
#include "wetrun/present/cutoff_view.h"

/* Limits with a confidence of their own; of the excursion limit what the command line or limits.csv says. */
static void limits_with_confidence(struct wr_cutoffs *c, const struct wr_analysis *a)
{
    size_t n = a->in.limits.n_limit;

    c->limit = WR_NEW_ARRAY(struct wr_cutoff_limit, n);
    c->limit_name = WR_NEW_ARRAY(const char *, n);
    for (size_t i = 0; i < n; i++) {
        const struct wr_limit *l = &a->in.limits.limit[i];
        struct wr_maybe confidence = i == 0 ? wr_known(a->in.confidence) : l->confidence;
        if (!confidence.known) {
            wr_say("limit '%s' has no confidence: it gets no cut-offs", l->name);
            continue;
        }
        c->limit[c->n_limit] = (struct wr_cutoff_limit){
            {.lanes = l->lanes, .is_clock = l->is_clock, .from = l->from, .to = l->to, .minutes = l->minutes},
            confidence.value};
        c->limit_name[c->n_limit++] = l->name;
    }
}

static enum wr_status tasks_wanted(size_t **task, const struct wr_analysis *a, const struct wr_settings *settings,
                                   struct wr_error *err)
{
    *task = NULL;
    if (settings->at.n_text == 0) return WR_OK;
    *task = WR_NEW_ARRAY(size_t, settings->at.n_text);
    for (size_t i = 0; i < settings->at.n_text; i++) {
        (*task)[i] = wr_plan_find(&a->in.plan, settings->at.text[i]);
        if ((*task)[i] == SIZE_MAX)
            return wr_fail(err, WR_E_USAGE, "--at: the plan has no task '%s'", settings->at.text[i]);
    }
    return WR_OK;
}

static enum wr_status update(struct wr_cutoffs *c, struct wr_analysis *a, const struct wr_scenarios *days,
                             const struct wr_cutoff_options *card, const struct wr_settings *settings,
                             struct wr_error *err)
{
    struct wr_now now = {0};
    const struct wr_update_options options = {
        .n_trial = days->n_trial,
        .seed = settings->seed,
        .n_thread = (unsigned)settings->threads,
    };
    const struct wr_basis basis = wr_basis_of(a);
    enum wr_status status = wr_now_parse(&now, settings->now, &a->in.plan, err);

    if (!status)
        status = wr_update_make(&c->update, &basis, days, &now, c->limit, c->n_limit, card, &options, &a->in.findings, err);
    c->updated = status == WR_OK;
    wr_now_release(&now);
    return status;
}

enum wr_status wr_cutoffs_of(struct wr_cutoffs *c, struct wr_analysis *a, const struct wr_settings *settings,
                             struct wr_error *err)
{
    struct wr_scenarios days = {0};
    size_t *task = NULL;
    enum wr_status status = wr_need_limit(&a->in, err);

    if (!status) status = wr_need_confidence(&a->in, err);
    if (!status) status = tasks_wanted(&task, a, settings, err);
    if (!status) status = wr_trial_set_make(&days, a, WR_DAYS_FOR_CUTOFFS, settings, err);
    if (!status) {
        const struct wr_cutoff_options options = {
            .task = task,
            .n_task = settings->at.n_text,
            .imposed = settings->outside_hold,
            .n_thread = (unsigned)settings->threads,
        };
        const struct wr_basis basis = wr_basis_of(a);
        limits_with_confidence(c, a);
        status = settings->now ? update(c, a, &days, &options, settings, err)
                               : wr_cutoff_make(&c->card, &basis, &days, c->limit, c->n_limit, &options, err);
    }
    wr_scenarios_release(&days);
    wr_free(task);
    return status;
}

struct wr_cutoff_result wr_cutoff_result_of(const struct wr_cutoffs *c, const struct wr_analysis *a,
                                            const struct wr_settings *settings)
{
    return (struct wr_cutoff_result){
        .plan = &a->in.plan,
        .limit_name = c->limit_name,
        .card = c->updated ? &c->update.card : &c->card,
        .update = c->updated ? &c->update : NULL,
        .imposed = settings->outside_hold,
    };
}

void wr_cutoffs_release(struct wr_cutoffs *c)
{
    if (c->updated)
        wr_update_release(&c->update);
    else
        wr_cutoff_release(&c->card);
    wr_free(c->limit);
    wr_free(c->limit_name);
    *c = (struct wr_cutoffs){0};
}

enum wr_status wr_cmd_cutoff(const struct wr_settings *settings, int *verdict, struct wr_error *err)
{
    struct wr_analysis a = {0};
    struct wr_cutoffs cutoffs = {0};
    struct wr_context context = {0};
    struct wr_str text = {0};

    (void)verdict;
    enum wr_status status = wr_analysis_fit(&a, settings, err);
    if (!status) status = wr_cutoffs_of(&cutoffs, &a, settings, err);
    if (!status) status = wr_context_make(&context, "cutoff", &a.in, settings, err);
    if (!status) {
        const struct wr_cutoff_result result = wr_cutoff_result_of(&cutoffs, &a, settings);
        wr_context_of_analysis(&context, &a, settings);
        context.present.n_trial = result.card->n_trial;
        status = wr_show_cutoff((enum wr_format)settings->format, &context.present, &result, &text, err);
    }
    if (!status) status = wr_emit_with_caution(settings, &context, &a.in, &text, err);
    wr_str_release(&text);
    wr_context_done(&context);
    wr_cutoffs_release(&cutoffs);
    wr_analysis_release(&a);
    return status;
}
