"""The immutable knowledge in memory, indexed by what is asked of it.

Owns: looking up rows, ancestors, rules, limits and tolerances in microseconds. Does not own: loading (`kb/load.py`)
or judging (`kb/compatibility/joints/`, `kb/evidence/rules.py`).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, TypeVar

from kb.store.cache import Memo
from kb.store.frozen import BuiltTables
from kb.store.property_spans import PropertySpan, property_span, ranked_properties
from schemas.tables import ROW_CLASSES
from schemas.tables.assumptions import Assumption
from schemas.tables.disputes import Dispute
from schemas.tables.families import Family
from schemas.tables.fitting_ends import FittingEnd
from schemas.tables.fluid_properties import FluidProperty
from schemas.tables.limits import Comparison, Limit
from schemas.tables.material_properties import MaterialProperty, PropertyName
from schemas.tables.metal_couples import MetalCouple
from schemas.tables.metal_groups import MetalGroup
from schemas.tables.rule_conditions import RuleCondition
from schemas.tables.rules import Rule
from schemas.tables.sources import Source
from schemas.tables.thread_tolerances import ThreadSide, ThreadTolerance
from schemas.tables.tolerances import Tolerance, ToleranceDimension
from schemas.tables.wetted_materials import WettedMaterial, WettedRole

Row = TypeVar("Row")

PART_TABLES = ("threads", "ports", "tubes", "fittings", "seals", "materials", "fluids", "additives")
PART_DEPTH = 100  # a named part is always more specific than any family


@dataclass(frozen=True, slots=True)
class RuleEntry:
    """A rule as found under an ordered pair of ids.

    Attributes:
        rule: the rule row.
        specificity: larger wins; depth of both sides, then number of conditions.
        conditions: its condition rows.
    """

    rule: Rule
    specificity: tuple[int, int]
    conditions: tuple[RuleCondition, ...]


@dataclass(frozen=True, slots=True)
class LimitSet:
    """The limits of one quantity for one family.

    Attributes:
        at_least: lower limits, from the tightest down.
        at_most: upper limits, from the tightest up.
        tightest: the first of either.
        least: value of the tightest lower limit; nothing is too little if there is none.
        most: value of the tightest upper limit; nothing is too much if there is none.
    """

    at_least: tuple[Limit, ...]
    at_most: tuple[Limit, ...]
    tightest: tuple[Limit, ...] = field(init=False)
    least: float = field(init=False)
    most: float = field(init=False)

    def __post_init__(self) -> None:
        """Keep what nearly every number is held against first."""
        object.__setattr__(self, "tightest", self.at_least[:1] + self.at_most[:1])
        object.__setattr__(self, "least", self.at_least[0].value if self.at_least else -math.inf)
        object.__setattr__(self, "most", self.at_most[0].value if self.at_most else math.inf)


class Snapshot:
    """All active rows (not withdrawn), immutable, with their indexes. Built once; shared by every question."""

    def __init__(self, tables: BuiltTables) -> None:
        self.built = tables
        self.version = tables.full_version
        self.tables_version = tables.version
        self.digest = tables.digest
        self._all = tables.rows
        self._rows: Mapping[str, Mapping[str, Any]] = MappingProxyType(
            {name: MappingProxyType({row.id: row for row in rows}) for name, rows in tables.rows.items()}
        )
        self._active = {name: tuple(row for row in rows if _is_active(row)) for name, rows in tables.rows.items()}
        self._by_id = {row.id: row for name in ROW_CLASSES for row in tables.rows[name]}
        self._families = self._family_chains()
        self.depth = {family: len(chain) for family, chain in self._families.items()}
        self._rules = self._rule_index()
        self._rule_keys = frozenset(side for pair in self._rules for side in pair)
        self._limits = self._limit_index()
        self.memo = Memo()
        self._derived: dict[tuple[str, ...], Any] = {}
        self._tolerances = _grouped(self.active(Tolerance), lambda row: (row.subject_id, row.dimension))
        self._thread_tolerances = {
            (row.thread_id, row.side): row for row in self.active(ThreadTolerance) if row.is_default
        }
        self._assumptions = {row.quantity_id: row for row in self.active(Assumption)}
        self._fluid_properties = _grouped(self.active(FluidProperty), lambda row: row.subject_id)
        ranked = ranked_properties(self.active(MaterialProperty), self.active(Source))
        self._material_properties = {key: rows[0] for key, rows in ranked.items()}
        self._property_spans = {key: property_span(rows) for key, rows in ranked.items()}
        self._metal_groups = _grouped(self.active(MetalGroup), lambda row: row.material_id)
        self._metal_couples = {frozenset((row.group, row.other_group)): row for row in self.active(MetalCouple)}
        self._wetted = _grouped(self.active(WettedMaterial), lambda row: row.subject_id)
        self._disputes = _grouped(self.active(Dispute), lambda row: row.rule_id)
        self._ends = _grouped(self.active(FittingEnd), lambda row: row.fitting_id)

    def active(self, row_class: type[Row]) -> tuple[Row, ...]:
        """Return all rows of a table that are not withdrawn, sorted by id."""
        return self._active[row_class.table]  # type: ignore[attr-defined]

    def all_rows(self, table: str) -> tuple[Any, ...]:
        """Return every row of a table, withdrawn ones too, sorted by id."""
        return self._all[table]

    def row(self, row_id: str) -> Any | None:
        """Return the row with this id from any table, `None` if there is none."""
        return self._by_id.get(row_id)

    def get(self, row_class: type[Row], row_id: str) -> Row:
        """Return a row of one table.

        Raises:
            KeyError: if the table has no such row.
        """
        found: Row = self._rows[row_class.table][row_id]  # type: ignore[attr-defined]
        return found

    def ids(self, tables: Iterable[str] = PART_TABLES) -> tuple[str, ...]:
        """Return the ids of all rows of the named tables."""
        return tuple(row_id for table in tables for row_id in self._rows[table])

    def families(self, family_id: str) -> tuple[str, ...]:
        """Return a family and its ancestors, nearest first; empty if the family is unknown."""
        return self._families.get(family_id, ())

    def ends(self, fitting_id: str) -> tuple[FittingEnd, ...]:
        """Return the ends of a fitting in the order of their letters."""
        return self._ends.get(fitting_id, ())

    @property
    def asked_quantities(self) -> tuple[str, ...]:
        """Names of the quantities that conditions of rules ask for."""
        return tuple(sorted({row.quantity_id.removeprefix("quantity/") for row in self.active(RuleCondition)}))

    def rule_keys(self, ancestors: Iterable[str]) -> tuple[str, ...]:
        """Return those ids that stand in any rule: only they need to be looked up."""
        return tuple(side for side in ancestors if side in self._rule_keys)

    def rules(self, subject_id: str, object_id: str) -> tuple[RuleEntry, ...]:
        """Return the rules written for exactly this ordered pair of ids."""
        return self._rules.get((subject_id, object_id), ())

    def limit_set(self, quantity_id: str, ancestors: tuple[str, ...]) -> LimitSet:
        """Return the limits of a quantity for the nearest family that has any, per side and verdict."""
        return self.derive(("limits", quantity_id, *ancestors), lambda: self._climb(quantity_id, ancestors))

    def derive(self, key: tuple[str, ...], make: Callable[[], Row]) -> Row:
        """Return what is computed from immutable rows alone; everybody gets the same one.

        Args:
            key: names the result; the same key must always mean the same computation.
            make: computes it.
        """
        found: Row | None = self._derived.get(key)
        return self._derived.setdefault(key, make()) if found is None else found

    def tolerances(self, subject_id: str, dimension: ToleranceDimension) -> tuple[Tolerance, ...]:
        """Return the tolerance rows of a part or family for one dimension."""
        return self._tolerances.get((subject_id, dimension), ())

    def thread_tolerance(self, thread_id: str, side: ThreadSide) -> ThreadTolerance | None:
        """Return the deviations of a thread in its widest class on one side."""
        return self._thread_tolerances.get((thread_id, side))

    def assumption(self, quantity_id: str) -> Assumption | None:
        """Return what is assumed of a quantity where the asker says nothing."""
        return self._assumptions.get(quantity_id)

    def material_property(self, material_id: str, name: PropertyName) -> MaterialProperty | None:
        """Return a property of a material from the strong source of best rank."""
        return self._material_properties.get((material_id, name))

    def property_span(self, material_id: str, name: PropertyName) -> PropertySpan | None:
        """Return between which values strong sources put a property of a material."""
        return self._property_spans.get((material_id, name))

    def metal_groups(self, material_id: str) -> tuple[MetalGroup, ...]:
        """Return the groups of a metal in the table of dissimilar metals; none if the table does not name it."""
        return self._metal_groups.get(material_id, ())

    def metal_couple(self, group: str, other_group: str) -> MetalCouple | None:
        """Return how two groups of metals are rated together, in either order."""
        return self._metal_couples.get(frozenset((group, other_group)))

    def usual_fluid(self, ancestors: tuple[str, ...]) -> Mapping[str, FluidProperty]:
        """Return what a fluid usually is, by quantity id; the nearest family that says it speaks."""
        usual: dict[str, FluidProperty] = {}
        for subject in ancestors:
            for row in self._fluid_properties.get(subject, ()):
                usual.setdefault(row.quantity_id, row)
        return usual

    def wetted(self, ancestors: tuple[str, ...]) -> Mapping[WettedRole, WettedMaterial]:
        """Return what a part is usually made of where coolant touches it: the nearest family with any rows speaks."""
        for subject in ancestors:
            rows = self._wetted.get(subject)
            if rows:
                return {row.role: row for row in rows}
        return {}

    def disputes(self, rule_id: str) -> tuple[Dispute, ...]:
        """Return what other sources say against a rule."""
        return self._disputes.get(rule_id, ())

    def _family_chains(self) -> dict[str, tuple[str, ...]]:
        parents = {row.id: row.parent_id for row in self.active(Family)}
        chains: dict[str, tuple[str, ...]] = {}
        for family in parents:
            chain: list[str] = []
            step: str | None = family
            while step is not None and step not in chain:
                chain.append(step)
                step = parents.get(step)
            chains[family] = tuple(chain)
        return chains

    def _rule_index(self) -> dict[tuple[str, str], tuple[RuleEntry, ...]]:
        conditions = _grouped(self.active(RuleCondition), lambda row: row.rule_id)
        index: dict[tuple[str, str], list[RuleEntry]] = defaultdict(list)
        for rule in self.active(Rule):
            depth = self.depth.get(rule.subject_id, PART_DEPTH) + self.depth.get(rule.object_id, PART_DEPTH)
            own = conditions.get(rule.id, ())
            entry = RuleEntry(rule, (depth, len(own)), own)
            index[rule.subject_id, rule.object_id].append(entry)
            if not rule.is_directed and rule.subject_id != rule.object_id:
                index[rule.object_id, rule.subject_id].append(entry)
        return {pair: tuple(entries) for pair, entries in index.items()}

    def _limit_index(self) -> dict[tuple[str, str], tuple[Limit, ...]]:
        return _grouped(self.active(Limit), lambda row: (row.quantity_id, row.family_id))

    def _climb(self, quantity_id: str, ancestors: tuple[str, ...]) -> LimitSet:
        chosen: dict[tuple[str, str], Limit] = {}
        for family in ancestors:
            for limit in self._limits.get((quantity_id, family), ()):
                chosen.setdefault((limit.comparison, limit.level), limit)
        at_least = [limit for limit in chosen.values() if limit.comparison is Comparison.AT_LEAST]
        at_most = [limit for limit in chosen.values() if limit.comparison is Comparison.AT_MOST]
        return LimitSet(
            tuple(sorted(at_least, key=lambda limit: (-limit.value, limit.id))),
            tuple(sorted(at_most, key=lambda limit: (limit.value, limit.id))),
        )


def _is_active(row: Any) -> bool:
    return getattr(row, "withdrawn_on", None) is None


def _grouped(rows: Iterable[Row], key: Any) -> dict[Any, tuple[Row, ...]]:
    groups: dict[Any, list[Row]] = defaultdict(list)
    for row in rows:
        groups[key(row)].append(row)
    return {name: tuple(group) for name, group in groups.items()}
