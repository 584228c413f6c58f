"""How much of a core a fan really blows through.

Owns: the ring of the blades against the face behind it. Does not own: the flow (`kb/formulas/heat/operating_point.py`).
A fan screwed straight onto a core blows through the ring between hub and blade tips; corners and hub lie in its lee.
With room between fan and core the air spreads. Nobody publishes how far it does so for radiators of this kind. The ring
is the least that carries air and the whole face the most; the middle of both is taken, and both ends go into the
uncertainty range.
"""

from __future__ import annotations

import math
from typing import NamedTuple, Protocol

_MM = 1e-3


class FanSize(Protocol):
    """The diameters of a fan: anything that has them will do."""

    @property
    def blade_diameter_mm(self) -> float:
        """Diameter over the tips of the blades [mm]."""
        ...

    @property
    def hub_diameter_mm(self) -> float:
        """Diameter of the hub [mm]."""
        ...


class Coverage(NamedTuple):
    """Share of a section of the core that carries air: least, likely and most [-]."""

    least: float
    likely: float
    most: float


def ring_m2(fan: FanSize) -> float:
    """Return the area of the ring of blades [m2].

    Args:
        fan: its diameters.

    Source: plane geometry.
    """
    return math.pi / 4 * (fan.blade_diameter_mm**2 - fan.hub_diameter_mm**2) * _MM**2


def coverage_of(fan: FanSize, section_m2: float) -> Coverage:
    """Return how much of the face behind a fan carries air [-].

    Args:
        fan: the fan.
        section_m2: face that this fan serves [m2], above 0.

    Raises:
        ZeroDivisionError: if the face is 0.

    Validity: fan screwed straight onto the core; our own estimate between two bounds of geometry.
    Source: plane geometry; the middle is a judgement.
    """
    least = min(1.0, ring_m2(fan) / section_m2)
    return Coverage(least, (least + 1) / 2, 1.0)
