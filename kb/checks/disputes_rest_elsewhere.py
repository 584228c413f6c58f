"""A dispute rests on another source than the rule that it disputes.

Owns: comparing the sources of both. Does not own: comparing their verdicts (`disputes_disagree.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.disputes import Dispute
from schemas.tables.rules import Rule

CODE = "DIS-002"
PROMISE = "A dispute rests on another source than the rule that it disputes."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active dispute with the source of its rule."""
    sources = {rule.id: rule.source_id for rule in tables.of(Rule)}
    for dispute in tables.active(Dispute):
        if sources.get(dispute.rule_id) == dispute.source_id:
            fix = "name the other source, or withdraw the dispute: one document does not dispute itself"
            yield tables.fault(dispute, "source_id", CODE, f"{dispute.rule_id} rests on it too", fix)
