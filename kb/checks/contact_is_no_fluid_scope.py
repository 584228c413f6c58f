"""A rule of topic contact is never told of the fluid alone.

Owns: finding rules whose pair would lose what is known of it as a whole. Does not own: other topics.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.level import Scope
from schemas.tables.rules import Rule, RuleTopic

CODE = "LVL-002"
PROMISE = "A rule of topic contact is never told of the fluid alone."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every rule of topic contact with the scope fluid."""
    for rule in tables.active(Rule):
        if rule.topic is RuleTopic.CONTACT and rule.scope is Scope.FLUID:
            fix = "write couple or circumstance: the pair has no other row"
            yield tables.fault(rule, "scope", CODE, "is told of the fluid alone", fix)
