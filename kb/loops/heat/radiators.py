"""From what a question says of a radiator, its fans and its surroundings to what is computed with.

Owns: archetypes with the asker's figures put over them, fans at their speed in push, pull or both, filters and grilles,
air. Does not own: the computation (`kb/formulas/heat/radiator_performance.py`) or the heat of the loop.
Fans behind each other are the same fans twice: pressures add. Nothing is known of what heat a core rejects without a
fan, so a radiator without running fans counts as rejecting nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from kb.evidence.tree import Finding, Missing
from kb.formulas.heat.core_resistance import Obstacle as ObstacleKind
from kb.formulas.heat.core_resistance import obstacle_loss
from kb.formulas.heat.fan_coverage import Coverage, coverage_of
from kb.formulas.heat.fan_curve import FanCurve, curve_at_speed, curve_of_points
from kb.formulas.heat.fan_laws import sound_at_speed, sounds_together
from kb.formulas.heat.radiator_performance import RadiatorModel, prepare_radiator
from kb.loops.fan_faults import size_finding
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.faults import QuestionError
from kb.store.snapshot import Snapshot
from schemas.level import Judgement
from schemas.messages import Gap
from schemas.questions.loop import Fans, Obstacle, RadiatorInLoop
from schemas.tables.fan_points import FanPoint
from schemas.tables.fans import Fan
from schemas.tables.material_properties import PropertyName
from schemas.tables.radiators import Radiator
from schemas.tables.wetted_materials import WettedRole

RADIATOR_UNKNOWN = Gap.RADIATOR_UNKNOWN.value
RADIATOR_OUT_OF_RANGE = Gap.RADIATOR_OUT_OF_RANGE.value
FANS_UNKNOWN = Gap.FANS_UNKNOWN.value
_FULL_PERCENT = 100
_ROUNDING_SHARE = 1e-9


class FanSetup(NamedTuple):
    """The fans of a radiator.

    Attributes:
        row: their archetype.
        curve: one fan at its greatest speed.
        speed_rpm: speed they turn at.
        speed_max_rpm: their greatest speed.
        sections: fans on one face.
        stopped: how many of these stand still.
        arrangement: `push`, `pull` or `push-pull`.
        sound_level_db: level of one fan at its greatest speed.
    """

    row: Fan
    curve: FanCurve
    speed_rpm: float
    speed_max_rpm: float
    sections: int
    stopped: int
    arrangement: str
    sound_level_db: float

    @property
    def running(self) -> int:
        """Sections with air: fans on one face that turn."""
        return self.sections - self.stopped if self.speed_rpm > 0 else 0

    @property
    def fans(self) -> int:
        """All fans that turn."""
        return self.running * (2 if self.arrangement == "push-pull" else 1)

    @property
    def speed_ratio(self) -> float:
        """Speed over greatest speed [-]."""
        return self.speed_rpm / self.speed_max_rpm

    @property
    def sound_db(self) -> float | None:
        """Level of all its running fans together, none if all stand still."""
        if self.fans == 0:
            return None
        one = sound_at_speed(self.sound_level_db, self.speed_ratio)
        return sounds_together([one] * self.fans)


class RadiatorSetup(NamedTuple):
    """A radiator as it is computed with.

    Attributes:
        name: its name in the loop.
        title: what people call it.
        row: its archetype with the asker's figures; `None` if nothing is known of its core.
        model: the same, prepared; `None` as above.
        fans: its fans; `None` if there are none or nothing fitting is known of them.
        coverage: share of a section that carries air; `None` without fans.
        obstacle_loss: loss of filters and grilles together.
        obstacles: what they are.
        air_c: the air of its own.
        air_from: radiator -> share of its air that comes out of that one [-].
    """

    name: str
    title: str
    row: Radiator | None
    model: RadiatorModel | None
    fans: FanSetup | None
    coverage: Coverage | None
    obstacle_loss: float
    obstacles: tuple[Obstacle, ...]
    air_c: float
    air_from: Mapping[str, float]

    @property
    def blows(self) -> bool:
        """Whether air moves through a core that is known."""
        return self.model is not None and self.fans is not None and self.fans.running > 0


def radiator_setups(
    snapshot: Snapshot, loop: ResolvedLoop, room_air_c: float
) -> tuple[tuple[RadiatorSetup, ...], tuple[Finding, ...]]:
    """Return the radiators of a loop as they are computed with, and what keeps them from being computed with.

    Args:
        snapshot: the knowledge.
        loop: the loop.
        room_air_c: air of the room [degC], for radiators that say nothing of their own.

    Raises:
        QuestionError: if a radiator has more fans than places for them, more of them stand still than there are, or
            more air comes from other radiators than it takes.
    """
    setups: list[RadiatorSetup] = []
    findings: list[Finding] = []
    for part in loop.parts.values():
        if isinstance(part.asked, RadiatorInLoop):
            setup, gap = _setup(snapshot, part, part.asked, room_air_c)
            setups.append(setup)
            findings += [gap] if gap is not None else []
    _refuse_closed_air(setups)
    return tuple(setups), tuple(findings)


def _refuse_closed_air(setups: Sequence[RadiatorSetup]) -> None:
    """Refuse radiators whose air goes round in circles between them: their heat would have nowhere to go."""
    closed = {one.name: one for one in setups if sum(one.air_from.values()) >= 1 - _ROUNDING_SHARE}
    while closed:
        fed = [name for name, one in closed.items() if not set(one.air_from) <= set(closed)]
        if not fed:
            what = f"the air of {' and '.join(sorted(closed))} only goes round in circles"
            raise QuestionError(f"parts.{min(closed)}.air_from", what, "let a part of it be fresh")
        for name in fed:
            del closed[name]


def _setup(
    snapshot: Snapshot, part: LoopPart, asked: RadiatorInLoop, room_air_c: float
) -> tuple[RadiatorSetup, Finding | None]:
    row, model, gap = _core(snapshot, part, asked)
    fans = None
    if row is not None and gap is None:
        fans, gap = _fans(snapshot, part, row, asked.fans)
    setup = RadiatorSetup(
        name=part.name,
        title=asked.title or (row.title if row is not None else "radiator"),
        row=row,
        model=model,
        fans=fans,
        coverage=coverage_of(fans.row, model.section_m2) if fans is not None and model is not None else None,
        obstacle_loss=obstacles_loss(asked.obstacles),
        obstacles=asked.obstacles,
        air_c=asked.air_c if asked.air_c is not None else room_air_c,
        air_from=_air_from(part.name, asked),
    )
    return setup, gap


def _core(
    snapshot: Snapshot, part: LoopPart, asked: RadiatorInLoop
) -> tuple[Radiator | None, RadiatorModel | None, Finding | None]:
    if not isinstance(part.row, Radiator):
        return None, None, _gap(RADIATOR_UNKNOWN, part.name, "core", f"parts.{part.name}.is")
    row = _overridden(part.name, part.row, asked)
    conductivity = _fin_conductivity(snapshot, row, asked)
    if conductivity is None:
        return row, None, _gap(RADIATOR_UNKNOWN, part.name, "conductivity of the fins", "fin_material_id")
    try:
        return row, prepare_radiator(row, row.fans, conductivity), None
    except ValueError:
        return row, None, _gap(RADIATOR_OUT_OF_RANGE, part.name, "fins within the correlations", "fins_per_inch")


def _gap(code: str, name: str, what: str, column: str) -> Finding:
    return Finding(code, Judgement.GAP, name, (Missing(name, what, column),))


def _overridden(name: str, row: Radiator, asked: RadiatorInLoop) -> Radiator:
    """Put the asker's fins and thickness over the archetype: a thicker core is deeper by as much, tanks and all."""
    if asked.fins_per_inch is not None:
        row = replace(row, fins_per_inch=asked.fins_per_inch)
    if asked.thickness_mm is not None and asked.thickness_mm != row.thickness_mm:
        depth = row.core_depth_mm + asked.thickness_mm - row.thickness_mm
        if depth <= 0:
            what = f"a core cannot be {asked.thickness_mm:g} mm thick with the frame of {row.id}"
            raise QuestionError(f"parts.{name}.thickness_mm", what, "name an archetype of nearer thickness")
        width = row.tube_width_mm * depth / row.core_depth_mm
        row = replace(row, thickness_mm=asked.thickness_mm, core_depth_mm=depth, tube_width_mm=width)
    return row


