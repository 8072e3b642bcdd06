#include "wetrun/present/earlier_view.h"

#include <math.h>
#include <stdio.h>
#include "earlier_json.h"
#include "wetrun/present/words.h"

static const double z95 = 1.6448536269514722;

static const char *const key_of[] = {
    [WR_COMMON_TAU] = "tau", [WR_COMMON_KAPPA] = "kappa", [WR_COMMON_GAMMA] = "gamma", [WR_COMMON_S0] = "log_s0",
    [WR_COMMON_D] = "d", [WR_COMMON_OMEGA_S] = "omega_s", [WR_COMMON_RHO] = "rho", [WR_COMMON_A] = "a",
    [WR_COMMON_JUDGED_BIAS] = "judged_bias", [WR_COMMON_JUDGED_OFF] = "judged_off",
    [WR_COMMON_JUDGED_WIDENING] = "judged_widening"};

/* 5, 50 and 95 % points of a parameter whose score follows the law (sd 0: the default). */
static void points(const struct wr_priors *usual, enum wr_common which, const struct wr_score_law *law, double point[3])
{
    double sd = law->sd > 0 ? law->sd : 1.0;

    for (int i = 0; i < 3; i++) point[i] = wr_prior_value(usual, which, law->mean + (i - 1) * z95 * sd);
}

/* A value as people read it: a change in per cent, a factor, or the plain number. */
static void value_words(enum wr_common which, double value, struct wr_str *out)
{
    switch (which) {
    case WR_COMMON_TAU:
    case WR_COMMON_JUDGED_OFF:
    case WR_COMMON_KAPPA: wr_str_add(out, wr_minutes_bare(100.0 * expm1(value), WR_ROOM)); break;
    case WR_COMMON_S0: wr_str_add(out, wr_minutes_bare(100.0 * expm1(exp(value)), WR_ROOM)); break;
    case WR_COMMON_GAMMA: wr_str_add(out, wr_signed(100.0 * expm1(value * log(2)), WR_ROOM)); break;
    case WR_COMMON_D: wr_str_add(out, wr_factor(exp(value * log(2)), WR_ROOM)); break;
    case WR_COMMON_OMEGA_S:
    case WR_COMMON_JUDGED_BIAS:
    case WR_COMMON_JUDGED_WIDENING:
    case WR_COMMON_A: wr_str_add(out, wr_factor(exp(value), WR_ROOM)); break;
    case WR_COMMON_RHO:
    case WR_N_COMMON: wr_str_addf(out, "%s%.2f", value < -0.005 ? "−" : "", fabs(value)); break;
    }
}

static const char *unit_of(enum wr_common which)
{
    switch (which) {
    case WR_COMMON_TAU:
    case WR_COMMON_KAPPA:
    case WR_COMMON_S0:
    case WR_COMMON_GAMMA:
    case WR_COMMON_JUDGED_OFF: return " %";
    case WR_COMMON_D:
    case WR_COMMON_OMEGA_S:
    case WR_COMMON_RHO:
    case WR_COMMON_A:
    case WR_COMMON_JUDGED_BIAS:
    case WR_COMMON_JUDGED_WIDENING:
    case WR_N_COMMON: break;
    }
    return "";
}

static void range_words(enum wr_common which, const double point[3], struct wr_str *out)
{
    value_words(which, point[1], out);
    wr_str_add(out, " (");
    value_words(which, point[0], out);
    wr_str_add(out, " to ");
    value_words(which, point[2], out);
    wr_str_addf(out, ")%s", unit_of(which));
}

static void grid_range(struct wr_grid *grid, enum wr_common which, const double point[3])
{
    WR_SCOPED_STR words = {0};

    range_words(which, point, &words);
    wr_grid_text(grid, wr_str_text(&words));
    WR_GRID_NUMBERS(grid, point[1], point[0], point[2]);
}

/* Names of those who speak against the others, and "this one". */
static void against_words(const struct wr_earlier *e, enum wr_common which, struct wr_str *out)
{
    for (size_t j = 0; j < e->n_campaign; j++)
        if (e->told[j * WR_N_COMMON + which].p_against < WR_SPEAKS_AGAINST)
            wr_str_addf(out, "%s%s", out->len ? ", " : "", e->name[j]);
    if (e->present[which].p_against < WR_SPEAKS_AGAINST) wr_str_addf(out, "%sthis one", out->len ? ", " : "");
}

