"""MAT-005: a value that speaks first and lies outside all its rivals says why."""

from __future__ import annotations

from typing import Any

from kb.checks import property_ranks
from kb.store.snapshot import Snapshot
from schemas.tables.material_properties import MaterialProperty


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(property_ranks) == []


def test_every_reason_is_needed(spoil: Any, snapshot: Snapshot) -> None:
    """Without its reason each of these rows is refused, at the cell where the reason belongs."""
    for row in [row for row in snapshot.active(MaterialProperty) if row.rank_reason][::9]:
        spoil.set("material_properties", row.id, rank_reason="")
        assert spoil.place("MAT-005", "material_properties", row.id, "rank_reason") in spoil.places()
        spoil.set("material_properties", row.id, rank_reason=row.rank_reason)
