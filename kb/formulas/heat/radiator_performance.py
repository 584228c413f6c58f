"""One radiator with its fans: air flow, pressure and heat, computed without judging.

Owns: bringing core, fans, air and coolant together. Does not own: the formulas (their own files), how sure the result
is (`kb/loops/heat/uncertainty_inputs.py`), or what it means for a loop.
Each fan serves its own section of the core. A section without a running fan moves no heat: what little warm air rises
through it by itself is left out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.heat.air_properties import Air, air_at
from kb.formulas.heat.air_side import air_conductance, duct_film, louvered_film
from kb.formulas.heat.coolant_film import CoolantFilm, coolant_film
from kb.formulas.heat.core_resistance import CoreDrag, core_drag, louver_reynolds, obstacle_drop_pa
from kb.formulas.heat.effectiveness import Section, exchange, series_conductance
from kb.formulas.heat.fan_curve import FanCurve, curve_at_speed
from kb.formulas.heat.fin_core import CoreDimensions, FinCore, core_of, share_of_core
from kb.formulas.heat.louver_fin import LOWEST_HEAT_REYNOLDS, LouverFactors, louver_factors
from kb.formulas.heat.operating_point import OperatingPoint, operating_point

_HOUR_S = 3600.0
_L_MIN_PER_M3_S = 60_000.0
COLDEST_AIR_C, HOTTEST_AIR_C = -40.0, 150.0  # no air at a computer lies beyond
_USUAL_SHARE = 0.6  # of its free delivery that a fan brings through a core: where the search begins

Points = tuple[OperatingPoint | None, ...]


@dataclass(frozen=True, slots=True, eq=False)
class RadiatorModel:
    """A radiator with everything worked out that does not depend on air or coolant; only equal to itself.

    Attributes:
        core: areas of the whole core.
        factors: its correlations.
        fin_conductivity_w_per_m_k: conductivity of the fins.
        fans: sections, one for each fan of a face.
    """

    core: FinCore
    factors: LouverFactors
    fin_conductivity_w_per_m_k: float
    fans: int

    @property
    def section_m2(self) -> float:
        """Face that one fan serves [m2]."""
        return self.core.face_m2 / self.fans


class Inflow(NamedTuple):
    """What arrives at a radiator.

    Attributes:
        air_c: temperature of the air [degC].
        coolant: the coolant as it enters.
        coolant_flow_l_min: its flow [l/min].
        obstacle_loss: loss of filters and grilles, referred to the speed before the section's face [-].
    """

    air_c: float
    coolant: Coolant
    coolant_flow_l_min: float
    obstacle_loss: float = 0.0


class Setting(NamedTuple):
    """What of the computation is uncertain, at one choice.

    Attributes:
        coverage: share of a section that carries air [-].
        heat_scale: film coefficient over that of the correlation [-].
        friction_scale: friction factor over that of the correlation [-].
        fan_scale: speed of the fans over the stated speed [-].
        slow_air_follows_fins: below the range of the correlation the louvers do nothing.
    """

    coverage: float
    heat_scale: float = 1.0
    friction_scale: float = 1.0
    fan_scale: float = 1.0
    slow_air_follows_fins: bool = False


class RadiatorState(NamedTuple):
    """What a radiator does.

    Attributes:
        points: flow and pressure of each section, none for a fan that stands still.
        louver_reynolds: of the fastest section; the heat correlation holds from 100 to 3000.
        air_capacity_w_per_k: mass flow times heat capacity of all air; no radiator exceeds it.
        air_film_w_per_k: conductance from fins to air.
        coolant_film: what the coolant does in the tubes.
        conductance_w_per_k: heat over the difference of the temperatures at which coolant and air enter.
        effectiveness: heat over the most that the lesser stream could take or give [-].
        heat_w: heat at these temperatures; below 0 if the air is warmer.
        air_out_c: mean temperature of the leaving air.
        coolant_out_c: temperature of the leaving coolant.
    """

    points: Points
    louver_reynolds: float
    air_capacity_w_per_k: float
    air_film_w_per_k: float
    coolant_film: CoolantFilm
    conductance_w_per_k: float
    effectiveness: float
    heat_w: float
    air_out_c: float
    coolant_out_c: float

    @property
    def air_flow_m3_per_h(self) -> float:
        """All air [m3/h]."""
        return sum(point.flow_m3_per_s for point in self.points if point) * _HOUR_S

    @property
    def resistance_shares(self) -> ResistanceShares:
        """What of the resistance to heat is due to what; the largest part is what limits."""
        if self.conductance_w_per_k <= 0:
            return ResistanceShares(0.0, 0.0, 1.0)
        air = self.conductance_w_per_k / self.air_film_w_per_k
        coolant = self.conductance_w_per_k / self.coolant_film.conductance_w_per_k
        return ResistanceShares(air, coolant, 1 - air - coolant)


class ResistanceShares(NamedTuple):
    """Shares of the whole resistance from entering coolant to entering air [-]; they sum to 1.

    Attributes:
        core: film between fins and air: more or better fins would help.
        coolant: film inside the tubes: more coolant flow would help.
        air: warming of the air (and cooling of the coolant) on their way: more air would help.
    """

    core: float
    coolant: float
    air: float


def prepare_radiator(radiator: CoreDimensions, fans: int, fin_conductivity: float) -> RadiatorModel:
    """Work out what does not depend on air or coolant.

    Args:
        radiator: its dimensions.
        fans: how many fans cover one face.
        fin_conductivity: of the fin material [W/(m K)], above 0.

    Raises:
        ValueError: if the fins are outside the friction correlation.
    """
    core = core_of(radiator)
    return RadiatorModel(core, louver_factors(core.fin), fin_conductivity, fans)


def solve_radiator(
    model: RadiatorModel, fans: Sequence[FanCurve | None], inflow: Inflow, setting: Setting
) -> RadiatorState:
    """Return air flow, pressure and heat of a radiator with its fans.

    Args:
        model: the radiator.
        fans: for each section the curve of its fan or fans at their speed (push and pull: `in_series`), `None` for a
            fan that stands still or is missing. Fewer curves than sections leave the rest without air.
        inflow: air and coolant as they arrive.
        setting: the uncertain things at one choice.

    Raises:
        ValueError: if there are more fans than sections.
        NoBalanceError: if a fan and its section find no balance.

    Validity: steady state; dry air and properties at the entering temperatures, beyond `COLDEST_AIR_C` and
    `HOTTEST_AIR_C` those of the nearer end; radiating heat left out.
    Source: balance of pressures for each section, effectiveness and transfer units for the heat.
    """
    return RadiatorSolver().solve(model, fans, inflow, setting)


class RadiatorSolver:
    """Solves radiators, each part of the work once for equal inputs: air without coolant, coolant without air, both.

    It keeps all it found, so it is made anew for each question. Radiators and curves count as equal if they are the
    same object.
    """

    def __init__(self) -> None:
        self._points: dict[tuple[RadiatorModel, FanCurve, float, float, Setting], OperatingPoint] = {}
        self._shares: dict[RadiatorModel, float] = {}
        self._airs: dict[float, Air] = {}
        self._parts: dict[tuple[RadiatorModel, float], FinCore] = {}
        self._drags: dict[tuple[RadiatorModel, float, float, float], CoreDrag] = {}
        self._sides: dict[tuple[RadiatorModel, Points, float, Setting], AirSide] = {}
        self._films: dict[tuple[RadiatorModel, Coolant, float], CoolantFilm] = {}
        self._states: dict[tuple[RadiatorModel, tuple[FanCurve | None, ...], Inflow, Setting], RadiatorState] = {}

    def solve(
        self, model: RadiatorModel, fans: Sequence[FanCurve | None], inflow: Inflow, setting: Setting
    ) -> RadiatorState:
        """Return what a radiator does; see `solve_radiator`."""
        key = model, tuple(fans), inflow, setting
        state = self._states.get(key)
        if state is None:
            state = self._states[key] = self.heat_at(model, self._balanced(*key), inflow, setting)
        return state

    def heat_at(self, model: RadiatorModel, points: Points, inflow: Inflow, setting: Setting) -> RadiatorState:
        """Return what a radiator does with the air that its sections get.

        Args:
            model: the radiator.
            points: flow and pressure of each section.
            inflow: air and coolant as they arrive.
            setting: the uncertain things at one choice.

        Validity and source: as `solve_radiator`.
        """
        at_air = model, points, inflow.air_c, setting
        side = self._sides.get(at_air)
        if side is None:
            air, part = self._air(inflow.air_c), self._part(model, setting.coverage)
            side = self._sides[at_air] = _air_side(model, points, air, setting, part)
        at_coolant = model, inflow.coolant, inflow.coolant_flow_l_min
        film = self._films.get(at_coolant)
        if film is None:
            film = self._films[at_coolant] = coolant_film(model.core, inflow.coolant, inflow.coolant_flow_l_min)
        return _state(model, side, film, inflow, setting)

    def _balanced(
        self, model: RadiatorModel, fans: Sequence[FanCurve | None], inflow: Inflow, setting: Setting
    ) -> Points:
        """Return flow and pressure of each section, `None` for a fan that stands still."""
        if len(fans) > model.fans:
            raise ValueError(f"{len(fans)} fans on {model.fans} sections")
        solved = {fan: self._point(model, fan, inflow, setting) for fan in set(fans) if fan is not None}
        return tuple([solved[fan] if fan is not None else None for fan in fans])

    def _point(self, model: RadiatorModel, fan: FanCurve, inflow: Inflow, setting: Setting) -> OperatingPoint:
        key = model, fan, inflow.air_c, inflow.obstacle_loss, setting
        point = self._points.get(key)
        if point is None:
            share = self._shares.get(model, _USUAL_SHARE)
            before = obstacle_drop_pa(inflow.obstacle_loss, model.section_m2, self._air(inflow.air_c), 1.0)
            drag = self._drag(model, inflow.air_c, setting)
            point = self._points[key] = _section_point(fan, drag, before, setting.fan_scale, share)
            self._shares[model] = point.flow_m3_per_s / fan.free_flow_m3_per_s
        return point

    def _drag(self, model: RadiatorModel, air_c: float, setting: Setting) -> CoreDrag:
        """Return what the part of a core that one fan serves takes from the air."""
        key = model, air_c, setting.coverage, setting.friction_scale
        drag = self._drags.get(key)
        if drag is None:
            part = self._part(model, setting.coverage)
            drag = self._drags[key] = core_drag(part, model.factors, self._air(air_c), setting.friction_scale)
        return drag

    def _air(self, temperature_c: float) -> Air:
        air = self._airs.get(temperature_c)
        if air is None:
            bounded = min(max(temperature_c, COLDEST_AIR_C), HOTTEST_AIR_C)
            air = self._airs[temperature_c] = air_at(bounded)
        return air

    def _part(self, model: RadiatorModel, coverage: float) -> FinCore:
        """Return what carries air of the part of a core that one fan serves."""
        part = self._parts.get((model, coverage))
        if part is None:
            part = self._parts[model, coverage] = share_of_core(model.core, coverage / model.fans)
        return part


def _section_point(fan: FanCurve, drag: CoreDrag, before: float, fan_scale: float, share: float) -> OperatingPoint:
    """Return where a fan agrees with its section and what is before that; the share of its free delivery is a guess."""
    taken = drag.pressure_pa

    def resistance(flow: float) -> float:
        return taken(flow) + before * flow * flow

    turning = curve_at_speed(fan, fan_scale) if fan_scale != 1 else fan
    return operating_point(turning, resistance, share * turning.free_flow_m3_per_s)


class AirSide(NamedTuple):
    """What the air does at a radiator, whatever the coolant.

    Attributes:
        points: flow and pressure of each section.
        sections: conductance from fins to air and heat capacity flow of a section with air [W/K], and how many of the
            kind there are.
        louver_reynolds: of the fastest section.
    """

    points: Points
    sections: tuple[tuple[float, float, int], ...]
    louver_reynolds: float


def _air_side(model: RadiatorModel, points: Points, air: Air, setting: Setting, part: FinCore) -> AirSide:
    heavy = air.density_kg_per_m3 * air.heat_capacity_j_per_kg_k
    flows: dict[float, int] = {}
    for point in points:
        if point is not None and point.flow_m3_per_s > 0:
            flows[point.flow_m3_per_s] = flows.get(point.flow_m3_per_s, 0) + 1
    sections = [
        (_air_conductance(model, part, air, flow, setting), flow * heavy, count) for flow, count in flows.items()
    ]
    fastest = louver_reynolds(part, air, max(flows)) if flows else 0.0
    return AirSide(points, tuple(sections), fastest)


def _state(model: RadiatorModel, side: AirSide, film: CoolantFilm, inflow: Inflow, setting: Setting) -> RadiatorState:
    coolant, air_c = inflow.coolant, inflow.air_c
    inner = film.conductance_w_per_k * setting.coverage / model.fans
    carried = coolant.density_kg_per_m3 * coolant.heat_capacity_j_per_kg_k
    carried *= inflow.coolant_flow_l_min / _L_MIN_PER_M3_S
    air_capacity = sum([capacity * count for _, capacity, count in side.sections])
    sections: list[Section] = []
    for outer, capacity, count in side.sections:
        sections += [Section(series_conductance(outer, inner), capacity)] * count
    moved = exchange(sections, carried, model.core.passes)
    heat = moved.conductance_w_per_k * (coolant.temperature_c - air_c)
    return RadiatorState(
        points=side.points,
        louver_reynolds=side.louver_reynolds,
        air_capacity_w_per_k=air_capacity,
        air_film_w_per_k=sum([outer * count for outer, _, count in side.sections]),
        coolant_film=film,
        conductance_w_per_k=moved.conductance_w_per_k,
        effectiveness=moved.effectiveness,
        heat_w=heat,
        air_out_c=air_c + (heat / air_capacity if air_capacity > 0 else 0.0),
        coolant_out_c=coolant.temperature_c - (heat / carried if carried > 0 else 0.0),
    )


def _air_conductance(model: RadiatorModel, part: FinCore, air: Air, flow: float, setting: Setting) -> float:
    louvered = louvered_film(part, model.factors, air, flow) * setting.heat_scale
    duct = duct_film(part, air)
    if setting.slow_air_follows_fins and louver_reynolds(part, air, flow) < LOWEST_HEAT_REYNOLDS:
        film = min(louvered, duct)
    else:
        film = max(louvered, duct)
    return air_conductance(part, film, model.fin_conductivity_w_per_m_k)
