"""The question `find`: which archetypes can spec-sheet words mean, and why each of them.

Owns: ranking over all pieces of a text, and the answer. Does not own: reading words (`kb/spec_words.py`), what a
reading can mean (`kb/find_options.py`), the index (`kb/find_index.py`) or sentences (`kb/find_words.py`).
Every piece of the text looks for parts of its own; a candidate's score says how much of the text it answers.
"""

from __future__ import annotations

import heapq
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import islice

from kb.find_index import FindIndex, Posting, Postings, part_title, text_key
from kb.find_options import MISSPELT, Match, Option, Piece, alias_nudges, pieces_of
from kb.find_words import reading_sentence, reason_sentence
from kb.readings import Note, Reading, ReadingKind
from kb.snapshot import Snapshot
from kb.spec_words import LONGEST_WORDS, plain_text, read_words
from schemas.answers import CandidateTold, FindAnswer
from schemas.questions import FindQuestion

__all__ = ["Candidate", "FindIndex", "FindResult", "answer_find", "find"]

_PER_UNASKED_PIECE = 0.001  # of equal candidates the one with the shortest title is the plainest
_WORTH_SHOWING = 0.4  # of the best score
_SCORE_DIGITS = 4

# How much of a long posting is looked at: keeps a find as quick with 300 000 parts as with 300.
_SHORT = 256
_MOST_STEPS = 2048
_MOST_SCORED = 384
_LEAST_SPELLABLE = 4
_SPELLING_LIKENESS, _NEAREST_LIKENESS = 78, 60  # of 100
_NEAREST = 3


@dataclass(frozen=True, slots=True)
class Candidate:
    """One archetype that the words can mean.

    Attributes:
        id: the part.
        kind: thread, port, tube, fitting or seal.
        title: its title or designation.
        score: 0 to 1; orders candidates of one answer and is no probability.
        why: one match for every piece of the text that speaks for it.
    """

    id: str
    kind: str
    title: str
    score: float
    why: tuple[Match, ...]


@dataclass(frozen=True, slots=True)
class FindResult:
    """What words were read as and which parts they can mean.

    Attributes:
        words: the text.
        readings: readings that led to parts; of a piece that led nowhere, its likeliest reading.
        candidates: best first; of equal ones the smaller id first.
        nearest: known words that look alike, if there is no candidate.
    """

    words: str
    readings: tuple[Reading, ...]
    candidates: tuple[Candidate, ...]
    nearest: tuple[str, ...] = ()


def find(index: FindIndex, words: str, kind: str | None, limit: int) -> FindResult:
    """Find the archetypes that spec-sheet words can mean.

    Args:
        index: index over a snapshot.
        words: for example `10/16`, `3/8 barb G 1/4`, `1/2 in copper`; at most 80 characters are read.
        kind: fitting, tube, port, thread or seal; `None` for all.
        limit: most candidates to return.

    Returns:
        Candidates with reasons; none, with the nearest known words, if nothing suits. Never raises for odd text.

    >>> from kb.snapshot import Snapshot
    >>> from kb.store import load_tables
    >>> result = find(FindIndex(Snapshot(load_tables())), "3/8 barb G¼", None, 1)
    >>> result.candidates[0].id
    'fitting/barb-3-8-g-1-4'
    """
    built = index.built
    readings = _respelt(built, read_words(words))
    pieces = pieces_of(index, readings)
    low, high = (0, len(built.ids)) if kind is None else built.kinds.get(kind, (0, 0))
    whole = frozenset(built.posting(text_key(words)))
    scorer = _Scorer(built, pieces, alias_nudges(built, readings), whole)
    best = heapq.nsmallest(limit, scorer.scored(low, high), key=lambda found: (-found[0], found[1]))
    worth = [found for found in best if found[0] >= best[0][0] * _WORTH_SHOWING]
    candidates = tuple(_candidate(index, number, score, scorer.why(number)) for score, number in worth)
    taken = tuple(reading for piece in pieces for reading in piece.readings)
    return FindResult(words, taken, candidates, () if candidates else _nearest(built, words))


def answer_find(snapshot: Snapshot, index: FindIndex, question: FindQuestion) -> FindAnswer:
    """Answer which archetypes spec-sheet words can mean, likeliest first, with reasons in words."""
    result = find(index, question.words, question.kind, question.limit)
    candidates = tuple(
        CandidateTold(
            part=candidate.id,
            kind=candidate.kind,
            title=candidate.title,
            score=candidate.score,
            reason=reason_sentence(snapshot, candidate.id, candidate.why),
        )
        for candidate in result.candidates
    )
    return FindAnswer(
        kb_version=snapshot.version,
        words=result.words,
        readings=tuple(reading_sentence(reading) for reading in result.readings),
        candidates=candidates,
        nearest=result.nearest,
    )


def _candidate(index: FindIndex, number: int, score: float, why: tuple[Match, ...]) -> Candidate:
    part_id = index.built.ids[number]
    row = index.snapshot.row(part_id)
    assert row is not None
    return Candidate(part_id, part_id.partition("/")[0], part_title(row), score, why)


