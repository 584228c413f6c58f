"""REQ-002: every requirement is named by some rule or limit."""

from __future__ import annotations

from typing import Any

from kb.checks import requirements_are_named


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(requirements_are_named) == []


def test_a_requirement_nobody_names(spoil: Any) -> None:
    spoil.add(
        "requirements",
        "requirement/thread-tried",
        id="requirement/thread-tried-twice",
        sentence="Nobody asks for this.",
    )
    assert spoil.places() == [spoil.place("REQ-002", "requirements", "requirement/thread-tried-twice", "id")]
