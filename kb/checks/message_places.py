"""The words of a message use the places that the program fills, each of them and no other.

Owns: places in words. Does not own: which places a message has (`schemas/messages.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.messages import MESSAGES
from schemas.tables.messages import Message

CODE = "MSG-002"
PROMISE = "The words of a message use every place that the program fills, and no other."
_PLACE = re.compile(r"\{([a-z_]+)\}")


_BY_ROW = {message.row_id: message for message in MESSAGES}


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every place that is unknown or unused, and for braces that name none."""
    for row in tables.of(Message):
        message = _BY_ROW.get(row.id)
        if message is not None:
            if set(row.places) != set(message.places):
                fix = f"write {' '.join(message.places)}" if message.places else "leave it empty"
                yield tables.fault(row, "places", CODE, "are not the places that the program fills", fix)
            yield from _of_words(tables, row, message.places)


def _of_words(tables: Tables, row: Message, filled: tuple[str, ...]) -> Iterator[Fault]:
    used = set()
    for column in ("sentence", "remedy"):
        text = getattr(row, column) or ""
        names = _PLACE.findall(text)
        used.update(names)
        if set("{}") & set(_PLACE.sub("", text)):
            yield tables.fault(row, column, CODE, "has braces around no name", "write a place as {name}")
        unknown = sorted({name for name in names if name not in filled})
        if unknown:
            fix = f"use {_listed(filled)}" if filled else "write it without places"
            yield tables.fault(row, column, CODE, f"the program does not fill {_listed(unknown)}", fix)
    unused = [name for name in filled if name not in used]
    if unused:
        yield tables.fault(row, "sentence", CODE, f"does not say {_listed(unused)}", "put each place where it belongs")


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f"{{{name}}}" for name in names)
