"""JSON as RFC 8259 means it: nothing lost, nothing guessed, no matter how hostile.

Owns: bytes -> JSON value, and everything that is refused on the way. Does not own: where the bytes come from
(`api/http/request_body.py`, `api/cli/arguments.py`) or what the value means.
"""

from __future__ import annotations

import json
import math
from typing import Any, NoReturn

from schemas.mendable import MendableError

DEEPEST = 32
_LONGEST_NAME_SHOWN = 40
_LARGEST_EXACT = 2**53  # beyond it, double precision skips whole numbers


class JsonError(MendableError):
    """Bytes that are not JSON we accept."""


def parse_json(body: bytes) -> Any:
    """Return the JSON value that the bytes hold.

    Args:
        body: JSON text in UTF-8 without a byte-order mark.

    Raises:
        JsonError: if the bytes are no JSON text, nest deeper than `DEEPEST`, name a field twice in one object, or hold
            a number beyond double precision's range or half of a surrogate pair.

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
            parse_int=_whole,
        )
    except UnicodeDecodeError as error:
        raise JsonError(f"byte {error.start} of the JSON text is not UTF-8", "write it in UTF-8") from None
    except json.JSONDecodeError as error:
        place = f"line {error.lineno}, column {error.colno}"
        raise JsonError(f"the JSON text stops being JSON at {place}", "mend the JSON there") from None
    except RecursionError:
        raise _too_deep() from None
    _check_inside(value)
    return value


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    made = dict(pairs)
    if len(made) < len(pairs):
        seen: set[str] = set()
        name = next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
        raise JsonError(f"the name {name[:_LONGEST_NAME_SHOWN]!r} stands twice in one object", "keep one of the two")
    return made


def _no_constant(text: str) -> NoReturn:
    raise JsonError(f"{text} is not a JSON number", "write a finite number, or leave the field out")


def _finite(text: str) -> float:
    value = float(text)
    if math.isinf(value):
        raise JsonError(f"the number {text[:_LONGEST_NAME_SHOWN]} is too large", "write a finite number")
    return value


def _number(text: str) -> float | int:
    """Return a number with a point or exponent; JSON has one sort of number, so 5.0 and 5e0 are the whole number 5."""
    value = _finite(text)
    return int(value) if value.is_integer() and abs(value) < _LARGEST_EXACT else value


def _whole(text: str) -> int:
    _finite(text)
    return int(text)


def _too_deep() -> JsonError:
    return JsonError(f"the JSON text nests deeper than {DEEPEST} levels", "nest less")


def _check_inside(value: Any) -> None:
    """Refuse half surrogate pairs and deep nesting, without recursion."""
    level = [value]
    for _ in range(DEEPEST + 1):
        inner: list[Any] = []
        for item in level:
            if isinstance(item, str):
                _check_whole_characters(item)
            elif isinstance(item, dict):
                inner += item
                inner += item.values()
            elif isinstance(item, list):
                inner += item
        if not inner:
            return
        level = inner
    raise _too_deep()


def _check_whole_characters(text: str) -> None:
    try:
        text.encode("utf-8")
    except UnicodeEncodeError as error:
        half = f"\\u{ord(text[error.start]):04x}"
        raise JsonError(f"a text holds {half}, half of a surrogate pair", "write the whole character") from None
