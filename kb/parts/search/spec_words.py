"""Spec-sheet words to readings: what every piece of `3/8 barb G 1/4` or `13mm OD acrylic` can be.

Owns: the closed grammar of threads, sizes, pairs of sizes, O-ring size codes, angles and words, and which reading of an
ambiguous piece is likelier. Does not own: single lengths (`schemas/columns/sizes.py`) or matching rows
(`kb/parts/search/matches.py`). Numbers stay exact fractions; what the grammar does not know is handed back as unread,
never guessed at.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from fractions import Fraction
from types import MappingProxyType

from kb.parts.search.normalise import plain_text, stretches
from kb.parts.search.readings import Diameter, Note, Reading, ReadingKind, micrometres
from schemas.columns.sizes import Length, SizeError, parse_length
from schemas.tables.threads import ThreadGender

LONGEST_WORDS = 80


# How much less likely the second reading of an ambiguous piece is. They order answers; nothing is dropped for them.
_OTHER_SHAPE = 0.7  # `3/8` as 3 x 8 mm, `10/16` as 5/8 in
_OTHER_UNIT = 0.7  # `10` as 10 in
_OTHER_MEANING = 0.6  # `1/4` as a pipe thread of any system, `111` as an O-ring code, `90` as an angle
_GRADE_LIKELIHOOD = 0.9  # `316` as a word of a title: few sizes are written with three figures
_LARGEST_ANGLE_DEG = 180
_HALF_AND_HALF = "50/50"  # equal parts of two liquids

_PIPE_SIZES = frozenset(
    Fraction(size)
    for size in [
        "1/16",
        "1/8",
        "1/4",
        "3/8",
        "1/2",
        "5/8",
        "3/4",
        "7/8",
        "1",
        "5/4",
        "3/2",
        "2",
        "5/2",
        "3",
        "4",
        "5",
        "6",
    ]
)
_STOP_WORDS = frozenset(
    ("for", "of", "with", "and", "the", "or", "to", "x", "by", "in", "on", "as", "mm", "cm", "inch", "inches")
)
_GENDERS: Mapping[str, ThreadGender] = MappingProxyType(
    {
        "male": ThreadGender.EXTERNAL,
        "external": ThreadGender.EXTERNAL,
        "female": ThreadGender.INTERNAL,
        "internal": ThreadGender.INTERNAL,
    }
)

_BETWEEN_PIECES = frozenset(" ()&:;='\"°/")

_FRACTION = r"(?:[1-3][ -])?\d{1,3}/[1-9]\d{0,2}"
_DECIMAL = r"(?:\d{0,3}[.,]\d{1,4}|\d{1,3})"
_NUMBER = rf"(?:{_FRACTION}|{_DECIMAL})"
_UNIT = r"(?:mm|cm|inches|inch|in\.?|\"|'')"
_PIPE = r"(?:(?:[1-3][ -])?[1357]/(?:2|4|8|16)|[1-6])"
_WORD_SYSTEMS = r"bspp|bspt|bsp|nptf|npt|fpt|mpt|fip|mip|pf|pt"
_TPI = r"(?: ?- ?(?P<tpi>\d{1,2}))?"
_START = r"(?<![\w.])"
_END = r"(?![/.,]?\w)"


def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(f"{_START}(?:{pattern}){_END}")


_PIPE_BEFORE = _compiled(rf"(?P<system>{_WORD_SYSTEMS}|rp|rc|g|r) ?-? ?(?P<size>{_PIPE}) ?{_UNIT}?{_TPI}")
_PIPE_AFTER = _compiled(rf"(?P<size>{_PIPE}) ?{_UNIT}?{_TPI} ?-? ?(?P<system>{_WORD_SYSTEMS})")
_PIPE_FOLLOWS = re.compile(rf" ?-? ?{_PIPE}{_END}")
_METRIC = _compiled(
    rf"m(?P<size>\d{{1,2}})(?: ?x ?(?P<pitch>{_DECIMAL}))?|m (?P<apart>\d{{1,2}}) ?x ?(?P<step>{_DECIMAL})"
)
_UNIFIED = _compiled(rf"(?:un[cfs]? ?)?(?P<size>{_FRACTION}) ?{_UNIT}? ?- ?(?P<tpi>\d{{1,2}})(?: ?un[cfs]?)?")
_UNIFIED_SIZE = _compiled(rf"(?:unf|unc|uns) ?(?P<before>{_FRACTION})|(?P<size>{_FRACTION}) ?{_UNIT}? ?(?:unf|unc|uns)")
_O_RING = _compiled(r"(?:as ?-?568[a-z]?|iso ?3601(?:-1)?)[ -]+(?P<named>\d{3})|(?P<bare>0\d\d)")
_O_RING_DASH = re.compile(r"(?<![^\s(])-(?P<named>\d{3})" + _END)
_ANGLE = _compiled(r"(?P<angle>\d{1,3}) ?-?(?:°|deg(?:rees?)?)")
_PAIR = _compiled(
    rf"(?P<first>{_NUMBER}) ?(?P<first_unit>{_UNIT})? ?(?P<between>x|by|/|-) ?"
    rf"(?P<second>{_NUMBER}) ?(?P<second_unit>{_UNIT})?"
)
_SIZE = _compiled(
    rf"(?:(?P<before>[io]d)[ :=]*)?(?P<number>{_NUMBER}) ?(?P<unit>{_UNIT})?(?(before)|(?: ?(?P<after>[io]d))?)"
)
_WORD = re.compile(r"[a-z][a-z0-9]*|(?<![\w.])\d{4,6}(?![\w/.])")
_BOTH_SIDES = _compiled(r"(?P<side>male|female) ?(?:to|x|-|/) ?(?P=side)")
_DASH_NUMBER = r"0?[2-9]|1\d|20|24|32"
_DASH_SIGN = r"jic|an|sae|orb|orfs"
_DASH_SIZE = _compiled(
    rf"(?P<sign>{_DASH_SIGN}) ?-? ?(?P<size>{_DASH_NUMBER})|-?(?P<before>{_DASH_NUMBER}) ?-? ?(?P<after>{_DASH_SIGN})"
)
_SHARE = _compiled(r"(?P<share>\d{1,3}) ?(?:%|percent|per cent)")
_NUMBER_OF = _compiled(r"\d{1,2} ?-? ?(?:ways?|ports?|pieces?|pcs|pack|off)")
_GRADE = re.compile(r"\d{3}|1\.\d{4}")  # of steel: three figures, or its European number
_REST = re.compile(r"[\w.,/]*\d[\w.,/]*|[^\w\s]")

_Maker = Callable[[re.Match[str]], tuple[Reading, ...]]


def read_words(text: str) -> tuple[Reading, ...]:
    """Read spec-sheet words into typed readings, piece by piece, the likeliest reading of each piece first.

    Args:
        text: what the spec sheet or a person says, at most `LONGEST_WORDS` characters; longer text is not read.

    >>> [(reading.kind.value, reading.text) for reading in read_words('3/8" barb G¼')][::2]
    [('size', '3/8"'), ('word', 'barb')]
    >>> [float(length.number) for length in read_words("10 × 16 mm")[0].lengths]
    [10.0, 16.0]
    >>> read_words("9**9**9")[0].kind.value
    'unread'
    """
    if len(text) > LONGEST_WORDS:
        return (Reading(ReadingKind.UNREAD, plain_text(text[:LONGEST_WORDS])),)
    pieces: list[tuple[Reading, ...]] = []
    for stretch, readable in stretches(plain_text(text)):
        pieces.extend(_pieces(stretch) if readable else [(Reading(ReadingKind.UNREAD, stretch),)])
    return tuple(
        replace(reading, piece=number)
        for number, readings in enumerate(_with_genders(pieces))
        for reading in sorted(readings, key=lambda one: -one.likelihood)
    )


def _pieces(stretch: str) -> Iterator[tuple[Reading, ...]]:
    position = 0
    while position < len(stretch):
        if stretch[position] in _BETWEEN_PIECES:
            position += 1
            continue
        match, readings = _next_piece(stretch, position)
        position = match.end() if match else position + 1
        if readings:
            yield readings


def _next_piece(stretch: str, position: int) -> tuple[re.Match[str] | None, tuple[Reading, ...]]:
    for pattern, maker in _AT_LETTERS if stretch[position].isalpha() else _AT_NUMBERS:
        match = pattern.match(stretch, position)
        if match is not None:
            readings = maker(match)
            if readings or pattern is _WORD:
                return match, readings
    return None, ()


def _with_genders(pieces: list[tuple[Reading, ...]]) -> list[tuple[Reading, ...]]:
    """Give `male` and `female` to the thread they stand behind, else to the one they stand before."""
    kept = list(pieces)
    for step in (1, -1):
        for place, readings in enumerate(kept):
            word_place = place + step
            if not readings or readings[0].kind is not ReadingKind.THREAD or not 0 <= word_place < len(kept):
                continue
            word = kept[word_place][0].word if kept[word_place] else ""
            if readings[0].gender is None and word in _GENDERS:
                gender = _GENDERS[word]
                kept[place] = tuple(replace(reading, gender=gender) for reading in readings)
                kept[word_place] = ()
    return [readings for readings in kept if readings]


def _thread(match: re.Match[str], system: str, *lengths: Length, tpi: str | None = None) -> tuple[Reading, ...]:
    per_inch = int(tpi) if tpi else None
    return (Reading(ReadingKind.THREAD, match[0], lengths=lengths, word=system, threads_per_inch=per_inch),)


def _pipe_before(match: re.Match[str]) -> tuple[Reading, ...]:
    return _thread(match, match["system"], _inches(match["size"]), tpi=match["tpi"])


def _pipe_after(match: re.Match[str]) -> tuple[Reading, ...]:
    """Read `1/4 NPT`; in `barb 6 NPT 1/4` the sign belongs to the number behind it."""
    belongs_behind = match.start() > 0 and _PIPE_FOLLOWS.match(match.string, match.end())
    return () if belongs_behind else _pipe_before(match)


def _metric(match: re.Match[str]) -> tuple[Reading, ...]:
    pitch = match["pitch"] or match["step"]
    numbers = [match["size"] or match["apart"], *([pitch] if pitch else [])]
    lengths = [_length(number, "mm") for number in numbers]
    known = [length for length in lengths if length is not None]
    return _thread(match, "m", *known) if len(known) == len(numbers) else ()


def _unified(match: re.Match[str]) -> tuple[Reading, ...]:
    length = _length(match["size"], "in")
    return _thread(match, "un", length, tpi=match["tpi"]) if length else ()


def _unified_size(match: re.Match[str]) -> tuple[Reading, ...]:
    length = _length(match["before"] or match["size"], "in")
    return _thread(match, "un", length) if length else ()


def _o_ring(match: re.Match[str]) -> tuple[Reading, ...]:
    return (Reading(ReadingKind.O_RING_CODE, match[0], word=match["named"] or match["bare"]),)


def _o_ring_dash(match: re.Match[str]) -> tuple[Reading, ...]:
    return (Reading(ReadingKind.O_RING_CODE, match[0], word=match["named"]),)


def _angle(match: re.Match[str]) -> tuple[Reading, ...]:
    angle = int(match["angle"])
    return (Reading(ReadingKind.ANGLE, match[0], angle_deg=angle),) if angle <= _LARGEST_ANGLE_DEG else ()


def _pair(match: re.Match[str]) -> tuple[Reading, ...]:
    first, second, between = match["first"], match["second"], match["between"].replace("by", "x")
    units = match["first_unit"] or match["second_unit"] or "", match["second_unit"] or match["first_unit"] or ""
    whole = "/" not in first + second
    alike = whole or ("/" in first and "/" in second)
    bare = match[0] == f"{first}/{second}" and (first + second).isdecimal()
    if between == "/" and whole and (_is_inch(units[1]) or bare):
        return ()  # a fraction of an inch, or either: read as one number
    if between != "x" and (not alike or (between == "-" and whole and not units[0])):
        return ()  # 1-1/4 is a mixed number, 3852-2 a document
    return _pair_readings(match[0], first, second, units, whole)


def _pair_readings(text: str, first: str, second: str, units: tuple[str, str], whole: bool) -> tuple[Reading, ...]:
    comma = _comma(first + second)
    if units[0] or not whole:
        taken = (units[0] or "in", units[1] or "in")
        return _one_pair(text, (first, second), taken, 1.0, comma + (() if units[0] else (Note.INCHES_TAKEN,)))
    return (
        *_one_pair(text, (first, second), ("mm", "mm"), 1.0, (*comma, Note.MILLIMETRES_TAKEN)),
        *_one_pair(text, (first, second), ("in", "in"), _OTHER_UNIT, (*comma, Note.INCHES_TAKEN)),
    )


def _one_pair(
    text: str, numbers: tuple[str, str], units: tuple[str, str], likelihood: float, notes: tuple[Note, ...]
) -> tuple[Reading, ...]:
    one, other = (_length(number, unit) for number, unit in zip(numbers, units, strict=True))
    if one is None or other is None or micrometres(one) == micrometres(other):
        return ()
    return (Reading(ReadingKind.PAIR, text, likelihood, lengths=(one, other), notes=notes),)


def _size(match: re.Match[str]) -> tuple[Reading, ...]:
    number, unit, mark = match["number"], match["unit"] or "", match["before"] or match["after"]
    comma = _comma(number)
    means = None if mark is None else Diameter.INSIDE if mark == "id" else Diameter.OUTSIDE
    if number == _HALF_AND_HALF and not unit:
        return (Reading(ReadingKind.WORD, match[0], word="50%"),)
    if "/" in number:
        sizes = _fraction_readings(match[0], number, unit, means)
    elif unit:
        sizes = _one_size(match[0], number, unit, 1.0, means, comma)
    else:
        sizes = (
            *_one_size(match[0], number, "mm", 1.0, means, (*comma, Note.MILLIMETRES_TAKEN)),
            *_one_size(match[0], number, "in", _OTHER_UNIT, means, (*comma, Note.INCHES_TAKEN)),
        )
    bare = () if unit or means else _bare_number(match[0], number)
    return (*sizes, *(() if means else _pipe_sizes(sizes)), *bare)


def _fraction_readings(text: str, number: str, unit: str, means: Diameter | None) -> tuple[Reading, ...]:
    """Read `a/b`: a fraction of an inch, a pair in millimetres, or both, a proper inch fraction first."""
    pair_first = not unit and not _is_inch_fraction(number)
    fraction_notes = () if unit else (Note.INCHES_TAKEN,)
    likelihood = _OTHER_SHAPE if pair_first else 1.0
    fraction = _one_size(text, number, unit or "in", likelihood, means, fraction_notes)
    if unit not in ("", "mm") or means or " " in number or "-" in number:
        return () if unit in ("mm", "cm") else fraction
    first, _, second = number.partition("/")
    likelihood = 1.0 if unit or pair_first else _OTHER_SHAPE
    pair = _one_pair(text, (first, second), ("mm", "mm"), likelihood, () if unit else (Note.PAIR_TAKEN,))
    return pair if unit else (*fraction, *pair)


def _one_size(
    text: str, number: str, unit: str, likelihood: float, means: Diameter | None, notes: tuple[Note, ...]
) -> tuple[Reading, ...]:
    length = _length(number, unit)
    if length is None:
        return ()
    return (Reading(ReadingKind.SIZE, text, likelihood, lengths=(length,), means=means, notes=notes),)


def _pipe_sizes(sizes: tuple[Reading, ...]) -> tuple[Reading, ...]:
    """Return the readings as a pipe thread of any system: `1/4` names threads more often than it measures anything."""
    return tuple(
        replace(
            reading,
            kind=ReadingKind.THREAD,
            likelihood=reading.likelihood * _OTHER_MEANING,
            notes=(Note.PIPE_SIZE_TAKEN,),
        )
        for reading in sizes
        if reading.kind is ReadingKind.SIZE
        and reading.lengths[0].unit == "in"
        and reading.lengths[0].number in _PIPE_SIZES
    )


def _bare_number(text: str, number: str) -> tuple[Reading, ...]:
    """Return what a number without unit can be besides a size: a grade of metal, an angle, an O-ring code."""
    found: list[Reading] = []
    if _GRADE.fullmatch(number):
        found.append(Reading(ReadingKind.WORD, text, _GRADE_LIKELIHOOD, word=number))
    if number.isdecimal() and 0 < int(number) <= _LARGEST_ANGLE_DEG:
        found.append(Reading(ReadingKind.ANGLE, text, _OTHER_MEANING, angle_deg=int(number)))
    if number.isdecimal() and len(number) == len("000"):
        found.append(Reading(ReadingKind.O_RING_CODE, text, _OTHER_MEANING, word=number))
    return tuple(found)


def _both_sides(match: re.Match[str]) -> tuple[Reading, ...]:
    return (Reading(ReadingKind.WORD, match[0], word=f"{match['side']} to {match['side']}"),)


def _dash_size(match: re.Match[str]) -> tuple[Reading, ...]:
    """Read `-6 AN` or `ORB 6`: a code of tube and thread, never millimetres."""
    sign, size = match["sign"] or match["after"], match["size"] or match["before"]
    return (Reading(ReadingKind.DASH_SIZE, match[0], word=f"{sign} {int(size)}"),)


def _share(match: re.Match[str]) -> tuple[Reading, ...]:
    return (Reading(ReadingKind.WORD, match[0], word=f"{int(match['share'])}%"),)


def _number_of(match: re.Match[str]) -> tuple[Reading, ...]:
    """Read `3-way` or `2 pcs` as words: the number counts something and is no size."""
    return (Reading(ReadingKind.WORD, match[0], word=match[0]),)


def _word(match: re.Match[str]) -> tuple[Reading, ...]:
    return () if match[0] in _STOP_WORDS else (Reading(ReadingKind.WORD, match[0], word=match[0]),)


def _rest(match: re.Match[str]) -> tuple[Reading, ...]:
    return (Reading(ReadingKind.UNREAD, match[0]),) if any(char.isdigit() for char in match[0]) else ()


def _is_inch_fraction(number: str) -> bool:
    """Return whether `a/b` is how inches are divided: below one, in lowest terms, over a power of two."""
    over, _, under = number.rpartition(" ")[2].rpartition("-")[2].partition("/")
    top, bottom = int(over), int(under)
    return top < bottom and top % 2 == 1 and bottom & (bottom - 1) == 0


def _is_inch(unit: str) -> bool:
    return unit not in ("", "mm", "cm")


def _comma(number: str) -> tuple[Note, ...]:
    return (Note.DECIMAL_COMMA,) if "," in number else ()


def _inches(number: str) -> Length:
    return parse_length(f"{number} in")


def _length(number: str, unit: str) -> Length | None:
    """Return one exact length, `None` if it is zero."""
    try:
        return parse_length(f"{number.replace(',', '.')} {unit}")
    except SizeError:
        return None


_Rule = tuple[re.Pattern[str], _Maker]
_AT_LETTERS: tuple[_Rule, ...] = (
    (_PIPE_BEFORE, _pipe_before),
    (_METRIC, _metric),
    (_UNIFIED, _unified),
    (_UNIFIED_SIZE, _unified_size),
    (_O_RING, _o_ring),
    (_SIZE, _size),
    (_BOTH_SIDES, _both_sides),
    (_DASH_SIZE, _dash_size),
    (_WORD, _word),
)
_AT_NUMBERS: tuple[_Rule, ...] = (
    (_PIPE_AFTER, _pipe_after),
    (_UNIFIED, _unified),
    (_UNIFIED_SIZE, _unified_size),
    (_O_RING, _o_ring),
    (_O_RING_DASH, _o_ring_dash),
    (_DASH_SIZE, _dash_size),
    (_SHARE, _share),
    (_NUMBER_OF, _number_of),
    (_ANGLE, _angle),
    (_PAIR, _pair),
    (_SIZE, _size),
    (_WORD, _word),
    (_REST, _rest),
)
