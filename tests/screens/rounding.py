"""How a number is shown, written down a second time from the rules in include/wetrun/present/words.h and base/number.h."""
import math

MINUS = "\u2212"


def half_up(x):
    return math.floor(abs(x) + 0.5)


def hmm(minutes):
    m = half_up(minutes)
    return f"{MINUS if minutes < 0 and m else ''}{m // 60}:{m % 60:02d}"


def by(minutes):
    return hmm(math.floor(minutes + 1 / 60000))


def of100(p):
    n = half_up(100 * p)
    return "<1" if n <= 0 else ">99" if n >= 100 else str(n)


def of100_words(p):
    return {"<1": "fewer than 1", ">99": "more than 99"}.get(of100(p), of100(p))


def side(value, bound):
    return 0 if abs(value - bound) < 1e-12 else 1 if value > bound else -1


def beside(p, bound):
    """One end of an interval beside what is wanted: as many decimals as leave it on its own side."""
    rare = of100(p)[0] in "<>"
    if bound is None or (rare and 0.01 <= bound <= 0.99):
        return of100(p)
    for decimals in range(5):
        shown = math.floor(100 * p * 10 ** decimals + 0.5) / 10 ** decimals
        if not (rare and shown in (0, 100)) and side(shown / 100, bound) == side(p, bound):
            return f"{shown:.{decimals}f}"
    return of100(p) if rare and abs(p - bound) > 1e-6 else f"just {'over' if p > bound else 'under'} {100 * bound:.6g}"


def interval(lo, hi, bound):
    lo, hi = beside(lo, bound), beside(hi, bound)
    return lo if lo == hi and lo[0] in "<>" else f"{lo} to {hi}"


def short(x):
    shown = half_up(x * 10) / 10 if abs(x) < 9.95 else half_up(x)
    text = "0" if shown == 0 else f"{shown:.1f}" if abs(x) < 9.95 else f"{shown:.0f}"
    return (MINUS if x < 0 and shown else "") + text


def whole(x):
    return (MINUS if x < 0 and half_up(x) else "") + str(half_up(x))


def percent(share):
    if 0.995 < share < 1:  # not all, and never shown as all
        return f"{math.floor(1000 * share + 1e-9) / 10:.1f} %"
    return "<0.1 %" if 0 < share < 0.0005 else short(100 * share) + " %"


def signed(x):
    return ("+" if x > 0 and short(x) != "0" else "") + short(x)


def change(x):
    shown = half_up(x * 10) / 10
    return (MINUS if x < 0 and shown else "") + f"{shown:.1f}"


def factor(x):
    return (MINUS if x <= -0.005 else "") + f"{abs(x):.2f}"


def count(x):
    return f"{x:.0f}"


def yes(x):
    return "yes" if x else "no"


WORDS = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]


def number_word(n):
    return WORDS[n] if n < len(WORDS) else str(n)


def same(shown, value, show):
    """Whether a text shows the value: by its rule, or by that of a value a hair away, where rounding is a matter of the last bit."""
    return any(shown == show(value + d * (1 + abs(value)) * 1e-9) for d in (0, -1, 1))
