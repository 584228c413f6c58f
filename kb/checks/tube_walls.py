"""A tube is wider outside than inside, by twice its wall.

Owns: holding the dimensions of a tube against each other. Does not own: which are needed (`tube_names.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.tubes import Tube

CODE = "TUB-001"
PROMISE = "A tube is wider outside than inside, by twice its wall."

_ROUNDING_MM = 0.051  # three figures printed to 0.001 in: half a digit of outside and inside, a whole one of two walls


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active tube without wall, without bore, or whose three dimensions disagree."""
    for tube in tables.active(Tube):
        if tube.od_mm is None:
            continue
        if tube.id_mm is not None and tube.od_mm <= tube.id_mm:
            what = f"outside {tube.od_mm:g} mm is not larger than inside {tube.id_mm:g} mm"
            yield tables.fault(tube, "od_mm", CODE, what, "exchange them if they stand in each other's columns")
        elif tube.wall_mm is not None and tube.od_mm <= 2 * tube.wall_mm:
            what = f"two walls of {tube.wall_mm:g} mm leave no bore in {tube.od_mm:g} mm"
            yield tables.fault(tube, "wall_mm", CODE, what, "hold the wall against the source")
        elif tube.wall_mm is not None and tube.id_mm is not None:
            yield from _disagreement(tables, tube, tube.od_mm - 2 * tube.wall_mm, tube.id_mm)


def _disagreement(tables: Tables, tube: Tube, from_wall: float, inside: float) -> Iterator[Fault]:
    if abs(from_wall - inside) > _ROUNDING_MM:
        what = f"inside {inside:g} mm, but outside less two walls is {from_wall:.3f} mm"
        yield tables.fault(tube, "id_mm", CODE, what, "keep the two figures that the source prints, empty the third")
