"""The question: how far do the tables reach?

Owns: putting pairs, facts and gaps together. Does not own: any of these (one file each).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from kb.curation.coverage.facts import shares_by_basis, shares_by_source, stale_facts, weak_tables
from kb.curation.coverage.gaps import most_valuable_gaps
from kb.curation.coverage.pairs import covered_families, covered_kinds, decide_all
from kb.curation.diff.loops import ExampleLoop, judge_loops
from kb.knowledge_base import KnowledgeBase
from schemas.answers.coverage import CoverAnswer

MOST_GAPS = 10


def cover_tables(base: KnowledgeBase, loops: Sequence[ExampleLoop], today: date, stale_after_days: int) -> CoverAnswer:
    """Return the map of knowledge.

    Args:
        base: the knowledge.
        loops: example loops, which say what is asked for most.
        today: the day from which the age of a row counts.
        stale_after_days: age from which a row is stale [days].
    """
    snapshot = base.snapshot
    decided = list(decide_all(snapshot))
    return CoverAnswer(
        kb_version=base.version,
        kinds=covered_kinds(snapshot, decided),
        families=covered_families(snapshot, decided),
        by_source=shares_by_source(snapshot),
        by_basis=shares_by_basis(snapshot),
        weak=weak_tables(snapshot),
        stale=stale_facts(snapshot, today, stale_after_days),
        stale_after_days=stale_after_days,
        gaps=most_valuable_gaps(base, judge_loops(base, loops), MOST_GAPS),
        loops_judged=len(loops),
    )
