"""Every message that the program can say has its row, and every row is said.

Owns: holding codes and rows together. Does not own: what the words of a row may hold (`message_places.py`).
"""

from __future__ import annotations

from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.messages import MESSAGES
from schemas.tables.messages import Message

CODE = "MSG-001"
PROMISE = "Every message that the program can say has its row, and every row is a message that it can say."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every row that nothing says, and for every message without a row."""
    rows = tables.of(Message)
    said = {message.row_id for message in MESSAGES}
    for row in rows:
        if row.id not in said:
            yield tables.fault(row, "id", CODE, "the program has no such message", "declare it, or take the row out")
    for message in sorted(said - {row.id for row in rows}):
        what = f"{message} is declared in schemas/messages.py, and no row words it"
        yield Fault(f"{Message.table}.csv", 1, "id", CODE, message, what, "add its row")
