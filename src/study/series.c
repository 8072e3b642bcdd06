#include "wetrun/study/series.h"

#include <string.h>
#include <sys/stat.h>
#include "series_people.h"
#include "study_parts.h"
#include "wetrun/campaign/log_time.h"
#include "wetrun/campaign/way_in.h"
#include "wetrun/decide/beside.h"
#include "wetrun/decide/to_forecast.h"

enum { TRIALS = 65536 };

static const struct wr_plan_task *task_of(const struct wr_plan *plan, const char *id)
{
    size_t k = wr_plan_find(plan, id);

    return k == SIZE_MAX ? NULL : &plan->task[k];
}

/* ---- reading ---- */

static const char *join(struct wr_series_study *s, const char *folder, const char *name)
{
    WR_SCOPED_STR path = {0};

    if (name[0] != '/' && strcmp(folder, ".") != 0) wr_str_addf(&path, "%s/", folder);
    wr_str_add(&path, name);
    return wr_arena_copy(&s->text, wr_str_text(&path), path.len);
}

static enum wr_status read_file(struct wr_series_study *s, const char *path, const struct wr_input **file,
                                struct wr_error *err)
{
    struct wr_input *input = &s->file[s->n_file];
    enum wr_status status = wr_text_read(&input->text, path, err);

    if (status) return status;
    input->name = path;
    s->n_file++;
    *file = input;
    return WR_OK;
}

static enum wr_status read_files(struct wr_series_study *s, const char *folder, struct wr_error *err)
{
    const char *spill = join(s, folder, "spill.csv");
    const struct wr_input *file;
    struct stat there; /* a link to nowhere is there, and fails when it is opened */

    s->name = wr_base_name(&s->text, folder);
    enum wr_status status = read_file(s, join(s, folder, "series.csv"), &file, err);
    if (!status)
        status = wr_series_read_bytes(&s->files, file->name, file->text.bytes, file->text.n, &s->findings, err);
    if (status || lstat(spill, &there) != 0) return status;
    status = read_file(s, spill, &file, err);
    if (!status) status = wr_spill_read_bytes(&s->files, spill, file->text.bytes, file->text.n, &s->findings, err);
    return status;
}

/* As the study's `on` has it. */
static const char *date_of(struct wr_series_study *s, int64_t day)
{
    char text[16];

    wr_date_text(day, text);
    return wr_arena_copy(&s->text, text, strlen(text));
}

static enum wr_status open_excursions(struct wr_series_study *s, const struct wr_study_options *options,
                                      struct wr_error *err)
{
    enum wr_status status = WR_OK;

    const char **earlier = wr_arena_alloc(&s->text, s->files.n_row, sizeof *earlier); /* those with rehearsals so far */
    size_t n_earlier = 0;

    s->excursion = WR_NEW_ARRAY(struct wr_series_excursion, s->files.n_row);
    for (size_t e = 0; e < s->files.n_row && !status; e++) {
        struct wr_series_excursion *x = &s->excursion[s->n_excursion++];
        struct wr_study_options own = *options;
        int64_t day;
        x->folder = own.folder = join(s, options->folder, s->files.row[e].campaign);
        own.earlier = earlier;
        own.n_earlier = n_earlier;
        status = wr_study_open(&x->study, &own, err);
        if (!status && x->study.log.n_run > 0 && wr_series_day(&s->files.row[e], &day)) /* else nothing is forgotten */
            x->study.options.on = date_of(s, day);
        if (!status) status = wr_study_make(&x->study, WR_RESULT_MODEL, err);
        if (!status && x->study.log.n_run > 0) earlier[n_earlier++] = x->folder;
        if (status) wr_error_prefix(err, "excursion '%s'", s->files.row[e].excursion);
    }
    return status;
}

/* ---- what goes where ---- */

/* Without spill.csv: get-ahead work goes on to the next excursion that has a task of its name. */
static void spills_by_name(struct wr_series_study *s)
{
    for (size_t e = 0; e < s->n_excursion; e++) {
        const struct wr_plan *plan = &s->excursion[e].study.plan;
        for (size_t k = 0; k < plan->n_task; k++) {
            size_t to = e + 1;
            /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): a plan with tasks has them */
            if (!plan->task[k].drop_after_min.known) continue;
            while (to < s->n_excursion && !task_of(&s->excursion[to].study.plan, plan->task[k].id)) to++;
            if (to == s->n_excursion) continue;
            *WR_PUSH(s->files.spill, s->files.n_spill, s->files.room_spill) =
                (struct wr_spill_row){.task = plan->task[k].id, .from = e, .to = to, .before = ""};
        }
    }
}

