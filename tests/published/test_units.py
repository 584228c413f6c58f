"""International yard and pound agreement of 1959: one inch is 25.4 mm exactly. Nothing is rounded on the way."""

from __future__ import annotations

from fractions import Fraction

import pytest

from schemas.columns.sizes import MM_PER_INCH, parse_length


def test_inch_is_exact() -> None:
    assert Fraction(254, 10) == MM_PER_INCH


@pytest.mark.parametrize(
    ("text", "millimetres"),
    [
        ("1/8 in", 3.175),
        ("1/4 in", 6.35),
        ("3/8 in", 9.525),
        ("7/16 in", 11.1125),
        ("1/2 in", 12.7),
        ("5/8 in", 15.875),
        ("3/4 in", 19.05),
        ('1 1/8"', 28.575),
        ("0.270 in", 6.858),
        ("1.2 cm", 12.0),
        ("12.7 mm", 12.7),
    ],
)
def test_lengths_convert_exactly(text: str, millimetres: float) -> None:
    assert parse_length(text).mm == millimetres
