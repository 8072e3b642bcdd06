#include "wetrun/study/against.h"

#include <math.h>
#include <string.h>
#include "other_plan.h"
#include "plan_edits.h"
#include "study_parts.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/batch_means.h"
#include "wetrun/stats/quantile.h"

static const double noise_errors = 2;

bool wr_change_is_noise(const struct wr_change *c)
{
    return fabs(wr_change_of(c)) <= noise_errors * c->error;
}

static struct wr_change change_of(double before, double after, double error)
{
    return (struct wr_change){.known = true, .before = before, .after = after, .error = error};
}

/* Of what only one of them has. */
static struct wr_change one_sided(bool is_after, double value)
{
    return (struct wr_change){.only_before = !is_after, .only_after = is_after, .before = value, .after = value};
}

static struct wr_change over_change(const struct wr_probability *before, const struct wr_probability *after)
{
    return change_of(before->mean, after->mean, hypot(before->mc_error, after->mc_error));
}

static bool lies_within(const struct wr_probability *said, double prob)
{
    return !said->no_interval && prob >= said->lo && prob <= said->hi;
}

/* ---- what it rests on ---- */

static bool same_step(const struct wr_run_log *a, const struct wr_log_step *x, const struct wr_run_log *b,
                      const struct wr_log_step *y)
{
    return x->run == y->run && strcmp(a->task[x->task], b->task[y->task]) == 0 && x->outcome == y->outcome &&
           x->has_clock == y->has_clock && x->start_min == y->start_min && x->end_min == y->end_min &&
           x->active_min == y->active_min && x->hold_min == y->hold_min && strcmp(x->performer, y->performer) == 0;
}

/* The rehearsals have nothing to tell that they had not told then. */
static bool same_rehearsals(const struct wr_run_log *a, const struct wr_run_log *b)
{
    bool same = a->n_run == b->n_run && a->n_step == b->n_step;

    for (size_t r = 0; same && r < a->n_run; r++) same = strcmp(a->run[r].id, b->run[r].id) == 0;
    for (size_t i = 0; same && i < a->n_step; i++) same = same_step(a, &a->step[i], b, &b->step[i]);
    return same;
}

/* ---- the answer ---- */

enum { HALF = 4 }; /* of wr_quantile_prob */

static void compare_over(struct wr_against_limit *l, const struct wr_probability *before,
                         const struct wr_probability *after)
{
    l->over = over_change(before, after);
    l->within_what_was_said = lies_within(before, after->mean);
    l->said_lo = before->lo;
    l->said_hi = before->hi;
}

static void compare_answer(struct wr_against *a, const struct wr_study *before, const struct wr_study *after)
{
    const struct wr_forecast *b = &before->forecast, *f = &after->forecast;

    a->half_min = change_of(b->quantile_min[HALF], f->quantile_min[HALF],
                            hypot(b->quantile_mc_error_min[HALF], f->quantile_mc_error_min[HALF]));
    if (b->n_limit == 0 || f->n_limit == 0) return;
    if (b->n_limit > 1 || f->n_limit > 1) compare_over(&a->any, &b->any_over, &f->any_over);
    a->over = over_change(&b->limit[0].over, &f->limit[0].over);
    a->within_what_was_said = lies_within(&b->limit[0].over, f->limit[0].over.mean);
    a->said_lo = b->limit[0].over.lo;
    a->said_hi = b->limit[0].over.hi;
}

/* ---- limit, plan, rehearsals ---- */

/* The first limit in another plan; false: it lacks what that is about, or its clock would end there before it begins.
 */
static bool limit_in_plan(struct wr_sim_limit *l, double minutes, const struct wr_study *from,
                          const struct wr_study *to)
{
    struct wr_error unused;
    size_t lane;

    *l = from->limit[0];
    l->minutes = minutes;
    return limit_in_other_plan(l, &from->plan, &to->plan, &lane) &&
           clock_runs_forward(&to->net, &to->plan, l, "", &unused) == WR_OK;
}

static bool same_timeline(const struct wr_plan *p, const struct wr_plan *q)
{
    if (p->n_task != q->n_task) return false;
    for (size_t k = 0; k < p->n_task; k++) {
        WR_SCOPED_STR text = {0};
        size_t at = wr_plan_find(q, p->task[k].id);
        if (at != SIZE_MAX) plan_edits_say(&text, p, k, q, at);
        bool same = at != SIZE_MAX && text.len == 0;
        if (!same) return false;
    }
    return true;
}

static struct wr_against_share paired_share(const struct wr_whatif *w, size_t variant)
{
    for (size_t i = 0; i < w->n_row; i++)
        if (w->row[i].variant == variant)
            return (struct wr_against_share){true, -w->row[i].limit[0].gain.mean, w->row[i].limit[0].gain.se};
    return (struct wr_against_share){0};
}

