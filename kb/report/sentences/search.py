"""The words of `find`: readings and reasons rendered to plain sentences.

Owns: every sentence that `find` says. Does not own: what was read or found (`kb/parts/search/spec_words.py`,
`kb/parts/search/search.py`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.parts.search.matches import Match, Relation
from kb.parts.search.readings import Note, Reading, ReadingKind
from kb.store.snapshot import Snapshot
from schemas.columns.sizes import Length
from schemas.tables.aliases import Alias
from schemas.tables.threads import Thread
from schemas.tables.tubes import Tube

_NOTES: Mapping[Note, str] = MappingProxyType(
    {
        Note.DECIMAL_COMMA: "the comma is taken for a decimal point",
        Note.MILLIMETRES_TAKEN: "no unit is written: millimetres are taken",
        Note.INCHES_TAKEN: "no unit is written: inches are taken",
        Note.PIPE_SIZE_TAKEN: "no thread system is written: it can be any pipe thread",
        Note.PAIR_TAKEN: "it can be two sizes in millimetres as well as a fraction",
        Note.SPELLING: "taken for the known word that looks most alike",
        Note.NOTHING_KNOWN: "nothing known goes with it",
        Note.NO_SUCH_SIZE: "nothing that the other words mean has it",
        Note.UNANSWERED: "none of these candidates answers it",
    }
)
_COLUMNS: Mapping[str, str] = MappingProxyType(
    {
        "id_mm": "its inside diameter is {}",
        "od_mm": "its outside diameter is {}",
        "tube_id_mm": "it takes a tube of inside diameter {}",
        "tube_od_mm": "it takes a tube of outside diameter {}",
        "o_ring_id_mm": "the ring's inside diameter is {}",
        "title": "{} stands in its title",
        "id_mm od_mm": "its inside and outside diameters are {} and {}",
        "od_mm id_mm": "its outside and inside diameters are {} and {}",
        "od_mm wall_mm": "its outside diameter and wall are {} and {}",
        "o_ring_id_mm section_mm": "the ring's inside diameter and section are {} and {}",
        "tube_id_mm tube_od_mm": "it takes a tube of {} inside and {} outside diameter",
    }
)
_ROLES: Mapping[str, str] = MappingProxyType(
    {
        "thread": "it is the thread {}",
        "port": "the port has the thread {}",
        "external": "one end has an external thread {}",
        "internal": "one end has an internal thread {}",
    }
)
_SAID: Mapping[Relation, str] = MappingProxyType(
    {
        Relation.SAME: "{!r} is a name for it",
        Relation.ALSO_SOLD_AS: "{!r} is also said of it",
        Relation.OFTEN_CONFUSED: "it is often mistaken for {!r}",
    }
)
_OTHER_SIZES = frozenset((Relation.NEAR, Relation.NEAREST))
_UNREAD_IF_UNKNOWN = frozenset((ReadingKind.WORD, ReadingKind.DASH_SIZE))


def reading_sentence(reading: Reading) -> str:
    """Return what a piece of text was read as, in one sentence.

    >>> from kb.parts.search.spec_words import read_words
    >>> reading_sentence(read_words("9,5 mm")[0])
    "'9,5 mm' is read as the size 9.5 mm (the comma is taken for a decimal point)."
    """
    notes = "; ".join(_NOTES[note] for note in reading.notes)
    nobody_knows = reading.kind in _UNREAD_IF_UNKNOWN and Note.NOTHING_KNOWN in reading.notes
    if reading.kind is ReadingKind.UNREAD or nobody_knows:
        verb = "is not understood"
    elif reading.kind is ReadingKind.WORD and Note.UNANSWERED in reading.notes:
        verb = "is left unread"
    else:
        verb = f"is read as {_MEANINGS[reading.kind](reading)}"
    return f"{reading.text!r} {verb}{f' ({notes})' if notes else ''}."


def reason_sentence(snapshot: Snapshot, part_id: str, why: tuple[Match, ...], unanswered: tuple[str, ...] = ()) -> str:
    """Return why a part is a candidate, in one plain sentence.

    Args:
        snapshot: where the rows named by the matches stand.
        part_id: the candidate.
        why: its matches.
        unanswered: pieces of the text that do not speak for it.
    """
    clauses = dict.fromkeys(_clause(snapshot, part_id, match) for match in why) or {"it is called just that": None}
    missed = [f"nothing about it answers {', '.join(map(repr, unanswered))}"] if unanswered else []
    sentence = "; ".join([*clauses, *missed])
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _clause(snapshot: Snapshot, part_id: str, match: Match) -> str:
    if match.column == "words":
        return _alias_clause(snapshot, match)
    if match.column in _ROLES:
        return _thread_clause(snapshot, match)
    if match.column == "nominal":
        return _nominal_clause(snapshot.get(Tube, part_id), match)
    if match.values_mm:
        return _size_clause(snapshot.get(Tube, part_id) if match.column == "name" else None, match)
    if match.column == "angle_deg":
        return f"it turns by {match.reading.angle_deg:g} degrees"
    if match.column == "kind":
        return f"it is a {match.reading.word}"
    if match.column == "id":
        return f"{match.reading.text!r} is its id"
    written = match.reading.word if match.reading.kind is ReadingKind.WORD else match.reading.text
    return f"{written!r} stands in its {'family' if match.column == 'family' else 'own'} name"


def _alias_clause(snapshot: Snapshot, match: Match) -> str:
    alias = snapshot.get(Alias, match.alias_id)
    said = _SAID[match.relation].format(alias.words)
    return f"{said} ({alias.note})" if alias.note else said


def _thread_clause(snapshot: Snapshot, match: Match) -> str:
    thread = _ROLES[match.column].format(snapshot.get(Thread, match.thread_id).designation)
    return f"{thread}; {_alias_clause(snapshot, match)}" if match.alias_id else thread


def _nominal_clause(tube: Tube, match: Match) -> str:
    real = f", but its outside diameter is {_mm(tube.od_mm)}" if tube.od_mm is not None else ""
    return f"{match.reading.text!r} is its name{real}"


def _size_clause(tube: Tube | None, match: Match) -> str:
    sizes = [_mm(value) for value in match.values_mm]
    if tube is not None:
        column = "outside" if match.values_mm[0] == tube.od_mm else "inside"
        clause = f"it is named by its {column} diameter, {sizes[0]}"
    else:
        clause = _COLUMNS[match.column].format(*sizes)
    return f"{clause} ({_off(match)})" if match.relation in _OTHER_SIZES else clause


def _off(match: Match) -> str:
    side = "more" if match.difference_mm > 0 else "less"
    near = "near" if match.relation is Relation.NEAR else "the nearest there is"
    return f"{near}, but {_mm(abs(match.difference_mm))} {side} than written"


def _mm(value_mm: float) -> str:
    return f"{value_mm:.3f}".rstrip("0").rstrip(".") + " mm"


def _length_text(length: Length) -> str:
    if length.unit != "in":
        return _mm(float(length.number))
    whole, part = divmod(length.number, 1)
    return f"{' '.join(str(number) for number in (whole, part) if number)} in"


def _thread_meaning(reading: Reading) -> str:
    size = " x ".join(_length_text(length) for length in reading.lengths)
    system = f"the thread system {reading.word!r}" if reading.word else "a pipe thread"
    per_inch = f", {reading.threads_per_inch} threads per inch" if reading.threads_per_inch else ""
    side = f", {reading.gender.value}" if reading.gender else ""
    return f"{system} in the nominal size {size}{per_inch}{side}"


def _size_meaning(reading: Reading) -> str:
    side = f"the {reading.means.value} diameter" if reading.means else "the size"
    return f"{side} {_length_text(reading.lengths[0])}"


def _pair_meaning(reading: Reading) -> str:
    return "the two sizes " + " and ".join(_length_text(length) for length in reading.lengths)


_MEANINGS: Mapping[ReadingKind, Callable[[Reading], str]] = MappingProxyType(
    {
        ReadingKind.THREAD: _thread_meaning,
        ReadingKind.SIZE: _size_meaning,
        ReadingKind.PAIR: _pair_meaning,
        ReadingKind.O_RING_CODE: lambda reading: f"the ring size code {reading.word}",
        ReadingKind.DASH_SIZE: lambda reading: f"the dash size {reading.word!r}",
        ReadingKind.ID: lambda reading: f"the id {reading.word!r}",
        ReadingKind.ANGLE: lambda reading: f"an angle of {reading.angle_deg:g} degrees",
        ReadingKind.WORD: lambda reading: f"the word {reading.word!r}",
    }
)
