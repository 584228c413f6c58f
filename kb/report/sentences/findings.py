"""The words: evidence rendered to plain sentences, in this one place.

Owns: every sentence of an answer that is not already a row of a table. Does not own: what is decided.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from functools import partial
from types import MappingProxyType
from typing import Any, NamedTuple

from kb.compatibility.joints.joint import NOTHING_KNOWN, TUBE_KIND_MISSING
from kb.compatibility.materials.exposure import FLUID_MISSING, MATERIAL_MISSING
from kb.compatibility.materials.galvanic_couples import POTENTIAL_MISSING
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import ConditionCheck, Fact, Finding, LimitCheck, Missing, Number, RuleHit
from kb.parts.dimensions import DIMENSION_MISSING, TOLERANCE_MISSING
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.questions.choices import Section
from schemas.tables.assumptions import Assumption
from schemas.tables.column_words import column_words
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Comparison, Limit
from schemas.tables.quantities import Quantity
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

_MISSING_SENTENCES: Mapping[str, Callable[[Missing], str]] = MappingProxyType(
    {
        DIMENSION_MISSING: lambda gap: f"The {gap.what} of {gap.subject} is not known, so this cannot be judged.",
        TOLERANCE_MISSING: lambda gap: f"No {gap.what} is known for {gap.subject}: judged at the nominal size only.",
        TUBE_KIND_MISSING: lambda gap: f"The {gap.what} is not stated for {gap.subject}, and it decides what fits.",
        FLUID_MISSING: lambda _gap: "No fluid is named, so nothing is said of metals, plastics and seals in this loop.",
        MATERIAL_MISSING: lambda gap: f"What {gap.subject} is made of is not known, so nothing can be said of it.",
        POTENTIAL_MISSING: lambda gap: (
            f"No series of potentials holds both {gap.subject}, so nothing can be said of them."
        ),
        NOTHING_KNOWN: lambda gap: f"Nothing is known about {gap.subject}: no rule and no computation covers it.",
    }
)
_MISSING_REMEDIES = MappingProxyType(
    {
        DIMENSION_MISSING: "Measure it or take it from the spec sheet, and ask again.",
        TOLERANCE_MISSING: "Measure the part, or state its tolerance, and ask again.",
        TUBE_KIND_MISSING: "State the family, such as family/tube-soft or family/tube-copper.",
        FLUID_MISSING: "Name the fluid, such as fluid/distilled-water, or ask for the section joints alone.",
        MATERIAL_MISSING: "Name the material of each wetted surface.",
        POTENTIAL_MISSING: "Propose a potential with a source.",
        NOTHING_KNOWN: "Propose a rule with a source.",
    }
)
_SUMMARIES = MappingProxyType(
    {
        Verdict.COMPATIBLE: ("", " are compatible."),
        Verdict.CONDITIONAL: ("", " are compatible under conditions."),
        Verdict.UNKNOWN: ("Not enough is known about ", "."),
        Verdict.INCOMPATIBLE: ("", " are not compatible."),
    }
)
_KEY_FIGURES = ("o-ring-compression-min", "clamping-squeeze", "barb-interference", "rule-sealing", "rule-joint")
_LOOP_SUMMARIES = MappingProxyType(
    {
        Verdict.COMPATIBLE: "{name} can be assembled.",
        Verdict.CONDITIONAL: "{name} can be assembled under conditions.",
        Verdict.UNKNOWN: "Not enough is known about {name}.",
        Verdict.INCOMPATIBLE: "{name} cannot be assembled as it is.",
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
    sentence = _gap_sentence(finding.code)(lead)
    if len(finding.evidence) == 1:
        return sentence
    beside = [node for node in finding.evidence[1:] if isinstance(node, Number)]
    texts = "; ".join(_named_number(number, snapshot.get(Quantity, number.quantity_id)) for number in beside)
    return f"{sentence.removesuffix('.')} ({texts})." if texts else sentence


def joint_sentence(snapshot: Snapshot, findings: Sequence[Finding]) -> str:
    """Return the one sentence that says most about a joint: its worst finding, or its key figure if all is well."""
    worst = max(findings, key=lambda finding: (finding.verdict.severity, finding.code != RULE_NOT_MET))
    if worst.verdict is Verdict.COMPATIBLE:
        by_code = {finding.code: finding for finding in findings}
        worst = next((by_code[code] for code in _KEY_FIGURES if code in by_code), worst)
    return finding_sentence(snapshot, worst)


def finding_remedy(finding: Finding) -> str | None:
    """Return what would make a finding right, `None` if nothing needs to or nobody knows."""
    if finding.verdict is Verdict.COMPATIBLE:
        return None
    for node in finding.evidence:
        if isinstance(node, LimitCheck):
            return node.limit.remedy
        if isinstance(node, RuleHit):
            return node.rule.remedy
    return _gap_remedy(finding.code) if isinstance(finding.evidence[0], Missing) else None


def _gap_sentence(code: str) -> Callable[[Missing], str]:
    if code in _MISSING_SENTENCES:
        return _MISSING_SENTENCES[code]
    from kb.report.sentences.missing import GAP_SENTENCES  # noqa: PLC0415 - loads libraries that only the performance of a loop needs

    return GAP_SENTENCES[code]


def _gap_remedy(code: str) -> str | None:
    if code in _MISSING_REMEDIES:
        return _MISSING_REMEDIES[code]
    from kb.report.sentences.missing import GAP_REMEDIES  # noqa: PLC0415 - as above

    return GAP_REMEDIES.get(code)


def part_name(snapshot: Snapshot, part: Part) -> str:
    """Return what to call a part of a question: its name, or `your ...` for a part described by the asker."""
    if part.base_id == part.id:
        return row_name(snapshot, part.id)
    return f"your {row_name(snapshot, part.base_id) if part.base_id else part.kind}"


def pair_summary(verdict: Verdict, a: str, b: str) -> str:
    """Return the one-line answer to a pair question, from the names of both parts."""
    sentence = f"{a} and {b}".join(_SUMMARIES[verdict])
    return sentence.replace("your ", "Your ", 1) if sentence.startswith("your ") else sentence


def loop_summary(
    verdict: Verdict, name: str, sections: Sequence[Section], joints: int, faults: Sequence[Finding]
) -> str:
    """Return the one-line answer to a loop question: the verdict and how many faults of which weight.

    Args:
        verdict: of the loop.
        name: what to call it.
        sections: what was judged of it.
        joints: how many joints were judged.
        faults: findings that are not well, among others.
    """
    name = name[0].upper() + name[1:]
    counts = Counter(finding.verdict for finding in faults if finding.verdict is not Verdict.COMPATIBLE)
    ordered = sorted(counts.items(), key=lambda item: -item[0].severity)
    parts = ", ".join(f"{count} {one.value}" for one, count in ordered)
    reported = f"; faults: {parts}" if parts else ""
    if Section.JOINTS not in sections:
        return f"{name}, judged for {' and '.join(sections)} alone{reported}."
    return f"{_LOOP_SUMMARIES[verdict].format(name=name)} {joints} joints were judged{reported}."


class _NumberWords(NamedTuple):
    """The words of a sentence about a number that do not depend on its value.

    Attributes:
        title: what the quantity is called, as a sentence begins.
        unit: its unit.
        broken: the limit that does not hold, as it is written; empty if all hold.
        tail: what is said behind the value.
    """

    title: str
    unit: str
    broken: str
    tail: str


def _number_sentence(snapshot: Snapshot, finding: Finding, number: Number) -> str:
    checks = [node for node in finding.evidence if type(node) is LimitCheck]
    key = ("in words", number.quantity_id, *[(check.limit.id, check.holds) for check in checks])
    words: _NumberWords = snapshot.memo.reported.get(key, partial(_number_words, snapshot, number.quantity_id, checks))
    value = number_text(number.value, words.unit)
    if value == words.broken:
        value = f"{number.value:.2g} {words.unit}"
    return f"{words.title}: {value}{_asides(snapshot, finding, number)}{words.tail}"


def _number_words(snapshot: Snapshot, quantity_id: str, checks: Sequence[LimitCheck]) -> _NumberWords:
    quantity = snapshot.get(Quantity, quantity_id)
    title = f"{quantity.title[0].upper()}{quantity.title[1:]}"
    if not checks:
        return _NumberWords(title, quantity.unit, "", "; no limit is known for it.")
    limit = next((check.limit for check in checks if not check.holds), None)
    if limit is None:
        allowed = " and ".join(_worded_limit(check.limit) for check in checks)
        return _NumberWords(title, quantity.unit, "", f"; allowed: {allowed}.")
    tail = f"; allowed: {_worded_limit(limit)}. {limit.consequence}"
    return _NumberWords(title, quantity.unit, number_text(limit.value, limit.unit), tail)


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
    text: str = snapshot.memo.reported.get(("in words", fact), partial(_worded_fact, snapshot, fact))
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
        name = str(snapshot.memo.reported.get(key, lambda: _named(row)))
    return name


def _named(row: Any) -> str:
    name: str = getattr(row, "title", None) or getattr(row, "designation", None) or row.id
    return name


def _worded_limit(limit: Limit) -> str:
    words = {Comparison.AT_LEAST: "at least", Comparison.AT_MOST: "at most"}
    return f"{words[limit.comparison]} {number_text(limit.value, limit.unit)}"


def _rule_sentence(snapshot: Snapshot, finding: Finding, hit: RuleHit) -> str:
    if finding.code == RULE_NOT_MET:
        conditions = " and ".join(_condition_text(snapshot, check) for check in hit.conditions)
        return f"Would be {hit.rule.verdict.value} if {conditions}: {hit.rule.reason}"
    open_conditions = [check for check in hit.conditions if check.holds is None]
    if open_conditions:
        conditions = " and ".join(_condition_text(snapshot, check) for check in open_conditions)
        return f"It is not specified whether {conditions}; if so: {hit.rule.reason}"
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


def _condition_text(snapshot: Snapshot, check: ConditionCheck) -> str:
    row = check.condition
    title = snapshot.get(Quantity, row.quantity_id).title
    words = {"<": "below", "<=": "at most", ">": "above", ">=": "at least", "=": "exactly"}[row.operator.value]
    text = f"the {title} were {words} {number_text(row.value, row.unit)}"
    if check.value is None:
        return text
    return f"{text} ({_ORIGINS.get(type(check.origin), 'stated')}: {number_text(check.value, row.unit)})"