def _fin_conductivity(snapshot: Snapshot, row: Radiator, asked: RadiatorInLoop) -> float | None:
    """Return the conductivity of the fins: of the core's material if the asker names it, else of the archetype's."""
    named = asked.materials.get(WettedRole.CORE)
    material = named if isinstance(named, str) else row.fin_material_id
    found = snapshot.material_property(material, PropertyName.THERMAL_CONDUCTIVITY)
    return found.value if found is not None else None


def _fans(
    snapshot: Snapshot, part: LoopPart, row: Radiator, asked: Fans | None
) -> tuple[FanSetup | None, Finding | None]:
    """Return the fans, or what keeps them from being computed with: none, or fans of another size."""
    if asked is None:
        return None, _gap(FANS_UNKNOWN, part.name, "fans", f"parts.{part.name}.fans")
    fan = snapshot.get(Fan, asked.is_)
    size = size_finding(snapshot, part, fan)
    if size is not None and size.judgement is not Judgement.PASS:
        return None, size
    return _fan_setup(snapshot, part.name, row.fans, fan, asked), None


def _fan_setup(snapshot: Snapshot, name: str, places: int, fan: Fan, asked: Fans) -> FanSetup:
    count = asked.count if asked.count is not None else places
    if count > places:
        what = f"{count} fans do not fit on one face with {places} places"
        raise QuestionError(f"parts.{name}.fans.count", what, f"name at most {places}, in push-pull, too")
    if asked.stopped > count:
        what = f"{asked.stopped} of {count} fans cannot stand still"
        raise QuestionError(f"parts.{name}.fans.stopped", what, f"name at most {count}")
    speed_max = asked.speed_max_rpm or fan.speed_max_rpm
    return FanSetup(
        row=fan,
        curve=_curve(snapshot, fan, asked, speed_max),
        speed_rpm=asked.speed_rpm if asked.speed_rpm is not None else speed_max,
        speed_max_rpm=speed_max,
        sections=count,
        stopped=asked.stopped,
        arrangement=asked.arrangement,
        sound_level_db=_sound(fan, asked, speed_max),
    )


