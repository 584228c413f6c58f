"""A printed network of pipes with three meshes, and friction in flat passages against its exact solution.

Carrier of the network: the vignette of the R package hydraulics (built 2025-10-09), section on the method of Hardy
Cross: ten pipes with fixed friction, one supply of 80 l/s, draws of 40, 20 and 20 l/s. It prints the flows after three
rounds of the method, to 0.1 l/s. The method is gone through here as well: three rounds give what is printed, and where
the rounds end our solution has to be.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import pytest

from kb.formulas.flow.flow_elements import MeasuredPart
from kb.formulas.flow.pipe_network import Branch, solve_network
from kb.formulas.heat.rectangular_duct import laminar_friction_constant

ENDS = ["ab", "bc", "cd", "de", "ea", "df", "fg", "ge", "ch", "hf"]
RESISTANCES = [159.7828, 535.9666, 669.9582, 669.9582, 535.9666, 2430.5356, 207.7883, 2430.5356, 2430.5356, 207.7883]
FIRST_L_S = [40.0, 40.0, 20.0, -20.0, -40.0, 0.0, 0.0, -20.0, 20.0, 0.0]
PRINTED_L_S = [38.3, 38.3, 23.2, -25.8, -41.7, 9.0, 4.1, -15.9, 15.1, -4.9]
DRAWS_L_S = {"d": 40.0, "g": 20.0, "h": 20.0}
MESHES = [{0: 1, 1: 1, 2: 1, 3: 1, 4: 1}, {3: -1, 5: 1, 6: 1, 7: 1}, {2: -1, 8: 1, 9: 1, 5: -1}]


@dataclass(frozen=True)
class Draw:
    """A draw that hardly asks what pressure there is: a metre of head changes it by 0.1 ml/s."""

    flow: float

    def drop_kpa(self, flow_l_min: float) -> float:
        """Return next to any pressure for next to no change of flow."""
        return 1e4 * (flow_l_min - self.flow)


def rounds(count: int) -> list[float]:
    """Return the flows [l/s] after some rounds of Hardy Cross, all meshes corrected at once."""
    flows = list(FIRST_L_S)
    for _ in range(count):
        corrections = [_correction(mesh, flows) for mesh in MESHES]
        for mesh, correction in zip(MESHES, corrections, strict=True):
            for at, sign in mesh.items():
                flows[at] += sign * correction
    return flows


def _correction(mesh: dict[int, int], flows: list[float]) -> float:
    left = sum(sign * RESISTANCES[at] * flows[at] * abs(flows[at]) for at, sign in mesh.items())
    return -left / sum(2 * RESISTANCES[at] * abs(flows[at]) for at in mesh)


def test_three_rounds_of_hardy_cross_are_as_printed() -> None:
    """Holds the network as we read it against the page."""
    assert rounds(3) == pytest.approx(PRINTED_L_S, abs=0.05)


def test_flows_of_a_printed_network_are_where_the_rounds_end() -> None:
    """Drops in metres for flows in l/s; K in s2/m5 as printed."""
    pipes = [
        Branch(f"{at}", ends[0], ends[1], MeasuredPart(1.0, resistance * 1e-6, 2.0))
        for at, (ends, resistance) in enumerate(zip(ENDS, RESISTANCES, strict=True))
    ]
    draws = [Branch(f"draw {node}", node, "a", Draw(flow)) for node, flow in DRAWS_L_S.items()]
    flows = solve_network([*pipes, *draws], "a").flows_l_min
    assert [flows[f"{at}"] for at in range(len(pipes))] == pytest.approx(rounds(100), abs=1e-3)


@pytest.mark.parametrize("aspect", [0.05, 0.08, 0.125, 0.25, 0.5, 0.75, 1.0])
def test_laminar_friction_of_a_flat_passage_is_that_of_the_exact_series(aspect: float) -> None:
    """Boussinesq: 96 / ((1 + a)^2 (1 - 192 a / pi^5 sum tanh(n pi / 2a) / n^5)), odd n, summed here."""
    series = sum(math.tanh(n * math.pi / (2 * aspect)) / n**5 for n in range(1, 200, 2))
    exact = 96 / ((1 + aspect) ** 2 * (1 - 192 * aspect / math.pi**5 * series))
    assert laminar_friction_constant(aspect) == pytest.approx(exact, rel=6e-4)
