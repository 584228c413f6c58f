"""REQ-003: the facts of a requirement can be read, and name rows that exist."""

from __future__ import annotations

from typing import Any

import pytest

from kb.checks import requirement_facts_exist


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(requirement_facts_exist) == []


@pytest.mark.parametrize(
    ("column", "text"),
    [
        ("implied_by", "colour:red"),
        ("implied_by", "a clamp in the list"),
        ("implied_by", "material:metal/copperr"),
        ("implied_by", "fluid:family=family/no-such-family"),
        ("implied_by", "condition:no-such-quantity>=7"),
        ("contradicted_by", "condition:ph<7 ;"),
    ],
)
def test_facts_that_cannot_be_read_or_name_nothing(spoil: Any, column: str, text: str) -> None:
    spoil.set("requirements", "requirement/thread-tried", **{column: text})
    assert spoil.places() == [spoil.place("REQ-003", "requirements", "requirement/thread-tried", column)]
