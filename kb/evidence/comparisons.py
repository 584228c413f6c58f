"""What the signs of comparisons mean, in conditions of rules and in facts of requirements.

Owns: sign -> comparison. Does not own: which signs a table may hold (`schemas/tables/rule_conditions.py`,
`schemas/columns/facts.py`), or what is compared.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from types import MappingProxyType

COMPARE: Mapping[str, Callable[[float, float], bool]] = MappingProxyType(
    {"=": operator.eq, "<": operator.lt, "<=": operator.le, ">": operator.gt, ">=": operator.ge}
)
