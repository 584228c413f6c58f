"""Which pages of other origins may read answers in a browser (the fetch standard's CORS protocol).

Owns: the headers and the answer to a preflight. Does not own: which origins are let in (`api/http/settings.py`);
usually none is.
"""

from __future__ import annotations

from api.http.responses.ready_answers import HeaderList

ANY = "*"
KEEP_PREFLIGHT_S = 600
_METHODS = b"GET, HEAD, POST, OPTIONS"
_MAY_SEND = b"Accept, Content-Type, If-None-Match, Wetted-Version, X-Request-ID"
_MAY_READ = b"Content-Disposition, Deprecation, ETag, Link, Retry-After, Sunset, Wetted-Version, X-Request-ID"


class Origins:
    """The origins that are let in. Nothing here depends on who asks beyond the origin: no cookie is ever read."""

    def __init__(self, allowed: tuple[str, ...]) -> None:
        self._any = ANY in allowed
        self._allowed = frozenset(one.encode() for one in allowed)

    def headers(self, origin: bytes | None) -> HeaderList:
        """Return what an answer has to say so that a page may read it; nothing if it may not.

        Args:
            origin: the Origin header of the request, `None` if there was none.
        """
        if not self._allowed:
            return []
        if self._any:
            return [(b"access-control-allow-origin", b"*"), (b"access-control-expose-headers", _MAY_READ)]
        vary = [(b"vary", b"Origin")]
        if origin is None or origin not in self._allowed:
            return vary
        return [*vary, (b"access-control-allow-origin", origin), (b"access-control-expose-headers", _MAY_READ)]

    def preflight(self, origin: bytes | None) -> HeaderList:
        """Return the answer to a page that asks whether it may ask; it says nothing of origins that may not."""
        headers = self.headers(origin)
        if not any(name == b"access-control-allow-origin" for name, _ in headers):
            return headers
        may = [(b"access-control-allow-methods", _METHODS), (b"access-control-allow-headers", _MAY_SEND)]
        return [*headers, *may, (b"access-control-max-age", str(KEEP_PREFLIGHT_S).encode())]
