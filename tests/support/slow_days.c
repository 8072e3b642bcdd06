#include "slow_days.h"

#include <check.h>
#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include "../../src/sim/lattice.h"
#include "../../src/sim/points.h"
#include "../../src/sim/stream.h"
#include "wetrun/base/memory.h"
#include "wetrun/stats/three_point.h"

/* ---- streams ---- */

static uint32_t turn(uint32_t x, int by)
{
    return x << by | x >> (32 - by);
}

/* Number `step` of lane `lane` of a stream's chunk, by walking there. */
static uint32_t number(uint64_t seed, uint64_t identity, uint64_t chunk, unsigned lane, unsigned step)
{
    struct wr_stream stream;
    uint32_t s[4], x = 0;

    wr_stream_seed(&stream, seed, identity, chunk);
    for (int i = 0; i < 4; i++) s[i] = stream.s[i][lane];
    for (unsigned i = 0; i <= step; i++) {
        uint32_t t = s[1] << 9;
        x = turn(s[0] + s[3], 7) + s[0];
        s[2] ^= s[0];
        s[3] ^= s[1];
        s[1] ^= s[2];
        s[0] ^= s[3];
        s[2] ^= t;
        s[3] = turn(s[3], 11);
    }
    return x;
}

static void box_muller(uint32_t x, uint32_t y, double *first, double *second)
{
    double u = (x >> 1) * 0x1p-31 + 0x1p-32, r = sqrt(-2 * log(u));
    double a = M_PI / 4 * ((int32_t)(y << 2) * 0x1p-31), c = cos(a), s = sin(a);

    if (y >> 31) c = -c;
    *first = r * (y >> 30 & 1 ? s : c);
    *second = r * (y >> 30 & 1 ? c : s);
}

double slow_score(uint64_t seed, uint64_t identity, uint64_t t)
{
    unsigned at = (unsigned)(t % WR_CHUNK), lane = at % 16, pair = at / 32;
    double first, second;

    box_muller(number(seed, identity, t / WR_CHUNK, lane, 2 * pair),
               number(seed, identity, t / WR_CHUNK, lane, 2 * pair + 1), &first, &second);
    return at % 32 < 16 ? first : second;
}

void slow_pair(uint64_t seed, uint64_t identity, uint64_t t, double *h, double *z)
{
    unsigned at = (unsigned)(t % WR_CHUNK), lane = at % 16, pair = at / 16;

    box_muller(number(seed, identity, t / WR_CHUNK, lane, 2 * pair),
               number(seed, identity, t / WR_CHUNK, lane, 2 * pair + 1), h, z);
}

uint32_t slow_uniform(uint64_t seed, uint64_t identity, uint64_t t)
{
    unsigned at = (unsigned)(t % WR_CHUNK);

    return number(seed, identity, t / WR_CHUNK, at % 16, at / 16);
}

/* ---- from scores to minutes ---- */

static bool is_skewed(const struct wr_durations *d)
{
    for (size_t j = 0; j < d->n_draw; j++)
        if (d->rho[j] != 0) return true;
    return false;
}

static double skewed(double rho, double h, double z)
{
    return (rho * (fabs(h) - sqrt(2 / M_PI)) + sqrt(1 - rho * rho) * z) / sqrt(1 - 2 * rho * rho / M_PI);
}

static double person_effect(const struct wr_durations *d, size_t draw, uint32_t u, size_t lane, double anew)
{
    size_t up = (size_t)((uint64_t)u * d->n_line_up >> 32);
    int who = d->line_up[up * d->n_lane + lane];

    return who == WR_PERSON_NONE  ? 0
           : who == WR_PERSON_NEW ? d->kappa[draw] * anew
                                  : d->q[(size_t)who * d->n_draw + draw];
}

static double minutes_of(const struct wr_durations *d, size_t k, size_t draw, double score, double b,
                         const double *person)
{
    const struct wr_source *s = &d->source[k];
    struct wr_three_point judged = {s->reading, s->p[0], s->p[1], s->p[2]};
    double people = 0;
    int n = 0;

    if (s->kind == WR_SRC_FIXED) return s->p[0];
    if (s->kind == WR_SRC_LOGNORMAL) return exp(s->p[0] + s->p[1] * score + b);
    if (s->kind != WR_SRC_MODEL) return wr_three_point_quantile_min(&judged, gsl_cdf_ugaussian_P(score)) * exp(b);
    for (size_t l = 0; l < d->n_lane; l++) {
        if (!(d->lanes[k] >> l & 1)) continue;
        people += person[l];
        n++;
    }
    return exp(d->centre_log[k * d->n_draw + draw] + d->spread_log[k * d->n_draw + draw] * score
               + (n ? people / n : 0) + b);
}

static double shift_of(const struct wr_durations *d, size_t draw)
{
    return d->run_effect_shift ? d->run_effect_shift[draw] : 0;
}

