"""Two substances in touch: material, fluid, additive, in any combination.

Owns: what is asked of the rules for substances, and when their silence means unknown. Does not own: rule resolution
(`kb/evidence/rules.py`), couples of metals (`kb/compatibility/materials/galvanic_couples.py`) or the rules themselves.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from kb.compatibility.joints.joint import NOTHING_KNOWN, Joint, make_joint
from kb.compatibility.materials.facts import GLYCOL_SHARE, NO_SETTING, Setting, SubstanceFacts, is_proven_for_all
from kb.compatibility.materials.galvanic_couples import is_metal, judge_couple, less_noble
from kb.evidence.limits import judge_number
from kb.evidence.requirements import settled_all
from kb.evidence.rules import RULE_NOT_MET, RuleKeys, rule_findings
from kb.evidence.tree import Computed, Fact, Finding, Missing, Number, RuleHit
from kb.formulas.heat.temperatures import temperature_margin_k
from kb.parts.part import Element, ElementKind
from kb.parts.substances import content_families
from kb.store.property_spans import PropertySpan
from kb.store.snapshot import Snapshot
from schemas.level import Judgement, Scope
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.fluids import Fluid, FluidBase
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.roles import Protects
from schemas.tables.rules import RuleTopic

COOLANT_TEMPERATURE = "quantity/coolant-temperature"
COPPER_PROTECTED = "quantity/copper-protected"
MARGIN = "quantity/temperature-margin"
MARGIN_LOWEST = "quantity/temperature-margin-lowest"
_GENERAL = {
    (ElementKind.MATERIAL, ElementKind.FLUID): RuleTopic.CONTACT,
    (ElementKind.FLUID, ElementKind.FLUID): RuleTopic.MIXING,
}
_ANY_MATERIAL = ("family/material",)  # so that no row about one couple hides what holds for any material
_COMPUTED = "source/heat-definitions", "heat of the loop"
_ORDER = {ElementKind.MATERIAL: 0, ElementKind.ADDITIVE: 1, ElementKind.FLUID: 2}


def judge_substances(
    snapshot: Snapshot,
    one: Element,
    other: Element,
    conditions: Mapping[str, float],
    around: Element | None = None,
    setting: Setting = NO_SETTING,
) -> Joint:
    """Judge two substances; their order never matters.

    A material in a fluid, and two fluids mixed, need a rule that speaks of the pair as a whole: rules about single
    circumstances (chloride, acidity ...) can make the verdict worse, but alone they never make it compatible.

    Args:
        snapshot: the knowledge.
        one: a material, fluid or additive.
        other: another.
        conditions: quantity id -> value the asker stated.
        around: the fluid in which the two meet, where neither of them is it: rules ask for its acidity and salts.
        setting: of a material: the surfaces that are of it, and whether a loop runs with the fluid.
    """
    first, second = sorted((one, other), key=_place)
    place = f"{first.label} with {second.label}"
    filling = around or (second if second.kind is ElementKind.FLUID else None)
    met = _water_last(first, second) if around is None else (around, second, first)
    usual: dict[str, FluidProperty] = {}
    stated: dict[str, float] = {}
    for element in met:
        usual.update(element.usual)
        stated.update(element.stated)
    stated.update(conditions)
    if filling is not None:
        stated.update(_protection(filling, stated))
    if first.kind is ElementKind.FLUID and first.row.id != second.row.id:
        usual.pop(GLYCOL_SHARE, None)  # neither's share is that of the mixture
    if is_metal(first) and is_metal(second):
        known = SubstanceFacts(filling, (first, second), stated, less_noble(snapshot, (first, second)))
        proven = is_proven_for_all(known)
        couple = judge_couple(snapshot, (first, second), place, (stated, usual), protects_both=proven)
        return make_joint(first, second, settled_all(snapshot, couple, known), place)
    findings = rule_findings(snapshot, (first.rule_keys, second.rule_keys), place, stated, usual)
    if first.kind is ElementKind.MATERIAL and filling is not None:
        findings = [finding for finding in findings if not is_of_fluid(finding)]
    if first.kind is ElementKind.ADDITIVE and second.kind is ElementKind.FLUID:
        findings += _with_contents(snapshot, first, second, (stated, usual), findings)
    findings += _general_gap(first, second, place, findings)
    if second.kind is ElementKind.FLUID:
        findings += _temperature(snapshot, (first, second), place, stated, usual)
    materials = tuple(one for one in (first, second) if one.kind is ElementKind.MATERIAL)
    known = SubstanceFacts(filling, materials, stated, setting=setting)
    return make_joint(first, second, settled_all(snapshot, findings, known), place)


def _protection(filling: Element, stated: Mapping[str, float]) -> Mapping[str, float]:
    """Return whether a filling protects copper, so that limits of raw water bite where nothing does; unless stated."""
    role = SubstanceFacts(filling, (), stated).protects("copper")
    if COPPER_PROTECTED in stated or role is Protects.UNKNOWN:
        return {}
    return {COPPER_PROTECTED: Computed(role is Protects.YES)}


def fluid_findings(
    snapshot: Snapshot, materials: Sequence[Element], fluid: Element, conditions: Mapping[str, float]
) -> list[Finding]:
    """Return what rules say of a fluid as a whole, whatever it touches: each rule once, at the fluid.

    Args:
        snapshot: the knowledge.
        materials: what the fluid touches; rules may speak of the fluid only where some kind of material is there.
        fluid: the fluid, with its additives.
        conditions: quantity id -> value the asker stated.
    """
    stated = {**fluid.stated, **conditions}
    sides = (fluid, *fluid.additives)
    met = dict.fromkeys((*(material.rule_keys for material in materials), _ANY_MATERIAL)) if materials else ()
    found = [
        finding
        for side in sides
        for keys in met
        for finding in rule_findings(
            snapshot, (keys, side.rule_keys), fluid.label, stated, {**fluid.usual, **side.usual}
        )
        if is_of_fluid(finding)
    ]
    once = {(finding.code, finding.judgement, rule_of(finding)): finding for finding in found}
    return settled_all(snapshot, once.values(), SubstanceFacts(fluid, (), stated, setting=Setting(is_running=True)))


def is_of_fluid(finding: Finding) -> bool:
    """Return whether a finding speaks of the fluid as a whole."""
    lead = finding.evidence[0]
    return isinstance(lead, RuleHit) and lead.rule.scope is Scope.FLUID


def rule_of(finding: Finding) -> str:
    """Return the id of the rule that a finding leads with, empty if it leads with none."""
    lead = finding.evidence[0]
    return lead.rule.id if isinstance(lead, RuleHit) else ""


def content_keys(snapshot: Snapshot, additive: Element, fluid: Element) -> Iterator[tuple[str, RuleKeys]]:
    """Yield what a fluid contains, and under which ids and families rules are sought between an additive and that.

    Args:
        snapshot: the knowledge.
        additive: what is dosed; its own families are left out, as more of the same is no meeting.
        fluid: the fluid.
    """
    own = frozenset(additive.families)
    for word in sorted(fluid.row.contents) if isinstance(fluid.row, Fluid) else ():
        families = (one for one in content_families(snapshot, word) if one not in own)
        yield word, (additive.rule_keys, snapshot.rule_keys(families))


def _with_contents(
    snapshot: Snapshot,
    additive: Element,
    fluid: Element,
    values: tuple[Mapping[str, float], Mapping[str, FluidProperty]],
    found: Sequence[Finding],
) -> list[Finding]:
    """Return what an additive meets in a fluid: its contents count as if they had been dosed; each rule once."""
    told = {rule_of(finding) for finding in found}
    met: list[Finding] = []
    for word, keys in content_keys(snapshot, additive, fluid):
        place = f"{additive.label} with {word} in {fluid.label}"
        for finding in rule_findings(snapshot, keys, place, *values):
            if finding.code != RULE_NOT_MET and rule_of(finding) not in told:
                told.add(rule_of(finding))
                met.append(finding)
    return met


def _place(element: Element) -> tuple[int, str]:
    return _ORDER[element.kind], element.row.id


def _water_last(first: Element, second: Element) -> tuple[Element, Element]:
    """Put the side last whose figures count: of two fluids the water, for which limits of dilution are written."""
    is_water = isinstance(second.row, Fluid) and second.row.base is FluidBase.WATER
    return (first, second) if first.kind is ElementKind.FLUID and is_water else (second, first)


def _general_gap(first: Element, second: Element, place: str, findings: list[Finding]) -> list[Finding]:
    """Say that nothing is known of the pair as a whole, if no rule speaks of it."""
    topic = _GENERAL.get((first.kind, second.kind))
    if topic is None or first.row.id == second.row.id:
        return []
    if f"rule-{topic}" in [finding.code for finding in findings]:
        return []
    missing = Missing(place, "a rule for this pair", "")
    return [Finding(NOTHING_KNOWN, Judgement.GAP, place, (missing,))]


def _temperature(
    snapshot: Snapshot,
    pair: tuple[Element, Element],
    place: str,
    stated: Mapping[str, float],
    usual: Mapping[str, FluidProperty],
) -> list[Finding]:
    """Judge how far below its service temperature a material stays; nothing if no such temperature is known.

    Above all that strong sources allow is an error; between the least and the most that they allow the grade decides.
    """
    material, fluid = pair
    span = _service_temperature(snapshot, material, fluid)
    coolant = _coolant(snapshot, place, stated, usual) if span is not None else None
    if span is None or coolant is None:
        return []
    most, least = (_service_fact(*end) for end in ((span.highest, span.high), (span.lowest, span.low)))
    highest = Number(MARGIN, temperature_margin_k(span.high, float(coolant.value)), (most, coolant))
    found = judge_number(snapshot, highest, material.families, place)
    if found.judgement is Judgement.ERROR:
        return [found]
    rival = () if span.low == span.high else (most,)
    lowest = Number(MARGIN_LOWEST, temperature_margin_k(span.low, float(coolant.value)), (least, coolant, *rival))
    return [judge_number(snapshot, lowest, material.families, place)]


def _service_fact(row: MaterialProperty, value: float) -> Fact:
    return Fact(row.id, "service_temperature_max", value, row.source_id, row.locator or "")


def _service_temperature(snapshot: Snapshot, material: Element, fluid: Element) -> PropertySpan | None:
    """Return up to which temperature a material serves: wet, if anybody says and the fluid is no oil, else dry."""
    is_oil = isinstance(fluid.row, Fluid) and fluid.row.base is FluidBase.OIL
    wet = None if is_oil else snapshot.property_span(material.row.id, PropertyName.SERVICE_TEMPERATURE_MAX_WET)
    return wet or snapshot.property_span(material.row.id, PropertyName.SERVICE_TEMPERATURE_MAX)


def _coolant(
    snapshot: Snapshot, place: str, stated: Mapping[str, float], usual: Mapping[str, FluidProperty]
) -> Fact | None:
    if COOLANT_TEMPERATURE in stated:
        value = stated[COOLANT_TEMPERATURE]
        source = _COMPUTED if isinstance(value, Computed) else ("", "")
        return Fact(place, "coolant_temperature", float(value), *source)
    row = usual.get(COOLANT_TEMPERATURE) or snapshot.assumption(COOLANT_TEMPERATURE)
    if row is None:
        return None
    return Fact(row.id, "value", row.value, row.source_id, row.locator or "")
