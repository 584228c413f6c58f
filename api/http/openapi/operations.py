"""What the routes of a group have in common in their descriptions.

Owns: names, tags and declared error answers of operations. Does not own: what a route does, or the finished
description (`api/http/openapi/openapi.py`).
"""

from __future__ import annotations

import typing
from collections.abc import Mapping, Sequence
from enum import StrEnum
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel, WithJsonSchema

from api.http.problems.problem_kinds import (
    BODY_TOO_LARGE,
    BUSY,
    INTERNAL_ERROR,
    INVALID_QUESTION,
    MALFORMED_REQUEST,
    MALFORMED_URL,
    NOT_ACCEPTABLE,
    NOT_JSON,
    REPEATED_PARAMETER,
    REQUEST_TOO_SLOW,
    TOOK_TOO_LONG,
    UNKNOWN_ID,
    UNKNOWN_PARAMETER,
    UNSUPPORTED_MEDIA_TYPE,
    URL_TOO_LONG,
    VERSION_NOT_SERVED,
    ProblemKind,
)
from api.http.problems.problems import MEDIA_TYPE
from schemas.answers.problems import Problem
from schemas.questions.choices import LONGEST_ID

PROBLEM_REF = f"#/components/schemas/{Problem.__name__}"


class Tag(StrEnum):
    """Groups of operations."""

    QUESTIONS = "questions"
    BATCHES = "batches"
    TABLES = "tables"
    SERVICE = "service"


TAG_TEXTS: Mapping[Tag, str] = MappingProxyType(
    {
        Tag.QUESTIONS: "Ask whether parts, materials and fluids are compatible. POST takes ids or spec sheets, "
        "GET ids only.",
        Tag.BATCHES: "Ask the same thing of thousands: one question a line, one answer or problem a line, order kept.",
        Tag.TABLES: "Read the rows that answers cite.",
        Tag.SERVICE: "The service itself.",
    }
)

_WORD = "[a-z0-9]+(-[a-z0-9]+)*"
_ID = f"[a-z]+(-[a-z]+)*/{_WORD}"
ID_PATTERN = f"^{_ID}$"
_LONGEST = {"type": "string", "maxLength": LONGEST_ID}
ID_FORM = WithJsonSchema({**_LONGEST, "pattern": ID_PATTERN, "examples": ["thread/g-1-4"]})
IDS_FORM = WithJsonSchema({"type": "string", "pattern": f"^{_ID}(,{_ID})*$"})
NAMES_FORM = WithJsonSchema({"type": "string", "pattern": f"^({_WORD}(,{_WORD})*)?$"})
FAMILY_FORM = WithJsonSchema({**_LONGEST, "pattern": f"^family/{_WORD}$", "examples": ["family/plastic"]})
FLUID_FORM = WithJsonSchema({**_LONGEST, "pattern": f"^fluid/{_WORD}$", "examples": ["fluid/distilled-water"]})
WORD_FORM = WithJsonSchema({**_LONGEST, "pattern": "^[a-z0-9]+([_-][a-z0-9]+)*$"})

_ANY_REQUEST = (
    MALFORMED_REQUEST,
    MALFORMED_URL,
    URL_TOO_LONG,
    UNKNOWN_PARAMETER,
    REPEATED_PARAMETER,
    VERSION_NOT_SERVED,
    INTERNAL_ERROR,
)
_ANY_BODY = (NOT_JSON, REQUEST_TOO_SLOW, BODY_TOO_LARGE, UNSUPPORTED_MEDIA_TYPE)
_ANY_QUESTION = (INVALID_QUESTION, UNKNOWN_ID)
LONG = (BUSY, TOOK_TOO_LONG)  # of questions that wait for a place and have their time counted


def asking(operation_id: str, summary: str, *kinds: ProblemKind) -> dict[str, Any]:
    """Return the common settings of a route that takes a question as a body.

    Args:
        operation_id: permanent name of the operation.
        summary: what it does, in a line.
        kinds: problems that can happen here beyond those of every such question.
    """
    return _operation(operation_id, summary, Tag.QUESTIONS, (*_ANY_REQUEST, *_ANY_BODY, *_ANY_QUESTION, *kinds))


def batching(operation_id: str, summary: str, answer: Mapping[str, Any]) -> dict[str, Any]:
    """Return the common settings of a route that takes many questions as a body.

    Args:
        operation_id: permanent name of the operation.
        summary: what it does, in a line.
        answer: description of the answer.
    """
    settings = _operation(operation_id, summary, Tag.BATCHES, (*_ANY_REQUEST, *_ANY_BODY, INVALID_QUESTION, BUSY))
    answers = {200: dict(answer), 406: _problem_answer([NOT_ACCEPTABLE], 406)}
    return {**settings, "responses": {**settings["responses"], **answers}}


