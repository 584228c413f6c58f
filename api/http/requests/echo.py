"""What is sent back of an asker's own words: short enough, whatever was asked.

Owns: how much is echoed. Does not own: the sentences around it (`api/http/requests/field_errors.py`,
`api/http/problems/problems.py`).
"""

from __future__ import annotations

LONGEST_ECHO = 80


def clipped(text: str, longest: int = LONGEST_ECHO) -> str:
    """Return text from the asker, short enough to be sent back.

    >>> clipped("abcdef", 4)
    'abc…'
    """
    return text if len(text) <= longest else text[: longest - 1] + "…"
