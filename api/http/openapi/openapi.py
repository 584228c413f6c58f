"""The description of the API (OpenAPI 3.1), with examples that are real.

Owns: finishing the framework's description: problem documents, examples and their answers. Does not own: the routes.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import cache
from typing import Any

from fastapi import FastAPI
from fastapi.openapi.utils import get_openapi

from api.http.openapi.batch_description import entry_name, entry_schema, show_batch
from api.http.openapi.examples import Example, batch_example, examples
from api.http.openapi.openapi_common import describe_common_responses
from api.http.openapi.openapi_links import describe_links
from api.http.openapi.operations import TAG_TEXTS
from api.http.openapi.pages import HTML
from api.http.responses.answers import JSON
from api.http.responses.csv_answers import CSV, matrix_csv, records_csv
from api.http.routes.batch import ASKINGS
from kb.knowledge_base import KnowledgeBase
from kb.parts.ranges import describe_ranges
from schemas.answers.answers import MatrixAnswer, RecordsAnswer
from schemas.answers.base import AnswerModel
from schemas.answers.problems import FieldProblem, Problem
from schemas.questions.question_schemas import complete_questions
from schemas.tables.quantities import Quantity

DESCRIPTION = """\
Answers carry the version of the tables that gave them. Every part is an id such as `thread/g-1-4`, or is described by
its spec sheet. Verdicts are `compatible`, `conditional`, `unknown` and `incompatible`; no data is `unknown`.

Everything refused is a problem document (RFC 9457) that names the field, what is wrong and what to do; see
[/problems](/problems). Unknown fields and parameters are refused, never ignored. HEAD works wherever GET does, and
OPTIONS names the methods of an address.

Answers to GET carry an entity tag made of base and question: ask again with If-None-Match, and you hear 304 as long as
nothing has changed. Wetted-Version pins the version of the tables; another one than those served is refused with 412.
Addresses that will go say so in the headers Deprecation and Sunset.
"""


def describer(app: FastAPI, base: KnowledgeBase) -> Callable[[], bytes]:
    """Return a function that gives the description of an application as JSON, made when first asked for."""

    @cache
    def description() -> bytes:
        return json.dumps(describe(app, base), ensure_ascii=False).encode()

    return description


def describe(app: FastAPI, base: KnowledgeBase) -> dict[str, Any]:
    """Return the description of an application.

    Args:
        app: the application.
        base: answers the example questions.
    """
    tags = [{"name": tag.value, "description": text} for tag, text in TAG_TEXTS.items()]
    described = get_openapi(
        title=app.title,
        version=app.version,
        summary=app.summary,
        description=DESCRIPTION,
        license_info=app.license_info,
        tags=tags,
        routes=app.routes,
    )
    _drop_foreign_errors(described)
    complete_questions(described["components"]["schemas"])
    describe_ranges(described["components"]["schemas"], base.snapshot.active(Quantity))
    described["components"]["schemas"] |= _schemas(Problem, FieldProblem)
    by_id = {example.operation_id: example for example in examples()}
    for operations in described["paths"].values():
        for operation in operations.values():
            example = by_id.get(operation["operationId"])
            if example is not None:
                _show(operation, example, base)
    for asking in ASKINGS:
        described["components"]["schemas"][entry_name(asking)] = entry_schema(asking)
        show_batch(described["paths"][asking.path]["post"], asking, batch_example(asking.word), base)
    describe_common_responses(described, base.version, app.state.deprecated)
    describe_links(described)
    return described


def _drop_foreign_errors(described: dict[str, Any]) -> None:
    """Take out the framework's own validation error, which it declares where we declare no 422."""
    for name in ("HTTPValidationError", "ValidationError"):
        described["components"]["schemas"].pop(name, None)
    for operations in described["paths"].values():
        for operation in operations.values():
            if JSON in operation["responses"].get("422", {}).get("content", {}):
                del operation["responses"]["422"]


def _schemas(*models: type[AnswerModel]) -> dict[str, Any]:
    made = {}
    for model in models:
        schema = model.json_schema("#/components/schemas/{model}")
        schema.pop("$defs", None)
        made[model.__name__] = schema
    return made


def _show(operation: dict[str, Any], example: Example, base: KnowledgeBase) -> None:
    """Write an example and the answer it really gets into an operation."""
    answer, content = example.answer(base), operation["responses"]["200"]["content"]
    content[JSON]["example"] = answer.to_dict()
    if isinstance(answer, MatrixAnswer):
        content[CSV]["example"] = matrix_csv(answer)
    if isinstance(answer, RecordsAnswer):
        content[CSV]["example"] = records_csv(answer)
    if example.page is not None:
        content[HTML]["example"] = bytes(example.page().body).decode()
    if example.body is not None:
        operation["requestBody"]["content"][JSON]["example"] = dict(example.body)
    for parameter in operation.get("parameters", ()):
        if parameter["name"] in example.parameters:
            parameter["example"] = example.parameters[parameter["name"]]
        elif parameter["name"] in example.beside:
            parameter["examples"] = {"other": {"value": example.beside[parameter["name"]]}}
