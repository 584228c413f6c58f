"""Every warning names a requirement or has conditions in numbers, and nothing else names one.

Owns: finding warnings that nobody could settle. Does not own: whether the requirement exists (`references_exist.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.level import Judgement, Level
from schemas.tables.limits import Limit
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule

CODE = "REQ-001"
PROMISE = "Every warning names a requirement or has conditions in numbers, and nothing else names one."
_FIX = "name the requirement that must be met, or give it conditions in numbers"
_EMPTY = "leave it empty: only a warning names a requirement"


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active warning without a requirement, and for every other row that names one."""
    conditioned = {condition.rule_id for condition in tables.active(RuleCondition)}
    for rule in tables.active(Rule):
        is_warning = rule.level is Judgement.WARNING
        if is_warning and not rule.requirement_id and rule.id not in conditioned:
            yield tables.fault(rule, "requirement_id", CODE, "is a warning that nothing can settle", _FIX)
        elif rule.requirement_id and not is_warning:
            yield tables.fault(rule, "requirement_id", CODE, f"is of level {rule.level.value}", _EMPTY)
    for limit in tables.active(Limit):
        if limit.requirement_id and limit.level is not Level.WARNING:
            yield tables.fault(limit, "requirement_id", CODE, f"is of level {limit.level.value}", _EMPTY)
