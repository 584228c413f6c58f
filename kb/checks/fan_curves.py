"""The curve of every fan falls from no flow to no pressure.

Owns: holding the points of a fan against one another. Does not own: single cells (`schemas/tables/`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.formulas.heat.fan_curve import curve_of_points
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fan_points import FanPoint
from schemas.tables.fans import Fan

CODE = "FAN-001"
PROMISE = "The curve of every fan falls from no flow to no pressure."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active fan whose active points are no such curve."""
    for fan in tables.active(Fan):
        points = [(row.flow_m3_per_h, row.pressure_pa) for row in tables.active(FanPoint) if row.fan_id == fan.id]
        what = _broken(points)
        if what:
            fix = "in fan_points.csv: give the pressure at no flow, falling pressures, and the flow at no pressure"
            yield tables.fault(fan, "id", CODE, what, fix)


def _broken(points: list[tuple[float, float]]) -> str:
    try:
        curve = curve_of_points(points)
    except ValueError as error:
        return str(error)
    return "" if curve.pressures_pa[-1] == 0 else "the curve ends before the fan blows freely"
