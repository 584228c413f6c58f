"""JSON as RFC 8259 means it: nothing lost, nothing guessed, no matter how hostile.

Owns: bytes -> JSON value, and everything that is refused on the way. Does not own: where the bytes come from
(`api/http/requests/request_body.py`, `api/cli/arguments.py`) or what the value means.
"""

from __future__ import annotations

import json
import sys
from typing import Any, NoReturn

from schemas.columns.fixable import FixableError

DEEPEST = 32
MOST_INSIDE = 1000  # names of one object, entries of one list: more than twice the most that any question can use
_LONGEST_SHOWN = 40
_LARGEST = sys.float_info.max
_LARGEST_EXACT = 2**53  # beyond it, double precision skips whole numbers


class JsonError(FixableError):
    """Bytes that are not JSON we accept."""


class TooManyError(JsonError):
    """JSON with more in one object or list than any question can use."""


def parse_json(body: bytes) -> Any:
    """Return the JSON value that the bytes hold.

    Args:
        body: JSON text in UTF-8 without a byte-order mark.

    Raises:
        JsonError: if the bytes are no JSON text, nest deeper than `DEEPEST`, name a field twice in one object, or hold
            a number beyond double precision's range or half of a surrogate pair.
        TooManyError: if an object or list has more than `MOST_INSIDE` fields or entries; a list that is the whole text
            may have any number.

    >>> parse_json(b'{"a": [1, 2.5, 3.0]}')
    {'a': [1, 2.5, 3]}
    """
    if not body.strip():
        raise JsonError("the JSON text is empty", "write a JSON object")
    try:
        value = json.loads(
            body.decode("utf-8"),
            object_pairs_hook=_object,
            parse_constant=_no_constant,
            parse_float=_number,
        )
    except JsonError:
        raise
    except UnicodeDecodeError as error:
        raise JsonError(f"byte {error.start} of the JSON text is not UTF-8", "write it in UTF-8") from None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise JsonError(f"the JSON text stops being JSON at {place}", "fix the JSON there") from None
    except RecursionError:
        raise _too_deep() from None
    except ValueError:  # the interpreter reads no whole number of thousands of digits
        raise JsonError("a whole number is too large", "write a number that double precision can hold") from None
    _check_inside(value, has_escapes=b"\\u" in body)
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len(pairs) > MOST_INSIDE:
        what = f"an object that begins with {_shown(pairs[0][0])} has {len(pairs)} fields"
        raise TooManyError(what, f"give at most {MOST_INSIDE} in one object")
    made = dict(pairs)
    if len(made) < len(pairs):
        seen: set[str] = set()
        name = next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
        raise JsonError(f"the name {_shown(name)} stands twice in one object", "keep one of the two")
    return made


def _no_constant(text: str) -> NoReturn:
    raise JsonError(f"{text} is not a JSON number", "write a finite number, or leave the field out")


def _number(text: str) -> float | int:
    """Return a number with a point or exponent; JSON has one sort of number, so 5.0 and 5e0 are the whole number 5."""
    value = float(text)
    if not -_LARGEST <= value <= _LARGEST:
        raise _too_large(text)
    return int(value) if value.is_integer() and abs(value) < _LARGEST_EXACT else value


def _too_large(text: str) -> JsonError:
    return JsonError(f"the number {text[:_LONGEST_SHOWN]} is too large", "write a finite number")


def _too_deep() -> JsonError:
    return JsonError(f"the JSON text nests deeper than {DEEPEST} levels", "nest less")


def _check_inside(value: Any, has_escapes: bool) -> None:
    """Refuse half surrogate pairs, which only escapes can write, too large whole numbers, long lists, deep nesting."""
    before: list[Any] = []
    level = [value]
    for depth in range(DEEPEST + 1):
        inner: list[Any] = []
        for item in level:
            kind = type(item)
            if kind is dict:
                inner += item
                inner += item.values()
            elif kind is list:
                if depth and len(item) > MOST_INSIDE:
                    what = f"the list{_named(item, before)} has {len(item)} entries"
                    raise TooManyError(what, f"give at most {MOST_INSIDE} in one list")
                inner += item
            elif kind is int and not -_LARGEST <= item <= _LARGEST:
                raise _too_large(str(item))
            elif has_escapes and kind is str:
                _check_whole_characters(item)
        if not inner:
            return
        before, level = level, inner
    raise _too_deep()


def _named(item: Any, around: list[Any]) -> str:
    """Return the name under which an object holds a value, in words; nothing if a list holds it."""
    fields = (field for one in around if isinstance(one, dict) for field in one.items())
    return next((f" {_shown(name)}" for name, value in fields if value is item), "")


def _shown(name: str) -> str:
    return repr(name[:_LONGEST_SHOWN])


def _check_whole_characters(text: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        half = f"\\u{ord(text[error.start]):04x}"
        raise JsonError(f"a text holds {half}, half of a surrogate pair", "write the whole character") from None