/* The earlier study with the later limit, and with the later plan as well, on the same days. */
static enum wr_status take_apart(struct wr_against *a, const struct wr_study *before, const struct wr_study *after,
                                 struct wr_error *err)
{
    const struct wr_whatif_options options = {
        .seed = before->options.seed, .n_thread = before->options.n_thread, .means_alone = true};
    struct wr_variant base = wr_study_as_it_is(before), variant[2] = {{.name = "limit"}, {.name = "plan"}};
    struct wr_sim_limit base_limit = before->limit[0], limit[2];
    double minutes = after->limit[0].minutes;
    bool same_plan = a->same_plan, has_plan = false;
    struct wr_durations durations = {0};
    WR_RELEASED_BY(wr_whatif_release) struct wr_whatif w = {0};
    struct wr_error unused;

    base.limit = &base_limit;
    base.n_limit = 1;
    limit[0] = before->limit[0];
    limit[0].minutes = minutes;
    variant[0].limit = &limit[0];
    variant[0].n_limit = 1;
    if (!same_plan && limit_in_plan(&limit[1], minutes, before, after))
        has_plan = wr_durations_for_plan(&durations, &after->plan, &before->durations, &before->plan,
                                         &before->fit_options, &unused) == WR_OK;
    variant[1].net = &after->net;
    variant[1].durations = &durations;
    variant[1].limit = &limit[1];
    variant[1].n_limit = 1;
    enum wr_status status = wr_whatif_run(&w, &base, variant, has_plan ? 2 : 1, &options, err);
    if (!status) {
        struct wr_against_share by_limit = paired_share(&w, 0), both = has_plan ? paired_share(&w, 1) : by_limit;
        a->part[WR_PART_LIMIT] = by_limit;
        a->part[WR_PART_PLAN] = (struct wr_against_share){
            same_plan || has_plan, both.change - by_limit.change, has_plan ? hypot(both.error, by_limit.error) : 0};
        a->part[WR_PART_REHEARSALS] = (struct wr_against_share){
            same_plan || has_plan, wr_change_of(&a->over) - both.change, hypot(a->over.error, both.error)};
    }
    if (has_plan) wr_durations_release(&durations);
    return status;
}

/* ---- limits ---- */

static size_t find_limit(const struct wr_limits *limits, const char *name)
{
    for (size_t i = 0; i < limits->n_limit; i++)
        if (strcmp(limits->limit[i].name, name) == 0) return i;
    return SIZE_MAX;
}

static struct wr_against_limit compare_limit(const struct wr_study *before, size_t b, const struct wr_study *after,
                                             size_t f)
{
    struct wr_against_limit l = {.in_before = b != SIZE_MAX, .in_after = f != SIZE_MAX};

    l.name = l.in_after ? after->limits.limit[f].name : before->limits.limit[b].name;
    if (!l.in_before || !l.in_after) {
        const struct wr_study *in = l.in_after ? after : before;
        const struct wr_limit *own = &in->limits.limit[l.in_after ? f : b];
        l.minutes = one_sided(l.in_after, own->minutes);
        if (own->confidence.known) l.confidence = one_sided(l.in_after, own->confidence.value);
        l.over = one_sided(l.in_after, in->forecast.limit[l.in_after ? f : b].over.mean);
        return l;
    }
    const struct wr_limit *x = &before->limits.limit[b], *y = &after->limits.limit[f];
    l.minutes = change_of(x->minutes, y->minutes, 0);
    if (x->confidence.known && y->confidence.known)
        l.confidence = change_of(x->confidence.value, y->confidence.value, 0);
    else if (x->confidence.known || y->confidence.known)
        l.confidence = one_sided(y->confidence.known, (y->confidence.known ? y : x)->confidence.value);
    compare_over(&l, &before->forecast.limit[b].over, &after->forecast.limit[f].over);
    return l;
}

static void compare_limits(struct wr_against *a, const struct wr_study *before, const struct wr_study *after)
{
    a->limit = WR_NEW_ARRAY(struct wr_against_limit, before->limits.n_limit + after->limits.n_limit);
    for (size_t i = 0; i < after->limits.n_limit; i++)
        a->limit[a->n_limit++] =
            compare_limit(before, find_limit(&before->limits, after->limits.limit[i].name), after, i);
    for (size_t i = 0; i < before->limits.n_limit; i++)
        if (find_limit(&after->limits, before->limits.limit[i].name) == SIZE_MAX)
            a->limit[a->n_limit++] = compare_limit(before, i, after, SIZE_MAX);
}

/* ---- tasks ---- */

/* Error of a task's median: of the mean over draws of its log centre, and of the trials that it is read off, 1.25 sd /
 * sqrt(n) as for a normal sample (Kendall and Stuart, from memory). */
