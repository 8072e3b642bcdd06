#include "wetrun/decide/excursion.h"

enum wr_status wr_excursion_make(struct wr_excursion *e, const struct wr_history *history,
                                 const struct wr_basis *basis, const struct wr_gap *gap,
                                 const struct wr_sim_options *sim, struct wr_error *err)
{
    struct wr_sim_options own = *sim;
    struct wr_basis carried = *basis;
    WR_RELEASED_BY(wr_findings_release) struct wr_findings unused = {0}; /* of another forecast than the one shown */

    own.progress = NULL;
    e->options = *basis->fit_options;
    e->options.target = WR_FOR_EXCURSION;
    enum wr_status status = wr_carry_over_fit(&e->carry_over, history, err);
    if (!status)
        status = wr_durations_build(&e->durations, basis->plan, basis->net, basis->timing, basis->fit, &e->carry_over,
                                    &e->options, &unused, err);
    if (!status) status = wr_forecast_run(&e->forecast, basis->net, &e->durations, &own, err);
    carried.fit_options = &e->options;
    carried.carry_over = &e->carry_over;
    carried.durations = &e->durations;
    if (!status) status = wr_beside_make(e->beside, &e->n_beside, &carried, gap, &own, err);
    if (!status) wr_beside_to_limits(e->beside, e->n_beside, &e->forecast);
    return status;
}

void wr_excursion_release(struct wr_excursion *e)
{
    for (size_t i = 0; i < e->n_beside; i++) wr_beside_release(&e->beside[i]);
    wr_forecast_release(&e->forecast);
    wr_durations_release(&e->durations);
    wr_carry_over_release(&e->carry_over);
    *e = (struct wr_excursion){0};
}
