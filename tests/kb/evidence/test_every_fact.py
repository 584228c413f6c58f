"""Every fact that a requirement names, known and unknown, at its figure and beside it.

What is expected is written out here from the sign in the cell; the program's table of signs is not asked.
"""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from written_signs import BELOW_AT_ABOVE

import kb
from kb.evidence.requirements import NO_FACTS, AnyOf, FactSource, KnownFacts, holding, parsed_requirement
from schemas.columns.facts import RequiredFact, parse_facts
from schemas.tables.requirements import Requirement

SNAPSHOT = kb.load().snapshot
STEP = 1e-6


def facts_named() -> Iterator[RequiredFact]:
    for row in SNAPSHOT.active(Requirement):
        parsed = parsed_requirement(SNAPSHOT, row.id)
        yield from (
            fact for alternatives in (parsed.implied_by, parsed.contradicted_by) for one in alternatives for fact in one
        )


FACTS = sorted(set(facts_named()))
FIGURES = [one for one in FACTS if one.number is not None and one.operator in BELOW_AT_ABOVE]


def known(fact: RequiredFact, value: float) -> KnownFacts:
    return KnownFacts(figures={f"{fact.kind}:{fact.name}": value})


def test_every_figure_is_held_against_its_own_value() -> None:
    assert len(FIGURES) > 15
    for fact in FIGURES:
        bound = fact.number or 0.0
        told = [known(fact, bound + step).value(fact) for step in (-STEP, 0.0, STEP)]
        assert told == list(BELOW_AT_ABOVE[fact.operator]), fact.text


@pytest.mark.parametrize("sign", BELOW_AT_ABOVE)
def test_a_figure_is_held_against_another_one(sign: str) -> None:
    for right, more in (("computed:warmest", 0.0), ("computed:warmest+10", 10.0)):
        ((fact,),) = parse_facts(f"rated:service-temperature{sign}{right}")
        for step, expected in zip((-STEP, 0.0, STEP), BELOW_AT_ABOVE[sign], strict=True):
            figures = {"rated:service-temperature": 50.0 + more + step, "computed:warmest": 50.0}
            assert KnownFacts(figures=figures).value(fact) is expected, (sign, right, step)
        assert KnownFacts(figures={"rated:service-temperature": 50.0}).value(fact) is None


def test_what_nobody_knows_implies_nothing_and_contradicts_nothing() -> None:
    for fact in FACTS:
        assert NO_FACTS.value(fact) is None, fact.text
        assert holding(((fact,),), NO_FACTS) == ""
        assert holding(((fact._replace(is_negated=True),),), NO_FACTS) == "", "unknown is not false"


def test_a_statement_is_never_a_fact() -> None:
    ((fact,),) = parse_facts("statement")
    everything = KnownFacts({"statement:": True}, {"statement:": 1.0}, {"statement:": "yes"})
    assert everything.value(fact) is None


@pytest.mark.parametrize(
    ("text", "words", "expected"),
    [
        ("part:hose-clamp", {"part:hose-clamp": True}, True),
        ("part:hose-clamp", {"part:hose-clamp": False}, False),
        ("part:hose-clamp=no", {"part:hose-clamp": True}, False),
        ("part:hose-clamp=no", {"part:hose-clamp": False}, True),
        ("part:hose-clamp=no", {"part:other": False}, None),
        ("part:hose-clamp=yes", {"part:hose-clamp": True}, None),
        ("use:filling", {"part:filling": True}, None),
    ],
)
def test_words_are_true_false_or_unknown(text: str, words: dict[str, bool], expected: bool | None) -> None:
    ((fact,),) = parse_facts(text)
    assert KnownFacts(words).value(fact) is expected


@pytest.mark.parametrize(("word", "expected"), [("pure", True), ("tap", False)])
def test_a_word_is_compared_as_it_is(word: str, expected: bool) -> None:
    ((fact,),) = parse_facts("fluid:water=pure")
    assert KnownFacts(texts={"fluid:water": word}).value(fact) is expected


class Says:
    """A source that knows one thing of everything."""

    def __init__(self, answer: bool | None) -> None:
        self.answer = answer

    def value(self, fact: RequiredFact) -> bool | None:
        return self.answer if fact else None


@pytest.mark.parametrize(
    ("answers", "expected"),
    [((None, True), True), ((False, True), False), ((True, False), True), ((None, None), None), ((), None)],
)
def test_the_first_source_that_knows_speaks(answers: tuple[bool | None, ...], expected: bool | None) -> None:
    sources: tuple[FactSource, ...] = tuple(Says(one) for one in answers)
    assert AnyOf(sources).value(FACTS[0]) is expected


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("part:a & part:b", ""),
        ("part:a & not part:b", "part:a & not part:b"),
        ("part:b ; part:a", "part:a"),
        ("not part:a ; part:b", ""),
        ("part:unknown ; part:a & part:unknown", ""),
    ],
)
def test_together_and_either_are_not_mixed_up(text: str, expected: str) -> None:
    assert holding(parse_facts(text), KnownFacts({"part:a": True, "part:b": False})) == expected


def test_a_kind_of_fluid_never_speaks_against_a_figure() -> None:
    """Where a finding stands on a stated figure, neither that figure nor what a fluid usually is may settle it."""
    facts = KnownFacts({"fluid:premix": True, "part:a": True}, {"condition:chloride": 5.0, "condition:ph": 8.0})
    beside = frozenset({"chloride"})
    for text, expected in (
        ("condition:chloride<=40", ""),
        ("fluid:premix", ""),
        ("condition:ph>=7.5", "condition:ph>=7.5"),
        ("part:a", "part:a"),
    ):
        assert holding(parse_facts(text), facts, beside) == expected, text
        assert holding(parse_facts(text), facts) == text
