#include "day.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>
#include "fitted_campaign.h"
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"
#include "wetrun/decide/update.h"
#include "wetrun/stats/quantile.h"

const double day_moment[DAY_MOMENTS] = {0.3, 0.6, 0.8};
enum { TRUE_DAYS = 4000, LEVELS = 400 };

struct seen {
    bool valid;
    double stated, lo, hi, before, truth, happened;
};

struct job {
    const struct made_setting *setting;
    enum day_limit which;
    uint64_t seed;
    struct seen *seen; /* [(campaign * DAY_MOMENTS + moment) * DAY_LIMITS + limit] */
};
enum { SEEN = DAY_MOMENTS * DAY_LIMITS }; /* of one campaign */

/* ---- the truth after a report, from the true parameters: normal errors, the pace of the day on levels ---- */

struct reported {
    double now_min, begin[MADE_TASKS], end[MADE_TASKS]; /* begin > now: not begun; end > now: runs, or not begun */
};

static double centre_of(const struct made_campaign *c, size_t k)
{
    return c->mu[k] + c->setting.gamma * log((double)c->setting.n_run + 1.0);
}

static void weigh_levels(const struct made_campaign *c, const struct reported *r, double level[LEVELS],
                         double weight[LEVELS])
{
    double most = -INFINITY;

    for (int i = 0; i < LEVELS; i++) {
        double score = -5 + 10 * (i + 0.5) / LEVELS, log_weight = -score * score / 2;
        level[i] = score * c->setting.tau;
        for (size_t k = 0; k < MADE_TASKS; k++) {
            if (r->begin[k] > r->now_min) continue;
            bool runs = r->end[k] > r->now_min;
            double e = (log((runs ? r->now_min : r->end[k]) - r->begin[k]) - centre_of(c, k) - level[i]) / c->sigma[k];
            log_weight += runs ? log(gsl_cdf_ugaussian_Q(e)) : -e * e / 2;
        }
        weight[i] = log_weight;
        most = fmax(most, log_weight);
    }
    for (int i = 0; i < LEVELS; i++) weight[i] = exp(weight[i] - most);
}

/* Minutes of the rest of one day, and when it is over. */
static double finish_rest(const struct made_campaign *c, const struct reported *r, double b, const gsl_rng *rng)
{
    double end[MADE_TASKS], last = 0;

    for (size_t i = 0; i < MADE_TASKS; i++) {
        size_t k = c->net.order[i];
        double start = r->now_min;
        for (size_t j = c->net.pred_first[k]; j < c->net.pred_first[k + 1]; j++)
            start = fmax(start, end[c->net.pred[j]]);
        if (r->end[k] <= r->now_min) end[k] = r->end[k];
        else if (r->begin[k] <= r->now_min) {
            double least = (log(r->now_min - r->begin[k]) - centre_of(c, k) - b) / c->sigma[k];
            double tail = gsl_cdf_ugaussian_Q(least) * gsl_rng_uniform_pos(rng);
            end[k] = r->begin[k] + exp(centre_of(c, k) + b + c->sigma[k] * gsl_cdf_ugaussian_Qinv(tail));
        } else {
            end[k] = start + exp(centre_of(c, k) + b + gsl_ran_gaussian_ziggurat(rng, c->sigma[k]));
        }
        last = fmax(last, end[k]);
    }
    return last;
}

static double true_probability(const struct made_campaign *c, const struct reported *r, double limit,
                               const gsl_rng *rng)
{
    double level[LEVELS], weight[LEVELS];
    size_t n_over = 0;

    weigh_levels(c, r, level, weight);
    gsl_ran_discrete_t *pick = gsl_ran_discrete_preproc(LEVELS, weight);
    for (int i = 0; i < TRUE_DAYS; i++) n_over += finish_rest(c, r, level[gsl_ran_discrete(rng, pick)], rng) > limit;
    gsl_ran_discrete_free(pick);
    return (double)n_over / TRUE_DAYS;
}

