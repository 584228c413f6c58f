"""Friction of smooth and rough pipes: Churchill (1977), Colebrook (1939), Haaland, Blasius, Hagen-Poiseuille.

Carriers: own arithmetic of Churchill's formula, written out below; Colebrook's and Haaland's factors as computed by
package fluids 1.3.1 and by own iteration, which agree to six digits. None of the papers was opened.
Churchill's formula is one curve for all regimes; it is known to lie within some two percent of Colebrook's.
"""

from __future__ import annotations

import math

import pytest

from kb.formulas.flow.tube_friction import darcy_friction_factor

CHURCHILL = [
    (1000, 0.0, 0.064),
    (1000, 0.0001, 0.064),
    (1000, 0.001, 0.064),
    (5000, 0.0, 0.0378872),
    (5000, 0.0001, 0.038015),
    (5000, 0.001, 0.0391381),
    (10000, 0.0, 0.0310021),
    (10000, 0.0001, 0.0311782),
    (10000, 0.001, 0.0326902),
    (100000, 0.0, 0.0178748),
    (100000, 0.0001, 0.0184626),
    (100000, 0.001, 0.0223432),
]
COLEBROOK = [
    (5000, 0.0, 0.0373927),
    (5000, 0.0001, 0.0375045),
    (5000, 0.001, 0.0384954),
    (10000, 0.0, 0.030883),
    (10000, 0.0001, 0.0310372),
    (10000, 0.001, 0.0323818),
    (100000, 0.0, 0.0179898),
    (100000, 0.0001, 0.0185139),
    (100000, 0.001, 0.0221745),
]
HAALAND = [
    (5000, 0.0, 0.0377299),
    (5000, 0.0001, 0.0378004),
    (5000, 0.001, 0.0386201),
    (10000, 0.0, 0.0308862),
    (10000, 0.0001, 0.0309903),
    (10000, 0.001, 0.0321749),
    (100000, 0.0, 0.0178249),
    (100000, 0.0001, 0.0182651),
    (100000, 0.001, 0.0219662),
]


def churchill(reynolds: float, roughness: float) -> float:
    """Return the factor by the printed formula, independent of any package."""
    first = (2.457 * math.log(1 / ((7 / reynolds) ** 0.9 + 0.27 * roughness))) ** 16
    second = (37530 / reynolds) ** 16
    return 8 * ((8 / reynolds) ** 12 + (first + second) ** -1.5) ** (1 / 12)


@pytest.mark.parametrize(("reynolds", "roughness", "printed"), CHURCHILL)
def test_factor_is_churchills_to_the_last_digit(reynolds: float, roughness: float, printed: float) -> None:
    factor = darcy_friction_factor(reynolds, roughness, 1.0)
    assert factor == pytest.approx(printed, abs=0.5e-6)
    assert factor == pytest.approx(churchill(reynolds, roughness), rel=1e-9)


@pytest.mark.parametrize(("reynolds", "roughness", "printed"), COLEBROOK)
def test_turbulent_factor_is_colebrooks_within_two_percent(reynolds: float, roughness: float, printed: float) -> None:
    assert darcy_friction_factor(reynolds, roughness, 1.0) == pytest.approx(printed, rel=0.02)


@pytest.mark.parametrize(("reynolds", "roughness", "printed"), HAALAND)
def test_turbulent_factor_is_haalands_within_two_percent(reynolds: float, roughness: float, printed: float) -> None:
    assert darcy_friction_factor(reynolds, roughness, 1.0) == pytest.approx(printed, rel=0.02)


def test_laminar_factor_is_64_over_reynolds() -> None:
    """Hagen-Poiseuille: 0.08 at Re 800."""
    assert darcy_friction_factor(800.0, 0.0, 10.0) == pytest.approx(0.08, rel=1e-3)


@pytest.mark.parametrize("reynolds", [1e-8, 0.1, 0.999999, 1.0, 50.0])
def test_creeping_flow_is_64_over_reynolds(reynolds: float) -> None:
    """Hagen-Poiseuille down to flows that hardly move, without a step."""
    assert darcy_friction_factor(reynolds, 0.001, 10.0) == pytest.approx(64 / reynolds, rel=1e-9)


def test_smooth_factor_is_near_blasius() -> None:
    """Blasius (1913): 0.3164 Re^-0.25 is 0.03164 at Re 10000; his fit lies two percent above the later ones."""
    assert darcy_friction_factor(10000.0, 0.0, 10.0) == pytest.approx(0.03164, rel=0.025)
