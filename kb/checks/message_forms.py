"""Sentences of the program are whole, phrases fit into one, and only what is not known has a remedy.

Owns: the form of messages. Does not own: that of other tables (`sentences_are_whole.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.messages import Gap
from schemas.tables.messages import Message, MessageKind

CODE = "MSG-003"
PROMISE = "A message is a whole sentence or a phrase, as its kind says; only one of the kind gap has a remedy."
_SENTENCE = re.compile(r"[A-Z{].*[.}]")


_GAPS = frozenset(gap.row_id for gap in Gap)


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every message whose form is not that of its kind."""
    for row in tables.of(Message):
        if (row.kind is MessageKind.GAP) != (row.id in _GAPS):
            fix = "write gap for what is not known, sentence or phrase for all else"
            yield tables.fault(row, "kind", CODE, "is not the kind of this message", fix)
        if row.remedy is not None and row.kind is not MessageKind.GAP:
            yield tables.fault(row, "remedy", CODE, "only a gap has a remedy", "leave it empty")
        yield from _of_form(tables, row)


def _of_form(tables: Tables, row: Message) -> Iterator[Fault]:
    if row.kind is MessageKind.PHRASE:
        if row.sentence.endswith("."):
            yield tables.fault(row, "sentence", CODE, "a phrase ends a sentence", "leave out the full stop")
        return
    for column in ("sentence", "remedy"):
        text = getattr(row, column)
        if text is not None and not _SENTENCE.fullmatch(text):
            fix = "begin with a capital or a place, end with a full stop or a place"
            yield tables.fault(row, column, CODE, f"{text[:40]!r} is no whole sentence", fix)
