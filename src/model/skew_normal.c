#include "wetrun/model/skew_normal.h"

#include <gsl/gsl_math.h>
#include "wetrun/stats/special.h"

static double normal_cdf(double z)
{
    return 0.5 * erfc(-z * M_SQRT1_2);
}

/* Gauss-Legendre, 20 points on [-1, 1] (Abramowitz and Stegun 1964, table 25.4): the positive half. */
static const double node[10] = {
    0.0765265211334973338, 0.2277858511416450781, 0.3737060887154195607, 0.5108670019508270980, 0.6360536807265150255,
    0.7463319064601507926, 0.8391169718222188234, 0.9122344282513259059, 0.9639719272779137913, 0.9931285991850949248};
static const double weight[10] = {
    0.1527533871307258507, 0.1491729864726037467, 0.1420961093183820513, 0.1316886384491766269, 0.1181945319615184174,
    0.1019301198172404351, 0.0832767415767047487, 0.0626720483341090636, 0.0406014298003869413, 0.0176140071391521183};

/* T(h, a) for 0 <= a <= 1, where the integrand is smooth. */
static double owen_small(double h, double a)
{
    double sum = 0.0;

    if (h * h > 1400.0) return 0.0;
    for (int i = 0; i < 10; i++) {
        double x = 0.5 * a * (1.0 - node[i]), y = 0.5 * a * (1.0 + node[i]);
        sum += weight[i] * (exp(-0.5 * h * h * (1.0 + x * x)) / (1.0 + x * x)
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

double wr_skew_error_log_pdf(double x, double sd, double rho)
{
    if (rho == 0) return wr_log_normal_pdf(x, sd);
    double scale = sd / wr_skew_unit(rho), t = x / scale + rho * WR_SKEW_C0;
    return log(2) + wr_log_normal_pdf(t, 1) - log(scale) + wr_log_normal_cdf(t * rho / sqrt(1 - rho * rho));
}

double wr_skew_error_log_tail(double x, double sd, double rho)
{
    enum { N = 32 };
    double tail = 0, scale = sd / wr_skew_unit(rho), a = scale * rho, b = scale * sqrt(1 - rho * rho);

    if (rho == 0) return wr_log_normal_cdf(-x / sd);
    for (int i = 0; i < N; i++) {
        double h = wr_normal_quantile(0.5 + 0.5 * (i + 0.5) / N);
        tail += exp(wr_log_normal_cdf(-(x - a * (h - WR_SKEW_C0)) / b)) / N;
    }
    return log(fmax(tail, 1e-300));
}
