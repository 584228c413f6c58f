"""TOL-002: tolerances of one subject, dimension and source hold for separate sizes."""

from __future__ import annotations

from typing import Any

from kb.checks import tolerance_ranges


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(tolerance_ranges) == []


def test_two_ranges_of_one_source_that_share_a_size(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/soft-od-over-1-2", from_mm="12.7")
    assert spoil.places() == [spoil.place("TOL-002", "tolerances", "tolerance/soft-od-over-1-2", "from_mm")]


def test_a_range_that_ends_before_it_begins(spoil: Any) -> None:
    spoil.set("tolerances", "tolerance/b88-od-1", to_mm="20")
    assert spoil.places() == [spoil.place("TOL-002", "tolerances", "tolerance/b88-od-1", "from_mm")]


def test_two_sources_may_speak_of_one_size(spoil: Any) -> None:
    spoil.add(
        "tolerances",
        "tolerance/acrylic-od",
        id="tolerance/acrylic-od-chart",
        source_id="source/extruder-tolerance-chart",
        basis="published",
        locator="chart",
        checked_by="editor",
        how_seen="original",
    )
    assert spoil.places() == []
