"""SRC-006: a document stands once among the sources."""

from __future__ import annotations

from typing import Any

from kb.checks import sources_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(sources_said_once) == []


def test_a_document_entered_twice(spoil: Any) -> None:
    spoil.add("sources", "source/iso-261", id="source/iso-261-too", rank="2")
    assert spoil.places() == [spoil.place("SRC-006", "sources", "source/iso-261-too", "title")]
