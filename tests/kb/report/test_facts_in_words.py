"""Facts that imply or contradict a requirement are told in words, not as rows write them."""

from __future__ import annotations

import re

import pytest

from kb.report.sentences.facts import facts_in_words
from kb.store.snapshot import Snapshot
from schemas.tables.requirements import Requirement


def test_no_cell_of_facts_is_told_in_its_own_language(snapshot: Snapshot) -> None:
    for row in snapshot.active(Requirement):
        for text in (row.implied_by, row.contradicted_by or ""):
            told = facts_in_words(snapshot, text)
            assert bool(told) is bool(text.strip()), row.id
            assert not re.search(r"[<>=:]|\\w-band|/[a-z]+-", told.replace("not: ", "")), (row.id, told)


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("role:copper=yes", "the coolant protects copper"),
        ("role:base=harms", "the coolant harms the metal below the plating"),
        ("condition:glycol-share>=25 %", "glycol share is at least 25 %"),
        ("condition:ph=in-fluid-band", "pH is within the range of the coolant"),
        (
            "role:biocide & not material:metal/brass-yellow",
            "a biocide that works at this pH is in it and not: the material is yellow brass",
        ),
    ],
)
def test_facts_read_as_people_say_them(snapshot: Snapshot, text: str, told: str) -> None:
    assert facts_in_words(snapshot, text) == told
