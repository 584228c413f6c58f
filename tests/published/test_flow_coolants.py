"""Water by IAPWS and glycols by Melinder (2010), against values of other implementations.

Water: iapws 1.5.5 prints the same to some parts in a million (heat capacity by the industrial formulation: 0.05 %), and
CoolProp, another implementation of the same releases, gives it to ten digits. Glycols: the SecCool fit of the same
book, up to some 3 % apart in viscosity, 1 % in heat capacity and 0.2 % in density and conductivity.
"""

from __future__ import annotations

import pytest

from kb.formulas.coolant.coolant import CoolantError, glycol_at, water_at
from kb.formulas.coolant.glycol import library_core

WATER = [
    (20.0, 998.2061, 1.001597, 4184.794, 0.598011),
    (25.0, 997.0480, 0.8900224, 4181.896, 0.6065166),
    (30.0, 995.6521, 0.7972217, 4180.020, 0.6143954),
    (40.0, 992.2243, 0.6527310, 4178.553, 0.6284953),
    (50.0, 988.0475, 0.5465220, 4179.554, 0.6406360),
    (60.0, 983.2106, 0.4660432, 4182.764, 0.6510180),
]
GLYCOLS = [
    ("ethylene-glycol", 10.0, 20.0, 1011.76, 1.27438, 4066.22, 0.552774),
    ("ethylene-glycol", 20.0, 40.0, 1017.23, 1.04421, 3966.22, 0.528785),
    ("ethylene-glycol", 30.0, 30.0, 1034.30, 1.65277, 3767.87, 0.474249),
    ("propylene-glycol", 30.0, 30.0, 1019.34, 2.15843, 3923.92, 0.452027),
]


@pytest.mark.parametrize(("temperature", "density", "viscosity", "capacity", "conductivity"), WATER)
def test_water(temperature: float, density: float, viscosity: float, capacity: float, conductivity: float) -> None:
    water = water_at(temperature)
    assert water.density_kg_per_m3 == pytest.approx(density, rel=3e-5)
    assert water.dynamic_viscosity_mpa_s == pytest.approx(viscosity, rel=3e-5)
    assert water.heat_capacity_j_per_kg_k == pytest.approx(capacity, rel=6e-4)
    assert water.thermal_conductivity_w_per_m_k == pytest.approx(conductivity, rel=5e-5)


@pytest.mark.parametrize("temperature", [0.01, 4.0, 20.0, 37.3, 60.0, 99.9])
def test_water_is_that_of_another_library(temperature: float) -> None:
    water, library = water_at(temperature), library_core()
    for name, value in (
        ("D", water.density_kg_per_m3),
        ("V", water.dynamic_viscosity_mpa_s / 1e3),
        ("C", water.heat_capacity_j_per_kg_k),
        ("L", water.thermal_conductivity_w_per_m_k),
    ):
        asked = library.PropsSI(name, "T", temperature + 273.15, "P", 101_325.0, "Water")
        assert value == pytest.approx(asked, rel=1e-10)


@pytest.mark.parametrize(
    ("glycol", "share", "temperature", "density", "viscosity", "capacity", "conductivity"), GLYCOLS
)
def test_glycol(
    glycol: str,
    share: float,
    temperature: float,
    density: float,
    viscosity: float,
    capacity: float,
    conductivity: float,
) -> None:
    mixture = glycol_at(glycol, share, temperature)
    assert mixture.density_kg_per_m3 == pytest.approx(density, rel=2e-3)
    assert mixture.dynamic_viscosity_mpa_s == pytest.approx(viscosity, rel=0.031)
    assert mixture.heat_capacity_j_per_kg_k == pytest.approx(capacity, rel=0.0105)
    assert mixture.thermal_conductivity_w_per_m_k == pytest.approx(conductivity, rel=2e-3)


def test_no_glycol_is_water() -> None:
    assert glycol_at("propylene-glycol", 0.0, 30.0) == water_at(30.0)


@pytest.mark.parametrize("temperature", [5.0, 30.0, 60.0])
def test_a_trace_of_glycol_lies_between_water_and_the_thinnest_mixture(temperature: float) -> None:
    shares = (0.0, 1e-6, 0.01, 0.5, 0.999, 1.0, 1.5)
    viscosities = [glycol_at("propylene-glycol", one, temperature).dynamic_viscosity_mpa_s for one in shares]
    assert viscosities == sorted(viscosities)


@pytest.mark.parametrize("temperature", [-5.0, 0.0, 100.0, 120.0])
def test_water_that_is_no_liquid_is_refused(temperature: float) -> None:
    with pytest.raises(CoolantError) as refused:
        water_at(temperature)
    assert refused.value.temperature_c == temperature


def test_glycol_beyond_the_library_is_refused() -> None:
    with pytest.raises(CoolantError) as refused:
        glycol_at("propylene-glycol", 80.0, 30.0)
    assert refused.value.mass_percent == 80
