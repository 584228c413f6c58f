"""The facts of a requirement can be read, and name rows that exist.

Owns: reading the cells `implied_by` and `contradicted_by`. Does not own: their language
(`schemas/columns/facts.py`), or whether a fact is so.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.facts import FactKind, FactsError, RequiredFact, parse_facts
from schemas.tables.families import Family
from schemas.tables.materials import Material
from schemas.tables.quantities import Quantity
from schemas.tables.requirements import Requirement

CODE = "REQ-003"
PROMISE = "The facts of a requirement can be read, and name rows that exist."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every cell of facts that cannot be read, or names a row that is not there."""
    rows: list[Family | Material | Quantity] = [
        *tables.active(Family),
        *tables.active(Material),
        *tables.active(Quantity),
    ]
    known = {row.id for row in rows}
    for row in tables.active(Requirement):
        for column, text in (("implied_by", row.implied_by), ("contradicted_by", row.contradicted_by or "")):
            try:
                named = [one for needed in parse_facts(text) for fact in needed for one in _named(fact)]
            except FactsError as error:
                yield tables.fault(row, column, CODE, str(error), "see the description of the column")
                continue
            for one in named:
                if one not in known:
                    yield tables.fault(row, column, CODE, f"no row is called {one}", "name a row that exists")


def _named(fact: RequiredFact) -> Iterator[str]:
    """Yield the ids that a fact names; a dose is that of the additive and has no row."""
    if fact.kind is FactKind.MATERIAL:
        yield fact.name
    elif fact.kind is FactKind.FLUID and fact.name == "family":
        yield fact.right
    elif fact.kind is FactKind.CONDITION and fact.name != "dose":
        yield f"quantity/{fact.name}"
