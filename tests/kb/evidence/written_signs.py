"""What the signs of the tables mean, written out for tests: the program's own table of signs is not asked."""

from __future__ import annotations

BELOW_AT_ABOVE = {
    "<": (True, False, False),
    "<=": (True, True, False),
    ">": (False, False, True),
    ">=": (False, True, True),
    "=": (False, True, False),
}
