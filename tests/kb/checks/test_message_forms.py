"""MSG-003: a message is a whole sentence or a phrase, as its kind says, and only a gap has a remedy."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import message_forms


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(message_forms) == []


@pytest.mark.parametrize(
    ("row", "cells", "column"),
    [
        ("message/fluid-missing", {"sentence": "No fluid is named"}, "sentence"),
        ("message/fluid-missing", {"sentence": "no fluid is named."}, "sentence"),
        ("message/fluid-missing", {"remedy": "name the fluid"}, "remedy"),
        ("message/fluid-missing", {"kind": "sentence", "remedy": ""}, "kind"),
        ("message/heat-sound-none", {"kind": "gap"}, "kind"),
        ("message/heat-sound-none", {"remedy": "Start a fan."}, "remedy"),
        ("message/option-same-fans", {"sentence": "the same fans."}, "sentence"),
    ],
)
def test_words_that_do_not_fit_their_kind(spoil: Any, row: str, cells: dict[str, str], column: str) -> None:
    spoil.set("messages", row, **cells)
    assert spoil.places() == [spoil.place("MSG-003", "messages", row, column)]
