"""A share of glycol above zero says whether it is by volume or by mass.

Owns: the basis of a fluid's share. Does not own: what glycol does (rules, `kb/formulas/coolant/glycol.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.fluids import Fluid, ShareBasis

CODE = "FLU-001"
PROMISE = "A share of glycol above zero says whether it is by volume or by mass."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active fluid with a share without basis, or a basis without share."""
    for fluid in tables.active(Fluid):
        has_share = bool(fluid.glycol_share_percent)
        if has_share is (fluid.share_basis is ShareBasis.NONE):
            what = "is none beside a share of glycol" if has_share else "says how a share counts that is not there"
            fix = "write volume or mass" if has_share else "write none, or the share"
            yield tables.fault(fluid, "share_basis", CODE, what, fix)
