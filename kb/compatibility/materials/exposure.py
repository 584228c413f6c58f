"""Surfaces, fluid and additives together: everything that touches everything else in one circuit.

Owns: which substances meet in a circuit, each pair judged once. Does not own: judging one pair
(`kb/compatibility/materials/contact.py`) or naming the surfaces (`kb/compatibility/materials/wetted_surfaces.py`).
Metals need not touch one another: the fluid carries dissolved copper and silver everywhere, so every metal that it
touches forms a couple with every other.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import combinations, product
from typing import NamedTuple

from kb.compatibility.joints.joint import Joint, make_joint, with_met
from kb.compatibility.materials.contact import fluid_findings, judge_substances
from kb.compatibility.materials.facts import Setting, SubstanceFacts, is_proven_for_all
from kb.compatibility.materials.galvanic_couples import is_metal, judge_couple, judge_plating, less_noble
from kb.compatibility.materials.wetted_surfaces import Surface
from kb.evidence.requirements import settled_all
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Finding, Missing, verdict_of
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.tables.fluids import Fluid, FluidBase
from schemas.tables.wetted_materials import WettedRole
from schemas.verdict import Verdict

MATERIAL_MISSING = Gap.MATERIAL_MISSING.value
FLUID_MISSING = Gap.FLUID_MISSING.value


class Exposure(NamedTuple):
    """What was found about the substances of one circuit.

    Attributes:
        contacts: materials in the fluid, and with its additives.
        couples: pairs of metals in the fluid.
        mixture: the fluid with its additives, and additives with one another.
        platings: platings with what lies under them.
        fluid: the fluid as a whole, told once; none if no rule speaks of it.
    """

    contacts: tuple[Joint, ...]
    couples: tuple[Joint, ...]
    mixture: tuple[Joint, ...]
    platings: tuple[Joint, ...]
    fluid: tuple[Joint, ...] = ()

    @property
    def joints(self) -> tuple[Joint, ...]:
        """All of them, in one row."""
        return (*self.contacts, *self.couples, *self.mixture, *self.platings, *self.fluid)

    def with_met(self, met: Collection[str]) -> Exposure:
        """Return the same with the requirements met that the asker states.

        Args:
            met: ids of requirements.
        """
        return Exposure(*(tuple(with_met(joint, met) for joint in group) for group in self))


def judge_exposure(
    snapshot: Snapshot,
    surfaces: Sequence[Surface],
    fluid: Element,
    additives: Sequence[Element],
    conditions: Mapping[str, float],
) -> Exposure:
    """Judge everything that meets in one circuit; each material, couple and additive once.

    Args:
        snapshot: the knowledge.
        surfaces: surfaces that the fluid touches.
        fluid: the fluid.
        additives: what is in the fluid beyond the usual.
        conditions: quantity id -> value the asker stated.
    """
    stated = {**fluid.stated, **conditions}
    fluid = fluid if fluid.additives or not additives else dataclasses.replace(fluid, additives=tuple(additives))
    wetted = _distinct(surface.material for surface in surfaces if not surface.is_plated)
    contacts = [
        judge_substances(snapshot, material, fluid, stated, setting=Setting(_roles(material, surfaces), True))
        for material in wetted
    ]
    contacts += _with_additives(snapshot, wetted, fluid, additives, stated)
    mixture = judge_mixture(snapshot, fluid, additives, stated)
    couples = _couples(snapshot, surfaces, fluid, stated)
    platings = _platings(snapshot, surfaces, fluid, stated)
    whole = fluid_findings(snapshot, wetted, fluid, stated)
    return Exposure(tuple(contacts), tuple(couples), tuple(mixture), tuple(platings), _about(fluid, whole))


def _about(fluid: Element, findings: Sequence[Finding]) -> tuple[Joint, ...]:
    """Return what is said of a fluid as a whole; what is only not met is kept aside, and silence is no gap."""
    said = tuple(one for one in findings if one.code != RULE_NOT_MET)
    idle = tuple(one for one in findings if one.code == RULE_NOT_MET)
    return (Joint(fluid, fluid, verdict_of(said), said, idle=idle),) if said else ()


def judge_mixture(
    snapshot: Snapshot, fluid: Element, additives: Sequence[Element], conditions: Mapping[str, float]
) -> list[Joint]:
    """Judge additives with the fluid they are in and with one another; only what some rule speaks of.

    Args:
        snapshot: the knowledge.
        fluid: the fluid.
        additives: what is in it beyond the usual.
        conditions: quantity id -> value the asker stated.
    """
    joints = [judge_substances(snapshot, additive, fluid, conditions) for additive in additives]
    joints += [judge_substances(snapshot, *pair, conditions, fluid) for pair in combinations(additives, 2)]
    return _known(joints)


def judge_part_in_fluid(
    snapshot: Snapshot,
    surfaces: Sequence[Surface],
    fluid: Element,
    additives: Sequence[Element],
    place: str,
    conditions: Mapping[str, float],
) -> Joint:
    """Judge one part in a fluid, or with an additive: all of its surfaces, worst first.

    Args:
        snapshot: the knowledge.
        surfaces: the surfaces of the part; none if its materials are unknown.
        fluid: a fluid or additive.
        additives: of a fluid: what is in it beyond the usual.
        place: name of the part.
        conditions: quantity id -> value the asker stated.
    """
    where = f"{place} with {fluid.label}"
    wetted = _distinct(surface.material for surface in surfaces if not surface.is_plated)
    if not wetted:
        missing = Missing(place, "material", "material")
        return make_joint(fluid, fluid, [Finding(MATERIAL_MISSING, Judgement.GAP, where, (missing,))], where)
    joints = [
        judge_substances(snapshot, material, fluid, conditions, setting=Setting(_roles(material, surfaces)))
        for material in wetted
    ]
    joints += _with_additives(snapshot, wetted, fluid, additives, conditions)
    joints += judge_mixture(snapshot, fluid, additives, conditions)
    return make_joint(wetted[0], fluid, [one for joint in joints for one in (*joint.findings, *joint.idle)], where)


def _with_additives(
    snapshot: Snapshot,
    wetted: Sequence[Element],
    fluid: Element,
    additives: Sequence[Element],
    conditions: Mapping[str, float],
) -> list[Joint]:
    pairs = product(additives, wetted)
    joints = (judge_substances(snapshot, material, additive, conditions, fluid) for additive, material in pairs)
    return [_beside_the_fluid(joint) for joint in _known(joints)]


def _beside_the_fluid(joint: Joint) -> Joint:
    """Return what an additive does to a material in a fluid: what was never measured at its dose is only a note.

    The material's own row in the fluid that bathes it decides whether anything is known of it.
    """
    findings = tuple(one._replace(decides=False) if one.judgement is Judgement.GAP else one for one in joint.findings)
    return joint._replace(findings=findings, verdict=verdict_of(one for one in findings if one.code != RULE_NOT_MET))


def _roles(material: Element, surfaces: Sequence[Surface]) -> frozenset[WettedRole]:
    """Return which surfaces are of a material."""
    return frozenset(one.role for one in surfaces if one.material.row.id == material.row.id)


def _distinct(elements: Iterable[Element]) -> list[Element]:
    return list({element.row.id: element for element in elements}.values())


def _known(joints: Iterable[Joint]) -> list[Joint]:
    """Keep the pairs that some rule speaks of: most additives say nothing to most materials."""
    return [joint for joint in joints if joint.verdict is not Verdict.UNKNOWN or _is_ruled(joint)]


def _is_ruled(joint: Joint) -> bool:
    return any(finding.code.startswith("rule-") for finding in joint.findings)


def _couples(
    snapshot: Snapshot, surfaces: Sequence[Surface], fluid: Element, conditions: Mapping[str, float]
) -> list[Joint]:
    if isinstance(fluid.row, Fluid) and fluid.row.base is FluidBase.OIL:
        return []  # no electrolyte, no couple
    metals = _distinct(one.material for one in surfaces if not one.is_plated and is_metal(one.material))
    return [_couple(snapshot, pair, surfaces, fluid, conditions) for pair in combinations(metals, 2)]


def _couple(
    snapshot: Snapshot,
    pair: tuple[Element, Element],
    surfaces: Sequence[Surface],
    fluid: Element,
    conditions: Mapping[str, float],
) -> Joint:
    one, other = sorted(pair, key=lambda metal: metal.row.id)
    place = f"{one.label} beside {other.label} in {fluid.label}"
    areas = _area(one, surfaces), _area(other, surfaces)
    known = (areas[0], areas[1]) if areas[0] is not None and areas[1] is not None else None
    facts = SubstanceFacts(fluid, (one, other), conditions, less_noble(snapshot, (one, other)))
    proven = is_proven_for_all(facts)
    findings = judge_couple(snapshot, (one, other), place, (conditions, fluid.usual), known, proven)
    return make_joint(one, other, settled_all(snapshot, findings, facts), place)


def _area(metal: Element, surfaces: Sequence[Surface]) -> float | None:
    """Return the wetted area of a metal [cm2]; unknown if any of its surfaces is of unknown area."""
    areas = [one.area for one in surfaces if one.material.row.id == metal.row.id and not one.is_plated]
    known = [area for area in areas if area is not None]
    return sum(known) if known and len(known) == len(areas) else None


def _platings(
    snapshot: Snapshot, surfaces: Sequence[Surface], fluid: Element, conditions: Mapping[str, float]
) -> list[Joint]:
    joints = []
    for over, under in _plated_pairs(surfaces):
        place = f"{over.label} over {under.label} in {fluid.label}"
        findings = judge_plating(snapshot, over, under, place, (conditions, fluid.usual))
        facts = SubstanceFacts(fluid, (over, under), conditions, base=under)
        findings = settled_all(snapshot, findings, facts)
        if any(finding.code != RULE_NOT_MET for finding in findings):
            joints.append(make_joint(over, under, findings, place))
    return joints


def _plated_pairs(surfaces: Sequence[Surface]) -> list[tuple[Element, Element]]:
    """Return every plating with what lies under it on the same part, each pair of materials once."""
    pairs: dict[tuple[str, str], tuple[Element, Element]] = {}
    for plating in (one for one in surfaces if one.role is WettedRole.PLATING):
        for under in (one for one in surfaces if one.is_plated and one.place == plating.place):
            pairs[plating.material.row.id, under.material.row.id] = (plating.material, under.material)
    return list(pairs.values())
