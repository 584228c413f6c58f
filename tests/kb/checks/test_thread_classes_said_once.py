"""THT-003: a thread and side has each tolerance class once."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_classes_said_once


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_classes_said_once) == []


def test_a_class_said_twice(spoil: Any) -> None:
    spoil.add(
        "thread_tolerances",
        "thread-tolerance/g-1-4-external-a",
        id="thread-tolerance/g-1-4-external-aa",
        major_lower_mm="-0.24",
    )
    assert spoil.places() == [
        spoil.place("THT-003", "thread_tolerances", "thread-tolerance/g-1-4-external-aa", "tolerance_class")
    ]
