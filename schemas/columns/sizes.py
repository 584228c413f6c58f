"""One length as people write it: a closed grammar over exact fractions.

Owns: text of a single length (`3/8 in`, `⅜"`, `1 1/4 in`, `9.525 mm`) -> exact value. Does not own: sizes made of
several numbers (`10/16`, `G 1/4`), which `kb/parts/search/spec_words.py` reads.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

from schemas.columns.fixable import FixableError

MM_PER_INCH = Fraction(254, 10)  # exact by the international yard and pound agreement of 1959

_FRACTION = r"(?:(?P<whole>\d{1,4})[ -])?(?P<over>\d{1,3})/(?P<under>[1-9]\d{0,2})"
_DECIMAL = r"(?P<decimal>\d{0,4}\.\d{1,6}|\d{1,4})"
_UNIT = r"(?P<unit>mm|millimet(?:er|re)s?|cm|centimet(?:er|re)s?|inches|inch|in\.?|\")?"
_LENGTH = re.compile(rf"\s*(?:{_DECIMAL}|{_FRACTION})\s*{_UNIT}\s*", re.ASCII)
_QUOTES = str.maketrans({"”": '"', "“": '"', "″": '"', "’": "'", "′": "'", "⁄": "/", "∕": "/", "‐": "-", "‑": "-"})
_UNIT_MM = {"m": Fraction(1), "c": Fraction(10), "i": MM_PER_INCH, '"': MM_PER_INCH}
LONGEST_TEXT = 40


class SizeError(FixableError):
    """A text that is not one length."""


@dataclass(frozen=True, slots=True)
class Length:
    """An exact length and the unit it was written in (`mm`, `in`, or empty if none was written)."""

    number: Fraction
    unit: str

    @property
    def mm(self) -> float:
        """The length [mm]; a bare number counts as millimetres."""
        return float(self.number * (MM_PER_INCH if self.unit == "in" else 1))


def plain_characters(text: str) -> str:
    """Return the text with typographic fractions, quotes and slashes in their plain form, in lower case.

    >>> plain_characters("1⅜″")
    '1 3/8"'
    """
    spread = "".join(f" {unicodedata.normalize('NFKC', char)}" if _is_vulgar_fraction(char) else char for char in text)
    plain = unicodedata.normalize("NFKC", spread.translate(_QUOTES)).translate(_QUOTES)
    return plain.lower().replace("''", '"').strip()


def _is_vulgar_fraction(char: str) -> bool:
    return unicodedata.decomposition(char).startswith("<fraction>")


def _is_ornamental_number(char: str) -> bool:
    """Return whether a number sign is raised, lowered or circled: 3² must not be read as 32."""
    return char.isnumeric() and not char.isdecimal() and not _is_vulgar_fraction(char)


def parse_length(text: str) -> Length:
    """Read one length: a decimal, a fraction or a mixed number, with or without a unit.

    Args:
        text: for example `3/8 in`, `1-1/4"`, `.375 inch`, `12 mm`, `1.2 cm`.

    Raises:
        SizeError: if the text is anything else (expressions, several numbers, decimal commas, zero).

    >>> parse_length("1 1/4 in").mm
    31.75
    >>> parse_length("⅜″").mm
    9.525
    """
    readable = len(text) <= LONGEST_TEXT and not any(map(_is_ornamental_number, text))
    match = _LENGTH.fullmatch(plain_characters(text)) if readable else None
    if match is None:
        raise SizeError(f"{text[:LONGEST_TEXT]!r} is not one length", 'write for example 9.5 mm, 3/8 in or 1 1/4"')
    number = _number(match)
    if number == 0:
        raise SizeError(f"{text!r} is zero", "a length is larger than zero")
    written = match["unit"]
    if written is None:
        return Length(number, "")
    factor = _UNIT_MM[written[0]]
    return Length(number, "in") if factor == MM_PER_INCH else Length(number * factor, "mm")


def _number(match: re.Match[str]) -> Fraction:
    if match["decimal"] is not None:
        return Fraction(match["decimal"])
    part = Fraction(int(match["over"]), int(match["under"])) if match["over"] else Fraction(0)
    return int(match["whole"] or 0) + part


def exact_inches_to_mm(text: str) -> float:
    """Return the millimetres [mm] of an inch figure as a source prints it (`5/8`, `1 1/8`, `0.625`).

    Raises:
        SizeError: if the text carries a unit or is no number.

    >>> exact_inches_to_mm("5/8")
    15.875
    """
    length = parse_length(text)
    if length.unit:
        raise SizeError(f"{text!r} carries a unit", "the column already says inches: write the number alone")
    return float(length.number * MM_PER_INCH)
