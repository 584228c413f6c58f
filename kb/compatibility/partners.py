"""The question: which archetypes fit this part?

Owns: judging candidates until there are enough. Does not own: where candidates come from
(`kb/compatibility/partner_candidates.py`).
"""

from __future__ import annotations

from itertools import islice
from typing import NamedTuple

from kb.compatibility.pair import PairDecision, decide_pair
from kb.compatibility.partner_candidates import PartnerIndex
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.questions.questions import PartnersQuestion

MOST_JUDGED = 2000  # bounds the work of one question, whatever the size of the tables
MOST_REFUSED_IN_A_ROW = 100  # candidates come closest first: after so many misses the rest lie further still


class FoundPartners(NamedTuple):
    """Archetypes that fit a part.

    Attributes:
        part: the part.
        accepted: ids with what was decided of them, best verdict first, then closest in size; at most as many as
            were asked for.
        judged: how many candidates were judged.
        more: whether there are more than were asked for.
    """

    part: Part
    accepted: tuple[tuple[str, PairDecision], ...]
    judged: int
    more: bool


def find_partners(
    snapshot: Snapshot, resolver: Resolver, index: PartnerIndex, question: PartnersQuestion
) -> FoundPartners:
    """Return the archetypes that fit a part: best verdict first, then closest in size.

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
        fits = decision.verdict in question.verdicts
        refused = 0 if fits else refused + 1
        if fits:
            accepted.append((candidate, decision))
        if len(accepted) > question.limit or refused == MOST_REFUSED_IN_A_ROW:
            break
    accepted.sort(key=lambda one: one[1].verdict.severity)  # stable: closeness stays the second criterion
    return FoundPartners(part, tuple(accepted[: question.limit]), judged, len(accepted) > question.limit)
