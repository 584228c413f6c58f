"""The fingerprint of the tables: the same facts give the same digest, whatever their formatting.

Owns: canonical text of rows and its SHA-256. Does not own: versions chosen by people (`kb/tables/VERSION`).
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from enum import Enum
from operator import attrgetter
from typing import Any

from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

_PLAIN = (str, float, bool, int)


def tables_digest(rows: Mapping[str, tuple[Any, ...]]) -> str:
    """Return the SHA-256 over the canonical text of all tables, as 64 hexadecimal digits.

    Args:
        rows: table name -> typed rows; order of rows inside a table does not matter.
    """
    return digest_of({name: table_text(name, rows[name]) for name in ROW_CLASSES})


def digest_of(texts: Mapping[str, bytes]) -> str:
    """Return the digest of tables whose canonical texts are at hand.

    Args:
        texts: table name -> canonical text.
    """
    hasher = hashlib.sha256()
    for name in sorted(ROW_CLASSES):
        hasher.update(texts[name])
    return hasher.hexdigest()


def table_text(name: str, rows: tuple[Any, ...]) -> bytes:
    """Return the canonical text of a table: its name, its columns and its rows by id.

    Args:
        name: name of the table.
        rows: its typed rows.
    """
    names = [field.name for field in fields_of(ROW_CLASSES[name])]
    cells = attrgetter(*names)
    lines = [json.dumps([name, names])]
    for row in sorted(rows, key=attrgetter("id")):
        lines.append(json.dumps([canonical_cell(cell) for cell in cells(row)]))
    return "".join(lines).encode()


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
