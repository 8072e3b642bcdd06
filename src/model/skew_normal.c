#include "wetrun/model/skew_normal.h"

#include <gsl/gsl_math.h>
#include "wetrun/stats/special.h"

static double normal_cdf(double z)
{
    return 0.5 * erfc(-z * M_SQRT1_2);
}

/* Gauss-Legendre, 10 and 20 points on [-1, 1] (Abramowitz and Stegun 1964, table 25.4): the positive half. */
static const struct rule { int n; double node[10], weight[10]; } ten = {
    5,
    {0.1488743389816312109, 0.4333953941292471908, 0.6794095682990244062, 0.8650633666889845107, 0.9739065285171717201},
    {0.2955242247147528702, 0.2692667193099963551, 0.2190863625159820440, 0.1494513491505805931, 0.066671344308688138}};
static const struct rule twenty = {
    10,
    {0.0765265211334973338, 0.2277858511416450781, 0.3737060887154195607, 0.5108670019508270980, 0.6360536807265150255,
     0.7463319064601507926, 0.8391169718222188234, 0.9122344282513259059, 0.9639719272779137913, 0.9931285991850949248},
    {0.1527533871307258507, 0.1491729864726037467, 0.1420961093183820513, 0.1316886384491766269, 0.1181945319615184174,
     0.1019301198172404351, 0.0832767415767047487, 0.0626720483341090636, 0.0406014298003869413, 0.017614007139152118}};

/* T(h, a) for 0 <= a <= 1, where the integrand is smooth; by ten points where they are as good. */
static double owen_small(double h, double a)
{
    const struct rule *rule = a < 0.7 && a * h < 2.0 ? &ten : &twenty;
    double sum = 0.0;

    if (h * h > 1400.0) return 0.0;
    for (int i = 0; i < rule->n; i++) {
        double x = 0.5 * a * (1.0 - rule->node[i]), y = 0.5 * a * (1.0 + rule->node[i]);
        sum += rule->weight[i] * (exp(-0.5 * h * h * (1.0 + x * x)) / (1.0 + x * x)
                                  + exp(-0.5 * h * h * (1.0 + y * y)) / (1.0 + y * y));
    }
    return sum * 0.5 * a / (2.0 * M_PI);
}

/* Owen (1956), Annals of Mathematical Statistics 27, 1075-1090: even in h, odd in a, and for a > 1
 * T(h, a) = (Phi(h) + Phi(ah))/2 - Phi(h) Phi(ah) - T(ah, 1/a); written with upper tails so that nothing cancels. */
double wr_owen_t(double h, double a)
{
    h = fabs(h);
    if (a < 0) return -wr_owen_t(h, -a);
    if (a <= 1.0) return owen_small(h, a);
    double q = normal_cdf(-h), r = normal_cdf(-a * h);
    return 0.5 * (q + r) - q * r - owen_small(a * h, 1.0 / a);
}

struct wr_skew_normal wr_skew_normal_of(double mean, double sd, double rho, double more)
{
    double scale2 = sd * sd / (1.0 - WR_SKEW_C0 * WR_SKEW_C0 * rho * rho);

    return (struct wr_skew_normal){mean, rho * sqrt(scale2), sqrt(scale2 * (1.0 - rho * rho) + more)};
}

/* In standard units z: density 2 phi(z) Phi(alpha z), distribution Phi(z) - 2 T(z, alpha), alpha = a/b. */
static double standard(const struct wr_skew_normal *s, double y)
{
    return (y - s->location + WR_SKEW_C0 * s->a) / hypot(s->a, s->b);
}

double wr_skew_normal_cdf(const struct wr_skew_normal *s, double y)
{
    double z = standard(s, y);

    return normal_cdf(z) - 2.0 * wr_owen_t(z, s->a / s->b);
}

double wr_skew_normal_pdf(const struct wr_skew_normal *s, double y)
{
    double z = standard(s, y);

    return 2.0 * exp(-0.5 * z * z) / sqrt(2.0 * M_PI) * normal_cdf(s->a / s->b * z) / hypot(s->a, s->b);
}

double wr_skew_normal_moment(const struct wr_skew_normal *s, double power)
{
    double a = power * s->a, b = power * s->b;

    return 2.0 * normal_cdf(a) * exp(power * s->location - a * WR_SKEW_C0 + 0.5 * (a * a + b * b));
}

/* As wr_log_normal_cdf, and faster where erfc does not underflow. */
static double log_normal_cdf(double z)
{
    return z > -30 ? log(normal_cdf(z)) : wr_log_normal_cdf(z);
}

double wr_skew_error_log_pdf(double x, double sd, double rho)
{
    if (rho == 0) return wr_log_normal_pdf(x, sd);
    double scale = sd / wr_skew_unit(rho), t = x / scale + rho * WR_SKEW_C0;
    return log(2) + wr_log_normal_pdf(t, 1) - log(scale) + log_normal_cdf(t * rho / sqrt(1 - rho * rho));
}

/* The normal tail averaged over the half-normal part: no difference that loses everything. */
static double tail_by_parts(double x, double scale, double rho)
{
    /* half-normal quantiles at the midpoints of equal parts: of the normal law at 1/2 + (i + 1/2) / (2 N) */
    enum { N = 32 };
    static const double half_normal[N] = {
    0.0195842852301269, 0.0587829360689431, 0.0980721524886611, 0.1375134021443359, 0.1771698209917398,
    0.2171069472101297, 0.2573935261009382, 0.2981024129304869, 0.3393116065388173, 0.3811054547635565,
    0.4235760842011995, 0.4668251228525896, 0.5109658067382474, 0.5561255936186913, 0.6024494531644237,
    0.6501040706479952, 0.6992833023832199, 0.7502153754679404, 0.8031725655979177, 0.8584844741418320,
    0.9165566675331125, 0.9778975439405420, 1.0431582633184540, 1.1131942771609284, 1.1891643501993368,
    1.2726986411905357, 1.3662038163720984, 1.4734675779471014, 1.6010086648860757, 1.7616704103630663,
    1.9874278859298957, 2.4175590162365048};
    double tail = 0, a = scale * rho, b = scale * sqrt(1 - rho * rho);

    for (int i = 0; i < N; i++) tail += normal_cdf(-(x - a * (half_normal[i] - WR_SKEW_C0)) / b) / N;
    return tail;
}

double wr_skew_error_log_tail(double x, double sd, double rho)
{
    if (rho == 0) return log_normal_cdf(-x / sd);
    double scale = sd / wr_skew_unit(rho), t = x / scale + rho * WR_SKEW_C0, normal = normal_cdf(-t);
    double tail = normal + 2.0 * wr_owen_t(t, rho / sqrt(1 - rho * rho));
    if (!(tail > 1e-6 * normal)) tail = tail_by_parts(x, scale, rho);
    return log(fmax(tail, 1e-300));
}
