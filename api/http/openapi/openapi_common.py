"""What the description says of every operation alike: request names, pinned versions, entity tags, what will go.

Owns: describing what the middleware does. Does not own: doing it (`api/http/responses/middleware.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from api.http.openapi.deprecations import Deprecation
from api.http.responses.answers import MAY_BE_CACHED

_TEXT = {"type": "string"}
_SAID_ALWAYS = {
    "X-Request-ID": "Name of this request: the one that it came with, if that was sane, else a new one.",
    "Wetted-Version": "Version of the tables that gave this answer.",
}
_SAID_OF_CACHED = {
    "ETag": "Fingerprint of base and question; send it as If-None-Match to hear whether the answer has changed.",
    "Cache-Control": f"{MAY_BE_CACHED}, and for how many seconds, if anyone may keep the answer; else no-store.",
}
_UNCHANGED = {"description": "The answer is the one that If-None-Match names."}


def describe_common_responses(described: dict[str, Any], kb_version: str, deprecated: Iterable[Deprecation]) -> None:
    """Write into a description what holds for all of its operations.

    Args:
        described: the description, which is changed.
        kb_version: version of the base that answers.
        deprecated: addresses that will go.
    """
    for method, operation in _operations(described):
        operation.setdefault("parameters", []).extend(_parameters(method, kb_version))
        for status, response in operation["responses"].items():
            said = _SAID_ALWAYS | (_SAID_OF_CACHED if (method, status) == ("get", "200") else {})
            headers = {name: {"description": text, "schema": _TEXT} for name, text in said.items()}
            response["headers"] = headers | response.get("headers", {})
        if method == "get":
            operation["responses"]["304"] = _UNCHANGED
    for one in deprecated:
        described["paths"][one.path][one.method.lower()]["deprecated"] = True


def _operations(described: dict[str, Any]) -> Iterator[tuple[str, dict[str, Any]]]:
    for operations in described["paths"].values():
        yield from operations.items()


def _parameters(method: str, kb_version: str) -> Iterator[dict[str, Any]]:
    yield _parameter("X-Request-ID", "A name for this request, which answer and log will carry.", _TEXT, "order-7")
    pin, text = {**_TEXT, "enum": [kb_version]}, "Refuse to answer from any other version of the tables than this one."
    yield _parameter("Wetted-Version", text, pin, kb_version)
    if method == "get":
        yield _parameter("If-None-Match", "Entity tags of answers that you have already.", _TEXT, '"0123456789abcdef"')


def _parameter(name: str, text: str, schema: dict[str, Any], example: str) -> dict[str, Any]:
    said = {"name": name, "in": "header", "required": False, "description": text, "schema": schema}
    return {**said, "examples": {"usual": {"value": example}}}
