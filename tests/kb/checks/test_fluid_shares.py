"""FLU-001: a share of glycol above zero says whether it is by volume or by mass."""

from __future__ import annotations

from typing import Any

from kb.checks import fluid_shares


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(fluid_shares) == []


def test_a_share_without_basis(spoil: Any) -> None:
    spoil.set("fluids", "fluid/propylene-glycol-inhibited-premix", share_basis="none")
    assert spoil.places() == [
        spoil.place("FLU-001", "fluids", "fluid/propylene-glycol-inhibited-premix", "share_basis")
    ]


def test_a_basis_without_share(spoil: Any) -> None:
    spoil.set("fluids", "fluid/distilled-water", share_basis="mass")
    assert spoil.places() == [spoil.place("FLU-001", "fluids", "fluid/distilled-water", "share_basis")]
