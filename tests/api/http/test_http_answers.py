"""What the service answers is what the knowledge base answers."""

from __future__ import annotations

import asyncio
import re
import threading

import pytest
from asgi_asking import Asker, got, posted
from starlette.testclient import TestClient

from api.http.app import create_app
from kb import KnowledgeBase
from kb.loops.deadline import Budget
from schemas.answers.loop import LoopAnswer
from schemas.questions.plain import LoopLike
from schemas.questions.questions import BetweenQuestion, PartnersQuestion

LOOP = {
    "parts": {
        "pump": {"kind": "pump", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
        "cpu": {"kind": "block", "ports": {"in": "port/g-1-4-loop", "out": "port/g-1-4-loop"}},
    },
    "runs": [
        {"from": "pump.out", "to": "cpu.in", "tube": "tube/soft-10x16", "length_mm": 200},
        {"from": "cpu.out", "to": "pump.in", "tube": {"is": "tube/soft-10x16", "id_mm": 9.8}, "length_mm": 300},
    ],
}


def test_posted_pair_is_answered_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    body = {"a": {"kind": "tube", "od": "5/8 in", "id": "3/8 in"}, "b": "fitting/compression-3-8x5-8-g-1-4"}
    assert client.post("/v1/pair", json=body).json() == base.pair(**body).to_dict()


def test_pair_by_address_is_answered_as_the_posted_one(client: TestClient) -> None:
    body = {"a": "tube/soft-10x16", "b": "fitting/barb-10-g-1-4", "conditions": {"coolant-temperature": 55}}
    address = "/v1/pair?a=tube/soft-10x16&b=fitting/barb-10-g-1-4&condition.coolant-temperature=55"
    assert client.get(address).json() == client.post("/v1/pair", json=body).json()


def test_conditions_in_the_address_reach_the_rules(client: TestClient, base: KnowledgeBase) -> None:
    tube = "tube/acrylic-16x12"
    fitting = base.partners(tube).partners[0].part
    warm = client.get("/v1/pair", params={"a": tube, "b": fitting, "condition.coolant-temperature": 70}).json()
    cool = client.get("/v1/pair", params={"a": tube, "b": fitting, "condition.coolant-temperature": 30}).json()
    assert (cool["verdict"], warm["verdict"]) == ("compatible", "incompatible")


def test_partners_are_answered_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    question = PartnersQuestion(part="port/g-1-4-loop", kind="fitting", limit=5)
    expected = base.partners(**dict(question)).to_dict()
    assert client.post("/v1/partners", json={"part": "port/g-1-4-loop", "limit": 5}).json() == expected
    assert client.get("/v1/partners?part=port/g-1-4-loop&limit=5").json() == expected


def test_verdicts_in_the_address_are_separated_by_commas(client: TestClient) -> None:
    answer = client.get("/v1/partners?part=tube/soft-10x16&verdicts=conditional,incompatible&limit=100").json()
    assert {partner["verdict"] for partner in answer["partners"]} == {"conditional", "incompatible"}


def test_between_is_answered_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    question = BetweenQuestion(a="port/g-1-4-loop", b="tube/soft-10x16", limit=3)
    expected = base.between(**dict(question)).to_dict()
    assert client.post("/v1/between", json=question.model_dump()).json() == expected
    assert client.get("/v1/between?a=port/g-1-4-loop&b=tube/soft-10x16&limit=3").json() == expected


def test_find_is_answered_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    expected = base.find('G 1/4"', limit=3).to_dict()
    assert client.post("/v1/find", json={"words": 'G 1/4"', "limit": 3}).json() == expected
    assert client.get("/v1/find", params={"words": 'G 1/4"', "limit": 3}).json() == expected


def test_loop_is_answered_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    expected = base.loop(LOOP).to_dict()
    assert client.post("/v1/loop", json=LOOP).json() == expected


def test_rows_and_tables_are_read_as_in_process(client: TestClient, base: KnowledgeBase) -> None:
    assert client.get("/v1/tables").json() == base.tables().to_dict()
    expected = base.records("tubes", "family/tube-soft", "tube/soft-1", 2).to_dict()
    assert client.get("/v1/tables/tubes?family=family/tube-soft&after=tube/soft-1&limit=2").json() == expected
    fitting = "fitting/barb-10-g-1-4"
    assert client.get(f"/v1/rows/{fitting}").json() == base.record(fitting).to_dict()


def test_next_links_lead_through_a_whole_table_once(client: TestClient, base: KnowledgeBase) -> None:
    address: str | None = "/v1/tables/tubes?limit=50"
    seen: list[str] = []
    while address is not None:
        response = client.get(address)
        seen += [record["id"] for record in response.json()["records"]]
        address = response.links.get("next", {}).get("url")
        assert response.links["first"]["url"] == "/v1/tables/tubes?limit=50"
    table = next(table for table in base.tables().tables if table.table == "tubes")
    assert len(seen) == len(set(seen)) == table.rows
    assert seen == sorted(seen)


def test_next_links_keep_the_family(client: TestClient) -> None:
    response = client.get("/v1/tables/tubes?family=family/tube-soft&limit=1")
    assert "family=family%2Ftube-soft" in response.headers["link"]


@pytest.mark.parametrize(
    "path",
    ["/", "/health", "/v1/version", "/v1/tables", "/v1/rows/thread/g-1-4", "/docs", "/openapi.json", "/problems"],
)
def test_head_answers_like_get_without_a_body(client: TestClient, path: str) -> None:
    head, get = client.head(path), client.get(path)
    assert head.status_code == get.status_code == 200
    assert head.content == b""
    assert {**head.headers, "x-request-id": ""} == {**get.headers, "x-request-id": ""}


def test_every_data_answer_names_the_tables_that_gave_it(client: TestClient, base: KnowledgeBase) -> None:
    for path in ("/", "/health", "/v1/version", "/v1/tables", "/v1/tables/tubes", "/v1/rows/thread/g-1-4"):
        assert client.get(path).json()["kb_version"] == base.version


def test_index_links_to_paths_that_exist(client: TestClient) -> None:
    described = client.get("/openapi.json").json()["paths"]
    for link in client.get("/").json()["links"].values():
        path = re.sub(r"\{\?[^}]*\}", "", link).replace("{question}", "pair")
        assert path in described or client.get(path).status_code == 200


def test_answers_by_address_may_be_kept_and_posted_ones_not(client: TestClient) -> None:
    ids = {"a": "thread/g-1-4", "b": "thread/g-1-4"}
    assert client.get("/v1/pair", params=ids).headers["cache-control"].startswith("public")
    assert client.post("/v1/pair", json=ids).headers["cache-control"] == "no-store"
    assert client.get("/health").headers["cache-control"] == "no-store"


def test_no_other_origin_is_let_in(client: TestClient) -> None:
    response = client.get("/v1/version", headers={"Origin": "https://example.org"})
    assert not [name for name in response.headers if name.startswith("access-control")]


class WaitingBase(KnowledgeBase):
    """Answers loops only once it is told to."""

    go_on: threading.Event

    def loop_within(self, question: LoopLike, budget: Budget) -> LoopAnswer:
        assert self.go_on.wait(timeout=10)
        return super().loop_within(question, budget)


def test_others_are_answered_while_a_big_loop_is_judged(base: KnowledgeBase) -> None:
    waiting = WaitingBase(base.snapshot)
    waiting.go_on = threading.Event()
    ask = Asker(create_app(waiting))

    async def both() -> tuple[bool, int, int]:
        loop = asyncio.create_task(ask.send(posted("/v1/loop", LOOP)))
        await asyncio.sleep(0.05)
        health = await ask.send(got("/health"))
        waited = not loop.done()
        waiting.go_on.set()
        return waited, health.status, (await loop).status

    assert asyncio.run(both()) == (True, 200, 200)
