"""The answer about which archetypes fit a part.

Owns: partners that were found -> `PartnersAnswer`. Does not own: finding them (`kb/compatibility/partners.py`).
"""

from __future__ import annotations

from kb.compatibility.pair import PairDecision
from kb.compatibility.partners import FoundPartners
from kb.parts.part import Part
from kb.report.sentences.findings import joint_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers.answers import Partner, PartnersAnswer


def answer_partners(snapshot: Snapshot, kind: str, found: FoundPartners) -> PartnersAnswer:
    """Return which archetypes fit a part, best first.

    Args:
        snapshot: the knowledge.
        kind: which kind was asked for.
        found: what was found.
    """
    return PartnersAnswer(
        kb_version=snapshot.version,
        part=found.part.id,
        kind=kind,
        partners=tuple(_report(snapshot, *one) for one in found.accepted),
        judged=found.judged,
        more=found.more,
        reason=None if found.accepted else _reason(found.part, kind, found.judged),
    )


def _report(snapshot: Snapshot, part_id: str, decision: PairDecision) -> Partner:
    return Partner(
        part=part_id,
        title=row_name(snapshot, part_id),
        verdict=decision.verdict,
        joint=decision.joint.place,
        reason=joint_sentence(snapshot, decision.joint.findings),
    )


def _reason(part: Part, kind: str, judged: int) -> str:
    if judged == 0:
        return f"No {kind} joins a {part.kind} directly, or the sizes needed to look for one are not known."
    return f"None of the {judged} nearest candidates has a verdict that was asked for."
