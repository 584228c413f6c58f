"""MSG-001: every message that the program can say has its row, and every row is said."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import messages_are_said
from schemas.messages import MESSAGES


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(messages_are_said) == []


@pytest.mark.parametrize("message", MESSAGES[:: len(MESSAGES) // 5])
def test_a_message_without_a_row(spoil: Any, message: Any) -> None:
    spoil.drop("messages", message.row_id)
    assert spoil.places() == [("MSG-001", "messages", 1, "id")]


def test_a_row_that_nothing_says(spoil: Any) -> None:
    spoil.add("messages", "message/pair-unknown", id="message/pair-unheard-of", sentence="{a} and {b} meet.")
    assert spoil.places() == [spoil.place("MSG-001", "messages", "message/pair-unheard-of", "id")]
