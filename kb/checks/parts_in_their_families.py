"""A row stands under the root family of its kind.

Owns: holding the families of parts against their tables.
Does not own: cycles among families (`families_form_trees.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.checks.family_chains import family_chains
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables import ROW_CLASSES
from schemas.tables.families import Family

_ROOTS: Mapping[str, str] = MappingProxyType(
    {
        "threads": "family/thread",
        "ports": "family/port",
        "tubes": "family/tube",
        "seals": "family/seal",
        "fittings": "family/fitting",
        "materials": "family/material",
        "fluids": "family/fluid",
        "additives": "family/additive",
        "fans": "family/fan",
        "blocks": "family/component",
        "pumps": "family/component",
        "reservoirs": "family/component",
        "radiators": "family/component",
    }
)

CODE = "FAM-002"
PROMISE = "A row stands under the root family of its kind."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active part whose family descends from the root of another kind."""
    chains = family_chains(tables)
    top = {family.id for family in tables.active(Family) if family.parent_id is None}
    for table, root in _ROOTS.items():
        for row in tables.active(ROW_CLASSES[table]) if table in tables.rows else ():
            chain = chains.get(row.family_id, ())
            if chain and chain[-1] in top and root not in chain:
                what = f"{row.family_id} does not descend from {root}"
                yield tables.fault(row, "family_id", CODE, what, f"name {root} or a family below it")
