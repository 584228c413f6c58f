"""Requests made up from a description, well-formed and malformed, and every answer held against the description."""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Iterator
from typing import Any, NamedTuple

import ndjson_media_type  # noqa: F401 - tells schemathesis about lines of JSON
import schemathesis
from fastapi import FastAPI
from pydantic import ValidationError
from schemathesis.config import SchemathesisConfig
from schemathesis.core.errors import InvalidSchema
from schemathesis.engine import Status, events, from_schema
from schemathesis.engine.recorder import ScenarioRecorder
from schemathesis.generation.meta import TestPhase
from schemathesis.specs.openapi.schemas import OpenApiSchema

from api.http.requests.strict_json import parse_json
from api.http.responses.middleware import VERSION_HEADER
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import (
    INLINE_KINDS,
    BetweenQuestion,
    FindQuestion,
    MatrixQuestion,
    MixQuestion,
    PairQuestion,
    PartnersQuestion,
    SuitableFluidsQuestion,
    SuitableMaterialsQuestion,
)

FORMS = {
    "/v1/pair": PairQuestion,
    "/v1/partners": PartnersQuestion,
    "/v1/between": BetweenQuestion,
    "/v1/find": FindQuestion,
    "/v1/loop": LoopQuestion,
    "/v1/fluids": SuitableFluidsQuestion,
    "/v1/materials": SuitableMaterialsQuestion,
    "/v1/matrix": MatrixQuestion,
    "/v1/mix": MixQuestion,
}
SAID_BY_ROWS = re.compile(r" lies outside .+, the range of |; this field takes | holds no |nobody knows what ")
PATIENCE_S = 60  # describing the service takes 3 s, and many times that on a busy machine
BATCHES = "/v1/batch/"
ONE_IN = 3
INLINE = {part.__name__ for part in INLINE_KINDS.values()}
LENGTH_TEXTS = {name for part in INLINE_KINDS.values() for name in part.lengths}


class Run(NamedTuple):
    """What came out: failures in words, how many requests each operation got, and where no more could be made up."""

    failures: list[str]
    requests: Counter[str]
    sorts: set[tuple[str, str]]  # of operation and `positive` or `negative`: well-formed and malformed
    given_up: list[str]


def refused_by_what_is_known(recorder: ScenarioRecorder, case_id: str) -> bool:
    """Return whether a well-formed request was refused for what the tables say, which no description can foresee."""
    response = recorder.interactions[case_id].response
    assert response is not None
    problem = json.loads(response.content)
    if problem["type"] == "/problems/unknown-id":
        return True
    if problem["errors"] and all(SAID_BY_ROWS.search(error["what"]) for error in problem["errors"]):
        return True
    case: Any = recorder.cases[case_id].value
    asked = listed(case.query) if case.method == "GET" else case.body
    try:
        FORMS[case.path].model_validate(parse_json(json.dumps(asked).encode()))  # JSON has one sort of number
    except ValidationError as error:
        return all(set(found["loc"][-1:]) & {f"{name}_mm" for name in LENGTH_TEXTS} for found in error.errors())
    return True


def listed(query: dict[str, Any]) -> dict[str, object]:
    """Return the question that an address asks, without its circumstances."""
    several = ("parts", "additives", "verdicts", "met")
    said = {name: value for name, value in query.items() if not name.startswith("condition")}
    return {name: value.split(",") if name in several else value for name, value in said.items()}


def failures_of(recorder: ScenarioRecorder) -> Iterator[str]:
    for case_id, checks in recorder.checks.items():
        for check in checks:
            if check.status is not Status.FAILURE or check.failure_info is None:
                continue
            if check.name == "positive_data_acceptance" and refused_by_what_is_known(recorder, case_id):
                continue
            found = check.failure_info
            yield f"{recorder.label} {check.name}: {found.failure.message}\n{found.code_sample}"


def described_api(app: FastAPI, most_examples: int, seed: int) -> OpenApiSchema:
    """Return the API as an application describes it.

    Args:
        app: the application.
        most_examples: requests for each operation and phase.
        seed: what the chances follow from.
    """
    config = SchemathesisConfig(seed=seed)
    api = schemathesis.openapi.from_asgi("/openapi.json", app, config=config, timeout=PATIENCE_S)
    for operations in api.raw_schema["paths"].values():
        for operation in operations.values():  # a made-up pin is refused before anything else is looked at
            operation["parameters"] = [one for one in operation["parameters"] if one["name"] != VERSION_HEADER]
    api.config.generation.update(max_examples=most_examples, deterministic=True)
    return api


def shorten(api: OpenApiSchema) -> None:
    """Leave what no request is the first to try, so that a run takes seconds: parts are described by spec sheet in
    pairs alone, entries of batches are those of their example or anything, one systematic case in `ONE_IN` is asked,
    and nothing is drawn at random.
    """
    for path, operations in api.raw_schema["paths"].items():
        if path.startswith(BATCHES):
            for form in operations["post"]["requestBody"]["content"].values():
                form["schema"]["items"] = {}
    for name, schema in api.raw_schema["components"]["schemas"].items():
        if name != PairQuestion.__name__:
            name_parts(schema)
    api.config.phases.fuzzing.enabled = False
    seen: Counter[tuple[str, str]] = Counter()

    @api.hook
    def filter_case(context: Any, case: Any) -> bool:
        if case.meta.phase.name is not TestPhase.COVERAGE:
            return True
        kind = (context.operation.label, case.meta.generation.mode.value)
        seen[kind] += 1
        return seen[kind] % ONE_IN == 1


def name_parts(schema: Any) -> None:
    """Take descriptions of parts out of a schema wherever the id of a part does as well."""
    if isinstance(schema, list):
        for within in schema:
            name_parts(within)
    if isinstance(schema, dict):
        sorts = schema.get("anyOf", ())
        if INLINE & {str(one.get("$ref")).rpartition("/")[2] for one in sorts}:
            schema["anyOf"] = [one for one in sorts if "$ref" not in one]
        name_parts(list(schema.values()))


def sorts_of(recorder: ScenarioRecorder) -> set[str]:
    """Return which sorts of requests were sent: `positive`, `negative`."""
    sent = (recorder.cases[case_id].value for case_id in recorder.interactions)
    return {case.meta.generation.mode.value for case in sent if case.meta is not None}


def run_generated(api: OpenApiSchema) -> Run:
    """Run all phases and all default checks over a whole description."""
    run = Run([], Counter(), set(), [])
    for event in from_schema(api).execute():
        if isinstance(event, events.ScenarioFinished):
            run.failures.extend(failures_of(event.recorder))
            run.requests[event.recorder.label] += len(event.recorder.interactions)
            run.sorts.update((event.recorder.label, sort) for sort in sorts_of(event.recorder))
        elif isinstance(event, events.NonFatalError) and isinstance(event.value, InvalidSchema):
            run.given_up.append(f"{event.label}: {event.value}")  # a twisted schema that the generator cannot take
        elif isinstance(event, events.NonFatalError):
            run.failures.append(f"{event.label}: {event.value!r}")
        elif isinstance(event, events.FatalError):
            raise event.exception
    return run
