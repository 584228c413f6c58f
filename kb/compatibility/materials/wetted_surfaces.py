"""The wetted surfaces of a part, and their materials.

Owns: surfaces from what the asker says and from what parts are usually made of. Does not own: the usual materials
(rows of wetted_materials.csv) or judging them (`kb/compatibility/materials/exposure.py`).
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

from kb.parts.part import Element
from kb.parts.substances import material_element
from kb.store.snapshot import Snapshot
from schemas.tables.wetted_materials import WettedMaterial, WettedRole

MM2_PER_CM2 = 100
UNDER_PLATING = frozenset({WettedRole.BODY, WettedRole.BASE_PLATE, WettedRole.CORE})


class Surface(NamedTuple):
    """One surface of a part.

    Attributes:
        place: the part it belongs to.
        role: which surface.
        material: its material.
        usual: the row it was taken from; `None` if the asker named the material.
        area: wetted area [cm2], `None` if unknown.
        is_plated: whether a plating covers it, so that coolant touches it only where the plating is breached.
    """

    place: str
    role: WettedRole
    material: Element
    usual: WettedMaterial | None
    area: float | None
    is_plated: bool


def tube_wetted_area_cm2(inside_diameter: float, length: float) -> float:
    """Return the wetted area of a tube [cm2]: pi d l / 100.

    Args:
        inside_diameter: d [mm].
        length: l [mm].

    Source: plane geometry.

    >>> round(tube_wetted_area_cm2(10.0, 1000.0), 1)
    314.2
    """
    return math.pi * inside_diameter * length / MM2_PER_CM2


def surfaces_of(
    snapshot: Snapshot,
    place: str,
    families: tuple[str, ...],
    given: Mapping[str, str | None],
    areas: Mapping[str, float] | None = None,
) -> tuple[Surface, ...]:
    """Return the surfaces of a part; none if nobody said and nothing is usual.

    What the asker names replaces the usual material of that role; other roles stay usual.

    Args:
        snapshot: the knowledge.
        place: name of the part.
        families: ids of the part, nearest first.
        given: role -> material id that the asker named; `None` if there is no such surface.
        areas: role -> wetted area [cm2] that the asker named.
    """
    usual = dict(snapshot.wetted(families))
    stated = {WettedRole(role): material for role, material in given.items()}
    materials = {role: row.material_id for role, row in usual.items() if role not in stated}
    materials |= {role: material for role, material in stated.items() if material is not None}
    plated = WettedRole.PLATING in materials
    return tuple(
        Surface(
            place=place,
            role=role,
            material=material_element(snapshot, material),
            usual=None if role.value in given else usual[role],
            area=(areas or {}).get(role.value),
            is_plated=plated and role in UNDER_PLATING,
        )
        for role, material in sorted(materials.items())
    )
