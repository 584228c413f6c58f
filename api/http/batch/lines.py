"""A body in pieces as lines, whatever the pieces and however long the lines.

Owns: cutting bytes at line ends. Does not own: what stands in a line, or where pieces come from
(`api/http/batch/request_stream.py`).
"""

from __future__ import annotations


class LineCutter:
    """Cuts pieces of bytes into lines. Of a line that is too long only the fact is kept, so memory stays bounded.

    >>> cutter = LineCutter(longest=5)
    >>> cutter.feed(b"one\\nt"), cutter.feed(b"wo\\nmuch too long"), cutter.feed(b"\\nend"), cutter.end()
    ([b'one'], [b'two'], [None], [b'end'])
    """

    def __init__(self, longest: int) -> None:
        self._longest = longest
        self._rest = bytearray()
        self._is_too_long = False

    def feed(self, piece: bytes) -> list[bytes | None]:
        """Return the lines that a piece completes, without their ends; `None` for a line that is too long."""
        *ended, rest = piece.split(b"\n")
        lines = [self._completed(part) for part in ended]
        self._take(rest)
        return lines

    def end(self) -> list[bytes | None]:
        """Return the last line if no line end closed it."""
        return [self._completed(b"")] if self._rest or self._is_too_long else []

    def _completed(self, part: bytes) -> bytes | None:
        self._take(part)
        line = None if self._is_too_long else bytes(self._rest)
        self._rest.clear()
        self._is_too_long = False
        return line

    def _take(self, part: bytes) -> None:
        if self._is_too_long or len(self._rest) + len(part) > self._longest:
            self._is_too_long = True
            self._rest.clear()
        else:
            self._rest += part
