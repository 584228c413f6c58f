"""Formulas over HTTP: rows like any other, and no path of our code anywhere in the description."""

from __future__ import annotations

import json
import re

from fastapi import FastAPI
from starlette.testclient import TestClient

PYTHON_PATH = re.compile(r"\b(kb|api|schemas)\.[a-z_]+")


def test_a_formula_is_read_like_any_row(client: TestClient) -> None:
    answer = client.get("/v1/rows/formula/o-ring-compression")
    assert answer.status_code == 200
    assert answer.json()["record"]["values"]["unit"] == "%"


def test_formulas_are_listed_as_json_and_as_csv(client: TestClient) -> None:
    page = client.get("/v1/tables/formulas", params={"limit": 3}).json()
    assert (len(page["records"]), page["table"]) == (3, "formulas")
    lines = client.get("/v1/tables/formulas", params={"limit": 3, "format": "csv"}).text.splitlines()
    assert lines[0].startswith("id,title,equation,symbols,unit,validity,example,uses_ids,source_id")


def test_an_answer_leads_to_its_formulas(client: TestClient) -> None:
    answer = client.get("/v1/pair", params={"a": "tube/soft-10x16", "b": "fitting/barb-10-g-1-4"}).json()
    named = {number["formula"] for one in answer["findings"] for number in one["quantities"]}
    assert named == {"formula/barb-interference", "formula/od-on-barb", "formula/wall-thinning"}
    for formula in named:
        assert client.get(f"/v1/rows/{formula}").status_code == 200


def test_the_description_names_no_path_of_our_code(app: FastAPI) -> None:
    assert PYTHON_PATH.search(json.dumps(app.openapi())) is None
