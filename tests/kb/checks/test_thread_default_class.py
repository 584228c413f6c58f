"""THT-001: every thread and side with tolerances has exactly one default class, the widest."""

from __future__ import annotations

from typing import Any

from kb.checks import thread_default_class


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(thread_default_class) == []


def test_a_thread_side_without_default(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/g-1-4-external-b", is_default="no")
    assert spoil.places() == [
        spoil.place("THT-001", "thread_tolerances", "thread-tolerance/g-1-4-external-b", "is_default")
    ]


def test_a_thread_side_with_two_defaults(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/g-1-4-external-a", is_default="yes")
    assert spoil.places() == [
        spoil.place("THT-001", "thread_tolerances", "thread-tolerance/g-1-4-external-b", "is_default")
    ]


def test_a_default_narrower_than_another_class(spoil: Any) -> None:
    spoil.set("thread_tolerances", "thread-tolerance/g-1-4-external-b", is_default="no")
    spoil.set("thread_tolerances", "thread-tolerance/g-1-4-external-a", is_default="yes")
    assert spoil.places() == [
        spoil.place("THT-001", "thread_tolerances", "thread-tolerance/g-1-4-external-a", "is_default")
    ]


def test_a_withdrawn_class_does_not_count(spoil: Any) -> None:
    spoil.add(
        "thread_tolerances",
        "thread-tolerance/g-1-4-external-b",
        id="thread-tolerance/g-1-4-external-c",
        tolerance_class="C",
        withdrawn_on="2026-11-26",
        withdrawn_reason="misprint",
    )
    assert spoil.places() == []
