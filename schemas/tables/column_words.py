"""What people call a column, wherever a value of it is reported.

Owns: column name -> title and unit. Does not own: the titles (they stand at the columns, one file a table).
"""

from __future__ import annotations

from functools import cache
from types import MappingProxyType

from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

_ENDINGS = MappingProxyType(  # the longer ones first
    {
        "_k_per_w": "K/W",
        "_m3_per_h": "m3/h",
        "_l_min": "l/min",
        "_percent": "%",
        "_cm2": "cm2",
        "_kpa": "kPa",
        "_rpm": "rpm",
        "_dba": "dB(A)",
        "_deg": "deg",
        "_mm": "mm",
        "_ml": "ml",
        "_pa": "Pa",
        "_db": "dB",
        "_c": "degC",
        "_g": "g",
        "_k": "K",
        "_w": "W",
    }
)
_UNSPOKEN_UNITS = frozenset({"1", "1/in"})


def column_words(column: str) -> tuple[str, str]:
    """Return the words and the unit of a column or field, by its name; a name that no table has is spelt out.

    >>> column_words("od_mm"), column_words("threads_per_inch"), column_words("heat_w"), column_words("behind_plate_mm")
    (('outside diameter', 'mm'), ('threads per inch', ''), ('heat', 'W'), ('behind plate', 'mm'))
    """
    return _all_words().get(column) or _spelt(column)


def _spelt(name: str) -> tuple[str, str]:
    for ending, unit in _ENDINGS.items():
        if name.endswith(ending):
            return name.removesuffix(ending).replace("_", " "), unit
    return name.replace("_", " "), ""


@cache
def _all_words() -> dict[str, tuple[str, str]]:
    words: dict[str, tuple[str, str]] = {}
    for row_class in ROW_CLASSES.values():
        for field in fields_of(row_class):
            unit = "" if field.column.unit in _UNSPOKEN_UNITS else field.column.unit
            words.setdefault(field.name, (field.column.title, unit))
    return words
