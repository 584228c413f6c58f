"""Eight materials in five fluids, reviewed cell by cell: each verdict, and the requirement that it leaves open.

`cells_8x5.csv` is ours and no outside truth: its reasons name the evidence that each verdict rests on.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from kb import KnowledgeBase

CELLS = list(csv.DictReader(Path(__file__).with_name("cells_8x5.csv").read_text(encoding="utf-8").splitlines()))


def test_there_are_eight_materials_in_five_fluids() -> None:
    assert len({one["material"] for one in CELLS}) == 8
    assert len({one["fluid"] for one in CELLS}) == 5
    assert len(CELLS) == 40
    assert all(one["reason"] and one["source_ids_evidence"] for one in CELLS)


@pytest.mark.parametrize("cell", CELLS, ids=lambda one: f"{one['material']} in {one['fluid']}")
def test_a_cell_is_judged_as_reviewed(base: KnowledgeBase, cell: dict[str, str]) -> None:
    answer = base.pair(cell["material"], cell["fluid"])
    assert answer.verdict.value == cell["expected_verdict"]
    if cell["requirement_named"]:
        assert cell["requirement_named"] in {one.requirement for one in answer.findings if one.requirement}
