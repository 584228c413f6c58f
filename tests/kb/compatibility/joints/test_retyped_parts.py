"""A part typed from the cells of an archetype gets the verdict of the archetype, whatever it meets.

Left out are tubes for which the tables hold tolerances of their own: these do not go with dimensions alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import TypeAdapter

from kb.compatibility.pair import PairDecision, decide_pair
from kb.knowledge_base import KnowledgeBase
from kb.parts.dimensions import TOLERANCE_MISSING
from kb.parts.part import Part
from kb.parts.resolver import Resolver
from kb.store.snapshot import Snapshot
from schemas.questions.questions import InlineEnd, InlinePort, InlineThread, PartRef
from schemas.tables.fittings import Fitting
from schemas.tables.ports import Port
from schemas.tables.threads import Thread
from schemas.tables.tolerances import ToleranceDimension
from schemas.tables.tubes import Tube
from schemas.verdict import Verdict

REFERENCE: TypeAdapter[Any] = TypeAdapter(PartRef)
EVERY = 3  # of the many pairs with fittings one in so many is asked


def cells(row: Any, fields: Any) -> dict[str, Any]:
    """Return the filled cells of a row under the names by which a question gives them."""
    found = {name: getattr(row, name, None) for name in fields}
    return {name: getattr(value, "value", value) for name, value in found.items() if value is not None}


def typed_thread(row: Thread) -> dict[str, Any]:
    return {"kind": "thread", **cells(row, InlineThread.model_fields.keys() - {"kind", "is_"})}


def typed_tube(row: Tube) -> dict[str, Any]:
    return {"kind": "tube", "family": row.family_id, **cells(row, ("id_mm", "od_mm", "wall_mm"))}


def typed_port(row: Port) -> dict[str, Any]:
    return {"kind": "port", "thread": row.thread_id, **cells(row, InlinePort.model_fields.keys() - {"kind", "is_"})}


def typed_fitting(snapshot: Snapshot, row: Fitting) -> dict[str, Any]:
    ends = {}
    for end in snapshot.ends(row.id):
        named = {"thread": end.thread_id, "seal": end.seal_id, "kind": end.end_kind.value}
        sizes = cells(end, InlineEnd.model_fields.keys() - {"kind", "thread", "seal"})
        ends[end.position] = {name: value for name, value in named.items() if value is not None} | sizes
    return {"kind": "fitting", "family": row.family_id, "ends": ends}


def both_ways(snapshot: Snapshot, one: Part, other: Part) -> Iterator[PairDecision]:
    yield decide_pair(snapshot, one, other, {})
    yield decide_pair(snapshot, other, one, {})


def test_a_thread_typed_from_its_cells_gets_its_archetypes_verdict_against_all_threads_and_ports(
    base: KnowledgeBase,
) -> None:
    """Each thread against every thread, every port, and every thread that is typed as well, both ways."""
    snapshot, resolver = base.snapshot, Resolver(base.snapshot)
    threads, ports = snapshot.active(Thread), snapshot.active(Port)
    typed = {one.id: resolver.part(REFERENCE.validate_python(typed_thread(one)), one.id) for one in threads}
    others = [resolver.archetype(one.id, "other") for one in (*threads, *ports)]
    for thread in threads:
        meant = resolver.archetype(thread.id, "thread")
        pairs = [(meant, other, typed[thread.id], other) for other in others]
        pairs += [(meant, resolver.archetype(one, ""), typed[thread.id], other) for one, other in typed.items()]
        for one, other, typed_one, typed_other in pairs:
            wanted = both_ways(snapshot, one, other)
            got = both_ways(snapshot, typed_one, typed_other)
            for right, found in zip(wanted, got, strict=True):
                assert found.verdict is right.verdict, (one.id, other.id)


def test_a_parallel_thread_typed_by_its_dimensions_goes_into_itself(base: KnowledgeBase) -> None:
    """The known case, G 1/4, by threads per inch and by the pitch that data sheets print."""
    resolver = Resolver(base.snapshot)
    for pitch in ({"threads_per_inch": 19}, {"pitch_mm": 1.337}):
        asked = {"kind": "thread", "form_angle_deg": 55, "major_mm": 13.157, **pitch}
        typed = resolver.part(REFERENCE.validate_python(asked), "a")
        for other in (typed, resolver.archetype("thread/g-1-4", "b")):
            for decision in both_ways(base.snapshot, typed, other):
                assert decision.verdict is Verdict.COMPATIBLE


def test_a_typed_thread_of_no_standard_size_has_no_tolerances_to_take(base: KnowledgeBase) -> None:
    resolver = Resolver(base.snapshot)
    asked = {"kind": "thread", "form_angle_deg": 55, "threads_per_inch": 19, "major_mm": 13.3}
    typed = resolver.part(REFERENCE.validate_python(asked), "a")
    codes = {one.code for one in decide_pair(base.snapshot, typed, typed, {}).joint.findings}
    assert TOLERANCE_MISSING in codes


@pytest.mark.parametrize("own", [{"minor_mm": 11.0}, {"pitch_diameter_mm": 12.1}])
def test_a_diameter_that_the_asker_states_is_not_exchanged_for_the_standards(
    base: KnowledgeBase, own: dict[str, float]
) -> None:
    asked = {"kind": "thread", "form_angle_deg": 55, "threads_per_inch": 19, "major_mm": 13.157, **own}
    typed = Resolver(base.snapshot).part(REFERENCE.validate_python(asked), "a")
    codes = {one.code for one in decide_pair(base.snapshot, typed, typed, {}).joint.findings}
    assert TOLERANCE_MISSING in codes


def test_tubes_ports_and_fittings_typed_from_their_cells_get_their_archetypes_verdict(base: KnowledgeBase) -> None:
    snapshot, resolver = base.snapshot, Resolver(base.snapshot)
    fittings, threads = snapshot.active(Fitting), snapshot.active(Thread)
    tubes = [one for one in snapshot.active(Tube) if not has_tolerances_of_its_own(snapshot, one)]
    ports = snapshot.active(Port)
    typed: list[tuple[Any, dict[str, Any], tuple[Any, ...]]] = [
        *((one, typed_tube(one), fittings) for one in tubes),
        *((one, typed_port(one), (*fittings, *threads)) for one in ports),
        *((one, typed_fitting(snapshot, one), (*tubes, *ports)) for one in fittings),
    ]
    for at, (row, asked, others) in enumerate(typed):
        meant, part = resolver.archetype(row.id, "a"), resolver.part(REFERENCE.validate_python(asked), "a")
        for other in others[at % EVERY :: EVERY]:
            met = resolver.archetype(other.id, "b")
            for right, found in zip(both_ways(snapshot, meant, met), both_ways(snapshot, part, met), strict=True):
                assert found.verdict is right.verdict, (row.id, other.id)


def has_tolerances_of_its_own(snapshot: Snapshot, tube: Tube) -> bool:
    return any(snapshot.tolerances(tube.id, one) for one in ToleranceDimension)
