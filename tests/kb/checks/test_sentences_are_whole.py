"""TXT-001: what is shown as a sentence begins large and ends with a full stop."""

from __future__ import annotations

from typing import Any

from kb.checks import sentences_are_whole


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(sentences_are_whole) == []


def test_a_reason_without_full_stop(spoil: Any) -> None:
    spoil.set("rules", "rule/petg-warm", reason="It creeps")
    assert spoil.places() == [spoil.place("TXT-001", "rules", "rule/petg-warm", "reason")]


def test_a_caution_that_begins_small(spoil: Any) -> None:
    spoil.set("cautions", "caution/leak-test", text="test first.")
    assert spoil.places() == [spoil.place("TXT-001", "cautions", "caution/leak-test", "text")]
