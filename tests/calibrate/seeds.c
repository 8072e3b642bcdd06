#include "seeds.h"

#include <math.h>
#include <stdio.h>
#include "wetrun/study/study.h"

struct sums { double value, squares, stated; };

static void note(struct seeds_study *s, struct sums *sums, size_t *at, const char *what, double value, double stated)
{
    if (*at == SEEDS_ROWS) return;
    snprintf(s->row[*at].what, sizeof s->row[*at].what, "%s", what);
    sums[*at].value += value;
    sums[*at].squares += value * value;
    sums[*at].stated += stated * stated;
    (*at)++;
    if (*at > s->n_row) s->n_row = *at;
}

static void note_forecast(struct seeds_study *s, struct sums *sums, size_t *at, const struct wr_forecast *f)
{
    static const size_t shown[] = {2, 4, 7, 8, 10};
    const struct wr_probability *p = &f->limit[0].over;
    char what[48];

    note(s, sums, at, "probability over the limit, of 100", 100 * p->mean, 100 * p->mc_error);
    note(s, sums, at, "its interval, lower end", 100 * p->lo, 100 * p->lo_mc_error);
    note(s, sums, at, "its interval, upper end", 100 * p->hi, 100 * p->hi_mc_error);
    note(s, sums, at, "mean finish, min", f->mean_min, f->mean_mc_error_min);
    for (size_t i = 0; i < sizeof shown / sizeof *shown; i++) {
        snprintf(what, sizeof what, "%g %% point of the finish, min", 100 * wr_quantile_prob[shown[i]]);
        note(s, sums, at, what, f->quantile_min[shown[i]], f->quantile_mc_error_min[shown[i]]);
    }
    if (p->hi > p->lo) s->error_over_width = fmax(s->error_over_width, p->mc_error / (p->hi - p->lo));
}

static void note_pad(struct seeds_study *s, struct sums *sums, size_t *at, const struct wr_pad *pad)
{
    char what[48];

    note(s, sums, at, "reserve, min", pad->reserve_min, pad->reserve_mc_error_min);
    for (size_t c = 0; c < pad->n_checkpoint; c++) {
        snprintf(what, sizeof what, "checkpoint %zu, min", c + 1);
        note(s, sums, at, what, pad->checkpoint[c].time_min, pad->checkpoint[c].time_mc_error_min);
    }
    double value = 0, stated = 0;
    for (size_t k = 0; k < pad->n_task; k++) {
        if (pad->task[k].pad_min > value) stated = pad->task[k].pad_mc_error_min;
        value = fmax(value, pad->task[k].pad_min);
    }
    note(s, sums, at, "largest pad, min", value, stated);
}

bool seeds_of_campaign(struct seeds_study *s, const char *folder, size_t n_seed)
{
    struct sums sums[SEEDS_ROWS] = {{0}};
    bool ok = true;

    *s = (struct seeds_study){0};
    for (size_t seed = 1; seed <= n_seed && ok; seed++) {
        struct wr_study study = {0};
        struct wr_study_options options = wr_study_default();
        struct wr_error err;
        size_t at = 0;
        options.folder = folder;
        options.seed = seed;
        ok = wr_study_open(&study, &options, &err) == WR_OK && wr_study_make(&study, WR_RESULT_FORECAST, &err) == WR_OK
             && wr_study_make(&study, WR_RESULT_PAD, &err) == WR_OK && study.limits.n_limit > 0;
        if (ok) note_forecast(s, sums, &at, &study.forecast);
        if (ok) note_pad(s, sums, &at, &study.pad);
        wr_study_release(&study);
    }
    double n = (double)n_seed;
    for (size_t i = 0; i < s->n_row; i++) {
        s->row[i].mean = sums[i].value / n;
        s->row[i].sd = sqrt(fmax(0, sums[i].squares - sums[i].value * sums[i].value / n) / (n - 1));
        s->row[i].stated = sqrt(sums[i].stated / n);
    }
    return ok;
}
