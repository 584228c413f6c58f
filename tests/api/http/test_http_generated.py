"""The service against requests made up from its description, within a small fixed budget.

`scripts/trials/fuzz.py` makes the long run: what the description allows and what it forbids, drawn at random.
"""

from __future__ import annotations

import pytest
from fastapi import FastAPI
from generated_requests import described_api, run_generated, shorten

FEWEST_REQUESTS = 1000
FEWEST_FOLLOWED = 20


@pytest.mark.long
def test_generated_requests_are_answered_as_described_and_links_followed(app: FastAPI) -> None:
    """One test, because several workers would each make the whole run for a share of it."""
    api = described_api(app, most_examples=3, seed=1)
    shorten(api)
    run = run_generated(api)
    assert not run.failures, "\n\n".join(run.failures)
    assert not run.given_up
    operations = {operation.ok().label for operation in api.get_all_operations()}
    assert {(operation, sort) for operation in operations for sort in ("positive", "negative")} <= run.sorts
    assert run.requests.total() >= FEWEST_REQUESTS
    assert run.requests["Stateful tests"] >= FEWEST_FOLLOWED
