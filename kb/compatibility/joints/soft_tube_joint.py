"""A soft tube on a barb, with or without a clamping collar.

Owns: which quantities of this joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/formulas/fit/soft_tube.py`) or limits.
"""

from __future__ import annotations

from typing import TypeAlias, TypeGuard

from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, Missing, Number
from kb.formulas.fit.soft_tube import (
    barb_interference_percent,
    clamping_squeeze_percent,
    od_on_barb_mm,
    wall_thinning_percent,
)
from kb.formulas.fit.tolerance_stack import Stack, stack_root_sum_square
from kb.parts.dimensions import TolerancedDimension, missing_findings, rivals_of, toleranced_dimension
from kb.parts.part import Element
from kb.store.snapshot import Snapshot

_Sizes: TypeAlias = tuple[TolerancedDimension | Missing, TolerancedDimension | Missing, TolerancedDimension | Missing]


def judge_on_barb(snapshot: Snapshot, tube: Element, barb: Element, place: str) -> list[Finding]:
    """Judge a soft tube on a bare barb: stretch at nominal size and at its likely extremes, thinning of the wall.

    Args:
        snapshot: the knowledge.
        tube: the tube.
        barb: the barb end.
        place: name of the joint.
    """
    return _on_barb(snapshot, barb, place, _sizes(snapshot, tube, barb))


def judge_in_compression(snapshot: Snapshot, tube: Element, end: Element, place: str) -> list[Finding]:
    """Judge a soft tube in a compression end: stretch on the stem, thinning, and squeeze under the collar.

    Both dimensions of the tube count: the inside on the stem, the outside under the collar.

    Args:
        snapshot: the knowledge.
        tube: the tube.
        end: the compression end.
        place: name of the joint.
    """
    sizes = _sizes(snapshot, tube, end)
    tube_id, tube_od, stem = sizes
    bore = toleranced_dimension(snapshot, end, "collar_bore_mm")
    findings = _on_barb(snapshot, end, place, sizes) + missing_findings(place, tube_od, bore)
    if _known(tube_id) and _known(tube_od) and _known(stem) and _known(bore):
        findings += _clamping(snapshot, end, place, (tube_id, tube_od, stem, bore))
    return findings


def _sizes(snapshot: Snapshot, tube: Element, barb: Element) -> _Sizes:
    """Return inside and outside diameter of the tube and the diameter of the barb or stem."""
    return (
        toleranced_dimension(snapshot, tube, "id_mm"),
        toleranced_dimension(snapshot, tube, "od_mm"),
        toleranced_dimension(snapshot, barb, "barb_od_mm"),
    )


def _on_barb(snapshot: Snapshot, barb: Element, place: str, sizes: _Sizes) -> list[Finding]:
    tube_id, tube_od, barb_od = sizes
    findings = missing_findings(place, tube_id, barb_od)
    if _known(tube_id) and _known(barb_od):
        findings += _stretch(snapshot, barb, place, tube_id, barb_od)
        if _known(tube_od):
            findings.append(_thinning(snapshot, barb, place, (tube_id, tube_od, barb_od)))
    return findings


def _known(dimension: TolerancedDimension | Missing) -> TypeGuard[TolerancedDimension]:
    return isinstance(dimension, TolerancedDimension)


def _stretch(
    snapshot: Snapshot, barb: Element, place: str, tube_id: TolerancedDimension, barb_od: TolerancedDimension
) -> list[Finding]:
    stack = stack_root_sum_square(barb_interference_percent, (barb_od, tube_id))
    return _judge_stack(snapshot, barb, place, ("barb-interference", stack), (tube_id, barb_od))


def _thinning(
    snapshot: Snapshot,
    barb: Element,
    place: str,
    dimensions: tuple[TolerancedDimension, TolerancedDimension, TolerancedDimension],
) -> Finding:
    tube_id, tube_od, barb_od = dimensions
    facts = tube_id.facts[:1] + tube_od.facts[:1] + barb_od.facts[:1]
    sizes = (tube_id.nominal, tube_od.nominal, barb_od.nominal)
    thinning = Number("quantity/wall-thinning", wall_thinning_percent(*sizes), facts)
    outside = Number("quantity/od-on-barb", od_on_barb_mm(*sizes), facts)
    return judge_number(snapshot, thinning, barb.families, place, outside)


def _clamping(
    snapshot: Snapshot,
    end: Element,
    place: str,
    dimensions: tuple[TolerancedDimension, TolerancedDimension, TolerancedDimension, TolerancedDimension],
) -> list[Finding]:
    stack = stack_root_sum_square(clamping_squeeze_percent, dimensions)
    return _judge_stack(snapshot, end, place, ("clamping-squeeze", stack), dimensions)


def _judge_stack(
    snapshot: Snapshot, end: Element, place: str, named: tuple[str, Stack], dimensions: tuple[TolerancedDimension, ...]
) -> list[Finding]:
    """Judge nominal, least likely and largest likely value of one quantity."""
    name, stack = named
    facts = tuple(fact for dimension in dimensions for fact in dimension.facts)
    values = (
        (f"quantity/{name}", stack.nominal),
        (f"quantity/{name}-min", stack.low),
        (f"quantity/{name}-max", stack.high),
    )
    numbers = (Number(quantity, value, facts) for quantity, value in values)
    return [judge_number(snapshot, number, end.families, place, *rivals_of(*dimensions)) for number in numbers]
