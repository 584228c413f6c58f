"""How much concentrate and water make up the contents of a loop.

Owns: amounts from shares. Does not own: shares of a given mixture (`kb/formulas/coolant/glycol.py`) or contents.
"""

from __future__ import annotations

from typing import NamedTuple


class Amounts(NamedTuple):
    """What is poured together [ml]."""

    concentrate_ml: float
    water_ml: float


def mix_amounts(contents_ml: float, target_percent: float, concentrate_percent: float) -> Amounts:
    """Return concentrate and water that fill a loop with a share of glycol: V w / g and the rest.

    Args:
        contents_ml: V, contents of the loop [ml].
        target_percent: w, share of glycol in the loop by volume [%], not above g.
        concentrate_percent: g, glycol in the concentrate by volume [%], above 0.

    Raises:
        ValueError: if w is above g: water makes nothing stronger.
        ZeroDivisionError: if g is 0.

    Validity: contraction on mixing neglected (below 1 % of volume).
    Source: arithmetic.

    >>> mix_amounts(950.0, 25.0, 95.0)
    Amounts(concentrate_ml=250.0, water_ml=700.0)
    """
    if target_percent > concentrate_percent:
        raise ValueError("a concentrate cannot be diluted to a larger share")
    concentrate = contents_ml * target_percent / concentrate_percent
    return Amounts(concentrate, contents_ml - concentrate)


def dose_mg(contents_ml: float, dose_mg_per_l: float) -> float:
    """Return how much of an additive a loop takes [mg]: V c.

    Args:
        contents_ml: V [ml].
        dose_mg_per_l: c [mg/l].

    Source: arithmetic.

    >>> dose_mg(800.0, 250.0)
    200.0
    """
    return contents_ml / 1000 * dose_mg_per_l
