"""The inverted index behind `find`: from exact sizes, threads, codes and words to the parts that carry them.

Owns: what is indexed and under which key. Does not own: reading words (`kb/parts/search/spec_words.py`) or ranking
(`kb/parts/search/search.py`). Parts are numbered kind by kind, in the order of their ids; a posting is a sorted list
of such numbers, so a look-up never walks the tables. Sizes are whole micrometres.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from typing import NamedTuple, TypeAlias

from kb.parts.part import PartRow
from kb.parts.search.normalise import plain_text
from kb.parts.search.readings import Reading, ReadingKind, micrometres
from kb.parts.search.spec_words import read_words
from kb.store.snapshot import Snapshot
from schemas.tables.additives import Additive
from schemas.tables.aliases import Alias
from schemas.tables.blocks import Block
from schemas.tables.families import Family
from schemas.tables.fans import Fan
from schemas.tables.fitting_ends import EndKind, FittingEnd
from schemas.tables.fittings import Fitting
from schemas.tables.fluids import Fluid
from schemas.tables.materials import Material
from schemas.tables.ports import Port
from schemas.tables.pumps import Pump
from schemas.tables.radiators import Radiator
from schemas.tables.reservoirs import Reservoir
from schemas.tables.seals import Seal
from schemas.tables.threads import Thread
from schemas.tables.tubes import NominalMeans, Tube

Key = tuple[str | int | float, ...]
Posting = Sequence[int]

FindableRow: TypeAlias = PartRow | Block | Fan | Pump | Radiator | Reservoir

_KINDS: tuple[tuple[str, type[FindableRow]], ...] = (
    ("additive", Additive),
    ("block", Block),
    ("fan", Fan),
    ("fitting", Fitting),
    ("fluid", Fluid),
    ("material", Material),
    ("port", Port),
    ("pump", Pump),
    ("radiator", Radiator),
    ("reservoir", Reservoir),
    ("seal", Seal),
    ("thread", Thread),
    ("tube", Tube),
)
_IS_SAID = (ReadingKind.WORD, ReadingKind.O_RING_CODE)  # only O-rings are called by an O-ring code
_NEAREST_SIZES = 3
_BOTH = 2
_MOST_TITLES = 8192  # several times those of the tables; some hundred bytes each
_MOST_PIECES = 255  # a count of pieces is kept in one byte


class AliasEntry(NamedTuple):
    """An alias row and the terms that must all be in the question."""

    row: Alias
    terms: frozenset[Key]


class ThreadEntry(NamedTuple):
    """A thread row and the sign of its system as its designation writes it (`g`, `npt`, `m`, `un`)."""

    row: Thread
    system: str


@dataclass(frozen=True, slots=True)
class Postings:
    """The index itself; built once, then only read.

    Attributes:
        ids: part ids kind by kind; a part's number is its place here.
        by_key: key -> numbers of the parts that carry it, ascending.
        kinds: kind -> first number and the number after the last.
        sizes: column -> every size in it, ascending [um].
        pairs: column -> first size -> second sizes, ascending [um].
        title_pieces: part number -> how many pieces its title has.
        narrower: number of a tube -> the words that make its family narrower than another with tubes of its own.
        threads: nominal size [um] -> threads.
        aliases: one term of an alias -> the aliases it stands for.
        vocabulary: every word known, sorted.
    """

    ids: tuple[str, ...]
    by_key: Mapping[Key, list[int]]
    kinds: Mapping[str, tuple[int, int]]
    sizes: Mapping[str, list[int]]
    pairs: Mapping[str, Mapping[int, list[int]]]
    title_pieces: bytes
    narrower: Mapping[int, frozenset[Key]]
    threads: Mapping[int, list[ThreadEntry]]
    aliases: Mapping[Key, list[AliasEntry]]
    vocabulary: tuple[str, ...]

    def posting(self, key: Key) -> Posting:
        """Return the parts under a key, none if the key is unknown."""
        return self.by_key.get(key, ())

    def kind_of(self, number: int) -> str:
        """Return the kind of a part by its number."""
        return next(kind for kind, (low, high) in self.kinds.items() if low <= number < high)

    def near_sizes(self, column: str, size_um: int, window_um: int) -> list[int]:
        """Return the sizes of a column within a window around one, without itself, nearest first."""
        return _near(self.sizes.get(column, []), size_um, window_um)

    def outward(self, column: str, size_um: int) -> tuple[Iterator[int], Iterator[int]]:
        """Return the sizes of a column below one, falling, and those above it, rising [um]."""
        sizes = self.sizes.get(column, [])
        below, above = bisect_left(sizes, size_um), bisect_right(sizes, size_um)
        return reversed(sizes[:below]), iter(sizes[above:])

    def near_pairs(self, column: str, first_um: int, second_um: int, window_um: int) -> list[tuple[int, int]]:
        """Return the pairs of a column of which both sizes lie within the window, without the pair itself."""
        seconds = self.pairs.get(column, {})
        firsts = [first_um, *_near(self.sizes.get(column, []), first_um, window_um)]
        return [
            (first, second)
            for first in firsts
            if first in seconds
            for second in [*_same(seconds[first], second_um), *_near(seconds[first], second_um, window_um)]
            if (first, second) != (first_um, second_um)
        ]


class FindIndex:
    """Postings over one snapshot, built when first asked for."""

    def __init__(self, snapshot: Snapshot) -> None:
        self.snapshot = snapshot

    @cached_property
    def built(self) -> Postings:
        """The postings."""
        return _Builder(self.snapshot).postings()


def reading_terms(reading: Reading) -> tuple[Key, ...]:
    """Return the terms by which aliases recognise a reading, the most exact one first."""
    sizes = [micrometres(length) for length in reading.lengths]
    match reading.kind:
        case ReadingKind.SIZE if reading.means:
            return ("size", sizes[0], reading.means.value), ("size", sizes[0], "")
        case ReadingKind.SIZE:
            return (("size", sizes[0], ""),)
        case ReadingKind.PAIR:
            return (("pair", *sorted(sizes)),)
        case ReadingKind.THREAD:
            return (("thread", reading.word, *sizes),)
        case ReadingKind.ANGLE:
            return (("angle", reading.angle_deg or 0),)
    return ((reading.kind.value, reading.word),)


def in_pieces(readings: Sequence[Reading]) -> list[list[Reading]]:
    """Return the readings grouped by the piece of text they belong to."""
    pieces: dict[int, list[Reading]] = {}
    for reading in readings:
        pieces.setdefault(reading.piece, []).append(reading)
    return list(pieces.values())


def part_title(row: FindableRow) -> str:
    """Return what people call a part: its title, or its designation if it has no title."""
    return row.designation if isinstance(row, Thread | Seal) else row.title


def text_key(text: str) -> Key:
    """Return the key under which a whole title or designation is found."""
    return "text", "".join(plain_text(text).split())


@lru_cache(maxsize=_MOST_TITLES)
def _read_title(title: str) -> tuple[Reading, ...]:
    """Read a title of the tables; tables versions share most of their titles."""
    return read_words(title)


@lru_cache(maxsize=_MOST_TITLES)
def _title_key(title: str) -> Key:
    """Return the key of a title of the tables; what askers write is not remembered."""
    return text_key(title)


@dataclass
class _Builder:
    snapshot: Snapshot
    by_key: dict[Key, list[int]] = field(default_factory=lambda: defaultdict(list))
    sizes: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))
    pairs: dict[str, dict[int, set[int]]] = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))

    def postings(self) -> Postings:
        ids: list[str] = []
        counts = bytearray()
        narrower: dict[int, frozenset[Key]] = {}
        kinds: dict[str, tuple[int, int]] = {}
        self._family_words = self._words_of_families()
        for kind, row_class in _KINDS:
            start = len(ids)
            with_parts = {row.family_id for row in self.snapshot.active(row_class) if isinstance(row, Tube)}
            for row in self.snapshot.active(row_class):
                words = self._narrowing(row.family_id, with_parts)
                if words:
                    narrower[len(ids)] = words
                counts.append(min(self._add(len(ids), row), _MOST_PIECES))
                ids.append(row.id)
            kinds[kind] = start, len(ids)
        self.by_key.default_factory = None  # type: ignore[attr-defined]
        aliases = self._aliases()
        return Postings(
            tuple(ids),
            self.by_key,
            kinds,
            {column: sorted(sizes) for column, sizes in self.sizes.items()},
            {column: {one: sorted(more) for one, more in seconds.items()} for column, seconds in self.pairs.items()},
            bytes(counts),
            narrower,
            self._threads(),
            aliases,
            self._vocabulary(kinds, aliases),
        )

    def _add(self, number: int, row: FindableRow) -> int:
        """Index one part; return how many pieces its title has."""
        title = part_title(row)
        texts = {title, *_other_names(row)}
        readings = {text: _read_title(text) for text in texts}
        pieces = in_pieces(readings[title])
        families = self.snapshot.families(row.family_id)
        keys: set[Key] = {_title_key(text) for text in texts} | {("family", family) for family in families}
        keys |= {("id", text) for text in _written_ids(row.id)}
        kept = _IS_SAID if isinstance(row, Seal) else _IS_SAID[:1]
        own = {_word_key(reading) for text in texts for reading in readings[text] if reading.kind in kept}
        keys |= own | _share_words(row)
        inherited = {word for family in families for word in self._family_words[family]}
        keys |= {("family-word", word) for word in inherited if ("word", word) not in own}
        for key in keys:
            self.by_key[key].append(number)
        self._add_dimensions(number, row, pieces)
        return len(pieces)

    def _narrowing(self, family: str, with_parts: set[str]) -> frozenset[Key]:
        """Return the words of a family that its nearest wider family with parts of its own does not have."""
        wider = next((one for one in self.snapshot.families(family)[1:] if one in with_parts), None)
        own = self._family_words[family] - self._family_words[wider] if wider else frozenset[str]()
        return frozenset(("word", word) for word in own)

    def _add_dimensions(self, number: int, row: FindableRow, pieces: list[list[Reading]]) -> None:
        if isinstance(row, Tube):
            self._add_tube(number, row, _first_size(pieces))
        elif isinstance(row, Seal):
            self._size(number, "o_ring_id_mm", row.o_ring_id_mm)
            self._pair(number, "o_ring_id_mm section_mm", row.o_ring_id_mm, row.section_mm)
            for piece in pieces:
                if piece[0].kind is ReadingKind.THREAD:
                    self._key(number, ("stud", *reading_terms(piece[0])[0][1:]))
        elif isinstance(row, Port):
            self._key(number, ("port", row.thread_id))
        elif isinstance(row, Thread):
            self._key(number, ("thread", row.id))
        elif isinstance(row, Fitting):
            self._add_fitting(number, row, pieces)
        elif isinstance(row, Fan | Radiator):
            for size_um in {_first_size([piece]) for piece in pieces}:
                self._size_um(number, "title", size_um)

    def _add_tube(self, number: int, row: Tube, named_um: int | None) -> None:
        self._size(number, "id_mm", row.id_mm)
        self._size(number, "od_mm", row.od_mm)
        self._pair(number, "od_mm wall_mm", row.od_mm, row.wall_mm)
        outside_first = named_um is not None and named_um == _um(row.od_mm)
        both = (row.od_mm, row.id_mm) if outside_first else (row.id_mm, row.od_mm)
        self._pair(number, "od_mm id_mm" if outside_first else "id_mm od_mm", *both)
        if row.nominal_means is NominalMeans.NEITHER:
            self._size_um(number, "nominal", named_um)
        else:
            own = {NominalMeans.INSIDE: _um(row.id_mm), NominalMeans.OUTSIDE: _um(row.od_mm)}
            self._size_um(number, "name", own.get(row.nominal_means, named_um))

    def _add_fitting(self, number: int, row: Fitting, pieces: list[list[Reading]]) -> None:
        ends = self.snapshot.ends(row.id)
        for end in ends:
            self._add_end(number, end)
        self._add_both_sides(number, ends)
        if row.angle_deg is not None:
            self._key(number, ("angle", row.angle_deg))
        of_ends = {_um(size) for end in ends for size in (end.tube_id_mm, end.tube_od_mm)}
        for piece in pieces:
            if piece[0].kind is ReadingKind.SIZE and micrometres(piece[0].lengths[0]) not in of_ends:
                self._size_um(number, "title", micrometres(piece[0].lengths[0]))

    def _add_end(self, number: int, end: FittingEnd) -> None:
        self._size(number, "tube_id_mm", end.tube_id_mm)
        self._size(number, "tube_od_mm", end.tube_od_mm)
        self._pair(number, "tube_id_mm tube_od_mm", end.tube_id_mm, end.tube_od_mm)
        if end.thread_id is not None:
            side, word = ("external", "male") if end.end_kind is EndKind.MALE_THREAD else ("internal", "female")
            self._key(number, (side, end.thread_id))
            self._key(number, ("word", side))
            self._key(number, ("word", word))

    def _add_both_sides(self, number: int, ends: tuple[FittingEnd, ...]) -> None:
        """Index bodies with two threads of one gender, as `male to male`."""
        kinds = [end.end_kind for end in ends if end.thread_id is not None]
        for word, is_male in (("male", True), ("female", False)):
            if sum((kind is EndKind.MALE_THREAD) is is_male for kind in kinds) >= _BOTH:
                self._key(number, ("word", f"{word} to {word}"))

    def _key(self, number: int, key: Key) -> None:
        posting = self.by_key[key]
        if not posting or posting[-1] != number:
            posting.append(number)

    def _size(self, number: int, column: str, size_mm: float | None) -> None:
        self._size_um(number, column, _um(size_mm))

    def _size_um(self, number: int, column: str, size_um: int | None) -> None:
        if size_um is not None:
            self.sizes[column].add(size_um)
            self._key(number, (column, size_um))

    def _pair(self, number: int, columns: str, first_mm: float | None, second_mm: float | None) -> None:
        first, second = _um(first_mm), _um(second_mm)
        if first is not None and second is not None:
            self.sizes[columns].add(first)
            self.pairs[columns][first].add(second)
            self._key(number, (columns, first, second))

    def _words_of_families(self) -> dict[str, frozenset[str]]:
        return {
            family.id: frozenset(reading.word for reading in _read_title(family.title) if reading.kind in _IS_SAID)
            for family in self.snapshot.active(Family)
        }

    def _threads(self) -> dict[int, list[ThreadEntry]]:
        threads: dict[int, list[ThreadEntry]] = defaultdict(list)
        for row in self.snapshot.active(Thread):
            readings = _read_title(row.designation)
            size = _um(row.nominal_mm)
            if size is not None and readings and readings[0].kind is ReadingKind.THREAD:
                threads[size].append(ThreadEntry(row, readings[0].word))
        return dict(threads)

    def _aliases(self) -> dict[Key, list[AliasEntry]]:
        aliases: dict[Key, list[AliasEntry]] = defaultdict(list)
        for row in self.snapshot.active(Alias):
            terms = _alias_terms(row.words)
            if terms:
                aliases[min(terms, key=str)].append(AliasEntry(row, terms))
        return dict(aliases)

    def _vocabulary(
        self, kinds: Mapping[str, tuple[int, int]], aliases: Mapping[Key, list[AliasEntry]]
    ) -> tuple[str, ...]:
        terms = {term for entries in aliases.values() for entry in entries for term in entry.terms}
        return tuple(sorted({*kinds, *(str(key[1]) for key in {*self.by_key, *terms} if key[0] == "word")}))


@lru_cache(maxsize=_MOST_TITLES)
def _alias_terms(words: str) -> frozenset[Key]:
    """Return the terms of an alias; a lone `13/16` is a pair there, for as a fraction it would say nothing."""
    pieces = in_pieces(read_words(words))
    chosen = [piece[0] for piece in pieces]
    if len(pieces) == 1:
        chosen = [next((one for one in pieces[0] if one.kind is ReadingKind.PAIR), pieces[0][0])]
    return frozenset(reading_terms(reading)[0] for reading in chosen)


def _word_key(reading: Reading) -> Key:
    return reading.kind.value, reading.word


def _other_names(row: FindableRow) -> tuple[str, ...]:
    """Return what a part is called besides its title; lists of designations also one by one."""
    if isinstance(row, Tube):
        return (row.designation,)
    if isinstance(row, Material) and row.designation:
        return row.designation, *(name.strip() for name in re.split("[;,]", row.designation))
    return ()


def _written_ids(part_id: str) -> Iterator[str]:
    """Yield an id and its slug; a slug that is one plain word is read as a word."""
    slug = part_id.partition("/")[2]
    yield part_id
    if "-" in slug:
        yield slug


def _share_words(row: FindableRow) -> set[Key]:
    if isinstance(row, Fluid) and row.glycol_share_percent:
        return {("word", f"{row.glycol_share_percent:g}%")}
    return set()


def _first_size(pieces: list[list[Reading]]) -> int | None:
    """Return the first size that a title names [um]."""
    for piece in pieces:
        if piece[0].kind in (ReadingKind.SIZE, ReadingKind.PAIR):
            return micrometres(piece[0].lengths[0])
    return None


def _um(size_mm: float | None) -> int | None:
    return None if size_mm is None else round(size_mm * 1000)


def _same(sizes: list[int], size_um: int) -> Iterator[int]:
    place = bisect_left(sizes, size_um)
    if place < len(sizes) and sizes[place] == size_um:
        yield size_um


def _near(sizes: list[int], size_um: int, window_um: int) -> list[int]:
    low, high = bisect_left(sizes, size_um - window_um), bisect_right(sizes, size_um + window_um)
    middle = bisect_left(sizes, size_um)
    around = sizes[max(low, middle - _NEAREST_SIZES) : min(high, middle + _NEAREST_SIZES + 1)]
    others = (size for size in around if size != size_um)
    return sorted(others, key=lambda size: (abs(size - size_um), size))[:_NEAREST_SIZES]
