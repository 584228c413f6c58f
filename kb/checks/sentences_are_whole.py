"""What is shown as a sentence begins large and ends with a full stop.

Owns: the form of sentences. Does not own: what they say.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from kb.store.faults import Fault
from kb.store.typed_rows import Tables

_SENTENCE = re.compile(r"(pH|[A-Z0-9]).*\.")
_SENTENCES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "rules": ("reason", "remedy", "level_reason"),
        "requirements": ("sentence", "how_it_is_met", "how_it_is_checked"),
        "limits": ("consequence", "remedy", "level_reason"),
        "disputes": ("reason",),
        "cautions": ("text",),
        "families": ("description",),
        "quantities": ("description",),
        "formulas": ("validity",),
    }
)

CODE = "TXT-001"
PROMISE = "What is shown as a sentence begins large and ends with a full stop."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every text shown as a sentence that is none by its form."""
    for table, columns in _SENTENCES.items():
        for row in tables.rows.get(table, ()):
            for column in columns:
                text = getattr(row, column)
                if text is not None and not _SENTENCE.fullmatch(text):
                    fix = "begin with a capital or a figure, end with a full stop"
                    yield tables.fault(row, column, CODE, f"{text[:40]!r} is no whole sentence", fix)
