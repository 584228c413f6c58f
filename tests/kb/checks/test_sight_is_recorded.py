"""SRC-011: a published or measured row says who held it against its source and in what form that was read."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import sight_is_recorded

RULE = "rule/aluminium-in-pure-water"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(sight_is_recorded) == []


@pytest.mark.parametrize("column", ["checked_by", "how_seen"])
def test_nobody_says_who_looked_or_how(spoil: Any, column: str) -> None:
    spoil.set("rules", RULE, **{column: ""})
    assert spoil.places() == [spoil.place("SRC-011", "rules", RULE, column)]
