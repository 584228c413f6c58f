"""ISO 3601-1, class A (the sizes of SAE AS568): inside diameter, section and their tolerances of every O-ring we carry.

Carrier read: package bd_warehouse 0.4.0, data/o-ring_parameters.csv, printed to 0.01 mm. Its static gland table,
data/o-ring_static_gland_parameters.csv (a seal maker's guide; the package itself says it is not held against ISO
3601-2), prints compression in whole percent for given depths and so checks our formula at both ends of the tolerances.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from kb.formulas.fit.o_ring_compression import o_ring_compression_percent, o_ring_stretch_percent
from kb.knowledge_base import KnowledgeBase
from schemas.tables.seals import Seal

HALF_DIGIT_MM = 0.005
HALF_PERCENT = 0.5
Rows = list[dict[str, str]]
PREFIX = "seal/iso-3601-"


@pytest.fixture(scope="module")
def printed(warehouse: Callable[[str], Rows]) -> dict[str, dict[str, str]]:
    return {row["Size"]: row for row in warehouse("data/o-ring_parameters.csv")}


def test_every_ring_of_the_standard_agrees_with_the_carrier(
    base: KnowledgeBase, printed: dict[str, dict[str, str]]
) -> None:
    rings = [row for row in base.snapshot.active(Seal) if row.id.startswith(PREFIX)]
    assert len(rings) >= 70
    for o_ring in rings:
        row = printed[o_ring.id.removeprefix(PREFIX)]
        ours = (o_ring.o_ring_id_mm, o_ring.o_ring_id_tolerance_mm, o_ring.section_mm, o_ring.section_tolerance_mm)
        theirs = [float(row[f"iso3601:{name}"]) for name in ("id", "id_tol", "w", "w_tol")]
        assert ours == pytest.approx(theirs, abs=HALF_DIGIT_MM), o_ring.id


def squeeze_at_depth(section: float, depth: float) -> float:
    """An O-ring between a rod of 10 mm and a groove that leaves the named depth."""
    return o_ring_compression_percent(section, 10.0 + 2 * depth, 10.0)


@pytest.mark.parametrize("section", ["1.78", "2.62", "3.53", "5.33"])
def test_squeeze_of_the_radial_gland_table(
    section: str, warehouse: Callable[[str], Rows], printed: dict[str, dict[str, str]]
) -> None:
    """Least compression: thinnest O-ring in the deepest gland; most: thickest O-ring in the shallowest."""
    gland = next(row for row in warehouse("data/o-ring_static_gland_parameters.csv") if row["w"] == section)
    o_ring = next(row for row in printed.values() if float(row["iso3601:w"]) == float(section))
    width, tolerance = float(o_ring["iso3601:w"]), float(o_ring["iso3601:w_tol"])
    least = squeeze_at_depth(width - tolerance, float(gland["d_r_max"]))
    most = squeeze_at_depth(width + tolerance, float(gland["d_r_min"]))
    assert (least, most) == pytest.approx((float(gland["sq_r_p_min"]), float(gland["sq_r_p_max"])), abs=HALF_PERCENT)


@pytest.mark.parametrize(
    ("section", "tolerance", "depth", "nominal", "least", "most"),
    [
        (1.00, 0.08, 0.70, 30.0, 23.9, 35.2),
        (1.50, 0.08, 1.10, 26.7, 22.5, 30.4),
        (1.78, 0.08, 1.30, 27.0, 23.5, 30.1),
        (2.00, 0.08, 1.50, 25.0, 21.9, 27.9),
        (2.50, 0.09, 1.90, 24.0, 21.2, 26.6),
        (2.62, 0.09, 2.00, 23.7, 20.9, 26.2),
        (3.00, 0.09, 2.30, 23.3, 21.0, 25.6),
        (3.53, 0.10, 2.70, 23.5, 21.3, 25.6),
    ],
)
def test_squeeze_of_the_metric_housing_table_by_hand(
    section: float, tolerance: float, depth: float, nominal: float, least: float, most: float
) -> None:
    """A seal seller's table of static radial housings prints section and depth; the compression is worked out by hand.

    Section 2.00 in depth 1.50: (2.00 - 1.50) / 2.00 = 25.0 %; with the section tolerance of 0.08:
    (1.92 - 1.50) / 1.92 = 21.9 % and (2.08 - 1.50) / 2.08 = 27.9 %. The others likewise, to 0.1 %.
    """
    computed = [squeeze_at_depth(width, depth) for width in (section, section - tolerance, section + tolerance)]
    assert computed == pytest.approx([nominal, least, most], abs=0.05 + 1e-9)


def test_worst_squeeze_of_a_ring_fitting_by_hand(base: KnowledgeBase) -> None:
    """Own arithmetic, pencil and paper, for 12 mm copper tube (EN 1057, +-0.04) in the compression fitting for 12 mm.

    Groove 15.2 +-0.05; O-ring 12 x 2 with section 2.00 +-0.08.
    Least: depth (15.25 - 11.96) / 2 = 1.645; (1.92 - 1.645) / 1.92 = 14.3 %.
    Most:  depth (15.15 - 12.04) / 2 = 1.555; (2.08 - 1.555) / 2.08 = 25.2 %.
    """
    decision = base.decide("tube/copper-en-1057-12x1", "fitting/rigid-12-g-1-4")
    values = {finding.code: finding.evidence[0].value for finding in decision.joint.findings}
    assert values["o-ring-compression-min"] == pytest.approx(14.3, abs=0.05)
    assert values["o-ring-compression-max"] == pytest.approx(25.2, abs=0.05)


def test_stretch_by_hand() -> None:
    """An O-ring of 12.42 mm (size 014) on a tube of 12.70 mm: 0.28 / 12.42 = 2.25 %."""
    assert o_ring_stretch_percent(12.42, 12.70) == pytest.approx(2.25, abs=0.005)
