"""The client gives what the knowledge base gives in process, and says clearly when it cannot."""

from __future__ import annotations

import asyncio
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import httpx2
import pytest

from api.client import AsyncClient, Client, NoAnswerError, RefusedError, Retries
from api.client.calls import MOST_AT_ONCE, BatchEntry
from kb import KnowledgeBase
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import FindQuestion, InlineTube, PairQuestion

DEMO = Path(__file__).resolve().parents[3] / "kb" / "examples" / "first-loop.json"
INLINE = {"is": "tube/soft-10x16", "id_mm": 9.8}
AT_ONCE = Retries(most=3, first_wait_s=0.001, longest_wait_s=0.002)
PAIRS = (("thread/g-1-4", "thread/npt-1-4"), ("metal/copper", "fluid/distilled-water"), ("tube/none", "thread/g-1-4"))


def scripted(*replies: httpx2.Response | Exception) -> tuple[httpx2.MockTransport, list[httpx2.Request]]:
    """Return a network that gives these replies, one after another, and the requests that it got."""
    left, got = list(replies), list[httpx2.Request]()

    def reply(request: httpx2.Request) -> httpx2.Response:
        got.append(request)
        one = left.pop(0)
        if isinstance(one, Exception):
            raise one
        return one

    return httpx2.MockTransport(reply), got


def entry(index: int) -> bytes:
    problem = {"type": "/x", "title": "x", "status": 422, "detail": str(index), "instance": "", "errors": []}
    return json.dumps({"index": index, "problem": problem}).encode() + b"\n"


ASKED: dict[str, Callable[[Client, KnowledgeBase], tuple[Any, Any]]] = {
    "pair": lambda service, base: (
        service.pair(INLINE, "fitting/compression-10x16-g-1-4", {"coolant-temperature": 45}),
        base.pair(INLINE, "fitting/compression-10x16-g-1-4", conditions={"coolant-temperature": 45}),
    ),
    "a model as part": lambda service, base: (
        service.pair(InlineTube(od_mm=16.0, id_mm=10.0), "fitting/barb-10-g-1-4"),
        base.pair(InlineTube(od_mm=16.0, id_mm=10.0), "fitting/barb-10-g-1-4"),
    ),
    "find": lambda service, base: (service.find("10/16", limit=2), base.find("10/16", limit=2)),
    "loop": lambda service, base: (
        service.loop(json.loads(DEMO.read_text(encoding="utf-8"))),
        base.loop(LoopQuestion.model_validate_json(DEMO.read_text(encoding="utf-8"))),
    ),
    "a model of a loop": lambda service, base: (
        service.loop(LoopQuestion.model_validate_json(DEMO.read_text(encoding="utf-8"))),
        base.loop(LoopQuestion.model_validate_json(DEMO.read_text(encoding="utf-8"))),
    ),
    "record": lambda service, base: (service.record("thread/g-1-4"), base.record("thread/g-1-4")),
    "tables": lambda service, base: (service.tables(), base.tables()),
}


@pytest.mark.parametrize("name", ASKED)
def test_an_answer_is_the_one_given_in_process(service: Client, base: KnowledgeBase, name: str) -> None:
    over_http, in_process = ASKED[name](service, base)
    assert over_http == in_process


def test_every_other_question_is_answered(service: Client) -> None:
    assert service.partners("tube/soft-10x16", kind="fitting", limit=2).partners
    assert service.between("port/g-1-4-loop", "tube/soft-10x16", limit=1).chains
    assert service.fluids(["metal/copper"], limit=2).suitable
    assert service.materials("fluid/distilled-water", limit=2).suitable
    assert service.matrix("family/brass", "family/water").cells
    assert service.mix("propylene-glycol", 1, 3).glycol_percent_volume == 25


def test_a_refused_question_reports_the_problem(service: Client) -> None:
    with pytest.raises(RefusedError) as refused:
        service.pair("thread/g-1-5", "thread/g-1-4")
    assert refused.value.problem.type == "/problems/unknown-id"
    assert refused.value.problem.errors[0].nearest


def test_every_row_comes_once_and_in_order(service: Client, base: KnowledgeBase) -> None:
    ids = [row.id for row in service.rows("material_properties")]
    assert len(ids) > 2 * 200
    assert ids == [row.id for row in base.snapshot.all_rows("material_properties")]
    assert {row.id for row in service.rows("tubes", "family/tube-soft")} < {row.id for row in service.rows("tubes")}


def test_a_batch_gives_an_entry_a_question_over_many_requests(service: Client, base: KnowledgeBase) -> None:
    count = MOST_AT_ONCE + 30
    questions = (PairQuestion(a=PAIRS[n % 3][0], b=PAIRS[n % 3][1]) for n in range(count))
    reported = list(service.batch(questions))
    assert [one.index for one in reported] == list(range(count))
    single = [base.pair(a, b) for a, b in PAIRS[:2]]
    for number, one in enumerate(reported):
        if number % 3 == 2:
            assert one.answer is None
            assert one.problem is not None
            assert one.problem.errors[0].nearest
        else:
            assert one.answer == single[number % 3]


def test_a_batch_of_nothing_and_one_of_two_kinds(service: Client) -> None:
    assert list(service.batch([])) == []
    with pytest.raises(TypeError, match="one kind"):
        list(service.batch([FindQuestion(words="x"), PairQuestion(a="x", b="y")]))