static double true_point(const struct made_campaign *c, double prob, const gsl_rng *rng)
{
    double minutes[MADE_TASKS], end[MADE_TASKS], *finish = WR_NEW_ARRAY(double, TRUE_DAYS);

    for (int i = 0; i < TRUE_DAYS; i++) {
        made_campaign_next(c, rng, minutes);
        finish[i] = wr_network_forward(&c->net, minutes, NULL, end, NULL);
    }
    wr_sort_ascending(finish, TRUE_DAYS);
    double point = wr_quantile_of_sorted(finish, TRUE_DAYS, prob, WR_QUANTILE_TYPE_7);
    wr_free(finish);
    return point;
}

/* ---- what is said ---- */

static void report_to(struct wr_now *now, const struct reported *r)
{
    now->now_min = r->now_min;
    for (size_t k = 0; k < MADE_TASKS; k++) {
        if (r->begin[k] > r->now_min) continue;
        struct wr_now_event *e = WR_PUSH(now->event, now->n_event, now->room);
        *e = (struct wr_now_event){.task = k, .begin_min = wr_known(r->begin[k])};
        if (r->end[k] <= r->now_min) e->end_min = wr_known(r->end[k]);
    }
}

static void update_at(struct seen seen[DAY_LIMITS], const struct wr_basis *basis, const struct wr_scenarios *days,
                      const struct reported *r, const double *limit_min, size_t n_limit, uint64_t seed)
{
    size_t last = MADE_TASKS - 1;
    struct wr_cutoff_limit limit[DAY_LIMITS];
    const struct wr_cutoff_options card = {.task = &last, .n_task = 1, .n_thread = 1};
    const struct wr_update_options options = {.n_trial = 4000, .seed = seed, .n_thread = 1};
    struct wr_findings findings = {0};
    struct wr_update u = {0};
    struct wr_now now = {0};
    struct wr_error err;

    report_to(&now, r);
    for (size_t l = 0; l < n_limit; l++)
        limit[l] = (struct wr_cutoff_limit){{.lanes = (1u << MADE_LANES) - 1, .minutes = limit_min[l]}, 0.9};
    enum wr_status status = wr_update_make(&u, basis, days, &now, limit, n_limit, &card, &options, &findings, &err);
    if (status != WR_E_TOO_FEW) must(status, &err); /* else it says that it cannot tell: no probability is stated */
    for (size_t l = 0; status == WR_OK && l < n_limit; l++) /* a limit that has passed is decided */
        seen[l] = (struct seen){
            r->now_min < limit_min[l], u.over[l].mean, u.over[l].lo, u.over[l].hi, u.over_before[l].value, 0, 0};
    wr_update_release(&u);
    wr_now_release(&now);
    wr_findings_release(&findings);
}

static void forecast_points(const struct wr_basis *basis, uint64_t seed, double *minutes)
{
    static const size_t at[DAY_LIMITS] = {6, 4, 7}; /* 0.8, 0.5, 0.9 */
    const struct wr_sim_options sim = {.n_trial = 20000, .seed = seed, .n_thread = 1};
    struct wr_forecast f = {0};
    struct wr_error err;

    must(wr_forecast_run(&f, basis->net, basis->durations, &sim, &err), &err);
    for (size_t l = 0; l < DAY_LIMITS; l++) minutes[l] = f.quantile_min[at[l]];
    wr_forecast_release(&f);
}

static void one_day(const struct job *job, size_t number, const struct made_campaign *c, const struct wr_basis *basis,
                    const gsl_rng *rng)
{
    double minutes[MADE_TASKS], limit[DAY_LIMITS];
    size_t n_limit = job->which == DAY_LIMITS_OF_FORECAST ? DAY_LIMITS : 1;
    struct reported r;
    struct wr_scenarios days = {0};

    if (job->which == DAY_LIMIT_OF_TRUTH) limit[0] = true_point(c, 0.8, rng);
    else forecast_points(basis, 1, limit);
    wr_scenarios_make(&days, basis->durations, 4000, job->seed + number, 1);
    made_campaign_next(c, rng, minutes);
    double finish = wr_network_forward(&c->net, minutes, r.begin, r.end, NULL);
    for (size_t m = 0; m < DAY_MOMENTS; m++) {
        struct seen *seen = &job->seen[number * SEEN + m * DAY_LIMITS];
        r.now_min = day_moment[m] * finish;
        update_at(seen, basis, &days, &r, limit, n_limit, job->seed + number);
        for (size_t l = 0; l < n_limit; l++) {
            seen[l].happened = finish > limit[l];
            if (seen[l].valid) seen[l].truth = true_probability(c, &r, limit[l], rng);
        }
    }
    wr_scenarios_release(&days);
}

