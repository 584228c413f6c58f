"""Addresses that will go, announced in every answer of theirs (RFC 9745 Deprecation, RFC 8594 Sunset).

Owns: the list of them and their headers. Does not own: the addresses. A deprecated address works as before until its
sunset; the first number of the API's version grows when it goes.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from email.utils import format_datetime

from api.http.responses.response_cache import HeaderList


@dataclass(frozen=True, slots=True)
class Deprecation:
    """One address that will go.

    Attributes:
        method: GET or POST.
        path: path template of the address, as the description has it.
        since: day from which it should not be used any more.
        sunset: day on which it goes; `None` if that is not fixed.
        successor: path template of what to use instead; empty if there is nothing.
    """

    method: str
    path: str
    since: date
    sunset: date | None = None
    successor: str = ""

    def headers(self) -> HeaderList:
        """Return the headers that announce it.

        Source: RFC 9745, section 2 (a structured date); RFC 8594, section 3 (an HTTP date).

        >>> Deprecation("GET", "/v1/old", date(2027, 1, 1), date(2027, 7, 1), "/v2/new").headers()[0]
        (b'deprecation', b'@1798761600')
        """
        links = ['</openapi.json>; rel="deprecation"; type="application/json"']
        links += [f'<{self.successor}>; rel="successor-version"'] if self.successor else []
        headers = [(b"deprecation", b"@%d" % int(_midnight(self.since).timestamp()))]
        if self.sunset is not None:
            headers.append((b"sunset", format_datetime(_midnight(self.sunset), usegmt=True).encode()))
        return [*headers, (b"link", ", ".join(links).encode())]


DEPRECATED: tuple[Deprecation, ...] = ()


def _midnight(day: date) -> datetime:
    return datetime(day.year, day.month, day.day, tzinfo=UTC)
