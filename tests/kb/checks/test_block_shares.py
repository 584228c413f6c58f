"""BLK-002: the shares of heat that a block takes up make the whole."""

from __future__ import annotations

from typing import Any

from kb.checks import block_shares

BLOCK = "block/gpu-full-cover"


def test_todays_tables_keep_the_promise(sound: Any) -> None:
    assert sound(block_shares) == []


def test_shares_that_make_less_than_the_whole(spoil: Any) -> None:
    spoil.set("blocks", BLOCK, core_share_percent="70")
    assert spoil.places() == [spoil.place("BLK-002", "blocks", BLOCK, "core_share_percent")]


def test_shares_that_make_more_than_the_whole(spoil: Any) -> None:
    spoil.set("blocks", BLOCK, memory_share_percent="20")
    assert spoil.places() == [spoil.place("BLK-002", "blocks", BLOCK, "core_share_percent")]
