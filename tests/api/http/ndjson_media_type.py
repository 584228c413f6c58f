"""What schemathesis needs to know to write and read lines of JSON, which the description describes as arrays."""

from __future__ import annotations

import json
from typing import Any

import schemathesis

NDJSON = "application/x-ndjson"


@schemathesis.serializer(NDJSON)
def written(ctx: Any, value: Any) -> bytes:  # noqa: ARG001 - the form of a serializer
    """Return a list as lines; what is no list cannot be written as lines at all, so nothing is sent."""
    if not isinstance(value, list):
        return b""
    return b"".join(json.dumps(one).encode() + b"\n" for one in value)


@schemathesis.deserializer(NDJSON)
def read(ctx: Any, response: Any) -> Any:  # noqa: ARG001 - the form of a deserializer
    return [json.loads(line) for line in response.content.splitlines()]
