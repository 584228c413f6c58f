"""REF-001: every reference leads to a row that exists."""

from __future__ import annotations

from typing import Any

from kb.checks import references_exist


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(references_exist) == []


def test_a_misspelt_family_is_answered_with_the_three_nearest(spoil: Any) -> None:
    spoil.set("tubes", "tube/soft-10x13", family_id="family/tube-sofft")
    assert spoil.places() == [spoil.place("REF-001", "tubes", "tube/soft-10x13", "family_id")]
    (fault,) = spoil.faults()
    assert fault.fix.startswith("write one of: family/tube-soft,")
    assert fault.fix.count("family/") == 3


def test_an_id_of_another_table_is_no_reference(spoil: Any) -> None:
    spoil.set("ports", "port/g-1-4-loop", thread_id="tube/soft-10x13")
    assert spoil.places() == [spoil.place("REF-001", "ports", "port/g-1-4-loop", "thread_id")]


def test_every_item_of_a_list_is_looked_up(spoil: Any) -> None:
    spoil.set("limits", "limit/barb-stretch-small", caution_ids="caution/leak-test caution/nobody")
    assert spoil.places() == [spoil.place("REF-001", "limits", "limit/barb-stretch-small", "caution_ids")]


def test_a_reference_to_any_of_several_tables_is_found(spoil: Any) -> None:
    spoil.set("aliases", "alias/10-13", part_id="family/tube-soft")
    assert spoil.places() == []
