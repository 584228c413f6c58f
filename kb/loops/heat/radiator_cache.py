"""What the radiators of a loop do, each part of the work done once a question.

Owns: fans of a setup as curves, and asking for a radiator as it is set up. Does not own: the computation
(`kb/formulas/heat/radiator_performance.py`), which remembers what it solved, or setups (`kb/loops/heat/radiators.py`).
A question solves its loop in dozens of cases, and most of them change one thing.
"""

from __future__ import annotations

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.heat.fan_curve import FanCurve, curve_at_speed, in_series
from kb.formulas.heat.radiator_performance import (
    Inflow,
    RadiatorModel,
    RadiatorSolver,
    RadiatorState,
    Setting,
    prepare_radiator,
)
from kb.loops.heat.radiators import FanSetup, RadiatorSetup
from kb.loops.heat.uncertainty_inputs import CorrelationSpread, PerformanceRange, radiator_range
from schemas.tables.radiators import Radiator


class RadiatorStates:
    """Solves radiators as they are set up; made anew for each question, as it keeps all it found."""

    def __init__(self) -> None:
        self._solver = RadiatorSolver()
        self._curves: dict[tuple[FanCurve, float, bool], FanCurve] = {}
        self._models: dict[tuple[Radiator, float], RadiatorModel] = {}

    def model(self, row: Radiator, fin_conductivity: float) -> RadiatorModel:
        """Return a core, prepared; the same for equal ones.

        Args:
            row: its dimensions.
            fin_conductivity: of the fin material [W/(m K)].

        Raises:
            ValueError: if its fins are outside the correlations.
        """
        found = self._models.get((row, fin_conductivity))
        if found is None:
            found = self._models[row, fin_conductivity] = prepare_radiator(row, row.fans, fin_conductivity)
        return found

    def state(self, setup: RadiatorSetup, coolant: Coolant, flow_l_min: float, air_c: float) -> RadiatorState | None:
        """Return what a radiator does at its likely values; `None` if it rejects nothing.

        Args:
            setup: the radiator.
            coolant: at the mean temperature.
            flow_l_min: coolant through it, in either direction [l/min].
            air_c: air that enters [degC].
        """
        if not setup.blows or setup.model is None or setup.fans is None or setup.coverage is None or flow_l_min == 0:
            return None
        inflow = Inflow(air_c, coolant, abs(flow_l_min), setup.obstacle_loss)
        return self._solver.solve(setup.model, self._section_curves(setup.fans), inflow, Setting(setup.coverage.likely))

    def range_of(
        self, setup: RadiatorSetup, coolant: Coolant, flow_l_min: float, air_c: float, spread: CorrelationSpread
    ) -> PerformanceRange:
        """Return how sure a radiator is.

        Args:
            setup: the radiator, which rejects heat.
            coolant: at the mean temperature.
            flow_l_min: coolant through it, in either direction [l/min].
            air_c: air that enters [degC].
            spread: how far correlations and fans lie off.
        """
        assert setup.model is not None and setup.fans is not None and setup.coverage is not None
        inflow = Inflow(air_c, coolant, abs(flow_l_min), setup.obstacle_loss)
        curves = self._section_curves(setup.fans)
        return radiator_range(setup.model, curves, inflow, setup.coverage, spread, self._solver)

    def _section_curves(self, fans: FanSetup) -> tuple[FanCurve | None, ...]:
        """Return the curve of the fan or fans of each section at their speed, none where they stand still."""
        if fans.running == 0:
            return (None,) * fans.sections
        return (self._section_curve(fans),) * fans.running + (None,) * fans.stopped

    def _section_curve(self, fans: FanSetup) -> FanCurve:
        both_sides = fans.arrangement == "push-pull"
        key = fans.curve, fans.speed_ratio, both_sides
        curve = self._curves.get(key)
        if curve is None:
            one = curve_at_speed(fans.curve, fans.speed_ratio)
            curve = self._curves[key] = in_series([one, one]) if both_sides else one
        return curve
