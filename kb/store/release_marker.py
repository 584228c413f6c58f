"""What a release says of itself: which tables it holds, by version and digest.

Owns: the marker (`release.json` in the folder, one row in the DuckDB file), which columns a release is made for, and
which paths mean a release.
Does not own: building or reading releases.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict, dataclass
from pathlib import Path

from kb.store.frozen import BuiltTables
from schemas.columns.columns import fields_of
from schemas.tables import ROW_CLASSES

MARKER_FILE = "release.json"
DATABASE_FILE = "wetted.duckdb"
RELEASE_OF = "wetted"


@dataclass(frozen=True, slots=True)
class Marker:
    """What a release says of itself.

    Attributes:
        release_of: always `wetted`.
        version: calendar version of the tables.
        digest: SHA-256 over the canonical tables.
        columns: SHA-256 over the names of all tables and columns; a program with other ones cannot read the release.
    """

    release_of: str
    version: str
    digest: str
    columns: str

    def to_json(self) -> bytes:
        """Return the marker as the content of `release.json`."""
        return (json.dumps(asdict(self), indent=2) + "\n").encode()


def is_release(path: Path) -> bool:
    """Return whether a path means a release, whole or not: a DuckDB file, or a folder with a marker or such a file."""
    return path.suffix == ".duckdb" or (path / MARKER_FILE).is_file() or (path / DATABASE_FILE).is_file()


def marker_of(tables: BuiltTables) -> Marker:
    """Return the marker of a release of these tables."""
    return Marker(RELEASE_OF, tables.version, tables.digest, columns_digest())


def marker_from_json(content: bytes) -> Marker:
    """Return the marker that the content of `release.json` holds.

    Raises:
        ValueError: if it holds anything else.
    """
    found = json.loads(content)
    if not isinstance(found, dict) or not all(isinstance(text, str) for text in found.values()):
        raise ValueError("it is not the marker of a release")
    try:
        marker = Marker(**found)
    except TypeError:
        raise ValueError("it is not the marker of a release") from None
    if marker.release_of != RELEASE_OF:
        raise ValueError("it marks a release of something else")
    return marker


def columns_digest() -> str:
    """Return the SHA-256 over the names of all tables and columns of this program."""
    names = [[name, [field.name for field in fields_of(row_class)]] for name, row_class in sorted(ROW_CLASSES.items())]
    return hashlib.sha256(json.dumps(names).encode()).hexdigest()
