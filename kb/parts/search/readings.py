"""What a piece of spec-sheet text can be read as.

Owns: the type of a reading. Does not own: the grammar that makes readings (`kb/parts/search/spec_words.py`).
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from schemas.columns.sizes import MM_PER_INCH, Length
from schemas.tables.threads import ThreadGender


class ReadingKind(StrEnum):
    """What a piece of text can be."""

    THREAD = "thread"
    SIZE = "size"
    PAIR = "pair"
    O_RING_CODE = "o-ring-code"
    DASH_SIZE = "dash-size"
    ANGLE = "angle"
    WORD = "word"
    ID = "id"
    UNREAD = "unread"


class Diameter(StrEnum):
    """Which diameter the text says it speaks of."""

    INSIDE = "inside"
    OUTSIDE = "outside"


class Note(StrEnum):
    """What had to be taken for granted to read a piece, or that nothing was found under it."""

    DECIMAL_COMMA = "decimal-comma"
    MILLIMETRES_TAKEN = "millimetres-taken"
    INCHES_TAKEN = "inches-taken"
    PIPE_SIZE_TAKEN = "pipe-size-taken"
    PAIR_TAKEN = "pair-taken"
    SPELLING = "spelling"
    NOTHING_KNOWN = "nothing-known"
    NO_SUCH_SIZE = "no-such-size"
    UNANSWERED = "unanswered"
    RENAMED = "renamed"


@dataclass(frozen=True, slots=True)
class Reading:
    """One way to read one piece of the text.

    Attributes:
        kind: what the piece is read as.
        text: the piece, in plain characters.
        likelihood: 1 for the likeliest reading of a piece, less for others; it orders answers and is no probability.
        piece: number of the piece; readings with the same number are alternatives.
        lengths: the size; both sizes of a pair as written; nominal size and pitch of a thread.
        word: the word, the id, the O-ring code, the dash size with its sign (`an 6`), or the sign of the thread system
            (empty: a pipe size of any system).
        threads_per_inch: as written after a thread size.
        angle_deg: the angle of an angle reading.
        means: the diameter the text names.
        gender: the side of the joint the text names.
        notes: what is to be said about the reading.
    """

    kind: ReadingKind
    text: str
    likelihood: float = 1.0
    piece: int = 0
    lengths: tuple[Length, ...] = ()
    word: str = ""
    threads_per_inch: int | None = None
    angle_deg: float | None = None
    means: Diameter | None = None
    gender: ThreadGender | None = None
    notes: tuple[Note, ...] = ()


def micrometres(length: Length) -> int:
    """Return a length in whole micrometres; a bare number counts as millimetres.

    >>> from schemas.columns.sizes import parse_length
    >>> micrometres(parse_length("3/8 in"))
    9525
    """
    return round(length.number * (MM_PER_INCH if length.unit == "in" else 1) * 1000)