/* The excursion at or before `from` whose own plan has the task: where its times come from. */
static size_t home_of(const struct wr_series_study *s, const char *task, size_t from)
{
    for (size_t e = from + 1; e-- > 0;)
        if (task_of(&s->excursion[e].study.plan, task)) return e;
    return SIZE_MAX;
}

static enum wr_status no_such_task(const struct wr_series_study *s, const struct wr_spill_row *row, size_t e,
                                   const char *task, struct wr_error *err)
{
    const bool is_before = task == row->before;
    const char *of = is_before ? "before: " : "";
    WR_SCOPED_STR text = {0};

    wr_plan_say_no_task(&s->excursion[e].study.plan, task, &text);
    return wr_fail(err, WR_E_INPUT, "%s:%zu:%zu: %sexcursion '%s': %s", s->files.spill_file, row->line,
                   is_before ? row->before_column : row->task_column, of, s->files.row[e].excursion,
                   wr_str_text(&text));
}

static enum wr_status check_spill(struct wr_series_study *s, const struct wr_spill_row *row, struct wr_error *err)
{
    const struct wr_series_row *names = s->files.row;
    size_t home = home_of(s, row->task, row->from);

    if (home == SIZE_MAX) return no_such_task(s, row, row->from, row->task, err);
    if (row->before[0] && !task_of(&s->excursion[row->to].study.plan, row->before))
        return no_such_task(s, row, row->to, row->before, err);
    if (home == row->from) return WR_OK;
    for (size_t i = 0; i < s->files.n_spill; i++)
        if (s->files.spill[i].to == row->from && strcmp(s->files.spill[i].task, row->task) == 0) return WR_OK;
    return wr_fail(err, WR_E_INPUT,
                   "%s:%zu:%zu: nothing carries '%s' to excursion '%s', where it should go on "
                   "from: add a row that brings it there",
                   s->files.spill_file, row->line, row->task_column, row->task, names[row->from].excursion);
}

/* ---- the plan of an excursion, with rows for what is carried on to it ---- */

/* The row in `plan` before which work in these lanes is put: the last joint task of one of them, else the end. */
static size_t way_back_in(const struct wr_plan *plan, uint32_t lanes)
{
    for (size_t k = plan->n_task; k-- > 0;)
        if ((plan->task[k].lanes & lanes) && plan->task[k].n_lane > 1) return k;
    return plan->n_task;
}

/* The task as a row of another plan: its lanes by name, nothing to wait for but them. */
static enum wr_status as_row_of(struct wr_plan_task *row, const struct wr_plan *plan, const struct wr_plan_task *task,
                                const struct wr_plan *from, const struct wr_series_files *files,
                                const struct wr_spill_row *spill, struct wr_error *err)
{
    *row = *task;
    row->lanes = 0;
    for (size_t i = 0; i < task->n_lane; i++) {
        size_t lane = wr_plan_find_lane(plan, from->lane[task->lane_order[i]]);
        if (lane == SIZE_MAX)
            return wr_fail(err, WR_E_INPUT,
                           "%s:%zu:%zu: '%s' is work of lane '%s', which the plan it goes to does not have: name "
                           "the lanes of both plans alike",
                           files->spill_file, spill->line, spill->task_column, task->id,
                           from->lane[task->lane_order[i]]);
        row->lane_order[i] = (uint8_t)lane;
        row->lanes |= UINT32_C(1) << lane;
    }
    row->after = NULL;
    row->n_after = 0;
    row->not_before_min = WR_UNKNOWN;
    row->drop_after_min = spill->drop_after_min;
    row->median_min = wr_known(1); /* stands in until the times of the excursion it comes from are put there */
    row->sdlog = wr_known(0);
    return WR_OK;
}

static void insert_row(struct wr_series_study *s, struct wr_series_excursion *x, const struct wr_plan_task *row,
                       size_t at)
{
    struct wr_plan *plan = &x->plan;

    memmove(plan->task + at + 1, plan->task + at, (plan->n_task - at) * sizeof *plan->task);
    plan->task[at] = *row;
    plan->n_task++;
    for (size_t k = 0; k < plan->n_task; k++) { /* lists of predecessors are the study's: shifted in copies */
        struct wr_plan_task *t = &plan->task[k];
        size_t *after = t->n_after ? wr_arena_alloc(&s->text, t->n_after, sizeof *after) : NULL;
        for (size_t i = 0; i < t->n_after; i++) after[i] = t->after[i] + (t->after[i] >= at);
        t->after = after;
    }
    for (size_t i = 0; i < x->study.limits.n_limit; i++) {
        if (!x->limit[i].is_clock) continue;
        x->limit[i].from += x->limit[i].from >= at;
        x->limit[i].to += x->limit[i].to >= at;
    }
}

