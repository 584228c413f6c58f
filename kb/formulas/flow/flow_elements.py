"""The elements of a loop as the network sees them: each says what pressure it takes at a flow.

Owns: putting formulas and their numbers together. Does not own: the formulas (one file each) or where the numbers come
from (`kb/loops/flow/elements.py`).
Every element takes more pressure at more flow; that is what makes the solution of a network unique.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.minor_losses import local_drop_kpa
from kb.formulas.flow.pump_curve import PumpCurve, head_kpa
from kb.formulas.flow.reference_point import reference_drop_kpa
from kb.formulas.flow.tube_friction import tube_drop_kpa


class Element(Protocol):
    """Anything that coolant flows through."""

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the pressure it takes [kPa] at a flow [l/min], rising with it; negative where it pushes."""
        ...


@dataclass(frozen=True, slots=True)
class TubeLength:
    """A straight tube."""

    bore_mm: float
    length_mm: float
    roughness_mm: float
    coolant: Coolant

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the friction of the tube [kPa]."""
        return tube_drop_kpa(flow_l_min, self.bore_mm, self.length_mm, self.roughness_mm, self.coolant)


@dataclass(frozen=True, slots=True)
class LocalLoss:
    """A bend, a fitting or a change of bore; the coefficients refer to the bore."""

    bore_mm: float
    coefficient: float
    laminar_coefficient: float
    coolant: Coolant

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the loss [kPa]."""
        return local_drop_kpa(flow_l_min, self.bore_mm, self.coefficient, self.laminar_coefficient, self.coolant)


@dataclass(frozen=True, slots=True)
class MeasuredPart:
    """A part known by one point; the drop already stands for the coolant that flows."""

    reference_flow_l_min: float
    reference_drop_kpa: float
    exponent: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the drop of the part [kPa]."""
        return reference_drop_kpa(flow_l_min, self.reference_flow_l_min, self.reference_drop_kpa, self.exponent)


@dataclass(frozen=True, slots=True)
class Pump:
    """A pump at a share of its full speed; 0 is a dead one."""

    curve: PumpCurve
    speed: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the head of the pump with a minus [kPa]."""
        return -head_kpa(self.curve, flow_l_min, self.speed)


@dataclass(frozen=True, slots=True)
class Chain:
    """Elements one behind the other."""

    elements: tuple[Element, ...]

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the sum of the drops [kPa]."""
        return sum(element.drop_kpa(flow_l_min) for element in self.elements)


@dataclass(frozen=True, slots=True)
class Clogged:
    """An element that takes some times its usual pressure, such as a filter that wants cleaning."""

    element: Element
    times: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the usual drop times the factor [kPa]."""
        return self.times * self.element.drop_kpa(flow_l_min)
