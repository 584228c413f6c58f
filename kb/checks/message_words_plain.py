"""What stands in a message with an underscore is a field that a question has.

Owns: names of fields in messages. Does not own: the fields (`schemas/questions/`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.tables.messages import Message

CODE = "MSG-004"
PROMISE = "A name with an underscore in a message is a field of a question."
_PLACE = re.compile(r"\{[a-z_]+\}")
_NAME = re.compile(r"[a-z0-9]+(?:_[a-z0-9]+)+")


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every name with an underscore that no question about a loop takes."""
    from schemas.questions.loop import LoopQuestion  # noqa: PLC0415 - the model takes long to build

    schema = LoopQuestion.model_json_schema()
    fields = {name for model in (schema, *schema["$defs"].values()) for name in model.get("properties", ())}
    for row in tables.of(Message):
        for column in ("sentence", "remedy"):
            unknown = set(_NAME.findall(_PLACE.sub("", getattr(row, column) or ""))) - fields
            for name in sorted(unknown):
                fix = "write plain words, or the field as it is spelt now"
                yield tables.fault(row, column, CODE, f"no question has the field {name!r}", fix)
