"""The same words are tied to the same part once.

Owns: finding words and part that stand twice. Does not own: words that mean several parts (`alias_means_one.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.checks.repeats import repeats
from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.aliases import Alias

CODE = "ALI-003"
PROMISE = "The same words are tied to the same part once."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every active row that repeats words and part of an earlier one."""
    for row, earlier in repeats(tables.active(Alias), lambda row: (row.words, row.part_id)):
        what = f"{earlier.id} says it already"
        yield tables.fault(row, "part_id", CODE, what, "withdraw one of them; one relation per words and part")
