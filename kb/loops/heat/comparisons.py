"""How much it matters: half the flow, another order, glycol, fin density, thickness.

Owns: which cases are compared with the loop as asked, and what of them is reported. Does not own: solving them
(`kb/loops/heat/state.py`) or words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.flow.flow_paths import Branch, Link
from kb.formulas.heat.temperatures import surface_temperature_c
from kb.formulas.solvers.root_bracket import root
from kb.loops.coolant import LoopCoolant
from kb.loops.heat.radiators import RadiatorSetup
from kb.loops.heat.sources import HeatSource
from kb.loops.heat.state import HeatCase, SolvedHeat, solve_heat, with_flows
from kb.loops.heat.variants import at_share, main_radiator, other_core, with_flow_times, with_setups
from kb.store.snapshot import Snapshot
from schemas.tables.radiators import FinDensity, Radiator

HALF = 0.5
_CLOSE_RPM = 2.0
_CLOSE_DIGITS = 6  # of kelvins: what differs by less changes alike, and the first is named


class Compared(NamedTuple):
    """One case beside the loop as asked.

    Attributes:
        case: its name.
        delta_t_k: coolant-to-air temperature difference in it.
        change_k: that less the loop as asked.
        part: the cooled part that changes most.
        part_change_k: how much; its surface, or its coolant if nobody knows the block.
        flow_l_min: greatest flow of a cooled part in it.
        causes: what it is made of, in kelvin; empty if it is one thing.
    """

    case: str
    delta_t_k: float
    change_k: float
    part: str | None
    part_change_k: float | None
    flow_l_min: float | None
    causes: Mapping[str, float]


class Comparison(NamedTuple):
    """Cases of one subject.

    Attributes:
        subject: `half-flow`, `order`, `glycol`, `fin-density` or `thickness`.
        cases: the cases.
        crossover_rpm: speed of the fans at which the cases are equal.
        radiator: the radiator that was changed.
    """

    subject: str
    cases: tuple[Compared, ...]
    crossover_rpm: float | None = None
    radiator: str | None = None


class Asked(NamedTuple):
    """The loop as asked, solved.

    Attributes:
        case: what decides its temperatures.
        solved: its temperatures; coolant reaches a radiator.
        delta_t_k: coolant-to-air temperature difference.
        sources: its cooled parts.
    """

    case: HeatCase
    solved: SolvedHeat
    delta_t_k: float
    sources: Sequence[HeatSource]


def part_temperatures(sources: Sequence[HeatSource], case: HeatCase, solved: SolvedHeat) -> dict[str, float]:
    """Return the likely surface of each cooled part, or the coolant that enters its block where nobody knows it.

    Args:
        sources: the cooled parts.
        case: the loop.
        solved: its temperatures; parts without flow are left out.
    """
    found = {}
    for source in sources:
        entering = solved.state.inlets_c.get(source.name)
        if entering is None:
            continue
        likely = 0.0
        if source.resistance is not None:
            likely = source.resistance.at_flow(abs(case.flows_l_min[source.name]))[1]
        found[source.name] = surface_temperature_c(entering, source.heat_w, likely)
    return found


def compared(
    asked: Asked, name: str, case: HeatCase, solved: SolvedHeat, causes: Mapping[str, float] | None = None
) -> Compared | None:
    """Return a case beside the loop as asked, `None` if no coolant reaches a radiator in it.

    Args:
        asked: the loop as asked.
        name: of the case.
        case: what decides its temperatures.
        solved: its temperatures.
        causes: what its change is made of [K].
    """
    if solved.delta_t_k is None:
        return None
    before = part_temperatures(asked.sources, asked.case, asked.solved)
    after = part_temperatures(asked.sources, case, solved)
    changes = {part: after[part] - before[part] for part in before if part in after}
    most = max(changes, key=lambda part: round(abs(changes[part]), _CLOSE_DIGITS), default=None)
    flows = [abs(case.flows_l_min[source.name]) for source in asked.sources if source.name in case.flows_l_min]
    return Compared(
        case=name,
        delta_t_k=solved.delta_t_k,
        change_k=solved.delta_t_k - asked.delta_t_k,
        part=most,
        part_change_k=changes[most] if most is not None else None,
        flow_l_min=max(flows, default=None),
        causes=causes or {},
    )


def compare_half_flow(asked: Asked) -> Comparison:
    """Return the loop at half its flow.

    Args:
        asked: the loop as asked.

    Validity: all flows halve alike, as they do when the pumps turn slower.
    """
    case = with_flow_times(asked.case, HALF)
    one = compared(asked, "half the flow", case, solve_heat(case))
    return Comparison("half-flow", (one,) if one is not None else ())


def compare_order(asked: Asked) -> Comparison:
    """Return the loop with the coolant going round the other way, and if all stands in one ring, with the cooled parts
    one after the other.

    Args:
        asked: the loop as asked. Flows are left as they are.
    """
    around = with_flow_times(asked.case, -1)
    cases = [compared(asked, "the other way round", around, solve_heat(around))]
    ring = _ring(asked.case.flow_graph.links)
    if ring is not None:
        together = _reordered(asked.case, _sources_together(ring, asked.case))
        cases.append(compared(asked, "cooled parts one after the other", together, solve_heat(together)))
    return Comparison("order", tuple(case for case in cases if case is not None))


def _ring(links: Sequence[Link]) -> list[Link] | None:
    """Return the links in the order of the flow if all of them make one single ring."""
    after = {link.start: link for link in links}
    if not links or len(after) < len(links):
        return None
    ring = [links[0]]
    while ring[-1].end in after and after[ring[-1].end] is not ring[0] and len(ring) <= len(links):
        ring.append(after[ring[-1].end])
    return ring if len(ring) == len(links) else None


def _sources_together(ring: Sequence[Link], case: HeatCase) -> list[Link]:
    """Return the links with everything that rejects heat behind everything else."""
    return [link for link in ring if link.name not in case.setups] + [link for link in ring if link.name in case.setups]


def _reordered(case: HeatCase, order: Sequence[Link]) -> HeatCase:
    last = len(order) - 1
    branches = tuple(
        Branch(link.name, f"place {index}", f"place {index + 1 if index < last else 0}")
        for index, link in enumerate(order)
    )
    return with_flows(case, {link.name: link.flow_l_min for link in order}, branches)


class OtherCoolant(NamedTuple):
    """Another coolant for the loop as asked.

    Attributes:
        name: what to call it.
        coolant: its properties.
        flows_l_min: what flows then.
    """

    name: str
    coolant: LoopCoolant
    flows_l_min: Mapping[str, float]


def compare_glycol(asked: Asked, water: OtherCoolant, others: Sequence[OtherCoolant]) -> Comparison:
    """Return the loop with water and with glycols, and what their penalty over water is made of.

    Args:
        asked: the loop as asked.
        water: water in it.
        others: glycols in it.

    Validity: what glycol does to the film inside blocks is known only as far as the flow falls.
    """
    mean = asked.case.coolant.temperature_c
    plain = with_flows(asked.case, water.flows_l_min)._replace(coolant=water.coolant.at(mean))
    base = solve_heat(plain)
    cases = [compared(asked, water.name, plain, base)]
    for other in others:
        cases.append(_glycol_case(asked, plain, base, other))
    return Comparison("glycol", tuple(case for case in cases if case is not None))


def _glycol_case(asked: Asked, plain: HeatCase, base: SolvedHeat, other: OtherCoolant) -> Compared | None:
    """Change flow, film and capacity one after the other, so that their parts add up to the whole."""
    water, glycol = plain.coolant, other.coolant.at(plain.coolant.temperature_c)
    flowing = with_flows(plain, other.flows_l_min)
    steps = {
        "flow": flowing,
        "film": flowing._replace(coolant=_film_of(glycol, water)),
        "capacity": flowing._replace(coolant=glycol),
    }
    before, causes = base.delta_t_k, {}
    for name, case in steps.items():
        solved = solve_heat(case)
        if solved.delta_t_k is None or before is None:
            return None
        causes[name] = solved.delta_t_k - before
        before = solved.delta_t_k
    return compared(asked, other.name, case, solved, causes)


def _film_of(glycol: Coolant, water: Coolant) -> Coolant:
    """Return a coolant that wets like the one and carries heat like the other."""
    return water._replace(
        dynamic_viscosity_mpa_s=glycol.dynamic_viscosity_mpa_s,
        thermal_conductivity_w_per_m_k=glycol.thermal_conductivity_w_per_m_k,
    )


def compare_fin_density(snapshot: Snapshot, asked: Asked) -> Comparison | None:
    """Return the radiator that rejects most with low and with high fin density, and the speed at which both are equal.

    Args:
        snapshot: the knowledge.
        asked: the loop as asked. `None` if no radiator rejects heat.
    """
    main = main_radiator(asked.case, asked.solved)
    if main is None or main.row is None:
        return None
    setups = {
        density: other_core(asked.case.radiators, main, replace(main.row, fins_per_inch=fins, fin_density=density))
        for density, fins in _densities(snapshot).items()
        if density is not FinDensity.MEDIUM
    }
    cases = _cores(asked, {f"{density.value} fin density": setup for density, setup in setups.items()})
    meet = _crossover_rpm(asked, setups[FinDensity.LOW], setups[FinDensity.HIGH])
    return Comparison("fin-density", tuple(cases), meet, main.name)


def _densities(snapshot: Snapshot) -> dict[FinDensity, float]:
    """Return the fins per inch that the tables give each density."""
    return snapshot.derive(
        ("fin-densities",), lambda: {row.fin_density: row.fins_per_inch for row in snapshot.active(Radiator)}
    )


def compare_thickness(snapshot: Snapshot, asked: Asked) -> Comparison | None:
    """Return the radiator that rejects most in the next larger thickness, and the speed from which that helps.

    Args:
        snapshot: the knowledge.
        asked: the loop as asked. `None` if no radiator rejects heat or the tables hold none that is thicker.
    """
    main = main_radiator(asked.case, asked.solved)
    thicker = thicker_rows(snapshot, main.row) if main is not None and main.row is not None else ()
    if main is None or not thicker:
        return None
    setup = other_core(
        asked.case.radiators, main, replace(thicker[0], fins_per_inch=main.row.fins_per_inch if main.row else 0.0)
    )
    cases = _cores(asked, {f"{thicker[0].thickness_mm:g} mm thick": setup})
    return Comparison("thickness", tuple(cases), _crossover_rpm(asked, main, setup), main.name)


def thicker_rows(snapshot: Snapshot, row: Radiator) -> tuple[Radiator, ...]:
    """Return thicker cores for the same fans with the nearest number of fins, the thinnest first.

    Args:
        snapshot: the knowledge.
        row: the core.
    """
    alike = [
        one
        for one in snapshot.active(Radiator)
        if (one.fan_size_mm, one.fans) == (row.fan_size_mm, row.fans) and one.thickness_mm > row.thickness_mm
    ]
    best: dict[float, Radiator] = {}
    for one in sorted(alike, key=lambda other: abs(other.fins_per_inch - row.fins_per_inch)):
        best.setdefault(one.thickness_mm, one)
    return tuple(best[thickness] for thickness in sorted(best))


def _cores(asked: Asked, setups: Mapping[str, RadiatorSetup]) -> Iterator[Compared]:
    for name, setup in setups.items():
        case = with_setups(asked.case, [setup])
        found = compared(asked, name, case, solve_heat(case))
        if found is not None:
            yield found


def _crossover_rpm(asked: Asked, one: RadiatorSetup, other: RadiatorSetup) -> float | None:
    """Return the speed at which two radiators reject alike, `None` if there is none within the range of their fans."""
    fans = one.fans
    if fans is None:
        return None
    first, second = (_conductance_at(asked, setup) for setup in (one, other))
    least = min(fans.row.speed_min_rpm, fans.speed_max_rpm)
    return root(lambda rpm: first(rpm) - second(rpm), least, fans.speed_max_rpm, _CLOSE_RPM)


def _conductance_at(asked: Asked, setup: RadiatorSetup) -> Callable[[float], float]:
    air_c, flow = asked.solved.state.air_in_c[setup.name], asked.case.flows_l_min[setup.name]

    def conductance(rpm: float) -> float:
        assert setup.fans is not None
        turning = setup._replace(fans=at_share(setup.fans, rpm / setup.fans.speed_max_rpm))
        state = asked.case.radiators.state(turning, asked.case.coolant, flow, air_c)
        return state.conductance_w_per_k if state is not None else 0.0

    return conductance
