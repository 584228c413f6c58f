"""Example loops: whole loops that come with the program, judged in two states of the tables.

Owns: reading them, judging them, and what differs. Does not own: judging a loop (`kb/loops/judge.py`).
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from kb.curation.diff.reach import Spot, reaches
from kb.evidence.rules import RULE_NOT_MET
from kb.knowledge_base import KnowledgeBase
from kb.store.examples import EXAMPLES_FOLDER
from kb.store.faults import QuestionError
from schemas.answers.answers import Finding
from schemas.answers.changes import FindingChange, LoopChange
from schemas.answers.loop import LoopAnswer
from schemas.questions.loop import LoopQuestion
from schemas.verdict import Verdict


@dataclass(frozen=True, slots=True)
class ExampleLoop:
    """A loop kept as an example.

    Attributes:
        name: name of its file without ending.
        question: the loop.
    """

    name: str
    question: LoopQuestion


@dataclass(frozen=True, slots=True)
class JudgedLoop:
    """An example loop as one state of the tables judges it.

    Attributes:
        loop: the loop.
        answer: the answer with every finding, `None` if it cannot be asked there.
        refusal: why not, empty if it can.
    """

    loop: ExampleLoop
    answer: LoopAnswer | None
    refusal: str

    @property
    def verdict(self) -> Verdict | None:
        """The verdict, `None` if the loop cannot be asked."""
        return self.answer.verdict if self.answer is not None else None


def read_loops(folder: Path = EXAMPLES_FOLDER) -> tuple[ExampleLoop, ...]:
    """Read every `.json` file of a folder as a loop, sorted by name.

    Args:
        folder: folder of the loops.

    Raises:
        QuestionError: if there is no such folder, or a file is no loop.
    """
    if not folder.is_dir():
        raise QuestionError("loops", f"there is no folder {folder}", "name a folder of loops as JSON files")
    return tuple(_read_loop(path) for path in sorted(folder.glob("*.json")))


def _read_loop(path: Path) -> ExampleLoop:
    try:
        return ExampleLoop(path.stem, LoopQuestion.model_validate(json.loads(path.read_text(encoding="utf-8"))))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        where = ".".join(str(step) for step in first["loc"])
        raise QuestionError(f"loops.{path.name}", f"{where}: {first['msg']}", "fix the loop") from None
    except ValueError as error:
        raise QuestionError(f"loops.{path.name}", str(error), "write the loop as JSON in UTF-8") from None


def judge_loops(base: KnowledgeBase, loops: Iterable[ExampleLoop]) -> tuple[JudgedLoop, ...]:
    """Judge loops, each with all of its findings; a loop that cannot be asked says why.

    Args:
        base: the knowledge.
        loops: the loops.
    """
    return tuple(_judge(base, loop) for loop in loops)


def _judge(base: KnowledgeBase, loop: ExampleLoop) -> JudgedLoop:
    try:
        return JudgedLoop(loop, base.loop(loop.question.model_copy(update={"detail": "all"})), "")
    except QuestionError as error:
        return JudgedLoop(loop, None, str(error))


def changed_loops(
    before: Iterable[JudgedLoop],
    after: Iterable[JudgedLoop],
    spots: Mapping[str, frozenset[Spot]],
    names: Mapping[str, frozenset[str]],
) -> Iterator[LoopChange]:
    """Yield the loops of which the verdict or a finding differs.

    Args:
        before: loops as one state of the tables judges them.
        after: the same loops in the other state.
        spots: id of a changed row -> where it is read.
        names: id of an archetype -> names under which anything about it is found.
    """
    for old, new in zip(before, after, strict=True):
        reaching = _reaching(old.loop.question, spots, names)
        findings = tuple(_changed_findings(_reasons(old), _reasons(new), spots.keys(), reaching))
        if findings or old.verdict is not new.verdict:
            refusals = tuple(dict.fromkeys(one.refusal for one in (old, new) if one.refusal))
            yield LoopChange(
                loop=new.loop.name, before=old.verdict, after=new.verdict, refusals=refusals, findings=findings
            )


@dataclass(frozen=True, slots=True)
class _Reason:
    verdict: Verdict
    rows: frozenset[str]


def _reasons(judged: JudgedLoop) -> dict[tuple[str, str], _Reason]:
    """Return what was found, by code and place; of several under one place the worst verdict and all rows."""
    reasons: dict[tuple[str, str], _Reason] = {}
    for finding in judged.answer.findings if judged.answer is not None else ():
        if finding.code != RULE_NOT_MET:
            key = finding.code, finding.place
            known = reasons.get(key, _Reason(finding.verdict, frozenset()))
            verdict = max(known.verdict, finding.verdict, key=lambda one: one.severity)
            reasons[key] = _Reason(verdict, known.rows | rows_reported(finding))
    return reasons


def rows_reported(finding: Finding) -> frozenset[str]:
    """Return the ids of the rows that a reported finding cites.

    Args:
        finding: a finding of an answer.
    """
    facts = [*finding.facts, *(fact for number in finding.quantities for fact in number.inputs)]
    rows = {fact.row for fact in facts if not fact.given} | {limit.id for limit in finding.limits}
    for rule in finding.rules:
        rows.add(rule.id)
        rows.update(one for condition in rule.conditions for one in (condition.id, condition.origin) if one)
    return frozenset(rows)


def _changed_findings(
    old: Mapping[tuple[str, str], _Reason],
    new: Mapping[tuple[str, str], _Reason],
    changed: Iterable[str],
    reaching: frozenset[str],
) -> Iterator[FindingChange]:
    for code, place in sorted({*old, *new}):
        was, now = old.get((code, place)), new.get((code, place))
        verdicts = tuple(one.verdict if one is not None else None for one in (was, now))
        if verdicts[0] is not verdicts[1]:
            cited = frozenset().union(*(one.rows for one in (was, now) if one is not None))
            causes = tuple(sorted(cited & frozenset(changed) or reaching))
            yield FindingChange(code=code, place=place, before=verdicts[0], after=verdicts[1], causes=causes)


def _reaching(
    question: LoopQuestion, spots: Mapping[str, frozenset[Spot]], names: Mapping[str, frozenset[str]]
) -> frozenset[str]:
    """Return the changed rows that are read under names of the parts of a loop."""
    own = frozenset().union(*(names.get(word, frozenset()) for word in words_of(question.model_dump(mode="json"))))
    return frozenset(row for row, places in spots.items() if reaches(places, own))


def words_of(value: Any) -> Iterator[str]:
    """Yield every text in a JSON value.

    Args:
        value: what `json.loads` can return.

    >>> list(words_of({"a": ["b", 1], "c": None}))
    ['b']
    """
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict | list):
        for one in value.values() if isinstance(value, dict) else value:
            yield from words_of(one)
