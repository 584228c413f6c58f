"""Only pairs that a changed row can reach are judged anew, and none is missed."""

from __future__ import annotations

import dataclasses
import random
from collections.abc import Iterable, Iterator
from typing import Any

import pytest
from mutations import replaced, row_of, single_row_mutations

from kb.compatibility.pair import decide_pair
from kb.curation.diff.kind_pairs import active_parts, all_pairs
from kb.curation.diff.names import names_of_parts
from kb.curation.diff.reach import NEVER_READ, Filing, reached_pairs, reaches, spots_of_change
from kb.curation.diff.rows import changed_rows
from kb.curation.diff.verdicts import Side, changed_pairs
from kb.evidence.tree import cited_rows
from kb.parts.resolver import Resolver
from kb.store.frozen import BuiltTables
from kb.store.snapshot import Snapshot
from schemas.tables.quantities import Quantity
from schemas.tables.requirements import Requirement

PARTS = {"thread": 5, "port": 5, "tube": 10, "fitting": 14, "seal": 3, "material": 14, "fluid": 8, "additive": 5}
EACH = 2  # mutations of every table; tried once with 40
Pair = tuple[str, str]


@pytest.fixture(scope="module")
def kinds(tables: BuiltTables) -> dict[str, str]:
    """Return some archetypes of every kind, so that all their pairs can be judged often."""
    chance = random.Random(11)
    active = active_parts(Snapshot(tables))
    chosen: dict[str, str] = {}
    for kind, count in PARTS.items():
        chosen |= dict.fromkeys(chance.sample([one for one in active if active[one] == kind], count), kind)
    return chosen


class Compared:
    """One state of the tables, against which others are held."""

    def __init__(self, tables: BuiltTables, kinds: dict[str, str]) -> None:
        self.tables = tables
        self.kinds = kinds
        self.pairs = list(all_pairs(kinds))
        self.side = Side(Snapshot(tables))
        self.names = names_of_parts(tables, kinds)
        self.filing = Filing(tables)
        self.verdicts = dict(zip(self.pairs, self.side.verdicts(self.pairs), strict=True))

    def rows_at_work(self) -> set[str]:
        """Return the rows that pairs cite, with their families and sources."""
        rows = set().union(*self.names.wet.values())
        for pair in self.pairs:
            rows |= cited_rows(self.side.decide(pair).joint.findings)
        return rows | {self.side.snapshot.row(row).source_id for row in rows if self.side.snapshot.row(row)}

    def differing(self, mutated: BuiltTables) -> set[Pair]:
        """Return the pairs judged otherwise, all of them judged."""
        verdicts = Side(Snapshot(mutated)).verdicts(self.pairs)
        return {pair for pair, verdict in zip(self.pairs, verdicts, strict=True) if verdict != self.verdicts[pair]}

    def reached(self, mutated: BuiltTables) -> list[Pair]:
        """Return the pairs that the fast call judges at all."""
        new, filing = names_of_parts(mutated, self.kinds), Filing(mutated)
        spots = [spots_of_change(change, self.filing, filing) for change in changed_rows(self.tables, mutated)]
        return reached_pairs(frozenset().union(*spots), self.names.joined(new), self.pairs)


@pytest.fixture(scope="module")
def compared(tables: BuiltTables, kinds: dict[str, str]) -> Compared:
    return Compared(tables, kinds)


def test_quick_way_judges_every_pair_that_brute_force_finds_changed(compared: Compared) -> None:
    changes, judged, tried = 0, 0, 0
    for what, mutated in single_row_mutations(compared.tables, seed=21, each=EACH, wanted=compared.rows_at_work()):
        near = set(compared.reached(mutated))
        found = compared.differing(mutated)
        assert found <= near, what
        changes, judged, tried = changes + len(found), judged + len(near), tried + 1
    assert tried > 20
    assert changes > 50
    assert judged < tried * len(compared.pairs) / 3


def test_judging_the_reached_pairs_alone_gives_the_same_changes(compared: Compared) -> None:
    limit = row_of(compared.tables, "limits", "limit/o-ring-compression-large-rigid-compression")
    mutated = replaced(compared.tables, limit, value=24.0)
    quick = changed_pairs(compared.side, Side(Snapshot(mutated)), compared.reached(mutated))
    assert {pair for pair, *_ in quick} == compared.differing(mutated)


