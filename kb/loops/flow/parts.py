"""From the parts of a loop to flow paths of the coolant: which row or statement speaks for each of them.

Owns: that choice, and the facts a flow path cites. Does not own: the formulas (`kb/formulas/`) or how the flow paths
are connected (`kb/loops/flow/network.py`). What a question states beats the row of its archetype, that beats the row of
its kind.
"""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from kb.evidence.tree import Fact
from kb.formulas.flow.flat_tube_flow import flat_tubes
from kb.formulas.flow.flow_path import NOTHING, FlowPath, LowUsualHigh, joined, local_path, measured_path
from kb.formulas.flow.minor_losses import bend_coefficient, contraction_coefficient, expansion_coefficient
from kb.formulas.heat.fin_core import core_of
from kb.loops.flow.assumptions import Assumptions
from kb.loops.flow.elements import resistance_row
from kb.loops.loop import LoopPart, LoopRun
from kb.parts.part import Part
from kb.store.snapshot import Snapshot
from schemas.questions.loop import Block as AskedBlock
from schemas.questions.loop import MeasuredDrop, Passive, RadiatorInLoop
from schemas.tables.blocks import Block
from schemas.tables.fittings import Fitting
from schemas.tables.radiators import Radiator
from schemas.tables.resistances import Direction, Resistance
from schemas.tables.tubes import Tube

RESERVOIR = "family/reservoir"
USUAL_EXPONENT = 1.8  # of a part whose kind has no row with a point; between 1.75 of channels and 2 of edges
_LEAST_SHARE = 0.05
_SIDE_ENDS_FROM = 2  # ends a and b of a tee are its way through
_CACHED = 4096


class Bore(NamedTuple):
    """The hole through a tube or fitting.

    Attributes:
        part: whose hole it is.
        mm: its narrowest place [mm].
    """

    part: Part
    mm: float


class KnownFlowPath(NamedTuple):
    """A flow path of the coolant and what it cites.

    Attributes:
        path: its geometry and points.
        facts: cells and statements it cites.
        said_by: what speaks for its resistance, in an id or a word.
        bores: holes on the path whose width is known.
        tube_mm: bore of its tube [mm]; `None` without a tube.
    """

    path: FlowPath
    facts: tuple[Fact, ...]
    said_by: str
    bores: tuple[Bore, ...] = ()
    tube_mm: float | None = None


class _FittingFlowPath(NamedTuple):
    """The path straight through a fitting, or round by its angle; `used_mm` is the bore it is reckoned with."""

    path: FlowPath
    facts: tuple[Fact, ...]
    bores: tuple[Bore, ...]
    used_mm: float


def device_flow_path(snapshot: Snapshot, part: LoopPart) -> KnownFlowPath:
    """Return the flow path through a block, radiator, filter or sensor.

    Args:
        snapshot: the knowledge.
        part: the device.
    """
    asked = part.asked
    family = part.row.family_id if part.row is not None else f"family/{asked.kind}"
    row = _kind_row(snapshot, family, None)
    if isinstance(asked, AskedBlock | RadiatorInLoop | Passive) and asked.drop is not None:
        exponent = part.row.drop_exponent if isinstance(part.row, Block) else row and row.drop_exponent
        found = _stated_flow_path(part.name, asked.drop, exponent or USUAL_EXPONENT)
    elif isinstance(part.row, Block | Radiator):
        found = _row_flow_path(snapshot, part.row, row)
    else:
        assert row is not None, f"resistances.csv has no row for {family}"
        found = KnownFlowPath(_row_path(row, None), _row_facts(row), row.id)
    if isinstance(asked, Passive) and asked.clogged_times > 1:
        given = Fact(part.name, "clogged_times", asked.clogged_times, "", "")
        found = found._replace(path=found.path.times(asked.clogged_times), facts=(*found.facts, given))
    return found


