"""One length as people write it: exact values, and nothing outside the closed grammar."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from schemas.columns.sizes import LONGEST_TEXT, Length, SizeError, exact_inches_to_mm, parse_length, plain_characters

OVER = st.integers(1, 999)
UNDER = st.integers(1, 999)
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8", "⅓": "1/3", "⅖": "2/5"}


@pytest.mark.parametrize(
    ("text", "length"),
    [
        ("3/8 in", Length(Fraction(3, 8), "in")),
        ("3/8in", Length(Fraction(3, 8), "in")),
        ("3/8in.", Length(Fraction(3, 8), "in")),
        ('3/8"', Length(Fraction(3, 8), "in")),
        ("3/8″", Length(Fraction(3, 8), "in")),
        ("3/8”", Length(Fraction(3, 8), "in")),
        ("3/8''", Length(Fraction(3, 8), "in")),
        ("3⁄8 in", Length(Fraction(3, 8), "in")),
        ("3∕8 inch", Length(Fraction(3, 8), "in")),
        ("⅜ in", Length(Fraction(3, 8), "in")),
        ("1 1/4 in", Length(Fraction(5, 4), "in")),
        ("1-1/4 in", Length(Fraction(5, 4), "in")),
        ("1¼ inches", Length(Fraction(5, 4), "in")),
        (".375 in", Length(Fraction(3, 8), "in")),
        ("0.375 INCH", Length(Fraction(3, 8), "in")),
        ("9.525 mm", Length(Fraction(9525, 1000), "mm")),
        ("9.525mm", Length(Fraction(9525, 1000), "mm")),
        ("12 millimetres", Length(Fraction(12), "mm")),
        ("12 millimeters", Length(Fraction(12), "mm")),
        ("1.2 cm", Length(Fraction(12), "mm")),
        ("12 ㎜", Length(Fraction(12), "mm")),
        ("12\u00a0mm", Length(Fraction(12), "mm")),
        ("12\u2009mm", Length(Fraction(12), "mm")),
        ("10", Length(Fraction(10), "")),
        ("10/16", Length(Fraction(5, 8), "")),
        ("  10  ", Length(Fraction(10), "")),
    ],
)
def test_a_length_is_read_exactly(text: str, length: Length) -> None:
    assert parse_length(text) == length


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "mm",
        "in",
        "0",
        "0 mm",
        "0/8 in",
        "3/0",
        "3/",
        "/8",
        "1/2/3",
        "1/4 1/4",
        "1 1 1/4",
        "-3/8 in",
        "- 5 mm",
        "+5 mm",
        "9,5 mm",
        "1,000 mm",
        "1e3 mm",
        "nan",
        "inf",
        "9**9**9 mm",
        "3*8 mm",
        "(3/8) in",
        "__import__('os')",
        "10x13",
        "10 x 13 mm",
        "G 1/4",
        "m10",
        "3/8 in 5/8 in",
        "5 ft",
        "5 m",
        "5 km",
        "5 mm mm",
        "mm 5",
        "10-12 mm",
        "3² mm",
        "③ mm",
        "⑩ mm",
        "3₈ mm",
        "٣ mm",
        "5.",
        "12345 mm",
        "1.1234567 mm",
        "5 mm\nrm",
        "5\0mm",
        "\ud800",
        "5 mm" + " " * LONGEST_TEXT,
        "9" * 5000,
    ],
)
def test_anything_else_is_refused(text: str) -> None:
    with pytest.raises(SizeError) as refusal:
        parse_length(text)
    assert refusal.value.what
    assert refusal.value.fix
    assert len(str(refusal.value)) < 200


@given(over=OVER, under=UNDER)
def test_any_fraction_is_read_exactly(over: int, under: int) -> None:
    assert parse_length(f"{over}/{under}").number == Fraction(over, under)
    assert parse_length(f'{over}/{under}"') == Length(Fraction(over, under), "in")


@given(whole=st.integers(1, 9999), over=OVER, under=UNDER, joint=st.sampled_from(" -"))
def test_any_mixed_number_is_read_exactly(whole: int, over: int, under: int, joint: str) -> None:
    assert parse_length(f"{whole}{joint}{over}/{under} in").number == whole + Fraction(over, under)


@given(sixty_fourths=st.integers(1, 64 * 40))
def test_inch_and_millimetre_writings_of_a_length_agree(sixty_fourths: int) -> None:
    inches = Fraction(sixty_fourths, 64)
    millimetres = inches * Fraction(254, 10)
    written = parse_length(f"{inches.numerator}/{inches.denominator} in") if inches.numerator < 1000 else None
    if written is not None:
        assert written.mm == pytest.approx(float(millimetres), rel=1e-15)
    six_places = Fraction(round(millimetres * 10**6), 10**6)
    assert parse_length(f"{float(six_places):.6f} mm").number == six_places


@given(tenths=st.integers(1, 9999))
def test_centimetres_and_millimetres_agree(tenths: int) -> None:
    assert parse_length(f"{tenths / 10:.1f} mm").number == parse_length(f"{tenths / 100:.2f} cm").number


@pytest.mark.parametrize(("char", "plain"), VULGAR.items())
def test_a_typographic_fraction_equals_its_plain_form(char: str, plain: str) -> None:
    assert parse_length(f"{char} in") == parse_length(f"{plain} in")
    assert parse_length(f"1{char} in") == parse_length(f"1 {plain} in")


@given(st.text(max_size=60))
def test_no_text_whatever_ends_in_another_error(text: str) -> None:
    try:
        length = parse_length(text)
    except SizeError:
        return
    assert length.number > 0
    assert length.unit in ("", "mm", "in")


@given(st.text(max_size=40))
def test_plain_characters_are_already_plain(text: str) -> None:
    plain = plain_characters(text)
    assert plain_characters(plain) == plain


def test_a_bare_number_counts_as_millimetres() -> None:
    assert parse_length("10").mm == 10.0
    assert parse_length("10/16").mm == 0.625


@pytest.mark.parametrize(("text", "mm"), [("5/8", 15.875), ("1 1/8", 28.575), ("0.625", 15.875), ("0.0035", 0.0889)])
def test_printed_inches_become_exact_millimetres(text: str, mm: float) -> None:
    assert exact_inches_to_mm(text) == mm


@pytest.mark.parametrize("text", ["5/8 in", '5/8"', "15.875 mm", "five eighths"])
def test_printed_inches_carry_no_unit(text: str) -> None:
    with pytest.raises(SizeError):
        exact_inches_to_mm(text)
