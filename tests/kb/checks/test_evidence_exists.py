"""EVI-001: every id of evidence in a note is that of a statement, and every statement is named by some note."""

from __future__ import annotations

from typing import Any

from kb.checks import evidence_exists

RULE = "rule/aluminium-in-pure-water"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(evidence_exists) == []


def test_a_note_that_leads_nowhere(spoil: Any) -> None:
    spoil.set("rules", RULE, note="evidence/met-038 evidence/met-039 evidence/met-999")
    assert spoil.places() == [spoil.place("EVI-001", "rules", RULE, "note")]


def test_a_statement_that_nothing_names(spoil: Any) -> None:
    spoil.add("evidence", "evidence/met-038", id="evidence/met-998", subject="another")
    assert spoil.places() == [spoil.place("EVI-001", "evidence", "evidence/met-998", "id")]
