"""A loop with heat, air and screws over HTTP: the same answer as in process, and errors at the asker's field."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from kb.knowledge_base import KnowledgeBase

CHECKOUT = Path(__file__).parents[3]


def demo(name: str) -> dict[str, Any]:
    found: dict[str, Any] = json.loads((CHECKOUT / "kb" / "examples" / f"{name}.json").read_text())
    return found


@pytest.mark.parametrize("name", ["first-loop", "large-loop"])
def test_a_loop_is_answered_as_in_process(client: TestClient, base: KnowledgeBase, name: str) -> None:
    reported = client.post("/v1/loop", json=demo(name)).json()
    assert reported == base.loop(demo(name)).to_dict()


@pytest.mark.parametrize(
    ("part", "path", "value", "nearest"),
    [
        ("radiator", "fans.speed_rpm", -1, None),
        ("radiator", "fans.speed_rpm", "fast", None),
        ("radiator", "fans.sped_rpm", 800, "speed_rpm"),
        ("radiator", "fans.is", "fan/low-sped-120", None),
        ("radiator", "fans.count", 9, None),
        ("radiator", "screws.behind_plate_mm", -1, None),
        ("radiator", "place.depht_mm", 60, "depth_mm"),
        ("radiator", "air_from.front", 10, None),
        ("cpu", "heat_w", "125 K", None),
        ("cpu", "thermal_resistance_k_per_w", 0, None),
        ("pump", "curve", [[0, 10]], None),
        ("pump", "sits_in", "reservoi", "reservoir"),
        ("pump", "speed_percent", 101, None),
    ],
)
def test_an_error_names_the_field_of_the_part(
    client: TestClient, part: str, path: str, value: Any, nearest: str | None
) -> None:
    question = demo("first-loop")
    place = question["parts"][part]
    *heads, last = path.split(".")
    for head in heads:
        place = place.setdefault(head, {})
    place[last] = value
    response = client.post("/v1/loop", json=question)
    assert response.status_code == 422
    [error] = response.json()["errors"]
    assert error["field"] == f"parts.{part}.{path}"
    assert error["what"]
    assert error["fix"]
    assert nearest is None or error["nearest"][0] == nearest


def test_the_description_reports_every_section_of_the_answer(client: TestClient) -> None:
    schemas = client.get("/openapi.json").json()["components"]["schemas"]
    answer = schemas["LoopAnswer"]["properties"]
    assert {"joints", "chemistry", "flow", "heat", "fill", "space"} <= set(answer)
    assert {"FlowSection", "HeatSection", "FillSection", "SpaceSection"} <= set(schemas)


def test_the_example_of_a_loop_shows_its_duty(client: TestClient) -> None:
    operation = client.get("/openapi.json").json()["paths"]["/v1/loop"]["post"]
    shown = json.dumps(operation["requestBody"])
    assert '"heat_w"' in shown
    assert '"fans"' in shown
