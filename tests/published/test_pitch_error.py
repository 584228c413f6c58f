"""Screw gauge practice: a pitch error counts 1.921 times on the pitch diameter for 55 degrees, 1.732 times for 60.

Carrier read: slides of a lecture on thread metrology (effect of pitch errors), with the factors as cot(half angle).
"""

from __future__ import annotations

import math

import pytest

from kb.formulas.fit.thread_geometry import pitch_mm
from kb.formulas.fit.thread_mating import pitch_error_on_diameter


@pytest.mark.parametrize(("angle", "factor"), [(55, 1.921), (60, 1.732)])
def test_factor_of_the_form_angle(angle: float, factor: float) -> None:
    assert pitch_error_on_diameter(1.0, angle) == pytest.approx(factor, abs=0.0005)


def test_four_turns_of_g_1_4_against_npt_1_4_by_hand() -> None:
    """25.4 / 18 - 25.4 / 19 = 0.0743 mm a turn; four turns 0.297 mm; times 1.921 is 0.57 mm of diameter."""
    difference = pitch_mm(18) - pitch_mm(19)
    assert 4 * difference == pytest.approx(0.297, abs=0.0005)
    assert 4 * pitch_error_on_diameter(difference, 55) == pytest.approx(0.57, abs=0.005)


def test_error_has_no_sign() -> None:
    assert pitch_error_on_diameter(-0.1, 60) == pitch_error_on_diameter(0.1, 60) == pytest.approx(0.1 * math.sqrt(3))
