"""What spreadsheets and typesetting do to the text of a cell, recognised by name.

Owns: damaged text -> what happened to it and what to write instead. Does not own: which texts a column allows
(`schemas/columns/columns.py`).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

from schemas.columns.sizes import plain_characters

_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = rf"(?P<month>{'|'.join(_MONTHS)})[a-z]{{0,6}}\.?"
_MONTH_FIRST = re.compile(rf"{_MONTH}[- ](?P<day>\d{{1,4}})", re.ASCII | re.IGNORECASE)
_DAY_FIRST = re.compile(rf"(?P<day>\d{{1,2}})[-. ]{{1,2}}{_MONTH}([- ]\d{{2,4}})?", re.ASCII | re.IGNORECASE)
_YEAR_FIRST = re.compile(r"\d{4}-(?P<month>\d{2})-(?P<day>\d{2})([T ]00:00(:00)?)?", re.ASCII)
_YEAR_LAST = re.compile(r"(?P<month>\d{1,2})[./](?P<day>\d{1,2})[./](\d{2}|\d{4})", re.ASCII)
_FORMULA_SIGNS = ("=", "+", "-", "@")
# A spreadsheet computes what begins with one of these signs and calls, joins or names a cell.
_FORMULA = re.compile(r"=.+|[-+@].*[(|!].*|[-+@]\$?[A-Za-z]{1,3}\$?\d.*")
_ERROR_VALUE = re.compile(r"#(REF!|NAME\?|VALUE!|DIV/0!|N/A|NUM!|NULL!|SPILL!)")
_TYPOGRAPHIC = re.compile("[″”“„′’‘⁄∕−–—]|[\u00bc-\u00be\u2150-\u215f]")
_INVISIBLE = ("Cc", "Cf", "Zl", "Zp")


@dataclass(frozen=True, slots=True)
class Damage:
    """What happened to a text.

    Attributes:
        what: the damage, by name.
        fix: what to write instead.
    """

    what: str
    fix: str


def damage_of_text(text: str) -> Damage | None:
    """Return the damage that no cell of any column may carry, `None` for sound text.

    >>> damage_of_text("Oct-13")
    Damage(what="'Oct-13' is a date that a spreadsheet made of a size", fix='write the size again, perhaps 10/13')
    """
    if text[:1] in _FORMULA_SIGNS and _FORMULA.fullmatch(text):
        return Damage(f"{text!r} is a spreadsheet formula", "write its result, or begin the text with a word")
    if text.startswith("#") and _ERROR_VALUE.match(text):
        return Damage(f"{text!r} is a spreadsheet's error value", "write the value itself")
    if not text.isprintable():
        return _odd_character(text)
    return _date(text, _MONTH_FIRST, _DAY_FIRST)


def damage_of_size(text: str) -> Damage | None:
    """Return the damage that a number, a size or an id may carry beyond that of any text, `None` if there is none.

    >>> damage_of_size("9,5")
    Damage(what="'9,5' has a decimal comma", fix='write 9.5')
    """
    if re.fullmatch(r"-?\d+,\d+", text, re.ASCII):
        return Damage(f"{text!r} has a decimal comma", f"write {text.replace(',', '.')}")
    if re.fullmatch(r"[-+]?\d+(\.\d+)?[eE][-+]?\d+", text, re.ASCII):
        return Damage(f"{text!r} is in a spreadsheet's scientific form", "write all digits out")
    if _TYPOGRAPHIC.search(text):
        plain = re.sub("[−–—]", "-", plain_characters(text)).strip("\"' ")
        return Damage(f"{text!r} has typographic quotes, fractions or dashes", f"write {plain}")
    return _date(text, _YEAR_FIRST, _YEAR_LAST)


def _odd_character(text: str) -> Damage:
    found = next(char for char in text if not char.isprintable())
    name = unicodedata.name(found, f"U+{ord(found):04X}").lower()
    if unicodedata.category(found) in _INVISIBLE:
        return Damage(f"{text!r} holds an invisible character ({name})", "delete that character")
    return Damage(f"{text!r} holds a {name} where a plain blank belongs", "write a plain blank or none")


def _date(text: str, one: re.Pattern[str], other: re.Pattern[str]) -> Damage | None:
    match = one.fullmatch(text) or other.fullmatch(text)
    if match is None:
        return None
    month = match["month"].lower()[:3]
    number = _MONTHS.index(month) + 1 if month in _MONTHS else int(month)
    guess = f"{number}/{int(match['day'])}"
    return Damage(f"{text!r} is a date that a spreadsheet made of a size", f"write the size again, perhaps {guess}")
