"""The service against requests made up from its description, within a fixed budget; scripts/fuzz.py asks for longer."""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from generated_requests import Run, described_api, run_generated
from schemathesis.specs.openapi.schemas import OpenApiSchema

MOST_EXAMPLES = 12
FEWEST_REQUESTS = 1000
FEWEST_FOLLOWED = 20


@pytest.fixture(scope="module")
def api(app: FastAPI) -> OpenApiSchema:
    return described_api(app, MOST_EXAMPLES, seed=1)


@pytest.fixture(scope="module")
def run(api: OpenApiSchema) -> Run:
    return run_generated(api)


def test_generated_requests_are_answered_as_described(run: Run) -> None:
    assert not run.failures, "\n\n".join(run.failures)


def test_every_operation_was_asked(run: Run, api: OpenApiSchema) -> None:
    operations = {operation.ok().label for operation in api.get_all_operations()}
    assert operations <= set(run.requests)
    assert run.requests.total() >= FEWEST_REQUESTS


def test_links_were_followed(run: Run) -> None:
    assert run.requests["Stateful tests"] >= FEWEST_FOLLOWED
