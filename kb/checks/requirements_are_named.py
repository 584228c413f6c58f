"""Every requirement is named by some rule or limit.

Owns: finding requirements that no answer can bring up. Does not own: what they say.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.limits import Limit
from schemas.tables.requirements import Requirement
from schemas.tables.rules import Rule

CODE = "REQ-002"
PROMISE = "Every requirement is named by some rule or limit."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active requirement that no active rule or limit names."""
    named = {row.requirement_id for row in tables.active(Rule)}
    named |= {row.requirement_id for row in tables.active(Limit)}
    for requirement in tables.active(Requirement):
        if requirement.id not in named:
            fix = "name it in the rule or limit that asks for it, or withdraw it"
            yield tables.fault(requirement, "id", CODE, "no rule and no limit names it", fix)
