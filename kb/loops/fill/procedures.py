"""Which steps and which maintenance concern a loop.

Owns: choosing and ordering rows by what stands in the loop. Does not own: the rows, or what stands in it
(`kb/loops/fill/subjects.py`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from types import MappingProxyType
from typing import NamedTuple

from kb.loops.loop import ResolvedLoop
from kb.store.snapshot import Snapshot
from schemas.tables.fluids import Fluid
from schemas.tables.maintenance import Maintenance, MaintenanceKind
from schemas.tables.procedures import Procedure, Stage

_STAGES = MappingProxyType({stage: at for at, stage in enumerate(Stage)})
_NEVER = float("inf")


class Task(NamedTuple):
    """Something to do again and again, and where.

    Attributes:
        row: what.
        places: where in the loop; empty if it is about the whole.
    """

    row: Maintenance
    places: tuple[str, ...]


def steps_for(snapshot: Snapshot, subjects: Mapping[str, tuple[str, ...]]) -> tuple[Procedure, ...]:
    """Return the steps that concern a loop, in the order of doing.

    Args:
        snapshot: the knowledge.
        subjects: what stands in the loop.
    """
    rows = (row for row in snapshot.active(Procedure) if row.subject_id in subjects)
    return tuple(sorted(rows, key=lambda row: (_STAGES[row.stage], row.position, row.id)))


def maintenance_for(snapshot: Snapshot, subjects: Mapping[str, tuple[str, ...]]) -> tuple[Task, ...]:
    """Return what to do again and again in a loop, the first due first.

    Args:
        snapshot: the knowledge.
        subjects: what stands in the loop, with its places.
    """
    rows = (row for row in snapshot.active(Maintenance) if row.subject_id in subjects)
    return tuple(Task(row, subjects[row.subject_id]) for row in sorted(rows, key=_due))


def _due(row: Maintenance) -> tuple[float, float, str]:
    return row.first_after_days or _NEVER, row.every_months or _NEVER, row.id


def change_fluid_months(loop: ResolvedLoop, tasks: Iterable[Task]) -> float | None:
    """Return after how many months the fluid is changed: the shortest of what fluid and materials ask; none if unknown.

    Args:
        loop: the loop.
        tasks: what concerns it.
    """
    asked = [task.row.every_months for task in tasks if task.row.task is MaintenanceKind.CHANGE_FLUID]
    row = loop.fluid.elements[0].row if loop.fluid is not None else None
    asked += [row.service_interval_months] if isinstance(row, Fluid) else []
    return min((months for months in asked if months is not None), default=None)
