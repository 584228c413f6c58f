"""A tubing maker's primer on barbed fittings: a bore of 0.250 in wants a barb of at least 0.270 in, which is 8 %.

Carrier read: public page, single source. A trade magazine's article on plastic barbs prints 50 % for flexible tube
over a standard single barb and 25 % for stiff tube over a low one: the published range is wide.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.formulas.fit.soft_tube import barb_interference_percent, od_on_barb_mm

INCH = 25.4


def test_least_barb_of_the_primer_stretches_by_eight_percent() -> None:
    """0.020 / 0.250 = 8.0 %."""
    assert barb_interference_percent(0.270 * INCH, 0.250 * INCH) == pytest.approx(8.0, abs=0.05)


@pytest.mark.parametrize(("limit", "percent"), [("barb-stretch-small", 8), ("barb-stretch-large-barb", 50)])
def test_limits_of_stretch_are_the_printed_ones(limit: str, percent: float, cell: Callable[[str, str], float]) -> None:
    assert cell(f"limit/{limit}", "value") == percent


def test_stretched_tube_keeps_its_area_by_hand() -> None:
    """10 x 16 mm on 10.4 mm: 16^2 - 10^2 + 10.4^2 = 264.16, whose root is 16.253."""
    assert od_on_barb_mm(10.0, 16.0, 10.4) == pytest.approx(16.253, abs=0.0005)
