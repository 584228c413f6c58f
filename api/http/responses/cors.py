"""Which pages of other origins may read answers in a browser (the fetch standard's CORS protocol).

Owns: what is allowed to whom. Does not own: the protocol (Starlette's middleware), or which origins are let in
(`api/http/settings.py`); usually none is.
"""

from __future__ import annotations

from starlette.middleware import Middleware
from starlette.middleware.cors import CORSMiddleware

KEEP_PREFLIGHT_S = 600
_METHODS = ("GET", "HEAD", "POST", "OPTIONS")
_MAY_SEND = ("Accept", "Content-Type", "If-None-Match", "Wetted-Version", "X-Request-ID")
_MAY_READ = (
    *("Content-Disposition", "Deprecation", "ETag", "Link", "Retry-After", "Sunset"),
    *("Wetted-Version", "X-Request-ID"),
)


def cors(origins: tuple[str, ...]) -> list[Middleware]:
    """Return the middleware that lets pages of some origins read answers; none if no origin is let in.

    Args:
        origins: such as `https://example.org`; `*` = all.
    """
    if not origins:
        return []
    return [
        Middleware(
            CORSMiddleware,
            allow_origins=origins,
            allow_methods=_METHODS,
            allow_headers=_MAY_SEND,
            expose_headers=_MAY_READ,
            max_age=KEEP_PREFLIGHT_S,
        )
    ]
