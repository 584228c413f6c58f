"""The tables as one text file: what most starts read in place of the DuckDB file that it was made from.

Owns: canonical texts -> file -> typed rows, held against the digest. Does not own: the texts and their digest
(`kb/store/digest.py`), or when a file is made and believed (`kb/load.py`).
The file is the very text whose SHA-256 is the digest of the tables, so one hash vouches for every cell; and it is JSON,
which holds data and nothing that could be run.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from hashlib import sha256
from json import JSONDecoder
from pathlib import Path
from types import MappingProxyType
from typing import Any, NamedTuple

from kb.store.stored_rows import typed_rows
from schemas.tables import ROW_CLASSES

TEXT_FILE = ".tables"


class TextTables(NamedTuple):
    """What a text file holds.

    Attributes:
        rows: table name -> typed rows, sorted by id.
        texts: table name -> canonical text.
    """

    rows: Mapping[str, tuple[Any, ...]]
    texts: Mapping[str, bytes]


class _Table(NamedTuple):
    columns: list[str]
    records: list[list[Any]]
    text: bytes


def write_text(path: Path, texts: Mapping[str, bytes]) -> None:
    """Write the tables to a text file that appears whole or not at all.

    Args:
        path: where the file shall stand; its folder must exist.
        texts: table name -> canonical text.

    Raises:
        OSError: if it cannot be written.
    """
    from kb.store.temp_folder import TEMPORARY_PREFIX, temporary_folder  # noqa: PLC0415 - most starts only read

    with temporary_folder(path.parent, TEMPORARY_PREFIX) as folder:
        draft = folder / "tables"
        with draft.open("wb") as file:
            file.writelines(texts[name] for name in sorted(texts))
            file.flush()
            os.fsync(file.fileno())
        draft.replace(path)


def read_text(content: bytes, digest: str, known: Mapping[str, tuple[Any, ...]] = MappingProxyType({})) -> TextTables:
    """Return the tables that a text file holds.

    Args:
        content: the file.
        digest: what the tables must have, 64 hexadecimal digits.
        known: table name -> rows that are known to stand there; they are not made again.

    Raises:
        ValueError: if it has another digest, is no canonical text, or a cell cannot be read as its column's type.
        LookupError: if a table or column is missing or unknown, or a cell holds a word its column does not allow.
        TypeError: if something else stands where a table, row or cell is expected.
    """
    if sha256(content).hexdigest() != digest:
        raise ValueError("the tables have another digest")
    tables = _tables(content)
    rows = {
        name: known[name] if name in known else typed_rows(name, tables[name].columns, tables[name].records)
        for name in ROW_CLASSES
    }
    return TextTables(MappingProxyType(rows), {name: tables[name].text for name in ROW_CLASSES})


def _tables(content: bytes) -> dict[str, _Table]:
    """Take canonical texts apart: a head `[table, [column, ...]]`, then one list a row."""
    tables: dict[str, _Table] = {}
    lines = list(_lines(content.decode("ascii")))
    heads = [at for at, (line, _) in enumerate(lines) if len(line) == 2 and isinstance(line[1], list)]  # noqa: PLR2004
    for head, end in zip(heads, [*heads[1:], len(lines)], strict=True):
        (name, columns), _ = lines[head]
        start = lines[head - 1][1] if head else 0
        records = [line for line, _ in lines[head + 1 : end]]
        tables[name] = _Table(columns, records, content[start : lines[end - 1][1]])
    return tables


def _lines(text: str) -> Iterator[tuple[list[Any], int]]:
    """Yield every JSON list of a text with the place where it ends."""
    decode = JSONDecoder().raw_decode
    end = 0
    while end < len(text):
        line, end = decode(text, end)
        yield line, end