static double median_error(const struct wr_study *s, size_t task)
{
    enum { COUNTED = 65536 }; /* trials that times of single tasks are counted on */
    const struct wr_durations *d = &s->durations;
    const struct wr_task_outlook *t = &s->forecast.task[task];
    double centre = wr_durations_are_modelled(d, task)
                        ? t->median_min * wr_batch_mean_error(d->centre_log + task * d->n_draw, d->n_draw)
                        : 0;

    return hypot(centre, 1.2533 * t->sd_min / sqrt(fmin(COUNTED, (double)s->forecast.n_trial)));
}

/* Was the later centre among those that the earlier draws allowed for? Other times than the model's are what they
 * are. */
static bool centre_was_allowed_for(const struct wr_durations *before, size_t b, const struct wr_durations *after,
                                   size_t f)
{
    size_t n = before->n_draw;

    if (!wr_durations_are_modelled(before, b) || !wr_durations_are_modelled(after, f)) return false;
    WR_SCOPED double *sorted = WR_COPY(before->centre_log + b * n, n);
    double now = 0;
    wr_sort_ascending(sorted, n);
    for (size_t i = 0; i < after->n_draw; i++) now += after->centre_log[f * after->n_draw + i] / (double)after->n_draw;
    return now >= wr_quantile_of_sorted(sorted, n, 0.05, WR_QUANTILE_TYPE_7) &&
           now <= wr_quantile_of_sorted(sorted, n, 0.95, WR_QUANTILE_TYPE_7);
}

static size_t times_timed(const struct wr_timing *t, size_t task)
{
    size_t n = 0;

    for (size_t r = 0; r < t->n_run; r++) n += wr_cell_is_timed(wr_timing_cell(t, task, r));
    return n;
}

/* The card as it was made before the day; NULL: none. */
static const struct wr_cutoff_card *card_of(const struct wr_study *s)
{
    return wr_study_has(s, WR_RESULT_CUTOFFS) && !s->cutoffs.updated && s->cutoffs.card.n_limit > 0 ? &s->cutoffs.card
                                                                                                    : NULL;
}

static size_t row_of(const struct wr_cutoff_card *card, size_t task)
{
    for (size_t i = 0; card && i < card->n_row; i++)
        if (card->list[0].row[i].task == task) return i;
    return SIZE_MAX;
}

/* Its line on the card, or row NULL. */
static struct wr_binding_cutoff elapsed_start(const struct wr_study *s, size_t task)
{
    const struct wr_cutoff_card *card = card_of(s);
    size_t i = task == SIZE_MAX || !card || !wr_has_binding_cutoffs(card) ? SIZE_MAX : row_of(card, task);

    return i == SIZE_MAX ? (struct wr_binding_cutoff){0} : wr_binding_cutoff(card, i);
}

static struct wr_against_start compare_start(const struct wr_binding_cutoff *was, const struct wr_binding_cutoff *is)
{
    struct wr_against_start s = {.in_before = was->row, .in_after = is->row, .before = was->what, .after = is->what};
    bool had = was->row && was->what == WR_BINDING_FOUND, has = is->row && is->what == WR_BINDING_FOUND;

    if (had && has)
        s.latest_min = change_of(was->row->latest_start_min, is->row->latest_start_min,
                                 hypot(was->row->mc_error_min, is->row->mc_error_min));
    else if (had || has) s.latest_min = one_sided(has, (has ? is : was)->row->latest_start_min);
    s.is_rarely_met = has && is->row->slack_min < 0;
    return s;
}

static struct wr_against_task compare_task(struct wr_against *a, const struct wr_study *before, size_t b,
                                           const struct wr_study *after, size_t f)
{
    struct wr_against_task t = {.in_before = b != SIZE_MAX, .in_after = f != SIZE_MAX};
    const struct wr_plan_task *task = t.in_after ? &after->plan.task[f] : &before->plan.task[b];
    WR_SCOPED_STR text = {0};

    t.id = task->id;
    t.title = task->title;
    if (t.in_before) t.done_before = times_timed(&before->timing, b);
    if (t.in_after) t.done_after = times_timed(&after->timing, f);
    const struct wr_binding_cutoff was = elapsed_start(before, b), is = elapsed_start(after, f);
    t.start = compare_start(&was, &is);
    if (!t.in_before || !t.in_after) {
        const struct wr_study *in = t.in_after ? after : before;
        t.median_min = one_sided(t.in_after, in->forecast.task[t.in_after ? f : b].median_min);
        return t;
    }
    double x = before->forecast.task[b].median_min, y = after->forecast.task[f].median_min;
    t.median_min = change_of(x, y, hypot(median_error(before, b), median_error(after, f)));
    t.within_what_was_said = centre_was_allowed_for(&before->durations, b, &after->durations, f);
    plan_edits_say(&text, &before->plan, b, &after->plan, f);
    if (text.len) t.edited = wr_arena_copy(&a->text, text.text, text.len);
    return t;
}

