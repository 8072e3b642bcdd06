#include "surface.h"

#include <math.h>

struct local_shape {
    double value, du, dv, duu, dvv, duv;
};

/* Central differences of fourth order along the axes, of second order for the mixed one. The step balances
 * the rounding of a sum of logs (1e-14 or so, divided by the step) against its fourth power. */
static struct local_shape look_around(wr_surface_fn *fn, const void *arg, double u, double v)
{
    const double h = 4e-3;
    struct local_shape s = {.value = fn(arg, u, v)};
    double u1 = fn(arg, u - h, v), u2 = fn(arg, u + h, v), u0 = fn(arg, u - 2 * h, v), u3 = fn(arg, u + 2 * h, v);
    double v1 = fn(arg, u, v - h), v2 = fn(arg, u, v + h), v0 = fn(arg, u, v - 2 * h), v3 = fn(arg, u, v + 2 * h);

    s.du = (8 * (u2 - u1) - (u3 - u0)) / (12 * h);
    s.dv = (8 * (v2 - v1) - (v3 - v0)) / (12 * h);
    s.duu = (16 * (u1 + u2) - (u0 + u3) - 30 * s.value) / (12 * h * h);
    s.dvv = (16 * (v1 + v2) - (v0 + v3) - 30 * s.value) / (12 * h * h);
    s.duv =
        (fn(arg, u + h, v + h) + fn(arg, u - h, v - h) - fn(arg, u + h, v - h) - fn(arg, u - h, v + h)) / (4 * h * h);
    return s;
}

static bool curves_down(const struct local_shape *s)
{
    return s->duu < 0 && s->dvv < 0 && s->duu * s->dvv > s->duv * s->duv;
}

/* Newton's step; where the surface does not curve down, with the curvature turned down, so that it still climbs. */
static void step_of(const struct local_shape *s, double step[2])
{
    double a = -s->duu, b = -s->dvv, c = -s->duv;

    if (!curves_down(s)) { /* absolute eigenvalues, floored */
        double mid = 0.5 * (a + b), half = hypot(0.5 * (a - b), c), floor = 1e-9 * (fabs(mid) + half) + 1e-12;
        double e1 = fmax(fabs(mid + half), floor), e2 = fmax(fabs(mid - half), floor);
        double angle = 0.5 * atan2(2 * c, a - b), cs = cos(angle), sn = sin(angle);
        a = e1 * cs * cs + e2 * sn * sn;
        b = e1 * sn * sn + e2 * cs * cs;
        c = (e1 - e2) * sn * cs;
    }
    double det = a * b - c * c;
    step[0] = (b * s->du - c * s->dv) / det;
    step[1] = (a * s->dv - c * s->du) / det;
    double longest = fmax(fabs(step[0]), fabs(step[1]));
    if (longest > 1.0) {
        step[0] /= longest;
        step[1] /= longest;
    }
}

bool wr_surface_top(wr_surface_fn *fn, const void *arg, double reach, double at[2])
{
    double start[2] = {at[0], at[1]};

    for (int round = 0; round < 200; round++) {
        struct local_shape s = look_around(fn, arg, at[0], at[1]);
        double step[2], share = 1;
        if (!isfinite(s.value + s.du + s.dv + s.duu + s.dvv + s.duv)) return false;
        step_of(&s, step);
        double gain = step[0] * s.du + step[1] * s.dv; /* twice what a quadratic would still gain */
        if (gain < 1e-10 * (1 + fabs(s.value)) && curves_down(&s)) { /* Newton doubles the digits: one last step */
            at[0] += step[0];
            at[1] += step[1];
            return true;
        }
        while (!(fn(arg, at[0] + share * step[0], at[1] + share * step[1]) >= s.value + 1e-4 * share * gain)) {
            share *= 0.5;
            if (share < 1e-9) return false;
        }
        at[0] += share * step[0];
        at[1] += share * step[1];
        if (fabs(at[0] - start[0]) > reach || fabs(at[1] - start[1]) > reach) return false;
    }
    return false;
}
