#include "made_durations.h"

#include <math.h>
#include <string.h>
#include "made_plan.h"
#include "wetrun/base/memory.h"

void made_durations_plain(struct wr_durations *d, size_t n_task, size_t n_draw)
{
    unsigned long long state = 20240229;

    *d = (struct wr_durations){.n_task = n_task, .n_draw = n_draw, .n_lane = 1, .n_line_up = 1};
    d->source = WR_NEW_ARRAY(struct wr_source, n_task);
    d->centre_log = WR_NEW_ARRAY(double, n_task * n_draw);
    d->spread_log = WR_NEW_ARRAY(double, n_task * n_draw);
    d->tau = WR_NEW_ARRAY(double, n_draw);
    d->rho = WR_NEW_ARRAY(double, n_draw);
    d->kappa = WR_NEW_ARRAY(double, n_draw);
    d->q = WR_NEW_ARRAY(double, 0);
    d->line_up = WR_NEW_ARRAY(int, 1);
    d->line_up[0] = WR_PERSON_NONE;
    d->lanes = WR_NEW_ARRAY(uint32_t, n_task);
    d->stream = WR_NEW_ARRAY(uint64_t, n_task);
    for (size_t j = 0; j < n_draw; j++) d->tau[j] = n_draw == 1 ? 0.1 : 0.05 + 0.1 * made_uniform(&state);
    for (size_t k = 0; k < n_task; k++) {
        double centre = log(8) + log(45 / 8.0) * made_uniform(&state), spread = 0.1 + 0.3 * made_uniform(&state);
        d->source[k].kind = WR_SRC_MODEL;
        d->lanes[k] = 1;
        d->stream[k] = 0x123456789abcdefULL * (k + 1);
        for (size_t j = 0; j < n_draw; j++) {
            d->centre_log[k * n_draw + j] = centre + (n_draw > 1 ? 0.2 * (made_uniform(&state) - 0.5) : 0);
            d->spread_log[k * n_draw + j] = spread * (n_draw > 1 ? 0.8 + 0.4 * made_uniform(&state) : 1);
        }
    }
}

void made_durations_people(struct wr_durations *d, size_t n_lane, size_t n_person, size_t n_line_up, const int *line_up)
{
    wr_free(d->q);
    wr_free(d->line_up);
    d->n_lane = n_lane;
    d->n_person = n_person;
    d->n_line_up = n_line_up;
    d->q = WR_NEW_ARRAY(double, n_person * d->n_draw);
    d->line_up = WR_NEW_ARRAY(int, n_line_up * n_lane);
    memcpy(d->line_up, line_up, n_line_up * n_lane * sizeof *line_up);
}

void made_durations_release(struct wr_durations *d)
{
    wr_free(d->source);
    wr_free(d->centre_log);
    wr_free(d->spread_log);
    wr_free(d->tau);
    wr_free(d->rho);
    wr_free(d->kappa);
    wr_free(d->q);
    wr_free(d->line_up);
    wr_free(d->lanes);
    wr_free(d->stream);
    wr_free(d->run_effect_shift);
    wr_free(d->run_effect_sd);
    *d = (struct wr_durations){0};
}
