"""What `find` says: readings and reasons rendered to plain sentences.

Owns: which message is said, and how its sizes are written. Does not own: what was read or found
(`kb/parts/search/spec_words.py`, `kb/parts/search/search.py`), or the words (`kb/tables/messages.csv`).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from kb.parts.renamed_ids import renamed_id
from kb.parts.search.matches import Match, Relation
from kb.parts.search.readings import Note, Reading, ReadingKind
from kb.report.sentences.words import words
from kb.store.snapshot import Snapshot
from schemas.columns.sizes import Length
from schemas.messages import Text
from schemas.tables.aliases import Alias
from schemas.tables.threads import Thread
from schemas.tables.tubes import Tube

_NOTES: Mapping[Note, Text] = MappingProxyType({note: Text(f"reading-{note.value}") for note in Note})
_ONE_SIZE: Mapping[str, Text] = MappingProxyType(
    {
        "id_mm": Text.REASON_INSIDE,
        "od_mm": Text.REASON_OUTSIDE,
        "tube_id_mm": Text.REASON_TAKES_INSIDE,
        "tube_od_mm": Text.REASON_TAKES_OUTSIDE,
        "o_ring_id_mm": Text.REASON_O_RING_INSIDE,
        "title": Text.REASON_TITLE_SIZE,
    }
)
_TWO_SIZES: Mapping[str, Text] = MappingProxyType(
    {
        "id_mm od_mm": Text.REASON_INSIDE_OUTSIDE,
        "od_mm id_mm": Text.REASON_OUTSIDE_INSIDE,
        "od_mm wall_mm": Text.REASON_OUTSIDE_WALL,
        "o_ring_id_mm section_mm": Text.REASON_O_RING_INSIDE_SECTION,
        "tube_id_mm tube_od_mm": Text.REASON_TAKES_INSIDE_OUTSIDE,
    }
)
_ROLES: Mapping[str, Text] = MappingProxyType(
    {
        "thread": Text.REASON_THREAD,
        "port": Text.REASON_PORT,
        "external": Text.REASON_EXTERNAL,
        "internal": Text.REASON_INTERNAL,
    }
)
_SAID: Mapping[Relation, Text] = MappingProxyType(
    {
        Relation.SAME: Text.REASON_ALIAS_SAME,
        Relation.ALSO_SOLD_AS: Text.REASON_ALIAS_ALSO_SOLD_AS,
        Relation.OFTEN_CONFUSED: Text.REASON_ALIAS_OFTEN_CONFUSED,
    }
)
_OFF: Mapping[tuple[bool, bool], Text] = MappingProxyType(
    {
        (True, True): Text.REASON_NEAR_MORE,
        (True, False): Text.REASON_NEAR_LESS,
        (False, True): Text.REASON_NEAREST_MORE,
        (False, False): Text.REASON_NEAREST_LESS,
    }
)
_OTHER_SIZES = frozenset((Relation.NEAR, Relation.NEAREST))
_UNREAD_IF_UNKNOWN = frozenset((ReadingKind.WORD, ReadingKind.DASH_SIZE))


def reading_sentence(snapshot: Snapshot, reading: Reading) -> str:
    """Return what a piece of text was read as, in one sentence.

    >>> from kb.knowledge_base import load
    >>> from kb.parts.search.spec_words import read_words
    >>> reading_sentence(load().snapshot, read_words("9,5 mm")[0])
    "'9,5 mm' is read as the size 9.5 mm (the comma is taken for a decimal point)."
    """
    phrases = "; ".join(words(snapshot, _NOTES[note]) for note in reading.notes)
    text, notes = repr(reading.text), f" ({phrases})" if phrases else ""
    nobody_knows = reading.kind in _UNREAD_IF_UNKNOWN and Note.NOTHING_KNOWN in reading.notes
    if reading.kind is ReadingKind.UNREAD or nobody_knows:
        return words(snapshot, Text.READING_NOT_UNDERSTOOD, text=text, notes=notes)
    if reading.kind is ReadingKind.WORD and Note.UNANSWERED in reading.notes:
        return words(snapshot, Text.READING_LEFT_UNREAD, text=text, notes=notes)
    meaning = _MEANINGS[reading.kind](snapshot, reading)
    return words(snapshot, Text.READING, text=text, meaning=meaning, notes=notes)


def reason_sentence(snapshot: Snapshot, part_id: str, why: tuple[Match, ...], unanswered: tuple[str, ...] = ()) -> str:
    """Return why a part is a candidate, in one plain sentence.

    Args:
        snapshot: where the rows named by the matches stand.
        part_id: the candidate.
        why: its matches.
        unanswered: pieces of the text that do not speak for it.
    """
    clauses = list(dict.fromkeys(_clause(snapshot, part_id, match) for match in why))
    clauses = clauses or [words(snapshot, Text.REASON_CALLED_THAT)]
    if unanswered:
        clauses.append(words(snapshot, Text.REASON_UNANSWERED, pieces=", ".join(map(repr, unanswered))))
    sentence = "; ".join(clauses)
    return f"{sentence[:1].upper()}{sentence[1:]}."


def _clause(snapshot: Snapshot, part_id: str, match: Match) -> str:
    if match.column == "words":
        return _alias_clause(snapshot, match)
    if match.column in _ROLES:
        return _thread_clause(snapshot, match)
    if match.column == "nominal":
        return _nominal_clause(snapshot, snapshot.get(Tube, part_id), match)
    if match.values_mm:
        return _size_clause(snapshot, snapshot.get(Tube, part_id) if match.column == "name" else None, match)
    if match.column == "angle_deg":
        return words(snapshot, Text.REASON_ANGLE, angle=f"{match.reading.angle_deg:g}")
    if match.column == "kind":
        return words(snapshot, Text.REASON_KIND, kind=match.reading.word)
    if match.column == "renamed":
        return _renamed_clause(snapshot, match)
    if match.column == "id":
        return words(snapshot, Text.REASON_ID, text=repr(match.reading.text))
    written = match.reading.word if match.reading.kind is ReadingKind.WORD else match.reading.text
    message = Text.REASON_FAMILY_NAME if match.column == "family" else Text.REASON_OWN_NAME
    return words(snapshot, message, text=repr(written))


def _renamed_clause(snapshot: Snapshot, match: Match) -> str:
    row = renamed_id(snapshot, match.reading.text)
    assert row is not None
    day = row.renamed_on.isoformat()
    return words(snapshot, Text.REASON_RENAMED, old=row.old_id, new=row.new_id, day=day)


def _alias_clause(snapshot: Snapshot, match: Match) -> str:
    alias = snapshot.get(Alias, match.alias_id)
    said = words(snapshot, _SAID[match.relation], words=repr(alias.words))
    return f"{said} ({alias.note})" if alias.note else said


def _thread_clause(snapshot: Snapshot, match: Match) -> str:
    thread = words(snapshot, _ROLES[match.column], thread=snapshot.get(Thread, match.thread_id).designation)
    return f"{thread}; {_alias_clause(snapshot, match)}" if match.alias_id else thread


def _nominal_clause(snapshot: Snapshot, tube: Tube, match: Match) -> str:
    text = repr(match.reading.text)
    if tube.od_mm is None:
        return words(snapshot, Text.REASON_NOMINAL, text=text)
    return words(snapshot, Text.REASON_NOMINAL_OUTSIDE, text=text, outside=_mm(tube.od_mm))


def _size_clause(snapshot: Snapshot, tube: Tube | None, match: Match) -> str:
    sizes = [_mm(value) for value in match.values_mm]
    if tube is not None:
        diameter = "outside" if match.values_mm[0] == tube.od_mm else "inside"
        clause = words(snapshot, Text.REASON_NAMED_BY, diameter=diameter, size=sizes[0])
    elif match.column in _ONE_SIZE:
        clause = words(snapshot, _ONE_SIZE[match.column], size=sizes[0])
    else:
        clause = words(snapshot, _TWO_SIZES[match.column], first=sizes[0], second=sizes[1])
    return _off(snapshot, match, clause) if match.relation in _OTHER_SIZES else clause


def _off(snapshot: Snapshot, match: Match, clause: str) -> str:
    message = _OFF[match.relation is Relation.NEAR, match.difference_mm > 0]
    return words(snapshot, message, reason=clause, difference=_mm(abs(match.difference_mm)))


def _mm(value_mm: float) -> str:
    return f"{value_mm:.3f}".rstrip("0").rstrip(".") + " mm"


def _length_text(length: Length) -> str:
    if length.unit != "in":
        return _mm(float(length.number))
    whole, part = divmod(length.number, 1)
    return f"{' '.join(str(number) for number in (whole, part) if number)} in"


def _thread_meaning(snapshot: Snapshot, reading: Reading) -> str:
    system = words(snapshot, Text.MEANING_PIPE_THREAD)
    if reading.word:
        system = words(snapshot, Text.MEANING_THREAD_SYSTEM, system=repr(reading.word))
    details = []
    if reading.threads_per_inch:
        details.append(words(snapshot, Text.MEANING_THREADS_PER_INCH, count=str(reading.threads_per_inch)))
    if reading.gender:
        details.append(reading.gender.value)
    size = " x ".join(_length_text(length) for length in reading.lengths)
    beside = "".join(f", {detail}" for detail in details)
    return words(snapshot, Text.MEANING_THREAD, system=system, size=size, details=beside)


def _size_meaning(snapshot: Snapshot, reading: Reading) -> str:
    size = _length_text(reading.lengths[0])
    if reading.means:
        return words(snapshot, Text.MEANING_DIAMETER, diameter=reading.means.value, size=size)
    return words(snapshot, Text.MEANING_SIZE, size=size)


def _pair_meaning(snapshot: Snapshot, reading: Reading) -> str:
    first, second = map(_length_text, reading.lengths)
    return words(snapshot, Text.MEANING_PAIR, first=first, second=second)


def _angle_meaning(snapshot: Snapshot, reading: Reading) -> str:
    return words(snapshot, Text.MEANING_ANGLE, angle=f"{reading.angle_deg:g}")


_MEANINGS: Mapping[ReadingKind, Callable[[Snapshot, Reading], str]] = MappingProxyType(
    {
        ReadingKind.THREAD: _thread_meaning,
        ReadingKind.SIZE: _size_meaning,
        ReadingKind.PAIR: _pair_meaning,
        ReadingKind.O_RING_CODE: lambda snapshot, reading: words(snapshot, Text.MEANING_O_RING_CODE, code=reading.word),
        ReadingKind.DASH_SIZE: lambda snapshot, reading: words(
            snapshot, Text.MEANING_DASH_SIZE, code=repr(reading.word)
        ),
        ReadingKind.ID: lambda snapshot, reading: words(snapshot, Text.MEANING_ID, id=repr(reading.word)),
        ReadingKind.ANGLE: _angle_meaning,
        ReadingKind.WORD: lambda snapshot, reading: words(snapshot, Text.MEANING_WORD, word=repr(reading.word)),
    }
)
