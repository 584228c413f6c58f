"""Why an id cannot stand where it was written: no row has it, or its row is of a kind that is not asked for there.

Owns: telling the two apart, and the error. Does not own: which ids are near (`kb/parts/near_ids.py`) or which kinds a
question takes (`kb/parts/resolver.py` and who asks it).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from kb.parts.near_ids import MOST, MeantBy, ids_near
from kb.parts.renamed_ids import renamed_id, renaming
from kb.store.faults import QuestionError
from kb.store.snapshot import PART_TABLES, Snapshot
from schemas.tables import ROW_CLASSES
from schemas.tables.families import Family
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.kinds import kind_of, table_of_id
from schemas.tables.renamed_ids import RenamedId

DEVICE_TABLES = ("blocks", "pumps", "radiators", "fans", "reservoirs")
_MOST_SHOWN = 80  # characters of what was written


def refused_id(
    snapshot: Snapshot, meant_by: MeantBy, written: str, field: str, tables: Iterable[str] = PART_TABLES
) -> QuestionError:
    """Return the error for an id that cannot stand where it was written.

    Args:
        snapshot: the knowledge.
        meant_by: returns the ids that words can mean.
        written: what stands in the place of the id.
        field: path of it in the question.
        tables: tables whose rows may stand there.

    Returns:
        If a row of another kind has the id, what it is, what is asked for, and what to do instead; if the id was
        renamed, what to; else the nearest ids.
    """
    wanted = tuple(tables)
    row = snapshot.row(written)
    if row is not None:
        return _of_another_kind(snapshot, row, field, wanted)
    renamed = renamed_id(snapshot, written)
    if renamed is not None:
        return _renamed(snapshot, renamed, field, wanted)
    table = table_of_id(written)
    if table is None or table in wanted:
        what = f"no {_noun(wanted)} has the id {written[:_MOST_SHOWN]!r}"
        nearest = ids_near(snapshot, wanted).to(written, meant_by)
        return QuestionError(field, what, _use_another(wanted), nearest)
    what = f"no {_words(table)} has the id {written[:_MOST_SHOWN]!r}, and this field takes {kinds_in_words(wanted)}"
    return QuestionError(field, what, _ask_elsewhere(table, wanted), ids_near(snapshot, (table,)).to(written))


def _renamed(snapshot: Snapshot, renamed: RenamedId, field: str, wanted: Sequence[str]) -> QuestionError:
    """Return the error for an id that has another name now; the new one comes first of the nearest."""
    row: Any = snapshot.row(renamed.new_id)
    table: str = type(row).table
    near = ids_near(snapshot, (table,)).to(renamed.new_id)
    nearest = tuple(dict.fromkeys((renamed.new_id, *near)))[:MOST]
    if table in wanted:
        return QuestionError(field, renaming(renamed), f"write {renamed.new_id}", nearest)
    what = f"{renaming(renamed)}, and this field takes {kinds_in_words(wanted)}"
    return QuestionError(field, what, _ask_elsewhere(table, wanted), nearest)


def kinds_in_words(tables: Sequence[str]) -> str:
    """Return the kinds of the rows of tables in words.

    >>> kinds_in_words(("tubes",)), kinds_in_words(("tubes", "fluids", "additives"))
    ('a tube', 'a tube, fluid or additive')
    """
    *first, last = map(_words, tables)
    words = f"{', '.join(first)} or {last}" if first else last
    return f"{'an' if words[0] in 'aeiou' else 'a'} {words}"


def _of_another_kind(snapshot: Snapshot, row: Any, field: str, wanted: Sequence[str]) -> QuestionError:
    table = type(row).table
    what = f"{row.id} is {kinds_in_words((table,))}; this field takes {kinds_in_words(wanted)}"
    return QuestionError(field, what, _instead(snapshot, row, wanted) or _ask_elsewhere(table, wanted))


def _instead(snapshot: Snapshot, row: Any, wanted: Sequence[str]) -> str:
    """Return what to name in place of a row of another kind that has to do with it; empty if there is none."""
    if isinstance(row, FittingEnd) and "fittings" in wanted:
        return f"name its fitting, {row.fitting_id}"
    if isinstance(row, Family):
        members = _members(snapshot, row.id, wanted)[:MOST]
        return f"name one of its members, such as {' or '.join(members)}" if members else ""
    families = snapshot.families(getattr(row, "family_id", ""))
    return f"name a family, such as its own, {families[0]}" if families and tuple(wanted) == ("families",) else ""


def _members(snapshot: Snapshot, family: str, wanted: Sequence[str]) -> tuple[str, ...]:
    return tuple(
        row.id
        for table in wanted
        for row in snapshot.active(ROW_CLASSES[table])
        if family in snapshot.families(getattr(row, "family_id", ""))
    )


def _ask_elsewhere(table: str, wanted: Sequence[str]) -> str:
    if table in DEVICE_TABLES and not set(wanted) & set(DEVICE_TABLES):
        return "state it in a loop: only a question about a whole loop takes blocks, pumps, radiators, fans, reservoirs"
    return f"name {kinds_in_words(wanted)}" if len(wanted) == 1 else "name a part of one of these kinds"


def _use_another(wanted: Sequence[str]) -> str:
    inline = ", or describe the part by its dimensions" if tuple(wanted) == PART_TABLES else ""
    return f"use an id that exists{inline}"


def _noun(wanted: Sequence[str]) -> str:
    if len(wanted) == 1:
        return _words(wanted[0])
    return "row" if len(wanted) == len(ROW_CLASSES) else "part"


def _words(table: str) -> str:
    return kind_of(table).replace("-", " ")
