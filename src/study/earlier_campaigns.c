/* Earlier campaigns: found, read and fitted each by itself, and what they teach taken into the priors of this one. */
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include "study_parts.h"
#include "wetrun/campaign/log_twins.h"
#include "wetrun/io/folder.h"

/* ---- which folders ---- */

struct folders { struct wr_arena text; const char **path; size_t n, room; };

static void add_folder(struct folders *f, const char *path)
{
    *WR_PUSH(f->path, f->n, f->room) = wr_arena_copy(&f->text, path, strlen(path));
}

static bool has_log(const char *folder)
{
    WR_SCOPED_STR path = {0};
    struct stat file;

    wr_str_addf(&path, "%s/runs.csv", folder);
    return stat(wr_str_text(&path), &file) == 0;
}

static bool is_folder(const char *path)
{
    struct stat file;

    return stat(path, &file) == 0 && S_ISDIR(file.st_mode);
}

static bool same_folder(const char *a, const char *b)
{
    char *whole_a = realpath(a, NULL), *whole_b = realpath(b, NULL);
    bool same = whole_a && whole_b && strcmp(whole_a, whole_b) == 0;

    free(whole_a);
    free(whole_b);
    return same;
}

static bool is_listed(const struct folders *f, const char *path)
{
    for (size_t i = 0; i < f->n; i++)
        if (same_folder(f->path[i], path)) return true;
    return false;
}

/* CAMPAIGN/earlier/NAME, in the order of their names; or CAMPAIGN/earlier itself, if it holds a log. */
static enum wr_status look_beside(struct folders *f, const char *campaign, struct wr_findings *findings,
                                  struct wr_error *err)
{
    WR_SCOPED_STR path = {0}, one = {0};
    WR_RELEASED_BY(wr_folder_release) struct wr_folder beside = {0};

    if (strcmp(campaign, ".") != 0) wr_str_addf(&path, "%s/", campaign);
    wr_str_add(&path, "earlier");
    if (has_log(wr_str_text(&path))) add_folder(f, wr_str_text(&path));
    enum wr_status status = wr_folder_read(&beside, wr_str_text(&path), err);
    for (size_t i = 0; i < beside.n; i++) {
        wr_str_clear(&one);
        wr_str_addf(&one, "%s/%s", wr_str_text(&path), beside.name[i]);
        if (has_log(wr_str_text(&one))) {
            if (!is_listed(f, wr_str_text(&one))) add_folder(f, wr_str_text(&one)); /* else it was named as well */
        } else if (is_folder(wr_str_text(&one)))
            wr_findings_add(findings, WR_WARNING, "earlier-findings", NULL, 0, 0,
                            "%s has no runs.csv and teaches nothing", wr_str_text(&one));
    }
    return status;
}

static enum wr_status find_folders(struct folders *f, struct wr_study *s, struct wr_error *err)
{
    const struct wr_study_options *o = &s->options;

    for (size_t i = 0; i < o->n_earlier; i++) {
        if (same_folder(o->earlier[i], o->folder))
            return wr_fail(err, WR_E_USAGE, "--earlier %s: that is the campaign itself: leave it out", o->earlier[i]);
        if (is_listed(f, o->earlier[i]))
            return wr_fail(err, WR_E_USAGE, "--earlier %s: the same campaign twice: leave one out", o->earlier[i]);
        add_folder(f, o->earlier[i]);
    }
    return o->no_earlier ? WR_OK : look_beside(f, o->folder, &s->findings, err);
}

/* ---- one campaign ---- */

/* Only how files are read is shared with this campaign, not which. */
static enum wr_status open_one(struct wr_study *one, const struct wr_study *s, const char *folder, struct wr_error *err)
{
    struct wr_study_options o = wr_study_default();

    o.folder = folder;
    o.log = s->options.log;
    o.anonymous = s->options.anonymous;
    enum wr_status status = wr_study_open(one, &o, err);
    if (!status && one->log.n_run == 0) status = wr_fail(err, WR_E_INPUT, "no rehearsals (runs.csv): leave it out");
    return status;
}

/* This campaign again, or another one of the earlier ones, in a copy or by a link: what it tells was told already. */
static bool is_twin(struct wr_study *s, const struct wr_study *one, const char *folder)
{
    struct wr_log_twin twin;
    WR_SCOPED_STR where = {0};

    if (wr_log_has_twin(&one->log, &s->log, &twin)) wr_str_add(&where, "this campaign");
    for (const struct wr_study *before = s->earlier.study; before < one && !where.len; before++)
        if (wr_log_has_twin(&one->log, &before->log, &twin))
            wr_str_addf(&where, "the earlier campaign %.100s", before->name);
    if (!where.len) return false;
    wr_findings_add(&s->findings, WR_WARNING, "earlier-twin", NULL, 0, 0,
                    "%.200s is left out of the earlier campaigns: its run '%.60s' has the same times, to the second, "
                    "as run '%.60s' of %s, and would count twice",
                    folder, twin.run, twin.other, where.text);
    return true;
}

/* The first finding that would keep every answer of its own open, or say that its runs are not what they seem. */
static const struct wr_finding *what_speaks_against(const struct wr_study *one)
{
    for (size_t i = 0; i < one->findings.n_finding; i++) {
        const struct wr_finding *f = &one->findings.finding[i];
        if (wr_code_keeps_open(f->code) || strcmp(f->code, "run-repeats") == 0 ||
            strncmp(f->code, "implausible-", strlen("implausible-")) == 0)
            return f;
    }
    return NULL;
}

static enum wr_status learn_from(struct wr_study *s, const char *folder, const struct wr_fit_options *options,
                                 struct wr_error *err)
{
    struct wr_study_earlier *u = &s->earlier;
    struct wr_study *one = &u->study[u->n++];
    WR_RELEASED_BY(wr_model_fit_release) struct wr_model_fit fit = {0};