class WatchedSnapshot(Snapshot):
    """Notes the sets of names under which rows are read while a pair is judged."""

    def __init__(self, tables: BuiltTables) -> None:
        self.reads: set[frozenset[str]] = set()
        self.assumed: set[str] = set()
        super().__init__(tables)

    def _note(self, *names: str) -> None:
        self.reads.add(frozenset(names))

    def derive(self, key: tuple[str, ...], make: Any) -> Any:  # noqa: ARG002 - nothing is kept
        return make()

    def row(self, row_id: str) -> Any:
        self._note(row_id)
        return super().row(row_id)

    def get(self, row_class: Any, row_id: str) -> Any:
        if row_class.table != "sources":  # the rank of a source is read where a row that names it is
            self._note(row_id)
        return super().get(row_class, row_id)

    def families(self, family_id: str) -> tuple[str, ...]:
        found = super().families(family_id)
        for family in (family_id, *found):
            self._note(family)
        return found

    def ends(self, fitting_id: str) -> Any:
        self._note(fitting_id)
        return super().ends(fitting_id)

    def rules(self, subject_id: str, object_id: str) -> Any:
        self._note(subject_id, object_id)
        return super().rules(subject_id, object_id)

    def limit_set(self, quantity_id: str, ancestors: tuple[str, ...]) -> Any:
        for family in ancestors:
            self._note(family)
        return super().limit_set(quantity_id, ancestors)

    def tolerances(self, subject_id: str, dimension: Any) -> Any:
        self._note(subject_id)
        return super().tolerances(subject_id, dimension)

    def thread_tolerance(self, thread_id: str, side: Any) -> Any:
        self._note(thread_id)
        return super().thread_tolerance(thread_id, side)

    def assumption(self, quantity_id: str) -> Any:
        self.assumed.add(quantity_id)
        return super().assumption(quantity_id)

    def material_property(self, material_id: str, name: Any) -> Any:
        self._note(material_id)
        return super().material_property(material_id, name)

    def metal_groups(self, material_id: str) -> Any:
        self._note(material_id)
        return super().metal_groups(material_id)

    def metal_couple(self, group: str, other_group: str) -> Any:
        self._note("family/metal")
        return super().metal_couple(group, other_group)

    def property_span(self, material_id: str, name: Any) -> Any:
        self._note(material_id)
        return super().property_span(material_id, name)

    def usual_fluid(self, ancestors: tuple[str, ...]) -> Any:
        for family in ancestors:
            self._note(family)
        return super().usual_fluid(ancestors)

    def wetted(self, ancestors: tuple[str, ...]) -> Any:
        for family in ancestors:
            self._note(family)
        return super().wetted(ancestors)


def unwatched() -> Iterator[str]:
    """Yield public ways of reading a snapshot that the watching one does not note."""
    harmless = {"rule_keys", "disputes", "asked_quantities"}  # no rows, or only words reported with a verdict
    whole_tables = {"active", "all_rows", "ids"}
    for name in vars(Snapshot):
        if not name.startswith("_") and name not in vars(WatchedSnapshot) and name not in harmless | whole_tables:
            yield name


def test_every_way_of_reading_rows_is_watched() -> None:
    assert list(unwatched()) == []


def _spots(filing: Filing, snapshot: Snapshot, read: frozenset[str]) -> Iterable[frozenset[str]]:
    """Return where a read row is filed: quantities and requirements where rules ask for them, others by their names."""
    rows = [snapshot._by_id.get(name) for name in read]
    filed = [row for row in rows if isinstance(row, Quantity | Requirement)]
    return [spot for row in filed for spot in filing.spots_of(row)] if filed else [read]


def test_whatever_is_read_for_a_pair_is_filed_under_its_names(tables: BuiltTables, kinds: dict[str, str]) -> None:
    names, filing = names_of_parts(tables, kinds), Filing(tables)
    snapshot = WatchedSnapshot(tables)
    snapshot.active = snapshot.all_rows = snapshot.ids = None  # type: ignore[assignment,method-assign]
    some = random.Random(3).sample(list(all_pairs(kinds)), 700)
    for a, b in some:
        snapshot.reads.clear()
        snapshot.assumed.clear()
        resolver = Resolver(snapshot)
        decide_pair(snapshot, resolver.archetype(a, "a"), resolver.archetype(b, "b"), {})
        own = names.of_pair((a, b))
        assert [read for read in snapshot.reads if not reaches(_spots(filing, snapshot, read), own)] == [], (a, b)
        assert [one for one in snapshot.assumed if not reaches(filing.spots_of_quantity(one), own)] == [], (a, b)


def test_rows_are_filed_under_all_names_by_which_they_are_read(tables: BuiltTables) -> None:
    filing = Filing(tables)
    limit = row_of(tables, "limits", "limit/clamping-none")
    rule = next(row for row in tables.rows["rules"])
    condition = next(row for row in tables.rows["rule_conditions"])
    assumption = row_of(tables, "assumptions", "assumption/coolant-temperature")
    warm = row_of(tables, "rules", "rule/petg-warm")
    assert frozenset({limit.family_id}) in filing.spots_of(limit)
    assert filing.spots_of(rule) == {frozenset({rule.subject_id, rule.object_id})}
    assert filing.spots_of(condition) == filing.spots_of(row_of(tables, "rules", condition.rule_id))
    assert filing.spots_of(assumption) >= filing.spots_of(warm)


def test_words_about_rows_change_no_verdict(compared: Compared) -> None:
    """The columns that are said never to be read are all changed at once, and nothing follows."""
    donor = compared.tables.rows["limits"][0]
    values = {name: getattr(donor, name) for name in NEVER_READ}
    rows = {
        table: tuple(_with(row, values) for row in some) if table != "sources" else some
        for table, some in compared.tables.rows.items()
    }
    mutated = BuiltTables(rows, compared.tables.version, "0" * 64)
    assert len(changed_rows(compared.tables, mutated)) > 1000
    assert compared.reached(mutated) == []
    assert compared.differing(mutated) == set()


def _with(row: Any, values: dict[str, Any]) -> Any:
    return dataclasses.replace(row, **{name: value for name, value in values.items() if hasattr(row, name)})
