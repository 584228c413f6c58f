"""Batches in the description of the API: their bodies, their entries, and an example that is really answered.

Owns: what is particular to batches there. Does not own: the rest of the description (`api/http/openapi/openapi.py`),
or the questions (`api/http/openapi/examples.py`).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from api.http.batch.entries import Asking, answered
from api.http.batch.request_stream import Parsed
from api.http.batch.response import NDJSON
from api.http.responses.answers import JSON
from api.http.settings import Settings
from kb.knowledge_base import KnowledgeBase
from schemas.answers.problems import Problem

SHOWN_REQUEST = "batch-1"  # name of the request in the examples
_COMPONENTS = "#/components/schemas/"


def batch_body(asking: Asking, settings: Settings) -> dict[str, Any]:
    """Return the description of a batch's body, in both its forms; lines are described as the array they stand for."""
    question = {"$ref": f"{_COMPONENTS}{asking.question.__name__}"}
    anything = {"description": "Whatever is no such question is answered with a problem of its own."}
    most = {"minItems": 1, "maxItems": settings.most_batch_questions}
    array = {"type": "array", **most, "items": {"anyOf": [question, anything]}}
    lines = {**array, "description": f"One question a line; most {settings.largest_batch_bytes} bytes."}
    return {"required": True, "content": {NDJSON: {"schema": lines}, JSON: {"schema": array}}}


def batch_answer(asking: Asking) -> dict[str, Any]:
    """Return the description of a batch's answer."""
    entries = {"type": "array", "items": {"$ref": f"{_COMPONENTS}{entry_name(asking)}"}}
    schema = {**entries, "description": "One line an entry, in the order of the questions."}
    return {"description": "The answers, as they are made.", "content": {NDJSON: {"schema": schema}}}


def entry_name(asking: Asking) -> str:
    """Return the name of the schema of a batch's entries."""
    return f"{asking.word.title()}Entry"


def entry_schema(asking: Asking) -> dict[str, Any]:
    """Return the schema of a batch's entries: an index with either an answer or a problem."""
    return {
        "title": entry_name(asking),
        "type": "object",
        "properties": {
            "index": {"type": "integer", "minimum": 0, "description": "Place of the question in the batch, from 0."},
            "answer": {"$ref": f"{_COMPONENTS}{asking.answer.__name__}"},
            "problem": {"$ref": f"{_COMPONENTS}{Problem.__name__}"},
        },
        "required": ["index"],
        "oneOf": [{"required": ["answer"]}, {"required": ["problem"]}],
        "additionalProperties": False,
    }


def show_batch(
    operation: dict[str, Any], asking: Asking, questions: Sequence[Mapping[str, Any]], base: KnowledgeBase
) -> None:
    """Write an example and the answers it really gets into the description of a batch."""
    plain = [dict(question) for question in questions]
    reported = answered(base, asking, 0, [Parsed(question) for question in plain], request_id=SHOWN_REQUEST)
    content = operation["requestBody"]["content"]
    content[JSON]["example"] = plain
    content[NDJSON]["example"] = "".join(f"{json.dumps(question)}\n" for question in plain)
    operation["responses"]["200"]["content"][NDJSON]["example"] = reported.decode()
