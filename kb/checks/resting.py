"""Which rows rest on a document: active rows whose value was published or measured.

Owns: that one selection, for the checks of sources. Does not own: what is asked of such rows.
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.typed_rows import Tables
from schemas.columns.provenance import Basis, Sourced

ON_A_DOCUMENT = (Basis.PUBLISHED, Basis.MEASURED)


def resting_rows(tables: Tables) -> Iterator[Sourced]:
    """Yield every active row of every table whose basis is published or measured."""
    for rows in tables.rows.values():
        for row in rows:
            if isinstance(row, Sourced) and row.basis in ON_A_DOCUMENT and row.withdrawn_on is None:
                yield row
