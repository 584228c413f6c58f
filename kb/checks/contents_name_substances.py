"""What a substance contains is named as an additive or a family of additives, so that rules find it.

Owns: words of the column `contains`. Does not own: what is told of them (`kb/compatibility/materials/contact.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.additives import Additive
from schemas.tables.families import Family
from schemas.tables.fluids import Fluid

CODE = "FLU-002"
PROMISE = "What a substance contains is named as an additive or a family, or stands in brackets."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every word that names neither an additive nor a family."""
    named: list[Additive | Family] = [*tables.active(Additive), *tables.active(Family)]
    known = {row.id.split("/")[1] for row in named}
    rows: list[Fluid | Additive] = [*tables.active(Fluid), *tables.active(Additive)]
    for row in rows:
        for word in sorted(row.contents - known):
            fix = "write the last part of an id of additives.csv or families.csv, or put a remark in brackets"
            yield tables.fault(row, "contains", CODE, f"nothing is called {word}", fix)
