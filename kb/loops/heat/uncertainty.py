"""How sure the temperatures of a loop are.

Owns: moving one uncertain thing after the other and adding up what they do to the coolant. Does not own: the range of
one radiator (`kb/loops/heat/uncertainty_inputs.py`) or how far flows may lie off (`kb/loops/flow/elements.py`).
What is uncertain of radiators is uncertain of all in the same direction, as one correlation speaks for all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.formulas.fit.tolerance_stack import root_sum_square
from kb.formulas.heat.heat_circuit import HeatRejection
from kb.loops.heat.state import HeatCase, SolvedHeat, delta_t_by, rejection_of, solve_delta_t
from kb.loops.heat.uncertainty_inputs import CorrelationSpread, PerformanceRange

FLOW = "flow"
PUMP_HEAT = "pump-heat"


class Cause(NamedTuple):
    """What one uncertain thing alone does to coolant-to-air temperature difference.

    Attributes:
        name: the thing.
        lowers_k: by how much the coolant may be cooler, 0 or above.
        raises_k: by how much it may be warmer, 0 or above.
    """

    name: str
    lowers_k: float
    raises_k: float


class HeatUncertainty(NamedTuple):
    """The uncertainty range of the coolant-to-air temperature difference.

    Attributes:
        low_k: lower end.
        likely_k: the likely value.
        high_k: upper end.
        causes: what it is made of, the largest first.
        radiators: the range of each radiator that rejects heat.
    """

    low_k: float
    likely_k: float
    high_k: float
    causes: tuple[Cause, ...]
    radiators: Mapping[str, PerformanceRange]


def heat_uncertainty(
    case: HeatCase, solved: SolvedHeat, spread: CorrelationSpread, others: Mapping[str, Sequence[HeatCase]]
) -> HeatUncertainty:
    """Return the uncertainty range of the coolant-to-air temperature difference, by the root of the sum of squares of
    all causes.

    Args:
        case: the loop at its likely values.
        solved: its temperatures; coolant reaches a radiator.
        spread: how far correlations and fans lie off.
        others: further causes -> the loop at both ends, or at one.

    Raises:
        ValueError: if no coolant reaches a radiator.

    Validity: causes independent of each other. Where an end leaves a radiator without coolant that end is not counted.
    Source: propagation of independent deviations.
    """
    likely = solved.delta_t_k
    if likely is None:
        raise ValueError("no coolant reaches a radiator")
    ranges = _radiator_ranges(case, solved, spread)
    rejections = {name: rejection_of(setup, solved.radiators.get(name)) for name, setup in case.setups.items()}
    delta_t_of = delta_t_by(case, rejections)
    causes = [_cause(name, likely, _moved(delta_t_of, rejections, ranges, name)) for name in _names(ranges)]
    for name, cases in others.items():
        found = [solve_delta_t(one) for one in cases]
        causes.append(_cause(name, likely, [one and one.delta_t_k for one in found]))
    fall = root_sum_square(cause.lowers_k for cause in causes)
    rise = root_sum_square(cause.raises_k for cause in causes)
    ordered = sorted(causes, key=lambda cause: -max(cause.lowers_k, cause.raises_k))
    return HeatUncertainty(likely - min(fall, abs(likely)), likely, likely + rise, tuple(ordered), ranges)


def _radiator_ranges(case: HeatCase, solved: SolvedHeat, spread: CorrelationSpread) -> dict[str, PerformanceRange]:
    air = solved.state.air_in_c
    return {
        name: case.radiators.range_of(case.setups[name], case.coolant, case.flows_l_min[name], air[name], spread)
        for name in solved.radiators
    }


def _names(ranges: Mapping[str, PerformanceRange]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for range_ in ranges.values() for name in range_.changes_w_per_k))


def _moved(
    delta_t_of: Callable[[Mapping[str, HeatRejection]], float | None],
    likely: Mapping[str, HeatRejection],
    ranges: Mapping[str, PerformanceRange],
    cause: str,
) -> list[float | None]:
    """Return coolant-to-air temperature difference with all radiators at the worse, then at the better end of one
    cause.
    """
    ends: list[float | None] = []
    for end in (0, 1):
        rejections = dict(likely)
        for name, range_ in ranges.items():
            conductance = likely[name].conductance_w_per_k + range_.changes_w_per_k[cause][end]
            rejections[name] = likely[name]._replace(conductance_w_per_k=conductance)
        ends.append(delta_t_of(rejections))
    return ends


def _cause(name: str, likely: float, ends: Sequence[float | None]) -> Cause:
    moved = [end - likely for end in ends if end is not None]
    return Cause(name, max(0.0, *(-step for step in moved), 0.0), max(0.0, *moved, 0.0))
