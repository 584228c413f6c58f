"""Isothiazolinones are not one thing: each member is asked for its own window of pH."""

from __future__ import annotations

import pytest

from kb import KnowledgeBase
from schemas.tables.additives import Additive
from schemas.tables.roles import Growth
from schemas.verdict import Verdict

PHS = [2.0, 4.0, 5.5, 7.0, 8.5, 9.5, 10.5, 12.5]


def verdict(base: KnowledgeBase, additive: str, ph: float) -> Verdict:
    return Verdict(base.pair(additive, "fluid/water-inhibited", conditions={"ph": ph}).verdict)


@pytest.mark.parametrize("ph", PHS)
def test_no_member_of_the_isothiazolinones_is_vouched_for_above_its_window(base: KnowledgeBase, ph: float) -> None:
    members = [row for row in base.snapshot.active(Additive) if row.family_id == "family/isothiazolinone"]
    assert len(members) > 1
    wrong = [
        row.id
        for row in members
        if row.ph_high is not None and ph > max(row.ph_high, 9) and verdict(base, row.id, ph) is Verdict.COMPATIBLE
    ]
    assert wrong == []


@pytest.mark.parametrize(
    ("additive", "ph", "expected"),
    [
        ("additive/isothiazolinone-bit", 9.5, Verdict.COMPATIBLE),
        ("additive/isothiazolinone-bit-mit", 9.5, Verdict.COMPATIBLE),
        ("additive/isothiazolinone-cmit-mit", 9.5, Verdict.CONDITIONAL),
        ("additive/isothiazolinone-cmit-mit", 8.5, Verdict.CONDITIONAL),
        ("additive/isothiazolinone-cmit-mit", 5.5, Verdict.COMPATIBLE),
        ("additive/isothiazolinone", 9.5, Verdict.CONDITIONAL),
        ("additive/bronopol", 8.0, Verdict.CONDITIONAL),
    ],
)
def test_members_differ_in_alkaline_water(base: KnowledgeBase, additive: str, ph: float, expected: Verdict) -> None:
    """BIT: two makers' sheets; CMIT: Lubrication Engineering 50 (1994) 351-355; bronopol: J. Soc. Cosmet. Chem. 29."""
    assert verdict(base, additive, ph) is expected


def test_every_biocide_that_lasts_has_a_window_or_says_why_not(base: KnowledgeBase) -> None:
    lasting = [row for row in base.snapshot.active(Additive) if row.growth is Growth.BIOCIDAL]
    assert [row.id for row in lasting if row.ph_high is None and not row.roles_note] == []
