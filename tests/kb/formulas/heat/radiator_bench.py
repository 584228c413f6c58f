"""What tests of radiators share: generic radiators and fans of the tables, set up at a speed."""

from __future__ import annotations

from collections.abc import Sequence

from kb.formulas.coolant.coolant import Coolant
from kb.formulas.heat.fan_coverage import Coverage, coverage_of
from kb.formulas.heat.fan_curve import FanCurve, curve_at_speed, curve_of_points, in_series
from kb.formulas.heat.radiator_performance import (
    Inflow,
    RadiatorModel,
    RadiatorState,
    Setting,
    prepare_radiator,
    solve_radiator,
)
from kb.store.snapshot import Snapshot
from schemas.tables.fan_points import FanPoint
from schemas.tables.fans import Fan
from schemas.tables.material_properties import PropertyName
from schemas.tables.radiators import Radiator

WATER_35 = Coolant(35.0, 994.0, 0.719, 4179.0, 0.622)  # water near 35 degC, rounded
AIR_C = 25.0


class Bench:
    """Radiators and fans of the tables, put together for a test."""

    def __init__(self, snapshot: Snapshot) -> None:
        self._snapshot = snapshot

    def model(self, radiator: str) -> RadiatorModel:
        row = self._snapshot.get(Radiator, f"radiator/{radiator}")
        conductivity = self._snapshot.material_property(row.fin_material_id, PropertyName.THERMAL_CONDUCTIVITY)
        assert conductivity is not None
        return prepare_radiator(row, row.fans, conductivity.value)

    def curve(self, fan: str, rpm: float) -> FanCurve:
        row = self._snapshot.get(Fan, f"fan/{fan}")
        points = [point for point in self._snapshot.active(FanPoint) if point.fan_id == row.id]
        curve = curve_of_points([(point.flow_m3_per_h, point.pressure_pa) for point in points])
        return curve_at_speed(curve, rpm / row.speed_max_rpm)

    def coverage(self, radiator: str, fan: str) -> Coverage:
        return coverage_of(self._snapshot.get(Fan, f"fan/{fan}"), self.model(radiator).section_m2)

    def run(self, radiator: str, fan: str, rpm: float, flow_l_min: float = 4.0, pull: bool = False) -> RadiatorState:
        curve = self.curve(fan, rpm)
        fans = [in_series([curve, curve]) if pull else curve] * self.model(radiator).fans
        return self.run_with(radiator, fan, fans, flow_l_min)

    def run_with(
        self, radiator: str, fan: str, fans: Sequence[FanCurve | None], flow_l_min: float = 4.0
    ) -> RadiatorState:
        inflow = Inflow(AIR_C, WATER_35, flow_l_min)
        return solve_radiator(self.model(radiator), fans, inflow, Setting(self.coverage(radiator, fan).likely))
