"""SRC-009: what rests on a document without an address is of low confidence."""

from __future__ import annotations

from typing import Any

from kb.checks import unfound_is_weak

RULE = "rule/acetal-in-water"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(unfound_is_weak) == []


def test_a_fact_that_trusts_a_document_nobody_finds(spoil: Any) -> None:
    spoil.set("sources", "source/polysulfone-design-guide", address_kind="", address="", address_seen_in="")
    spoil.set("sources", "source/polysulfone-design-guide", searched="2026-12-01, editor: gone")
    spoil.set("rules", RULE, confidence="medium")
    assert spoil.place("SRC-009", "rules", RULE, "confidence") in spoil.places()
