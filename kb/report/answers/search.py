"""The answer about what spec-sheet words can mean.

Owns: what was found -> `FindAnswer`. Does not own: finding it (`kb/parts/search/search.py`).
"""

from __future__ import annotations

from kb.parts.search.search import FindResult
from kb.report.sentences.search import reading_sentence, reason_sentence
from kb.store.snapshot import Snapshot
from schemas.answers.answers import FindAnswer, FoundPart


def answer_find(snapshot: Snapshot, result: FindResult) -> FindAnswer:
    """Return which archetypes spec-sheet words can mean, likeliest first, with reasons in words.

    Args:
        snapshot: the knowledge.
        result: what was found.
    """
    candidates = tuple(
        FoundPart(
            part=candidate.id,
            kind=candidate.kind,
            title=candidate.title,
            score=candidate.score,
            reason=reason_sentence(snapshot, candidate.id, candidate.why, candidate.unanswered),
        )
        for candidate in result.candidates
    )
    return FindAnswer(
        kb_version=snapshot.version,
        words=result.words,
        readings=tuple(reading_sentence(snapshot, reading) for reading in result.readings),
        candidates=candidates,
        nearest=result.nearest,
    )
