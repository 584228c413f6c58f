"""How sure a computed radiator is: an uncertainty range around its conductance.

Owns: moving the uncertain things one at a time and adding up what they do. Does not own: how uncertain they are
(rows of assumptions.csv, read by `correlation_spread`) or the computation (`kb/formulas/heat/radiator_performance.py`).
Uncertain are the film and the friction of the fins (spread of the correlations), how much of the face carries air,
the fans (tolerance of speed and curve), and slow air, for which the film correlation was never fitted.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from kb.formulas.fit.tolerance_stack import root_sum_square
from kb.formulas.heat.fan_coverage import Coverage
from kb.formulas.heat.fan_curve import FanCurve
from kb.formulas.heat.radiator_performance import Inflow, RadiatorModel, RadiatorSolver, RadiatorState, Setting
from kb.store.snapshot import Snapshot

HEAT_SPREAD = "quantity/louver-heat-spread"
FRICTION_SPREAD = "quantity/louver-friction-spread"
FAN_SPREAD = "quantity/fan-speed-spread"


class CorrelationSpread(NamedTuple):
    """Half widths of what is uncertain [%]."""

    heat_percent: float
    friction_percent: float
    fan_percent: float


@dataclass(frozen=True, slots=True)
class PerformanceRange:
    """A radiator at its likely values, with the uncertainty range around its conductance.

    Attributes:
        likely: the radiator at the likely values.
        low_w_per_k: lower end of the conductance.
        high_w_per_k: upper end; never above what the most air of all cases could carry.
        changes_w_per_k: how far each uncertain thing alone lowers and raises it, by name.
    """

    likely: RadiatorState
    low_w_per_k: float
    high_w_per_k: float
    changes_w_per_k: Mapping[str, tuple[float, float]]


def correlation_spread(snapshot: Snapshot) -> CorrelationSpread:
    """Return how uncertain the correlations and fans are, from the tables.

    Args:
        snapshot: the knowledge.

    Raises:
        KeyError: if the tables no longer say it.
    """
    rows = [snapshot.assumption(quantity) for quantity in (HEAT_SPREAD, FRICTION_SPREAD, FAN_SPREAD)]
    values = [row.value for row in rows if row is not None]
    if len(values) < len(rows):
        raise KeyError("assumptions.csv does not say how far correlations and fans spread")
    return CorrelationSpread(*values)


def radiator_range(
    model: RadiatorModel,
    fans: Sequence[FanCurve | None],
    inflow: Inflow,
    coverage: Coverage,
    spread: CorrelationSpread,
    solver: RadiatorSolver | None = None,
) -> PerformanceRange:
    """Return a radiator at its likely values with the uncertainty range around its conductance.

    Each uncertain thing is moved alone to both its ends. What lowers the conductance adds to the lower half of the
    band, what raises it to the upper half, by the root of the sum of squares.

    Args:
        model: the radiator.
        fans: as `solve_radiator`.
        inflow: air and coolant as they arrive.
        coverage: share of a section that carries air.
        spread: half widths of the rest.
        solver: what was solved before; by default nothing.

    Raises:
        ValueError: as `solve_radiator`.

    Validity: uncertain things independent of each other. The spread of a correlation takes in some nine tenths of
    its data, so the range is no guarantee.
    Source: propagation of independent deviations.
    """
    solver = solver or RadiatorSolver()
    likely = solver.solve(model, fans, inflow, Setting(coverage.likely))
    centre, bound = likely.conductance_w_per_k, likely.air_capacity_w_per_k
    changes: dict[str, tuple[float, float]] = {}
    for name, settings in _film_ends(coverage, spread).items():
        ends = [solver.heat_at(model, likely.points, inflow, setting) for setting in settings]
        changes[name] = _change(ends, centre)
    for name, settings in _air_ends(coverage, spread).items():
        ends = [solver.solve(model, fans, inflow, setting) for setting in settings]
        changes[name] = _change(ends, centre)
        bound = max(bound, *(end.air_capacity_w_per_k for end in ends))
    fall = root_sum_square(low for low, _ in changes.values())
    rise = root_sum_square(high for _, high in changes.values())
    return PerformanceRange(likely, max(0.0, centre - fall), min(centre + rise, bound), changes)


def _change(ends: Sequence[RadiatorState], centre: float) -> tuple[float, float]:
    moved = [end.conductance_w_per_k - centre for end in ends]
    return min(0.0, *moved), max(0.0, *moved)


def _film_ends(coverage: Coverage, spread: CorrelationSpread) -> dict[str, tuple[Setting, Setting]]:
    """What changes the heat alone and leaves the balance of the air as it is."""
    likely, heat = Setting(coverage.likely), spread.heat_percent / 100
    return {
        "film": (likely._replace(heat_scale=1 - heat), likely._replace(heat_scale=1 + heat)),
        "slow-air": (likely, likely._replace(slow_air_follows_fins=True)),
    }


def _air_ends(coverage: Coverage, spread: CorrelationSpread) -> dict[str, tuple[Setting, Setting]]:
    """What changes the balance of the air, and the heat with it."""
    likely = Setting(coverage.likely)
    friction, fan = spread.friction_percent / 100, spread.fan_percent / 100
    return {
        "friction": (likely._replace(friction_scale=1 + friction), likely._replace(friction_scale=1 - friction)),
        "fans": (likely._replace(fan_scale=1 - fan), likely._replace(fan_scale=1 + fan)),
        "coverage": (likely._replace(coverage=coverage.least), likely._replace(coverage=coverage.most)),
    }
