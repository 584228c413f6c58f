"""Tolerances: the asker's own first, then the part's, then the nearest family's, by size; better sources first."""

from __future__ import annotations

from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.evidence.tree import Missing
from kb.knowledge_base import KnowledgeBase
from kb.parts.dimensions import TolerancedDimension, toleranced_dimension
from kb.parts.resolver import Resolver
from schemas.questions.questions import PartRef

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)


def outside(base: KnowledgeBase, tube: Any) -> TolerancedDimension | Missing:
    element = Resolver(base.snapshot).part(REFERENCE.validate_python(tube), "tube").elements[0]
    return toleranced_dimension(base.snapshot, element, "od_mm")


def deviation(base: KnowledgeBase, tube: Any) -> tuple[float, float]:
    dimension = outside(base, tube)
    assert isinstance(dimension, TolerancedDimension)
    return pytest.approx((dimension.nominal - dimension.low, dimension.high - dimension.nominal))


def test_given_tolerance_speaks_first(base: KnowledgeBase) -> None:
    assert deviation(base, {"is": "tube/acrylic-12x10", "od_tolerance_mm": 0.03}) == (0.03, 0.03)


def test_tolerance_of_the_part_speaks_before_its_family(base: KnowledgeBase) -> None:
    assert deviation(base, "tube/copper-b280-1-2-drawn") == (0.0254, 0.0254)
    assert deviation(base, "tube/copper-b280-1-2-annealed") == (0.0508, 0.0508)


def test_size_picks_the_row(base: KnowledgeBase) -> None:
    assert deviation(base, "tube/copper-en-1057-18x1") == (0.04, 0.04)
    assert deviation(base, "tube/copper-en-1057-22x1") == (0.05, 0.05)


def test_greater_of_percent_and_millimetres_counts(base: KnowledgeBase) -> None:
    """ISO 1127, class D3: 0.75 % but at least 0.3 mm, so 40 mm is the diameter from which percent counts."""
    assert deviation(base, {"kind": "tube", "family": "family/tube-stainless", "od_mm": 12}) == (0.3, 0.3)
    assert deviation(base, {"kind": "tube", "family": "family/tube-stainless", "od_mm": 60}) == (0.45, 0.45)


def test_one_sided_tolerance_stays_one_sided(base: KnowledgeBase) -> None:
    end = Resolver(base.snapshot).archetype("fitting/rigid-12-g-1-4", "fitting").elements[1]
    dimension = toleranced_dimension(base.snapshot, end, "socket_bore_mm")
    assert isinstance(dimension, TolerancedDimension)
    assert (dimension.low, dimension.nominal, dimension.high) == pytest.approx((12.2, 12.2, 12.3))


def test_size_beyond_every_row_has_no_tolerance(base: KnowledgeBase) -> None:
    dimension = outside(base, {"kind": "tube", "family": "family/tube-soft", "od_mm": 40})
    assert isinstance(dimension, TolerancedDimension)
    assert (dimension.has_tolerance, dimension.low, dimension.high) == (False, 40, 40)


def test_missing_dimension_names_part_and_column(base: KnowledgeBase) -> None:
    gap = outside(base, {"kind": "tube", "family": "family/tube-soft"})
    assert isinstance(gap, Missing)
    assert "tube" in gap.subject
    assert gap.column == "od_mm"
