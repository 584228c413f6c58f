"""Dry air against two libraries that share no code.

Carriers: package CoolProp 8.0.0 (Lemmon et al. 2000 and 2004), asked again here and held against its printed digits;
package fluids 1.3, US Standard Atmosphere 1976.
"""

from __future__ import annotations

import pytest
from CoolProp.CoolProp import PropsSI
from fluids.atmosphere import ATMOSPHERE_1976

from kb.formulas.heat.air_properties import air_at

PRESSURE = 101_325.0
PRINTED = [  # degC, density, heat capacity, viscosity, conductivity, Prandtl number
    (20.0, 1.20458, 1006.14, 1.82057e-05, 0.0258738, 0.707956),
    (25.0, 1.18432, 1006.31, 1.84481e-05, 0.0262469, 0.7073),
    (40.0, 1.12745, 1006.92, 1.91652e-05, 0.0273543, 0.705479),
]


@pytest.mark.parametrize(("celsius", "density", "capacity", "viscosity", "conductivity", "prandtl"), PRINTED)
def test_air_agrees_with_the_reference_equations(
    celsius: float, density: float, capacity: float, viscosity: float, conductivity: float, prandtl: float
) -> None:
    asked = [PropsSI(name, "T", celsius + 273.15, "P", PRESSURE, "Air") for name in ("D", "C", "V", "L")]
    assert asked == pytest.approx([density, capacity, viscosity, conductivity], rel=5e-6)
    air = air_at(celsius)
    assert air.density_kg_per_m3 == pytest.approx(density, rel=5e-4)
    assert air.heat_capacity_j_per_kg_k == pytest.approx(capacity, rel=1e-3)
    assert air.viscosity_pa_s == pytest.approx(viscosity, rel=5e-3)
    assert air.conductivity_w_per_m_k == pytest.approx(conductivity, rel=1e-2)
    assert air.prandtl == pytest.approx(prandtl, rel=1e-2)


@pytest.mark.parametrize("celsius", [0.0, 20.0, 40.0, 60.0])
def test_air_agrees_with_the_standard_atmosphere(celsius: float) -> None:
    kelvin, air = celsius + 273.15, air_at(celsius)
    assert air.density_kg_per_m3 == pytest.approx(ATMOSPHERE_1976.density(kelvin, PRESSURE), rel=1e-4)
    assert air.viscosity_pa_s == pytest.approx(ATMOSPHERE_1976.viscosity(kelvin), rel=1e-4)
    assert air.conductivity_w_per_m_k == pytest.approx(ATMOSPHERE_1976.thermal_conductivity(kelvin), rel=1e-4)
