"""SEA-001: the section of an O-ring is smaller than its inside."""

from __future__ import annotations

from typing import Any

from kb.checks import seal_sections


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(seal_sections) == []


def test_a_section_wider_than_the_ring(spoil: Any) -> None:
    spoil.set("seals", "seal/iso-3601-013", section_mm="10.82", o_ring_id_mm="1.78")
    assert spoil.places() == [spoil.place("SEA-001", "seals", "seal/iso-3601-013", "section_mm")]
