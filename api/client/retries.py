"""When a question is asked again, and after how long.

Owns: that decision. Does not own: asking (`api/client/sync_client.py`, `api/client/async_client.py`).
Asking twice does no harm: questions change nothing.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from http import HTTPStatus

import httpx2

BROKEN = (httpx2.NetworkError, httpx2.ConnectTimeout, httpx2.RemoteProtocolError)  # a slow answer is not asked again
_RETRY_AFTER = "retry-after"


@dataclass(frozen=True, slots=True)
class Retries:
    """How patient a client is with a service that is not there or busy.

    Attributes:
        most: how often a question is asked again.
        first_wait_s: wait before the first time; it doubles every time, and is shortened by chance down to its half.
        longest_wait_s: no wait is longer, whatever the service asks for.
    """

    most: int = 4
    first_wait_s: float = 0.25
    longest_wait_s: float = 10.0

    def wait_s(self, failed: int, response: httpx2.Response | None = None) -> float | None:
        """Return how long to wait before asking again; `None` = do not ask again.

        Args:
            failed: how often it failed so far, this time included.
            response: the answer, if there was one; only 503 is asked again.
        """
        if failed > self.most or (response is not None and response.status_code != HTTPStatus.SERVICE_UNAVAILABLE):
            return None
        wait: float = self.first_wait_s * 2 ** (failed - 1) * random.uniform(0.5, 1)
        wished = response.headers.get(_RETRY_AFTER, "") if response is not None else ""
        if wished.isdecimal():
            wait = max(wait, float(wished[:6]))
        return min(wait, self.longest_wait_s)
