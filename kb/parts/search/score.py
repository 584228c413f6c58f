"""Scores of parts over all pieces of a text.

Owns: which parts are looked at and how much of the text each of them answers. Does not own: what a piece can mean
(`kb/parts/search/matches.py`) or the answer (`kb/parts/search/search.py`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import islice

from kb.parts.search.index import Posting, Postings
from kb.parts.search.matches import Option, Piece, nearest_options
from kb.parts.search.readings import Note, Reading

_PER_UNASKED_PIECE = 0.001  # of equal candidates the one with the shortest title is the plainest
_NARROWER = 0.06  # taken off a part of a narrower family if no word of that family was written
_SCORE_DIGITS = 4

# How much of a long posting is looked at: keeps a find as quick with 300 000 parts as with 300.
_SHORT = 256
_MOST_STEPS = 2048
_MOST_SCORED = 384


class Scorer:
    """Scores the parts that at least one piece of the text means.

    Short postings are taken whole; of long ones only what all long pieces share, and their first entries.
    """

    def __init__(
        self, built: Postings, pieces: list[Piece], nudges: list[tuple[Posting, float]], whole: frozenset[int]
    ) -> None:
        self._built = built
        self.pieces = pieces
        self._nudges = nudges
        self._whole = whole
        self._all = sum(piece.importance for piece in pieces)
        self._written = frozenset(
            (reading.kind.value, reading.word) for piece in pieces for reading in piece.readings if reading.word
        )
        self._short = [_short_options(piece) for piece in pieces]
        self._long = [[one for one in piece.options if len(one.posting) > _SHORT] for piece in pieces]

    def scored(self, low: int, high: int) -> Iterator[tuple[float, int]]:
        """Yield score and number of every part met from `low` up to `high` that has a size written, if any is."""
        for number in self._looked_at(low, high):
            if number in self._whole or self._has_a_size(number):
                yield self._score(number), number

    def is_whole(self, number: int) -> bool:
        """Return whether the whole text is a name of a part."""
        return number in self._whole

    def answers(self, number: int) -> tuple[Option | None, ...]:
        """Return for every piece the surest option that speaks for a part, `None` if the piece does not."""
        return tuple(self._best(place, number) for place in range(len(self.pieces)))

    def with_nearest_sizes(self, low: int, high: int) -> Scorer:
        """Return a scorer with each size marked that no part meant by the words has, and the nearest in its place."""
        if self._whole or not any(piece.is_measured for piece in self.pieces):
            return self
        words = {number: self._answered_words(number) for number in self._looked_at(low, high)}
        most = max(words.values(), default=0.0)
        if not most:
            return self
        meant = [number for number, answered in words.items() if answered == most]

        def is_meant(number: int) -> bool:
            return low <= number < high and self._answered_words(number) == most

        pieces = [self._or_nearest(place, piece, meant, is_meant) for place, piece in enumerate(self.pieces)]
        unchanged = all(new is old for new, old in zip(pieces, self.pieces, strict=True))
        return self if unchanged else Scorer(self._built, pieces, self._nudges, self._whole)

    def _or_nearest(self, place: int, piece: Piece, meant: list[int], is_meant: Callable[[int], bool]) -> Piece:
        if not piece.is_measured or any(self._best(place, number) is not None for number in meant):
            return piece
        nearest = () if piece.size is None else tuple(nearest_options(self._built, piece.size, is_meant))
        if piece.size is not None and nearest:
            return piece._replace(readings=(_without_such_size(piece.size),), options=nearest)
        first, *others = piece.readings
        return piece._replace(readings=(_without_such_size(first), *others))

    def _answered_words(self, number: int) -> float:
        return sum(
            piece.importance
            for place, piece in enumerate(self.pieces)
            if not piece.is_measured and self._best(place, number) is not None
        )

    def _has_a_size(self, number: int) -> bool:
        measured = [place for place, piece in enumerate(self.pieces) if piece.is_measured]
        return not measured or any(self._best(place, number) is not None for place in measured)

    def _looked_at(self, low: int, high: int) -> list[int]:
        return list(islice(dict.fromkeys(self._met(low, high)), _MOST_SCORED))

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
        narrower = self._narrower(number)
        if number in self._whole:
            return 1.0 - narrower
        found = self.answers(number)
        weighed = sum(
            piece.importance * option.weight
            for piece, option in zip(self.pieces, found, strict=True)
            if option is not None
        )
        unasked = max(0, self._built.title_pieces[number] - sum(option is not None for option in found))
        nudge = max((amount for posting, amount in self._nudges if _holds(posting, number)), default=0.0)
        score = weighed / self._all + nudge - unasked * _PER_UNASKED_PIECE - narrower
        return round(min(1.0, max(0.0, score)), _SCORE_DIGITS)

    def _narrower(self, number: int) -> float:
        """Return what is taken off a part whose family says more than was written: EPDM tube for `soft tube`."""
        words = self._built.narrower.get(number)
        return 0.0 if words is None or words & self._written else _NARROWER

    def _best(self, place: int, number: int) -> Option | None:
        best = self._short[place].get(number)
        for option in self._long[place]:
            if best is not None and best.weight >= option.weight:
                return best
            if _holds(option.posting, number):
                return option
        return best


def _without_such_size(reading: Reading) -> Reading:
    notes = tuple(note for note in reading.notes if note is not Note.NOTHING_KNOWN)
    return replace(reading, notes=(*notes, Note.NO_SUCH_SIZE))


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
