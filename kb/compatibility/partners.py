"""The question: which archetypes suit this part?

Owns: judging candidates until there are enough. Does not own: where candidates come from
(`kb/compatibility/partner_candidates.py`).
"""

from __future__ import annotations

from itertools import islice

from kb.compatibility.pair import PairDecision, decide_pair
from kb.compatibility.partner_candidates import PartnerIndex
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.report.sentences import joint_sentence, row_name
from kb.store.snapshot import Snapshot
from schemas.answers import PartnersAnswer, PartnerTold
from schemas.questions import PartnersQuestion

MOST_JUDGED = 2000  # bounds the work of one question, whatever the size of the tables
MOST_REFUSED_IN_A_ROW = 100  # candidates come closest first: after so many misses the rest lie further still


def answer_partners(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, question: PartnersQuestion
) -> PartnersAnswer:
    """Return the archetypes that suit a part: mildest verdict first, then closest in size.

    Args:
        snapshot: the knowledge.
        resolver: finds parts.
        index: offers candidates.
        question: the question.

    Raises:
        QuestionError: if the part does not exist.
    """
    part = resolver.part(question.part, "part")
    accepted: list[tuple[str, PairDecision]] = []
    judged = refused = 0
    for candidate in islice(index.candidates(part, question.kind), MOST_JUDGED):
        judged += 1
        decision = decide_pair(snapshot, part, resolver.archetype(candidate, "part"), {})
        suits = decision.verdict in question.verdicts
        refused = 0 if suits else refused + 1
        if suits:
            accepted.append((candidate, decision))
        if len(accepted) > question.limit or refused == MOST_REFUSED_IN_A_ROW:
            break
    accepted.sort(key=lambda one: one[1].verdict.severity)  # stable: closeness stays the second criterion
    return PartnersAnswer(
        kb_version=snapshot.version,
        part=part.id,
        kind=question.kind,
        partners=tuple(_tell(snapshot, *one) for one in accepted[: question.limit]),
        judged=judged,
        more=len(accepted) > question.limit,
        reason=None if accepted else _reason(part, question.kind, judged),
    )


def _tell(snapshot: Snapshot, part_id: str, decision: PairDecision) -> PartnerTold:
    return PartnerTold(
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
