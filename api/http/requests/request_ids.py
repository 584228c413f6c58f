"""The name of one request, by which asker and operator speak of the same one.

Owns: taking a sane name from the asker, or making one. Does not own: where it is written
(`api/http/responses/middleware.py`).
"""

from __future__ import annotations

import re
import secrets
from itertools import count

HEADER = "X-Request-ID"
FORM = r"^[A-Za-z0-9][A-Za-z0-9._:+/=@-]{0,99}$"
_SANE = re.compile(FORM.encode().replace(b"$", b"\\Z"))


class RequestIds:
    """Makes names that no other request of any process has, short and without meaning."""

    def __init__(self) -> None:
        self._process = secrets.token_hex(6)
        self._numbers = count(1)

    def name(self, given: bytes | None) -> bytes:
        """Return the name of a request: the one that came with it if it is sane, a new one otherwise.

        Args:
            given: value of the asker's header, `None` if there was none.

        >>> ids = RequestIds()
        >>> ids.name(b"order-7"), ids.name(b"<script>") != ids.name(None)
        (b'order-7', True)
        """
        if given is not None and _SANE.match(given):
            return given
        return f"{self._process}-{next(self._numbers):x}".encode()
