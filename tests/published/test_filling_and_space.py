"""Expansion of water, air under pressure test, patterns of fan holes and threads of screws, held against the outside.

Carriers: density of water as a second library prints it (package iapws 1.5.5, IAPWS-97, 20 to 60 degC, which
lies up to 15 millionths above IAPWS-95); linear expansion of metals and acrylic from an engineering table site and two
packages; the ideal gas law worked out for air at 0.5 bar over the surroundings and 25 degC (5.07547 mbar/K); spacings
of fan holes from the file fan.scad of a public parametric computer case (40 to 220 mm) and from a public library of
parts with a 120 mm fan (52.5 mm from middle to hole); a merchant's page (105 mm for 120 mm fans, 125 mm for 140 mm
ones); ASME B1.1 and ISO 261 for the screws.
"""

from __future__ import annotations

import math

import pytest

from kb.formulas.coolant.coolant import water_at
from kb.formulas.coolant.expansion import expansion_ml
from kb.formulas.coolant.leak_test import pressure_per_kelvin_bar
from kb.formulas.fit.fan_screws import thread_diameter_mm
from kb.store.snapshot import Snapshot
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator, ScrewThread

DENSITY_BY_ANOTHER_LIBRARY = {20: 998.2061, 40: 992.2243, 50: 988.0475, 60: 983.2106}
HOLE_SPACINGS = {220: 170, 200: 154, 140: 124.5, 120: 105, 92: 83, 80: 72}
LINEAR_EXPANSION_PER_K = {"copper": 16.7e-6, "brass": 21e-6, "acrylic": 75e-6}


@pytest.mark.parametrize("hot", [40, 50, 60])
def test_a_litre_of_water_grows_as_another_library_says(hot: int) -> None:
    ours = expansion_ml(1000, water_at(20.0).density_kg_per_m3, water_at(float(hot)).density_kg_per_m3)
    theirs = 1000 * (DENSITY_BY_ANOTHER_LIBRARY[20] / DENSITY_BY_ANOTHER_LIBRARY[hot] - 1)
    assert ours == pytest.approx(theirs, abs=0.02)


def test_parts_grow_less_than_the_water_in_them_so_stiff_walls_are_the_safe_side() -> None:
    water = expansion_ml(1000, water_at(20.0).density_kg_per_m3, water_at(40.0).density_kg_per_m3)
    for material, per_kelvin in LINEAR_EXPANSION_PER_K.items():
        inside = 1000 * ((1 + per_kelvin * 20) ** 3 - 1)
        assert 0 < inside < water, material


def test_a_kelvin_moves_the_needle_as_the_gas_law_says() -> None:
    assert pressure_per_kelvin_bar(0.5, 25.0) * 1000 == pytest.approx(5.07547, abs=6e-6)


def test_holes_of_fans_and_radiators_stand_as_public_designs_have_them(snapshot: Snapshot) -> None:
    fans = {row.fan_size_mm: row.hole_spacing_mm for row in snapshot.active(Fan)}
    radiators = {row.fan_size_mm: row.fan_hole_spacing_mm for row in snapshot.active(Radiator)}
    for size in (120, 140, 200):
        assert fans[size] == HOLE_SPACINGS[size]
    assert radiators == {size: fans[size] for size in radiators}
    assert fans[120] == 2 * 52.5


def test_holes_lie_inside_the_frame_and_outside_the_blades(snapshot: Snapshot) -> None:
    for row in snapshot.active(Fan):
        assert row.hole_spacing_mm < row.fan_size_mm
        assert row.hole_spacing_mm * math.sqrt(2) > row.blade_diameter_mm, row.id


def test_a_number_six_screw_is_138_thousandths_of_an_inch_thick() -> None:
    assert thread_diameter_mm(ScrewThread.UNC_6_32) == pytest.approx(0.138 * 25.4)
