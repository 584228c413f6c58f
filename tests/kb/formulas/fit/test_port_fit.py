"""Lengths around a port."""

from __future__ import annotations

import pytest

from kb.formulas.fit.port_fit import bottoming_clearance_mm, collar_gap_mm, engaged_turns, seat_clearance_mm


def test_shorter_of_thread_and_port_counts_for_engagement() -> None:
    assert engaged_turns(5.0, 12.0, 1.25) == engaged_turns(12.0, 5.0, 1.25) == 4.0


def test_thread_longer_than_the_port_bottoms() -> None:
    assert bottoming_clearance_mm(13.0, 12.0) == -1.0


def test_collar_wider_than_the_flat_does_not_seat() -> None:
    assert seat_clearance_mm(19.0, 20.0) == -1.0


@pytest.mark.parametrize(("first", "second"), [(18.0, 24.0), (24.0, 18.0)])
def test_collars_need_half_of_each_between_the_ports(first: float, second: float) -> None:
    assert collar_gap_mm(21.0, first, second) == 0.0
