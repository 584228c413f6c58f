"""Refusals say which of the asker's fields is meant, what is wrong and what to write."""

from __future__ import annotations

import json
from typing import Any

import pytest
from starlette.testclient import TestClient

PORTS = {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}
PARTS = {"pump": {"kind": "pump", "ports": PORTS}, "cpu": {"kind": "block", "ports": PORTS}}
GOOD = "thread/g-1-4"


def refused(client: TestClient, path: str, body: Any) -> list[dict[str, Any]]:
    response = client.post(path, content=json.dumps(body), headers={"Content-Type": "application/json"})
    assert response.status_code == 422, response.text
    errors: list[dict[str, Any]] = response.json()["errors"]
    return errors


PAIRS: list[tuple[Any, str, str]] = [
    ({"b": GOOD}, "a", "missing"),
    ({"a": 5, "b": GOOD}, "a", "5 is not text or an object"),
    ({"a": None, "b": GOOD}, "a", "null is not"),
    ({"a": [], "b": GOOD}, "a", "a list is not"),
    ({"a": "", "b": GOOD}, "a", "shorter"),
    ({"a": "x" * 81, "b": GOOD}, "a", "longer than 80"),
    ({"a": {}, "b": GOOD}, "a", "say what it is"),
    ({"a": {"kind": "spoon"}, "b": GOOD}, "a", "say what it is"),
    ({"a": {"kind": "tube", "od": "3/8"}, "b": GOOD}, "a.od", "has no unit"),
    ({"a": {"kind": "tube", "od": "thick mm"}, "b": GOOD}, "a.od", "is not one length"),
    ({"a": {"kind": "tube", "od_mm": -1}, "b": GOOD}, "a.od_mm", "-1"),
    ({"a": {"kind": "tube", "od": "1 in", "od_mm": 25.4}, "b": GOOD}, "a", "od and od_mm are both given"),
    ({"a": {"kind": "tube", "odd_mm": 9}, "b": GOOD}, "a.odd_mm", "no such field"),
    ({"a": {"is": "tube/nothing"}, "b": GOOD}, "a.is", "tube/nothing"),
    ({"a": {"kind": "fitting", "ends": {"a": {"kind": "mail-thread"}}}, "b": GOOD}, "a.ends.a.kind", "allowed words"),
    ({"a": {"kind": "fitting", "ends": {"g": {"kind": "barb"}}}, "b": GOOD}, "a.ends.g", "form"),
    ({"a": {"kind": "fitting"}, "b": GOOD}, "a.ends", "without ends"),
    ({"a": GOOD, "b": GOOD, "conditions": {"coolant-temperature": "hot"}}, "conditions.coolant-temperature", "'hot'"),
    ({"a": GOOD, "b": GOOD, "conditions": {"coolant-heat": 5}}, "conditions.coolant-heat", "coolant-heat"),
    ({"a": GOOD, "b": GOOD, "conditions": []}, "conditions", "a list is not an object"),
    ({"a": GOOD, "b": GOOD, "c": GOOD}, "c", "no such field"),
    ({"a": "radiator/360x45-low", "b": GOOD}, "a", "is a radiator; this field takes a thread, port"),
    ({"a": GOOD, "b": "family/tube-soft"}, "b", "is a family; this field takes"),
    ({"a": "metal/coper", "b": "fluid/distilled-water"}, "a", "no part has the id 'metal/coper'"),
    ([], "", "a list is not an object"),
    ("pair", "", "'pair' is not an object"),
    (None, "", "null is not an object"),
]


@pytest.mark.parametrize(("body", "field", "what"), PAIRS)
def test_a_bad_pair_gives_one_message_at_the_field_meant(client: TestClient, body: Any, field: str, what: str) -> None:
    [error] = refused(client, "/v1/pair", body)
    assert error["field"] == field
    assert what in error["what"]
    assert error["fix"]


