"""Laminar heat transfer and friction in rectangular passages.

Owns: the developed Nusselt number and the developed friction. Does not own: turbulence and entry
(`kb/formulas/heat/coolant_film.py`, `kb/formulas/flow/flat_tube_flow.py`).
"""

from __future__ import annotations

from functools import lru_cache

_FRICTION = (1.0, -1.3553, 1.9467, -1.7012, 0.9564, -0.2537)
_PARALLEL_PLATES = 96.0
_CACHED = 1024  # one entry for each shape of a passage


@lru_cache(maxsize=_CACHED)
def developed_nusselt(aspect: float) -> float:
    """Return the Nusselt number of laminar, developed flow in a rectangular passage with even heating [-].

    Args:
        aspect: short side over long side [-], 0 (parallel plates) to 1 (square).

    Raises:
        ValueError: outside that range.

    Validity: laminar, developed speed and temperature, constant heat flow along the passage.
    Source: ht library 1.2, Nu_laminar_rectangular_Shan_London, after Shah and London (1978).

    >>> round(developed_nusselt(0.0), 3), round(developed_nusselt(1.0), 2)
    (8.235, 3.61)
    """
    from ht.conv_internal import Nu_laminar_rectangular_Shan_London  # noqa: PLC0415 - 100 ms to import

    if not 0 <= aspect <= 1:
        raise ValueError("the aspect of a passage lies between 0 and 1")
    return float(Nu_laminar_rectangular_Shan_London(aspect))


@lru_cache(maxsize=_CACHED)
def laminar_friction_constant(aspect: float) -> float:
    """Return Darcy's friction factor times the Reynolds number of laminar, developed flow in a rectangular passage [-].

    96 (1 - 1.3553 a + 1.9467 a^2 - 1.7012 a^3 + 0.9564 a^4 - 0.2537 a^5), on the hydraulic diameter.

    Args:
        aspect: a, short side over long side [-], 0 (parallel plates) to 1 (square).

    Raises:
        ValueError: outside that range.

    Validity: laminar, developed flow; the polynomial lies within 0.05 % of the exact series.
    Source: Shah and London (1978).

    >>> [round(laminar_friction_constant(aspect), 1) for aspect in (0.0, 0.5, 1.0)]
    [96.0, 62.2, 56.9]
    """
    if not 0 <= aspect <= 1:
        raise ValueError("the aspect of a passage lies between 0 and 1")
    return _PARALLEL_PLATES * sum(factor * aspect**power for power, factor in enumerate(_FRICTION))
