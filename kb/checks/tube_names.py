"""The dimension a tube is named after is given.

Owns: finding tubes without the dimension in their name. Does not own: whether dimensions agree (`tube_walls.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.tubes import NominalMeans, Tube

CODE = "TUB-002"
PROMISE = "The dimension a tube is named after is given."

_NEEDED = (
    (NominalMeans.INSIDE, ("id_mm",)),
    (NominalMeans.OUTSIDE, ("od_mm",)),
    (NominalMeans.BOTH, ("id_mm", "od_mm")),
)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every dimension that an active tube's name stands for and that is empty."""
    needed = dict(_NEEDED)
    for tube in tables.active(Tube):
        for column in needed.get(tube.nominal_means, ()):
            if getattr(tube, column) is None:
                what = f"is empty, though the name means {tube.nominal_means.value}"
                yield tables.fault(tube, column, CODE, what, "write the dimension, or what the name means")
