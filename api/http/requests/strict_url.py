"""The address of a request, read without guessing.

Owns: path and query string as sent -> text, and what is refused on the way. Does not own: routing, or the meaning
of parameters.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from urllib.parse import unquote_to_bytes

from pydantic import BeforeValidator
from pydantic_core import PydanticKnownError

from api.http.problems.problem_kinds import MALFORMED_URL, REPEATED_PARAMETER, UNKNOWN_PARAMETER
from api.http.problems.problems import ProblemError
from api.http.requests.echo import clipped
from api.http.requests.field_errors import MOST_PROBLEMS
from api.http.requests.field_names import nearest_names
from schemas.answers.problems import FieldProblem
from schemas.columns.number_text import number_in, whole_in

_BROKEN_ESCAPE = re.compile(rb"%(?![0-9A-Fa-f]{2})")
_PLAIN = re.compile(rb"[A-Za-z0-9/._~:,-]*+")  # stands for itself
_CONTROL = re.compile("[\x00-\x1f\x7f]")


def check_path(raw_path: bytes) -> None:
    """Refuse a path that cannot be read as text.

    Args:
        raw_path: the path as it was sent, percent-encoded.

    Raises:
        ProblemError: if an escape is broken, the bytes are not UTF-8, or a control character is among them.
    """
    _text(raw_path, "path")


def read_query(query_string: bytes) -> dict[str, str]:
    """Return the query parameters by name.

    Args:
        query_string: the query as it was sent, without the question mark.

    Raises:
        ProblemError: if it cannot be read as text, or a name stands there twice.

    >>> read_query(b"words=3%2F8+in&limit=5")
    {'words': '3/8 in', 'limit': '5'}
    """
    parameters: dict[str, str] = {}
    for pair in filter(None, query_string.split(b"&")):
        raw_name, _, raw_value = pair.replace(b"+", b" ").partition(b"=")
        name = _text(raw_name, "query string")
        if name in parameters:
            error = FieldProblem(field=clipped(name), what="the parameter stands there twice", fix="keep one")
            raise ProblemError(REPEATED_PARAMETER, errors=[error])
        parameters[name] = _text(raw_value, name)
    return parameters


def number_or_text(text: str) -> float | str:
    """Return the number that a parameter's text writes as JSON would; any other text as it is.

    >>> number_or_text("45"), number_or_text("1e-3"), number_or_text("4_5"), number_or_text("NaN")
    (45.0, 0.001, '4_5', 'NaN')
    """
    number = number_in(text)
    return text if number is None else number


def _whole(text: str) -> int:
    number = whole_in(text)
    if number is None:
        raise PydanticKnownError("int_parsing")
    return number


WHOLE = BeforeValidator(_whole)  # of a parameter, behind its bounds: those before it are not described


def refuse_unknown(given: Mapping[str, str], known: Collection[str], open_prefix: str = "") -> None:
    """Refuse parameters that an address does not have.

    Args:
        given: the query parameters by name.
        known: names of the address's parameters.
        open_prefix: parameters that start with it are let through; none if empty.

    Raises:
        ProblemError: if there is any other parameter; the first ones are named.
    """
    unknown = [name for name in given if name not in known and not (open_prefix and name.startswith(open_prefix))]
    if unknown:
        raise ProblemError(UNKNOWN_PARAMETER, errors=[_unknown(name, known) for name in unknown[:MOST_PROBLEMS]])


def _unknown(name: str, known: Collection[str]) -> FieldProblem:
    near = nearest_names(clipped(name), sorted(known))
    fix = "use " + " or ".join(near) + ", or leave it out" if near else "leave it out"
    return FieldProblem(field=clipped(name), what="there is no such parameter here", fix=fix, nearest=near)


def _text(raw: bytes, place: str) -> str:
    if _PLAIN.fullmatch(raw):
        return raw.decode()
    if _BROKEN_ESCAPE.search(raw):
        raise _malformed(
            place, "a percent sign is not followed by two hexadecimal digits", "write %25 for a percent sign"
        )
    try:
        text = unquote_to_bytes(raw).decode("utf-8")
    except UnicodeDecodeError:
        raise _malformed(place, "the bytes are not UTF-8", "percent-encode the UTF-8 bytes") from None
    if _CONTROL.search(text):
        raise _malformed(place, "a control character stands in it", "leave control characters out")
    return text


def _malformed(place: str, what: str, fix: str) -> ProblemError:
    return ProblemError(MALFORMED_URL, errors=[FieldProblem(field=clipped(place), what=what, fix=fix)])
