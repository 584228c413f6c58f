"""What a curator calls a table: `tube`, `rule`, `source`, or the prefix of its ids (`metal`, `end`, `condition`).

Owns: word -> table, and which rows are written together with others. Does not own: columns (`schemas/tables/`).
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from kb.store.faults import QuestionError
from schemas.tables import ROW_CLASSES
from schemas.tables.kinds import kind_of, prefixes_of

SOURCE_WORD = "source"
_PARTS = ("threads", "ports", "tubes", "fittings", "seals", "materials", "fluids", "additives")


@dataclass(frozen=True, slots=True)
class Companion:
    """Rows that are written together with a row of another table.

    Attributes:
        word: what the curator calls them, such as `end`.
        table: their table.
        link: the column of theirs that names the other row.
        owners: tables whose rows they go with.
    """

    word: str
    table: str
    link: str
    owners: tuple[str, ...]


COMPANIONS = (
    Companion("end", "fitting_ends", "fitting_id", ("fittings",)),
    Companion("condition", "rule_conditions", "rule_id", ("rules",)),
    Companion("dispute", "disputes", "rule_id", ("rules",)),
    Companion("property", "material_properties", "material_id", ("materials",)),
    Companion("property", "fluid_properties", "subject_id", ("fluids",)),
    Companion("point", "pump_points", "pump_id", ("pumps",)),
    Companion("point", "fan_points", "fan_id", ("fans",)),
    Companion("alias", "aliases", "part_id", (*_PARTS, "families")),
)


def kinds() -> tuple[str, ...]:
    """Return one word a table, in the order of the tables.

    >>> kinds()[:4]
    ('source', 'formula', 'quantity', 'caution')
    """
    return tuple(kind_of(table) for table in ROW_CLASSES)


def table_of(kind: str) -> str:
    """Return the table a word means: the name of its rows, the prefix of their ids, or the table's own name.

    Raises:
        QuestionError: if there is no such table; it names the nearest words.

    >>> table_of("tube"), table_of("metal"), table_of("condition"), table_of("rules")
    ('tubes', 'materials', 'rule_conditions', 'rules')
    """
    words = _tables_by_word()
    if kind not in words:
        near = difflib.get_close_matches(kind, words, n=3, cutoff=0.5)
        fix = "name one of: " + ", ".join(kinds())
        raise QuestionError("kind", f"no rows are called {kind[:80]!r}", fix, near)
    return words[kind]


def companions_of(table: str) -> tuple[Companion, ...]:
    """Return the rows that may be written together with a row of a table."""
    return tuple(companion for companion in COMPANIONS if table in companion.owners)


@cache
def _tables_by_word() -> Mapping[str, str]:
    words = {prefix: table for table in ROW_CLASSES for prefix in prefixes_of(table)}
    words |= {table: table for table in ROW_CLASSES}
    words |= {kind_of(table): table for table in ROW_CLASSES}
    return MappingProxyType(words)
