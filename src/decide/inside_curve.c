#include "inside_curve.h"

#include <math.h>
#include "wetrun/base/memory.h"

enum { LOOK_DAYS = 500, ENOUGH_EFFECTIVE = 400 };

void wr_inside_curve_init(struct wr_inside_curve *curve, struct wr_given *given, double origin, double step)
{
    size_t n = given->days->n_trial;

    *curve = (struct wr_inside_curve){.given = given, .origin = origin, .step = step, .turned_to = -1};
    curve->n_look = n < LOOK_DAYS ? n : LOOK_DAYS;
}

void wr_inside_curve_release(struct wr_inside_curve *curve)
{
    for (int i = 0; i < 2 * WR_CURVE_STRETCHES; i++) wr_free(curve->stretch[i].task);
    for (size_t i = 0; i < curve->n_kept; i++) {
        wr_free(curve->kept[i].tally);
        wr_known_release(&curve->kept[i].known);
    }
    wr_free(curve->kept);
}

/* ---- ways ---- */

static void keep_way(struct wr_inside_curve *curve, int at)
{
    const struct wr_given *g = curve->given;
    struct wr_curve_stretch *s = &curve->stretch[at];

    s->task = WR_COPY(g->way.task, g->days->n_task);
    s->run = g->way.run;
    s->way = curve->turned_to = at;
}

/* The stretch whose way is used; -1: none. */
static int way_of(const struct wr_inside_curve *curve, int at)
{
    return curve->stretch[at].scaled ? -1 : curve->stretch[at].way;
}

static void turn_to(struct wr_inside_curve *curve, int at)
{
    const struct wr_curve_stretch *s = &curve->stretch[at];

    if (s->scaled) {
        wr_given_by_run_effect(curve->given);
        curve->turned_to = -1;
    } else if (curve->turned_to != s->way) {
        curve->turned_to = s->way;
        wr_given_turn(curve->given, curve->stretch[s->way].run, curve->stretch[s->way].task);
    }
}

static double effective_now(const struct wr_given *g)
{
    return wr_tally_effective(&g->asked[g->now].tally);
}

/* The run effect alone, if enough days count then. */
static bool is_scaled(struct wr_inside_curve *curve, double log_start)
{
    struct wr_given *g = curve->given;
    size_t n = g->days->n_trial;

    if (!wr_given_scales(g)) return false;
    wr_given_by_run_effect(g);
    curve->turned_to = -1;
    wr_given_tally(g, exp(log_start), n);
    return effective_now(g) >= fmin(ENOUGH_EFFECTIVE, 0.1 * (double)n);
}

/* A way for stretch `at`: that of its neighbour nearer to the origin, or a better one where few days count. */
static void make_stretch(struct wr_inside_curve *curve, int at, int neighbour)
{
    struct wr_curve_stretch *s = &curve->stretch[at];
    struct wr_given *g = curve->given;
    double middle = curve->origin + (at - WR_CURVE_STRETCHES + 0.5) * curve->step;
    bool first = neighbour < 0 || curve->stretch[neighbour].scaled, better = false;

    s->made = true;
    s->scaled = is_scaled(curve, middle);
    if (s->scaled) return;
    if (first) {
        wr_given_aim(g);
    } else {
        s->way = curve->stretch[neighbour].way;
        turn_to(curve, at);
    }
    wr_given_tally(g, exp(middle), curve->n_look);
    if (effective_now(g) < 0.1 * (double)curve->n_look) better = wr_given_aim_at(g, exp(middle), curve->n_look);
    if (first || better) keep_way(curve, at);
}

static int stretch_of(const struct wr_inside_curve *curve, double log_start)
{
    double place = floor((log_start - curve->origin) / curve->step + 1e-9); /* a node belongs to what follows it */

    return (int)fmin(fmax(place, -WR_CURVE_STRETCHES), WR_CURVE_STRETCHES - 1) + WR_CURVE_STRETCHES;
}

static void make_stretches(struct wr_inside_curve *curve, int at)
{
    int first = WR_CURVE_STRETCHES;

    for (int i = first; i <= at; i++)
        if (!curve->stretch[i].made) make_stretch(curve, i, i > first ? i - 1 : -1);
    if (at < first && !curve->stretch[first].made) make_stretch(curve, first, -1);
    for (int i = first - 1; i >= at; i--)
        if (!curve->stretch[i].made) make_stretch(curve, i, i + 1);
}

/* ---- the curve ---- */

static struct wr_curve_look *find_kept(const struct wr_inside_curve *curve, double log_start, int way, size_t n_days)
{
    size_t now = curve->given->now;

    for (size_t i = 0; i < curve->n_kept; i++) {
        struct wr_curve_look *look = &curve->kept[i];
        bool there = look->log_start >= log_start && look->log_start <= log_start && look->way == way;
        if (there && look->n_days == n_days && (look->only == SIZE_MAX || look->only == now)) return look;
    }
    return NULL;
}