def asking_by_address(operation_id: str, summary: str, *kinds: ProblemKind) -> dict[str, Any]:
    """Return the common settings of a route that takes a question as query parameters.

    Args:
        operation_id: permanent name of the operation.
        summary: what it does, in a line.
        kinds: problems that can happen here beyond those of every such question.
    """
    return _operation(operation_id, summary, Tag.QUESTIONS, (*_ANY_REQUEST, *_ANY_QUESTION, *kinds))


def reading(
    operation_id: str, summary: str, tag: Tag, *kinds: ProblemKind, may_be_absent: bool = False
) -> dict[str, Any]:
    """Return the common settings of a route that reads something.

    Args:
        operation_id: permanent name of the operation.
        summary: what it does, in a line.
        tag: group it belongs to.
        kinds: problems that can happen here beyond those of every request.
        may_be_absent: whether the path names something that may not exist.
    """
    settings = _operation(operation_id, summary, tag, (*_ANY_REQUEST, *kinds))
    if may_be_absent:
        settings["responses"][404] = _problem_answer([UNKNOWN_ID], 404)
    return settings


def in_media_types(settings: Mapping[str, Any], *media_types: str) -> dict[str, Any]:
    """Return the settings of a route whose answer comes as JSON or in another form, as the request wishes.

    Args:
        settings: settings of the route as it were without other forms.
        media_types: the other forms, all of them text.
    """
    content = {media_type: {"schema": {"type": "string"}} for media_type in media_types}
    forms = {200: {"content": content}, 406: _problem_answer([NOT_ACCEPTABLE], 406)}
    return {**settings, "responses": {**settings["responses"], **forms}}


def condition_parameter() -> dict[str, Any]:
    """Return the description of the parameters `condition.<quantity>`: one object, spread over the query string."""
    return {
        "name": "conditions",
        "in": "query",
        "required": False,
        "style": "form",
        "explode": True,
        "description": "Circumstances, each as a parameter of its own: `condition.coolant-temperature=45`.",
        "schema": {
            "type": "object",
            "patternProperties": {r"^condition\.[a-z0-9]+(-[a-z0-9]+)*$": {"type": "number"}},
            "propertyNames": {"maxLength": len("condition.") + LONGEST_ID},
            "additionalProperties": False,
        },
    }


def form_of(model: type[BaseModel], field: str) -> WithJsonSchema:
    """Return the description of a parameter that a question's model bounds and checks.

    Args:
        model: the question's model.
        field: a field of it.
    """
    schema = model.model_json_schema()["properties"][field]
    return WithJsonSchema({name: said for name, said in schema.items() if name != "title"})


def listed(ids: str | None) -> tuple[str, ...]:
    """Return the ids of a parameter that takes several, separated by commas.

    >>> listed("metal/copper,metal/nickel"), listed(None)
    (('metal/copper', 'metal/nickel'), ())
    """
    return tuple(ids.split(",")) if ids else ()


def one_of(model: type[BaseModel], field: str) -> WithJsonSchema:
    """Return the description of a parameter whose words a question's model closes and checks.

    Args:
        model: the question's model.
        field: a field that is a `Literal`, or a `Literal` or none.
    """
    options = typing.get_args(model.model_fields[field].annotation)
    words = [word for option in options for word in (typing.get_args(option) or (option,)) if isinstance(word, str)]
    return WithJsonSchema({"type": "string", "enum": words})


def _operation(operation_id: str, summary: str, tag: Tag, kinds: tuple[ProblemKind, ...]) -> dict[str, Any]:
    by_status: dict[int, list[ProblemKind]] = {}
    for kind in kinds:
        by_status.setdefault(int(kind.status), []).append(kind)
    responses = {status: _problem_answer(group, status) for status, group in sorted(by_status.items())}
    return {
        "operation_id": operation_id,
        "summary": summary,
        "tags": [tag],
        "response_description": "The answer.",
        "responses": responses,
    }


def _problem_answer(kinds: Sequence[ProblemKind], status: int) -> dict[str, Any]:
    described = " ".join(f"[{kind.slug}]({kind.path}): {kind.title}." for kind in kinds)
    shown = {kind.slug: {"summary": kind.title, "value": _problem_example(kind, status)} for kind in kinds}
    content = {"schema": {"$ref": PROBLEM_REF}, "examples": shown}
    return {"description": described, "content": {MEDIA_TYPE: content}}


def _problem_example(kind: ProblemKind, status: int) -> dict[str, Any]:
    problem = Problem(
        type=kind.path, title=kind.title, status=status, detail=kind.meaning, instance="/v1/...", errors=()
    )
    return problem.to_dict()