static enum wr_status extend_plan(struct wr_series_study *s, size_t e, struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_plan *own = &x->study.plan;
    struct wr_plan_task *task = WR_NEW_ARRAY(struct wr_plan_task, own->n_task + s->files.n_spill);

    memcpy(task, own->task, own->n_task * sizeof *task);
    x->plan = *own;
    x->plan.task = task;
    x->plan.ids = (struct wr_names){0}; /* rows move: names are looked for one by one */
    x->limit = WR_COPY(x->study.limit, x->study.limits.n_limit);
    for (size_t i = 0; i < s->files.n_spill; i++) {
        const struct wr_spill_row *spill = &s->files.spill[i];
        if (spill->to != e || task_of(&x->plan, spill->task)) continue;
        const struct wr_plan *from = &s->excursion[home_of(s, spill->task, spill->from)].study.plan;
        struct wr_plan_task row;
        enum wr_status status = as_row_of(&row, &x->plan, task_of(from, spill->task), from, &s->files, spill, err);
        if (status) return status;
        size_t at = spill->before[0] ? wr_plan_find(&x->plan, spill->before) : way_back_in(&x->plan, row.lanes);
        insert_row(s, x, &row, at);
    }
    return WR_OK;
}

/* Times of task k of d are those of task `at` of another campaign: draw by draw, in order. */
static void borrow_times(struct wr_durations *d, size_t k, const struct wr_durations *from, size_t at)
{
    d->source[k] = from->source[at];
    for (size_t j = 0; j < d->n_draw; j++) {
        size_t there = at * from->n_draw + j * from->n_draw / d->n_draw;
        d->centre_log[k * d->n_draw + j] = from->centre_log[there];
        d->spread_log[k * d->n_draw + j] = from->spread_log[there];
    }
}

/* What days of excursion e draw from: of its own study's durations, as `options` have them, those before it done. */
static enum wr_status draw_from(struct wr_series_study *s, size_t e, const struct wr_durations *of_study,
                                const struct wr_fit_options *options, struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_plan *own = &x->study.plan;
    enum wr_status status = wr_durations_for_plan(&x->durations, &x->plan, of_study, own, options, err);

    if (!status) {
        wr_series_join_people(s, e);
        status = wr_series_seat_people(s, e, err);
    }
    for (size_t k = 0; k < x->plan.n_task && !status; k++) {
        const char *id = x->plan.task[k].id;
        if (task_of(own, id)) continue;
        size_t home = home_of(s, id, e - 1);
        const struct wr_series_excursion *h = &s->excursion[home];
        borrow_times(&x->durations, k, &h->durations, wr_plan_find(&h->plan, id));
        if (wr_durations_are_modelled(&x->durations, k))
            wr_series_level_people(s, e, home, x->durations.centre_log + k * x->durations.n_draw);
    }
    return status;
}

static enum wr_status prepare(struct wr_series_study *s, size_t e, struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_basis basis = wr_study_basis(&x->study);
    enum wr_status status = extend_plan(s, e, err);

    if (!status) status = wr_network_build(&x->net, &x->plan, err);
    if (!status) status = draw_from(s, e, &x->study.durations, &x->study.fit_options, err);
    x->is_worse = wr_worse_together(&x->worse, &basis, &x->study.gap);
    s->has_worse = s->has_worse || x->is_worse;
    return status;
}

/* The same under the worse assumptions of every excursion that has some. */
static enum wr_status draw_from_worse(struct wr_series_study *s, size_t e, struct wr_error *err)
{
    struct wr_series_excursion *x = &s->excursion[e];
    const struct wr_basis basis = wr_study_basis(&x->study);
    WR_RELEASED_BY(wr_durations_release) struct wr_durations own = {0};
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0}; /* said of the first answer */

    if (!x->is_worse) return draw_from(s, e, &x->study.durations, &x->study.fit_options, err);
    enum wr_status status = wr_durations_build(&own, basis.plan, basis.net, basis.timing, basis.fit, basis.carry_over,
                                               &x->worse, &unused, err);
    return status ? status : draw_from(s, e, &own, &x->worse, err);
}

