"""Two metals in one fluid: which corrodes, by what voltage, and what the rules say.

Owns: choosing the series, and putting voltage and areas against limits. Does not own: formulas
(`kb/formulas/galvanic.py`), the table of dissimilar metals (`kb/compatibility/materials/galvanic_matrix.py`),
potentials, rules or limits.
A rule with a source decides a couple where there is one; where there is none, the table of dissimilar metals and the
voltage from a series both judge, and the more severe counts. Water with much chloride is outside what rules and
voltages were written for: the seawater column of the table speaks beside them.
Two series are used and never mixed: the anodic index, whose limits were written for it, judges; potentials in seawater
name the anode, unless the index names the other metal, for then nobody can say.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import NamedTuple

from kb.compatibility.materials.galvanic_matrix import CHLORIDE, Water, matrix_findings, rate_couple
from kb.evidence.limits import judge_number
from kb.evidence.rules import RULE_NOT_MET, rule_findings
from kb.evidence.tree import Fact, Finding, Missing, Node, Number, RuleHit
from kb.formulas.galvanic import anode_rate_factor, area_ratio, couple_voltage
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.materials import Material
from schemas.tables.rules import RuleTopic

POTENTIAL_MISSING = Gap.POTENTIAL_MISSING.value
METAL = "family/metal"
INHIBITED = "quantity/inhibited"
_GALVANIC = f"rule-{RuleTopic.GALVANIC.value}"


class Placed(NamedTuple):
    """Two metals placed in one series.

    Attributes:
        first: row of the first metal.
        second: row of the second metal.
        less_noble: 0 or 1, which of them is the less noble; `None` if they stand level or their ranges overlap.
    """

    first: MaterialProperty
    second: MaterialProperty
    less_noble: int | None

    @property
    def voltage(self) -> float:
        """Difference of both [V]; where a source gives ranges, the larger one."""
        return max(
            couple_voltage(one, other)
            for one in _potential_range(self.first)
            for other in _potential_range(self.second)
        )

    @property
    def facts(self) -> tuple[Fact, Fact]:
        """Both values."""
        return _fact(self.first), _fact(self.second)


class Couple(NamedTuple):
    """Two metals in the same fluid.

    Attributes:
        metals: both metals.
        by_index: their places in the anodic index, if it has both.
        in_seawater: their places among the potentials in seawater, if both were measured.
        anode: the metal that corrodes; `None` if nobody knows or the series disagree.
    """

    metals: tuple[Element, Element]
    by_index: Placed | None
    in_seawater: Placed | None
    anode: Element | None


def is_metal(element: Element) -> bool:
    """Return whether an element is a metal."""
    return METAL in element.families


def place_couple(snapshot: Snapshot, one: Element, other: Element) -> Couple:
    """Return two metals with their places in each series that has both.

    Args:
        snapshot: the knowledge.
        one: a metal.
        other: another metal.
    """
    index = _placed(snapshot, one, other, PropertyName.ANODIC_INDEX, 1)
    seawater = _placed(snapshot, one, other, PropertyName.SEAWATER_POTENTIAL, -1)
    votes = {placed.less_noble for placed in (index, seawater) if placed and placed.less_noble is not None}
    anode = (one, other)[votes.pop()] if len(votes) == 1 else None
    return Couple((one, other), index, seawater, anode)


def less_noble(snapshot: Snapshot, metals: tuple[Element, Element]) -> Element | None:
    """Return the metal of a couple that corrodes; `None` if nobody knows or the series disagree."""
    return place_couple(snapshot, *metals).anode


def _placed(snapshot: Snapshot, one: Element, other: Element, series: PropertyName, sign: int) -> Placed | None:
    """Place two metals in a series; `sign` is 1 where larger values are less noble, -1 where smaller ones are."""
    first, second = (snapshot.material_property(metal.row.id, series) for metal in (one, other))
    if first is None or second is None:
        return None
    one_range, other_range = ([sign * value for value in _potential_range(row)] for row in (first, second))
    is_apart = max(one_range) < min(other_range) or max(other_range) < min(one_range)
    less_noble = int(max(one_range) < min(other_range)) if is_apart else None
    return Placed(first, second, less_noble)


def _potential_range(row: MaterialProperty) -> tuple[float, float]:
    """Return the ends of a value that may be a range."""
    return row.value, row.value if row.value_high is None else row.value_high


def _fact(row: MaterialProperty) -> Fact:
    return Fact(row.id, row.property.value, row.value, row.source_id, row.locator or "")


def judge_couple(
    snapshot: Snapshot,
    metals: tuple[Element, Element],
    place: str,
    circumstances: tuple[Mapping[str, float], Mapping[str, FluidProperty]],
    areas: tuple[float, float] | None = None,
    protects_both: bool = False,
) -> list[Finding]:
    """Judge two metals that touch the same fluid.

    Args:
        snapshot: the knowledge.
        metals: two metals.
        place: name of the couple.
        circumstances: what the asker stated, and what the fluid usually is, by quantity id.
        areas: wetted areas of both metals in their order [any unit], if they are known.
        protects_both: whether the fluid is known to protect both metals.
    """
    one, other = metals
    couple = place_couple(snapshot, one, other)
    stated, usual = circumstances
    rules = rule_findings(snapshot, (one.rule_keys, other.rule_keys), place, stated, usual)
    rules = [finding for finding in rules if not _speaks_of_plating(finding)]
    findings = [_beside(finding, couple) for finding in rules]
    is_ruled = any(finding.code == _GALVANIC for finding in rules)
    is_inhibited = _is_inhibited(snapshot, stated, usual)
    water = Water(_chloride(place, stated, usual), is_inhibited and protects_both)
    findings += _by_matrix(snapshot, couple, place, water, is_ruled)
    if not is_ruled:
        findings.append(_screened(snapshot, couple, place, is_inhibited))
    if couple.anode is not None and areas is not None and _is_active(findings):
        findings = _with_areas(findings, _area_effect(snapshot, couple, place, areas))
    return findings


def _by_matrix(snapshot: Snapshot, couple: Couple, place: str, water: Water, is_ruled: bool) -> list[Finding]:
    """Return what the table of dissimilar metals says of a couple; nothing if it does not name both."""
    rated = rate_couple(snapshot, *(metal.row.id for metal in couple.metals))
    return [] if rated is None else matrix_findings(snapshot, rated, place, water, is_ruled, *_anode(couple))


def _chloride(place: str, stated: Mapping[str, float], usual: Mapping[str, FluidProperty]) -> Number | None:
    """Return how much chloride is in the water: as stated, else as usual in the fluid."""
    if CHLORIDE in stated:
        return Number(CHLORIDE, stated[CHLORIDE], (Fact(place, "chloride", stated[CHLORIDE], "", ""),))
    row = usual.get(CHLORIDE)
    if row is None:
        return None
    return Number(CHLORIDE, row.value, (Fact(row.id, "value", row.value, row.source_id, row.locator or ""),))


def _with_areas(findings: list[Finding], effect: Finding) -> list[Finding]:
    """Report the effect of areas: by itself where it makes things worse, else beside what says that a metal
    corrodes.
    """
    if effect.judgement is not Judgement.PASS:
        return [*findings, effect]
    figures = tuple(node for node in effect.evidence if isinstance(node, Number))
    return [
        finding if finding.judgement is Judgement.PASS else finding._replace(evidence=finding.evidence + figures)
        for finding in findings
    ]


def judge_plating(
    snapshot: Snapshot,
    over: Element,
    under: Element,
    place: str,
    circumstances: tuple[Mapping[str, float], Mapping[str, FluidProperty]],
) -> list[Finding]:
    """Return what rules say of a plating that is breached over the metal below it; nothing if none speaks.

    Args:
        snapshot: the knowledge.
        over: the plating.
        under: what lies under it.
        place: name of the plated part.
        circumstances: what the asker stated, and what the fluid usually is, by quantity id.
    """
    found = rule_findings(snapshot, (over.rule_keys, under.rule_keys), place, *circumstances)
    return [finding for finding in found if _speaks_of_plating(finding)]


def _speaks_of_plating(finding: Finding) -> bool:
    lead = finding.evidence[0]
    return isinstance(lead, RuleHit) and lead.rule.topic is RuleTopic.PLATING


def _beside(finding: Finding, couple: Couple) -> Finding:
    """Keep voltage and anode beside what a galvanic rule says of metals that corrode."""
    if finding.code != _GALVANIC or finding.judgement is Judgement.PASS:
        return finding
    return finding._replace(evidence=(*finding.evidence, *_voltages(couple), *_anode(couple)))


def _voltages(couple: Couple) -> tuple[Number, ...]:
    return tuple(
        Number(quantity, placed.voltage, placed.facts)
        for quantity, placed in (
            ("quantity/couple-voltage", couple.in_seawater),
            ("quantity/couple-voltage-index", couple.by_index),
        )
        if placed is not None
    )


def _anode(couple: Couple) -> tuple[Node, ...]:
    if couple.anode is None:
        return ()
    row = couple.anode.row
    assert isinstance(row, Material)
    return (Fact(row.id, "anode", row.title, row.source_id, row.locator or ""),)


def _is_inhibited(snapshot: Snapshot, stated: Mapping[str, float], usual: Mapping[str, FluidProperty]) -> bool:
    row = usual.get(INHIBITED) or snapshot.assumption(INHIBITED)
    return stated.get(INHIBITED, row.value if row is not None else 0.0) >= 1


def _screened(snapshot: Snapshot, couple: Couple, place: str, is_inhibited: bool) -> Finding:
    """Judge a couple by its voltage alone, for want of a rule.

    A loop is wet for good: the limit for harsh surroundings counts unless an inhibitor is there.
    """
    if couple.by_index is not None:
        quantity = "quantity/couple-voltage-normal" if is_inhibited else "quantity/couple-voltage-harsh"
        placed = couple.by_index
    elif couple.in_seawater is not None:
        quantity, placed = "quantity/couple-voltage", couple.in_seawater
    else:
        names = " and ".join(metal.row.id for metal in couple.metals)
        missing = Missing(names, "place in a series of potentials that has both", "")
        return Finding(POTENTIAL_MISSING, Judgement.GAP, place, (missing,))
    number = Number(quantity, placed.voltage, placed.facts)
    return judge_number(snapshot, number, (METAL,), place, *_anode(couple))


def _is_active(findings: list[Finding]) -> bool:
    """Return whether the couple is one that corrodes at all, so that areas matter."""
    return any(finding.judgement is not Judgement.PASS for finding in findings if finding.code != RULE_NOT_MET)


def _area_effect(snapshot: Snapshot, couple: Couple, place: str, areas: tuple[float, float]) -> Finding:
    anode_area, cathode_area = areas if couple.anode is couple.metals[0] else areas[::-1]
    given = (
        Fact(f"{place}: anode", "area_cm2", anode_area, "", ""),
        Fact(f"{place}: cathode", "area_cm2", cathode_area, "", ""),
    )
    ratio = area_ratio(cathode_area, anode_area)
    number = Number("quantity/area-ratio", ratio, given)
    rate = anode_rate_factor(cathode_area, anode_area)
    faster = Number("quantity/anode-rate-factor", rate, given)
    return judge_number(snapshot, number, (METAL,), place, faster)
