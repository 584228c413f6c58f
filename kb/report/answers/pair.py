"""The answer about two parts.

Owns: a decision -> `PairAnswer`. Does not own: deciding (`kb/compatibility/pair.py`).
"""

from __future__ import annotations

from dataclasses import replace

from kb.compatibility.joints.joint import Joint
from kb.compatibility.pair import PairDecision
from kb.parts.part import Part
from kb.report.answers.evidence import (
    report_cautions,
    report_findings,
    report_joint,
    report_sources,
    without_idle_remedies,
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
    findings = without_idle_remedies(report_findings(snapshot, decision.joint.findings), decision.verdict)
    if remedies:
        findings = (replace(findings[0], remedy_parts=remedies), *findings[1:])
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
        others=tuple(report_joint(joint) for joint in other_ways(decision)),
    )


def other_ways(decision: PairDecision) -> tuple[Joint, ...]:
    """Return the other ways of joining the parts that were judged."""
    reverse = decision.joint.reverse
    return decision.others if reverse is None else (reverse, *decision.others)
