"""Requests made up from the description, well-formed and malformed, held against the description."""

from __future__ import annotations

import pytest
import schemathesis
from fastapi import FastAPI
from hypothesis import HealthCheck, Phase, settings
from schemathesis.specs.openapi.schemas import OpenApiSchema


@pytest.fixture(scope="module")
def described_api(app: FastAPI) -> OpenApiSchema:
    return schemathesis.openapi.from_asgi("/openapi.json", app)


schema = schemathesis.pytest.from_fixture("described_api")


@schema.parametrize()
@settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_generated_requests_are_answered_as_described(case: schemathesis.Case) -> None:
    case.call_and_validate()
