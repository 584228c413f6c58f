"""The symbols of a formula are those of its equation and its example.

Owns: holding names in equations against their list. Does not own: whether the equation is right (its source says so).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.formulas import Formula

CODE = "FOR-002"
PROMISE = "Every name in an equation is explained by its symbols, and every symbol is used."

_NAME = re.compile(r"(?<![\w.])[A-Za-z]\w*")
_GIVEN = re.compile(r"([A-Za-z]\w*) = ")
_WORDS = frozenset({"if", "else", "and"})
_FUNCTIONS = frozenset({"sum", "prod", "min", "max", "sqrt", "exp", "ln", "log10", "sin", "tan", "tanh", "pi"})


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every name that no symbol explains, and for every symbol that stands nowhere."""
    for row in tables.of(Formula):
        names = set(_NAME.findall(row.equation)) - _WORDS - _FUNCTIONS
        symbols = [item.split(":", 1)[0] for item in row.symbols.split("; ")]
        for name in sorted(names - set(symbols)):
            fix = f"explain it in symbols, such as {name}: what it is [unit]"
            yield tables.fault(row, "symbols", CODE, f"{name} stands in the equation and is not explained", fix)
        used = names | set(_GIVEN.findall(row.example))
        for symbol in sorted(set(symbols) - used):
            fix = "take it out, or write it into the equation"
            yield tables.fault(row, "symbols", CODE, f"{symbol} stands in no equation", fix)
