"""REF-002: an active row never refers to a withdrawn one."""

from __future__ import annotations

from typing import Any

from kb.checks import references_active


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(references_active) == []


def test_a_fitting_end_with_a_withdrawn_ring(spoil: Any) -> None:
    spoil.add(
        "seals",
        "seal/o-ring-12x2",
        id="seal/o-ring-12x2-misprint",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    spoil.set("fitting_ends", "end/rigid-12-g-1-4-b", seal_id="seal/o-ring-12x2-misprint")
    assert spoil.places() == [spoil.place("REF-002", "fitting_ends", "end/rigid-12-g-1-4-b", "seal_id")]


def test_a_withdrawn_row_may_lean_on_a_withdrawn_one(spoil: Any) -> None:
    spoil.add(
        "seals",
        "seal/o-ring-12x2",
        id="seal/o-ring-12x2-misprint",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    spoil.add(
        "aliases",
        "alias/10-13",
        id="alias/misprint",
        words="misprint",
        part_id="seal/o-ring-12x2-misprint",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    assert spoil.places() == []