static void one_campaign(void *arg, size_t number)
{
    const struct job *job = arg;
    struct fitted_campaign c;

    fitted_campaign_make(&c, job->setting, job->seed, number, job->setting->family != MADE_PRIOR);
    one_day(job, number, &c.made, &c.basis, c.rng);
    fitted_campaign_release(&c);
}

/* ---- adding up ---- */

static void add_to_row(struct day_row *row, const struct seen *s)
{
    double unsure = 2 * sqrt((s->truth * (1 - s->truth) + 1.0 / TRUE_DAYS) / TRUE_DAYS); /* the truth is simulated */

    row->n++;
    row->covers += s->lo <= s->truth + unsure && s->truth - unsure <= s->hi;
    row->one_point += s->lo == s->hi;
    row->apart += s->stated < s->lo || s->stated > s->hi;
    row->brier += (s->stated - s->happened) * (s->stated - s->happened);
    row->brier_truth += (s->truth - s->happened) * (s->truth - s->happened);
    row->brier_before += (s->before - s->happened) * (s->before - s->happened);
}

static void add_to_class(struct day_class *class, const struct seen *s)
{
    class->n++;
    class->stated += s->stated;
    class->truth += s->truth;
    class->happened += s->happened;
}

/* What is true less what was stated, summed over the reports of a world of the prior, has mean 0 if the statements
 * are. */
static void add_middle(struct day_class *m, const struct seen *seen, size_t n_campaign)
{
    double squares = 0, true_squares = 0;

    for (size_t c = 0; c < n_campaign; c++) {
        double off = 0, true_off = 0;
        for (size_t i = c * SEEN; i < (c + 1) * SEEN; i++) {
            if (!seen[i].valid || seen[i].stated < 0.2 || seen[i].stated >= 0.9) continue;
            add_to_class(m, &seen[i]);
            off += seen[i].happened - seen[i].stated;
            true_off += seen[i].truth - seen[i].stated;
        }
        squares += off * off;
        true_squares += true_off * true_off;
    }
    double n = (double)m->n;
    for (double *v = &m->stated; v <= &m->happened; v++) *v /= n;
    m->happened_error = sqrt(squares) / n;
    m->truth_error = sqrt(true_squares) / n;
}

void day_study_of_setting(struct day_study *study, const struct made_setting *setting, enum day_limit which,
                          size_t n_campaign, uint64_t seed, unsigned n_thread)
{
    struct job job = {setting, which, seed, WR_NEW_ARRAY(struct seen, n_campaign * SEEN)};

    *study = (struct day_study){0};
    wr_parallel_for(n_campaign, n_thread, one_campaign, &job);
    for (size_t i = 0; i < n_campaign * SEEN; i++) {
        const struct seen *s = &job.seen[i];
        if (!s->valid) continue;
        add_to_row(&study->row[i / DAY_LIMITS % DAY_MOMENTS], s);
        add_to_class(&study->class[(size_t)fmin(s->stated * DAY_CLASSES, DAY_CLASSES - 1)], s);
    }
    for (size_t m = 0; m < DAY_MOMENTS; m++) {
        struct day_row *row = &study->row[m];
        double n = (double)row->n;
        for (double *v = &row->covers; v <= &row->brier_before; v++) *v /= n;
        row->covers_error = sqrt(row->covers * (1 - row->covers) / n);
    }
    for (size_t i = 0; i < DAY_CLASSES; i++) {
        struct day_class *class = &study->class[i];
        double n = (double)class->n;
        for (double *v = &class->stated; v <= &class->happened_error; v++) *v /= n;
        class->happened_error = sqrt(class->happened * (1 - class->happened) / n);
    }
    add_middle(&study->middle, job.seen, n_campaign);
    wr_free(job.seen);
}
