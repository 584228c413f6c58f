"""A round tube in a socket with an O-ring: compression fittings for rigid tube and push-in fittings.

Owns: which quantities of this joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/formulas/fit/o_ring_compression.py`), limits, or whether a kind of tube may be used at all (rules).
"""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, Missing, Number
from kb.formulas.fit.o_ring_compression import o_ring_compression_percent, o_ring_stretch_percent, socket_clearance_mm
from kb.parts.dimensions import (
    DIMENSION_MISSING,
    TolerancedDimension,
    missing_findings,
    rivals_of,
    toleranced_dimension,
)
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.tables.column_words import column_words


class _ORing(NamedTuple):
    inside: TolerancedDimension
    section: TolerancedDimension


def judge_in_o_ring_socket(snapshot: Snapshot, tube: Element, end: Element, place: str) -> list[Finding]:
    """Judge a tube in an O-ring socket: does it enter, how far is the O-ring compressed and stretched, at worst.

    Args:
        snapshot: the knowledge.
        tube: the tube.
        end: the compression or push-in end.
        place: name of the joint.
    """
    tube_od = toleranced_dimension(snapshot, tube, "od_mm")
    socket = toleranced_dimension(snapshot, end, "socket_bore_mm")
    groove = toleranced_dimension(snapshot, end, "groove_diameter_mm")
    o_ring = end.derive("O-ring", partial(_o_ring, end))
    findings = missing_findings(place, tube_od, socket, groove)
    if isinstance(o_ring, Missing):
        findings.append(Finding(DIMENSION_MISSING, Judgement.GAP, place, (o_ring,)))
    else:
        findings += missing_findings(place, o_ring.inside, o_ring.section)
    if isinstance(tube_od, TolerancedDimension) and isinstance(socket, TolerancedDimension):
        findings += _entering(snapshot, end, place, tube_od, socket)
    if (
        isinstance(tube_od, TolerancedDimension)
        and isinstance(groove, TolerancedDimension)
        and isinstance(o_ring, _ORing)
    ):
        findings += _sealing(snapshot, end, place, (tube_od, groove, o_ring))
    return findings


def _o_ring(end: Element) -> _ORing | Missing:
    seal = end.seal
    if seal is None:
        return Missing(end.label, "O-ring", "seal_id")
    inside = _seal_dimension(seal, "o_ring_id_mm", "o_ring_id_tolerance_mm")
    section = _seal_dimension(seal, "section_mm", "section_tolerance_mm")
    if isinstance(inside, Missing):
        return inside
    return section if isinstance(section, Missing) else _ORing(inside, section)


def _seal_dimension(seal: Element, column: str, tolerance_column: str) -> TolerancedDimension | Missing:
    fact, tolerance = seal.fact(column), seal.fact(tolerance_column)
    if fact is None:
        return Missing(seal.label, column_words(column)[0], column)
    nominal = float(fact.value)
    if tolerance is None:
        return TolerancedDimension(nominal, nominal, nominal, (fact,), False)
    deviation = float(tolerance.value)
    return TolerancedDimension(nominal, nominal - deviation, nominal + deviation, (fact, tolerance), True)


def _entering(
    snapshot: Snapshot, end: Element, place: str, tube_od: TolerancedDimension, socket: TolerancedDimension
) -> list[Finding]:
    facts, rivals = tube_od.facts + socket.facts, rivals_of(tube_od, socket)
    nominal = socket_clearance_mm(socket.nominal, tube_od.nominal)
    least = socket_clearance_mm(socket.low, tube_od.high)
    most = socket_clearance_mm(socket.high, tube_od.low)
    numbers = (
        Number("quantity/socket-clearance", nominal, tube_od.facts[:1] + socket.facts[:1]),
        Number("quantity/socket-clearance-min", least, facts),
        Number("quantity/socket-clearance-max", most, facts),
    )
    return [judge_number(snapshot, number, end.families, place, *rivals) for number in numbers]


def _sealing(
    snapshot: Snapshot, end: Element, place: str, parts: tuple[TolerancedDimension, TolerancedDimension, _ORing]
) -> list[Finding]:
    tube_od, groove, o_ring = parts
    facts = tube_od.facts + groove.facts + o_ring.section.facts
    least = o_ring_compression_percent(o_ring.section.low, groove.high, tube_od.low)
    most = o_ring_compression_percent(o_ring.section.high, groove.low, tube_od.high)
    stretch_facts = tube_od.facts + o_ring.inside.facts
    loosest = o_ring_stretch_percent(o_ring.inside.high, tube_od.low)
    tightest = o_ring_stretch_percent(o_ring.inside.low, tube_od.high)
    numbers = (
        Number("quantity/o-ring-compression-min", least, facts),
        Number("quantity/o-ring-compression-max", most, facts),
        Number("quantity/o-ring-stretch-min", loosest, stretch_facts),
        Number("quantity/o-ring-stretch-max", tightest, stretch_facts),
    )
    rivals = rivals_of(tube_od, groove)
    return [judge_number(snapshot, number, end.families, place, *rivals) for number in numbers]
