"""DIS-001: a dispute says something other than the rule it disputes."""

from __future__ import annotations

from typing import Any

from kb.checks import disputes_disagree


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(disputes_disagree) == []


def test_a_dispute_that_agrees(spoil: Any) -> None:
    spoil.set("disputes", "dispute/aluminium-pure-water-barred", verdict="conditional")
    assert spoil.places() == [spoil.place("DIS-001", "disputes", "dispute/aluminium-pure-water-barred", "verdict")]
