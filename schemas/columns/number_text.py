"""Numbers as JSON writes them (RFC 8259, section 6), wherever a number comes as text: addresses, options, settings.

Owns: text -> number, for what is a number in JSON and for nothing else. Does not own: cells of tables
(`schemas/columns/columns.py`), or lengths and amounts with a unit (`schemas/columns/sizes.py`,
`schemas/columns/amounts.py`). The readers of the language take more: `1_0`, `+5`, blanks around it, digits of other
scripts, `nan`.
"""

from __future__ import annotations

import re

LONGEST_WHOLE = 400  # characters: more digits than double precision reaches
_NUMBER = re.compile(r"-?(?:0|[1-9][0-9]*)(?:\.[0-9]+)?(?:[eE][+-]?[0-9]+)?")
_WHOLE = re.compile(r"-?(?:0|[1-9][0-9]*)")


def number_in(text: str) -> float | None:
    """Return the number that a text writes, infinite if it is beyond double precision; `None` if it writes none.

    >>> number_in("45"), number_in("1e-3"), number_in("-0.5"), number_in("1e999")
    (45.0, 0.001, -0.5, inf)
    >>> [number_in(text) for text in ("1_0", "+5", " 5", "05", "5.", ".5", "0x5", "nan", "\u0665")]
    [None, None, None, None, None, None, None, None, None]
    """
    return float(text) if _NUMBER.fullmatch(text) else None


def whole_in(text: str) -> int | None:
    """Return the whole number that digits write; `None` if there is anything else, a point or an exponent too.

    >>> whole_in("45"), whole_in("-7"), whole_in("4.0"), whole_in("1e1"), whole_in("05")
    (45, -7, None, None, None)
    """
    return int(text) if len(text) <= LONGEST_WHOLE and _WHOLE.fullmatch(text) else None
