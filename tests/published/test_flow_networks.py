"""A printed network of pipes with three meshes, and friction in flat passages against its exact solution.

Carrier of the network: the vignette of the R package hydraulics (built 2025-10-09), section on the method of Hardy
Cross: ten pipes, one supply of 80 l/s, draws of 40, 20 and 20 l/s; flows printed to 0.1 l/s after three rounds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from kb.duty.coolant import water_at
from kb.duty.flow_elements import MeasuredPart, TubeLength
from kb.duty.network import Branch, solve_network
from kb.duty.rectangular_duct import laminar_friction_constant

ENDS = ["ab", "bc", "cd", "de", "ea", "df", "fg", "ge", "ch", "hf"]
BORES_MM = [300, 200, 200, 200, 200, 150, 250, 150, 150, 250]
LENGTHS_M = [250, 100, 125, 125, 100, 100, 125, 100, 100, 125]
RESISTANCES = [159.7828, 535.9666, 669.9582, 669.9582, 535.9666, 2430.5356, 207.7883, 2430.5356, 2430.5356, 207.7883]
FIXED_FRICTION_L_S = [38.3, 38.3, 23.2, -25.8, -41.7, 9.0, 4.1, -15.9, 15.1, -4.9]
COLEBROOK_L_S = [38.2, 38.2, 23.0, -25.8, -41.8, 8.8, 4.0, -16.0, 15.2, -4.8]
DRAWS_L_S = {"d": 40.0, "g": 20.0, "h": 20.0}
PRINTED_L_S = 0.05
S_PER_MIN = 60.0


@dataclass(frozen=True)
class Draw:
    """A draw that hardly asks what pressure there is."""

    flow: float
    stiffness: float = 100.0

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return next to any pressure for next to no change of flow."""
        return self.stiffness * (flow_l_min - self.flow)


def draws(factor: float) -> list[Branch]:
    return [Branch(f"draw {node}", node, "a", Draw(factor * flow)) for node, flow in DRAWS_L_S.items()]


def test_flows_of_a_printed_network_with_fixed_friction() -> None:
    """Drops in metres for flows in l/s, K in s2/m5 as printed."""
    pipes = [
        Branch(f"{at}", ends[0], ends[1], MeasuredPart(1.0, resistance * 1e-6, 2.0))
        for at, (ends, resistance) in enumerate(zip(ENDS, RESISTANCES, strict=True))
    ]
    flows = solve_network([*pipes, *draws(1.0)], "a").flows_l_min
    for at, printed in enumerate(FIXED_FRICTION_L_S):
        assert flows[f"{at}"] == pytest.approx(printed, abs=PRINTED_L_S)


def test_flows_of_a_printed_network_with_friction_by_reynolds_number() -> None:
    """Roughness 0.25 mm and Colebrook there, Churchill here: they differ by two percent at most, flows by less."""
    water = water_at(20.0)
    pipes = [
        Branch(f"{at}", ends[0], ends[1], TubeLength(bore, length * 1e3, 0.25, water))
        for at, (ends, bore, length) in enumerate(zip(ENDS, BORES_MM, LENGTHS_M, strict=True))
    ]
    flows = solve_network([*pipes, *draws(S_PER_MIN)], "a").flows_l_min
    for at, printed in enumerate(COLEBROOK_L_S):
        assert flows[f"{at}"] / S_PER_MIN == pytest.approx(printed, abs=2 * PRINTED_L_S)


@pytest.mark.parametrize("aspect", [0.05, 0.08, 0.125, 0.25, 0.5, 0.75, 1.0])
def test_laminar_friction_of_a_flat_passage_is_that_of_the_exact_series(aspect: float) -> None:
    """Boussinesq: 96 / ((1 + a)^2 (1 - 192 a / pi^5 sum tanh(n pi / 2a) / n^5)), odd n, summed here.

    The authors of the polynomial claim 0.05 %.
    """
    series = sum(math.tanh(n * math.pi / (2 * aspect)) / n**5 for n in range(1, 200, 2))
    exact = 96 / ((1 + aspect) ** 2 * (1 - 192 * aspect / math.pi**5 * series))
    assert laminar_friction_constant(aspect) == pytest.approx(exact, rel=6e-4)
