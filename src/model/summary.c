#include "wetrun/model/summary.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "judged_day.h"
#include "wetrun/model/skew_normal.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/stats/newton.h"
#include "wetrun/stats/quantile.h"

/* For task times: enough for 5 and 95 % points, a tenth of the time. What is judged takes all draws for its own points,
 * which hang on the few draws of the most uneven days, and these for their intervals. */
enum { MOST_DRAWS = 500, MOST_DRAWS_JUDGED = 200 };

/* Log minutes as a mixture: one component per way a task can be manned, for one draw or for all. */
struct component { double weight; struct wr_skew_normal law; };
struct mixture { const struct component *part; size_t n; double share; /* 1 / number of draws in it */ };

static double mixture_cdf(const struct mixture *m, double y, double *density)
{
    double below = 0.0;

    *density = 0.0;
    for (size_t i = 0; i < m->n; i++) {
        below += m->part[i].weight * wr_skew_normal_cdf(&m->part[i].law, y);
        *density += m->part[i].weight * wr_skew_normal_pdf(&m->part[i].law, y);
    }
    *density *= m->share;
    return below * m->share;
}

/* By the first three moments (Cornish and Fisher 1938): |h| - C0 has the third moment C0 (2 C0^2 - 1). */
static double rough_quantile(const struct mixture *m, double z)
{
    double mean = 0.0, var = 0.0, third = 0.0;

    for (size_t i = 0; i < m->n; i++) mean += m->part[i].weight * m->share * m->part[i].law.location;
    for (size_t i = 0; i < m->n; i++) {
        const struct wr_skew_normal *law = &m->part[i].law;
        double w = m->part[i].weight * m->share, off = law->location - mean, a2 = law->a * law->a;
        double own = a2 * (1.0 - WR_SKEW_C0 * WR_SKEW_C0) + law->b * law->b;
        var += w * (own + off * off);
        third += w * (law->a * a2 * WR_SKEW_C0 * (2.0 * WR_SKEW_C0 * WR_SKEW_C0 - 1.0) + off * (3.0 * own + off * off));
    }
    return mean + sqrt(var) * z + third / var * (z * z - 1.0) / 6.0;
}

static double mixture_quantile(const struct mixture *m, double prob, double z)
{
    struct wr_newton y = {rough_quantile(m, z), -INFINITY, INFINITY};

    for (int i = 0; i < 200; i++) {
        double density, off = mixture_cdf(m, y.at, &density) - prob, step = fmin(fmax(-off / density, -1), 1);
        if (fabs(off) < 1e-6) return y.at + step; /* it leaves about its square */
        wr_newton_step(&y, off > 0, step);
    }
    return y.at;
}

/* Ways to man a task, with how often each occurs among the line-ups: the sum of the people's q over the lanes is a sum
 * over known people, and n_new strangers. */
struct manning { size_t n_known, n_new; int known[WR_MAX_LANES]; double share, weight; };

static struct manning manning_of(const struct wr_durations *d, size_t task, size_t line_up)
{
    struct manning m = {.weight = 1.0 / (double)d->n_line_up};
    size_t n_lane = 0;

    for (size_t l = 0; l < d->n_lane; l++) {
        if (!(wr_durations_people_of(d, task) >> l & 1)) continue;
        int person = d->line_up[line_up * d->n_lane + l];
        n_lane++;
        if (person == WR_PERSON_NEW) m.n_new++;
        else if (person >= 0) m.known[m.n_known++] = person;
    }
    m.share = n_lane ? 1.0 / (double)n_lane : 0.0;
    return m;
}

static bool same_manning(const struct manning *a, const struct manning *b)
{
    if (a->n_known != b->n_known || a->n_new != b->n_new) return false;
    for (size_t i = 0; i < a->n_known; i++)
        if (a->known[i] != b->known[i]) return false;
    return true;
}

static size_t ways_to_man(const struct wr_durations *d, size_t task, struct manning *way)
{
    size_t n = 0;

    for (size_t u = 0; u < d->n_line_up; u++) {
        struct manning m = manning_of(d, task, u);
        size_t at = 0;
        while (at < n && !same_manning(&way[at], &m)) at++;
        if (at < n) way[at].weight += m.weight;
        else way[n++] = m;
    }
    return n;
}

