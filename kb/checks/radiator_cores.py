"""The core of every radiator fits into it and holds no more than the whole.

Owns: holding the dimensions of one radiator against one another. Does not own: single cells (`schemas/tables/`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.formulas.heat.fin_core import core_width_mm, tube_volume_ml
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.radiators import Radiator

CODE = "RAD-001"
PROMISE = "The core of every radiator fits into it and holds no more than the whole."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active radiator and every dimension of its core that cannot be."""
    for radiator in tables.active(Radiator):
        for column, inner, outer, words in _pairs(radiator):
            if inner > outer:
                what = f"{words}: {inner:g} is more than {outer:g}"
                yield tables.fault(radiator, column, CODE, what, "measure the core again, or correct the outer size")


def _pairs(radiator: Radiator) -> Iterator[tuple[str, float, float, str]]:
    """Yield column, what must be smaller, what must be larger, and both in words."""
    yield "core_length_mm", radiator.core_length_mm, radiator.length_mm, "the core is longer than the radiator"
    yield "core_depth_mm", radiator.core_depth_mm, radiator.thickness_mm, "the core is thicker than the radiator"
    yield "tubes", core_width_mm(radiator), radiator.width_mm, "tubes and fins are wider than the radiator"
    tubes_deep = radiator.tube_rows * radiator.tube_width_mm
    yield "tube_rows", tubes_deep, radiator.core_depth_mm, "the rows of tubes are deeper than the core"
    yield "tube_wall_mm", 2 * radiator.tube_wall_mm, radiator.tube_height_mm, "two walls are higher than the tube"
    yield "louver_length_mm", radiator.louver_length_mm, radiator.fin_height_mm, "the louver is longer than the fin"
    if 2 * radiator.tube_wall_mm < min(radiator.tube_height_mm, radiator.tube_width_mm):  # else there is no passage
        yield "volume_ml", tube_volume_ml(radiator), radiator.volume_ml, "the tubes alone hold more than the radiator"
    fans = radiator.fans * radiator.fan_size_mm
    yield "fans", fans, radiator.length_mm, "the fans in a row are longer than the radiator"
