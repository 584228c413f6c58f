"""What a search did not find is a gap of low confidence, never a finding.

Owns: levels and confidence of rows on the basis `searched`. Does not own: their source (`basis_fits_source.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, Confidence, Sourced
from schemas.level import Judgement
from schemas.tables.rules import Rule

CODE = "SRC-012"
PROMISE = "What a search did not find is a gap of low confidence."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every searched row of more than low confidence, and for every such rule that judges."""
    for rows in tables.rows.values():
        for row in rows:
            if not isinstance(row, Sourced) or row.basis is not Basis.SEARCHED or row.withdrawn_on is not None:
                continue
            if row.confidence is not Confidence.LOW:
                yield tables.fault(row, "confidence", CODE, "is not low, but nothing was found", "write low")
            if isinstance(row, Rule) and row.level is not Judgement.GAP:
                yield tables.fault(row, "level", CODE, "judges, but nothing was found", "write gap")
