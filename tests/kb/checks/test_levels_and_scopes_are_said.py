"""A rule or limit without a good level or scope is refused at its cell, and hides no other fault."""

from __future__ import annotations

import random
from itertools import cycle
from typing import Any

import pytest

import kb
from kb.load import TABLES_FOLDER
from schemas.tables.limits import Limit
from schemas.tables.rules import Rule

SNAPSHOT = kb.load().snapshot
SPOILED = 8
NO_WORDS = ("", "Error", "conditional", "couple;fluid", "all")


def some(row_class: Any) -> list[str]:
    rows = sorted(row.id for row in SNAPSHOT.active(row_class))
    return random.Random(15).sample(rows, SPOILED)


@pytest.mark.parametrize("column", ["level", "scope"])
def test_every_row_without_a_good_word_is_named_at_its_cell(spoil: Any, column: str) -> None:
    """Many rows of either table at once, empty or with a word that is none: no fault hides another."""
    rows = [("rules", one) for one in some(Rule)] + [("limits", one) for one in some(Limit)]
    for (table, row_id), word in zip(rows, cycle(NO_WORDS), strict=False):
        spoil.set(table, row_id, **{column: word})
    assert sorted(spoil.places()) == sorted(spoil.place("CEL-001", table, row_id, column) for table, row_id in rows)


def test_what_is_wrong_elsewhere_is_told_beside_it(spoil: Any) -> None:
    """A bad level hides neither a bad cell of another table nor one of its own row."""
    spoil.set("rules", "rule/abs-in-acetone", level="", confidence="sure")
    spoil.set("tubes", "tube/soft-10x13", od_mm="13,0")
    assert sorted(spoil.places()) == sorted(
        [
            spoil.place("CEL-001", "rules", "rule/abs-in-acetone", "level"),
            spoil.place("CEL-001", "rules", "rule/abs-in-acetone", "confidence"),
            spoil.place("CEL-001", "tubes", "tube/soft-10x13", "od_mm"),
        ]
    )


def test_tables_with_a_bad_level_answer_nothing_and_keep_every_line(spoil: Any) -> None:
    """They are refused as a whole, so nothing is judged on the rest; the file is as the curator left it."""
    spoil.set("limits", "limit/coupling-pattern", level="")
    before = spoil.read("limits")
    with pytest.raises(kb.TablesRefusedError) as refused:
        kb.load(spoil.folder)
    (fault,) = refused.value.faults
    assert (fault.file, fault.column) == ("limits.csv", "level")
    assert spoil.read("limits") == before
    assert before.count(b"\n") == (TABLES_FOLDER / "limits.csv").read_bytes().count(b"\n")


@pytest.mark.parametrize("name", ["requirement/no-such", "rule/abs-in-acid", "hose-clamp"])
def test_a_row_that_names_no_requirement_is_refused_at_its_cell(spoil: Any, name: str) -> None:
    spoil.set("rules", "rule/abs-in-acid", requirement_id=name)
    assert {place[1:] for place in spoil.places()} >= {
        ("rules", spoil.line("rules", "rule/abs-in-acid"), "requirement_id")
    }
