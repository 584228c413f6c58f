"""A radiator with its fans as it stands in its place: lengths, holes and sizes, and where each figure comes from.

Owns: taking the asker's figures over those of archetypes. Does not own: judging them (`kb/loops/space/stacks.py`,
`kb/loops/space/screws.py`).
"""

from __future__ import annotations

from typing import NamedTuple

from kb.evidence.tree import Fact
from kb.loops.loop import LoopPart, ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.questions.loop import Place, RadiatorInLoop, Screws
from schemas.tables.fans import Fan
from schemas.tables.radiators import Radiator

BOTH_FACES = 2


class RadiatorPlace(NamedTuple):
    """A radiator, its fans and its place.

    Attributes:
        name: its name in the loop.
        row: its archetype; `None` if it names none.
        families: whose limits apply.
        thickness: thickness of the radiator alone [mm].
        fan_thickness: thickness of one fan's frame [mm].
        fan_holes: spacing of a fan's holes [mm].
        fan_size: edge of a fan [mm].
        faces: faces that carry fans.
        packing_mm: washers, gaskets and guards of one face [mm].
        screws: `None` if nothing is said of them.
        place: `None` if nothing is said of it.
    """

    name: str
    row: Radiator | None
    families: tuple[str, ...]
    thickness: Fact | None
    fan_thickness: Fact | None
    fan_holes: Fact | None
    fan_size: Fact | None
    faces: int
    packing_mm: float
    screws: Screws | None
    place: Place | None

    def own(self, column: str) -> Fact | None:
        """Return a column of the radiator's row; `None` without a row."""
        return row_fact(self.row, column) if self.row is not None else None

    def asked(self, field: str) -> Fact | None:
        """Return a figure of the place; `None` if the question does not say it."""
        value = getattr(self.place, field, None)
        return Fact(f"{self.name}, its place", field, value, "", "") if value is not None else None


def radiator_places(snapshot: Snapshot, loop: ResolvedLoop) -> tuple[RadiatorPlace, ...]:
    """Return the radiators of a loop as they stand in their places.

    Args:
        snapshot: the knowledge.
        loop: the loop.
    """
    return tuple(
        _placed(snapshot, part, part.asked) for part in loop.parts.values() if isinstance(part.asked, RadiatorInLoop)
    )


def row_fact(row: Radiator | Fan, column: str) -> Fact:
    """Return a column of a row as a fact."""
    return Fact(row.id, column, getattr(row, column), row.source_id, row.locator or "")


def _placed(snapshot: Snapshot, part: LoopPart, asked: RadiatorInLoop) -> RadiatorPlace:
    row = part.row if isinstance(part.row, Radiator) else None
    fan = _fan(snapshot, asked)
    thickness = row_fact(row, "thickness_mm") if row is not None else None
    if asked.thickness_mm is not None:
        thickness = Fact(part.name, "thickness_mm", asked.thickness_mm, "", "")
    faces = 0
    if asked.fans is not None:
        faces = BOTH_FACES if asked.fans.arrangement == "push-pull" else 1
    return RadiatorPlace(
        name=part.name,
        row=row,
        families=part.families,
        thickness=thickness,
        fan_thickness=_fan_fact(part.name, asked, fan, "thickness_mm"),
        fan_holes=_fan_fact(part.name, asked, fan, "hole_spacing_mm"),
        fan_size=row_fact(fan, "fan_size_mm") if fan is not None else None,
        faces=faces,
        packing_mm=asked.screws.washer_mm if asked.screws is not None else 0.0,
        screws=asked.screws,
        place=asked.place,
    )


def _fan(snapshot: Snapshot, asked: RadiatorInLoop) -> Fan | None:
    return None if asked.fans is None else snapshot.get(Fan, asked.fans.is_)


def _fan_fact(name: str, asked: RadiatorInLoop, fan: Fan | None, column: str) -> Fact | None:
    stated = getattr(asked.fans, column, None)
    if stated is not None:
        return Fact(f"fans of {name}", column, stated, "", "")
    return row_fact(fan, column) if fan is not None else None