static struct wr_day_law day_of(const struct wr_durations *d, size_t draw)
{
    return (struct wr_day_law){d->run_effect_shift ? d->run_effect_shift[draw] : 0.0,
                               d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw]};
}

static bool days_differ(const struct wr_durations *d)
{
    for (size_t i = 0; i < d->n_draw; i++)
        if (day_of(d, i).sd > 0) return true;
    return false;
}

static void components_of(const struct wr_durations *d, size_t task, size_t draw, const struct manning *way,
                          size_t n_way, struct component *part)
{
    const struct wr_log_law law = wr_durations_log_law(d, task, draw);
    const struct wr_day_law day = day_of(d, draw);
    double kappa = d->kappa[draw];

    for (size_t w = 0; w < n_way; w++) {
        double mean = law.centre + day.mean, strangers = way[w].share * way[w].share * kappa * kappa;
        for (size_t i = 0; i < way[w].n_known; i++)
            mean += way[w].share * d->q[(size_t)way[w].known[i] * d->n_draw + draw];
        part[w] =
            (struct component){way[w].weight, wr_skew_normal_of(mean, law.spread, law.rho,
                                                                day.sd * day.sd + (double)way[w].n_new * strangers)};
    }
}

static double mixture_moment(const struct mixture *m, double power)
{
    double sum = 0.0;

    for (size_t i = 0; i < m->n; i++) sum += m->part[i].weight * wr_skew_normal_moment(&m->part[i].law, power);
    return sum * m->share;
}

static struct wr_estimate with_interval(double value, double *per_draw, size_t n)
{
    wr_sort_ascending(per_draw, n);
    return (struct wr_estimate){value, wr_quantile_of_sorted(per_draw, n, 0.05, WR_QUANTILE_TYPE_7),
                                wr_quantile_of_sorted(per_draw, n, 0.95, WR_QUANTILE_TYPE_7)};
}

static struct wr_estimate median_over_draws(const double *value, size_t n)
{
    WR_SCOPED double *copy = WR_NEW_ARRAY(double, n);

    for (size_t i = 0; i < n; i++) copy[i] = value[i];
    struct wr_estimate e = with_interval(0.0, copy, n);
    e.value = wr_quantile_of_sorted(copy, n, 0.5, WR_QUANTILE_TYPE_7);
    return e;
}

static struct wr_estimate certain(double value)
{
    return (struct wr_estimate){value, value, value};
}

static void summarise_own(struct wr_task_summary *t, const struct wr_durations *d, size_t task)
{
    const struct wr_source *s = &d->source[task];

    t->median_min = certain(wr_source_quantile_min(s, 0.5));
    t->mean_min = certain(wr_source_mean_min(s));
    t->sd_min = certain(wr_source_sd_min(s));
    t->p80_min = certain(wr_source_quantile_min(s, 0.80));
    t->p95_min = certain(wr_source_quantile_min(s, 0.95));
    if (wr_source_form(s) == WR_FORM_LOG) t->spread_log = certain(wr_durations_log_law(d, task, 0).spread);
}

/* The laws of a task's log minutes, one block of n_way components per draw used. */
struct laws { struct component *part; size_t n_way, n_used; double *per_draw; };

static struct mixture law_of_draw(const struct laws *l, size_t i)
{
    return (struct mixture){l->part + i * l->n_way, l->n_way, 1.0};
}

static struct mixture law_of_all(const struct laws *l)
{
    return (struct mixture){l->part, l->n_way * l->n_used, 1.0 / (double)l->n_used};
}

static struct wr_estimate quantile_min(const struct laws *l, double prob)
{
    double z = gsl_cdf_ugaussian_Pinv(prob);
    struct mixture all = law_of_all(l);

    for (size_t i = 0; i < l->n_used; i++) {
        struct mixture one = law_of_draw(l, i);
        l->per_draw[i] = exp(mixture_quantile(&one, prob, z));
    }
    return with_interval(exp(mixture_quantile(&all, prob, z)), l->per_draw, l->n_used);
}

