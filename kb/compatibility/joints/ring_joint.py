"""A round tube in a socket with an O-ring: ring fittings for rigid tube and push-in fittings.

Owns: which quantities of this joint are judged, at which end of the tolerances. Does not own: formulas
(`kb/formulas/fit/ring_squeeze.py`), limits, or whether a kind of tube may be used at all (rules).
"""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Finding, Missing, Number
from kb.formulas.fit.ring_squeeze import ring_squeeze_percent, ring_stretch_percent, socket_clearance_mm
from kb.parts.dimensions import DIMENSION_MISSING, Span, missing_findings, rivals_of, span_of
from kb.parts.part import Element
from kb.store.snapshot import Snapshot
from schemas.tables.column_words import column_words
from schemas.verdict import Verdict


class _Ring(NamedTuple):
    inside: Span
    section: Span


def judge_in_ring(snapshot: Snapshot, tube: Element, end: Element, place: str) -> list[Finding]:
    """Judge a tube in a ring socket: does it enter, how far is the ring squeezed and stretched, at worst.

    Args:
        snapshot: the knowledge.
        tube: the tube.
        end: the ring or push-in end.
        place: name of the joint.
    """
    tube_od = span_of(snapshot, tube, "od_mm")
    socket = span_of(snapshot, end, "socket_bore_mm")
    groove = span_of(snapshot, end, "groove_diameter_mm")
    ring = end.derive("ring", partial(_ring, end))
    findings = missing_findings(place, tube_od, socket, groove)
    if isinstance(ring, Missing):
        findings.append(Finding(DIMENSION_MISSING, Verdict.UNKNOWN, place, (ring,)))
    else:
        findings += missing_findings(place, ring.inside, ring.section)
    if isinstance(tube_od, Span) and isinstance(socket, Span):
        findings += _entering(snapshot, end, place, tube_od, socket)
    if isinstance(tube_od, Span) and isinstance(groove, Span) and isinstance(ring, _Ring):
        findings += _sealing(snapshot, end, place, (tube_od, groove, ring))
    return findings


def _ring(end: Element) -> _Ring | Missing:
    seal = end.seal
    if seal is None:
        return Missing(end.label, "ring", "seal_id")
    inside = _seal_span(seal, "ring_id_mm", "ring_id_tolerance_mm")
    section = _seal_span(seal, "section_mm", "section_tolerance_mm")
    if isinstance(inside, Missing):
        return inside
    return section if isinstance(section, Missing) else _Ring(inside, section)


def _seal_span(seal: Element, column: str, tolerance_column: str) -> Span | Missing:
    fact, tolerance = seal.fact(column), seal.fact(tolerance_column)
    if fact is None:
        return Missing(seal.label, column_words(column)[0], column)
    nominal = float(fact.value)
    if tolerance is None:
        return Span(nominal, nominal, nominal, (fact,), False)
    deviation = float(tolerance.value)
    return Span(nominal, nominal - deviation, nominal + deviation, (fact, tolerance), True)


def _entering(snapshot: Snapshot, end: Element, place: str, tube_od: Span, socket: Span) -> list[Finding]:
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


def _sealing(snapshot: Snapshot, end: Element, place: str, parts: tuple[Span, Span, _Ring]) -> list[Finding]:
    tube_od, groove, ring = parts
    facts = tube_od.facts + groove.facts + ring.section.facts
    least = ring_squeeze_percent(ring.section.low, groove.high, tube_od.low)
    most = ring_squeeze_percent(ring.section.high, groove.low, tube_od.high)
    stretch_facts = tube_od.facts + ring.inside.facts
    loosest = ring_stretch_percent(ring.inside.high, tube_od.low)
    tightest = ring_stretch_percent(ring.inside.low, tube_od.high)
    numbers = (
        Number("quantity/ring-squeeze-min", least, facts),
        Number("quantity/ring-squeeze-max", most, facts),
        Number("quantity/ring-stretch-min", loosest, stretch_facts),
        Number("quantity/ring-stretch-max", tightest, stretch_facts),
    )
    rivals = rivals_of(tube_od, groove)
    return [judge_number(snapshot, number, end.families, place, *rivals) for number in numbers]
