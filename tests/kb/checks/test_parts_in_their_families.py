"""FAM-002: a row stands under the root family of its kind."""

from __future__ import annotations

from typing import Any

from kb.checks import parts_in_their_families


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(parts_in_their_families) == []


def test_a_tube_among_the_fittings(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", family_id="family/fitting")
    assert spoil.places() == [spoil.place("FAM-002", "tubes", "tube/soft-10x13", "family_id")]
