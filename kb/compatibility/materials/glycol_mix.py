"""The question: what comes of mixing a glycol concentrate with water?

Owns: shares against the limits of inhibitor and growth, beside the properties of the mixture. Does not own: arithmetic
and library (`kb/formulas/coolant/glycol.py`) or limits.
"""

from __future__ import annotations

from typing import NamedTuple

from kb.compatibility.materials.contact import is_of_fluid
from kb.evidence.limits import judge_number
from kb.evidence.rules import RULE_NOT_MET, rule_findings
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.coolant.glycol import Mixture, mixture_properties, share_by_mass_percent, share_by_volume_percent
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.questions.questions import MixQuestion
from schemas.tables.rules import RuleTopic

DENSITY = "quantity/pure-density"


class GlycolMix(NamedTuple):
    """A mixture of glycol and water.

    Attributes:
        glycol_percent_volume: share of glycol by volume [%].
        glycol_percent_mass: share of glycol by mass [%].
        properties: of the mixture.
        findings: what the share means for inhibitor, growth and pumping.
    """

    glycol_percent_volume: float
    glycol_percent_mass: float
    properties: Mixture
    findings: tuple[Finding, ...]


def judge_mix(snapshot: Snapshot, question: MixQuestion) -> GlycolMix:
    """Return shares, properties and what the share means for inhibitor, growth and pumping.

    Args:
        snapshot: the knowledge.
        question: the mixture.
    """
    volume = share_by_volume_percent(
        question.concentrate_parts, question.water_parts, question.concentrate_glycol_percent
    )
    mass, facts = _mass_share(snapshot, question.glycol, volume)
    properties = mixture_properties(question.glycol, mass, question.temperature_c)
    return GlycolMix(volume, mass, properties, tuple(_findings(snapshot, question, volume, facts)))


def _mass_share(snapshot: Snapshot, glycol: str, volume: float) -> tuple[float, tuple[Fact, ...]]:
    densities = [
        snapshot.usual_fluid(snapshot.families(family))[DENSITY] for family in (f"family/{glycol}", "family/water")
    ]
    facts = tuple(Fact(row.id, "value", row.value, row.source_id, row.locator or "") for row in densities)
    return share_by_mass_percent(volume, densities[0].value, densities[1].value), facts


def _findings(snapshot: Snapshot, question: MixQuestion, volume: float, facts: tuple[Fact, ...]) -> list[Finding]:
    """Judge the share as if the concentrate were inhibited; whether it is, only its label says."""
    given = (
        Fact("concentrate", "parts", question.concentrate_parts, "", ""),
        Fact("water", "parts", question.water_parts, "", ""),
    )
    number = Number("quantity/glycol-share", volume, given + facts)
    families = snapshot.families(f"family/{question.glycol}-inhibited")
    place = f"{question.glycol} with water"
    return [judge_number(snapshot, number, families, place), *_of_the_fluid(snapshot, families, place, volume)]


def _of_the_fluid(snapshot: Snapshot, families: tuple[str, ...], place: str, volume: float) -> list[Finding]:
    """Return what rules say of such a fluid as a whole at this share, whatever it touches."""
    stated = {"quantity/glycol-share": volume}
    found = rule_findings(snapshot, (_ANY_MATERIAL, families), place, stated, snapshot.usual_fluid(families))
    return [one for one in found if is_of_fluid(one) and one.code != RULE_NOT_MET and not _bars_a_filling(one)]


def _bars_a_filling(finding: Finding) -> bool:
    """Return whether a finding only says that nobody may run a loop with this: a mixture may be kept as it is."""
    return finding.code == f"rule-{RuleTopic.DOSING}" and finding.judgement is Judgement.ERROR


_ANY_MATERIAL = ("family/metal", "family/material")
