"""In which form an answer is wanted (RFC 9110, section 12.5.1).

Owns: reading the Accept header. Does not own: the forms (the routes) or the refusal
(`api/http/problems/problem_kinds.py`).
"""

from __future__ import annotations

import re
from collections.abc import Sequence

_RANGE = re.compile(r"\s*([!#$&^_.+*\w-]+)/([!#$&^_.+*\w-]+)\s*(?:;(.*))?", re.ASCII)
_WEIGHT = re.compile(r"(?:^|;)\s*q=([01](?:\.[0-9]{0,3})?)\s*(?:;|$)", re.ASCII | re.IGNORECASE)


def preferred(accept: str, offered: Sequence[str]) -> str | None:
    """Return the media type that an Accept header likes best, `None` if it takes none of them.

    Args:
        accept: the header; empty or unreadable = anything is welcome.
        offered: media types without parameters, the usual one first; it wins a draw.

    Validity: parameters of media ranges other than the weight are not looked at.
    Source: RFC 9110, section 12.5.1.

    >>> preferred("text/html, text/*;q=0.5, */*;q=0.1", ("application/json", "text/csv"))
    'text/csv'
    >>> preferred("image/png", ("application/json", "text/csv")) is None
    True
    """
    ranges = dict(filter(None, map(_read, accept.lower().split(","))))
    if not ranges:
        return offered[0]
    best = max(offered, key=lambda one: _weight(one, ranges))
    return best if _weight(best, ranges) > 0 else None


def _read(text: str) -> tuple[str, float] | None:
    found = _RANGE.fullmatch(text)
    if found is None:
        return None
    weight = _WEIGHT.search(found[3] or "")
    return f"{found[1]}/{found[2]}", min(float(weight[1]), 1.0) if weight else 1.0


def _weight(media_type: str, ranges: dict[str, float]) -> float:
    """Return the weight of a media type, as the most specific range that covers it says."""
    covering = (media_type, media_type.partition("/")[0] + "/*", "*/*")
    return next((ranges[one] for one in covering if one in ranges), 0.0)
