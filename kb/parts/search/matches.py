"""What a reading can mean: the parts under every column, thread and alias it meets, each with its reason.

Owns: which columns a reading looks in and how surely it means them. Does not own: the index
(`kb/parts/search/index.py`) or ranking parts over all pieces of a text (`kb/parts/search/search.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import islice
from types import MappingProxyType
from typing import NamedTuple

from kb.parts.search.index import AliasEntry, FindIndex, Key, Posting, Postings, ThreadEntry, in_pieces, reading_terms
from kb.parts.search.readings import Diameter, Note, Reading, ReadingKind, micrometres
from schemas.tables.threads import ThreadGender

WINDOW_QUANTITY = "quantity/size-name-window"
MISSPELT = 0.9  # how likely a word is the one that looks most like it


class Relation(StrEnum):
    """How a candidate relates to what was written."""

    SAME = "same"
    NEAR = "near"
    NEAREST = "nearest"
    ALSO_SOLD_AS = "also-sold-as"
    OFTEN_CONFUSED = "often-confused"


@dataclass(frozen=True, slots=True)
class Match:
    """Why one piece of the text speaks for a candidate.

    Attributes:
        reading: how the piece was read.
        column: the column that matched, two for a pair; `name` for the dimension a tube is named by, `nominal` for a
            name that is no dimension; `renamed` for an id that the part had before; `thread`, `port`, `external` or
            `internal` for where a thread is; `words` for an alias.
        thread_id: the thread meant.
        alias_id: the alias that led to the candidate.
        values_mm: the candidate's own sizes [mm].
        difference_mm: the candidate's size less the one asked for, the larger one of a pair [mm].
        relation: how sure it is that the words mean this.
    """

    reading: Reading
    column: str
    thread_id: str = ""
    alias_id: str = ""
    values_mm: tuple[float, ...] = ()
    difference_mm: float = 0.0
    relation: Relation = Relation.SAME


class Option(NamedTuple):
    """Parts that one reading of a piece can mean, all for the same reason."""

    weight: float
    posting: Posting
    match: Match


class Piece(NamedTuple):
    """A piece of the text with everything it can mean, the surest first.

    Attributes:
        importance: how much of a score it can bring.
        readings: what it was taken for.
        options: the parts it can mean.
        is_measured: whether it names a size or a code of one: a part that answers none of those is never meant.
        size: how it is read as one length, if it can be.
    """

    importance: float
    readings: tuple[Reading, ...]
    options: tuple[Option, ...]
    is_measured: bool
    size: Reading | None = None


# How much a piece counts: numbers decide, words narrow down; what cannot even be read hardly matters.
_IMPORTANCE = MappingProxyType({ReadingKind.ANGLE: 0.8, ReadingKind.WORD: 0.5, ReadingKind.UNREAD: 0.25})
_MEASURED = frozenset(
    (ReadingKind.SIZE, ReadingKind.PAIR, ReadingKind.THREAD, ReadingKind.O_RING_CODE, ReadingKind.DASH_SIZE)
)
# How surely a size without further words means this column. They order answers; nothing is dropped for them.
_BARE_COLUMNS = MappingProxyType(
    {
        "name": 0.95,
        "nominal": 0.95,
        "od_mm": 0.85,
        "id_mm": 0.85,
        "tube_od_mm": 0.8,
        "tube_id_mm": 0.8,
        "title": 0.8,
        "o_ring_id_mm": 0.7,
    }
)
_NAME_COLUMNS = frozenset(("nominal", "title"))  # names, not dimensions: nothing lies near them
_MEANT_COLUMNS: Mapping[Diameter, Mapping[str, float]] = MappingProxyType(
    {
        Diameter.INSIDE: MappingProxyType({"id_mm": 1.0, "tube_id_mm": 0.85, "o_ring_id_mm": 0.75}),
        Diameter.OUTSIDE: MappingProxyType({"od_mm": 1.0, "tube_od_mm": 0.85}),
    }
)
_PAIR_COLUMNS = MappingProxyType(
    {
        "id_mm od_mm": 0.98,
        "od_mm id_mm": 0.98,
        "od_mm wall_mm": 0.95,
        "o_ring_id_mm section_mm": 0.95,
        "tube_id_mm tube_od_mm": 0.85,
    }
)
_THREAD_ROLES = MappingProxyType({"thread": 1.0, "port": 0.9, "external": 0.8, "internal": 0.8})
_STUD_O_RING = 0.75  # an O-ring named for the thread of its stud
_RELATIONS = MappingProxyType({Relation.SAME: 1.0, Relation.ALSO_SOLD_AS: 0.8, Relation.OFTEN_CONFUSED: 0.5})
_NUDGES = MappingProxyType({Relation.SAME: 0.02, Relation.ALSO_SOLD_AS: 0.01, Relation.OFTEN_CONFUSED: -0.02})
_SWAPPED = 0.01  # taken off where the order of a pair is not that of the part's own name
_NEAREST_WEIGHT, _FARTHEST_WEIGHT = 0.8, 0.5  # of a near size, at no distance and at the edge of the window
_KIND_WORD_IN_TITLE = 0.5  # `tube` in the title of a fitting
_FAMILY_WORD = 0.95  # a word of the family's name, less sure than one of the part's own
_NEAREST_FOUND_WEIGHT = 0.3  # of a size that is only the nearest there is
_NEAREST_STEPS = 64  # sizes looked at on either side
_FARTHEST_SHARE = 0.25  # of the size written; what is farther off is no help


def pieces_of(index: FindIndex, readings: tuple[Reading, ...]) -> list[Piece]:
    """Return the pieces of a text with everything each of them can mean."""
    window = index.snapshot.assumption(WINDOW_QUANTITY)
    window_um = round(window.value * 1000) if window else 0
    options = _Options(index, _matched_aliases(index.built, readings), window_um)
    return [_piece(options, alternatives) for alternatives in in_pieces(readings)]


def nearest_options(built: Postings, reading: Reading, is_meant: Callable[[int], bool]) -> list[Option]:
    """Return the parts of the nearest smaller and larger size, for a size that no part meant has.

    Args:
        built: the index.
        reading: how the size was read.
        is_meant: whether the rest of the text means a part, by its number.
    """
    size = micrometres(reading.lengths[0])
    columns = _BARE_COLUMNS if reading.means is None else _MEANT_COLUMNS[reading.means]
    found: list[tuple[int, Option]] = []
    for column in columns:
        for side in built.outward(column, size) if column not in _NAME_COLUMNS else ():
            for near in islice(side, _NEAREST_STEPS):
                if abs(near - size) > size * _FARTHEST_SHARE:
                    break
                posting = [number for number in built.posting((column, near)) if is_meant(number)]
                if posting:
                    found.append((near - size, _nearest_option(reading, column, near, size, posting)))
                    break
    below = max((difference for difference, _ in found if difference < 0), default=0)
    above = min((difference for difference, _ in found if difference > 0), default=0)
    return [option for difference, option in found if difference in (below, above)]


def _nearest_option(reading: Reading, column: str, near_um: int, asked_um: int, posting: list[int]) -> Option:
    difference_mm = (near_um - asked_um) / 1000
    match = Match(reading, column, "", "", (near_um / 1000,), difference_mm, Relation.NEAREST)
    weight = _NEAREST_FOUND_WEIGHT * (1 - abs(near_um - asked_um) / asked_um)
    return Option(weight, posting, match)


def alias_nudges(built: Postings, readings: tuple[Reading, ...]) -> list[tuple[Posting, float]]:
    """Return the parts that aliases speak of, with what that adds to or takes from a score."""
    return [(_target(built, entry), _NUDGES[_relation(entry)]) for entry in _matched_aliases(built, readings)]


def _matched_aliases(built: Postings, readings: tuple[Reading, ...]) -> list[AliasEntry]:
    """Return the aliases all of whose terms were written; a phrase inside a longer phrase does not count."""
    terms = frozenset(term for reading in readings for term in reading_terms(reading))
    found = [entry for term in terms for entry in built.aliases.get(term, ()) if entry.terms <= terms]
    phrases = [entry.terms for entry in found if all(term[0] == ReadingKind.WORD.value for term in entry.terms)]
    kept = [entry for entry in found if not any(entry.terms < phrase for phrase in phrases)]
    return sorted(kept, key=lambda entry: entry.row.id)


def _target(built: Postings, entry: AliasEntry) -> Posting:
    """Return the parts that an alias means."""
    meant = entry.row.part_id
    if meant.startswith("family/"):
        return built.posting(("family", meant))
    return built.posting(("id", meant))


def _relation(entry: AliasEntry) -> Relation:
    return Relation(entry.row.relation.value)


def _piece(options: _Options, alternatives: list[Reading]) -> Piece:
    found = [(reading, tuple(options.of(reading))) for reading in alternatives]
    fruitful = [(reading, own) for reading, own in found if own]
    taken = tuple(reading for reading, _ in fruitful) or (_fruitless(alternatives[0]),)
    every = sorted((option for _, own in fruitful for option in own), key=lambda option: -option.weight)
    importance = _IMPORTANCE.get(taken[0].kind, 1.0)
    is_measured = any(reading.kind in _MEASURED for reading in taken)
    size = next((reading for reading in alternatives if reading.kind is ReadingKind.SIZE), None)
    return Piece(importance, taken, tuple(every), is_measured, size)


def _fruitless(reading: Reading) -> Reading:
    kept = tuple(note for note in reading.notes if note is not Note.SPELLING)
    return replace(reading, notes=(*kept, Note.NOTHING_KNOWN))


class _Options:
    """Looks up what a reading can mean."""

    def __init__(self, index: FindIndex, aliases: list[AliasEntry], window_um: int) -> None:
        self._index = index
        self._built = index.built
        self._aliases = aliases
        self._window_um = window_um

    def of(self, reading: Reading) -> Iterator[Option]:
        """Yield the options of a reading that meet at least one part."""
        terms = frozenset(reading_terms(reading))
        meant = [entry for entry in self._aliases if terms & entry.terms]
        if meant and Note.SPELLING not in reading.notes:
            reading = replace(reading, likelihood=1.0)  # people are known to say it: no other reading is likelier
        for option in (*self._of_columns(reading), *self._of_aliases(reading, meant)):
            if len(option.posting):
                yield option._replace(weight=option.weight * reading.likelihood)

    def _of_aliases(self, reading: Reading, meant: list[AliasEntry]) -> Iterator[Option]:
        for entry in meant:
            relation = _relation(entry)
            match = Match(reading, "words", alias_id=entry.row.id, relation=relation)
            yield Option(_RELATIONS[relation], _target(self._built, entry), match)

    def _of_columns(self, reading: Reading) -> Iterator[Option]:
        match reading.kind:
            case ReadingKind.SIZE:
                return self._size(reading)
            case ReadingKind.PAIR:
                return self._pair(reading)
            case ReadingKind.THREAD:
                return self._thread(reading)
            case ReadingKind.WORD:
                return self._word(reading)
            case ReadingKind.ANGLE:
                return self._plain(reading, ("angle", reading.angle_deg or 0), "angle_deg")
            case ReadingKind.O_RING_CODE:
                return self._plain(reading, (reading.kind.value, reading.word), "designation")
        return iter(())

    def _plain(self, reading: Reading, key: Key, column: str) -> Iterator[Option]:
        yield Option(1.0, self._built.posting(key), Match(reading, column))

    def _word(self, reading: Reading) -> Iterator[Option]:
        kind = self._built.kinds.get(reading.word)
        if kind is not None:
            yield Option(1.0, range(*kind), Match(reading, "kind"))
        weight = 1.0 if kind is None else _KIND_WORD_IN_TITLE
        yield Option(weight, self._built.posting(("word", reading.word)), Match(reading, "title"))
        of_family = self._built.posting(("family-word", reading.word))
        yield Option(weight * _FAMILY_WORD, of_family, Match(reading, "family"))

    def _size(self, reading: Reading) -> Iterator[Option]:
        size = micrometres(reading.lengths[0])
        columns = _BARE_COLUMNS if reading.means is None else _MEANT_COLUMNS[reading.means]
        for column, weight in columns.items():
            yield self._sized(reading, column, (size,), (size,), weight)
            measured = column not in _NAME_COLUMNS
            for near in self._built.near_sizes(column, size, self._window_um) if measured else ():
                yield self._sized(reading, column, (near,), (size,), weight)

    def _pair(self, reading: Reading) -> Iterator[Option]:
        first, second = (micrometres(length) for length in reading.lengths)
        for columns, weight in _PAIR_COLUMNS.items():
            for asked, exact in (((first, second), weight), ((second, first), weight - _SWAPPED)):
                yield self._sized(reading, columns, asked, asked, exact)
                for near in self._built.near_pairs(columns, *asked, self._window_um):
                    yield self._sized(reading, columns, near, asked, exact)

    def _sized(
        self, reading: Reading, column: str, sizes: tuple[int, ...], asked: tuple[int, ...], weight: float
    ) -> Option:
        difference = max((size - one for size, one in zip(sizes, asked, strict=True)), key=abs)
        values = tuple(size / 1000 for size in sizes)
        relation = Relation.NEAR if difference else Relation.SAME
        match = Match(reading, column, values_mm=values, difference_mm=difference / 1000, relation=relation)
        return Option(weight * self._nearness(difference), self._built.posting((column, *sizes)), match)

    def _nearness(self, difference_um: int) -> float:
        if difference_um == 0:
            return 1.0
        return _NEAREST_WEIGHT - (_NEAREST_WEIGHT - _FARTHEST_WEIGHT) * abs(difference_um) / self._window_um

    def _thread(self, reading: Reading) -> Iterator[Option]:
        stud = self._built.posting(("stud", *reading_terms(reading)[0][1:]))
        yield Option(_STUD_O_RING, stud, Match(reading, "designation"))
        for entry in self._built.threads.get(micrometres(reading.lengths[0]), ()):
            for relation, alias_id in self._called(reading, entry):
                yield from self._thread_roles(reading, entry.row.id, relation, alias_id)

    def _called(self, reading: Reading, entry: ThreadEntry) -> Iterator[tuple[Relation, str]]:
        """Yield how the sign that was written relates to a thread of that size, and the alias that says so."""
        if not _same_pitch(reading, entry):
            return
        if reading.word == entry.system or (reading.word == "" and entry.system not in ("m", "un")):
            yield Relation.SAME, ""
            return
        families = self._index.snapshot.families(entry.row.family_id)
        for alias in self._built.aliases.get(("word", reading.word), ()):
            if alias.terms == {("word", reading.word)} and alias.row.part_id in families:
                yield _relation(alias), alias.row.id

    def _thread_roles(self, reading: Reading, thread_id: str, relation: Relation, alias_id: str) -> Iterator[Option]:
        other_side = {ThreadGender.EXTERNAL: ("internal", "port"), ThreadGender.INTERNAL: ("external",)}
        refused = other_side.get(reading.gender, ()) if reading.gender else ()
        for role, weight in _THREAD_ROLES.items():
            if role not in refused:
                match = Match(reading, role, thread_id, alias_id, relation=relation)
                yield Option(weight * _RELATIONS[relation], self._built.posting((role, thread_id)), match)


def _same_pitch(reading: Reading, entry: ThreadEntry) -> bool:
    """Return whether a pitch that was written is that of the thread; one that was not written always is."""
    pitch = micrometres(reading.lengths[1]) if len(reading.lengths) > 1 else None
    own = None if entry.row.pitch_mm is None else round(entry.row.pitch_mm * 1000)
    return pitch in (None, own) and reading.threads_per_inch in (None, entry.row.threads_per_inch)
