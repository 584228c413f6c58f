"""A tube in an O-ring socket: what the formulas promise for every size."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from kb.formulas.fit.o_ring_compression import o_ring_compression_percent, o_ring_stretch_percent, socket_clearance_mm

BOUNDED = settings(max_examples=100, deadline=None, derandomize=True, database=None)
section = st.floats(1.0, 5.0)
tube = st.floats(4.0, 30.0)


@given(section=section, tube=tube, share=st.floats(-0.5, 0.9))
@BOUNDED
def test_groove_of_a_chosen_squeeze_gives_that_squeeze(section: float, tube: float, share: float) -> None:
    groove = tube + 2 * section * (1 - share)
    assert o_ring_compression_percent(section, groove, tube) == pytest.approx(100 * share, abs=1e-6)


@given(section=section, tube=tube, more=st.floats(0.001, 1.0))
@BOUNDED
def test_larger_tube_squeezes_more_and_stretches_more(section: float, tube: float, more: float) -> None:
    groove = tube + 2 * section
    assert o_ring_compression_percent(section, groove, tube + more) > o_ring_compression_percent(section, groove, tube)
    assert o_ring_stretch_percent(tube, tube + more) > o_ring_stretch_percent(tube, tube) == 0


def test_ring_that_just_touches_is_not_squeezed() -> None:
    assert o_ring_compression_percent(2.0, 16.0, 12.0) == 0


def test_ring_that_does_not_reach_the_tube_has_negative_squeeze() -> None:
    assert o_ring_compression_percent(2.0, 17.0, 12.0) == pytest.approx(-25.0)


def test_tube_larger_than_its_socket_has_negative_play() -> None:
    assert socket_clearance_mm(12.2, 12.7) == pytest.approx(-0.5)