static double sd_of(const struct wr_durations *d, size_t draw)
{
    return d->run_effect_sd ? d->run_effect_sd[draw] : d->tau[draw];
}

void slow_day_trial(const struct wr_network *net, const struct wr_durations *d, uint64_t seed, uint64_t t,
                    struct slow_day *day)
{
    size_t draw = (size_t)(t % d->n_draw);
    uint32_t u = slow_uniform(seed, WR_STREAM_LINE_UP, t);

    day->run_score = slow_score(seed, WR_STREAM_RUN_EFFECT, t);
    day->b = shift_of(d, draw) + sd_of(d, draw) * day->run_score;
    for (size_t l = 0; l < d->n_lane; l++)
        day->person[l] = person_effect(d, draw, u, l, slow_score(seed, WR_STREAM_NEW_PERSON + l, t));
    for (size_t k = 0; k < d->n_task; k++) {
        if (d->source[k].kind == WR_SRC_FIXED) {
            day->score[k] = 0;
        } else if (d->source[k].kind == WR_SRC_MODEL && is_skewed(d)) {
            double h, z;
            slow_pair(seed, d->stream[k], t, &h, &z);
            day->score[k] = skewed(d->rho[draw], h, z);
        } else {
            day->score[k] = slow_score(seed, d->stream[k], t);
        }
        day->minutes[k] = minutes_of(d, k, draw, day->score[k], day->b, day->person);
    }
    day->finish = wr_network_forward(net, day->minutes, day->start, day->end, day->dropped);
    wr_network_longest_path(net, WR_FINISH, day->start, day->end, day->dropped, day->path);
}

double slow_measure(const struct wr_network *net, const struct wr_sim_limit *limit, const double *start,
                    const double *end)
{
    double latest = 0;

    if (limit->is_clock) return end[limit->to] - start[limit->from];
    for (size_t l = 0; l < net->n_lane; l++)
        if ((limit->lanes >> l & 1) && net->lane_last[l] != SIZE_MAX) latest = fmax(latest, end[net->lane_last[l]]);
    return latest;
}

/* ---- points ---- */

/* Dimensions in the engine's order: run effect, people if they vary, tasks by weight, second normals by weight. */
struct layout {
    size_t line_up, anew, *first, *second;
};

static double weight(const struct wr_durations *d, size_t k)
{
    const struct wr_source *s = &d->source[k];

    if (s->kind == WR_SRC_FIXED) return 0;
    if (s->kind == WR_SRC_LOGNORMAL) return exp(s->p[0]) * s->p[1];
    if (s->kind == WR_SRC_MODEL) return exp(d->centre_log[k * d->n_draw]) * d->spread_log[k * d->n_draw];
    return (minutes_of(d, k, 0, 1, 0, NULL) - minutes_of(d, k, 0, -1, 0, NULL)) * log(2); /* the engine weighs spreads
                                                                                             of log2 */
}

static struct layout lay_out(const struct wr_durations *d)
{
    struct layout l = {.first = WR_NEW_ARRAY(size_t, d->n_task), .second = WR_NEW_ARRAY(size_t, d->n_task)};
    bool anew = false, people = false;
    size_t at = 1;

    for (size_t i = 0; i < d->n_line_up * d->n_lane; i++) {
        anew |= d->line_up[i] == WR_PERSON_NEW;
        people |= d->line_up[i] != WR_PERSON_NONE;
    }
    if (people && (anew || d->n_line_up > 1)) {
        l.line_up = at++;
        l.anew = at;
        at += d->n_lane;
    }
    for (size_t k = 0; k < d->n_task; k++) {
        size_t heavier = 0, heavier_skewed = 0;
        for (size_t j = 0; j < d->n_task; j++) {
            bool first = weight(d, j) > weight(d, k) || (weight(d, j) == weight(d, k) && j < k);
            heavier += first;
            heavier_skewed += first && d->source[j].kind == WR_SRC_MODEL;
        }
        l.first[k] = at + heavier;
        l.second[k] = at + d->n_task + heavier_skewed;
    }
    return l;
}

static uint32_t coordinate(uint64_t seed, size_t dimension, uint64_t identity, size_t replicate, uint32_t point)
{
    uint32_t shift = (uint32_t)(wr_mix3(seed ^ UINT64_C(0x706f696e74732121), identity, replicate) >> 32);
    uint32_t x = wr_lattice_index(point) * wr_lattice_generator(dimension) + shift;

    return x >> 31 ? ~(x << 1) : x << 1; /* 1 - |2 x - 1| */
}

static double normal_at(uint32_t u)
{
    return gsl_cdf_ugaussian_Pinv((u + 0.5) * 0x1p-32);
}

struct point {
    const struct wr_network *net;
    const struct wr_durations *d;
    size_t draw;
    double *score, *person, *minutes, *start, *end;
};

