"""FAM-001: no family is its own ancestor."""

from __future__ import annotations

from typing import Any

from kb.checks import families_form_trees


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(families_form_trees) == []


def test_a_family_that_is_its_own_parent(spoil: Any) -> None:
    spoil.set("families", "family/block", parent_id="family/block")
    assert spoil.places() == [spoil.place("FAM-001", "families", "family/block", "parent_id")]


def test_a_cycle_of_two_families_is_reported_once(spoil: Any) -> None:
    spoil.set("families", "family/tube-rigid", parent_id="family/tube-rigid-plastic")
    assert spoil.places() == [spoil.place("FAM-001", "families", "family/tube-rigid", "parent_id")]


def test_a_new_root_is_no_fault(spoil: Any) -> None:
    spoil.add("families", "family/tube", id="family/wire", title="wire")
    assert spoil.places() == []