static void compare_tasks(struct wr_against *a, const struct wr_study *before, const struct wr_study *after)
{
    a->task = WR_NEW_ARRAY(struct wr_against_task, before->plan.n_task + after->plan.n_task);
    for (size_t k = 0; k < after->plan.n_task; k++)
        a->task[a->n_task++] = compare_task(a, before, wr_plan_find(&before->plan, after->plan.task[k].id), after, k);
    for (size_t k = 0; k < before->plan.n_task; k++)
        if (wr_plan_find(&after->plan, before->plan.task[k].id) == SIZE_MAX)
            a->task[a->n_task++] = compare_task(a, before, k, after, SIZE_MAX);
}

/* ---- clocks ---- */

static size_t clock_on_card(const struct wr_study *s, const char *name)
{
    const struct wr_cutoff_card *card = card_of(s);

    for (size_t l = 0; card && l < card->n_limit; l++)
        if (card->list[l].limit.limit.is_clock && strcmp(s->cutoffs.limit_name[l], name) == 0) return l;
    return SIZE_MAX;
}

static void compare_clock(struct wr_against_clock *c, const struct wr_study *before, size_t x,
                          const struct wr_study *after, size_t y)
{
    const struct wr_cutoff_card *was = card_of(before), *is = card_of(after);

    c->limit = after->cutoffs.limit_name[y];
    c->start = WR_NEW_ARRAY(struct wr_against_start, is->n_row);
    for (size_t i = 0; i < is->n_row; i++) {
        size_t at = wr_plan_find(&before->plan, after->plan.task[is->list[y].row[i].task].id);
        size_t row = at == SIZE_MAX ? SIZE_MAX : row_of(was, at);
        if (row == SIZE_MAX) continue;
        const struct wr_binding_cutoff b = wr_cutoff_of_limit(was, x, row), f = wr_cutoff_of_limit(is, y, i);
        c->start[c->n_start++] = compare_start(&b, &f);
    }
}

static void compare_clocks(struct wr_against *a, const struct wr_study *before, const struct wr_study *after)
{
    size_t n = card_of(after) ? card_of(after)->n_limit : 0;

    a->clock = WR_NEW_ARRAY(struct wr_against_clock, n);
    for (size_t y = 0; y < n; y++) {
        size_t x = card_of(after)->list[y].limit.limit.is_clock ? clock_on_card(before, after->cutoffs.limit_name[y])
                                                                : SIZE_MAX;
        if (x != SIZE_MAX) compare_clock(&a->clock[a->n_clock++], before, x, after, y);
    }
}

/* ---- criteria ---- */

static void compare_criteria(struct wr_against *a, const struct wr_study *before, const struct wr_study *after)
{
    a->criterion = WR_NEW_ARRAY(struct wr_against_criterion, WR_N_CRITERION);
    if (!wr_study_has(before, WR_RESULT_READY) || !wr_study_has(after, WR_RESULT_READY)) return;
    for (int i = 0; i < WR_N_CRITERION; i++)
        if (before->ready.result[i].on && after->ready.result[i].on)
            a->criterion[a->n_criterion++] = (struct wr_against_criterion){
                (enum wr_criterion_id)i, before->ready.result[i].evidence, after->ready.result[i].evidence};
}

/* ---- the whole ---- */

enum wr_status wr_against_make(struct wr_against *a, const struct wr_study *before, const struct wr_study *after,
                               struct wr_error *err)
{
    enum wr_status status = WR_OK;

    WR_BUG_IF(!wr_study_has(before, WR_RESULT_FORECAST) || !wr_study_has(after, WR_RESULT_FORECAST));
    *a = (struct wr_against){.before_name = before->name};
    a->n_run_before = before->timing.n_run;
    a->n_run_after = after->timing.n_run;
    a->same_runs = same_rehearsals(&before->log, &after->log);
    a->same_plan = same_timeline(&before->plan, &after->plan);
    compare_answer(a, before, after);
    compare_limits(a, before, after);
    compare_tasks(a, before, after);
    compare_clocks(a, before, after);
    compare_criteria(a, before, after);
    if (a->over.known) status = take_apart(a, before, after, err);
    return status;
}

void wr_against_release(struct wr_against *a)
{
    for (size_t c = 0; c < a->n_clock; c++) wr_free(a->clock[c].start);
    WR_FREE(a->limit, a->task, a->clock, a->criterion);
    wr_arena_release(&a->text);
    *a = (struct wr_against){0};
}
