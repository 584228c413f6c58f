"""The upper value of a property lies above its value.

Owns: the order of the ends of a range. Does not own: the values themselves (`property_bounds.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.material_properties import MaterialProperty

CODE = "MAT-003"
PROMISE = "The upper value of a property lies above its value."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every range that ends where or before it begins."""
    for row in tables.of(MaterialProperty):
        if row.value_high is not None and row.value_high <= row.value:
            what = f"{row.value_high:g} is not above the value {row.value:g}"
            yield tables.fault(row, "value_high", CODE, what, "exchange the two, or empty the upper value")
