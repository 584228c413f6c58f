"""Where a coolant freezes.

Owns: the freezing point of water and of glycol and water. Does not own: the library (`kb/formulas/coolant/glycol.py`).
"""

from __future__ import annotations

from functools import lru_cache

from kb.formulas.coolant.glycol import mixture_properties

WATER_C = 0.0
_ASKED_AT_C = 20.0  # the library wants a temperature although a freezing point has none
_CACHED = 256


@lru_cache(maxsize=_CACHED)
def freezing_point_c(glycol: str | None, mass_percent: float) -> float | None:
    """Return the freezing point of a coolant [degC]; `None` outside the library's range.

    Args:
        glycol: `propylene-glycol` or `ethylene-glycol`; `None` for water.
        mass_percent: share of glycol by mass [%].

    Validity: pure glycol and water at normal pressure; slush forms at this point, hard ice some kelvin below.
    Source: as `kb.formulas.coolant.glycol.mixture_properties`; water by the definition of the old Celsius scale.

    >>> freezing_point_c(None, 0.0)
    0.0
    >>> round(freezing_point_c("propylene-glycol", 25.8))
    -10
    """
    if glycol is None or mass_percent == 0:
        return WATER_C
    return mixture_properties(glycol, mass_percent, _ASKED_AT_C).freezing_point_c
