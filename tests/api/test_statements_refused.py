"""A bad statement of what is met is refused at its place on every interface: never dropped, never taken as met."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from api.cli.main import main
from api.http.app import create_app
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.questions.loop import LoopQuestion

UNKNOWN = ("no-such-thing", "hose-clap")
PAIR = ("metal/copper", "fluid/distilled-water")
PORT = {"in": "port/g-1-4-loop"}


def loop(metal: str, fluid: str, met: list[str], **conditions: float) -> dict[str, Any]:
    part = {"kind": "sensor", "ports": PORT, "materials": {"body": metal}}
    named = {name.replace("_", "-"): value for name, value in conditions.items()}
    return {"parts": {"probe": part}, "fluid": fluid, "conditions": named, "met": met, "sections": ["chemistry"]}


# what the question itself says against the statement: how it is asked, and which statement cannot be
AGAINST = {
    "chlorine over the limit": (loop("metal/copper", "fluid/tap-water-soft", ["no-chlorine"], free_chlorine=2.0), 0),
    "hard tap water": (
        loop("metal/copper", "fluid/tap-water-hard", ["growth-control", "pure-fill-water"], hardness=230),
        1,
    ),
    "brass that loses zinc": (loop("metal/brass-yellow", "fluid/tap-water-soft", ["brass-resists-zinc-loss"]), 0),
    "thin glycol": (loop("metal/copper", "fluid/propylene-glycol-dilute", ["glycol-share-enough"], glycol_share=15), 0),
}


@pytest.fixture(scope="module")
def client(base: KnowledgeBase) -> Iterator[TestClient]:
    with TestClient(create_app(base)) as client:
        yield client


def faults_of(error: QuestionError) -> list[QuestionError]:
    return [error, *error.others]


def test_every_unknown_requirement_is_named_at_its_place(base: KnowledgeBase) -> None:
    asked = loop("metal/copper", "fluid/distilled-water", ["copper-inhibitor", *UNKNOWN])
    with pytest.raises(QuestionError) as refused:
        base.loop(asked)
    assert [one.field for one in faults_of(refused.value)] == ["met.1", "met.2"]


@pytest.mark.parametrize("case", AGAINST, ids=str)
def test_a_statement_against_the_facts_of_a_loop_is_refused_at_its_place(base: KnowledgeBase, case: str) -> None:
    asked, at = AGAINST[case]
    with pytest.raises(QuestionError) as refused:
        base.loop(asked)
    assert [one.field for one in faults_of(refused.value)] == [f"met.{at}"]
    assert base.loop({**asked, "met": []}).verdict.value != "compatible"


@pytest.mark.parametrize("met", [["no-such-thing"], [""], ["x" * 5000], [None], [1], "copper-inhibitor", {"a": 1}])
def test_the_service_answers_a_problem_that_names_the_place(client: TestClient, met: Any) -> None:
    for path, asked in (("/v1/pair", {"a": PAIR[0], "b": PAIR[1]}), ("/v1/loop", loop(*PAIR, []))):
        reply = client.post(path, json={**asked, "met": met})
        assert reply.status_code in (400, 422), (path, met)
        assert reply.headers["content-type"] == "application/problem+json"
        assert any("met" in str(one) for one in reply.json()["errors"]), reply.json()


def test_the_command_line_names_the_place(capsys: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    file = tmp_path / "loop.json"
    file.write_text(json.dumps(loop(*PAIR, [])), encoding="utf-8")
    for arguments in (["pair", *PAIR], ["loop", str(file)]):
        code = main([*arguments, "--met", "hose-clap"])
        told = capsys.readouterr()
        assert code not in (0, 10) and "hose-clamp" in told.err and "Traceback" not in told.err, arguments


def test_a_statement_is_not_taken_for_another_by_its_spelling(base: KnowledgeBase) -> None:
    """The nearest name is told, not used."""
    with pytest.raises(QuestionError) as refused:
        base.pair(*PAIR, met=["coper-inhibitor"])
    assert "requirement/copper-inhibitor" in refused.value.nearest
    LoopQuestion.model_validate(loop(*PAIR, ["coper-inhibitor"]))  # of the right form: the name is refused