static double sd_of(const struct mixture *m)
{
    double mean = mixture_moment(m, 1.0);

    return sqrt(fmax(mixture_moment(m, 2.0) - mean * mean, 0.0));
}

static void summarise_laws(struct wr_task_summary *t, const struct laws *l)
{
    struct mixture all = law_of_all(l);

    for (size_t i = 0; i < l->n_used; i++) {
        struct mixture one = law_of_draw(l, i);
        l->per_draw[i] = mixture_moment(&one, 1.0);
    }
    t->mean_min = with_interval(mixture_moment(&all, 1.0), l->per_draw, l->n_used);
    for (size_t i = 0; i < l->n_used; i++) {
        struct mixture one = law_of_draw(l, i);
        l->per_draw[i] = sd_of(&one);
    }
    t->sd_min = with_interval(sd_of(&all), l->per_draw, l->n_used);
    t->median_min = quantile_min(l, 0.50);
    t->p80_min = quantile_min(l, 0.80);
    t->p95_min = quantile_min(l, 0.95);
}

static size_t draws_used(const struct wr_durations *d, size_t most)
{
    return d->n_draw < most ? d->n_draw : most;
}

static void summarise_log(struct wr_task_summary *t, const struct wr_durations *d, size_t task)
{
    size_t n_used = draws_used(d, MOST_DRAWS);
    WR_SCOPED struct manning *way = WR_NEW_ARRAY(struct manning, d->n_line_up);
    struct laws l = {.n_way = ways_to_man(d, task, way), .n_used = n_used, .per_draw = WR_NEW_ARRAY(double, n_used)};

    l.part = WR_NEW_ARRAY(struct component, l.n_way * n_used);
    for (size_t i = 0; i < n_used; i++)
        components_of(d, task, i * d->n_draw / n_used, way, l.n_way, l.part + i * l.n_way);
    summarise_laws(t, &l);
    if (wr_durations_are_modelled(d, task))
        t->spread_log = median_over_draws(d->spread_log + task * d->n_draw, d->n_draw);
    else t->spread_log = certain(wr_durations_log_law(d, task, 0).spread);
    WR_FREE(l.part, l.per_draw);
}

static void summarise_judged(struct wr_task_summary *t, const struct wr_durations *d, size_t task)
{
    const double prob[] = {0.50, 0.80, 0.95};
    struct wr_estimate *const point[] = {&t->median_min, &t->p80_min, &t->p95_min};
    const struct wr_three_point three = wr_source_judgement(&d->source[task]);
    size_t n = draws_used(d, MOST_DRAWS_JUDGED);
    WR_SCOPED struct wr_day_law *all = WR_NEW_ARRAY(struct wr_day_law, d->n_draw);
    WR_SCOPED struct wr_day_law *law = WR_NEW_ARRAY(struct wr_day_law, n);
    WR_SCOPED double *per_draw = WR_NEW_ARRAY(double, n);
    WR_SCOPED struct wr_judged_day *j = WR_NEW(struct wr_judged_day);

    wr_judged_day_init(j, &three);
    for (size_t i = 0; i < d->n_draw; i++) all[i] = day_of(d, i);
    for (size_t i = 0; i < n; i++) law[i] = all[i * d->n_draw / n];
    for (size_t i = 0; i < n; i++) per_draw[i] = wr_judged_day_mean_min(j, &law[i], 1);
    t->mean_min = with_interval(wr_judged_day_mean_min(j, all, d->n_draw), per_draw, n);
    for (size_t i = 0; i < n; i++) per_draw[i] = wr_judged_day_sd_min(j, &law[i], 1);
    t->sd_min = with_interval(wr_judged_day_sd_min(j, all, d->n_draw), per_draw, n);
    for (size_t q = 0; q < sizeof prob / sizeof *prob; q++) {
        for (size_t i = 0; i < n; i++) per_draw[i] = wr_judged_day_quantile_min(j, &law[i], 1, prob[q]);
        *point[q] = with_interval(wr_judged_day_quantile_min(j, all, d->n_draw, prob[q]), per_draw, n);
    }
}

