"""What people call a column, wherever a value of it is told.

Owns: column name -> title and unit. Does not own: the titles (they stand at the columns, one file a table).
"""

from __future__ import annotations

from functools import cache

from schemas.columns import fields_of
from schemas.tables import ROW_CLASSES

_UNTOLD_UNITS = frozenset({"1", "1/in"})


def column_words(column: str) -> tuple[str, str]:
    """Return the words and the unit of a column, by its name; a name that no table has is spelt out.

    >>> column_words("od_mm"), column_words("threads_per_inch"), column_words("area_cm2")
    (('outside diameter', 'mm'), ('threads per inch', ''), ('area cm2', ''))
    """
    return _all_words().get(column) or (column.replace("_", " "), "")


@cache
def _all_words() -> dict[str, tuple[str, str]]:
    words: dict[str, tuple[str, str]] = {}
    for row_class in ROW_CLASSES.values():
        for field in fields_of(row_class):
            unit = "" if field.column.unit in _UNTOLD_UNITS else field.column.unit
            words.setdefault(field.name, (field.column.title, unit))
    return words
