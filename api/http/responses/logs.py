"""The log: one JSON object a line on standard error.

Owns: the form of the lines, and the line of a request. Does not own: what is logged elsewhere, or what is counted
(`api/http/responses/metrics.py`). A line holds no body, no address of a client and no text of a question, only its
digest.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import logging
import os
import sys
from datetime import UTC, datetime
from typing import TypeAlias

_DIGEST_BYTES = 8
_LONGEST_METHOD = 20
_STANDARD_ERROR = 2

Pieces: TypeAlias = tuple[bytes, ...]


class JsonLines(logging.Formatter):
    """Formats what any part of the service logs."""

    def format(self, record: logging.LogRecord) -> str:
        """Return a record as one line."""
        reported = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "event": _event(record.name),
            "message": record.getMessage(),
        }
        if record.exc_info:
            reported["trace"] = self.formatException(record.exc_info)
        return json.dumps(reported)


def _event(logger: str) -> str:
    """Return who says something; the server's own words come under one name, whether they are errors or not."""
    return "server" if logger.partition(".")[0] == "uvicorn" else logger


def configure_logs() -> None:
    """Let everything that is logged in this process come out as JSON lines on standard error."""
    handler = logging.StreamHandler(sys.stderr)
    handler.setFormatter(JsonLines())
    logging.basicConfig(level=logging.INFO, handlers=[handler], force=True)


def question_digest(pieces: Pieces) -> str:
    """Return a fingerprint of a question, by which the same one is known again.

    Args:
        pieces: path, query string and whatever else the answer depends on, as they were sent.

    >>> question_digest((b"/v1/pair", b"a=x&b=y", b""))
    'bc0b34f964ed0b5e'
    """
    return hashlib.blake2b(b"\0".join(pieces), digest_size=_DIGEST_BYTES).hexdigest()


class RequestLog:
    """Writes one line a request, past the logging machinery, which takes longer than many an answer."""

    def __init__(self, file: int = _STANDARD_ERROR) -> None:
        self._file = file

    def write(
        self, request_id: str, method: str, route: str, status: int, seconds: float, question: Pieces, kb_version: str
    ) -> None:
        """Write the line of a request.

        Args:
            request_id: its name, which holds no quotation mark (`api/http/requests/request_ids.py`).
            method: its method.
            route: path template; empty if there is none.
            status: HTTP status code of the answer.
            seconds: time from the request's head to the end of its answer [s].
            question: what `question_digest` takes; empty if the question was too large to be kept.
            kb_version: version of the tables that answered.
        """
        time = datetime.now(UTC).isoformat(timespec="milliseconds")
        method = method[:_LONGEST_METHOD] if method.isascii() and method.isalpha() else "other"
        digest = question_digest(question) if question else ""
        line = (
            f'{{"time": "{time}", "level": "info", "event": "request", "request_id": "{request_id}", '
            f'"method": "{method}", "route": "{route}", "status": {status}, "ms": {seconds * 1e3:.3f}, '
            f'"question": "{digest}", "kb_version": "{kb_version}"}}\n'
        )
        with contextlib.suppress(OSError):  # nobody reads the log: answers matter more
            os.write(self._file, line.encode())
