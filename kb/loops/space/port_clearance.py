"""Whether fittings and the first bend have room in front of a port.

Owns: gathering fittings, bends and room of each port. Does not own: the formula (`kb/formulas/fit/radiator_stack.py`)
or limits. No table knows how far a fitting stands out, so each counts with the assumed length of a fitting.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from kb.evidence.limits import judge_number
from kb.evidence.tree import Fact, Finding, Number
from kb.formulas.fit.radiator_stack import port_clearance_mm, port_need_mm
from kb.loops.assumptions import Given, given_or_assumed
from kb.loops.fill.volumes import tube_bore_mm
from kb.loops.loop import LoopRun, ResolvedLoop
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.tables.assumptions import Assumption
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.tubes import Tube

_RIGHT_ANGLE_DEG = 90.0


class PortClearance(NamedTuple):
    """Room in front of a port.

    Attributes:
        port: `radiator.in`.
        fitting_mm: how far the fittings stand out.
        bend_mm: what the bend and half the tube take; 0 if the run has no tube or goes straight.
        needed_mm: both.
        available_mm: what there is.
        finding: what follows.
        assumed: rows that stood in for what nobody said.
    """

    port: str
    fitting_mm: float
    bend_mm: float
    needed_mm: float
    available_mm: float
    finding: Finding
    assumed: tuple[Assumption, ...]


def port_clearances(snapshot: Snapshot, loop: ResolvedLoop) -> tuple[PortClearance, ...]:
    """Return the room in front of every port in use whose part says how much there is.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    return tuple(_clearances(snapshot, loop))


def _clearances(snapshot: Snapshot, loop: ResolvedLoop) -> Iterator[PortClearance]:
    for run in loop.runs:
        for port, fittings in ((run.asked.from_, run.first), (run.asked.to, run.last)):
            place = loop.parts[port.split(".", 1)[0]].asked.place
            if place is not None and place.port_clearance_mm is not None:
                yield _clearance(snapshot, loop, run, port, fittings, place.port_clearance_mm)


def _clearance(
    snapshot: Snapshot, loop: ResolvedLoop, run: LoopRun, port: str, fittings: tuple[Part, ...], available_mm: float
) -> PortClearance:
    one = given_or_assumed(snapshot, loop, "quantity/fitting-length")
    fitting_mm = one.value * len(fittings)
    radius = _radius(snapshot, loop, run)
    turn = min(sum(_turn_deg(snapshot, fitting) for fitting in fittings), _RIGHT_ANGLE_DEG)
    od_mm = _outside_mm(run) if radius is not None else 0.0
    bend_mm = port_need_mm(0.0, turn, radius.value if radius is not None else 0.0, od_mm)
    used = (one, *((radius,) if radius is not None else ()))
    facts = (*(given.fact for given in used), Fact(port, "port_clearance_mm", available_mm, "", ""))
    number = Number("quantity/port-clearance", port_clearance_mm(available_mm, fitting_mm, bend_mm), facts)
    finding = judge_number(snapshot, number, loop.ports[port].families, port)
    assumed = tuple(given.row for given in used if given.row is not None)
    return PortClearance(port, fitting_mm, bend_mm, fitting_mm + bend_mm, available_mm, finding, assumed)


def _radius(snapshot: Snapshot, loop: ResolvedLoop, run: LoopRun) -> Given | None:
    """Return the radius of the bends of a run [mm]; `None` if it has no tube or goes straight."""
    bore = tube_bore_mm(run.tube) if run.tube is not None else None
    if bore is None or run.asked.bends_deg == 0:
        return None
    stated = run.asked.bend_radius_mm
    if stated is not None:
        return Given(stated, Fact(run.name, "bend_radius_mm", stated, "", ""), None)
    ratio = given_or_assumed(snapshot, loop, "quantity/bend-radius-ratio")
    return ratio._replace(value=ratio.value * bore)


def _outside_mm(run: LoopRun) -> float:
    row = run.tube.elements[0].row if run.tube is not None else None
    return row.od_mm or 0.0 if isinstance(row, Tube) else 0.0


def _turn_deg(snapshot: Snapshot, fitting: Part) -> float:
    row = fitting.elements[0].row
    body = snapshot.row(row.fitting_id) if isinstance(row, FittingEnd) else None
    return body.angle_deg or 0.0 if isinstance(body, Fitting) else 0.0
