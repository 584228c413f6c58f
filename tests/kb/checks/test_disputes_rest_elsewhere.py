"""DIS-002: a dispute rests on another source than the rule that it disputes."""

from __future__ import annotations

from typing import Any

from kb.checks import disputes_rest_elsewhere

DISPUTE = "dispute/aluminium-pure-water-barred"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(disputes_rest_elsewhere) == []


def test_a_document_that_disputes_itself(spoil: Any) -> None:
    spoil.set("disputes", DISPUTE, source_id="source/water-treatment-handbook")
    assert spoil.places() == [spoil.place("DIS-002", "disputes", DISPUTE, "source_id")]
