"""LVL-002: a rule of topic contact is never told of the fluid alone."""

from __future__ import annotations

from typing import Any

from kb.checks import contact_is_no_fluid_scope


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(contact_is_no_fluid_scope) == []


def test_a_contact_told_of_the_fluid_alone(spoil: Any) -> None:
    spoil.set("rules", "rule/abs-in-acetone", scope="fluid")
    assert spoil.places() == [spoil.place("LVL-002", "rules", "rule/abs-in-acetone", "scope")]
