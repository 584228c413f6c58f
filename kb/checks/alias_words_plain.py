"""The words of an alias are in the plain form in which questions are read.

Owns: the spelling of aliases. Does not own: what they mean (`alias_means_one.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.sizes import plain_characters
from schemas.tables.aliases import Alias

CODE = "ALI-001"
PROMISE = "The words of an alias are in the plain form in which questions are read."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every alias with capitals, typographic characters or more than one blank in a row."""
    for alias in tables.of(Alias):
        plain = " ".join(plain_characters(alias.words).split())
        if alias.words != plain:
            yield tables.fault(alias, "words", CODE, f"{alias.words!r} is not in plain form", f"write {plain!r}")
