"""Every figure in the name of a tube is one of its dimensions.

Owns: reading the figures of a designation. Does not own: which dimension the name means (`tube_names.py`).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

from kb.store.faults import Fault
from kb.store.typed_rows import Tables
from schemas.columns.sizes import MM_PER_INCH
from schemas.tables.tubes import NominalMeans, Tube

_FIGURE = re.compile(
    r"(?<![\w.])(?:\d{1,2} )?[1-9]\d{0,2}/[1-9]\d{0,2}|(?<![\w./])\d{1,4}(?:\.\d{1,4})?(?![\w./])", re.ASCII
)
_INCH = re.compile(r"\bin\b")
_ROUNDING_MM = 0.013  # half a thousandth of an inch: the last digit that inch tables print

CODE = "TUB-003"
PROMISE = "Every figure in the name of a tube is one of its dimensions."


def faults(tables: Tables) -> Iterator[Fault]:
    """Yield a fault for every figure in the name of an active tube that is neither bore, outside nor wall."""
    for tube in tables.active(Tube):
        if tube.nominal_means is NominalMeans.NEITHER or tube.designation is None or not _is_whole(tube):
            continue
        given = {value for value in (tube.id_mm, tube.od_mm, tube.wall_mm) if value is not None}
        is_inch = _INCH.search(tube.designation) is not None
        for figure in _FIGURE.findall(tube.designation):
            number = sum(map(Fraction, figure.split(" ")))
            named = float(number * MM_PER_INCH if is_inch or "/" in figure else number)
            if not any(abs(named - value) <= _ROUNDING_MM for value in given):
                what = f"{figure} is none of " + ", ".join(f"{value:g}" for value in sorted(given)) + " mm"
                yield tables.fault(tube, "designation", CODE, what, "correct the name or the dimensions")


def _is_whole(tube: Tube) -> bool:
    """Return whether what the name means is given and makes a tube; if not, other checks speak."""
    if tube.od_mm is None:
        return False
    has_bore = tube.id_mm is not None or tube.nominal_means is not NominalMeans.BOTH
    return has_bore and tube.od_mm > (tube.id_mm or 0) and tube.od_mm > 2 * (tube.wall_mm or 0)