RUN = {"from": "pump.out", "to": "cpu.in"}
RUNS: list[tuple[Any, str]] = [
    ([RUN | {"tube": "tube/sotf-10x16"}], "runs.0.tube"),
    ([RUN | {"tube": {"kind": "tube", "wal": 1}}], "runs.0.tube.wal"),
    ([RUN | {"fittings_to": ["fitting/x"]}], "runs.0.fittings_to.0"),
    ([{"to": "cpu.in"}], "runs.0.from"),
    ([RUN | {"from_": "pump.out"}], "runs.0.from_"),
    ([RUN | {"length_mm": 0}], "runs.0.length_mm"),
    ([RUN, RUN | {"to": "cpu.inn"}], "runs.1.to"),
    ([RUN | {"from": "cpu.in"}], "runs"),
    ([7], "runs.0"),
    ({}, "runs"),
]
LOOPS: list[tuple[Any, str]] = [
    ({"parts": PARTS | {"Pump 2": {"kind": "pump", "ports": PORTS}}}, "parts.Pump 2"),
    ({"parts": {"pump": {"kind": "pump", "ports": {}}}}, "parts.pump"),
    ({"parts": {"pump": {"kind": "pump", "ports": {"in": 7}}}}, "parts.pump.ports.in"),
    ({"parts": {}}, "parts"),
    ({}, "parts"),
    *(({"parts": PARTS, "runs": runs}, field) for runs, field in RUNS),
]


@pytest.mark.parametrize(("body", "field"), LOOPS)
def test_a_bad_loop_names_the_place_by_its_path(client: TestClient, body: Any, field: str) -> None:
    [error] = refused(client, "/v1/loop", body)
    assert error["field"] == field


@pytest.mark.parametrize(
    ("body", "nearest"),
    [
        ({"a": {"kind": "tube", "odd_mm": 9}, "b": GOOD}, "od_mm"),
        ({"a": {"is": "thread/g-1-4", "gendre": "external"}, "b": GOOD}, "gender"),
        ({"a": {"kind": "fitting", "ends": {"a": {"kind": "barb", "barb_odmm": 9}}}, "b": GOOD}, "barb_od_mm"),
        ({"a": GOOD, "b": GOOD, "condition": {}}, "conditions"),
        ({"a": {"is": "tube/soft-10x16x"}, "b": GOOD}, "tube/soft-10x16"),
    ],
)
def test_the_nearest_valid_name_comes_first(client: TestClient, body: Any, nearest: str) -> None:
    [error] = refused(client, "/v1/pair", body)
    assert error["nearest"][0] == nearest


def test_several_bad_fields_are_all_named_at_once(client: TestClient) -> None:
    body = {"a": {"kind": "tube", "od_mm": "0", "x": 1}, "b": 5, "conditions": {"coolant-temperature": []}}
    fields = {error["field"] for error in refused(client, "/v1/pair", body)}
    assert fields == {"a.od_mm", "a.x", "b", "conditions.coolant-temperature"}


def test_a_row_of_another_kind_is_not_said_not_to_exist(client: TestClient) -> None:
    for address in ("/v1/tables/tubes?family=metal/copper", "/v1/pair?a=fan/balanced-120&b=thread/g-1-4"):
        response = client.get(address)
        assert (response.status_code, response.json()["type"]) == (422, "/problems/invalid-question")
        assert "; this field takes a " in response.json()["errors"][0]["what"]


def test_several_figures_out_of_range_are_all_named_at_once(client: TestClient) -> None:
    body = {"a": {"kind": "tube", "id_mm": 0, "od_mm": 5000, "wall_mm": 3}, "b": GOOD}
    assert [error["field"] for error in refused(client, "/v1/pair", body)] == ["a.id_mm", "a.od_mm"]
    body = {"a": GOOD, "b": GOOD, "conditions": {"ph": 15, "hardness": 10, "coolant-temperature": -300}}
    fields = [error["field"] for error in refused(client, "/v1/pair", body)]
    assert fields == ["conditions.ph", "conditions.coolant-temperature"]


def test_parameters_are_named_as_they_stand_in_the_address(client: TestClient) -> None:
    response = client.get("/v1/pair?a=thread/g-1-4&b=thread/g-1-4&condition.coolant-temperature=hot")
    assert [error["field"] for error in response.json()["errors"]] == ["condition.coolant-temperature"]
    response = client.get("/v1/partners?part=thread/g-1-4&limit=many&verdicts=maybe")
    assert [error["field"] for error in response.json()["errors"]] == ["verdicts", "limit"]


def test_long_input_is_not_sent_back(client: TestClient) -> None:
    names = {f"{number}" + "n" * 500: "v" * 500 for number in range(200)}
    for body in (
        {"a": "x" * 9000, "b": GOOD},
        {"a": GOOD, "b": GOOD, "conditions": names},
        {"a": GOOD, "b": GOOD, **names},
        {"a": {"kind": "tube", "od": "y" * 9000}, "b": {"kind": "z" * 9000}},
    ):
        response = client.post("/v1/pair", json=body)
        assert response.status_code == 422
        assert len(response.content) < 8000
        for letter in "xnvyz":
            assert letter * 81 not in response.text
