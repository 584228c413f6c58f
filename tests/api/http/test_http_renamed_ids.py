"""An id that was renamed is refused over HTTP, alone and in batches, with the new one; the search finds that by it."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

import kb
from schemas.tables.renamed_ids import RenamedId

DRAWN = kb.load().snapshot.active(RenamedId)[::23]
PART = "tube/soft-10x16"


def names_the_new_id(problem: dict[str, Any], row: RenamedId) -> bool:
    error = problem["errors"][0]
    said = f"{row.old_id} was renamed {row.new_id} on {row.renamed_on}" in error["what"]
    return said and error["nearest"][0] == row.new_id and problem["type"].endswith("unknown-id")


@pytest.mark.parametrize("row", DRAWN, ids=lambda row: row.old_id)
def test_an_old_id_is_refused_by_address_in_a_body_and_in_a_batch(client: TestClient, row: RenamedId) -> None:
    by_address = client.get("/v1/pair", params={"a": row.old_id, "b": PART})
    in_a_body = client.post("/v1/partners", json={"part": row.old_id, "kind": "fitting"})
    for response in (by_address, in_a_body):
        assert response.status_code == 422
        assert names_the_new_id(response.json(), row)
    line = json.dumps({"a": PART, "b": row.old_id})
    batch = client.post("/v1/batch/pair", content=line, headers={"Content-Type": "application/x-ndjson"})
    assert row.new_id in batch.text


@pytest.mark.parametrize("row", DRAWN, ids=lambda row: row.old_id)
def test_the_search_leads_from_an_old_id_to_the_new_one(client: TestClient, row: RenamedId) -> None:
    answer = client.get("/v1/find", params={"words": row.old_id}).json()
    assert row.new_id in [*(one["part"] for one in answer["candidates"]), *answer["nearest"]]