def legs(snapshot: Snapshot, part: LoopPart) -> dict[str, KnownFlowPath]:
    """Return, by port, the flow path from each port of a reservoir or branching fitting to its middle.

    Two legs together take what the part takes on the way through; a side end takes the rest of what a way round takes.
    The whole loss of entering and leaving a reservoir is shared evenly between the ways in and out.

    Args:
        snapshot: the knowledge.
        part: the reservoir or fitting.
    """
    if part.body is None:
        row = _kind_row(snapshot, part.families[1] if part.row is not None else part.families[0], None)
        assert row is not None
        half = KnownFlowPath(_row_path(row, None).times(0.5), _row_facts(row), row.id)
        return dict.fromkeys(part.ports, half)
    through, facts, bores, _ = _fitting_flow_path(snapshot, part.body)
    around = _kind_row(snapshot, _kind_of(part.body), None, Direction.BRANCH)
    found: dict[str, KnownFlowPath] = {}
    bore = _bore(part.body)
    for at, port in enumerate(part.ports):
        path, cites = through.times(0.5), facts
        if at >= _SIDE_ENDS_FROM and around is not None:
            path = _less(_row_path(around, bore), path)
            cites = (*facts, *_row_facts(around))
        found[port] = KnownFlowPath(path, cites, cites[0].row_id, bores)
    return found


def run_flow_path(snapshot: Snapshot, run: LoopRun, assumptions: Assumptions) -> KnownFlowPath | Part:
    """Return the flow path through a run, or the tube whose bore nobody knows.

    Args:
        snapshot: the knowledge.
        run: the run.
        assumptions: for its length, bends and roughness.

    Validity: changes of bore are taken as sharp, from the first port to the last; what ports do stands in the drop of
    parts.
    """
    fittings = [_fitting_flow_path(snapshot, fitting) for fitting in (*run.first, *reversed(run.last))]
    used = [fitting.used_mm for fitting in fittings]
    pieces = [(fitting.path, 1) for fitting in fittings]
    facts = [fact for fitting in fittings for fact in fitting.facts]
    bores = [bore for fitting in fittings for bore in fitting.bores]
    tube_mm = None
    if run.tube is not None:
        tube_mm = tube_bore_mm(run.tube)
        if tube_mm is None:
            return run.tube
        used.insert(len(run.first), tube_mm)
        bores.append(Bore(run.tube, tube_mm))
        tube_facts, path = _tube_flow_path(run, tube_mm, assumptions)
        pieces.append((path, 1))
        facts += tube_facts
    pieces += [(_change(one, other), 1) for one, other in pairwise(used)]
    return KnownFlowPath(joined(pieces), tuple(dict.fromkeys(facts)), run.name, tuple(bores), tube_mm)


def tube_bore_mm(tube: Part) -> float | None:
    """Return the inside diameter of a tube [mm], from outside diameter and wall if need be; `None` if unknown."""
    row = tube.elements[0].row
    assert isinstance(row, Tube)
    if row.id_mm is not None:
        return row.id_mm
    return row.od_mm - 2 * row.wall_mm if row.od_mm is not None and row.wall_mm is not None else None


def _tube_flow_path(run: LoopRun, bore_mm: float, assumptions: Assumptions) -> tuple[list[Fact], FlowPath]:
    asked, tube = run.asked, run.tube
    assert tube is not None
    length = _said(run, "length_mm", asked.length_mm) or assumptions.fact("quantity/run-length")
    bends = _said(run, "bends_deg", asked.bends_deg) or assumptions.fact("quantity/bend-angle")
    roughness = assumptions.fact("quantity/tube-roughness")
    facts = [length, bends, roughness, *(fact for name in ("id_mm",) if (fact := tube.elements[0].fact(name)))]
    path = FlowPath(tubes={(bore_mm, float(roughness.value)): float(length.value)})
    angle = float(bends.value)
    if angle <= 0:
        return facts, path
    radius = _said(run, "bend_radius_mm", asked.bend_radius_mm)
    ratio = assumptions.fact("quantity/bend-radius-ratio") if radius is None else radius
    over_bore = float(ratio.value) / (bore_mm if radius is not None else 1)
    bend = _bend(over_bore, angle, bore_mm)
    return [*facts, ratio], joined([(path, 1), (local_path((bend, bend, bend), NOTHING, bore_mm), 1)])