def _curve(snapshot: Snapshot, fan: Fan, asked: Fans, speed_max: float) -> FanCurve:
    """Return one fan at its greatest speed: the archetype by the fan laws, stretched to what the asker gives."""
    curve = table_curve(snapshot, fan)
    if speed_max != fan.speed_max_rpm:
        curve = curve_at_speed(curve, speed_max / fan.speed_max_rpm)
    wider = asked.flow_max_m3_per_h / (curve.free_flow_m3_per_s * 3600) if asked.flow_max_m3_per_h else 1.0
    higher = asked.pressure_max_pa / curve.pressures_pa[0] if asked.pressure_max_pa else 1.0
    return FanCurve(
        tuple(flow * wider for flow in curve.flows_m3_per_s),
        tuple(pressure * higher for pressure in curve.pressures_pa),
    )


def table_curve(snapshot: Snapshot, fan: Fan) -> FanCurve:
    """Return the curve of a fan of the tables at its greatest speed.

    Args:
        snapshot: the knowledge.
        fan: the row.
    """

    def make() -> FanCurve:
        points = [point for point in snapshot.active(FanPoint) if point.fan_id == fan.id]
        return curve_of_points([(point.flow_m3_per_h, point.pressure_pa) for point in points])

    return snapshot.derive(("fan-curve", fan.id), make)


def _sound(fan: Fan, asked: Fans, speed_max: float) -> float:
    if asked.sound_level_dba is not None:
        return asked.sound_level_dba
    return sound_at_speed(fan.sound_level_dba, speed_max / fan.sound_speed_rpm)


def obstacles_loss(obstacles: Sequence[Obstacle], open_times: float = 1.0) -> float:
    """Return the loss of filters and grilles behind each other [-].

    Args:
        obstacles: what stands before the radiator.
        open_times: how much of the open share of filters is left, 1 for clean ones [-].

    Validity and source: as `kb.formulas.heat.core_resistance.obstacle_loss`; losses add.
    """
    return sum(
        obstacle_loss(
            ObstacleKind(one.kind),
            one.open_share_percent / _FULL_PERCENT * (open_times if one.kind == ObstacleKind.FILTER.value else 1.0),
        )
        for one in obstacles
    )


def _air_from(name: str, asked: RadiatorInLoop) -> dict[str, float]:
    shares = {other: percent / _FULL_PERCENT for other, percent in asked.air_from.items() if percent > 0}
    if name in shares:
        what = "a radiator cannot draw its air from itself"
        raise QuestionError(f"parts.{name}.air_from", what, "name other radiators only")
    if sum(shares.values()) > 1:
        what = f"{sum(shares.values()) * _FULL_PERCENT:g} % of the air come from other radiators"
        raise QuestionError(f"parts.{name}.air_from", what, "let the shares sum to 100 at most")
    return shares