/* What its excursion always does to the end never goes on, and the excursion it should go on to would be without it. */
static enum wr_status check_can_go_on(const struct wr_series_study *s, const struct wr_spill_row *row,
                                      struct wr_error *err)
{
    const struct wr_plan *plan = &s->excursion[row->from].plan;
    size_t task = wr_plan_find(plan, row->task);
    WR_SCOPED_STR why = {0};
    enum wr_status status = WR_OK;

    if (wr_way_in_of(plan, task)) wr_way_in_say(plan, task, &why);
    else if (!plan->task[task].drop_after_min.known && !row->stop_min.known)
        wr_str_addf(&why, "'%.60s' has no drop time in '%.60s' and the row no stop, so that nothing of it goes on",
                    row->task, s->files.row[row->from].excursion);
    if (why.len)
        status = wr_fail(err, WR_E_INPUT, "%s:%zu:%zu: %s: take the row out", s->files.spill_file, row->line,
                         row->task_column, wr_str_text(&why));
    return status;
}

static void resolve_spills(struct wr_series_study *s)
{
    s->spill = WR_NEW_ARRAY(struct wr_spill, s->files.n_spill);
    for (size_t i = 0; i < s->files.n_spill; i++) {
        const struct wr_spill_row *row = &s->files.spill[i];
        s->spill[s->n_spill++] = (struct wr_spill){.from_leg = row->from,
                                                   .from_task = wr_plan_find(&s->excursion[row->from].plan, row->task),
                                                   .to_leg = row->to,
                                                   .to_task = wr_plan_find(&s->excursion[row->to].plan, row->task),
                                                   .setup_min = row->setup_min,
                                                   .stop_min = row->stop_min};
    }
}

/* ---- simulating ---- */

/* The first excursion meets the days of the single commands, the others days of their own. */
static uint64_t seed_of(uint64_t seed, size_t e)
{
    return seed ^ (uint64_t)e * UINT64_C(0xd1342543de82ef95);
}

static bool gets_work(const struct wr_series_study *s, size_t e)
{
    for (size_t i = 0; i < s->n_spill; i++)
        if (s->spill[i].to_leg == e) return true;
    return false;
}

/* An excursion to which nothing can be carried on is what the single commands say it is. */
static enum wr_status to_own_forecasts(const struct wr_series_study *s, struct wr_series *result,
                                       const struct wr_study_options *options, struct wr_error *err)
{
    enum wr_status status = WR_OK;

    for (size_t e = 0; e < s->n_excursion && !status; e++) {
        const struct wr_series_excursion *x = &s->excursion[e];
        if (gets_work(s, e)) continue;
        const struct wr_sim_options sim = {.n_trial = options->n_trial,
                                           .seed = options->seed,
                                           .n_thread = options->n_thread,
                                           .limit = x->limit,
                                           .n_limit = x->study.limits.n_limit};
        WR_RELEASED_BY(wr_forecast_release) struct wr_forecast f = {0};
        status = wr_forecast_run(&f, &x->net, &x->durations, &sim, err);
        if (!status) wr_series_leg_to_forecast(&result->leg[e], &f);
        if (!status && s->n_excursion == 1 && f.n_limit > 0) { /* some excursion is this one */
            result->any_over = f.any_over.mean;
            result->any_over_lo = f.any_over.lo;
            result->any_over_hi = f.any_over.hi;
            result->any_over_mc_error = f.any_over.mc_error;
        }
    }
    return status;
}

/* In *result what the excursions' durations give; changes NULL: not what may be decided beforehand. */
static enum wr_status simulate_as(struct wr_series_study *s, struct wr_series *result,
                                  struct wr_series_changes *changes, const struct wr_study_options *options,
                                  struct wr_error *err)
{
    size_t n = s->n_excursion, n_draw = s->excursion[0].durations.n_draw;
    WR_SCOPED struct wr_scenarios *days = WR_NEW_ARRAY(struct wr_scenarios, n);
    WR_SCOPED struct wr_series_leg *leg = WR_NEW_ARRAY(struct wr_series_leg, n);

