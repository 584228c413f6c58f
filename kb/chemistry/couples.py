"""Two metals in one fluid: which corrodes, by what voltage, and what the rules say.

Owns: choosing the series, and putting voltage and areas against limits. Does not own: formulas
(`kb/chemistry/galvanic.py`), potentials, rules or limits.
A rule with a source decides a couple where there is one; the voltage from a series is a screening figure beside it.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from kb.chemistry.galvanic import anode_rate_factor, area_ratio, couple_voltage
from kb.evidence import Fact, Finding, Missing, Node, Number
from kb.limits import judge_number
from kb.parts import Element
from kb.rules import RULE_NOT_MET, rule_findings
from kb.snapshot import Snapshot
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.rules import RuleTopic
from schemas.verdict import Verdict

POTENTIAL_MISSING = "potential-missing"
METAL = "family/metal"
INHIBITED = "quantity/inhibited"
_GALVANIC = f"rule-{RuleTopic.GALVANIC.value}"
_SERIES = (PropertyName.SEAWATER_POTENTIAL, PropertyName.ANODIC_INDEX)


class Couple(NamedTuple):
    """Two metals placed in one series.

    Attributes:
        anode: the metal that corrodes.
        cathode: the other.
        series: the series both potentials come from.
        voltage: their difference [V].
        facts: both potentials.
    """

    anode: Element
    cathode: Element
    series: PropertyName
    voltage: float
    facts: tuple[Fact, Fact]


def is_metal(element: Element) -> bool:
    """Return whether an element is a metal."""
    return METAL in element.families


def place_couple(snapshot: Snapshot, one: Element, other: Element) -> Couple | None:
    """Return two metals as a couple in the first series that has both; series are never mixed.

    Args:
        snapshot: the knowledge.
        one: a metal.
        other: another metal.
    """
    for series in _SERIES:
        first, second = (snapshot.material_property(metal.row.id, series) for metal in (one, other))
        if first is not None and second is not None:
            return _couple((one, first), (other, second), series)
    return None


def _couple(
    one: tuple[Element, MaterialProperty], other: tuple[Element, MaterialProperty], series: PropertyName
) -> Couple:
    """Name the anode: the more negative potential, or the larger distance below gold."""
    (first, first_row), (second, second_row) = one, other
    sign = -1 if series is PropertyName.ANODIC_INDEX else 1
    swapped = (sign * first_row.value, first.row.id) > (sign * second_row.value, second.row.id)
    anode, cathode = (second, first) if swapped else (first, second)
    facts = (_fact(first_row), _fact(second_row))
    return Couple(anode, cathode, series, couple_voltage(first_row.value, second_row.value), facts)


def _fact(row: MaterialProperty) -> Fact:
    return Fact(row.id, row.property.value, row.value, row.source_id, row.locator or "")


def judge_couple(
    snapshot: Snapshot,
    one: Element,
    other: Element,
    place: str,
    conditions: Mapping[str, float],
    usual: Mapping[str, FluidProperty],
    areas: tuple[float, float] | None = None,
) -> list[Finding]:
    """Judge two metals that touch the same fluid.

    Args:
        snapshot: the knowledge.
        one: a metal.
        other: another metal.
        place: name of the couple.
        conditions: quantity id -> value the asker stated.
        usual: quantity id -> what the fluid usually is.
        areas: wetted areas of both metals in the order given [any unit], if they are known.
    """
    couple = place_couple(snapshot, one, other)
    rules = rule_findings(snapshot, (one.rule_sides, other.rule_sides), place, conditions, usual)
    told = tuple(_voltage_nodes(couple)) if couple is not None else ()
    findings = [_beside(finding, told) for finding in rules]
    if not any(finding.code == _GALVANIC for finding in rules):
        findings.append(_screened(snapshot, couple, (one, other), place, _class_of(snapshot, conditions, usual)))
    if couple is not None and areas is not None and _is_active(findings):
        findings.append(_area_effect(snapshot, couple, one, place, areas))
    return findings


def _beside(finding: Finding, told: tuple[Node, ...]) -> Finding:
    """Keep the voltage beside what a galvanic rule says."""
    return finding._replace(evidence=finding.evidence + told) if finding.code == _GALVANIC else finding


def _voltage_nodes(couple: Couple) -> tuple[Node, ...]:
    formula = "kb.chemistry.galvanic.couple_voltage"
    voltage = Number("quantity/couple-voltage", couple.voltage, formula, couple.facts)
    anode = couple.anode.row
    return voltage, Fact(anode.id, "anode", anode.title, anode.source_id, anode.locator or "")  # type: ignore[union-attr]


def _class_of(snapshot: Snapshot, conditions: Mapping[str, float], usual: Mapping[str, FluidProperty]) -> str:
    """Return the quantity under which the voltage is limited: a loop is wet for good, so harsh unless inhibited."""
    stated = conditions.get(INHIBITED)
    row = usual.get(INHIBITED) or snapshot.assumption(INHIBITED)
    value = stated if stated is not None else row.value if row is not None else 0.0
    return "quantity/couple-voltage-inhibited" if value >= 1 else "quantity/couple-voltage-harsh"


def _screened(
    snapshot: Snapshot, couple: Couple | None, metals: tuple[Element, Element], place: str, quantity: str
) -> Finding:
    """Judge a couple by its voltage alone, for want of a rule."""
    if couple is None:
        unplaced = ", ".join(
            metal.row.id
            for metal in metals
            if all(snapshot.material_property(metal.row.id, series) is None for series in _SERIES)
        )
        missing = Missing(unplaced or place, "potential in a series that has both metals", "")
        return Finding(POTENTIAL_MISSING, Verdict.UNKNOWN, place, (missing,))
    number = Number(quantity, couple.voltage, "kb.chemistry.galvanic.couple_voltage", couple.facts)
    anode = couple.anode.row
    told = Fact(anode.id, "anode", anode.title, anode.source_id, anode.locator or "")  # type: ignore[union-attr]
    return judge_number(snapshot, number, (METAL,), place, told)


def _is_active(findings: list[Finding]) -> bool:
    """Return whether the couple is one that corrodes at all, so that areas matter."""
    return any(finding.verdict is not Verdict.COMPATIBLE for finding in findings if finding.code != RULE_NOT_MET)


def _area_effect(snapshot: Snapshot, couple: Couple, one: Element, place: str, areas: tuple[float, float]) -> Finding:
    anode_area, cathode_area = areas if couple.anode is one else areas[::-1]
    ratio = area_ratio(cathode_area, anode_area)
    given = tuple(
        Fact(f"{place}: {metal.label}", "area_cm2", area, "", "")
        for metal, area in ((couple.anode, anode_area), (couple.cathode, cathode_area))
    )
    number = Number("quantity/area-ratio", ratio, "kb.chemistry.galvanic.area_ratio", given)
    rate = anode_rate_factor(cathode_area, anode_area)
    faster = Number("quantity/anode-rate-factor", rate, "kb.chemistry.galvanic.anode_rate_factor", given)
    return judge_number(snapshot, number, (METAL,), place, faster)
