"""The fingerprint of the tables: the same facts give the same digest, whatever their formatting.

Owns: canonical text of rows and its SHA-256. Does not own: versions chosen by people (`kb/tables/VERSION`).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from enum import Enum
from typing import Any

from schemas.columns import fields_of
from schemas.tables import ROW_CLASSES

_PLAIN = (str, float, bool, int)


def tables_digest(rows: Mapping[str, tuple[Any, ...]]) -> str:
    """Return the SHA-256 over the canonical text of all tables, as 64 hexadecimal digits.

    Args:
        rows: table name -> typed rows; order of rows inside a table does not matter.
    """
    hasher = hashlib.sha256()
    for name, row_class in sorted(ROW_CLASSES.items()):
        names = [field.name for field in fields_of(row_class)]
        hasher.update(json.dumps([name, names]).encode())
        for row in sorted(rows[name], key=lambda row: row.id):
            hasher.update(json.dumps([canonical_cell(getattr(row, column)) for column in names]).encode())
    return hasher.hexdigest()


def canonical_cell(value: Any) -> Any:
    """Return a cell in the one form that is hashed and stored: text, number, yes/no, list or nothing.

    >>> canonical_cell(date(2026, 11, 25))
    '2026-11-25'
    """
    if value is None or type(value) in _PLAIN:
        return value
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, date):
        return value.isoformat()
    return list(value) if isinstance(value, tuple) else value
