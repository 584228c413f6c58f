"""Spec-sheet words in plain characters: quotes, signs, raised digits, spelled-out fractions and diameters.

Owns: what is done to a text before anything is read in it. Does not own: the grammar (`kb/parts/search/spec_words.py`).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from schemas.columns.sizes import plain_characters

_INVISIBLE = dict.fromkeys(map(ord, "\u200b\ufeff\u00ad"), "")
_SIGNS = str.maketrans(
    {"×": "x", "✕": "x", "✖": "x", "⨯": "x", "–": "-", "—": "-", "−": "-", "ø": " ", "⌀": " ", "′": "'", "″": '"'}
)
_UNREADABLE = "|"
_READABLE_CHUNK = re.compile(r"[a-z0-9.,/\"'°()&:;=-]+%?|%")
_DIAMETER_WORDS = re.compile(r"\b(?:(inside|inner)|(?:outside|outer))\b(?: dia(?:meter|m)?\b\.?)?|\b([io])\. ?d\b\.?")

_COUNTS: Mapping[str, int] = MappingProxyType(
    {
        "a": 1,
        "an": 1,
        "one": 1,
        "two": 2,
        "three": 3,
        "five": 5,
        "seven": 7,
        "nine": 9,
        "eleven": 11,
        "thirteen": 13,
        "fifteen": 15,
    }
)
_PARTS: Mapping[str, int] = MappingProxyType(
    {
        "halves": 2,
        "half": 2,
        "quarters": 4,
        "quarter": 4,
        "eighths": 8,
        "eighth": 8,
        "sixteenths": 16,
        "sixteenth": 16,
    }
)
_INCH = r"(?:inch(?:es)?|in)\b"
_SPELLED = re.compile(
    rf"\b(?:(?P<whole>one|two|three|(?:(?:an|one) )?inch)[ -]and[ -])?(?:(?P<over>{'|'.join(_COUNTS)})[ -])?"
    rf"(?P<under>{'|'.join(_PARTS)})\b"
    rf"(?P<inch>[ -](?:of )?(?:an )?{_INCH})?(?P<meant>(?= (?:bsp[pt]?|npt|od|id)\b))?"
)
_SPELLED_WHOLE = re.compile(rf"\b(?P<whole>one|two|three)(?=[ -]{_INCH})")


def plain_text(text: str) -> str:
    """Return the text in plain lower-case characters with single blanks; raised digits and controls become `|`.

    >>> plain_text("Outside Diameter ⅜″")
    'od 3/8"'
    >>> plain_text("half-inch copper, three eighths barb")
    '1/2 inch copper, 3/8 inch barb'
    """
    plain = text.lower() if text.isascii() and text.isprintable() else _plain_unicode(text)
    spaced = " ".join(plain.replace("''", '"').split())
    short = " ".join(_DIAMETER_WORDS.sub(_short_diameter, spaced).split())
    return _SPELLED_WHOLE.sub(lambda match: str(_COUNTS[match["whole"]]), _SPELLED.sub(_fraction, short))


def stretches(plain: str) -> Iterator[tuple[str, bool]]:
    """Yield runs of readable chunks, and each unreadable chunk by itself, with whether it is readable."""
    run: list[str] = []
    for chunk in plain.split(" "):
        if _READABLE_CHUNK.fullmatch(chunk):
            run.append(chunk)
            continue
        if run:
            yield " ".join(run), True
            run = []
        if chunk:
            yield chunk, False
    if run:
        yield " ".join(run), True


def _plain_unicode(text: str) -> str:
    safe = "".join(_UNREADABLE if _is_unreadable(char) else char for char in text.translate(_INVISIBLE))
    return plain_characters(safe).translate(_SIGNS)


def _is_unreadable(char: str) -> bool:
    ornamental = char.isdigit() and not char.isdecimal()  # 3² must not be read as 32
    return ornamental or (unicodedata.category(char)[0] == "C" and char not in "\t\n\r")


def _short_diameter(match: re.Match[str]) -> str:
    return f"{match[2]}d" if match[2] else "id" if match[1] else "od"


def _fraction(match: re.Match[str]) -> str:
    """Return inches in figures where the words say a fraction: a `quarter turn` and `half of a coupling` stay words."""
    whole, over = match["whole"], match["over"]
    counted = over is not None and _COUNTS[over] > 1
    if not (whole or counted or match["inch"] or match["meant"] is not None or over == "one"):
        return match[0]
    over_number = _COUNTS[over or "one"]
    wholes = "" if not whole else "1 " if whole.endswith("inch") else f"{_COUNTS[whole]} "
    return f"{wholes}{over_number}/{_PARTS[match['under']]} inch"
