#include "wetrun/decide/excursion.h"

enum wr_status wr_excursion_make(struct wr_excursion *e, const struct wr_history *history,
                                 const struct wr_basis *basis, const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_sim_options own = *sim;
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0}; /* of another forecast than the one shown */

    own.progress = NULL;
    e->options = *basis->fit_options;
    e->options.target = WR_FOR_EXCURSION;
    enum wr_status status = wr_carry_over_fit(&e->carry_over, history, err);
    if (!status)
        status = wr_durations_build(&e->durations, basis->plan, basis->net, basis->timing, basis->fit, &e->carry_over,
                                    &e->options, &unused, err);
    if (!status) status = wr_forecast_run(&e->forecast, basis->net, &e->durations, &own, err);
    return status;
}

void wr_excursion_release(struct wr_excursion *e)
{
    wr_forecast_release(&e->forecast);
    wr_durations_release(&e->durations);
    wr_carry_over_release(&e->carry_over);
    *e = (struct wr_excursion){0};
}