/* The look at most days that are fewer than these, or NULL. */
static struct wr_curve_look *find_begun(const struct wr_inside_curve *curve, double log_start, int way, size_t n_days)
{
    struct wr_curve_look *most = NULL;

    for (size_t i = 0; i < curve->n_kept; i++) {
        size_t n = curve->kept[i].n_days;
        if (n < n_days && (!most || n > most->n_days) && find_kept(curve, log_start, way, n) == &curve->kept[i])
            most = &curve->kept[i];
    }
    return most;
}

static struct wr_curve_look *keep(struct wr_inside_curve *curve, double log_start, int way, size_t n_days,
                                  struct wr_known_starts known)
{
    const struct wr_given *g = curve->given;
    struct wr_curve_look *look = WR_PUSH(curve->kept, curve->n_kept, curve->room_kept);

    *look = (struct wr_curve_look){log_start, way, n_days, way < 0 ? g->now : SIZE_MAX,
                                   WR_NEW_ARRAY(struct wr_tally, g->n_asked), known};
    for (size_t i = 0; i < g->n_asked; i++) look->tally[i] = g->asked[i].tally;
    return look;
}

/* The half of a standard deviation at whose ends the days are known: that of its lower node; false: there is none. */
static bool fine_step(const struct wr_inside_curve *curve, double log_start, int *lower, bool *is_node)
{
    double place = (log_start - curve->origin) / (0.5 * curve->step);

    *lower = (int)floor(fmin(fmax(place, -100), 100) + 1e-9);
    *is_node = fabs(place - *lower) < 1e-9;
    return *lower >= -WR_CURVE_FINE_NODES && *lower < WR_CURVE_FINE_NODES + *is_node;
}

/* A look at the days themselves, after those that were looked at before. */
static struct wr_curve_look *look_at(struct wr_inside_curve *curve, double log_start, int at, size_t n_days)
{
    struct wr_given *g = curve->given;
    const int way = way_of(curve, at);
    struct wr_curve_look *begun = find_begun(curve, log_start, way, n_days);
    struct wr_known_starts known = {0};
    bool is_node;
    int lower;

    turn_to(curve, at);
    for (size_t i = 0; i < g->n_asked; i++) g->asked[i].tally = begun ? begun->tally[i] : (struct wr_tally){0};
    if (begun) {
        known = begun->known;
        begun->known = (struct wr_known_starts){0};
    } else if (way >= 0 && fine_step(curve, log_start, &lower, &is_node) && is_node) {
        wr_known_init(&known, g, exp(log_start));
    }
    wr_given_tally_on(g, exp(log_start), begun ? begun->n_days : 0, n_days, known.day ? &known : NULL);
    return keep(curve, log_start, way, n_days, known);
}

static struct wr_curve_look *known_look(struct wr_inside_curve *curve, double log_start, int at)
{
    const size_t n = curve->given->days->n_trial;
    struct wr_curve_look *look = find_kept(curve, log_start, way_of(curve, at), n);

    return look ? look : look_at(curve, log_start, at, n);
}

/* Between nodes i and i + 1, by their days. */
static struct wr_curve_look *look_between(struct wr_inside_curve *curve, double log_start, int at, int i)
{
    struct wr_known_starts from = known_look(curve, wr_inside_curve_node(curve, i), at)->known,
                           to = known_look(curve, wr_inside_curve_node(curve, i + 1), at)->known;

    turn_to(curve, at);
    wr_given_tally_between(curve->given, &from, &to, exp(log_start));
    return keep(curve, log_start, way_of(curve, at), curve->given->days->n_trial, (struct wr_known_starts){0});
}

double wr_inside_curve_at(struct wr_inside_curve *curve, double log_start, size_t n_days, struct wr_tally *tally)
{
    int at = stretch_of(curve, log_start), lower;
    bool is_node, all = n_days == curve->given->days->n_trial;

    make_stretches(curve, at);
    const struct wr_curve_look *look = find_kept(curve, log_start, way_of(curve, at), n_days);
    if (!look) {
        bool fine = fine_step(curve, log_start, &lower, &is_node) && way_of(curve, at) >= 0;
        look = fine && all && !is_node ? look_between(curve, log_start, at, lower)
                                       : look_at(curve, log_start, at, n_days);
    }
    *tally = look->tally[curve->given->now];
    return wr_tally_share(tally);
}

bool wr_inside_curve_scaled(struct wr_inside_curve *curve, double log_start)
{
    int at = stretch_of(curve, log_start);

    make_stretches(curve, at);
    return curve->stretch[at].scaled;
}

double wr_inside_curve_node(const struct wr_inside_curve *curve, int i)
{
    int n = i < 0 ? -i : i;
    double away = n <= 8 ? 0.5 * n : n <= 16 ? n - 4.0 : 2.0 * n - 20;

    return curve->origin + (i < 0 ? -away : away) * curve->step;
}
