"""How requests are framed on the wire: the grammar of heads and chunks, held to the letter.

Owns: where a head or the line before a chunk ends, what it says of the body behind it, and what is wrong with it. Does
not own: connections (`api/http/server/guard.py`) or what a request asks.
Source: RFC 9112, sections 2 to 7. Whatever two programs might read differently is refused: folded lines, bare line
ends, Content-Length beside Transfer-Encoding or told twice, several hosts, codings other than chunked, trailer fields.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from api.http.problems.problem_kinds import BODY_TOO_LARGE, MALFORMED_REQUEST, URL_TOO_LONG
from api.http.problems.problems import ProblemError

LONGEST_TARGET = 65_535  # what the parser behind the guard takes [bytes]
_TOKEN = rb"[!#$%&'*+\-.^_`|~0-9A-Za-z]"
_TEXT = rb"[\t\x20-\x7e\x80-\xff]"
_FIELDS = rb"(?:%b++:%b*+\r\n)*+" % (_TOKEN, _TEXT)
_QUOTED = rb'"(?:[\t\x20!\x23-\x5b\x5d-\x7e\x80-\xff]|\\%b)*+"' % _TEXT
_EXTENSIONS = rb"(?:[ \t]*+;[ \t]*+%b++(?:[ \t]*+=[ \t]*+(?:%b++|%b))?+)*+" % (_TOKEN, _TOKEN, _QUOTED)

_HEAD = re.compile(
    rb"(?:\r\n)*+((?:GET|HEAD|POST|PUT|DELETE|OPTIONS|TRACE|PATCH) )"
    rb"(?:(?i:https?)://[^\x00-\x20/?#\x7f-\xff]++)?+"
    rb"((?:/[\x21\x22\x24-\x7e]{0,%d}+|(?<=OPTIONS )\*) HTTP/1\.([01])\r\n%b\r\n)" % (LONGEST_TARGET - 1, _FIELDS)
)
_OTHERS = rb"(?:(?!(?i:host|content-length|transfer-encoding|upgrade):)%b++:%b*+\r\n)*+" % (_TOKEN, _TEXT)
_QUESTION = re.compile(  # as nearly all are: no body, one host, no wish for another protocol
    rb"GET /[\x21\x22\x24-\x7e]{0,%d}+ HTTP/1\.[01]\r\n%b(?i:host):%b*+\r\n%b\r\n"
    % (LONGEST_TARGET - 1, _OTHERS, _TEXT, _OTHERS)
)
_HEAD_END = re.compile(rb"\n(?:(?<=[^\r\n]\n)|(?<=[^\r\n]\r\n))\r?\n")
_FRAMING = re.compile(rb"\n(?=[HCTU])(HOST|CONTENT-LENGTH|TRANSFER-ENCODING|UPGRADE):[ \t]*+(.*)\r", re.IGNORECASE)
_UPGRADE = re.compile(rb"(?<=\n)UPGRADE:.*\n", re.IGNORECASE)
_LENGTH = re.compile(rb"[0-9]{1,18}")
_CHUNK = re.compile(rb"\r\n([0-9A-Fa-f]{1,16})%b\r\n" % _EXTENSIONS)


class Head(NamedTuple):
    """The head of a request.

    Attributes:
        size: how much it took on the wire [bytes].
        text: the head to pass on: its target is a path, and it wishes for no other protocol.
        length: length of the body [bytes], as far as the head tells it.
        is_chunked: whether the body comes in chunks.
    """

    size: int
    text: bytes
    length: int
    is_chunked: bool


class Chunk(NamedTuple):
    """What stands between the data of two chunks, or behind the last one.

    Attributes:
        size: how much it took on the wire [bytes].
        length: length of the data that follows [bytes]; 0 ends the body.
    """

    size: int
    length: int


def read_head(received: bytearray, most: int) -> Head | None:
    """Return the head with which received bytes begin, `None` while its end has not come.

    Args:
        received: bytes from the beginning of a request.
        most: how long a head may be [bytes].

    Raises:
        ProblemError: if no head begins so, it is too long, or what it says of its body may be read in several ways.

    >>> read_head(bytearray(b"GET http://x/y HTTP/1.1\\r\\nHost: x\\r\\n\\r\\nrest"), 100)
    Head(size=36, text=b'GET /y HTTP/1.1\\r\\nHost: x\\r\\n\\r\\n', length=0, is_chunked=False)
    """
    is_ended = b"\n\r\n" in received
    if is_ended and (found := _QUESTION.match(received, 0, most)) is not None:
        return Head(found.end(), found[0], 0, False)
    found = _HEAD.match(received, 0, most) if is_ended else None
    if found is None:
        if _HEAD_END.search(received, 0, most):
            raise broken("The request line or a header does not follow the grammar of HTTP/1.1.")
        if len(received) >= most:
            raise _too_long(received, most)
        return None
    method, rest, minor = found.groups()
    fields = _FRAMING.findall(rest)
    told = [(name.lower(), value.rstrip()) for name, value in fields]
    length, is_chunked = _framing([one for one in told if one[0] != b"upgrade"], minor == b"1")
    return Head(found.end(), method + _UPGRADE.sub(b"", rest), length, is_chunked)


def _too_long(received: bytearray, most: int) -> ProblemError:
    """Return what is wrong with a head of too many bytes: its address, if the request line alone has them."""
    limit = f"The request line and headers may have {most} bytes."
    begun = received[:most].lstrip(b"\r\n")
    is_address = bool(begun) and b"\n" not in begun
    return ProblemError(URL_TOO_LONG, limit) if is_address else broken(limit)


def _framing(fields: list[tuple[bytes, bytes]], is_present: bool) -> tuple[int, bool]:
    """Return length of the body and whether it comes in chunks, as some fields of HTTP/1.1, or else 1.0, tell it."""
    reported = dict(fields)
    if len(reported) < len(fields):
        raise broken("Host, Content-Length and Transfer-Encoding may stand there once each.")
    if is_present and b"host" not in reported:
        raise broken("The request names no Host.")
    if b"transfer-encoding" not in reported:
        length = reported.get(b"content-length", b"0")
        if not _LENGTH.fullmatch(length):
            raise broken("Content-Length is not a number of bytes.")
        return int(length), False
    if b"content-length" in reported:
        raise broken("Content-Length and Transfer-Encoding contradict each other; send one of them.")
    if reported[b"transfer-encoding"].lower() != b"chunked" or not is_present:
        raise broken("The only Transfer-Encoding read here is chunked, in HTTP/1.1.")
    return 0, True


def read_chunk(received: bytearray, most: int, most_data: int) -> Chunk | None:
    """Return the line before a chunk, with the line end behind the data before it; `None` while its end has not come.

    Args:
        received: bytes from the end of a chunk's data; a line end before the first chunk.
        most: how long the line may be [bytes].
        most_data: how long a chunk may be [bytes].

    Raises:
        ProblemError: if no such line begins so, it is too long, its chunk is too large, or fields follow the last one.

    >>> read_chunk(bytearray(b"\\r\\n1f;name=value\\r\\n..."), 100, 100)
    Chunk(size=17, length=31)
    >>> read_chunk(bytearray(b"\\r\\n0\\r\\n\\r\\n"), 100, 100)
    Chunk(size=7, length=0)
    """
    found = _CHUNK.match(received, 0, most)
    if found is None:
        if received.count(b"\n", 0, most) > 1 or not b"\r\n".startswith(received[:2]):
            raise broken(
                "A chunk of the body does not begin with its size in hexadecimal or does not end where it should."
            )
        _require_room(len(received), most)
        return None
    length = int(found[1], 16)
    if length > most_data:
        raise ProblemError(BODY_TOO_LARGE, f"A chunk may have {most_data} bytes.")
    if length:
        return Chunk(found.end(), length)
    end = bytes(received[found.end() : found.end() + 2])
    if not b"\r\n".startswith(end):
        raise broken("Trailer fields behind the last chunk are not read here.")
    _require_room(found.end() + len(end), most)
    return Chunk(found.end() + len(end), 0) if len(end) == len(b"\r\n") else None


def _require_room(size: int, most: int) -> None:
    if size >= most:
        raise broken("Sizes and extensions of chunks take too much beside the data; send larger chunks.")


def broken(detail: str) -> ProblemError:
    """Return that a request breaks the rules of HTTP.

    Args:
        detail: which rule.
    """
    return ProblemError(MALFORMED_REQUEST, detail)
