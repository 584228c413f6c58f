"""SRC-010: high confidence in a published value rests on two independent documents or on arithmetic that closes."""

from __future__ import annotations

from typing import Any

from kb.checks import high_is_confirmed

RULE = "rule/aluminium-in-pure-water"
SOURCE = "source/water-treatment-handbook"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(high_is_confirmed) == []


def test_high_on_one_document(spoil: Any) -> None:
    spoil.set("rules", RULE, confidence="high")
    assert spoil.places() == [spoil.place("SRC-010", "rules", RULE, "confidence")]


def test_high_confirmed_by_the_same_document(spoil: Any) -> None:
    spoil.set("rules", RULE, confidence="high", confirmed_by=SOURCE)
    assert spoil.places() == [spoil.place("SRC-010", "rules", RULE, "confidence")]


def test_high_confirmed_by_another_document(spoil: Any) -> None:
    spoil.set("rules", RULE, confidence="high", confirmed_by="source/cern-cooling-water-materials")
    assert spoil.places() == []


def test_high_on_a_document_with_two_carriers(spoil: Any) -> None:
    spoil.set("rules", RULE, confidence="high")
    spoil.set("sources", SOURCE, carriers="2")
    assert spoil.places() == []


def test_what_confirms_exists(spoil: Any) -> None:
    spoil.set("rules", RULE, confirmed_by="source/nowhere")
    assert spoil.places() == [spoil.place("REF-001", "rules", RULE, "confirmed_by")]
