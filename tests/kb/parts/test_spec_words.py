"""What spec-sheet words are read as."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from kb.parts.search.normalise import plain_text
from kb.parts.search.readings import Diameter, Note, Reading, ReadingKind, micrometres
from kb.parts.search.spec_words import LONGEST_WORDS, read_words
from schemas.tables.threads import ThreadGender

THREE_EIGHTHS_UM = 9525


def likeliest(text: str) -> list[Reading]:
    first: dict[int, Reading] = {}
    for reading in read_words(text):
        first.setdefault(reading.piece, reading)
    return list(first.values())


def only(text: str) -> Reading:
    (reading,) = likeliest(text)
    return reading


def sizes_um(reading: Reading) -> list[int]:
    return [micrometres(length) for length in reading.lengths]


@pytest.mark.parametrize(
    "text",
    [
        '3/8"',
        "3/8 in",
        "3/8 inch",
        "⅜",
        "⅜″",
        "3⁄8”",
        "3∕8''",
        ".375 in",
        "0.375 inches",
        "0,375 in",
        "9.525 mm",
        "９.５２５ mm",
    ],
)
def test_one_size_is_read_exactly_however_it_is_written(text: str) -> None:
    reading = only(text)
    assert reading.kind is ReadingKind.SIZE
    assert sizes_um(reading) == [THREE_EIGHTHS_UM]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("half inch", 12700),
        ("Half-Inch", 12700),
        ("half an inch", 12700),
        ("one inch", 25400),
        ("quarter inch", 6350),
        ("an eighth of an inch", 3175),
        ("three eighths", 9525),
        ("three-quarter inch", 19050),
        ("seven sixteenths", 11112),
        ("one and a half inch", 38100),
        ("inch and a quarter", 31750),
    ],
)
def test_spelled_out_inches_are_sizes(text: str, expected: int) -> None:
    reading = only(text)
    assert (reading.kind, sizes_um(reading)) == (ReadingKind.SIZE, [expected])


@pytest.mark.parametrize("text", ["quarter turn valve", "half of a coupling", "three barbs", "a quarter"])
def test_number_words_that_measure_nothing_stay_words(text: str) -> None:
    assert {reading.kind for reading in read_words(text)} == {ReadingKind.WORD}


@pytest.mark.parametrize(
    ("text", "expected"),
    [("JIC 6", "jic 6"), ("-4 AN", "an 4"), ("AN-06", "an 6"), ("SAE-6", "sae 6"), ("6 orb", "orb 6")],
)
def test_dash_sizes_are_no_millimetres(text: str, expected: str) -> None:
    assert [(one.kind, one.word) for one in read_words(text)] == [(ReadingKind.DASH_SIZE, expected)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [("25 %", "25%"), ("25%", "25%"), ("40 percent", "40%"), ("50/50", "50%"), ("3-way", "3-way"), ("2 pcs", "2 pcs")],
)
def test_shares_and_counts_are_words_and_no_sizes(text: str, expected: str) -> None:
    assert [(one.kind, one.word) for one in read_words(text)] == [(ReadingKind.WORD, expected)]


@pytest.mark.parametrize("text", ["316", "1.4404"])
def test_grades_of_metal_are_words_too(text: str) -> None:
    assert text in {one.word for one in read_words(text) if one.kind is ReadingKind.WORD}


def test_two_ends_of_one_gender_are_one_piece() -> None:
    thread, sides = likeliest("G 1/4 male to male")
    assert (thread.gender, sides.word) == (None, "male to male")
    assert [one.word for one in likeliest("female-female")] == ["female to female"]


@pytest.mark.parametrize("text", ['1 1/4"', '1-1/4"', "1¼ in", "1.25 in"])
def test_mixed_numbers_are_one_size(text: str) -> None:
    assert sizes_um(only(text)) == [31750]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("10x16", [10000, 16000]),
        ("10 x 16 mm", [10000, 16000]),
        ("10 × 16 mm", [10000, 16000]),
        ("10 mm × 16 mm", [10000, 16000]),
        ("10/16", [10000, 16000]),
        ("16/10", [16000, 10000]),
        ("13/19mm", [13000, 19000]),
        ("9,5/12,7 mm", [9500, 12700]),
        ("3/8 x 5/8", [9525, 15875]),
        ('3/8"-5/8"', [9525, 15875]),
        ("3/8-5/8", [9525, 15875]),
        ('½" × ¾"', [12700, 19050]),
        ("12 x 1.0", [12000, 1000]),
        ("12.7/19.1", [12700, 19100]),
        ("9.5 x 15.9", [9500, 15900]),
        ("3/8 by 5/8", [9525, 15875]),
        ("three eighths by five eighths", [9525, 15875]),
        ("10-16 mm", [10000, 16000]),
    ],
)
def test_pairs_are_read_in_the_order_written(text: str, expected: list[int]) -> None:
    reading = only(text)
    assert reading.kind is ReadingKind.PAIR
    assert sizes_um(reading) == expected


@pytest.mark.parametrize(
    ("text", "system", "nominal_um"),
    [
        ("G 1/4", "g", 6350),
        ('G1/4"', "g", 6350),
        ("g¼", "g", 6350),
        ("G-1/4", "g", 6350),
        ("BSPP 1/4", "bspp", 6350),
        ("1/4 BSPP", "bspp", 6350),
        ('1/4" bsp', "bsp", 6350),
        ("R 1/4", "r", 6350),
        ("Rp1/4", "rp", 6350),
        ("Rc 1/4", "rc", 6350),
        ("NPT 1/4", "npt", 6350),
        ("1/4-18 NPT", "npt", 6350),
        ("G 1", "g", 25400),
        ("G 1 1/4", "g", 31750),
        ("M10x1", "m", 10000),
        ("M 14 × 1,5", "m", 14000),
        ("m12", "m", 12000),
        ("7/16-20 UNF", "un", 11112),
        ("UNF 7/16", "un", 11112),
        ("7/16-20", "un", 11112),
    ],
)
def test_threads_are_read_with_their_system_and_nominal_size(text: str, system: str, nominal_um: int) -> None:
    reading = only(text)
    assert (reading.kind, reading.word, sizes_um(reading)[0]) == (ReadingKind.THREAD, system, nominal_um)


def test_pitch_and_threads_per_inch_are_kept() -> None:
    assert sizes_um(only("M14x1.5")) == [14000, 1500]
    assert only("1/4-18 NPT").threads_per_inch == 18
    assert only("G 1/4").threads_per_inch is None


def test_a_sign_between_two_numbers_belongs_to_the_one_that_makes_sense() -> None:
    kinds = [(reading.kind, reading.text) for reading in likeliest("barb 6 NPT 1/4")]
    assert kinds == [(ReadingKind.WORD, "barb"), (ReadingKind.SIZE, "6"), (ReadingKind.THREAD, "npt 1/4")]
    kinds = [(reading.kind, reading.text) for reading in likeliest("1/4 NPT 3/8 barb")]
    assert kinds[0] == (ReadingKind.THREAD, "1/4 npt")


def test_male_and_female_belong_to_their_threads() -> None:
    male, female = likeliest("G 1/4 male to NPT 1/4 female")
    assert (male.gender, female.gender) == (ThreadGender.EXTERNAL, ThreadGender.INTERNAL)
    assert only("female G 1/4").gender is ThreadGender.INTERNAL


@pytest.mark.parametrize("text", ["AS568-014", "as 568-014", "AS568A-014", "-014", "014", "ISO 3601-1 014"])
def test_ring_codes_are_read(text: str) -> None:
    reading = only(text)
    assert (reading.kind, reading.word) == (ReadingKind.O_RING_CODE, "014")


@pytest.mark.parametrize("text", ["90°", "90 degree", "90 deg", "90-degree", "90 degrees"])
def test_angles_are_read(text: str) -> None:
    assert only(text).angle_deg == 90


@pytest.mark.parametrize(
    ("text", "means"),
    [
        ("13mm OD", Diameter.OUTSIDE),
        ("OD 13 mm", Diameter.OUTSIDE),
        ("O.D. 13 mm", Diameter.OUTSIDE),
        ("outside diameter: 13 mm", Diameter.OUTSIDE),
        ("outer dia 13 mm", Diameter.OUTSIDE),
        ("13 mm inside diameter", Diameter.INSIDE),
        ("ID 13 mm", Diameter.INSIDE),
        ("13 mm", None),
    ],
)
def test_the_named_diameter_is_kept(text: str, means: Diameter | None) -> None:
    reading = only(text)
    assert (sizes_um(reading), reading.means) == ([13000], means)


def test_two_named_diameters_stay_two_sizes() -> None:
    inside, outside = likeliest("ID 3/8 OD 5/8")
    assert (inside.means, outside.means) == (Diameter.INSIDE, Diameter.OUTSIDE)


def test_a_bare_slash_keeps_both_readings_and_ranks_them() -> None:
    assert [reading.kind for reading in read_words("3/8")][:2] == [ReadingKind.SIZE, ReadingKind.PAIR]
    assert [reading.kind for reading in read_words("10/16")][:2] == [ReadingKind.PAIR, ReadingKind.SIZE]
    assert [reading.kind for reading in read_words("8/10")][:2] == [ReadingKind.PAIR, ReadingKind.SIZE]


def test_a_unit_settles_what_a_slash_means() -> None:
    assert {reading.kind for reading in read_words('10/16"')} <= {ReadingKind.SIZE, ReadingKind.THREAD}
    assert [reading.kind for reading in read_words("10/16 mm")] == [ReadingKind.PAIR]


def test_a_bare_number_keeps_both_units_and_says_which_was_taken() -> None:
    millimetres, inches = (one for one in read_words("1.5") if one.kind is ReadingKind.SIZE)
    assert (millimetres.lengths[0].unit, millimetres.notes) == ("mm", (Note.MILLIMETRES_TAKEN,))
    assert (inches.lengths[0].unit, inches.notes) == ("in", (Note.INCHES_TAKEN,))
    assert millimetres.likelihood > inches.likelihood


def test_a_decimal_comma_is_read_with_a_note() -> None:
    reading = only("9,5 mm")
    assert (sizes_um(reading), reading.notes) == ([9500], (Note.DECIMAL_COMMA,))


@pytest.mark.parametrize(
    "text",
    [
        "9**9**9",
        "1/0",
        "0/5",
        "0",
        "0 mm",
        "3² mm",
        "٣/٨",
        "10/16/3",
        "10x16x3",
        "🔧",
        "\u202e10",
        "1e9",
        "--",
        "(a+)+$",
        ".*",
        "\x00",
        "x" * 10_000,
    ],
)
def test_what_the_grammar_does_not_know_is_never_read_as_a_size(text: str) -> None:
    numbers = {ReadingKind.SIZE, ReadingKind.PAIR, ReadingKind.THREAD, ReadingKind.O_RING_CODE, ReadingKind.ANGLE}
    assert not numbers & {reading.kind for reading in read_words(text)}


def test_an_odd_sign_does_not_spoil_the_words_beside_it() -> None:
    assert [reading.kind for reading in likeliest("🔧 10/16")] == [ReadingKind.UNREAD, ReadingKind.PAIR]


def test_longer_text_than_allowed_is_not_read_in_part() -> None:
    assert only("10/16 " * LONGEST_WORDS).kind is ReadingKind.UNREAD


@given(st.text(max_size=LONGEST_WORDS))
def test_reading_never_raises_and_numbers_its_pieces_in_order(text: str) -> None:
    pieces = [reading.piece for reading in read_words(text)]
    assert pieces == sorted(pieces)
    assert all(0 < reading.likelihood <= 1 for reading in read_words(text))


@given(st.text(alphabet='0123456789/xX×. ,-"gGmMrpcnptinodb½⅜', max_size=30))
def test_reading_never_raises_for_number_soup_and_every_size_is_positive(text: str) -> None:
    for reading in read_words(text):
        assert all(length.number > 0 for length in reading.lengths)


@given(st.integers(1, 199), st.sampled_from([2, 4, 8, 16, 32, 64]))
def test_inch_fractions_are_exact(over: int, under: int) -> None:
    size = Fraction(over, under)
    readings = [reading for reading in read_words(f"{over}/{under} in") if reading.kind is ReadingKind.SIZE]
    assert [reading.lengths[0].number for reading in readings] == [size]


def test_plain_text_is_stable() -> None:
    for text in ("Outside Diameter ⅜″", "10 × 16 mm", "  G¼  ", "half-inch", "one and a half inch"):
        assert plain_text(plain_text(text)) == plain_text(text)
