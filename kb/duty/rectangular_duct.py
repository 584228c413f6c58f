"""Laminar heat transfer in rectangular passages.

Owns: the developed Nusselt number. Does not own: turbulence and entry (`kb/duty/coolant_film.py`).
"""

from __future__ import annotations

from functools import lru_cache

_KEPT = 1024  # one entry for each shape of a passage


@lru_cache(maxsize=_KEPT)
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
