"""ADD-001: the low dose of an additive is not above the high one."""

from __future__ import annotations

from typing import Any

from kb.checks import additive_doses


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(additive_doses) == []


def test_a_low_dose_above_the_high_one(spoil: Any) -> None:
    spoil.set("additives", "additive/benzotriazole", dose_low_mg_per_l="200", dose_high_mg_per_l="50")
    assert spoil.places() == [spoil.place("ADD-001", "additives", "additive/benzotriazole", "dose_low_mg_per_l")]
