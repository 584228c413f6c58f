"""Worked examples of formulas that others print: package documentation, tables of standards, a seal maker's table.

Carriers: the docstrings of packages fluids 1.3.1 and ht 1.2.0, read here as installed; package bd_warehouse 0.4.0,
data/o-ring_static_gland_parameters.csv, section 3.53 mm; ISO 228-1 Table 1, ISO 724 and ASME B1.20.1 Table 2 as the
sources of the tables say they were seen; a tubing maker's primer on barbed fittings; slides of a lecture on thread
metrology.
"""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest
from fluids.filters import round_edge_screen
from fluids.fittings import Kv_to_K, contraction_sharp
from fluids.friction import Churchill_1977
from ht.conv_internal import Nu_laminar_rectangular_Shan_London
from ht.hx import effectiveness_from_NTU

from kb.formulas.registry import FORMULAS

IN_DOCSTRINGS = [
    ("formula/tube-friction-factor", Churchill_1977, "Churchill_1977(1E5, 1E-4)"),
    ("formula/sharp-contraction", contraction_sharp, "contraction_sharp(3.0, 2.0, method='Crane')"),
    ("formula/flow-factor", Kv_to_K, "Kv_to_K(2.312, .015)"),
    ("formula/filter-loss", round_edge_screen, "round_edge_screen(0.5, 100)"),
    ("formula/rectangular-duct-nusselt", Nu_laminar_rectangular_Shan_London, "Nu_laminar_rectangular_Shan_London(.7)"),
    (
        "formula/crossflow-effectiveness",
        effectiveness_from_NTU,
        "effectiveness_from_NTU(NTU=5, Cr=0.7, subtype='crossflow')",
    ),
]
IN_PRINT = [
    ("formula/o-ring-compression", 14, 0.5),  # percent, whole
    ("formula/barb-interference", 8.0, 0.05),  # 0.020 / 0.250
    ("formula/thread-pitch", 1.337, 0.0005),  # G 1/4
    ("formula/whitworth-thread-height", 0.856, 0.0005),  # G 1/4
    ("formula/thread-triangle-height", 0.960491, 0.5e-6),
    ("formula/metric-pitch-diameter", 9.350, 0.0005),  # M10 x 1
    ("formula/metric-minor-diameter", 8.917, 0.0005),  # M10 x 1
    ("formula/npt-pitch-diameter", 0.47739 * 25.4, 0.000005 * 25.4),  # NPT 1/4, E0
    ("formula/thread-pitch-diameter", 0.49163 * 25.4, 0.000005 * 25.4),  # NPT 1/4, E1
    ("formula/turns-until-binding", 4.1, 0.05),  # NPT 1/4, L1
    ("formula/pitch-error-on-diameter", 1.921, 0.0005),
]


@pytest.mark.parametrize(("formula", "printer", "call"), IN_DOCSTRINGS, ids=[row[0] for row in IN_DOCSTRINGS])
def test_the_example_is_the_one_that_a_package_prints(formula: str, printer: Callable[..., float], call: str) -> None:
    """To the last digit printed; the package cuts some digits off instead of rounding them."""
    found = re.search(rf">>> {re.escape(call)}\n\s+(?P<printed>[0-9.]+)", printer.__doc__ or "")
    assert found is not None
    printed = found["printed"]
    last_digit = 10.0 ** -len(printed.partition(".")[2])
    assert FORMULAS[formula].worked_example() == pytest.approx(float(printed), abs=max(last_digit, 1e-11), rel=0)


@pytest.mark.parametrize(("formula", "printed", "half_digit"), IN_PRINT)
def test_the_example_is_the_one_that_a_document_prints(formula: str, printed: float, half_digit: float) -> None:
    assert FORMULAS[formula].worked_example() == pytest.approx(printed, abs=half_digit, rel=0)