def _said(run: LoopRun, field: str, value: float | None) -> Fact | None:
    return Fact(f"runs.{run.index}", field, value, "", "") if value is not None else None


@lru_cache(maxsize=_CACHED)
def _bend(radius_ratio: float, angle_deg: float, bore_mm: float) -> float:
    return bend_coefficient(radius_ratio, angle_deg, bore_mm)


@lru_cache(maxsize=_CACHED)
def _change(before_mm: float, after_mm: float) -> FlowPath:
    """Return the loss at a step from one bore to the next, on the narrower of the two."""
    narrows = after_mm < before_mm
    coefficient = (contraction_coefficient if narrows else expansion_coefficient)(before_mm, after_mm)
    return local_path((coefficient, coefficient, coefficient), NOTHING, min(before_mm, after_mm))


def _stated_flow_path(name: str, drop: MeasuredDrop, exponent: float) -> KnownFlowPath:
    facts = (
        Fact(name, "flow_l_min", drop.flow_l_min, "", ""),
        Fact(name, "drop_kpa", drop.drop_kpa, "", ""),
    )
    path = measured_path(drop.flow_l_min, (drop.drop_kpa, drop.drop_kpa, drop.drop_kpa), exponent)
    return KnownFlowPath(path, facts, "stated")


def _row_flow_path(snapshot: Snapshot, row: Block | Radiator, kind: Resistance | None) -> KnownFlowPath:
    """Return the flow path through an archetype; that of a row of the tables is found once."""

    def make() -> KnownFlowPath:
        if isinstance(row, Block):
            return _block_flow_path(row)
        assert kind is not None, "resistances.csv has a row for family/radiator"
        return _radiator_flow_path(snapshot, row, kind)

    return snapshot.derive(("device-flow-path", row.id), make) if snapshot.row(row.id) is row else make()


def _block_flow_path(row: Block) -> KnownFlowPath:
    drops = (row.drop_low_kpa, row.drop_kpa, row.drop_high_kpa)
    columns = ("reference_flow_l_min", "drop_kpa", "drop_low_kpa", "drop_high_kpa", "drop_exponent")
    facts = tuple(Fact(row.id, one, getattr(row, one), row.source_id, row.locator or "") for one in columns)
    return KnownFlowPath(measured_path(row.reference_flow_l_min, drops, row.drop_exponent), facts, row.id)


def _radiator_flow_path(snapshot: Snapshot, row: Radiator, kind: Resistance) -> KnownFlowPath:
    """Return the flow path through a core: friction in its tubes, and its tanks, which count as still water.

    Every pass leaves one tank and enters the next, and so do the two ports. Half of what is judged about the inner
    dimensions goes into the spread of the kind of part.
    """
    tank = _kind_row(snapshot, RESERVOIR, None)
    assert tank is not None
    tubes, spread = flat_tubes(core_of(row)), _spread(kind)
    losses = _times(tank.loss_coefficient or 0.0, spread)
    wide_mm = 2 * (tubes.section_m2 / math.pi) ** 0.5 * 1e3
    ends = joined(
        [
            (local_path(losses, NOTHING, wide_mm).times(row.passes), 1),
            (local_path(losses, NOTHING, tank.bore_mm or 0.0), 1),
            (FlowPath(flat_tubes={tubes: spread}), 1),
        ]
    )
    columns = ("tubes", "tube_rows", "passes", "tube_height_mm", "tube_width_mm", "tube_wall_mm", "core_length_mm")
    facts = tuple(Fact(row.id, one, getattr(row, one), row.source_id, row.locator or "") for one in columns)
    given = Fact(kind.id, "spread_percent", kind.spread_percent, kind.source_id, kind.locator or "")
    return KnownFlowPath(ends, (*facts, given, *_row_facts(tank)), row.id)