static double measured_at(const struct point *p, double t, const struct wr_sim_limit *limit)
{
    double b = shift_of(p->d, p->draw) + sd_of(p->d, p->draw) * t;

    for (size_t k = 0; k < p->d->n_task; k++) p->minutes[k] = minutes_of(p->d, k, p->draw, p->score[k], b, p->person);
    wr_network_forward(p->net, p->minutes, p->start, p->end, NULL);
    return slow_measure(p->net, limit, p->start, p->end);
}

/* The score of the run effect from which on the limit is passed: bisection. */
static double threshold(const struct point *p, const struct wr_sim_limit *limit)
{
    double low = -12, high = 12;

    for (int i = 0; i < 60; i++) {
        double middle = (low + high) / 2;
        if (measured_at(p, middle, limit) > limit->minutes) high = middle;
        else low = middle;
    }
    return high;
}

static void add_by_threshold(const struct point *p, const struct wr_sim_limit *limit, size_t n_limit, double *over)
{
    double first = 12;

    for (size_t q = 0; q < n_limit; q++) {
        double t = threshold(p, &limit[q]);
        over[q] += gsl_cdf_ugaussian_Q(t);
        first = fmin(first, t);
    }
    over[n_limit] += gsl_cdf_ugaussian_Q(first);
}

static void add_by_strata(const struct point *p, uint32_t u, const struct wr_sim_limit *limit, size_t n_limit,
                          double *over)
{
    unsigned n_part = 1;

    for (size_t j = 0; j < p->d->n_draw; j++)
        if (sd_of(p->d, j) > 0) n_part = WR_STRATA;
    for (uint32_t part = 0; part < n_part; part++) {
        double t = normal_at(n_part == 1 ? u : (part << 29) + (u >> 3));
        bool any = false;
        for (size_t q = 0; q < n_limit; q++) {
            bool passed = measured_at(p, t, &limit[q]) > limit[q].minutes;
            over[q] += (double)passed / n_part;
            any |= passed;
        }
        over[n_limit] += (double)any / n_part;
    }
}

void slow_draw_over(const struct wr_network *net, const struct wr_durations *d, uint64_t seed, size_t draw,
                    size_t per_draw, int way, const struct wr_sim_limit *limit, size_t n_limit, double *over)
{
    struct layout l = lay_out(d);
    struct point p = {net,
                      d,
                      draw,
                      WR_NEW_ARRAY(double, d->n_task),
                      WR_NEW_ARRAY(double, d->n_lane),
                      WR_NEW_ARRAY(double, d->n_task),
                      WR_NEW_ARRAY(double, d->n_task),
                      WR_NEW_ARRAY(double, d->n_task)};
    bool with_h = is_skewed(d);

    for (size_t q = 0; q <= n_limit; q++) over[q] = 0;
    for (size_t r = 0; r < WR_REPLICATES; r++)
        for (size_t i = 0; i < per_draw; i++) {
            uint32_t at = (uint32_t)(draw * per_draw + i);
            uint32_t up = l.line_up ? coordinate(seed, l.line_up, WR_STREAM_LINE_UP, r, at) : 0;
            for (size_t lane = 0; lane < d->n_lane; lane++) {
                double anew =
                    l.line_up ? normal_at(coordinate(seed, l.anew + lane, WR_STREAM_NEW_PERSON + lane, r, at)) : 0;
                p.person[lane] = person_effect(d, draw, up, lane, anew);
            }
            for (size_t k = 0; k < d->n_task; k++) {
                double z = normal_at(coordinate(seed, l.first[k], d->stream[k], r, at));
                uint64_t other = d->stream[k] ^ UINT64_C(0x5345434f4e442121);
                p.score[k] = with_h && d->source[k].kind == WR_SRC_MODEL
                                 ? skewed(d->rho[draw], normal_at(coordinate(seed, l.second[k], other, r, at)), z)
                                 : z;
            }
            if (way == WR_BY_STRATA)
                add_by_strata(&p, coordinate(seed, 0, WR_STREAM_RUN_EFFECT, r, at), limit, n_limit, over);
            else add_by_threshold(&p, limit, n_limit, over);
        }
    for (size_t q = 0; q <= n_limit; q++) over[q] /= (double)(WR_REPLICATES * per_draw);
    wr_free(l.first);
    wr_free(l.second);
    wr_free(p.score);
    wr_free(p.person);
    wr_free(p.minutes);
    wr_free(p.start);
    wr_free(p.end);
}

/* ---- quantiles ---- */

static int by_size(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;

    return (x > y) - (x < y);
}

void slow_quantile(double got, double *value, size_t n, double prob, double bin, const char *what)
{
    double place = prob * (double)n;

    qsort(value, n, sizeof *value, by_size);
    double low = value[(size_t)fmax(place - 1.5, 0)], high = value[(size_t)fmin(place + 1.5, (double)n - 1)];
    ck_assert_msg(got >= low * (1 - bin) - 1 / 64.0 && got <= high * (1 + bin) + 1 / 64.0,
                  "%s at %g: %.8g outside %.8g … %.8g", what, prob, got, low, high);
}
