#include "wetrun/present/excursion_view.h"

#include "wetrun/present/beside_view.h"
#include "wetrun/present/forecast_view.h"
#include "wetrun/present/words.h"

static const char not_used[] =
    "Earlier excursions (history.csv) are not used in this, which is about the next rehearsal, at pool pace";
static const char rests[] = "`--for excursion` rests all of it on them";

static void count(const struct wr_excursion *excursion, size_t limit, struct wr_maybe confidence, const char *of_what,
                  struct wr_str *out)
{
    const struct wr_probability *over = &excursion->forecast.limit[limit].over;

    wr_str_addf(out, "%s%s", wr_chance(over, WR_ROOM), of_what);
    wr_interval_beside(over, confidence, out);
}

/* A worse answer is the excursion's own: beside one that is left bare, that of the rehearsal would be taken for it. */
static void add_second(const struct wr_excursion *excursion, size_t limit, struct wr_maybe confidence,
                       struct wr_str *out)
{
    const struct wr_second *second = &excursion->forecast.limit[limit].second;

    if (!second->known) return;
    wr_str_add(out, ", ");
    wr_second_words(second, confidence, out);
}

static void count_wanted(const struct wr_present_context *ctx, size_t limit, const char *of_what, struct wr_str *out)
{
    count(ctx->excursion, limit, wr_wanted_confidence(ctx, ctx->excursion_limits, limit), of_what, out);
}

static void first_limit(const struct wr_present_context *ctx, struct wr_str *out)
{
    WR_SCOPED_STR go_over = {0};

    wr_str_addf(&go_over, " of 100 excursions %s the %s limit",
                wr_go_over(ctx->excursion->forecast.limit[0].over.mean),
                wr_moment(ctx->excursion_limits->limit[0].minutes, WR_ROOM));
    count_wanted(ctx, 0, wr_str_text(&go_over), out);
    add_second(ctx->excursion, 0, wr_wanted_confidence(ctx, ctx->excursion_limits, 0), out);
}

static void add_first_is(const struct wr_present_context *ctx, struct wr_str *out)
{
    if (ctx->first_is) wr_str_addf(out, "%s, ", ctx->first_is);
}

void wr_excursion_brief(const struct wr_present_context *ctx, struct wr_str *out)
{
    if (!ctx->history_unused) return;
    wr_str_add(out, not_used);
    wr_str_add(out, ": ");
    if (ctx->excursion && ctx->excursion->forecast.n_limit > 0) {
        wr_str_add(out, ctx->first_is ? "with them, " : "with them ");
        add_first_is(ctx, out);
        first_limit(ctx, out);
        wr_str_addf(out, ", and %s.", rests);
    } else {
        wr_str_add(out, "`--for excursion` answers for the excursion.");
    }
}

void wr_excursion_half_words(const struct wr_present_context *ctx, struct wr_str *out)
{
    const struct wr_beside *latest = wr_latest_answer(ctx->excursion->beside, ctx->excursion->n_beside);

    add_first_is(ctx, out);
    wr_str_addf(out, "half of the finishes come by %s",
                wr_moment(ctx->excursion->forecast.quantile_min[WR_Q50], WR_ROOM));
    if (!latest) return;
    wr_str_add(out, ", ");
    wr_if_assumed_words(latest->kind, latest->percent, out);
    wr_str_addf(out, " by %s", wr_moment(latest->forecast.quantile_min[WR_Q50], WR_ROOM));
}

static void every_limit(const struct wr_present_context *ctx, struct wr_str *out)
{
    const struct wr_forecast *f = &ctx->excursion->forecast;

    wr_str_add(out, ", and of 100 go over: ");
    for (size_t l = 0; l < f->n_limit; l++) {
        wr_str_addf(out, "%s%s ", l > 0 ? "; " : "", ctx->excursion_limits->limit[l].name);
        count_wanted(ctx, l, "", out);
        wr_by_worst_words(&f->limit[l].second, wr_wanted_confidence(ctx, ctx->excursion_limits, l), out);
    }
    wr_str_addf(out, "; at least one of them %s", wr_chance(&f->any_over, WR_ROOM));
    wr_interval_beside(&f->any_over, WR_UNKNOWN, out);
    wr_by_worst_words(&f->any_second, WR_UNKNOWN, out);
}

void wr_excursion_words(const struct wr_present_context *ctx, struct wr_str *out)
{
    if (!ctx->history_unused || !ctx->excursion) {
        wr_excursion_brief(ctx, out);
        return;
    }
    const size_t n = ctx->excursion->forecast.n_limit;
    wr_str_add(out, not_used);
    wr_str_add(out, ". For the excursion, with them, ");
    wr_excursion_half_words(ctx, out);
    if (n > 1) every_limit(ctx, out);
    else if (n == 1) {
        wr_str_add(out, ", and ");
        first_limit(ctx, out);
    }
    wr_str_addf(out, "; %s.", rests);
    if (ctx->excursion->durations.history_same)
        wr_str_add(out, " Most of their flight times, or those of one excursion, are the pool times to the last digit, "
                        "so that this answer may not be firm.");
    else if (ctx->excursion->durations.history_odd)
        wr_str_add(out, " Some of their flight times lie further from the pool times than those of any work, so that "
                        "this answer may not be firm.");
    else if (ctx->excursion->durations.history_faster)
        wr_str_add(out, " By them work takes less time in the excursion than in the pool, which would be unusual, so "
                        "that this answer may not be firm.");
    else if (ctx->excursion->durations.history_thin)
        wr_str_add(out, " They have the kinds of less than half of the rehearsed work, so that this answer may not be "
                        "firm.");
}

void wr_excursion_limit_words(const struct wr_excursion *excursion, size_t limit, struct wr_maybe confidence,
                              struct wr_str *out)
{
    if (!excursion) return;
    wr_str_addf(out, "; %sof the next rehearsal; of the excursion ",
                excursion->forecast.limit[limit].second.known ? "both " : "");
    count(excursion, limit, confidence, " of 100", out);
    add_second(excursion, limit, confidence, out);
}
