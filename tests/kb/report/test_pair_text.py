"""A pair's answer written as JSON is, byte for byte, what its model gives; nothing that anybody states is kept."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterator

import pytest
from pydantic_core import to_json

import kb.store.snapshot
from kb.knowledge_base import KnowledgeBase
from kb.report.pair_json import _number_text
from kb.store.snapshot import Snapshot
from schemas.questions.questions import PairQuestion

MOST_CACHED = 50
PAIRS = 600
CIRCUMSTANCES = ({}, {"coolant-temperature": 45.0}, {"coolant-temperature": 70.5, "chloride": 50.0}, {"ph": 9.9})
STATED = (
    {"a": {"is": "tube/soft-10x16", "id_mm": 9.8, "od": "5/8 in"}, "b": "fitting/compression-10x16-g-1-4"},
    {"a": {"kind": "tube", "id_mm": 9.8, "od_mm": 16.1}, "b": "fitting/barb-10-g-1-4"},
    {"a": {"kind": "tube", "od_mm": 13.0}, "b": "fitting/rigid-13-g-1-4"},
    {"a": {"kind": "thread", "is": "thread/g-1-4", "major_mm": 13.1, "gender": "external"}, "b": "port/g-1-4-loop"},
    {"a": {"kind": "port", "thread": "thread/g-1-4"}, "b": "fitting/compression-10x16-g-1-4"},
    {"a": {"kind": "fluid", "is": "fluid/distilled-water", "properties": {"ph": 9.5}}, "b": "metal/brass-yellow"},
)


def questions(snapshot: Snapshot) -> Iterator[PairQuestion]:
    chance, ids = random.Random(2026), snapshot.ids()
    for number in range(PAIRS):
        yield PairQuestion(
            a=chance.choice(ids), b=chance.choice(ids), conditions=CIRCUMSTANCES[number % len(CIRCUMSTANCES)]
        )


def test_written_answers_are_those_of_the_model(base: KnowledgeBase) -> None:
    for question in questions(base.snapshot):
        expected = to_json(base.pair(question))
        assert base.pair_json(question) == expected
        assert base.pair_json(question) == expected, "asked again, with what was kept"


@pytest.mark.parametrize("asked", STATED)
def test_stated_parts_are_written_like_the_model(base: KnowledgeBase, asked: dict[str, object]) -> None:
    for circumstances in CIRCUMSTANCES:
        question = PairQuestion.model_validate({**asked, "conditions": circumstances})
        assert base.pair_json(question) == to_json(base.pair(question))


def test_stating_ever_new_values_keeps_nothing_more(base: KnowledgeBase) -> None:
    def ask(numbers: Iterator[int]) -> int:
        for number in numbers:
            tube = {"is": "tube/soft-10x16", "id_mm": 9.8 + number / 1e4}
            base.pair_json(PairQuestion.model_validate({"a": tube, "b": "fitting/compression-10x16-g-1-4"}))
            thread = {"kind": "thread", "is": "thread/g-1-4", "major_mm": 13.1 + number / 1e4, "gender": "external"}
            base.pair_json(PairQuestion.model_validate({"a": thread, "b": "port/g-1-4-loop"}))
            circumstances = {"coolant-temperature": 20 + number / 10}
            base.pair_json(PairQuestion(a="fluid/distilled-water", b="metal/brass-yellow", conditions=circumstances))
        writer, snapshot = base._writer, base.snapshot
        kept = (writer._facts, writer._limits, writer._cautions, writer._sources, writer._quantities)
        kept += (writer._frames, writer._reasons, writer._settled)
        kept += (snapshot.reported, snapshot.written, snapshot.mated, snapshot._derived)
        return sum(map(len, kept))

    assert ask(iter(range(10))) == ask(iter(range(10, 60)))


def test_two_ids_are_written_as_in_a_question(base: KnowledgeBase) -> None:
    for question in itertools.islice(questions(base.snapshot), 0, PAIRS, len(CIRCUMSTANCES)):
        assert base.archetypes_json(str(question.a), str(question.b)) == to_json(base.pair(question))


def test_how_threads_mate_is_kept_within_a_bound_and_reported_alike(
    base: KnowledgeBase, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kb.store.snapshot, "MOST_MATED", MOST_CACHED)
    fresh = KnowledgeBase(Snapshot(base.snapshot.built))
    threads = base.snapshot.ids(("threads",))
    for one, other in itertools.product(threads, repeat=2):
        fresh.decide(one, other)
    assert len(fresh.snapshot.mated) == MOST_CACHED
    question = PairQuestion(a="fitting/compression-10x16-g-1-4", b="port/g-1-4-loop")
    assert fresh.pair_json(question) == fresh.pair_json(question) == to_json(fresh.pair(question))


@pytest.mark.parametrize(
    "value", [0.0, -0.0, 1, 0.1 + 0.2, 1e-3, 9.99e-4, 1e-5, -2.5e-7, 1e15, 1e16, 1.5e300, 123456789.125, float("inf")]
)
def test_numbers_are_written_like_those_of_the_model(value: float) -> None:
    assert _number_text(value).encode() == to_json(float(value))


def test_the_questions_bring_up_every_kind_of_evidence(base: KnowledgeBase) -> None:
    kinds = {
        type(node).__name__
        for question in itertools.islice(questions(base.snapshot), PAIRS)
        for finding in base.decide_question(question).joint.findings
        for node in finding.evidence
    }
    assert kinds == {"Fact", "LimitCheck", "Missing", "Number", "Rival", "RuleHit"}
