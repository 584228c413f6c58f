"""What one row of a table is called, and what its id begins with.

Owns: table -> kind in words and prefixes of ids, and back. Does not own: which tables there are
(`schemas/tables/__init__.py`) or what curators call them besides (`kb/curation/rows/kinds.py`).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from types import MappingProxyType

from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

_CAPITAL = re.compile(r"(?<!^)(?=[A-Z])")


def kind_of(table: str) -> str:
    """Return what one row of a table is called, with hyphens.

    >>> kind_of("tubes"), kind_of("fitting_ends")
    ('tube', 'fitting-end')
    """
    return _CAPITAL.sub("-", ROW_CLASSES[table].__name__).lower()


def prefixes_of(table: str) -> tuple[str, ...]:
    """Return what ids of a table may begin with.

    >>> prefixes_of("materials")
    ('metal', 'plastic', 'elastomer')
    """
    pattern = next(field.column.pattern for field in fields_of(ROW_CLASSES[table]) if field.name == "id")
    return tuple(pattern[1 : pattern.index(")")].split("|"))


def table_of_id(written: str) -> str | None:
    """Return the table an id would belong to by its prefix, whether it exists or not; `None` if to none.

    >>> table_of_id("metal/coper"), table_of_id("G1/4"), table_of_id("metal")
    ('materials', None, None)
    """
    prefix, slash, _ = written.partition("/")
    return _tables_by_prefix().get(prefix) if slash else None


@cache
def _tables_by_prefix() -> Mapping[str, str]:
    return MappingProxyType({prefix: table for table in ROW_CLASSES for prefix in prefixes_of(table)})
