"""Every id that was renamed leads to the new one, wherever it is asked for."""

from __future__ import annotations

import pytest

import kb
from kb.knowledge_base import KnowledgeBase
from kb.store.faults import QuestionError
from schemas.questions.loop import LoopQuestion
from schemas.questions.questions import FindableKind
from schemas.tables.kinds import kind_of
from schemas.tables.renamed_ids import RenamedId

ROWS = kb.load().snapshot.active(RenamedId)
PARTS = frozenset(FindableKind.__args__)  # type: ignore[attr-defined]
DEVICES = frozenset(("block", "fan", "pump", "radiator", "reservoir"))


def said(row: RenamedId) -> str:
    return f"{row.old_id} was renamed {row.new_id} on {row.renamed_on}"


def kind(base: KnowledgeBase, row: RenamedId) -> str:
    return kind_of(type(base.snapshot.row(row.new_id)).table)  # type: ignore[union-attr]


def refusal_names_the_new_id(error: QuestionError, row: RenamedId) -> None:
    assert said(row) in error.what
    assert error.nearest[0] == row.new_id
    assert "has the id" not in error.what


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.old_id)
def test_an_old_id_is_refused_with_the_new_one(base: KnowledgeBase, row: RenamedId) -> None:
    part = "tube/soft-10x16"
    with pytest.raises(QuestionError) as first:
        base.pair(a=row.old_id, b=part)
    with pytest.raises(QuestionError) as partners:
        base.partners(part=row.old_id, kind="fitting")
    with pytest.raises(QuestionError) as shown:
        base.record(row.old_id)
    for refused in (first, partners, shown):
        refusal_names_the_new_id(refused.value, row)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.old_id)
def test_find_answers_an_old_id_with_the_new_part(base: KnowledgeBase, row: RenamedId) -> None:
    answer = base.find(words=row.old_id.upper())
    assert row.new_id in answer.readings[0]
    if kind(base, row) in PARTS:
        assert [one.part for one in answer.candidates] == [row.new_id]
        assert said(row) in answer.candidates[0].reason
    else:
        assert answer.candidates == ()
        assert answer.nearest == (row.new_id,)


@pytest.mark.parametrize("row", [row for row in ROWS if row.old_id.partition("/")[0] in DEVICES])
def test_a_loop_refuses_the_old_id_of_a_device(base: KnowledgeBase, row: RenamedId) -> None:
    named = {"kind": kind(base, row), "is": row.old_id}
    cooled = {"kind": "radiator", "is": "radiator/240x30-low", "fans": {"is": row.old_id}}
    question = {"name": "a loop", "parts": {"one": cooled if named["kind"] == "fan" else named}, "runs": []}
    with pytest.raises(QuestionError) as refused:
        base.loop(LoopQuestion.model_validate(question))
    refusal_names_the_new_id(refused.value, row)


@pytest.mark.parametrize("row", [row for row in ROWS if row.old_id.startswith("quantity/")])
def test_a_condition_under_an_old_name_is_refused(base: KnowledgeBase, row: RenamedId) -> None:
    for prefix in ("", "quantity/"):
        name = prefix + row.old_id.removeprefix("quantity/")
        with pytest.raises(QuestionError) as refused:
            base.pair(a="tube/soft-10x16", b="thread/g-1-4", conditions={name: 1})
        assert said(row) in refused.value.what
        assert refused.value.nearest[0] == prefix + row.new_id.removeprefix("quantity/")


@pytest.mark.parametrize("row", [row for row in ROWS if row.old_id.startswith("family/")])
def test_a_page_of_a_table_refuses_the_old_id_of_a_family(base: KnowledgeBase, row: RenamedId) -> None:
    with pytest.raises(QuestionError) as refused:
        base.records("blocks", family=row.old_id)
    refusal_names_the_new_id(refused.value, row)


def test_a_kind_that_is_not_the_part_s_finds_its_new_id_alone(base: KnowledgeBase) -> None:
    answer = base.find(words="radiator/120x30-middle", kind="pump")
    assert (answer.candidates, answer.nearest) == ((), ("radiator/120x30-medium",))
