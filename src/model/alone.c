#include "alone.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics_double.h>
#include <math.h>
#include "wetrun/base/memory.h"

static struct wr_alone moments(const struct wr_model_data *data, size_t task)
{
    const unsigned char *obs = data->obs + task * data->n_run;
    const double *y = data->log_min + task * data->n_run;
    struct wr_alone a = {0};
    double squares = 0.0;

    for (size_t r = 0; r < data->n_run; r++) {
        if (obs[r] != WR_OBS_DONE) continue;
        a.n_done++;
        double off = y[r] - a.mean_log;
        a.mean_log += off / (double)a.n_done;
        squares += off * (y[r] - a.mean_log);
    }
    a.sd_log = a.n_done ? sqrt(squares / (double)a.n_done) : 0.0;
    return a;
}

void wr_alone_fit(const struct wr_model_data *data, struct wr_alone *task)
{
    const double usual_sd = 0.3;
    double *sd = WR_NEW_ARRAY(double, data->n_task), sum = 0.0, n_seen = 0.0;
    size_t n = 0;

    for (size_t k = 0; k < data->n_task; k++) {
        task[k] = moments(data, k);
        if (task[k].n_done >= 2) sd[n++] = task[k].sd_log;
        if (task[k].n_done >= 1) {
            sum += task[k].mean_log;
            n_seen++;
        }
    }
    gsl_sort(sd, 1, n);
    double middle = n ? gsl_stats_median_from_sorted_data(sd, 1, n) : usual_sd;
    for (size_t k = 0; k < data->n_task; k++) {
        if (task[k].n_done < 2) task[k].sd_log = middle;
        if (task[k].n_done == 0)
            task[k].mean_log = data->log_planned ? data->log_planned[k] : n_seen > 0 ? sum / n_seen : log(10.0);
    }
    wr_free(sd);
}
