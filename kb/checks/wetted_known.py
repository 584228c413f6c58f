"""Every kind of part that holds coolant says what it is made of.

Owns: finding parts without wetted materials. Does not own: what these materials do (`kb/compatibility/materials/`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.family_chains import part_chains
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.blocks import Block
from schemas.tables.fittings import Fitting
from schemas.tables.pumps import Pump
from schemas.tables.radiators import Radiator
from schemas.tables.reservoirs import Reservoir
from schemas.tables.wetted_materials import WettedMaterial

CODE = "WET-002"
PROMISE = "Every kind of part that holds coolant says what it is made of."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active part for which neither it nor a family above it names a material."""
    chains = part_chains(tables)
    reported = {row.subject_id for row in tables.active(WettedMaterial)}
    parts: tuple[Fitting | Block | Pump | Reservoir | Radiator, ...] = (
        *tables.active(Fitting),
        *tables.active(Block),
        *tables.active(Pump),
        *tables.active(Reservoir),
        *tables.active(Radiator),
    )
    for part in parts:
        if reported.isdisjoint(chains[part.id]):
            what = "neither the part nor a family above it stands in wetted_materials.csv"
            yield tables.fault(part, "family_id", CODE, what, "add a row for the family, or name another family")
