"""The question `find`: which archetypes can spec-sheet words mean, and why each of them.

Owns: the candidates of a text. Does not own: reading words (`kb/parts/search/spec_words.py`), what a
reading can mean (`kb/parts/search/matches.py`), scores (`kb/parts/search/score.py`), the index
(`kb/parts/search/index.py`) or sentences (`kb/report/sentences/search.py`). Every piece of the text looks for parts of
its own; a candidate's score says how much of the text it answers.
"""

from __future__ import annotations

import heapq
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace

from kb.parts.renamed_ids import renamed_id
from kb.parts.search.index import FindIndex, Postings, part_title, text_key
from kb.parts.search.matches import MISSPELT, Match, Piece, alias_nudges, pieces_of
from kb.parts.search.normalise import plain_text
from kb.parts.search.readings import Note, Reading, ReadingKind
from kb.parts.search.score import Scorer
from kb.parts.search.spec_words import LONGEST_WORDS, read_words
from schemas.tables.renamed_ids import RenamedId

__all__ = ["Candidate", "FindIndex", "FindResult", "find"]

_WORTH_SHOWING = 0.4  # of the best score
_LEAST_SPELLABLE = 4
_SPELLING_LIKENESS, _NEAREST_LIKENESS = 78, 60  # of 100
_NEAREST = 3


@dataclass(frozen=True, slots=True)
class Candidate:
    """One archetype that the words can mean.

    Attributes:
        id: the part.
        kind: as `FindableKind` names them.
        title: its title or designation.
        score: 0 to 1; orders candidates of one answer and is no probability.
        why: one match for every piece of the text that speaks for it.
        unanswered: the pieces of the text that do not.
    """

    id: str
    kind: str
    title: str
    score: float
    why: tuple[Match, ...]
    unanswered: tuple[str, ...] = ()


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
        kind: as `FindableKind` names them; `None` for all.
        limit: most candidates to return.

    Returns:
        Candidates with reasons; none, with the nearest known words, if nothing matches. Never raises for odd text.

    >>> from kb.load import load_tables
    >>> from kb.store.snapshot import Snapshot
    >>> result = find(FindIndex(Snapshot(load_tables())), "3/8 barb G¼", None, 1)
    >>> result.candidates[0].id
    'fitting/barb-3-8-g-1-4'
    """
    built = index.built
    low, high = (0, len(built.ids)) if kind is None else built.kinds.get(kind, (0, 0))
    named = _named(index, words, range(low, high))
    if named is not None:
        return named
    readings = _respelt(built, read_words(words))
    whole = frozenset(number for number in built.posting(text_key(words)) if low <= number < high)
    nudges = alias_nudges(built, readings)
    scorer = Scorer(built, pieces_of(index, readings), nudges, whole).with_nearest_sizes(low, high)
    best = _best(index, scorer.scored(low, high), limit)
    candidates = tuple(_judged(index, scorer, score, number) for score, number in best)
    taken = tuple(reading for piece in scorer.pieces for reading in _answered_readings(piece, candidates))
    return FindResult(words, taken, candidates, () if candidates else _nearest(built, words))


def _best(index: FindIndex, scored: Iterator[tuple[float, int]], limit: int) -> list[tuple[float, int]]:
    """Return the best scores with their parts; of equal ones the smaller id first."""
    best = heapq.nsmallest(limit, scored, key=lambda found: (-found[0], index.built.ids[found[1]]))
    return [found for found in best if found[0] >= best[0][0] * _WORTH_SHOWING]


def _judged(index: FindIndex, scorer: Scorer, score: float, number: int) -> Candidate:
    answers = scorer.answers(number)
    why = tuple(option.match for option in answers if option is not None)
    if scorer.is_whole(number):
        return _candidate(index, number, score, why, ())
    missed = (piece.readings[0].text for piece, option in zip(scorer.pieces, answers, strict=True) if option is None)
    return _candidate(index, number, score, why, tuple(missed))


def _answered_readings(piece: Piece, candidates: tuple[Candidate, ...]) -> tuple[Reading, ...]:
    """Return what a piece was taken for, with a note if no candidate answers it."""
    first = piece.readings[0]
    is_said = {Note.NOTHING_KNOWN, Note.NO_SUCH_SIZE} & set(first.notes)
    if is_said or not candidates or not all(first.text in one.unanswered for one in candidates):
        return piece.readings
    return (replace(first, notes=(*first.notes, Note.UNANSWERED)),)


def _named(index: FindIndex, words: str, asked: range) -> FindResult | None:
    """Return the parts whose id, with or without what stands before the slash, was written, or was before."""
    written = words.strip().lower()
    renamed = renamed_id(index.snapshot, written)
    if renamed is not None:
        return _renamed(index, words, renamed, asked)
    numbers = [number for number in index.built.posting(("id", written)) if number in asked]
    if not numbers:
        return None
    reading = Reading(ReadingKind.ID, written, word=written)
    found = tuple(_candidate(index, number, 1.0, (Match(reading, "id"),), ()) for number in numbers)
    return FindResult(words, (reading,), found)


def _renamed(index: FindIndex, words: str, renamed: RenamedId, asked: range) -> FindResult:
    """Return what an old id is called now: the part, or its id alone if it is none that is looked for."""
    reading = Reading(ReadingKind.ID, renamed.old_id, word=renamed.new_id, notes=(Note.RENAMED,))
    numbers = [number for number in index.built.posting(("id", renamed.new_id)) if number in asked]
    found = tuple(_candidate(index, number, 1.0, (Match(reading, "renamed"),), ()) for number in numbers)
    return FindResult(words, (reading,), found, () if found else (renamed.new_id,))


def _candidate(
    index: FindIndex, number: int, score: float, why: tuple[Match, ...], unanswered: tuple[str, ...]
) -> Candidate:
    part_id = index.built.ids[number]
    row = index.snapshot.row(part_id)
    assert row is not None
    return Candidate(part_id, index.built.kind_of(number), part_title(row), score, why, unanswered)


def _respelt(built: Postings, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings with unknown words replaced by the known word that looks most alike."""
    return tuple(_spelling(built, reading) if reading.kind is ReadingKind.WORD else reading for reading in readings)


