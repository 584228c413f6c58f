"""MSG-004: what stands in a message with an underscore is a field of a question."""

from __future__ import annotations

from typing import Any

from kb.checks import message_words_plain


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(message_words_plain) == []


def test_a_field_that_no_question_has(spoil: Any) -> None:
    spoil.set("messages", "message/heat-unknown", remedy="Give heat_watts of the block.")
    assert spoil.places() == [spoil.place("MSG-004", "messages", "message/heat-unknown", "remedy")]


def test_a_name_of_the_code_in_a_phrase(spoil: Any) -> None:
    spoil.set("messages", "message/option-same-fans", sentence="the same fan_rows")
    assert spoil.places() == [spoil.place("MSG-004", "messages", "message/option-same-fans", "sentence")]
