#!/usr/bin/python3
"""How the polynomial coefficients of src/sim/kernel_body.h were made: near-minimax fits by reweighted least squares
(Lawson's iteration) on Chebyshev points, in double precision; then checked in single precision, operation by operation
as the kernel does them. Needs numpy and scipy."""
import numpy as np
from scipy import special

F = np.float32


def fit(basis, target, weight, steps=3000):
    """Coefficients c minimising max |weight (basis c - target)|."""
    w = np.ones(len(target)) / len(target)
    best, best_error = None, np.inf
    for _ in range(steps):
        s = np.sqrt(w) * weight
        c = np.linalg.lstsq(basis * s[:, None], target * s, rcond=None)[0]
        e = np.abs(weight * (basis @ c - target))
        if e.max() < best_error:
            best, best_error = c, e.max()
        w = w * e
        w /= w.sum()
    return best, best_error


def nodes(a, b, n=2000):
    return 0.5 * (a + b) + 0.5 * (b - a) * np.cos(np.pi * (np.arange(n) + 0.5) / n)


def powers(x, degrees):
    return np.stack([x ** d for d in degrees], 1)


def show(name, c, error, note):
    print(f"{name:10s} max error {error:.2e}  {note}")
    print("    " + ", ".join(f"{F(v):.9g}f" for v in c))


def horner(c, x):
    y = np.full_like(x, F(c[-1]))
    for v in c[-2::-1]:
        y = y * x + F(v)
    return y


# 2^r = 1 + r P(r) on [-1/2, 1/2], relative error
r = nodes(-0.5, 0.5)
c, e = fit(powers(r, range(1, 6)), np.exp2(r) - 1, np.exp2(-r))
show("exp2", c, e, "2^r - 1 = c0 r + ... on [-0.5, 0.5], relative")

# ln m = f (1 + f P(f)), f = m - 1, m in [sqrt(1/2), sqrt(2)]
f = nodes(np.sqrt(0.5) - 1, np.sqrt(2) - 1)
for n in (7, 8):
    c, e = fit(powers(f, range(2, 2 + n)), np.log1p(f) - f, 1 / np.abs(np.log1p(f)))
    show("log", c, e, f"ln(1 + f) - f = c0 f^2 + ..., relative, {n} coefficients")

# sine and cosine of a on [-pi/4, pi/4]
a = nodes(0, np.pi / 4)
c, e = fit(powers(a, (1, 3, 5)), np.sin(a), 1 / np.ones_like(a))
show("sin3", c, e, "c0 a + c1 a^3 + c2 a^5, absolute")
c, e = fit(powers(a, (0, 2, 4, 6)), np.cos(a), np.ones_like(a))
show("cos4", c, e, "absolute")
x = nodes(0, 1)  # a = pi/4 x
c, e = fit(powers(x, (1, 3, 5, 7)), np.sin(np.pi / 4 * x), 1 / np.ones_like(x))
show("sin(pi/4 x)", c, e, "c0 x + c1 x^3 + ..., absolute")
c, e = fit(powers(x, (0, 2, 4, 6)), np.cos(np.pi / 4 * x), np.ones_like(x))
show("cos(pi/4 x)", c, e, "absolute")

# upper normal tail: Q(x) = exp(-x^2/2) R(t), t = 1 / (1 + k x), x in [0, 12]
for k in (0.25, 0.3, 0.35, 0.4):
    x = np.concatenate([nodes(0, 4), nodes(4, 13)])
    t = 1 / (1 + k * x)
    target = special.erfcx(x / np.sqrt(2)) / 2
    for n in (6, 7, 8):
        c, e = fit(powers(t, range(1, 1 + n)), target, 1 / target, 800)
        show(f"tail k={k}", c, e, f"Q exp(x^2/2) = c0 t + ..., relative, {n} coefficients")

# inverse normal: z = p G(w), w = -ln(4 u (1 - u)), p = 2 u - 1; two pieces
for lo, hi, shift, root in ((0, 5.0, 2.5, False), (5.0, 21.6, 3.0, True)):
    w = nodes(lo, hi)
    # 4u(1-u) = exp(-w) = 1 - p^2;  z = Phi^-1(u), u = (1 - p) / 2 the lower tail
    p = np.sqrt(-np.expm1(-w))
    tail = np.exp(-w) / (2 * (1 + p))  # (1 - p) / 2 without cancellation
    z = -special.ndtri(tail)
    v = (np.sqrt(w) if root else w) - shift
    for n in (8, 9):
        c, e = fit(powers(v, range(n)), z / p, p, 2000)
        show("ndtri", c, e, f"z / (2u - 1), w in [{lo}, {hi}], v = {'sqrt(w)' if root else 'w'} - {shift}, absolute in z, {n} coefficients")
