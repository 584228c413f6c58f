"""How sure the temperatures of a loop are.

Owns: moving one uncertain thing after the other and adding up what they do to the coolant. Does not own: the band of
one radiator (`kb/loops/heat/uncertainty_inputs.py`) or how far flows may lie off (`kb/loops/flow/elements.py`).
What is uncertain of radiators is uncertain of all in the same direction, as one correlation speaks for all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from kb.formulas.fit.tolerance_stack import root_sum_square
from kb.formulas.heat.heat_circuit import Shed
from kb.loops.heat.state import HeatCase, SolvedHeat, over_air_by, shed_of, solve_over_air
from kb.loops.heat.uncertainty_inputs import PerformanceBand, Scatter

FLOW = "flow"
PUMP_HEAT = "pump-heat"


class Cause(NamedTuple):
    """What one uncertain thing alone does to coolant over air.

    Attributes:
        name: the thing.
        lowers_k: by how much the coolant may be cooler, 0 or above.
        raises_k: by how much it may be warmer, 0 or above.
    """

    name: str
    lowers_k: float
    raises_k: float


class HeatBand(NamedTuple):
    """The band around coolant over air.

    Attributes:
        low_k: lower end.
        likely_k: the likely value.
        high_k: upper end.
        causes: what it is made of, the largest first.
        radiators: the band of each radiator that sheds heat.
    """

    low_k: float
    likely_k: float
    high_k: float
    causes: tuple[Cause, ...]
    radiators: Mapping[str, PerformanceBand]


def heat_band(
    case: HeatCase, solved: SolvedHeat, scatter: Scatter, others: Mapping[str, Sequence[HeatCase]]
) -> HeatBand:
    """Return the band around coolant over air, by the root of the sum of squares of all causes.

    Args:
        case: the loop at its likely values.
        solved: its temperatures; coolant reaches a radiator.
        scatter: how far correlations and fans lie off.
        others: further causes -> the loop at both ends, or at one.

    Raises:
        ValueError: if no coolant reaches a radiator.

    Validity: causes independent of each other. Where an end leaves a radiator without coolant that end is not counted.
    Source: propagation of independent deviations.
    """
    likely = solved.over_air_k
    if likely is None:
        raise ValueError("no coolant reaches a radiator")
    bands = _radiator_bands(case, solved, scatter)
    sheds = {name: shed_of(setup, solved.radiators.get(name)) for name, setup in case.setups.items()}
    over_air_of = over_air_by(case, sheds)
    causes = [_cause(name, likely, _moved(over_air_of, sheds, bands, name)) for name in _names(bands)]
    for name, cases in others.items():
        found = [solve_over_air(one) for one in cases]
        causes.append(_cause(name, likely, [one and one.over_air_k for one in found]))
    fall = root_sum_square(cause.lowers_k for cause in causes)
    rise = root_sum_square(cause.raises_k for cause in causes)
    ordered = sorted(causes, key=lambda cause: -max(cause.lowers_k, cause.raises_k))
    return HeatBand(likely - min(fall, abs(likely)), likely, likely + rise, tuple(ordered), bands)


def _radiator_bands(case: HeatCase, solved: SolvedHeat, scatter: Scatter) -> dict[str, PerformanceBand]:
    air = solved.state.air_in_c
    return {
        name: case.radiators.band(case.setups[name], case.coolant, case.flows_l_min[name], air[name], scatter)
        for name in solved.radiators
    }


def _names(bands: Mapping[str, PerformanceBand]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(name for band in bands.values() for name in band.changes_w_per_k))


def _moved(
    over_air_of: Callable[[Mapping[str, Shed]], float | None],
    likely: Mapping[str, Shed],
    bands: Mapping[str, PerformanceBand],
    cause: str,
) -> list[float | None]:
    """Return coolant over air with all radiators at the worse, then at the better end of one cause."""
    ends: list[float | None] = []
    for end in (0, 1):
        sheds = dict(likely)
        for name, band in bands.items():
            conductance = likely[name].conductance_w_per_k + band.changes_w_per_k[cause][end]
            sheds[name] = likely[name]._replace(conductance_w_per_k=conductance)
        ends.append(over_air_of(sheds))
    return ends


def _cause(name: str, likely: float, ends: Sequence[float | None]) -> Cause:
    moved = [end - likely for end in ends if end is not None]
    return Cause(name, max(0.0, *(-step for step in moved), 0.0), max(0.0, *moved, 0.0))