def _respelt(built: Postings, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings with unknown words replaced by the known word that looks most alike."""
    return tuple(_spelling(built, reading) if reading.kind is ReadingKind.WORD else reading for reading in readings)


def _spelling(built: Postings, reading: Reading) -> Reading:
    place = bisect_left(built.vocabulary, reading.word)
    known = place < len(built.vocabulary) and built.vocabulary[place] == reading.word
    if known or len(reading.word) < _LEAST_SPELLABLE:
        return reading
    from rapidfuzz import fuzz, process  # noqa: PLC0415 - only needed for words nobody knows

    alike = process.extractOne(reading.word, built.vocabulary, scorer=fuzz.ratio, score_cutoff=_SPELLING_LIKENESS)
    return reading if alike is None else replace(reading, word=alike[0], likelihood=MISSPELT, notes=(Note.SPELLING,))


def _nearest(built: Postings, words: str) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process  # noqa: PLC0415

    phrases = [entry.row.words for entries in built.aliases.values() for entry in entries]
    phrases += [thread.row.designation.lower() for threads in built.threads.values() for thread in threads]
    known = sorted({*phrases, *built.vocabulary})
    text = plain_text(words[:LONGEST_WORDS])
    found = process.extract(text, known, scorer=fuzz.token_sort_ratio, limit=_NEAREST, score_cutoff=_NEAREST_LIKENESS)
    return tuple(match[0] for match in found)


class _Scorer:
    """Scores the parts that at least one piece of the text means.

    Short postings are taken whole; of long ones only what all long pieces share, and their first entries.
    """

    def __init__(
        self, built: Postings, pieces: list[Piece], nudges: list[tuple[Posting, float]], whole: frozenset[int]
    ) -> None:
        self._built = built
        self._pieces = pieces
        self._nudges = nudges
        self._whole = whole
        self._all = sum(piece.importance for piece in pieces)
        self._short = [_short_options(piece) for piece in pieces]
        self._long = [[one for one in piece.options if len(one.posting) > _SHORT] for piece in pieces]

    def scored(self, low: int, high: int) -> Iterator[tuple[float, int]]:
        """Yield score and number of every part from `low` up to `high` that was met."""
        seen: set[int] = set()
        for number in self._met(low, high):
            if number not in seen:
                seen.add(number)
                yield self._score(number), number
                if len(seen) == _MOST_SCORED:
                    return

    def why(self, number: int) -> tuple[Match, ...]:
        """Return the surest match of every piece that speaks for a part."""
        options = (self._best(place, number) for place in range(len(self._pieces)))
        return tuple(option.match for option in options if option is not None)

    def _met(self, low: int, high: int) -> Iterator[int]:
        """Yield parts worth scoring: what all long postings share, then the rarest pieces, then the rest."""
        yield from (number for number in self._whole if low <= number < high)
        surest = [options[0].posting for options in self._long if options]
        if len(surest) > 1:
            yield from islice(_common(surest, low, high), _SHORT)
        for short in sorted(self._short, key=len):
            yield from (number for number in short if low <= number < high)
        for options in self._long:
            for option in options:
                start = bisect_left(option.posting, low)
                yield from (number for number in option.posting[start : start + _SHORT] if number < high)

    def _score(self, number: int) -> float:
        if number in self._whole:
            return 1.0
        found = [self._best(place, number) for place in range(len(self._pieces))]
        weighed = sum(
            piece.importance * option.weight
            for piece, option in zip(self._pieces, found, strict=True)
            if option is not None
        )
        unasked = max(0, self._built.title_pieces[number] - sum(option is not None for option in found))
        nudge = max((amount for posting, amount in self._nudges if _holds(posting, number)), default=0.0)
        score = weighed / self._all + nudge - unasked * _PER_UNASKED_PIECE
        return round(min(1.0, max(0.0, score)), _SCORE_DIGITS)

    def _best(self, place: int, number: int) -> Option | None:
        best = self._short[place].get(number)
        for option in self._long[place]:
            if best is not None and best.weight >= option.weight:
                return best
            if _holds(option.posting, number):
                return option
        return best


def _short_options(piece: Piece) -> dict[int, Option]:
    """Return the surest option of every part that a short posting of the piece holds."""
    short: dict[int, Option] = {}
    for option in piece.options:
        if len(option.posting) <= _SHORT:
            for number in option.posting:
                short.setdefault(number, option)
    return short


def _common(postings: list[Posting], low: int, high: int) -> Iterator[int]:
    """Yield what sorted postings share between two numbers, leaping from one to the other; gives up in time."""
    target = low
    for _ in range(_MOST_STEPS):
        places = [bisect_left(posting, target) for posting in postings]
        if any(place == len(posting) for place, posting in zip(places, postings, strict=True)):
            return
        farthest = max(posting[place] for place, posting in zip(places, postings, strict=True))
        if farthest >= high:
            return
        if all(posting[place] == farthest for place, posting in zip(places, postings, strict=True)):
            yield farthest
            target = farthest + 1
        else:
            target = farthest


def _holds(posting: Posting, number: int) -> bool:
    place = bisect_left(posting, number)
    return place < len(posting) and posting[place] == number
