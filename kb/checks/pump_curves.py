"""The curve of every pump falls from no flow to no head.

Owns: holding the points of a pump against one another. Does not own: single cells (`schemas/tables/`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.formulas.flow.pump_curve import CurveError, pump_curve
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.pump_points import PumpPoint
from schemas.tables.pumps import Pump

CODE = "PMP-001"
PROMISE = "The curve of every pump falls from no flow to no head."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active pump whose active points are no such curve."""
    for pump in tables.active(Pump):
        points = [(row.flow_l_min, row.head_kpa) for row in tables.active(PumpPoint) if row.pump_id == pump.id]
        try:
            pump_curve(points, pump.stopped_flow_l_min, pump.stopped_drop_kpa)
        except CurveError as error:
            yield tables.fault(pump, "id", CODE, error.what, f"in pump_points.csv: {error.fix}")
