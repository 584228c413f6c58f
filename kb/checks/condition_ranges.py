"""When two conditions on one quantity cannot hold together, and when one contains the other.

Owns: comparing the ranges of two conditions. Does not own: a check of its own.
"""

from __future__ import annotations

from collections.abc import Iterable

from schemas.tables.rule_conditions import Operator, RuleCondition

_LOWER = (Operator.MORE, Operator.AT_LEAST, Operator.EQUAL)
_UPPER = (Operator.LESS, Operator.AT_MOST, Operator.EQUAL)


def exclude_each_other(first: Iterable[RuleCondition], second: Iterable[RuleCondition]) -> bool:
    """Return whether some condition of the first rule and some of the second can never hold together."""
    others = list(second)
    return any(are_disjoint(one, other) for one in first for other in others)


def are_disjoint(one: RuleCondition, other: RuleCondition) -> bool:
    """Return whether no value of one quantity meets both conditions; conditions on two quantities always can."""
    return one.quantity_id == other.quantity_id and (_lies_below(one, other) or _lies_below(other, one))


def implies(narrow: RuleCondition, wide: RuleCondition) -> bool:
    """Return whether every value of a quantity that meets the first condition meets the second too."""
    if narrow.quantity_id != wide.quantity_id:
        return False
    if wide.operator is Operator.EQUAL:
        return narrow.operator is Operator.EQUAL and narrow.value == wide.value
    upwards = wide.operator in (Operator.MORE, Operator.AT_LEAST)
    if narrow.operator not in (_LOWER if upwards else _UPPER):
        return False
    if narrow.value != wide.value:
        return narrow.value > wide.value if upwards else narrow.value < wide.value
    return wide.operator in (Operator.AT_LEAST, Operator.AT_MOST) or narrow.operator is wide.operator


def _lies_below(low: RuleCondition, high: RuleCondition) -> bool:
    if low.operator not in _UPPER or high.operator not in _LOWER:
        return False
    if low.value != high.value:
        return low.value < high.value
    return low.operator is Operator.LESS or high.operator is Operator.MORE
