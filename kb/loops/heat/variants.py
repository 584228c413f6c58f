"""A loop with one thing otherwise: other fans, another radiator, other flows, another heat.

Owns: making such a loop from the one that was asked about. Does not own: which changes are looked at
(`kb/loops/heat/remedies.py`, `kb/loops/heat/comparisons.py`) or solving them.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from kb.formulas.flow.flow_paths import Branch
from kb.formulas.heat.fan_coverage import coverage_of
from kb.formulas.heat.fan_laws import sound_at_speed, sounds_together
from kb.loops.heat.radiator_cache import RadiatorStates
from kb.loops.heat.radiators import FanSetup, RadiatorSetup, table_curve
from kb.loops.heat.state import HeatCase, SolvedHeat, with_flows
from kb.store.snapshot import Snapshot
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator

SECOND = " (second)"
_EQUAL_DIGITS = 6  # of a watt: beyond them rounding would choose between equal radiators


def with_setups(case: HeatCase, setups: Iterable[RadiatorSetup]) -> HeatCase:
    """Return a loop with some radiators set up otherwise.

    Args:
        case: the loop.
        setups: these radiators.
    """
    return case._replace(setups={**case.setups, **{setup.name: setup for setup in setups}})


def with_fans(case: HeatCase, change: Callable[[FanSetup], FanSetup]) -> HeatCase:
    """Return a loop with the fans of all radiators that have any changed alike.

    Args:
        case: the loop.
        change: makes the new fans of a radiator from the old ones.
    """
    return with_setups(
        case, [one._replace(fans=change(one.fans)) for one in case.setups.values() if one.fans is not None]
    )


def at_share(fans: FanSetup, share: float) -> FanSetup:
    """Return fans at a share of their greatest speed.

    Args:
        fans: the fans.
        share: new over greatest speed [-].
    """
    return fans._replace(speed_rpm=share * fans.speed_max_rpm)


def other_fans(snapshot: Snapshot, fans: FanSetup, row: Fan, share: float) -> FanSetup:
    """Return archetype fans in place of others, in the same places.

    Args:
        snapshot: the knowledge.
        fans: the old ones.
        row: the new ones, of the same size.
        share: new over their greatest speed [-].
    """
    return fans._replace(
        row=row,
        curve=table_curve(snapshot, row),
        speed_rpm=share * row.speed_max_rpm,
        speed_max_rpm=row.speed_max_rpm,
        sound_level_db=sound_at_speed(row.sound_level_dba, row.speed_max_rpm / row.sound_speed_rpm),
    )


def other_core(states: RadiatorStates, setup: RadiatorSetup, row: Radiator) -> RadiatorSetup:
    """Return another core of the same fan size with the same fans, as many as fit.

    Args:
        states: knows the cores of this question.
        setup: the radiator with its fans.
        row: the other core.

    Raises:
        ValueError: if its fins are outside the correlations, or the radiator is not one that rejects heat.
    """
    if setup.model is None or setup.row is None or setup.fans is None:
        raise ValueError(f"{setup.name} rejects no heat that could be compared")
    model = states.model(row, setup.model.fin_conductivity_w_per_m_k)
    more = row.fans - setup.row.fans
    fans = setup.fans._replace(sections=max(setup.fans.sections + more, setup.fans.stopped))
    coverage = coverage_of(fans.row, model.section_m2)
    return setup._replace(title=row.title, row=row, model=model, fans=fans, coverage=coverage)


def with_second(case: HeatCase, name: str, flows_l_min: Mapping[str, float]) -> HeatCase:
    """Return a loop with a second radiator like one of its own behind it, in fresh air.

    Args:
        case: the loop.
        name: the radiator.
        flows_l_min: branches of the loop -> flow then [l/min].
    """
    second = case.setups[name]._replace(name=name + SECOND, air_c=case.air_c, air_from={})
    branches: list[Branch] = []
    for branch in case.branches:
        if branch.name == name:
            middle = branch.end + SECOND
            branches += [branch._replace(end=middle), branch._replace(name=second.name, start=middle)]
        else:
            branches.append(branch)
    flows = {**flows_l_min, second.name: flows_l_min[name]}
    return with_setups(with_flows(case, flows, tuple(branches)), [second])


def with_flow_times(case: HeatCase, times: float) -> HeatCase:
    """Return a loop with all flows multiplied.

    Args:
        case: the loop.
        times: factor; negative turns the flow around.
    """
    return with_flows(case, {name: flow * times for name, flow in case.flows_l_min.items()})


def with_heat_times(case: HeatCase, names: Iterable[str], times: float) -> HeatCase:
    """Return a loop with the heat of some parts multiplied.

    Args:
        case: the loop.
        names: these parts.
        times: factor.
    """
    return case._replace(heats_w={**case.heats_w, **{name: case.heats_w[name] * times for name in names}})


def loudness_db(case: HeatCase) -> float | None:
    """Return the level of all running fans together [dB], none if none runs.

    Args:
        case: the loop.

    Validity and source: as `kb.formulas.heat.fan_laws`.
    """
    levels = [setup.fans.sound_db for setup in case.setups.values() if setup.fans is not None]
    known = [level for level in levels if level is not None]
    return sounds_together(known) if known else None


def main_radiator(case: HeatCase, solved: SolvedHeat) -> RadiatorSetup | None:
    """Return the radiator that rejects most heat, of equal ones the first; none if none rejects any.

    Args:
        case: the loop.
        solved: its temperatures.
    """
    rejected = {name: round(solved.state.rejected_w.get(name, 0.0), _EQUAL_DIGITS) for name in solved.radiators}
    return case.setups[max(rejected, key=lambda name: rejected[name])] if rejected else None