def _spelling(built: Postings, reading: Reading) -> Reading:
    place = bisect_left(built.vocabulary, reading.word)
    known = place < len(built.vocabulary) and built.vocabulary[place] == reading.word
    if known or len(reading.word) < _LEAST_SPELLABLE or not reading.word.isalpha():
        return reading
    from rapidfuzz import fuzz, process  # noqa: PLC0415 - only needed for words nobody knows

    alike = process.extractOne(reading.word, built.vocabulary, scorer=fuzz.ratio, score_cutoff=_SPELLING_LIKENESS)
    if alike is None or (_is_chemical(reading.word, alike[0]) and not _is_slip(reading.word, alike[0])):
        return reading
    return replace(reading, word=alike[0], likelihood=MISSPELT, notes=(Note.SPELLING,))


_CHEMICAL_ENDINGS = ("ate", "ite", "ide", "ol", "one", "ene", "azole")


def _is_chemical(*words: str) -> bool:
    return any(word.endswith(_CHEMICAL_ENDINGS) for word in words)


def _is_slip(written: str, known: str) -> bool:
    """Return whether a word differs from the name of a substance by a slip that makes no other substance of it.

    A neighbouring pair turned round, a doubled letter, or a final `e` more or less; one letter for another would take
    nitrate for nitrite, and letters left out would take borosilicate for silicate.

    >>> _is_slip("benzotriazol", "benzotriazole"), _is_slip("nitrate", "nitrite"), _is_slip("glycoll", "glycol")
    (True, False, True)
    """
    turned = {known[:at] + known[at + 1] + known[at] + known[at + 2 :] for at in range(len(known) - 1)}
    return written in turned or _undoubled(written) == _undoubled(known) or written.rstrip("e") == known.rstrip("e")


def _undoubled(word: str) -> str:
    return "".join(letter for at, letter in enumerate(word) if letter != word[at - 1 : at])


def _nearest(built: Postings, words: str) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process  # noqa: PLC0415

    phrases = [entry.row.words for entries in built.aliases.values() for entry in entries]
    phrases += [thread.row.designation.lower() for threads in built.threads.values() for thread in threads]
    known = sorted({*phrases, *built.vocabulary})
    text = plain_text(words[:LONGEST_WORDS])
    found = process.extract(text, known, scorer=fuzz.token_sort_ratio, limit=_NEAREST, score_cutoff=_NEAREST_LIKENESS)
    return tuple(match[0] for match in found)
