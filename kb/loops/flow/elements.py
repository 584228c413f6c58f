"""From rows of the tables to elements of a network: pumps, blocks, fittings and runs of tube.

Owns: which row speaks for a part, and which of its figures are used. Does not own: the formulas, or which parts a loop
has. What is only known as a range is asked for at its low, usual or high end, so that a loop solved three times gives
the uncertainty range of its flow.
"""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

from kb.formulas.coolant.coolant import Coolant, water_at
from kb.formulas.flow.flow_elements import Chain, Element, LocalLoss, MeasuredPart, TubeLength
from kb.formulas.flow.flow_elements import Pump as PumpElement
from kb.formulas.flow.flow_path import REFERENCE_C, Restriction
from kb.formulas.flow.minor_losses import bend_coefficient, contraction_coefficient, expansion_coefficient
from kb.formulas.flow.pump_curve import PumpCurve, pump_curve
from kb.formulas.flow.reference_point import coolant_factor
from kb.store.snapshot import Snapshot
from schemas.tables.blocks import Block
from schemas.tables.pump_points import PumpPoint
from schemas.tables.pumps import Pump
from schemas.tables.resistances import Direction, Resistance

_LEAST_SHARE = 0.05  # a spread of 100 % downwards still leaves some resistance


class Passage(NamedTuple):
    """A fitting as the flow meets it.

    Attributes:
        row: its row of resistances.csv.
        bore_mm: its narrowest bore; `None` if unknown.
    """

    row: Resistance
    bore_mm: float | None

    @property
    def used_bore_mm(self) -> float:
        """The bore its coefficient refers to: its own, else the usual one of its kind."""
        return self.bore_mm or self.row.bore_mm or 0.0


class RunGeometry(NamedTuple):
    """A run: fittings, a tube, fittings.

    Attributes:
        first: fittings from the first port to the tube.
        bore_mm: inside diameter of the tube.
        length_mm: length of the tube.
        roughness_mm: roughness of its wall.
        bend_angle_deg: angle of all its bends together; 0 for none.
        bend_radius_ratio: radius of the bends over the bore.
        last: fittings from the tube to the last port.
    """

    first: tuple[Passage, ...]
    bore_mm: float
    length_mm: float
    roughness_mm: float
    bend_angle_deg: float
    bend_radius_ratio: float
    last: tuple[Passage, ...]


def curve_of(snapshot: Snapshot, pump: Pump) -> PumpCurve:
    """Return the curve of a pump of the tables.

    Args:
        snapshot: the knowledge.
        pump: the row.

    Raises:
        CurveError: if its points are no curve; the checks of the tables refuse that.
    """

    def make() -> PumpCurve:
        points = [(row.flow_l_min, row.head_kpa) for row in snapshot.active(PumpPoint) if row.pump_id == pump.id]
        return pump_curve(points, pump.stopped_flow_l_min, pump.stopped_drop_kpa)

    return snapshot.derive(("pump-curve", pump.id), make)


def pump_element(snapshot: Snapshot, pump: Pump, speed_percent: float) -> PumpElement:
    """Return a pump at a share of its full speed.

    Args:
        snapshot: the knowledge.
        pump: the row.
        speed_percent: share of full speed [%]; 0 is a dead pump.
    """
    return PumpElement(curve_of(snapshot, pump), speed_percent / 100)


def block_element(block: Block, coolant: Coolant, restriction: Restriction) -> MeasuredPart:
    """Return a block with the coolant that flows.

    Args:
        block: the row.
        coolant: what flows.
        restriction: which of its three drops is taken.
    """
    drops = {
        Restriction.LOW: block.drop_low_kpa,
        Restriction.USUAL: block.drop_kpa,
        Restriction.HIGH: block.drop_high_kpa,
    }
    return _measured(block.reference_flow_l_min, drops[restriction], block.drop_exponent, coolant)


