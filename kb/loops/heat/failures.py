"""What the temperatures become if something fails: a pump, a fan, a clean filter.

Owns: which failures are looked at. Does not own: solving (`kb/loops/heat/state.py`), what flows then
(`kb/loops/heat/flows.py`) or words.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from kb.loops.flow.network import PumpsAt
from kb.loops.heat.comparisons import Asked
from kb.loops.heat.flows import HeatFlows
from kb.loops.heat.radiators import obstacles_loss
from kb.loops.heat.state import HeatCase, solve_heat, with_flows
from kb.loops.heat.variants import with_setups

PUMP_DEAD, FAN_STOPPED, FILTER_CLOGGED = "pump-dead", "fan-stopped", "filter-clogged"
MOST_RADIATORS = 6  # looked at one by one
_FILTER = "filter"


class HeatFailure(NamedTuple):
    """One failure, solved.

    Attributes:
        what: `pump-dead`, `fan-stopped` or `filter-clogged`.
        part: the part that fails.
        delta_t_k: coolant-to-air temperature difference then; `None` if the coolant no longer carries the heat of every
            part away.
        change_k: against the loop as asked.
        hottest_c: warmest coolant then.
    """

    what: str
    part: str
    delta_t_k: float | None
    change_k: float | None
    hottest_c: float | None


def heat_failure_cases(
    asked: Asked, flows: HeatFlows, pumps: tuple[str, ...], open_left: float
) -> tuple[HeatFailure, ...]:
    """Return the temperatures after each failure.

    Args:
        asked: the loop as asked.
        flows: what flows in the loop with a dead pump.
        pumps: the pumps that run.
        open_left: how much of the open share of an air filter dust leaves [-].

    Validity: a new steady state; how long it takes to get there is not computed.
    """
    return (*_pumps(asked, flows, pumps), *_fans(asked), *_filters(asked, open_left))


def _pumps(asked: Asked, flows: HeatFlows, pumps: tuple[str, ...]) -> Iterator[HeatFailure]:
    for pump in pumps:
        left = flows.flows(asked.case.coolant, changes=(PumpsAt(0.0, pump),))
        heats = {**asked.case.heats_w, pump: 0.0}
        yield _solved(asked, PUMP_DEAD, pump, with_flows(asked.case, left)._replace(heats_w=heats))


def _fans(asked: Asked) -> Iterator[HeatFailure]:
    for name in _largest(asked):
        setup = asked.case.setups[name]
        if setup.blows and setup.fans is not None:
            stalled = setup._replace(fans=setup.fans._replace(stopped=setup.fans.stopped + 1))
            yield _solved(asked, FAN_STOPPED, name, with_setups(asked.case, [stalled]))


def _filters(asked: Asked, open_left: float) -> Iterator[HeatFailure]:
    for name in _largest(asked):
        setup = asked.case.setups[name]
        if setup.blows and any(one.kind == _FILTER for one in setup.obstacles):
            dusty = setup._replace(obstacle_loss=obstacles_loss(setup.obstacles, open_left))
            yield _solved(asked, FILTER_CLOGGED, name, with_setups(asked.case, [dusty]))


def _largest(asked: Asked) -> Sequence[str]:
    """Return the radiators that reject most: of many, the others hardly matter, and each one costs a whole balance."""
    by_conductance = sorted(asked.solved.radiators.items(), key=lambda item: -item[1].conductance_w_per_k)
    largest = {name for name, _ in by_conductance[:MOST_RADIATORS]}
    return [name for name in asked.case.setups if name in largest]


def _solved(asked: Asked, what: str, part: str, case: HeatCase) -> HeatFailure:
    solved = solve_heat(case)
    uncooled = {*solved.state.stranded, *solved.state.unrejected}
    if solved.delta_t_k is None or uncooled & {source.name for source in asked.sources}:
        return HeatFailure(what, part, None, None, None)
    return HeatFailure(what, part, solved.delta_t_k, solved.delta_t_k - asked.delta_t_k, solved.hottest_c)
