"""A renamed id is refused on the command line, in files of pairs too, with the new one, which `find` shows."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

import kb
from schemas.tables.renamed_ids import RenamedId

DRAWN = kb.load().snapshot.active(RenamedId)[5::41]
PART = "tube/soft-10x16"


@pytest.mark.parametrize("row", DRAWN, ids=lambda row: row.old_id)
def test_an_old_id_is_refused_and_found(wetted: Callable[..., Any], row: RenamedId) -> None:
    said = f"{row.old_id} was renamed {row.new_id} on {row.renamed_on}"
    for arguments in (("pair", row.old_id, PART), ("partners", row.old_id, "--kind", "fitting"), ("show", row.old_id)):
        refused = wetted(*arguments)
        assert refused.code == 2
        assert said in refused.err
    assert row.new_id in wetted("find", row.old_id).out


def test_find_says_that_a_part_was_renamed(wetted: Callable[..., Any]) -> None:
    found = wetted("find", "radiator/120x30-middle")
    assert found.code == 0
    assert "radiator/120x30-middle was renamed radiator/120x30-medium on 2026-12-01" in " ".join(found.out.split())


def test_a_row_of_a_file_of_pairs_is_refused_with_the_new_id(wetted: Callable[..., Any], tmp_path: Path) -> None:
    asked, answered = tmp_path / "pairs.csv", tmp_path / "answers.csv"
    asked.write_text(f"a,b\nseal/ring-10x2,{PART}\nseal/o-ring-10x2,{PART}\n", encoding="utf-8")
    wetted("bulk", str(asked), str(answered))
    first, second = answered.read_text(encoding="utf-8").splitlines()[1:]
    assert "seal/ring-10x2 was renamed seal/o-ring-10x2 on 2026-12-01" in first
    assert "renamed" not in second
