#include "sbc.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include "wetrun/base/memory.h"
#include "wetrun/base/parallel.h"

struct job { const struct sbc_setup *setup; unsigned *rank; /* [world * WORLD_VIEWS + view] */ };

/* People take turns; every third task is joint. Planned times from 4 to 40 minutes. */
static void lay_out(struct wr_model_table *t, const struct sbc_setup *s)
{
    wr_model_table_init(t, s->n_task, s->n_run, s->n_person, WR_HAS_PLAN_TIMES);
    for (size_t k = 0; k < s->n_task; k++) {
        t->log_planned[k] = log(4.0) + log(10.0) * (double)((k * 5) % s->n_task) / (double)s->n_task;
        for (size_t r = 0; r < s->n_run; r++) {
            double *weight = t->person_weight + (k * s->n_run + r) * s->n_person;
            size_t who = (k + r) % s->n_person, other = (who + 1) % s->n_person;
            weight[who] = k % 3 == 0 ? 0.5 : 1.0;
            if (k % 3 == 0) weight[other] += 0.5;
        }
    }
}

static void rank_world(void *arg, size_t world)
{
    struct job *job = arg;
    const struct sbc_setup *s = job->setup;
    gsl_rng *rng = gsl_rng_alloc(gsl_rng_mt19937);
    struct wr_model_table table;
    struct prior_world truth = {0};
    struct wr_posterior post = {0};
    struct wr_sampler_options options = s->sampler;
    double at[WORLD_VIEWS], draw[WORLD_VIEWS];

    gsl_rng_set(rng, (unsigned long)(s->seed * 1000003u + world));
    lay_out(&table, s);
    prior_world_draw(&truth, rng, &table.data, &s->prior_of_worlds);
    prior_world_observe(&truth, rng, &table);
    options.seed = s->seed + 7919u * world;
    options.n_thread = 1;
    WR_BUG_IF(wr_posterior_sample(&post, &table.data, &s->prior_of_sampler, &options, NULL) != WR_OK);
    prior_world_view(&truth, at);
    for (size_t i = 0; i < post.n_draw; i++) {
        posterior_view(&post, i, draw);
        for (size_t v = 0; v < WORLD_VIEWS; v++) job->rank[world * WORLD_VIEWS + v] += draw[v] < at[v];
    }
    wr_posterior_release(&post);
    wr_model_table_release(&table);
    gsl_rng_free(rng);
}

void sbc_run(const struct sbc_setup *setup, size_t n_class, double p_value[WORLD_VIEWS])
{
    size_t n_rank = setup->sampler.n_chain * setup->sampler.n_keep + 1;
    double expected = (double)setup->n_world / (double)n_class;
    struct job job = {setup, WR_NEW_ARRAY(unsigned, setup->n_world * WORLD_VIEWS)};

    WR_BUG_IF(n_rank % n_class != 0);
    wr_parallel_for(setup->n_world, setup->n_thread, rank_world, &job);
    for (size_t v = 0; v < WORLD_VIEWS; v++) {
        double chi2 = 0.0;
        for (size_t c = 0; c < n_class; c++) {
            double n = 0.0;
            for (size_t w = 0; w < setup->n_world; w++) n += job.rank[w * WORLD_VIEWS + v] / (n_rank / n_class) == c;
            chi2 += (n - expected) * (n - expected) / expected;
        }
        p_value[v] = gsl_cdf_chisq_Q(chi2, (double)n_class - 1.0);
    }
    wr_free(job.rank);
}