/* A slow day is slow for all work, modelled or not. */
static void summarise_law(struct wr_task_summary *t, const struct wr_durations *d, size_t task)
{
    enum wr_form form = wr_source_form(&d->source[task]);

    if (!wr_durations_are_modelled(d, task) && (form == WR_FORM_FIXED || !days_differ(d))) summarise_own(t, d, task);
    else if (form == WR_FORM_LOG) summarise_log(t, d, task);
    else summarise_judged(t, d, task);
}

static void count_cells(struct wr_task_summary *t, const struct wr_timing *timing, size_t task)
{
    WR_SCOPED double *done = WR_NEW_ARRAY(double, timing->n_run);

    for (size_t r = 0; r < timing->n_run; r++) {
        const struct wr_cell *cell = wr_timing_cell(timing, task, r);
        if (wr_cell_is_timed(cell)) done[t->n_done++] = wr_cell_modelled_min(cell);
        t->n_stopped += cell->state == WR_CELL_STOPPED;
        t->n_skipped += cell->state == WR_CELL_SKIPPED;
        t->n_absent += cell->state == WR_CELL_ABSENT;
    }
    if (t->n_done > 0) t->own_median_min = wr_known(wr_median(done, t->n_done));
}

struct job { struct wr_fit_summary *summary; const struct wr_durations *d; const struct wr_timing *timing; };

static void summarise_task(void *arg, size_t task)
{
    const struct job *job = arg;
    struct wr_task_summary *t = &job->summary->task[task];

    t->source = job->d->source[task];
    t->restated = job->d->restated && job->d->restated[task];
    count_cells(t, job->timing, task);
    summarise_law(t, job->d, task);
    if (t->own_median_min.known && t->own_median_min.value > 0)
        t->moved = wr_known(t->median_min.value / t->own_median_min.value);
}

static void summarise_parameters(struct wr_fit_summary *s, const struct wr_model_fit *fit,
                                 const struct wr_fit_options *options)
{
    const struct wr_posterior *post = &fit->post;
    size_t n = post->n_draw;

    s->has_learning = options->priors.learning;
    s->has_skew = options->priors.skew;
    s->run = WR_NEW_ARRAY(size_t, post->n_run);
    s->run_effect_log = WR_NEW_ARRAY(struct wr_estimate, post->n_run);
    for (size_t r = 0; r < post->n_run; r++) {
        if (!wr_model_saw_run(fit, r)) continue; /* only the prior speaks of it */
        s->run[s->n_run] = r;
        s->run_effect_log[s->n_run++] = median_over_draws(post->b + r * n, n);
    }
    s->n_person = fit->n_named_person;
    s->person = WR_NEW_ARRAY(struct wr_person_summary, s->n_person);
    for (size_t p = 0; p < s->n_person; p++)
        s->person[p] = (struct wr_person_summary){fit->person[p], median_over_draws(post->q + p * n, n)};
    const struct { struct wr_estimate *to; const double *from; } row[] = {
        {&s->slope_log, post->gamma}, {&s->tau_log, post->tau}, {&s->kappa_log, post->kappa}, {&s->rho, post->rho},
        {&s->spread_log, post->s0}, {&s->spread_by_length, post->d}, {&s->spread_between_log, post->omega_s},
        {&s->plan_offset_log, post->a}, {&s->plan_slope, post->c}, {&s->omega_log, post->omega}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) *row[i].to = median_over_draws(row[i].from, n);
}

void wr_fit_summarise(struct wr_fit_summary *s, const struct wr_model_fit *fit, const struct wr_durations *d,
                      const struct wr_timing *timing, const struct wr_fit_options *options)
{
    struct job job = {s, d, timing};

    *s = (struct wr_fit_summary){.n_task = d->n_task, .task = WR_NEW_ARRAY(struct wr_task_summary, d->n_task)};
    wr_parallel_for(d->n_task, options->sampler.n_thread, summarise_task, &job);
    s->has_model = fit->post.n_draw > 0 && fit->n_model_task > 0;
    if (s->has_model) summarise_parameters(s, fit, options);
}

void wr_fit_summary_release(struct wr_fit_summary *s)
{
    WR_FREE(s->task, s->run, s->run_effect_log, s->person);
    *s = (struct wr_fit_summary){0};
}
