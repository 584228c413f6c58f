"""Whether a requirement is met: by what the asker states, or by facts that are there.

Owns: evaluating the facts of requirements.csv. Does not own: their language (`schemas/columns/facts.py`), or where
facts come from (`FactSource` is filled in where things meet).
A fact is true, false or unknown; what is unknown implies nothing and contradicts nothing, so absence never implies.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from kb.evidence.comparisons import COMPARE
from kb.evidence.tree import Finding, RequirementCheck, RuleHit
from kb.store.faults import QuestionError, refuse_all
from kb.store.snapshot import Snapshot
from schemas.columns.facts import Alternatives, FactKind, RequiredFact, parse_facts
from schemas.level import Judgement, RequirementState
from schemas.tables.requirements import Requirement


class FactSource(Protocol):
    """Something that knows facts."""

    def value(self, fact: RequiredFact) -> bool | None:
        """Return whether a fact is so (its negation left aside); `None` if that is not known."""


@dataclass(frozen=True, slots=True)
class KnownFacts:
    """Facts and figures that are plainly known: parts that are there, marked dimensions, stated quantities.

    Attributes:
        words: fact without comparison, such as `part:hose-clamp` or `use:filling` -> whether it is so.
        figures: fact with a figure, such as `condition:chloride` -> its value in the unit of the quantity.
        texts: fact with a word, such as `fluid:water` -> the word.
    """

    words: Mapping[str, bool] = field(default_factory=dict)
    figures: Mapping[str, float] = field(default_factory=dict)
    texts: Mapping[str, str] = field(default_factory=dict)

    def value(self, fact: RequiredFact) -> bool | None:
        """Return whether a fact is so; `None` if that is not known."""
        key = f"{fact.kind}:{fact.name}"
        if fact.kind is FactKind.STATEMENT:
            return None
        if not fact.operator:
            return self.words.get(key)
        if fact.operator == "=" and fact.right == "no" and key in self.words:
            return not self.words[key]
        if fact.operator == "=" and key in self.texts:
            return self.texts[key] == fact.right
        figure, bound = self.figures.get(key), self._bound(fact)
        return None if figure is None or bound is None else COMPARE[fact.operator](figure, bound)

    def _bound(self, fact: RequiredFact) -> float | None:
        """Return what a figure is compared with: a number, another figure, or that and a number."""
        if fact.operator not in COMPARE or fact.number is not None:
            return fact.number
        name, _, more = fact.right.partition("+")
        base = self.figures.get(name)
        return None if base is None else base + float(more or 0)


@dataclass(frozen=True, slots=True)
class AnyOf:
    """Several sources; the first that knows a fact speaks."""

    sources: tuple[FactSource, ...]

    def value(self, fact: RequiredFact) -> bool | None:
        """Return whether a fact is so; `None` if no source knows it."""
        known = (source.value(fact) for source in self.sources)
        return next((one for one in known if one is not None), None)


NO_FACTS = KnownFacts()


class Parsed(NamedTuple):
    """A requirement with its facts read.

    Attributes:
        row: the requirement.
        implied_by: what meets it.
        contradicted_by: what makes a statement of it an error.
    """

    row: Requirement
    implied_by: Alternatives
    contradicted_by: Alternatives


def parsed_requirement(snapshot: Snapshot, requirement_id: str) -> Parsed:
    """Return a requirement with its facts read; read once.

    Raises:
        KeyError: if there is no such requirement.
    """
    row = snapshot.get(Requirement, requirement_id)
    return snapshot.derive(
        ("requirement", requirement_id),
        lambda: Parsed(row, parse_facts(row.implied_by), parse_facts(row.contradicted_by or "")),
    )


def holding(alternatives: Alternatives, facts: FactSource, beside: frozenset[str] = frozenset()) -> str:
    """Return the first alternative that holds, as it is written; empty if none does.

    Args:
        alternatives: facts, one group of which is enough.
        facts: what is known.
        beside: quantities of which nothing may be used, because the finding fired on a stated figure of them.
    """
    for needed in alternatives:
        if all(_holds(fact, facts, beside) for fact in needed):
            return " & ".join(fact.text for fact in needed)
    return ""


def _holds(fact: RequiredFact, facts: FactSource, beside: frozenset[str]) -> bool:
    """Return whether a fact is known to be so; a kind of fluid never speaks against a stated figure."""
    if beside and (fact.kind is FactKind.FLUID or (fact.kind is FactKind.CONDITION and fact.name in beside)):
        return False
    value = facts.value(fact)
    return value is not None and value is not fact.is_negated


def settled(snapshot: Snapshot, finding: Finding, facts: FactSource) -> Finding:
    """Return a warning with the state of its requirement as far as facts decide it; other findings as they are.

    Args:
        snapshot: the knowledge.
        finding: a finding.
        facts: what is known where it was found.
    """
    check = finding.requirement
    if check is None or finding.judgement is not Judgement.WARNING:
        return finding
    parsed = parsed_requirement(snapshot, check.id)
    if because := holding(parsed.implied_by, facts, _fired_on(finding)):
        return finding._replace(requirement=RequirementCheck(check.id, RequirementState.IMPLIED, because))
    if because := holding(parsed.contradicted_by, facts):
        return finding._replace(requirement=RequirementCheck(check.id, RequirementState.CONTRADICTED, because))
    return finding


def settled_all(snapshot: Snapshot, findings: Iterable[Finding], facts: FactSource) -> list[Finding]:
    """Return findings with the states of their requirements as far as facts decide them."""
    return [settled(snapshot, finding, facts) for finding in findings]


def refuse_contradicted(snapshot: Snapshot, findings: Iterable[Finding], met: Mapping[str, str]) -> None:
    """Refuse a statement that facts of the question contradict, or that only the computation can make.

    Args:
        snapshot: the knowledge.
        findings: with requirements as far as facts decide them.
        met: id of a requirement stated as met -> the place in the question that says so.

    Raises:
        QuestionError: at the first such statement, with all others.
    """
    if not met:
        return
    checks = [finding.requirement for finding in findings if finding.requirement is not None and finding.is_open]
    against = {one.id: one.because for one in checks if one.state is RequirementState.CONTRADICTED}
    computed = {one.id for one in checks if not can_be_stated(snapshot, one.id)}
    faults = []
    for one, place in met.items():
        if one in against:
            what = f"{one} cannot be met: the question says {against[one]}"
            faults.append(QuestionError(place, what, "take back one of the two"))
        elif one in computed:
            what = f"{one} cannot be stated: it is computed, and the result says otherwise"
            faults.append(QuestionError(place, what, "take it back and change what the answer names"))
    refuse_all(faults)


def can_be_stated(snapshot: Snapshot, requirement_id: str) -> bool:
    """Return whether an asker may state a requirement as met: not if nothing but a computed figure implies it.

    Raises:
        KeyError: if there is no such requirement.
    """
    implied_by = parsed_requirement(snapshot, requirement_id).implied_by
    return {fact.kind for needed in implied_by for fact in needed} != {FactKind.COMPUTED}


def stated_met(findings: Iterable[Finding], met: Collection[str]) -> list[Finding]:
    """Return findings with those requirements met that the asker states; errors and gaps stay as they are.

    Args:
        findings: with requirements as far as facts decide them; what facts contradict stays contradicted.
        met: ids of requirements.
    """
    return [_met(finding, met) for finding in findings] if met else list(findings)


def _met(finding: Finding, met: Collection[str]) -> Finding:
    check = finding.requirement
    if check is None or check.id not in met or check.state is not RequirementState.OPEN:
        return finding
    return finding._replace(requirement=RequirementCheck(check.id, RequirementState.MET, "stated"))


def _fired_on(finding: Finding) -> frozenset[str]:
    """Return the quantities whose stated figures made a finding: a figure beats a kind."""
    return frozenset(
        check.condition.quantity_id.removeprefix("quantity/")
        for node in finding.evidence
        if isinstance(node, RuleHit)
        for check in node.conditions
        if check.origin is None and check.value is not None
    )