def test_a_version_can_be_pinned(address: str, base: KnowledgeBase) -> None:
    with Client(address, version=base.version) as pinned:
        assert pinned.find("10/16").kb_version == base.version
    with Client(address, version="2020.1.0+000000000000") as pinned, pytest.raises(RefusedError):
        pinned.find("10/16")


def test_a_broken_connection_and_a_busy_service_are_asked_again(base: KnowledgeBase) -> None:
    answer = base.find("10/16").to_json()
    network, got = scripted(
        httpx2.ConnectError("x"), httpx2.Response(503), httpx2.ReadError("x"), httpx2.Response(200, text=answer)
    )
    with Client("http://x", retries=AT_ONCE, transport=network) as service:
        assert service.find("10/16").candidates
    assert len(got) == 4


@pytest.mark.parametrize("status", [400, 404, 422, 500, 502, 504])
def test_nothing_else_is_asked_again(status: int) -> None:
    network, got = scripted(httpx2.Response(status))
    with Client("http://x", retries=AT_ONCE, transport=network) as service, pytest.raises(NoAnswerError):
        service.find("10/16")
    assert len(got) == 1


def test_patience_ends() -> None:
    network, got = scripted(*[httpx2.ConnectError("x")] * 9)
    with Client("http://x", retries=AT_ONCE, transport=network) as service, pytest.raises(httpx2.ConnectError):
        service.find("10/16")
    assert len(got) == AT_ONCE.most + 1


def test_a_slow_answer_is_not_asked_again() -> None:
    network, got = scripted(httpx2.ReadTimeout("x"))
    with Client("http://x", retries=AT_ONCE, transport=network) as service, pytest.raises(httpx2.ReadTimeout):
        service.find("10/16")
    assert len(got) == 1


def test_waits_grow_and_heed_the_service() -> None:
    retries = Retries(most=3, first_wait_s=1, longest_wait_s=5)
    waits = [retries.wait_s(failed) or 0 for failed in (1, 2, 3)]
    assert [low <= wait <= 2 * low for wait, low in zip(waits, (0.5, 1, 2), strict=True)] == [True] * 3
    assert retries.wait_s(4) is None
    assert retries.wait_s(1, httpx2.Response(503, headers={"Retry-After": "4"})) == 4
    assert retries.wait_s(1, httpx2.Response(503, headers={"Retry-After": "99999"})) == 5
    assert retries.wait_s(1, httpx2.Response(500)) is None


def test_a_batch_that_breaks_off_is_taken_up_where_it_was() -> None:
    network, got = scripted(
        httpx2.Response(503),
        httpx2.Response(200, content=entry(0) + entry(1)),
        httpx2.ConnectError("x"),
        httpx2.Response(200, content=entry(0)),
    )
    questions = [FindQuestion(words=word) for word in ("one", "two", "three")]
    with Client("http://x", retries=AT_ONCE, transport=network) as service:
        assert [one.index for one in service.batch(questions)] == [0, 1, 2]
    assert json.loads(got[-1].content)["words"] == "three"


def test_a_batch_that_only_breaks_off_ends_in_an_error() -> None:
    network, _ = scripted(*[httpx2.Response(200, content=b"")] * 9)
    with Client("http://x", retries=AT_ONCE, transport=network) as service, pytest.raises(NoAnswerError):
        list(service.batch([FindQuestion(words="one")]))


@pytest.mark.parametrize("line", [b"<html>\n", entry(5), b'{"index": 0}\n', entry(0) + entry(1)])
def test_a_batch_answered_by_something_else_ends_in_an_error(line: bytes) -> None:
    network, _ = scripted(httpx2.Response(200, content=line))
    with Client("http://x", retries=AT_ONCE, transport=network) as service, pytest.raises(NoAnswerError):
        list(service.batch([FindQuestion(words="one")]))


def test_something_else_that_answers_is_no_answer() -> None:
    network, _ = scripted(httpx2.Response(200, html="<p>welcome</p>"))
    with Client("http://x", transport=network) as service, pytest.raises(NoAnswerError):
        service.tables()


def unnamed(entry: BatchEntry[Any]) -> BatchEntry[Any]:
    """Return an entry without the name of the request it came with."""
    problem = entry.problem and replace(entry.problem, request_id="")
    return replace(entry, problem=problem)


def test_the_other_client_does_the_same(address: str, service: Client) -> None:
    async def ask() -> None:
        async with AsyncClient(address) as other:
            first, second = await asyncio.gather(other.pair(*PAIRS[0]), other.find("10/16"))
            assert (first, second) == (service.pair(*PAIRS[0]), service.find("10/16"))
            assert [row async for row in other.rows("threads")] == list(service.rows("threads"))
            questions = [PairQuestion(a=a, b=b) for a, b in PAIRS]
            entries = [unnamed(one) async for one in other.batch(questions)]
            assert entries == [unnamed(one) for one in service.batch(questions)]
            with pytest.raises(RefusedError):
                await other.record("tube/none")

    asyncio.run(ask())


def test_both_clients_have_the_same_methods() -> None:
    def methods(client: type) -> set[str]:
        return {name for name in vars(client) if not name.startswith("_")}

    assert methods(Client) == methods(AsyncClient)
