"""MSG-002: the words of a message use the places that the program fills, each of them and no other."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import message_places

ROW = "message/dimension-missing"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(message_places) == []


@pytest.mark.parametrize(
    "sentence",
    [
        "The {what} of {subject} at {place} is not known.",
        "The {what} of {subject.__class__} is not known.",
        "The {what} of {subject!r} is not known.",
        "The {what} of {subject} and {} is not known.",
        "The {what} of {subject is not known.",
        "The size of {subject} is not known.",
    ],
)
def test_a_place_that_is_unknown_broken_or_left_out(spoil: Any, sentence: str) -> None:
    spoil.set("messages", ROW, sentence=sentence)
    assert set(spoil.places()) == {spoil.place("MSG-002", "messages", ROW, "sentence")}


def test_an_unknown_place_in_a_remedy(spoil: Any) -> None:
    spoil.set("messages", ROW, remedy="Measure {it}.")
    assert spoil.places() == [spoil.place("MSG-002", "messages", ROW, "remedy")]


@pytest.mark.parametrize("places", ["", "what", "what subject place"])
def test_a_list_of_other_places(spoil: Any, places: str) -> None:
    spoil.set("messages", ROW, places=places)
    assert spoil.places() == [spoil.place("MSG-002", "messages", ROW, "places")]
