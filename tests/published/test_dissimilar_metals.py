"""Cells of the table of dissimilar metals, MIL-STD-889C (2016), Table I.

Read in the transcription of the US Naval Research Laboratory's corrosion model (file TableI_Data.csv, column order from
MainPage.xaml.cs: industrial air, immersed in seawater, sea air). Group letters from its SeawaterPotentialData.xml.
"""

from __future__ import annotations

import pytest

from kb.compatibility.materials.galvanic_matrix import rate_couple
from kb.knowledge_base import KnowledgeBase
from schemas.tables.metal_couples import MetalCouple, Rating

CELLS = [
    ("metal/magnesium", "metal/zinc", "C/I/C"),
    ("metal/magnesium", "metal/aluminium-3003", "I/I/I"),
    ("metal/zinc", "metal/aluminium-3003", "C/I/C"),
    ("metal/zinc", "metal/aluminium-6061", "I/I/I"),
    ("metal/zinc", "metal/copper", "I/I/I"),
    ("metal/aluminium-3003", "metal/aluminium-6061", "C/C/C"),
    ("metal/aluminium-6061", "metal/steel-carbon", "I/I/I"),
    ("metal/aluminium-6061", "metal/stainless-304", "I/I/I"),
    ("metal/aluminium-6061", "metal/copper", "I/I/I"),
    ("metal/steel-carbon", "metal/stainless-316", "I/I/I"),
    ("metal/steel-carbon", "metal/copper", "I/I/I"),
    ("metal/cast-iron", "metal/copper", "I/I/C"),
    ("metal/cast-iron", "metal/nickel", "I/I/C"),
    ("metal/solder-tin-lead", "metal/copper", "C/I/C"),
    ("metal/tin", "metal/nickel", "C/C/C"),
    ("metal/tin", "metal/silver", "C/C/C"),
    ("metal/tin", "metal/gold", "I/I/I"),
    ("metal/stainless-430", "metal/stainless-304", "I/I/I"),
    ("metal/stainless-304", "metal/copper", "C/I/C"),
    ("metal/stainless-304", "metal/brass-naval", "I/I/I"),
    ("metal/brass-naval", "metal/copper", "C/I/C"),
    ("metal/brass-low-zinc", "metal/copper", "I/I/C"),
    ("metal/copper", "metal/nickel", "C/I/C"),
    ("metal/copper", "metal/silver", "C/I/C"),
    ("metal/silver", "metal/gold", "C/C/C"),
]
SLIPS = [  # the copy contradicts itself: good only in seawater, or milder than every neighbour
    ("metal/steel-carbon", "metal/cast-iron"),
    ("metal/steel-carbon", "metal/nickel"),
    ("metal/stainless-430", "metal/bronze-aluminium"),
]
LETTERS = {Rating.COMPATIBLE: "C", Rating.INCOMPATIBLE: "I"}


@pytest.mark.parametrize(("one", "other", "cell"), CELLS)
def test_cells_of_the_table(base: KnowledgeBase, one: str, other: str, cell: str) -> None:
    for pair in ((one, other), (other, one)):
        rated = rate_couple(base.snapshot, *pair)
        assert rated is not None
        (row,) = rated.rows
        assert "/".join(LETTERS[rating] for rating in (row.industrial, row.seawater, row.marine)) == cell


@pytest.mark.parametrize("pair", SLIPS, ids="|".join)
def test_slips_of_the_copy_are_not_ruled_on(base: KnowledgeBase, pair: tuple[str, str]) -> None:
    assert rate_couple(base.snapshot, *pair) is None


def test_every_pair_of_the_twenty_groups_stands_in_the_table_once(base: KnowledgeBase) -> None:
    rows = base.snapshot.active(MetalCouple)
    letters = {row.group for row in rows} | {row.other_group for row in rows}
    assert letters == set("ABCDEFGHIJKLMNOPQRST")
    assert len({frozenset((row.group, row.other_group)) for row in rows}) == len(rows) == 210


def test_an_inhibitor_never_helps_magnesium_zinc_or_aluminium_beside_copper_and_nobler(base: KnowledgeBase) -> None:
    """Our reading: the table lists its groups from magnesium up to graphite; L to O are copper alloys."""
    for row in base.snapshot.active(MetalCouple):
        ends = {row.group, row.other_group}
        assert row.relaxes is not (bool(ends & set("ABDE")) and bool(ends & set("LMNOPQRST"))), row.id
