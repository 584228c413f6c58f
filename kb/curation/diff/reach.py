"""Which pairs of archetypes a changed row can reach; no other pair can be judged otherwise.

Owns: the names by which rows are found, and pairs from names. Does not own: names of parts
(`kb/curation/diff/names.py`). Why this is enough: the verdict of a pair follows from what is read of the snapshot.
Every such read is keyed by
names: ids of the two parts and of what they are made of, and the families above them (`PartNames`, which listens while
a part is put together). A row is read under its own id or under the ids it refers to, a rule only where both its
sides are present (`Filing`). So if two states of the tables give a pair two verdicts, some row that differs is filed
under names of that pair. A test listens to every read while pairs are judged and holds it against this.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, TypeAlias

from kb.curation.diff.names import Names, Pair, PartNames
from kb.curation.diff.rows import ChangedRow, changed_columns
from kb.store.frozen import BuiltTables
from kb.store.snapshot import PART_TABLES
from schemas.columns.columns import fields_of
from schemas.tables.assumptions import Assumption
from schemas.tables.limits import Limit
from schemas.tables.metal_couples import MetalCouple
from schemas.tables.quantities import Quantity
from schemas.tables.requirements import Requirement
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.tables.sources import Source

Spot: TypeAlias = frozenset[str]

METAL = "family/metal"
NEVER_READ = frozenset({"note", "locator", "basis", "confidence", "checked_on"})  # no verdict depends on these
_FOUND_BY_THEIR_OWN_ID = frozenset({*PART_TABLES, "families", "fitting_ends"})
_COUPLES_AND_WARMTH = frozenset(
    {frozenset({METAL}), frozenset({"family/material", "family/fluid"})}
)  # where an assumption is read beside the conditions of rules


class Filing:
    """Says under which names the rows of one state of the tables are read."""

    def __init__(self, tables: BuiltTables) -> None:
        self._rules = {row.id: row for row in tables.rows[Rule.table]}
        self._conditions = tables.rows[RuleCondition.table]
        self._by_source: dict[str, list[Any]] = defaultdict(list)
        self._by_requirement: dict[str, list[Any]] = defaultdict(list)
        for row in (*tables.rows[Rule.table], *tables.rows[Limit.table]):
            self._by_requirement[row.requirement_id or ""].append(row)
        for row in (row for rows in tables.rows.values() for row in rows):
            self._by_source[getattr(row, "source_id", "")].append(row)

    def spots_of(self, row: Any) -> frozenset[Spot]:
        """Return sets of names: a pair can read the row only if it has all the names of one of these sets.

        Args:
            row: a row of this state of the tables.
        """
        if isinstance(row, Assumption):
            return self.spots_of_quantity(row.quantity_id)
        if isinstance(row, Source):  # its rank says which of several rows is read
            return frozenset(spot for one in self._by_source[row.id] for spot in self.spots_of(one))
        if isinstance(row, Requirement):  # its facts say whether a warning counts
            return frozenset(spot for one in self._by_requirement[row.id] for spot in self.spots_of(one))
        if isinstance(row, Quantity):  # its range says whether an open condition could be an error
            return self.spots_of_quantity(row.id) | {frozenset({row.id})}
        if isinstance(row, RuleCondition):
            rule = self._rules.get(row.rule_id)
            return self.spots_of(rule) if rule is not None else frozenset()
        if isinstance(row, MetalCouple):  # groups of metals stand for every couple
            return frozenset({frozenset({METAL})})
        if isinstance(row, Rule):
            return frozenset({frozenset({row.subject_id, row.object_id})})
        return frozenset(frozenset({name}) for name in _names_of_row(row))

    def spots_of_quantity(self, quantity_id: str) -> frozenset[Spot]:
        """Return where it counts what is assumed of a quantity: rules that ask for it, couples, and warmth of coolant.

        Args:
            quantity_id: id of the quantity.
        """
        asking = (row for row in self._conditions if row.quantity_id == quantity_id)
        return _COUPLES_AND_WARMTH.union(*(self.spots_of(row) for row in asking))


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


def reached_pairs(spots: Iterable[Spot], names: PartNames, pairs: Iterable[Pair]) -> list[Pair]:
    """Return those pairs that have all the names of at least one spot.

    Args:
        spots: sets of names.
        names: names of parts in either state of the tables.
        pairs: all pairs that are asked about.
    """
    wanted = set(spots)
    if not wanted:
        return []
    dry, wet = _Reached(wanted, names.dry), _Reached(wanted, names.wet)
    return [pair for pair in pairs if (wet if names.is_wet(pair) else dry).has(pair)]


class _Reached:
    """Pairs of parts that have all the names of at least one spot between them."""

    def __init__(self, spots: Iterable[Spot], names: Names) -> None:
        holders = _holders(names, frozenset().union(*spots))
        self._alone: set[str] = set()
        for spot in spots:
            self._alone |= set.intersection(*(holders[name] for name in spot))
        self._together: set[Pair] = set()
        for spot in spots:
            self._together |= _sharing(spot, holders, names, self._alone)

    def has(self, pair: Pair) -> bool:
        return not self._alone.isdisjoint(pair) or pair in self._together or pair[::-1] in self._together


def _holders(names: Names, needed: frozenset[str]) -> Mapping[str, set[str]]:
    """Return, for every name that is needed, the parts that have it."""
    holders: dict[str, set[str]] = {name: set() for name in needed}
    for part, own in names.items():
        for name in own & needed:
            holders[name].add(part)
    return holders


def _sharing(spot: Spot, holders: Mapping[str, set[str]], names: Names, alone: set[str]) -> set[Pair]:
    """Return pairs, in any order, of which either part has some names of a spot and both together all of them."""
    found: set[Pair] = set()
    for part in set().union(*(holders[name] for name in spot)) - alone:
        others = set.intersection(*(holders[name] for name in spot - names[part]))
        found |= {(part, other) for other in others - alone}
    return found
