"""Coverage: every material in every fluid has a verdict or says plainly what nobody knows.

`coverage_counts.csv` is a regression file, not truth: it counts verdicts by kind of material and family of fluid, so
that a change of the tables moves answers only knowingly. When the counts should move, paste the lines of the failure.
"""

from __future__ import annotations

from collections import Counter
from itertools import product
from pathlib import Path

import pytest

from kb.compatibility.pair import PairDecision
from kb.evidence.rules import RULE_NOT_MET
from kb.evidence.tree import Finding, Missing, RuleHit
from kb.knowledge_base import KnowledgeBase
from schemas.level import Judgement
from schemas.tables.additives import Additive
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material
from schemas.verdict import Verdict

COUNTS = Path(__file__).with_name("coverage_counts.csv")
HEADER = "kind,fluid_family,compatible,conditional,unknown,incompatible"

Decisions = dict[tuple[str, str], PairDecision]


@pytest.fixture(scope="module")
def decisions(base: KnowledgeBase) -> Decisions:
    materials, fluids = base.snapshot.active(Material), base.snapshot.active(Fluid)
    return {(one.id, other.id): base.decide(one.id, other.id) for one, other in product(materials, fluids)}


def is_explicit(finding: Finding) -> bool:
    """Return whether a finding says what is not known: a gap, a rule that says unknown, or an open condition."""
    return any(
        isinstance(node, Missing)
        or (
            isinstance(node, RuleHit)
            and (node.rule.level is Judgement.GAP or any(check.holds is None for check in node.conditions))
        )
        for node in finding.evidence
    )


def test_every_pair_has_reasons(decisions: Decisions) -> None:
    assert len(decisions) > 2000
    silent = [pair for pair, one in decisions.items() if not one.joint.findings]
    assert silent == []


def test_every_unknown_says_what_is_not_known(decisions: Decisions) -> None:
    mute = [
        pair
        for pair, one in decisions.items()
        if one.verdict is Verdict.UNKNOWN
        and not all(is_explicit(finding) for finding in one.joint.findings if finding.verdict is Verdict.UNKNOWN)
    ]
    assert mute == []


def test_every_compatible_pair_has_a_rule_about_the_pair_itself(decisions: Decisions) -> None:
    hollow = [
        pair
        for pair, one in decisions.items()
        if one.verdict is Verdict.COMPATIBLE and "rule-contact" not in {finding.code for finding in one.joint.findings}
    ]
    assert hollow == []


def test_no_compatible_pair_stands_on_an_open_condition(decisions: Decisions) -> None:
    open_pairs = [
        pair
        for pair, one in decisions.items()
        if one.verdict is Verdict.COMPATIBLE
        for finding in one.joint.findings
        if finding.code != RULE_NOT_MET
        for node in finding.evidence
        if isinstance(node, RuleHit) and any(check.holds is None for check in node.conditions)
    ]
    assert open_pairs == []


@pytest.mark.parametrize("other", ["materials", "fluids", "additives"])
def test_every_additive_gets_an_answer_with_everything(base: KnowledgeBase, other: str) -> None:
    for additive in base.snapshot.active(Additive):
        for row_id in base.snapshot.ids((other,)):
            assert base.decide(additive.id, row_id).joint.findings


def test_most_coolants_are_covered_for_the_metals_of_usual_loops(decisions: Decisions) -> None:
    metals = ("metal/copper", "metal/brass-yellow", "metal/nickel-plate-electrolytic", "metal/aluminium-6061")
    coolants = (
        "fluid/distilled-water",
        "fluid/propylene-glycol-inhibited-premix",
        "fluid/ethylene-glycol-inhibited-40",
    )
    unknown = [pair for pair in product(metals, coolants) if decisions[pair].verdict is Verdict.UNKNOWN]
    assert unknown == []


def counted(base: KnowledgeBase, decisions: Decisions) -> list[str]:
    counts: Counter[tuple[str, str, Verdict]] = Counter()
    for (material, fluid), one in decisions.items():
        kind, family = material.split("/")[0], base.snapshot.get(Fluid, fluid).family_id
        counts[kind, family, one.verdict] += 1
    groups = sorted({(kind, family) for kind, family, _ in counts})
    return [",".join([*group, *(str(counts[*group, verdict]) for verdict in Verdict)]) for group in groups]


def test_counts_by_verdict_move_only_knowingly(base: KnowledgeBase, decisions: Decisions) -> None:
    now = [HEADER, *counted(base, decisions)]
    kept = COUNTS.read_text(encoding="utf-8").splitlines()
    moved = [f"was {was}" for was in kept if was not in now] + [f"now {new}" for new in now if new not in kept]
    totals = Counter(one.verdict.value for one in decisions.values())
    assert now == kept, "\n".join([f"totals: {dict(totals)}", *moved])
