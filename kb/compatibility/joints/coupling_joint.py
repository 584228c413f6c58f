"""Two halves of a quick coupling.

Owns: whether plug and socket follow the same pattern. Does not own: what patterns exist (rows of fitting_ends.csv).
"""

from __future__ import annotations

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Missing, Number
from kb.formulas.fit.counts import differing
from kb.parts.dimensions import DIMENSION_MISSING
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement


def judge_coupling(snapshot: Snapshot, plug: Element, socket: Element, place: str) -> list[Finding]:
    """Judge plug and socket of a quick coupling: halves of one pattern join, others do not, unstated is unknown.

    Args:
        snapshot: the knowledge.
        plug: the entering half.
        socket: the receiving half.
        place: name of the joint.
    """
    facts = [half.fact("coupling_pattern") for half in (plug, socket)]
    missing = [
        Missing(half.label, "coupling pattern", "coupling_pattern")
        for half, fact in zip((plug, socket), facts, strict=True)
        if fact is None
    ]
    if missing:
        return [Finding(DIMENSION_MISSING, Judgement.GAP, place, (one,)) for one in missing]
    known: tuple[Fact, ...] = tuple(fact for fact in facts if fact is not None)
    patterns = [str(fact.value) for fact in known]
    number = Number("quantity/coupling-patterns-differing", differing(*patterns), known)
    return [judge_number(snapshot, number, plug.families, place)]
