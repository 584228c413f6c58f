"""Evidence rendered to plain sentences, in this one place.

Owns: which message is said of a finding, and how numbers, facts and names are written. Does not own: what is decided,
or the words of messages (`kb/tables/messages.csv`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from types import MappingProxyType
from typing import Any, NamedTuple

from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import ConditionCheck, Fact, Finding, LimitCheck, Missing, Number, RuleHit
from kb.parts.part import Part
from kb.report.sentences.words import words
from kb.store.snapshot import Snapshot
from schemas.level import Judgement, RequirementState
from schemas.messages import Gap, Text
from schemas.questions.choices import Section
from schemas.tables.assumptions import Assumption
from schemas.tables.column_words import column_words
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Comparison, Limit
from schemas.tables.messages import Message
from schemas.tables.quantities import Quantity
from schemas.tables.requirements import Requirement
from schemas.verdict import Verdict

_DECIMALS = {
    "mm": 3,
    "%": 1,
    "turns": 1,
    "deg": 2,
    "degC": 1,
    "bar": 2,
    "N": 0,
    "1": 2,
    "V": 2,
    "K": 1,
    "ml": 0,
    "g": 0,
    "W": 0,
    "dB": 1,
}
_FORMATS = MappingProxyType({unit: f"%.{decimals}f" for unit, decimals in _DECIMALS.items()})
_USUAL_FORMAT = "%.3f"

_ORIGINS: Mapping[type, str] = MappingProxyType({Assumption: "assumed", FluidProperty: "usual"})

_PAIR_SUMMARIES = MappingProxyType(
    {
        Verdict.COMPATIBLE: Text.PAIR_COMPATIBLE,
        Verdict.CONDITIONAL: Text.PAIR_CONDITIONAL,
        Verdict.UNKNOWN: Text.PAIR_UNKNOWN,
        Verdict.INCOMPATIBLE: Text.PAIR_INCOMPATIBLE,
    }
)
_KEY_FIGURES = ("o-ring-compression-min", "clamping-squeeze", "barb-interference", "rule-sealing", "rule-joint")
_LOOP_SUMMARIES = MappingProxyType(
    {
        Verdict.COMPATIBLE: Text.LOOP_COMPATIBLE,
        Verdict.CONDITIONAL: Text.LOOP_CONDITIONAL,
        Verdict.UNKNOWN: Text.LOOP_UNKNOWN,
        Verdict.INCOMPATIBLE: Text.LOOP_INCOMPATIBLE,
    }
)


def number_text(value: float, unit: str) -> str:
    """Return a number with as many decimals as its unit deserves, and the unit.

    >>> number_text(9.525, "mm"), number_text(20.04, "%"), number_text(5.0, "deg")
    ('9.525 mm', '20 %', '5 deg')
    """
    digits = _FORMATS.get(unit, _USUAL_FORMAT) % value
    plain = digits.rstrip("0").rstrip(".") if "." in digits else digits
    plain = "0" if plain == "-0" else plain
    return plain if unit == "1" else f"{plain} {unit}"


def finding_sentence(snapshot: Snapshot, finding: Finding) -> str:
    """Return the plain sentence of a finding."""
    lead = finding.evidence[0]
    if isinstance(lead, Number):
        return _number_sentence(snapshot, finding, lead)
    if isinstance(lead, RuleHit):
        return _rule_sentence(snapshot, finding, lead)
    assert isinstance(lead, Missing)
    sentence = words(snapshot, Gap(finding.code), subject=lead.subject, what=lead.what)
    if len(finding.evidence) == 1:
        return sentence
    beside = [node for node in finding.evidence[1:] if isinstance(node, Number)]
    texts = "; ".join(_named_number(number, snapshot.get(Quantity, number.quantity_id)) for number in beside)
    return f"{sentence.removesuffix('.')} ({texts})." if texts else sentence


def joint_sentence(snapshot: Snapshot, findings: Sequence[Finding]) -> str:
    """Return the one sentence that says most about a joint: its worst finding, or its key figure if all is well."""
    worst = max(findings, key=lambda finding: (finding.weight, finding.code != RULE_NOT_MET))
    if worst.judgement is Judgement.PASS:
        by_code = {finding.code: finding for finding in findings}
        worst = next((by_code[code] for code in _KEY_FIGURES if code in by_code), worst)
    return finding_sentence(snapshot, worst)


def finding_remedy(snapshot: Snapshot, finding: Finding) -> str | None:
    """Return what would make a finding right, `None` if nothing needs to or nobody knows."""
    if finding.judgement is Judgement.PASS:
        return None
    for node in finding.evidence:
        if isinstance(node, LimitCheck):
            return node.limit.remedy
        if isinstance(node, RuleHit):
            return node.rule.remedy
    lead = finding.evidence[0]
    return _gap_remedy(snapshot, Gap(finding.code), lead) if isinstance(lead, Missing) else None


def _gap_remedy(snapshot: Snapshot, gap: Gap, missing: Missing) -> str | None:
    remedy = snapshot.get(Message, gap.row_id).remedy
    return remedy.format(subject=missing.subject, what=missing.what) if remedy is not None else None


def part_name(snapshot: Snapshot, part: Part) -> str:
    """Return what to call a part of a question: its name, or `your ...` for a part described by the asker."""
    if part.base_id == part.id:
        return row_name(snapshot, part.id)
    return f"your {row_name(snapshot, part.base_id) if part.base_id else part.kind}"


def pair_summary(snapshot: Snapshot, verdict: Verdict, a: str, b: str) -> str:
    """Return the one-line answer to a pair question, from the names of both parts."""
    sentence = words(snapshot, _PAIR_SUMMARIES[verdict], a=a, b=b)
    return sentence.replace("your ", "Your ", 1) if sentence.startswith("your ") else sentence


def stated_summary(snapshot: Snapshot, findings: Iterable[Finding], summary: str) -> str:
    """Return a summary that opens with what the asker states, where a statement settles something.

    Args:
        snapshot: the knowledge.
        findings: everything that was found.
        summary: the one-line answer.
    """
    judged = tuple(findings)
    checks = (one.requirement for one in judged if one.requirement is not None)
    ids = dict.fromkeys(one.id for one in checks if one.state is RequirementState.MET)
    if not ids or any(one.judgement is Judgement.ERROR for one in judged):
        return summary
    words = "; ".join(snapshot.get(Requirement, one).sentence.removesuffix(".") for one in ids)
    return f"Because you state ({words}): {summary}"


def counts_text(findings: Iterable[Finding]) -> str:
    """Return how many reasons of which kind there are, such as `2 to do, 1 unknown, 3 notes`; empty if there are none.

    A requirement counts once, however many reasons name it.
    """
    found = list(dict.fromkeys((one.code, one.place, one) for one in findings if one.code != RULE_NOT_MET))
    errors = sum(one.judgement is Judgement.ERROR for _, _, one in found)
    to_do = {one.requirement.id if one.requirement else f"{code} {place}" for code, place, one in found if one.is_open}
    gaps = sum(one.judgement is Judgement.GAP and one.decides for _, _, one in found)
    notes = sum(one.judgement is Judgement.NOTE for _, _, one in found)
    words = (
        (errors, "error" if errors == 1 else "errors"),
        (len(to_do), "to do"),
        (gaps, "unknown"),
        (notes, "note" if notes == 1 else "notes"),
    )
    return ", ".join(f"{count} {word}" for count, word in words if count)


def loop_summary(
    snapshot: Snapshot,
    verdict: Verdict,
    name: str,
    sections: Sequence[Section],
    joints: int,
    faults: Sequence[Finding],
) -> str:
    """Return the one-line answer to a loop question: the verdict and how many faults of which weight.

    Args:
        snapshot: the knowledge.
        verdict: of the loop.
        name: what to call it.
        sections: what was judged of it.
        joints: how many joints were judged.
        faults: findings that are not well, among others.
    """
    counts = counts_text(faults)
    reported = f": {counts}" if counts else ""
    if Section.JOINTS not in sections:
        said = words(snapshot, Text.LOOP_SECTIONS, name=name, sections=" and ".join(sections), faults=reported)
    else:
        said = words(snapshot, _LOOP_SUMMARIES[verdict], name=name, joints=str(joints), faults=reported)
    return said[0].upper() + said[1:]


class _NumberWords(NamedTuple):
    """The words of a sentence about a number that do not depend on its value.

    Attributes:
        text: the sentence, open at the places `value` and `beside`.
        unit: unit of the quantity.
        broken: the limit that does not hold, as it is written; empty if all hold.
    """

    text: str
    unit: str
    broken: str


def _number_sentence(snapshot: Snapshot, finding: Finding, number: Number) -> str:
    checks = [node for node in finding.evidence if type(node) is LimitCheck]
    key = ("in words", number.quantity_id, *[(check.limit.id, check.holds) for check in checks])
    kept: _NumberWords = snapshot.memo.reported.get(key, _number_words, snapshot, number.quantity_id, checks)
    value = number_text(number.value, kept.unit)
    if value == kept.broken:
        value = f"{number.value:.2g} {kept.unit}"
    return kept.text.format(value=value, beside=_asides(snapshot, finding, number))


def _number_words(snapshot: Snapshot, quantity_id: str, checks: Sequence[LimitCheck]) -> _NumberWords:
    quantity = snapshot.get(Quantity, quantity_id)
    title = f"{quantity.title[0].upper()}{quantity.title[1:]}"
    if not checks:
        return _NumberWords(_open(snapshot, Text.FIGURE_WITHOUT_LIMIT, quantity=title), quantity.unit, "")
    limit = next((check.limit for check in checks if not check.holds), None)
    if limit is None:
        allowed = " and ".join(_worded_limit(check.limit) for check in checks)
        return _NumberWords(_open(snapshot, Text.FIGURE_ALLOWED, quantity=title, allowed=allowed), quantity.unit, "")
    text = _open(
        snapshot,
        Text.FIGURE_NOT_ALLOWED,
        quantity=title,
        allowed=_worded_limit(limit),
        consequence=limit.consequence,
    )
    return _NumberWords(text, quantity.unit, number_text(limit.value, limit.unit))


def _open(snapshot: Snapshot, message: Text, **places: str) -> str:
    """Return a message with its places filled but for those of the value, which are filled each time it is said."""
    literal = {place: text.replace("{", "{{").replace("}", "}}") for place, text in places.items()}
    return words(snapshot, message, value="{value}", beside="{beside}", **literal)


def _asides(snapshot: Snapshot, finding: Finding, number: Number) -> str:
    """Return, in brackets, the two values that were compared and whatever else stands beside the number."""
    compared = [node for node in number.inputs if type(node) is Fact]
    texts = []
    if len(compared) == 2 and compared[0].column == compared[1].column:  # noqa: PLR2004 - one value a side
        texts += [_fact_text(snapshot, fact) for fact in compared]
    for node in finding.evidence[1:]:
        if type(node) is Number:
            quantity = snapshot.get(Quantity, node.quantity_id)
            texts.append(_named_number(node, quantity))
        elif type(node) is Fact:
            texts.append(_fact_text(snapshot, node))
    return f" ({'; '.join(dict.fromkeys(texts))})" if texts else ""


def _named_number(number: Number, quantity: Quantity) -> str:
    text = number_text(number.value, quantity.unit)
    return f"{text} {quantity.title}" if quantity.unit == "1" else f"{quantity.title} {text}"


def _fact_text(snapshot: Snapshot, fact: Fact) -> str:
    """Return a fact as `G 1/4: major diameter 13.157 mm`."""
    if not fact.source_id:
        return _worded_fact(snapshot, fact)
    text: str = snapshot.memo.reported.get(("in words", fact), _worded_fact, snapshot, fact)
    return text


def _worded_fact(snapshot: Snapshot, fact: Fact) -> str:
    title, unit = column_words(fact.column)
    value = f"{fact.value:g}" if isinstance(fact.value, float) else str(fact.value)
    return f"{row_name(snapshot, fact.row_id)}: {title} {value} {unit}".rstrip()


def row_name(snapshot: Snapshot, row_id: str) -> str:
    """Return what people call a row: its title or designation; its id if it has neither."""
    key = "name", row_id
    name: str | None = snapshot.memo.reported.find(key)
    if name is None:
        row = snapshot.row(row_id)
        if row is None:
            return row_id  # an asker's: not kept
        name = str(snapshot.memo.reported.get(key, _named, row))
    return name


def _named(row: Any) -> str:
    name: str = getattr(row, "title", None) or getattr(row, "designation", None) or row.id
    return name


def _worded_limit(limit: Limit) -> str:
    side = {Comparison.AT_LEAST: "at least", Comparison.AT_MOST: "at most"}[limit.comparison]
    return f"{side} {number_text(limit.value, limit.unit)}"


def _rule_sentence(snapshot: Snapshot, finding: Finding, hit: RuleHit) -> str:
    if finding.code == RULE_NOT_MET:
        conditions = " and ".join(_condition_text(snapshot, check) for check in hit.conditions)
        verdict = hit.rule.level.verdict.value
        return words(snapshot, Text.RULE_NOT_MET, verdict=verdict, conditions=conditions, reason=hit.rule.reason)
    open_conditions = [check for check in hit.conditions if check.holds is None]
    if open_conditions:
        conditions = " and ".join(
            f"{_condition_text(snapshot, check)} (it may be {_range_text(snapshot, check)})"
            for check in open_conditions
        )
        return words(snapshot, Text.RULE_OPEN, conditions=conditions, reason=hit.rule.reason)
    return f"{hit.rule.reason}{_beside_rule(snapshot, finding)}"


def _beside_rule(snapshot: Snapshot, finding: Finding) -> str:
    """Return, as a sentence, the figures that stand beside a rule without deciding."""
    texts = []
    for node in finding.evidence[1:]:
        if isinstance(node, Number):
            texts.append(_named_number(node, snapshot.get(Quantity, node.quantity_id)))
        elif isinstance(node, Fact):
            texts.append(f"{node.column}: {node.value}")
    return f" ({'; '.join(texts)})" if texts else ""


def _range_text(snapshot: Snapshot, check: ConditionCheck) -> str:
    return snapshot.get(Quantity, check.condition.quantity_id).range_in_words


def _condition_text(snapshot: Snapshot, check: ConditionCheck) -> str:
    row = check.condition
    title = snapshot.get(Quantity, row.quantity_id).title
    side = {"<": "below", "<=": "at most", ">": "above", ">=": "at least", "=": "exactly"}[row.operator.value]
    limit = f"{side} {number_text(row.value, row.unit)}"
    if check.value is None:
        return words(snapshot, Text.CONDITION, quantity=title, limit=limit)
    given = "computed" if check.is_computed else "stated"
    origin, value = _ORIGINS.get(type(check.origin), given), number_text(check.value, row.unit)
    return words(snapshot, Text.CONDITION_WITH_VALUE, quantity=title, limit=limit, origin=origin, value=value)