    enum wr_status status = open_one(one, s, folder, err);
    if (!status && is_twin(s, one, folder)) {
        wr_study_release(one);
        u->n--;
        return WR_OK;
    }
    if (!status) status = wr_model_fit(&fit, &one->plan, &one->timing, options, &one->findings, err);
    if (status) {
        wr_error_prefix(err, "earlier campaign %s", folder);
        return status;
    }
    const struct wr_finding *grave = what_speaks_against(one);
    if (grave)
        wr_findings_add(&s->findings, WR_WARNING, "earlier-doubtful", NULL, 0, 0,
                        "what is learned from the earlier campaign %.100s rests on this: %.300s", one->name,
                        grave->message);
    size_t n = one->findings.n_of[WR_WARNING] + one->findings.n_of[WR_ERROR];
    if (n)
        wr_findings_add(&s->findings, WR_NOTE, "earlier-findings", NULL, 0, 0,
                        "%zu error%s or warning%s in %s: `wetrun check` shows them", n, n == 1 ? "" : "s",
                        n == 1 ? "" : "s", folder);
    const struct wr_telling telling = {&one->plan, &fit, options};
    wr_earlier_add(&u->taught, one->name, &telling, u->fit.target_order);
    if (u->taught.n_run[u->n - 1] == 0)
        wr_findings_add(&s->findings, WR_WARNING, "earlier-findings", NULL, 0, 0,
                        "no rehearsal in %s has a time that counts: it teaches nothing", folder);
    return WR_OK;
}

/* ---- what comes of it ---- */

static void report(struct wr_study *s)
{
    const struct wr_earlier *e = &s->earlier.taught;

    for (int c = 0; c < WR_N_COMMON; c++) {
        const char *what = wr_common_words((enum wr_common)c);
        for (size_t j = 0; j < e->n_campaign; j++)
            if (e->told[j * WR_N_COMMON + (size_t)c].p_against < WR_SPEAKS_AGAINST)
                wr_findings_add(&s->findings, WR_WARNING, "earlier-differs", NULL, 0, 0,
                                "%s: the earlier campaign %s speaks against the others", what, e->name[j]);
        if (e->present[c].p_against < WR_SPEAKS_AGAINST)
            wr_findings_add(
                &s->findings, WR_WARNING, "earlier-differs", NULL, 0, 0,
                "%s: this campaign speaks against the earlier ones; --no-earlier leaves CAMPAIGN/earlier out", what);
    }
}

/* The files of the earlier campaigns count among the inputs that the output names; their memory stays where it is. */
static void share_files(struct wr_study *s)
{
    for (size_t j = 0; j < s->earlier.n; j++) {
        struct wr_study *one = &s->earlier.study[j];
        for (size_t i = 0; i < one->n_file; i++) *WR_PUSH(s->file, s->n_file, s->room_file) = one->file[i];
        one->n_file = 0;
    }
}

static enum wr_status learn_from_all(struct wr_study *s, const struct folders *f, struct wr_error *err)
{
    struct wr_study_earlier *u = &s->earlier;
    struct wr_fit_options usual = s->fit_options, alone = usual;

    if (s->screen.plan_doubtful) wr_prior_forget_level(&alone.priors);
    u->usual = alone.priors;
    u->study = wr_alloc(f->n, sizeof *u->study);
    enum wr_status status = wr_model_fit(&u->fit, &s->plan, &s->timing, &alone, &u->unused, err);
    usual.people = NULL;
    usual.priors.tau_lognormal = false;
    usual.priors.tau_fixed = 0;
    for (size_t i = 0; i < f->n && !status; i++) status = learn_from(s, f->path[i], &usual, err);
    share_files(s);
    if (status) return status;
    if (u->n == 0) {
        wr_study_earlier_release(s);
        return WR_OK;
    }
    const struct wr_telling present = {&s->plan, &u->fit, &usual};
    wr_earlier_combine(&u->taught, &present);
    report(s);
    wr_earlier_teach(&u->taught, &s->fit_options.priors);
    return WR_OK;
}

enum wr_status wr_study_learn_from_earlier(struct wr_study *s, struct wr_error *err)
{
    struct folders f = {0};
    enum wr_status status = WR_OK;

    if (s->fit_options.model == WR_MODEL_POOLED) status = find_folders(&f, s, err);
    if (!status && f.n > 0) status = learn_from_all(s, &f, err);
    wr_free(f.path);
    wr_arena_release(&f.text);
    return status;
}

enum wr_status wr_study_forecast_without_earlier(struct wr_study *s, const struct wr_sim_options *sim,
                                                 struct wr_error *err)
{
    struct wr_study_earlier *u = &s->earlier;
    struct wr_fit_options usual = s->fit_options;
    struct wr_sim_options quiet = *sim;
    WR_RELEASED_BY(wr_durations_release) struct wr_durations d = {0};

    usual.priors = u->usual;
    quiet.progress = NULL;
    enum wr_status status = wr_durations_build(&d, &s->plan, &s->net, &s->timing, &u->fit,
                                               s->has_carry_over ? &s->carry_over : NULL, &usual, &u->unused, err);
    if (!status) status = wr_forecast_run(&u->without, &s->net, &d, &quiet, err);
    return status;
}

void wr_study_earlier_release(struct wr_study *s)
{
    struct wr_study_earlier *u = &s->earlier;

    wr_forecast_release(&u->without);
    wr_model_fit_release(&u->fit);
    wr_earlier_release(&u->taught);
    for (size_t j = 0; j < u->n; j++) wr_study_release(&u->study[j]);
    wr_free(u->study);
    wr_findings_release(&u->unused);
    *u = (struct wr_study_earlier){0};
}
