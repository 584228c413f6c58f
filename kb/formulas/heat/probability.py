"""How probable it is that a quantity stays below a target, from its range.

Owns: reading a range as a distribution. Does not own: the range (`kb/loops/heat/uncertainty.py`) or what follows.
"""

from __future__ import annotations

from statistics import NormalDist

_STANDARD = NormalDist()
_P90 = _STANDARD.inv_cdf(0.9)


def wish_probability_percent(target: float, low: float, likely: float, high: float) -> float:
    """Return how probable it is that a quantity is at most a target [%]: P = 100 Phi((t - x) / s).

    s is (h - x) / 1.2816 above the likely value and (x - l) / 1.2816 below it.

    Args:
        target: t, in the unit of the quantity.
        low: l, lower end of the range: the quantity is below with a probability of 10 %.
        likely: x, likely value: below and above are equally probable.
        high: h, upper end: above with a probability of 10 %.

    Validity: normal on either side of the likely value, one width a side; a range without width is certain.
    Source: quantiles of the normal distribution.

    >>> round(wish_probability_percent(12.5, 7.9, 9.7, 12.5), 6), wish_probability_percent(9.7, 7.9, 9.7, 12.5)
    (90.0, 50.0)
    """
    away, width = target - likely, high - likely if target > likely else likely - low
    if width <= 0:
        return 100.0 if away >= 0 else 0.0
    return 100.0 * _STANDARD.cdf(away / width * _P90)
