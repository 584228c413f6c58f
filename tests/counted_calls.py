"""Work, counted where no clock can be trusted."""

from __future__ import annotations

import sys
from collections.abc import Callable


def calls_of(act: Callable[[], object]) -> int:
    """Return how many functions are called, in Python and in C."""
    calls = 0

    def note(_frame: object, event: str, _argument: object) -> None:
        nonlocal calls
        calls += event in ("call", "c_call")

    sys.setprofile(note)
    try:
        act()
    finally:
        sys.setprofile(None)
    return calls
