"""ASTM B88, ASTM B280 and EN 1057: diameters, walls and tolerances of copper tube.

Carriers read: package bd_warehouse 0.4.0, pipe.csv (B88, types K, L and M, in inches to 0.001); public engineering
tables (B280; bore printed beside diameter and wall); product table of a copper-tube mill (EN 1057 half hard, with the
tolerance on the mean diameter); text of a copper association's leaflet (EN 1057, diameters). No paper was open.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.knowledge_base import KnowledgeBase
from kb.parts.dimensions import TolerancedDimension, toleranced_dimension
from kb.parts.resolver import Resolver
from schemas.tables.tubes import Tube

INCH = 25.4
HALF_DIGIT_IN = 0.0005
Rows = list[dict[str, str]]


def test_every_water_tube_of_the_tables_agrees_with_the_carrier(
    base: KnowledgeBase, warehouse: Callable[[str], Rows]
) -> None:
    printed = {(row["nps"], row["identifier"]): row for row in warehouse("pipe.csv") if row["material"] == "copper"}
    tubes = [row for row in base.snapshot.active(Tube) if row.family_id == "family/tube-copper-b88"]
    assert len(tubes) >= 15
    for tube in tubes:
        nominal, letter = tube.designation.split(" type ")
        row = printed[nominal, letter]
        assert tube.od_mm / INCH == pytest.approx(float(row["od"]), abs=HALF_DIGIT_IN), tube.id
        assert tube.wall_mm / INCH == pytest.approx(float(row["thickness"]), abs=HALF_DIGIT_IN), tube.id


@pytest.mark.parametrize(("nominal", "eighths"), [("1-4", 3), ("3-8", 4), ("1-2", 5), ("5-8", 6), ("3-4", 7), ("1", 9)])
def test_water_tube_is_an_eighth_of_an_inch_larger_than_its_name(
    nominal: str, eighths: int, cell: Callable[[str, str], float]
) -> None:
    """Rule printed beside Table 1 of B88: outside diameter = nominal size + 1/8 in, exactly."""
    assert cell(f"tube/copper-b88-{nominal}-l", "od_mm") == pytest.approx(eighths / 8 * INCH, abs=1e-9)


@pytest.mark.parametrize(
    ("tube", "outside", "wall", "bore"),
    [
        ("1-4-annealed", 0.250, 0.030, 0.190),
        ("3-8-annealed", 0.375, 0.032, 0.311),
        ("3-8-drawn", 0.375, 0.030, 0.315),
        ("1-2-annealed", 0.500, 0.032, 0.436),
        ("1-2-drawn", 0.500, 0.035, 0.430),
        ("5-8-annealed", 0.625, 0.035, 0.555),
        ("5-8-drawn", 0.625, 0.040, 0.545),
        ("3-4-drawn", 0.750, 0.042, 0.666),
    ],
)
def test_refrigeration_tube_is_named_by_its_outside(
    tube: str, outside: float, wall: float, bore: float, cell: Callable[[str, str], float]
) -> None:
    """The page prints the bore as well: outside less twice the wall must give it."""
    ours = (cell(f"tube/copper-b280-{tube}", "od_mm") / INCH, cell(f"tube/copper-b280-{tube}", "wall_mm") / INCH)
    assert ours == pytest.approx((outside, wall), abs=HALF_DIGIT_IN)
    assert ours[0] - 2 * ours[1] == pytest.approx(bore, abs=HALF_DIGIT_IN)


@pytest.mark.parametrize("diameter", [8, 10, 12, 14, 15, 16, 18, 22])
def test_en_1057_diameters(diameter: int, cell: Callable[[str, str], float]) -> None:
    """Leaflet of a copper association, EN 1057 Table 3."""
    assert cell(f"tube/copper-en-1057-{diameter}", "od_mm") == diameter


@pytest.mark.parametrize(
    ("size", "outside", "wall"),
    [
        ("12x0-6", 12, 0.6),
        ("12x0-8", 12, 0.8),
        ("15x0-7", 15, 0.7),
        ("15x1", 15, 1.0),
        ("22x0-9", 22, 0.9),
        ("22x1-2", 22, 1.2),
    ],
)
def test_en_1057_stocked_sizes(size: str, outside: float, wall: float, cell: Callable[[str, str], float]) -> None:
    """Mill's product table, half hard; walls printed to 0.1 mm."""
    assert cell(f"tube/copper-en-1057-{size}", "od_mm") == outside
    assert cell(f"tube/copper-en-1057-{size}", "wall_mm") == pytest.approx(wall, abs=0.05)


@pytest.mark.parametrize(
    ("tube", "deviation", "half_digit"),
    [
        ("tube/copper-en-1057-12x1", 0.04, 0.005),
        ("tube/copper-en-1057-15x1", 0.04, 0.005),
        ("tube/copper-en-1057-22x1", 0.05, 0.005),
        ("tube/copper-b280-1-2-drawn", 0.001 * INCH, 0.0005 * INCH),
        ("tube/copper-b280-5-8-drawn", 0.001 * INCH, 0.0005 * INCH),
    ],
)
def test_tolerance_on_the_mean_outside_diameter(
    tube: str, deviation: float, half_digit: float, base: KnowledgeBase
) -> None:
    """EN 1057 Table 4 through the mill's table; ASTM B280-20 Table 1, drawn, through a text copy."""
    element = Resolver(base.snapshot).archetype(tube, "tube").elements[0]
    dimension = toleranced_dimension(base.snapshot, element, "od_mm")
    assert isinstance(dimension, TolerancedDimension)
    deviations = (dimension.nominal - dimension.low, dimension.high - dimension.nominal)
    assert deviations == pytest.approx((deviation, deviation), abs=half_digit)
