"""Tables with one row made otherwise, for tests of what follows from a change."""

from __future__ import annotations

import dataclasses
import random
from collections.abc import Collection, Iterator
from types import MappingProxyType
from typing import Any

from kb.store.digest import tables_digest
from kb.store.frozen import BuiltTables
from schemas.level import Judgement, Level
from schemas.tables.families import Family
from schemas.tables.sources import Source
from schemas.verdict import Verdict

MAY_GO = (
    "rules",
    "rule_conditions",
    "limits",
    "tolerances",
    "thread_tolerances",
    "wetted_materials",
    "fluid_properties",
    "material_properties",
    "assumptions",
)
STEADY = frozenset({"id", "rank", "service_interval_months"})


def with_rows(tables: BuiltTables, table: str, rows: tuple[Any, ...]) -> BuiltTables:
    changed = {**tables.rows, table: tuple(sorted(rows, key=lambda row: row.id))}
    return BuiltTables(MappingProxyType(changed), tables.version, tables_digest(changed))


def without(tables: BuiltTables, row: Any) -> BuiltTables:
    return with_rows(tables, row.table, tuple(one for one in tables.rows[row.table] if one.id != row.id))


def replaced(tables: BuiltTables, row: Any, **values: Any) -> BuiltTables:
    changed = dataclasses.replace(row, **values)
    return with_rows(tables, row.table, tuple(changed if one.id == row.id else one for one in tables.rows[row.table]))


def added(tables: BuiltTables, row: Any) -> BuiltTables:
    return with_rows(tables, row.table, (*tables.rows[row.table], row))


def row_of(tables: BuiltTables, table: str, row_id: str) -> Any:
    return next(row for row in tables.rows[table] if row.id == row_id)


def single_row_mutations(
    tables: BuiltTables, seed: int, each: int, wanted: Collection[str]
) -> Iterator[tuple[str, BuiltTables]]:
    """Yield tables in which one row is gone or holds another value, some for every table with rows that are wanted."""
    chance = random.Random(seed)
    for table in sorted(tables.rows):
        rows = [row for row in tables.rows[table] if row.id in wanted]
        for row in chance.sample(rows, min(each, len(rows))):
            if table in MAY_GO and chance.random() < 0.5:
                yield f"{row.id} gone", without(tables, row)
            else:
                values = _otherwise(tables, row, chance)
                if values:
                    yield f"{row.id} {values}", replaced(tables, row, **values)


def _otherwise(tables: BuiltTables, row: Any, chance: random.Random) -> dict[str, Any]:
    if isinstance(row, Source):
        return {"rank": row.rank + chance.choice((-1, 1, 9))}
    if isinstance(row, Family):
        return {"parent_id": chance.choice(tables.rows["families"]).id} if row.parent_id else {}
    level = getattr(row, "level", None)
    if isinstance(level, Judgement | Level):
        return {"level": chance.choice([one for one in type(level) if one is not level]), "requirement_id": None}
    verdict = getattr(row, "verdict", None)
    if isinstance(verdict, Verdict):
        return {"verdict": chance.choice([one for one in Verdict if one is not verdict])}
    names = [field.name for field in dataclasses.fields(row) if field.name not in STEADY]
    numbers = [name for name in names if type(getattr(row, name)) is float]
    if numbers:
        name = chance.choice(numbers)
        return {name: getattr(row, name) * chance.choice((0.5, 0.9, 1.2, 3.0))}
    return {"family_id": chance.choice(tables.rows["families"]).id} if "family_id" in names else {}
