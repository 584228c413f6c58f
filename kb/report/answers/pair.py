"""The answer about two parts.

Owns: a decision -> `PairAnswer`. Does not own: deciding (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import PairDecision
from kb.parts.part import Part
from kb.report.answers.evidence import (
    in_report_order,
    report_cautions,
    report_finding,
    report_joint,
    report_sources,
)
from kb.report.answers.requirements import (
    NOTHING_STATED,
    Stated,
    report_requirements,
    report_strength,
    unused_conditions,
)
from kb.report.sentences.findings import pair_summary, part_name, stated_summary
from kb.store.snapshot import Snapshot
from schemas.answers.answers import PairAnswer
from schemas.verdict import Verdict


def answer_pair(
    snapshot: Snapshot,
    parts: tuple[Part, Part],
    decision: PairDecision,
    remedies: tuple[str, ...],
    stated: Stated = NOTHING_STATED,
) -> PairAnswer:
    """Return whether two parts are compatible, with reasons, numbers and sources.

    Args:
        snapshot: the knowledge.
        parts: both parts.
        decision: what was decided of them.
        remedies: ids of parts that would make it right.
        stated: what the asker states besides the parts.
    """
    a, b = parts
    summary = pair_summary(snapshot, decision.verdict, part_name(snapshot, a), part_name(snapshot, b))
    found = in_report_order(decision.joint.findings)
    if remedies:
        found[0] = found[0]._replace(remedies=remedies)
    is_lost = decision.verdict is Verdict.INCOMPATIBLE  # then the remedies of lesser faults would mend nothing
    findings = tuple(
        [report_finding(snapshot, one, not is_lost or one.verdict is Verdict.INCOMPATIBLE) for one in found]
    )
    return PairAnswer(
        kb_version=snapshot.version,
        verdict=decision.verdict,
        summary=stated_summary(snapshot, decision.joint.findings, summary),
        findings=findings,
        requirements=report_requirements(snapshot, decision.joint.findings, stated.met),
        strength=report_strength(decision.joint.findings),
        unused=unused_conditions((*decision.joint.findings, *decision.joint.idle), stated.conditions),
        cautions=report_cautions(snapshot, findings),
        sources=report_sources(snapshot, findings),
        a=a.id,
        b=b.id,
        joint=decision.joint.place,
        others=tuple(map(report_joint, other_ways(decision))),
    )


def other_ways(decision: PairDecision) -> tuple[Joint, ...]:
    """Return the other ways of joining the parts that were judged."""
    reverse = decision.joint.reverse
    return decision.others if reverse is None else (reverse, *decision.others)
