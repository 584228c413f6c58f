"""Which rule decides a pair: the most specific one whose conditions hold.

Owns: rule resolution. Does not own: the rules (rows of rules.csv) or words (`kb/report/sentences/findings.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from types import MappingProxyType
from typing import Any, NamedTuple, TypeAlias

from kb.evidence.comparisons import COMPARE
from kb.evidence.tree import Computed, ConditionCheck, Finding, RequirementCheck, RuleHit
from kb.store.snapshot import RuleEntry, Snapshot
from schemas.level import Judgement
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.quantities import Quantity
from schemas.tables.rule_conditions import Operator, RuleCondition
from schemas.tables.rules import RuleTopic

SPEAKS_OF_THE_WHOLE = frozenset({RuleTopic.CONTACT, RuleTopic.MIXING})  # their silence is a gap
RULE_NOT_MET = "rule-not-met"  # says when a rule would begin to speak; decides nothing by itself

RuleKeys: TypeAlias = tuple[tuple[str, ...], tuple[str, ...]]
_Hit: TypeAlias = tuple[RuleEntry, RuleHit]
_NOTHING: Mapping[str, Any] = MappingProxyType({})


class Written(NamedTuple):
    """The rules written about a pair of parts with their families.

    Attributes:
        hits: the rules, with their conditions as they hold while nobody states anything.
        asks: whether any of them has conditions.
        settled: what they say where nobody states anything and no fluid is usually anything: findings without a place.
    """

    hits: tuple[_Hit, ...]
    asks: bool
    settled: tuple[Finding, ...]


def rule_findings(
    snapshot: Snapshot,
    keys: RuleKeys,
    place: str,
    conditions: Mapping[str, float],
    usual: Mapping[str, FluidProperty] = MappingProxyType({}),
) -> list[Finding]:
    """Return one finding per topic on which a rule speaks about a pair.

    Inside a topic the most specific rule whose conditions hold wins. A rule whose condition cannot be decided stays
    in play beside the next one that holds, as a gap or a note, and the more severe of the two counts.

    Args:
        snapshot: the knowledge.
        keys: ids and families of either part, in the direction subject -> object.
        place: the joint it is about.
        conditions: quantity id -> value the asker stated, in the quantity's unit.
        usual: quantity id -> what the fluid of the joint usually is, where the asker states nothing.
    """
    written = written_rules(snapshot, keys)
    if written.asks and (conditions or usual):
        return _resolved(snapshot, written.hits, place, conditions, usual)
    return [one._replace(place=place) for one in written.settled]


def written_rules(snapshot: Snapshot, keys: RuleKeys) -> Written:
    """Return the rules written about a pair, whatever anybody states; found once.

    Args:
        snapshot: the knowledge.
        keys: ids and families of either part, in the direction subject -> object.
    """
    kept = snapshot.memo.rules
    found: Written = kept.find(keys) or kept.get(keys, partial(_written, snapshot, keys))
    return found


def _written(snapshot: Snapshot, keys: RuleKeys) -> Written:
    """Find the rules written about a pair."""
    hits = tuple(
        _hit(snapshot, entry, first, second)
        for first in keys[0]
        for second in keys[1]
        for entry in snapshot.rules(first, second)
    )
    return _settled(snapshot, hits)


def _hit(snapshot: Snapshot, entry: RuleEntry, first: str, second: str) -> _Hit:
    """Return a rule with its conditions as they hold while nobody states anything."""

    def make() -> _Hit:
        checks = tuple([_check(snapshot, row, _NOTHING, _NOTHING) for row in entry.conditions])
        return entry, RuleHit(entry.rule, first, second, checks)

    return snapshot.derive(("rule", entry.rule.id, first, second), make)


def _settled(snapshot: Snapshot, hits: tuple[_Hit, ...]) -> Written:
    """Find what rules say as long as nobody states anything."""
    asks = any(entry.conditions for entry, _ in hits)
    return Written(hits, asks, tuple(_resolved(snapshot, hits, "", _NOTHING, _NOTHING)))


def _resolved(
    snapshot: Snapshot,
    hits: tuple[_Hit, ...],
    place: str,
    conditions: Mapping[str, float],
    usual: Mapping[str, FluidProperty],
) -> list[Finding]:
    best: dict[RuleTopic, list[_Hit]] = {}
    not_met: list[Finding] = []
    for entry, hit in hits:
        if entry.conditions:
            if conditions or usual:
                checks = tuple([_check(snapshot, row, conditions, usual) for row in entry.conditions])
                hit = RuleHit(hit.rule, hit.subject_id, hit.object_id, checks)  # noqa: PLW2901 - the same, stated
            if False in [check.holds for check in hit.conditions]:
                not_met.append(Finding(RULE_NOT_MET, Judgement.PASS, place, (hit,)))
                continue
        best.setdefault(entry.rule.topic, []).append((entry, hit))
    return [_decide(snapshot, topic, hits, place) for topic, hits in sorted(best.items())] + not_met


def _decide(snapshot: Snapshot, topic: RuleTopic, hits: list[_Hit], place: str) -> Finding:
    if len(hits) == 1 and _is_sure(hits[0][1]):
        return _said(topic, hits[0][1], place)
    hits.sort(key=lambda hit: hit[0].specificity, reverse=True)  # equals stay in order: a part's own families first
    in_play: list[RuleHit] = []
    for _, hit in hits:
        in_play.append(hit)
        if _is_sure(hit):
            break
    needs_one = topic in SPEAKS_OF_THE_WHOLE and not _is_sure(in_play[-1])
    found = [_said(topic, hit, place) if _is_sure(hit) else _unsure(snapshot, topic, hit, place) for hit in in_play]
    decisive = max(found, key=lambda finding: finding.weight)
    if needs_one and decisive.judgement is not Judgement.GAP:
        return decisive._replace(judgement=Judgement.GAP, decides=True)
    return decisive


def _is_sure(hit: RuleHit) -> bool:
    return not hit.conditions or all(check.holds for check in hit.conditions)


def _said(topic: RuleTopic, hit: RuleHit, place: str) -> Finding:
    """Return what a rule says whose conditions hold."""
    rule = hit.rule
    named = RequirementCheck(rule.requirement_id) if rule.requirement_id else None
    return Finding(f"rule-{topic}", rule.level, place, (hit,), requirement=named)


def _unsure(snapshot: Snapshot, topic: RuleTopic, hit: RuleHit, place: str) -> Finding:
    """Return what a rule says while nobody knows whether its conditions hold.

    It is a gap if some value that the quantities can have would make it an error; what could only become a warning is
    a note that shows when.
    """
    could_harm = hit.rule.level is Judgement.ERROR and all(_can_hold(snapshot, check) for check in hit.conditions)
    return Finding(f"rule-{topic}", Judgement.GAP if could_harm else Judgement.NOTE, place, (hit,))


def _can_hold(snapshot: Snapshot, check: ConditionCheck) -> bool:
    """Return whether a condition holds, or does so at one end of what its quantity can be."""
    if check.holds is not None:
        return check.holds
    quantity = snapshot.row(check.condition.quantity_id)
    if not isinstance(quantity, Quantity):
        return True  # no range is known
    compare, value = COMPARE[check.condition.operator], check.condition.value
    return any(compare(end, value) for end in (quantity.least, quantity.most)) or (
        check.condition.operator is Operator.EQUAL and quantity.least <= value <= quantity.most
    )


def _check(
    snapshot: Snapshot, condition: RuleCondition, stated: Mapping[str, float], usual: Mapping[str, FluidProperty]
) -> ConditionCheck:
    value = stated.get(condition.quantity_id)
    origin: Assumption | FluidProperty | None = None
    if value is None:
        origin = usual.get(condition.quantity_id) or snapshot.assumption(condition.quantity_id)
        value = None if origin is None else origin.value
    if value is None:
        return ConditionCheck(condition, None, None, None)
    holds = COMPARE[condition.operator](value, condition.value)
    return ConditionCheck(condition, float(value), origin, holds, isinstance(value, Computed))
