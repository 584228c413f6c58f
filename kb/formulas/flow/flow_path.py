"""A path of the coolant before it is known what flows: its geometry, summed over everything one behind the other.

Owns: adding up what stands in series, and making one quick element of it for a coolant. Does not own: the formulas (one
file each) or where the numbers come from.
Losses on a bore sum to K / d^4 and K1 / d^3, points to one power law for each exponent, tubes of one bore to one
length; so a chain of many parts costs little more than one part. Everything takes at -Q the opposite of what it takes
at Q, except pumps, which therefore know their direction.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from enum import Enum
from types import MappingProxyType
from typing import NamedTuple, TypeAlias

from kb.formulas.coolant.coolant import Coolant, water_at
from kb.formulas.flow.flat_tube_flow import FlatTubes, flat_tube_drop_kpa
from kb.formulas.flow.pump_curve import PumpCurve, head_kpa
from kb.formulas.flow.reference_point import coolant_factor
from kb.formulas.flow.tube_friction import TubeFriction, tube_friction

REFERENCE_C = 25.0  # the tables give drops for water at this temperature
_VELOCITY = 1 / 60_000 / (math.pi / 4 * 1e-6)  # m/s of 1 l/min in a bore of 1 mm

LowUsualHigh: TypeAlias = tuple[float, float, float]
NOTHING: LowUsualHigh = (0.0, 0.0, 0.0)


class Restriction(Enum):
    """Which end of a known range is taken: the open parts of a kind, the usual ones, the restrictive ones."""

    LOW = -1
    USUAL = 0
    HIGH = 1


_PLACE: Mapping[Restriction, int] = MappingProxyType({one: one.value + 1 for one in Restriction})


class RunningPump(NamedTuple):
    """A pump in a flow path.

    Attributes:
        curve: the pump at full speed.
        speed: share of full speed, 0 to 1.
        direction: 1 if it pushes along the path, -1 against it.
    """

    curve: PumpCurve
    speed: float
    direction: int


class FlowPath(NamedTuple):
    """A path of the coolant; every resistance at the low, usual and high end of what is known of it.

    Attributes:
        squares: sum of K / d^4 [1/mm^4].
        slopes: sum of K1 / d^3 [1/mm^3].
        powers: exponent -> drop of reference water at 1 l/min [kPa].
        tubes: bore [mm] and roughness [mm] -> length [mm].
        flat_tubes: paths through radiators -> share of their friction.
        pumps: pumps.
    """

    squares: LowUsualHigh = NOTHING
    slopes: LowUsualHigh = NOTHING
    powers: Mapping[float, LowUsualHigh] = MappingProxyType({})
    tubes: Mapping[tuple[float, float], float] = MappingProxyType({})
    flat_tubes: Mapping[FlatTubes, LowUsualHigh] = MappingProxyType({})
    pumps: tuple[RunningPump, ...] = ()

    def times(self, factor: float) -> FlowPath:
        """Return the path with every resistance some times as great; pumps as they are.

        Args:
            factor: times [-], above 0.
        """
        return FlowPath(
            _scaled(self.squares, factor),
            _scaled(self.slopes, factor),
            {exponent: _scaled(values, factor) for exponent, values in self.powers.items()},
            {kind: factor * length for kind, length in self.tubes.items()},
            {tubes: _scaled(values, factor) for tubes, values in self.flat_tubes.items()},
            self.pumps,
        )

    def at_speed(self, share: float) -> FlowPath:
        """Return the path with all its pumps at a share of the speed they have.

        Args:
            share: of their speed, 0 (dead) or above; none passes its full speed.
        """
        pumps = tuple(pump._replace(speed=min(share * pump.speed, 1.0)) for pump in self.pumps)
        return FlowPath(self.squares, self.slopes, self.powers, self.tubes, self.flat_tubes, pumps)

    def element(self, coolant: Coolant, restriction: Restriction) -> PathElement:
        """Return the path as one element of a network.

        Args:
            coolant: what flows.
            restriction: which end of what is known is taken.

        Validity and source: as the formulas it is made of: `local_drop_kpa`, `reference_drop_kpa`, `tube_drop_kpa`,
        `flat_tube_drop_kpa`, `head_kpa`.
        """
        place, half = _PLACE[restriction], _VELOCITY / 2 * 1e-3
        reference = water_at(REFERENCE_C)
        return PathElement(
            self.squares[place] * coolant.density_kg_per_m3 * _VELOCITY * half,
            self.slopes[place] * coolant.dynamic_viscosity_mpa_s * half,
            [(n, values[place] * coolant_factor(n, reference, coolant)) for n, values in self.powers.items()],
            [tube_friction(bore, length, roughness, coolant) for (bore, roughness), length in self.tubes.items()],
            [(tubes, values[place]) for tubes, values in self.flat_tubes.items()],
            self.pumps,
            coolant,
        )


class PathElement(NamedTuple):
    """A path with the coolant that flows."""

    square: float
    slope: float
    powers: Sequence[tuple[float, float]]
    tubes: Sequence[TubeFriction]
    flat_tubes: Sequence[tuple[FlatTubes, float]]
    pumps: tuple[RunningPump, ...]
    coolant: Coolant

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return the pressure it takes [kPa]; negative where its pumps push more than it takes."""
        size = abs(flow_l_min)
        taken = (self.square * size + self.slope) * size
        for exponent, drop in self.powers:
            taken += drop * size**exponent
        for tube in self.tubes:
            taken += tube.drop_kpa(size)
        for tubes, share in self.flat_tubes:
            taken += share * flat_tube_drop_kpa(size, tubes, self.coolant)
        drop = taken if flow_l_min >= 0 else -taken
        for pump in self.pumps:
            drop -= pump.direction * head_kpa(pump.curve, pump.direction * flow_l_min, pump.speed)
        return drop