    s->n_trial = options->n_trial ? options->n_trial : TRIALS;
    s->has_interval = n_draw > 1;
    for (size_t e = 0; e < n; e++) {
        struct wr_series_excursion *x = &s->excursion[e];
        s->has_interval = s->has_interval && x->durations.n_draw == n_draw;
        wr_scenarios_make(&days[e], &x->durations, s->n_trial, seed_of(options->seed, e), options->n_thread);
        leg[e] = (struct wr_series_leg){&x->net, &days[e], x->limit, x->study.limits.n_limit};
    }
    const struct wr_series_options how = {.n_draw = s->has_interval ? n_draw : 0, .n_thread = options->n_thread};
    enum wr_status status = wr_series_run(result, leg, n, s->spill, s->n_spill, &how, err);
    if (!status) status = to_own_forecasts(s, result, options, err);
    if (!status && changes) status = wr_series_try(changes, leg, n, s->spill, s->n_spill, &how, err);
    for (size_t e = 0; e < n; e++) wr_scenarios_release(&days[e]);
    return status;
}

static enum wr_status simulate_worse(struct wr_series_study *s, const struct wr_study_options *options,
                                     struct wr_error *err)
{
    WR_SCOPED struct wr_durations *first = WR_NEW_ARRAY(struct wr_durations, s->n_excursion);
    enum wr_status status = WR_OK;

    for (size_t e = 0; e < s->n_excursion; e++) {
        first[e] = s->excursion[e].durations;
        s->excursion[e].durations = (struct wr_durations){0};
    }
    for (size_t e = 0; e < s->n_excursion && !status; e++) status = draw_from_worse(s, e, err);
    if (!status) status = simulate_as(s, &s->worse, NULL, options, err);
    for (size_t e = 0; e < s->n_excursion; e++) {
        wr_durations_release(&s->excursion[e].durations);
        s->excursion[e].durations = first[e];
    }
    return status;
}

static enum wr_status simulate(struct wr_series_study *s, const struct wr_study_options *options, struct wr_error *err)
{
    enum wr_status status = simulate_as(s, &s->result, &s->changes, options, err);

    return status || !s->has_worse ? status : simulate_worse(s, options, err);
}

struct call {
    struct wr_series_study *series;
    const struct wr_study_options *options;
};

static enum wr_status run_call(void *arg, struct wr_error *err)
{
    struct wr_series_study *s = ((struct call *)arg)->series;
    const struct wr_study_options *options = ((struct call *)arg)->options;
    enum wr_status status = read_files(s, options->folder, err);

    if (!status) status = open_excursions(s, options, err);
    for (size_t e = 0; e < s->n_excursion && !status; e++) /* all are kept at once */
        status = wr_study_days_fit(options->n_trial, s->n_excursion * s->excursion[e].study.plan.n_task, err);
    if (!status) status = wr_series_see_people(s, options, err);
    if (!status && !s->files.has_spill) spills_by_name(s);
    for (size_t i = 0; i < s->files.n_spill && !status; i++) status = check_spill(s, &s->files.spill[i], err);
    for (size_t e = 0; e < s->n_excursion && !status; e++) status = prepare(s, e, err);
    for (size_t i = 0; i < s->files.n_spill && !status; i++) status = check_can_go_on(s, &s->files.spill[i], err);
    if (status) return status;
    resolve_spills(s);
    return simulate(s, options, err);
}

enum wr_status wr_series_study_run(struct wr_series_study *s, const struct wr_study_options *options,
                                   struct wr_error *err)
{
    s->pool = wr_pool_new();
    if (!s->pool) return wr_fail(err, WR_E_MEMORY, "out of memory");
    enum wr_status status = wr_guard(s->pool, run_call, &(struct call){s, options}, err);
    if (status != WR_E_MEMORY && status != WR_E_BUG) return status;
    for (size_t e = 0; e < s->n_excursion; e++) wr_study_release(&s->excursion[e].study); /* each has its own pool */
    wr_study_release(&s->plain);
    wr_pool_release(s->pool);
    *s = (struct wr_series_study){0};
    return status;
}

void wr_series_study_release(struct wr_series_study *s)
{
    for (size_t e = 0; e < s->n_excursion; e++) {
        struct wr_series_excursion *x = &s->excursion[e];
        wr_durations_release(&x->durations);
        wr_network_release(&x->net);
        WR_FREE(x->plan.task, x->limit, x->who, x->seat);
        wr_study_release(&x->study);
    }
    WR_FREE(s->excursion, s->spill, s->person);
    wr_series_release(&s->result);
    wr_series_release(&s->worse);
    wr_series_changes_release(&s->changes);
    for (size_t i = 0; i < s->n_file; i++) wr_text_release(&s->file[i].text);
    wr_findings_release(&s->findings);
    wr_series_files_release(&s->files);
    wr_arena_release(&s->text);
    wr_pool_release(s->pool);
    *s = (struct wr_series_study){0};
}