def _kind_row(
    snapshot: Snapshot, family: str, angle: float | None, direction: Direction = Direction.THROUGH
) -> Resistance | None:
    key = ("resistance", family, str(angle), direction.value)
    return snapshot.derive(key, lambda: resistance_row(snapshot, family, angle, direction))


def _fitting_flow_path(snapshot: Snapshot, fitting: Part) -> _FittingFlowPath:
    """Return the flow path through a fitting; that of an archetype is found once."""
    if fitting.base_id == fitting.id:
        return snapshot.derive(("fitting-flow-path", fitting.id), lambda: _found_flow_path(snapshot, fitting))
    return _found_flow_path(snapshot, fitting)


def _found_flow_path(snapshot: Snapshot, fitting: Part) -> _FittingFlowPath:
    row, bore = _fitting_row(snapshot, fitting), _bore(fitting)
    bores = (Bore(fitting, bore),) if bore is not None else ()
    used = bore or row.bore_mm or 0.0
    return _FittingFlowPath(_row_path(row, bore), (*_row_facts(row), *_bore_facts(fitting)), bores, used)


def _fitting_row(snapshot: Snapshot, fitting: Part) -> Resistance:
    row = snapshot.row(fitting.base_id) if fitting.base_id else None
    angle = row.angle_deg if isinstance(row, Fitting) else None
    found = _kind_row(snapshot, _kind_of(fitting), angle)
    assert found is not None, "resistances.csv has rows for family/fitting"
    return found


def _kind_of(fitting: Part) -> str:
    """Return the nearest family of a fitting: an archetype is the first of its own families, and no row is for it."""
    return next(one for one in fitting.families if one.startswith("family/"))


def _bore(fitting: Part) -> float | None:
    bores = [bore for end in fitting.elements if (bore := getattr(end.row, "bore_mm", None)) is not None]
    return min(bores, default=None)


def _bore_facts(fitting: Part) -> tuple[Fact, ...]:
    facts = [fact for end in fitting.elements if hasattr(end.row, "bore_mm") and (fact := end.fact("bore_mm"))]
    return (min(facts, key=lambda fact: float(fact.value)),) if facts else ()


def _spread(row: Resistance) -> LowUsualHigh:
    share = row.spread_percent / 100
    return max(1 - share, _LEAST_SHARE), 1.0, 1 + share


def _times(value: float, values: LowUsualHigh) -> LowUsualHigh:
    return values[0] * value, values[1] * value, values[2] * value


def _row_path(row: Resistance, bore_mm: float | None) -> FlowPath:
    spread = _spread(row)
    if row.drop_kpa is not None and row.reference_flow_l_min is not None and row.drop_exponent is not None:
        return measured_path(row.reference_flow_l_min, _times(row.drop_kpa, spread), row.drop_exponent)
    coefficient, laminar = row.loss_coefficient or 0.0, row.laminar_coefficient or 0.0
    bore = bore_mm or row.bore_mm or 0.0
    return local_path(_times(coefficient, spread), _times(laminar, spread), bore)


def _row_facts(row: Resistance) -> tuple[Fact, ...]:
    column = "loss_coefficient" if row.loss_coefficient is not None else "drop_kpa"
    value = row.loss_coefficient if row.loss_coefficient is not None else row.drop_kpa
    assert value is not None
    return (Fact(row.id, column, value, row.source_id, row.locator or ""),)


def _less(whole: FlowPath, part: FlowPath) -> FlowPath:
    """Return what a way round takes beyond one leg, at least as much as that leg."""

    def beyond(one: LowUsualHigh, other: LowUsualHigh) -> LowUsualHigh:
        low, usual, high = (max(a - b, b) for a, b in zip(one, other, strict=True))
        return low, usual, high

    return FlowPath(beyond(whole.squares, part.squares), beyond(whole.slopes, part.slopes))