def resistance_row(
    snapshot: Snapshot, family_id: str, angle_deg: float | None, direction: Direction = Direction.THROUGH
) -> Resistance | None:
    """Return the row that speaks for a kind of part: of the nearest family that has one, the one of the nearest angle.

    Args:
        snapshot: the knowledge.
        family_id: the kind of part.
        angle_deg: its angle [deg]; `None` if it has none, which counts as 0.
        direction: straight on or into a branch.
    """
    for family in snapshot.families(family_id):
        rows = [row for row in snapshot.active(Resistance) if row.family_id == family and row.direction is direction]
        if rows:
            return min(rows, key=lambda row: (abs((row.angle_deg or 0.0) - (angle_deg or 0.0)), row.id))
    return None


def resistance_element(
    row: Resistance, bore_mm: float | None, coolant: Coolant, restriction: Restriction
) -> LocalLoss | MeasuredPart:
    """Return a kind of part with the coolant that flows.

    Args:
        row: the row that speaks for it.
        bore_mm: its own bore [mm]; `None` takes the usual one.
        coolant: what flows.
        restriction: whether its spread is added, taken away or left.
    """
    share = max(1 + restriction.value * row.spread_percent / 100, _LEAST_SHARE)
    if row.drop_kpa is not None and row.reference_flow_l_min is not None and row.drop_exponent is not None:
        return _measured(row.reference_flow_l_min, share * row.drop_kpa, row.drop_exponent, coolant)
    coefficient, laminar = row.loss_coefficient or 0.0, row.laminar_coefficient or 0.0
    return LocalLoss(Passage(row, bore_mm).used_bore_mm, share * coefficient, share * laminar, coolant)


def run_element(run: RunGeometry, coolant: Coolant, restriction: Restriction) -> Chain:
    """Return a run as one element: fittings, changes of bore, bends and tube.

    Args:
        run: its geometry.
        coolant: what flows.
        restriction: which end of the fittings' spread is taken; tube, bends and changes of bore have none.

    Validity: changes of bore are taken as sharp, in the direction from first to last. A bend's coefficient holds the
    friction of its own length once more, less than a tenth of a kilopascal. What ports do stands in the drop of parts.
    """
    passages = (*run.first, *run.last)
    fittings = [resistance_element(one.row, one.bore_mm, coolant, restriction) for one in passages]
    tube = TubeLength(run.bore_mm, run.length_mm, run.roughness_mm, coolant)
    bores = [one.used_bore_mm for one in run.first], [one.used_bore_mm for one in run.last]
    changes = _bore_changes([*bores[0], run.bore_mm, *bores[1]], coolant)
    return Chain((*fittings, tube, *_bends(run, coolant), *changes))


def _measured(flow_l_min: float, drop_kpa: float, exponent: float, coolant: Coolant) -> MeasuredPart:
    factor = coolant_factor(exponent, water_at(REFERENCE_C), coolant)
    return MeasuredPart(flow_l_min, drop_kpa * factor, exponent)


def _bends(run: RunGeometry, coolant: Coolant) -> tuple[Element, ...]:
    if run.bend_angle_deg <= 0:
        return ()
    coefficient = bend_coefficient(run.bend_radius_ratio, run.bend_angle_deg, run.bore_mm)
    return (LocalLoss(run.bore_mm, coefficient, 0.0, coolant),)


def _bore_changes(bores_mm: list[float], coolant: Coolant) -> tuple[Element, ...]:
    """Return the loss at every step from one bore to the next, on the narrower of the two."""
    steps = [(min(one, other), _step_coefficient(one, other)) for one, other in pairwise(bores_mm)]
    return tuple(LocalLoss(bore, coefficient, 0.0, coolant) for bore, coefficient in steps if coefficient)


def _step_coefficient(before_mm: float, after_mm: float) -> float:
    if after_mm < before_mm:
        return contraction_coefficient(before_mm, after_mm)
    return expansion_coefficient(before_mm, after_mm)
