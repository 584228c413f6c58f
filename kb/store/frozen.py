"""Tables as they are once validated: immutable rows with version and digest.

Owns: that shape, and the hash that names what is kept between starts. Does not own: how tables get there (`kb/load.py`,
`kb/store/release_reader.py`).
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True, slots=True)
class ReadTable:
    """What a table was read from.

    Attributes:
        file_digest: hash of its file.
        text: its canonical text.
    """

    file_digest: str
    text: bytes


@dataclass(frozen=True, slots=True)
class BuiltTables:
    """Validated tables as read back from DuckDB.

    Attributes:
        rows: table name -> rows sorted by id.
        version: calendar version chosen by the curators, such as `2026.11.0`.
        digest: SHA-256 over the canonical tables, 64 hexadecimal digits.
        read_from: what the tables were read from, so that the next ones share those that did not change.
    """

    rows: Mapping[str, tuple[Any, ...]]
    version: str
    digest: str
    read_from: Mapping[str, ReadTable] = field(default_factory=dict, repr=False, compare=False)

    @property
    def full_version(self) -> str:
        """Calendar version and the first twelve digits of the digest, as every answer carries it."""
        return f"{self.version}+{self.digest[:12]}"


def content_key(named: Iterable[tuple[str, bytes]]) -> str:
    """Return a hash of names and contents, as 64 hexadecimal digits; it names what is kept between starts."""
    hasher = hashlib.sha256()
    for name, content in named:
        hasher.update(f"{name}\0{len(content)}\0".encode())
        hasher.update(content)
    return hasher.hexdigest()
