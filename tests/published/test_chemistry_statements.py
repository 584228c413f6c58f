"""Published statements about materials, fluids and additives, each asked as its source puts it.

`chemistry_statements.csv` holds one statement a row: source and locator, evidence number, what it says, the pair, the
topic, the verdict that the statement itself gives (not our rules), and the circumstances. How it stands here:

- `agrees`: our verdict on that topic is the statement's, and the whole answer is at least as severe;
- `disputed`: sources disagree; ours follows another one and the answer must report this statement beside it;
- `stricter` or `milder`: ours differs on purpose; the row says why. No other row may.

Statements about materials that we do not carry (nickel braze, stainless 347) are left out rather than carried over.
"""

from __future__ import annotations

import csv
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import pytest

from kb.knowledge_base import KnowledgeBase
from schemas.answers.answers import Finding, PairAnswer
from schemas.verdict import Verdict


class Statement(NamedTuple):
    """One row of `chemistry_statements.csv`."""

    evidence: str
    source: str
    locator: str
    says: str
    one: str
    other: str
    topic: str
    verdict: str
    circumstances: str
    stands: str
    why: str

    @property
    def expected(self) -> Verdict:
        return Verdict(self.verdict)

    @property
    def conditions(self) -> dict[str, float]:
        pairs = (one.split("=") for one in self.circumstances.split())
        return {name: float(value) for name, value in pairs}

    def __str__(self) -> str:
        return f"{self.evidence}: {self.one}, {self.other}, {self.topic}"


def read_statements() -> list[Statement]:
    with Path(__file__).with_name("chemistry_statements.csv").open(encoding="utf-8", newline="") as file:
        return [Statement(**row) for row in csv.DictReader(file)]


STATEMENTS = read_statements()


def statements_that(*ways: str) -> list[Statement]:
    return [one for one in STATEMENTS if one.stands in ways]


Ask = Callable[[Statement], tuple[PairAnswer, Finding]]


@pytest.fixture(scope="module")
def ask(base: KnowledgeBase) -> Ask:
    """Return the answer to a statement and what is reported there on its topic."""

    def answer(statement: Statement) -> tuple[PairAnswer, Finding]:
        reported = base.pair(statement.one, statement.other, conditions=statement.conditions)
        on_topic = [one for one in reported.findings if one.code == f"rule-{statement.topic}"]
        assert len(on_topic) == 1, f"{statement} is not spoken of: {[one.code for one in reported.findings]}"
        return reported, on_topic[0]

    return answer


@pytest.mark.parametrize("statement", statements_that("agrees"), ids=str)
def test_verdict_is_that_of_the_statement(ask: Ask, statement: Statement) -> None:
    answer, reported = ask(statement)
    assert reported.verdict is statement.expected
    assert answer.verdict.severity >= statement.expected.severity


@pytest.mark.parametrize("statement", statements_that("disputed"), ids=str)
def test_statement_that_lost_is_reported_beside_the_one_that_decides(ask: Ask, statement: Statement) -> None:
    _, reported = ask(statement)
    assert reported.verdict is not statement.expected
    assert statement.expected in {one.verdict for one in reported.disputes}
    assert all(one.source and one.reason for one in reported.disputes)


@pytest.mark.parametrize("statement", statements_that("stricter"), ids=str)
def test_verdict_is_more_severe_than_the_statement_on_purpose(ask: Ask, statement: Statement) -> None:
    _, reported = ask(statement)
    assert statement.why
    assert reported.verdict.severity > statement.expected.severity


@pytest.mark.parametrize("statement", statements_that("milder"), ids=str)
def test_verdict_is_milder_than_the_statement_on_purpose_yet_never_compatible(ask: Ask, statement: Statement) -> None:
    answer, reported = ask(statement)
    assert statement.why
    assert Verdict.CONDITIONAL.severity <= reported.verdict.severity < statement.expected.severity
    assert answer.verdict is not Verdict.COMPATIBLE


def test_there_are_enough_statements_and_few_differ() -> None:
    with_additive = [one for one in STATEMENTS if one.one.startswith(("additive/", "fluid/"))]
    assert (len(STATEMENTS) >= 150, len(with_additive) >= 40) == (True, True)
    ways = Counter(one.stands for one in STATEMENTS)
    assert (ways["stricter"] <= 4, ways["milder"] <= 5) == (True, True), ways
    assert set(ways) == {"agrees", "disputed", "stricter", "milder"}


def test_every_statement_says_where_it_stands_and_only_once() -> None:
    assert all(one.evidence and one.source and one.says for one in STATEMENTS)
    asked = Counter((one.evidence, one.one, one.other, one.topic, one.circumstances) for one in STATEMENTS)
    assert [key for key, count in asked.items() if count > 1] == []


def test_statements_reach_across_the_kinds_of_substances() -> None:
    touched = {part for one in STATEMENTS for part in (one.one, one.other)}
    for least, kind in ((14, "metal/"), (14, "plastic/"), (5, "elastomer/"), (18, "fluid/"), (10, "additive/")):
        assert sum(part.startswith(kind) for part in touched) >= least, kind
