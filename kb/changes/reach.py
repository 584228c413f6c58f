"""Which pairs of archetypes a changed row can reach; no other pair can be judged otherwise.

Owns: the names by which parts and rows are found, and pairs from names. Does not own: judging (`kb/pair.py`).
Why this is enough: the verdict of a pair follows from what is read of the snapshot. Every such read is keyed by
names: ids of the two parts and of what they are made of, and the families above them (`names_of_parts` listens while
a part is put together). A row is read under its own id or under the ids it refers to, a rule only where both its
sides are present (`Filing`). So if two states of the tables give a pair two verdicts, some row that differs is filed
under names of that pair. A test listens to every read while pairs are judged and holds it against this.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, TypeAlias, TypeVar

from kb.changes.rows import ChangedRow, changed_columns
from kb.chemistry.surfaces import surfaces_of
from kb.resolve import Resolver
from kb.snapshot import PART_TABLES, Snapshot
from kb.store import FrozenTables
from schemas.columns import fields_of
from schemas.tables.assumptions import Assumption
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.tables.sources import Source
from schemas.tables.wetted_materials import WettedMaterial, WettedRole

Row = TypeVar("Row")
Spot: TypeAlias = frozenset[str]
Pair: TypeAlias = tuple[str, str]

EVERYWHERE: Spot = frozenset()
NEVER_READ = frozenset({"note", "locator", "basis", "confidence", "checked_on"})  # no verdict rests on these
_FOUND_BY_THEIR_OWN_ID = frozenset({*PART_TABLES, "families", "fitting_ends"})


class ListeningSnapshot(Snapshot):
    """A snapshot that notes under which names it is asked while a part is put together."""

    def __init__(self, tables: FrozenTables) -> None:
        super().__init__(tables)
        self.heard: set[str] = set()

    def row(self, row_id: str) -> Any | None:
        """Note the id, then answer."""
        self.heard.add(row_id)
        return super().row(row_id)

    def get(self, row_class: type[Row], row_id: str) -> Row:
        """Note the id, then answer."""
        self.heard.add(row_id)
        return super().get(row_class, row_id)

    def families(self, family_id: str) -> tuple[str, ...]:
        """Note the family and its ancestors, then answer."""
        found = super().families(family_id)
        self.heard.update((family_id, *found))
        return found

    def rule_sides(self, ancestors: Iterable[str]) -> tuple[str, ...]:
        """Note all that could stand in a rule, then answer."""
        asked = tuple(ancestors)
        self.heard.update(asked)
        return super().rule_sides(asked)

    def ends(self, fitting_id: str) -> Any:
        """Note the fitting, then answer."""
        self.heard.add(fitting_id)
        return super().ends(fitting_id)

    def usual_fluid(self, ancestors: tuple[str, ...]) -> Mapping[str, FluidProperty]:
        """Note fluid and families, then answer."""
        self.heard.update(ancestors)
        return super().usual_fluid(ancestors)

    def wetted(self, ancestors: tuple[str, ...]) -> Mapping[WettedRole, WettedMaterial]:
        """Note part and families, then answer."""
        self.heard.update(ancestors)
        return super().wetted(ancestors)

    def derive(self, key: tuple[str, ...], make: Callable[[], Row]) -> Row:  # noqa: ARG002 - the key is not needed
        """Compute every time, so that nothing is answered unheard."""
        return make()


def names_of_parts(tables: FrozenTables, parts: Iterable[str]) -> dict[str, frozenset[str]]:
    """Return the names under which anything about an archetype is found.

    Args:
        tables: a state of the tables.
        parts: ids of archetypes in it.
    """
    snapshot = ListeningSnapshot(tables)
    names: dict[str, frozenset[str]] = {}
    for part_id in parts:
        snapshot.heard.clear()
        part = Resolver(snapshot).archetype(part_id, "part")
        for surface in surfaces_of(snapshot, part.id, part.families, {}):
            snapshot.heard.update(surface.material.families)
        for element in part.elements:
            snapshot.heard.update((element.row.id, *element.families))
        names[part_id] = frozenset(snapshot.heard)
    return names


class Filing:
    """Says under which names the rows of one state of the tables are read."""

    def __init__(self, tables: FrozenTables) -> None:
        self._rules = {row.id: row for row in tables.rows[Rule.table]}
        self._by_source: dict[str, list[Any]] = defaultdict(list)
        for row in (row for rows in tables.rows.values() for row in rows):
            self._by_source[getattr(row, "source_id", "")].append(row)

    def spots_of(self, row: Any) -> frozenset[Spot]:
        """Return sets of names: a pair can read the row only if it has all the names of one of these sets.

        Args:
            row: a row of this state of the tables.
        """
        if isinstance(row, Assumption):
            return frozenset({EVERYWHERE})
        if isinstance(row, Source):  # its rank says which of several rows is read
            return frozenset(spot for one in self._by_source[row.id] for spot in self.spots_of(one))
        if isinstance(row, RuleCondition):
            rule = self._rules.get(row.rule_id)
            return self.spots_of(rule) if rule is not None else frozenset()
        if isinstance(row, Rule):
            return frozenset({frozenset({row.subject_id, row.object_id})})
        return frozenset(frozenset({name}) for name in _names_of_row(row))


def _names_of_row(row: Any) -> Iterator[str]:
    yield row.id
    if row.table in _FOUND_BY_THEIR_OWN_ID:
        return
    for field in fields_of(type(row)):
        if field.column.refers_to and field.column.refers_to != (Source.table,):
            cell = getattr(row, field.name)
            yield from cell if isinstance(cell, tuple) else () if cell is None else (cell,)


def spots_of_change(change: ChangedRow, before: Filing, after: Filing) -> frozenset[Spot]:
    """Return where a changed row was read or is read now; nowhere if only words about it differ.

    Args:
        change: a row that differs.
        before: how rows were filed.
        after: how they are filed.
    """
    columns = changed_columns(change)
    if columns <= NEVER_READ or (isinstance(change.one, Source) and "rank" not in columns):
        return frozenset()
    spots: frozenset[Spot] = frozenset()
    for row, filing in ((change.before, before), (change.after, after)):
        spots |= filing.spots_of(row) if row is not None else frozenset()
    return spots


def reaches(spots: Iterable[Spot], names: frozenset[str]) -> bool:
    """Return whether something with these names can read a row.

    Args:
        spots: where the row is read.
        names: names under which anything is found.

    >>> reaches({frozenset({"a", "b"})}, frozenset({"a", "b", "c"})), reaches({frozenset({"d"})}, frozenset({"a"}))
    (True, False)
    """
    return any(spot <= names for spot in spots)


def reached_pairs(spots: Iterable[Spot], names: Mapping[str, frozenset[str]], pairs: Iterable[Pair]) -> list[Pair]:
    """Return those pairs that have all the names of at least one spot.

    Args:
        spots: sets of names.
        names: part id -> its names in either state of the tables.
        pairs: all pairs that are asked about.
    """
    wanted = set(spots)
    if not wanted:
        return []
    if EVERYWHERE in wanted:
        return list(pairs)
    holders = _holders(names, frozenset(name for spot in wanted for name in spot))
    alone: set[str] = set()
    together: set[Pair] = set()
    for spot in wanted:
        alone |= set.intersection(*(holders[name] for name in spot))
    for spot in wanted:
        together |= _sharing(spot, holders, names, alone)
    return [pair for pair in pairs if not alone.isdisjoint(pair) or pair in together or pair[::-1] in together]


def _holders(names: Mapping[str, frozenset[str]], needed: frozenset[str]) -> Mapping[str, set[str]]:
    """Return, for every name that is needed, the parts that have it."""
    holders: dict[str, set[str]] = {name: set() for name in needed}
    for part, own in names.items():
        for name in own & needed:
            holders[name].add(part)
    return holders


def _sharing(
    spot: Spot, holders: Mapping[str, set[str]], names: Mapping[str, frozenset[str]], alone: set[str]
) -> set[Pair]:
    """Return pairs, in any order, of which either part has some names of a spot and both together all of them."""
    found: set[Pair] = set()
    for part in set().union(*(holders[name] for name in spot)) - alone:
        others = set.intersection(*(holders[name] for name in spot - names[part]))
        found |= {(part, other) for other in others - alone}
    return found