def joined(paths: Iterable[tuple[FlowPath, int]]) -> FlowPath:
    """Return paths in series as one.

    Args:
        paths: each with 1 if it is gone along from its start to its end, -1 if backwards.

    Source: drops in series sum.

    >>> path = FlowPath(powers={2.0: (1.0, 2.0, 3.0)})
    >>> dict(joined([(path, 1), (path, -1)]).powers)
    {2.0: (2.0, 4.0, 6.0)}
    """
    squares, slopes = NOTHING, NOTHING
    powers: dict[float, LowUsualHigh] = {}
    tubes: dict[tuple[float, float], float] = {}
    flats: dict[FlatTubes, LowUsualHigh] = {}
    pumps: list[RunningPump] = []
    for path, sign in paths:
        if path.squares is not NOTHING:
            squares = _sum(squares, path.squares)
        if path.slopes is not NOTHING:
            slopes = _sum(slopes, path.slopes)
        for exponent, values in path.powers.items():
            powers[exponent] = _sum(powers.get(exponent, NOTHING), values)
        for kind, length in path.tubes.items():
            tubes[kind] = tubes.get(kind, 0.0) + length
        for tubes_path, values in path.flat_tubes.items():
            flats[tubes_path] = _sum(flats.get(tubes_path, NOTHING), values)
        pumps += path.pumps if sign > 0 else [pump._replace(direction=-pump.direction) for pump in path.pumps]
    return FlowPath(squares, slopes, powers, tubes, flats, tuple(pumps))


def local_path(coefficients: LowUsualHigh, laminar: LowUsualHigh, bore_mm: float) -> FlowPath:
    """Return a loss on a bore.

    Args:
        coefficients: K on the bore.
        laminar: K1 on the bore.
        bore_mm: d [mm], above 0.

    Raises:
        ZeroDivisionError: if the bore is 0.
    """
    return FlowPath(_scaled(coefficients, bore_mm**-4), _scaled(laminar, bore_mm**-3))


def measured_path(flow_l_min: float, drops_kpa: LowUsualHigh, exponent: float) -> FlowPath:
    """Return a part known by one point.

    Args:
        flow_l_min: flow of the point [l/min], above 0.
        drops_kpa: drop of reference water there [kPa].
        exponent: of the power law through the point.

    Raises:
        ZeroDivisionError: if the flow is 0.
    """
    return FlowPath(powers={exponent: _scaled(drops_kpa, flow_l_min**-exponent)})


def _scaled(values: LowUsualHigh, factor: float) -> LowUsualHigh:
    return values[0] * factor, values[1] * factor, values[2] * factor


def _sum(one: LowUsualHigh, other: LowUsualHigh) -> LowUsualHigh:
    return one[0] + other[0], one[1] + other[1], one[2] + other[2]