static const struct wr_column column[] = {
    {"parameter", "", WR_UNIT_TEXT, WR_MACHINE, 0},
    {"what", "prior (90 % range)", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"default_words", "usually", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"default", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"default_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"default_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"taught_words", "from earlier ones", WR_UNIT_TEXT, WR_PEOPLE, 0},
    {"taught", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"taught_lo", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"taught_hi", "", WR_UNIT_PLAIN, WR_MACHINE, 0},
    {"campaigns", "told by", WR_UNIT_COUNT, WR_MACHINE, 0},
    {"against", "against", WR_UNIT_TEXT, WR_EVERYBODY, 6},
};

void wr_grid_of_earlier(const struct wr_earlier_result *r, struct wr_grid *grid)
{
    const struct wr_score_law usual = {0};
    double point[3];

    wr_grid_init(grid, column, sizeof column / sizeof *column);
    for (int c = 0; c < WR_N_COMMON; c++) {
        enum wr_common which = (enum wr_common)c;
        WR_SCOPED_STR against = {0};
        if (r->earlier->n_telling[c] == 0) continue;
        WR_GRID_TEXTS(grid, key_of[c], wr_common_words(which));
        points(r->usual, which, &usual, point);
        grid_range(grid, which, point);
        points(r->usual, which, &r->earlier->law[c], point);
        grid_range(grid, which, point);
        wr_grid_number(grid, (double)r->earlier->n_telling[c]);
        against_words(r->earlier, which, &against);
        wr_grid_text(grid, wr_str_text(&against));
    }
}

static void finish_words(const struct wr_forecast *f, struct wr_str *out)
{
    if (f->n_limit > 0) wr_str_addf(out, "%s of 100 go over the limit, ", wr_chance(&f->limit[0].over, WR_ROOM));
    wr_str_addf(out, "half of the finishes come by %s and 80 of 100 between %s and %s",
                wr_moment(f->quantile_min[WR_Q50], WR_ROOM), wr_moment(f->quantile_min[WR_Q10], WR_ROOM),
                wr_moment(f->quantile_min[WR_Q90], WR_ROOM));
}

void wr_earlier_sentence(const struct wr_earlier_result *r, const struct wr_forecast *with, struct wr_str *out)
{
    const struct wr_earlier *e = r->earlier;

    wr_str_addf(out, "The priors rest on %zu earlier campaign%s (", e->n_campaign, e->n_campaign == 1 ? "" : "s");
    for (size_t j = 0; j < e->n_campaign; j++)
        wr_str_addf(out, "%s%s: %zu rehearsal%s", j ? ", " : "", e->name[j], e->n_run[j], e->n_run[j] == 1 ? "" : "s");
    wr_str_add(out, ").");
    if (!with || !r->without) return;
    wr_str_add(out, " With them ");
    finish_words(with, out);
    wr_str_add(out, "; without them ");
    finish_words(r->without, out);
    wr_str_add_char(out, '.');
}

static void without_json(struct wr_json *j, json_t *at, const struct wr_forecast *f)
{
    json_t *without = wr_json_object_if(j, at, "without", f);

    if (!without) return;
    json_t *over = wr_json_object_if(j, without, "overrun", f->n_limit > 0);
    if (over) wr_json_number(j, over, "probability", f->limit[0].over.mean);
    if (over) wr_json_interval(j, over, "interval", &f->limit[0].over);
    json_t *quantiles = wr_json_object(j, without, "quantiles_min");
    for (size_t q = 0; q < WR_N_QUANTILE; q++) {
        char key[32];
        snprintf(key, sizeof key, "%g", wr_quantile_prob[q]);
        wr_json_number(j, quantiles, key, f->quantile_min[q]);
    }
}

void wr_earlier_json(struct wr_json *j, const struct wr_earlier_result *r)
{
    json_t *at = wr_json_object_if(j, j->root, "earlier", r && r->earlier);
    struct wr_grid grid;

    if (!at) return;
    json_t *list = wr_json_array(j, at, "campaigns");
    for (size_t c = 0; c < r->earlier->n_campaign; c++) {
        json_t *row = wr_json_row(j, list);
        wr_json_text(j, row, "campaign", r->earlier->name[c]);
        wr_json_count(j, row, "rehearsals", r->earlier->n_run[c]);
    }
    wr_grid_of_earlier(r, &grid);
    wr_json_take_grid(j, at, "priors", &grid);
    without_json(j, at, r->without);
}
