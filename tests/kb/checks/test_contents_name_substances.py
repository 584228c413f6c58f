"""FLU-002: what a substance contains is named as an additive or a family, or stands in brackets."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import contents_name_substances


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(contents_name_substances) == []


@pytest.mark.parametrize("table, row", [("fluids", "fluid/water-molybdate-azole"), ("additives", "additive/nitrite")])
def test_a_content_that_nothing_is_called(spoil: Any, table: str, row: str) -> None:
    spoil.set(table, row, contains="nitrite; azzole; (rest not told)")
    assert spoil.places() == [spoil.place("FLU-002", table, row, "contains")]
