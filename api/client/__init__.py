"""The service as a python program sees it: the same questions and answers as in process, over HTTP.

Owns: `Client`, `AsyncClient` and their errors. Does not own: any answer. Needs httpx2 (`pip install wetted[client]`).
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from api.client.async_client import AsyncClient
from api.client.calls import BatchEntry
from api.client.errors import NoAnswerError, RefusedError
from api.client.retries import Retries
from api.client.sync_client import Client

if TYPE_CHECKING:
    from schemas.interface import Answers

    _ANSWERS: type[Answers] = Client

__all__ = ["AsyncClient", "BatchEntry", "Client", "NoAnswerError", "RefusedError", "Retries"]
