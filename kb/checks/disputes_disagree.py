"""A dispute says something other than the rule it disputes.

Owns: holding disputes against their rules. Does not own: whether the rule exists (`references_exist.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.level import Judgement
from schemas.tables.disputes import Dispute
from schemas.tables.rules import Rule

CODE = "DIS-001"
PROMISE = "A dispute says something other than the rule it disputes."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active dispute with the verdict of its rule; a note is no verdict to agree with."""
    verdicts = {rule.id: rule.level.verdict for rule in tables.of(Rule) if rule.level is not Judgement.NOTE}
    for dispute in tables.active(Dispute):
        if verdicts.get(dispute.rule_id) is dispute.verdict:
            what = f"{dispute.rule_id} says {dispute.verdict.value} too"
            yield tables.fault(dispute, "verdict", CODE, what, "write what the other source says, or withdraw the row")
